package svgout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// The atrial view's plate: A4 across, mm. Labels stand in two columns beside the picture; legend, scale, caution and
// provenance stand under it.
var (
	atrialPage    = Box{W: 297, H: 210}
	atrialPicture = Box{X: 67, Y: 25, W: 163, H: 147}
	leftColumn    = Box{X: 8, Y: 28, W: 57, H: 142}
	rightColumn   = Box{X: 232, Y: 28, W: 57, H: 142}
)

// AtrialDrawing draws the atrial view turned or mirrored to the reader's habit, at the largest scale at which it
// then fits the plate.
func AtrialDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	heart := report.Laid.Heart
	camera, fits := reader.Habit.of(downTheValve).cameraFor(atrialExtent(heart), atrialPicture)
	if !fits {
		return nil, fmt.Errorf("svgout: this heart is too large for the plate")
	}
	plate := plate{report: report, page: atrialPage, gaze: camera.gaze, Reader: reader}
	k := NewDrawing(Page{WidthMM: atrialPage.W, HeightMM: atrialPage.H, Language: reader.Language, Title: plate.title(), Desc: plate.describe()})
	k.Rect("paper", atrialPage)
	a := anatomy{Ink: k, Reader: reader, camera: camera, heart: heart}
	s := stitches{anatomy: a, bites: report.Bites, line: report.Line}

	a.draw()
	a.sutureLine(report.Line)
	s.draw()
	s.verdicts()

	placed, err := s.layLabels()
	if err != nil {
		return nil, err
	}
	k.layer("labels", "labels")
	s.leafletNames()
	k.Labels(placed)
	k.End()
	plate.furnish(k, camera.scale, heart)
	return k.Finish()
}

// layLabels labels as much as there is room for: every bite by itself, else the clear bites of a segment together, else
// those of one finding together as well, and at last these alone, without the landmarks. What shares a label is pointed
// at where it is worst.
func (s stitches) layLabels() (placed Placed, err error) {
	landmarks := s.landmarkLabels()
	apart := func(placement.BiteReport) bool { return false }
	clear := func(b placement.BiteReport) bool { return b.Verdict == placement.Clear }
	all := func(placement.BiteReport) bool { return true }
	for _, try := range []struct {
		besides  []Label
		together func(placement.BiteReport) bool
	}{{landmarks, apart}, {landmarks, clear}, {landmarks, all}, {nil, all}} {
		labels := append(slices.Clone(try.besides), s.labels(try.together)...)
		if s.line != nil {
			labels = append(labels, s.lineLabel(s.line))
		}
		placed, err = Layout(labels, LabelFrame{Left: leftColumn, Right: rightColumn, MiddleX: middleTarget(labels)})
		if err == nil {
			return placed, nil
		}
	}
	return placed, err
}

// middleTarget parts the targets into as many left as right.
func middleTarget(labels []Label) float64 {
	xs := make([]float64, len(labels))
	for i, l := range labels {
		xs[i] = l.Target.X
	}
	slices.Sort(xs)
	return (xs[(len(xs)-1)/2] + xs[len(xs)/2]) / 2
}

// atrialExtent is all that the picture must show.
func atrialExtent(heart *atlas.Heart) []geom.Vec {
	points := wallEdge(heart)
	for _, s := range heart.Structures {
		if tube, ok := s.Solid.(geom.Tube); ok && s.Kind == atlas.Coronary {
			for _, p := range tube.Axis {
				out := geom.Vec{X: p.X, Y: p.Y}.Unit().Scale(tube.RadiusMM)
				points = append(points, p.Add(out))
			}
		}
	}
	return points
}

// landmarkLabels names what the picture shows, each at a place where it is seen best.
func (a anatomy) landmarkLabels() (labels []Label) {
	add := func(at Point, text string) {
		labels = append(labels, Label{Lines: Fit("label-quiet", text, LabelRoomMM(leftColumn, NoLevel), 2), Class: "label-quiet", Target: at})
	}
	for _, id := range []string{"anteroseptal-commissure", "anteroposterior-commissure", "posteroseptal-commissure"} {
		if l, ok := a.heart.Landmark(id); ok {
			add(a.paper(l.Frame), a.said(l.Label))
		}
	}
	named := map[string]bool{}
	for _, zone := range a.heart.Zones {
		if zone.ID != atlas.Membranous {
			along, up := a.seenBest(zone.ID)
			add(a.placeIn(zone, along, up), a.said(zone.Label))
			named[a.said(zone.Label)] = true
		}
	}
	t := a.heart.Triangle
	add(a.paper(a.heart.Chart.Frame(atlas.Spot{AlongMM: t.Apex.AlongMM + 0.72*(t.Tendon.AlongMM-t.Apex.AlongMM), OffMM: 0.72 * t.Tendon.OffMM})), a.say("name.tendon-line"))
	for _, s := range a.heart.Structures {
		if at, text, ok := a.structureLabel(s); ok && !named[text] {
			add(at, text)
		}
	}
	return labels
}

// seenBest is where in a zone its label points, as shares of the way from its middle to its edge: off what else lies
// there in the usual heart.
func (a anatomy) seenBest(id atlas.ZoneID) (along, up float64) {
	if a.heart.Variant != nil {
		return 0, 0
	}
	switch id {
	case atlas.Ostium:
		return 0.5, 0.5
	case atlas.FibrousBody:
		return 0.4, 0.5
	case atlas.ApicalHalf:
		return -0.75, 0.75
	case atlas.BasalHalf:
		return 0.3, 0.1
	case atlas.VentricularSide:
		return 0.2, -0.5
	}
	return 0, 0
}

// placeIn is a place in a zone, as shares of the way from its middle to its extents.
func (a anatomy) placeIn(zone atlas.Zone, along, up float64) Point {
	c := zone.Outline.Centroid()
	var halfX, halfY float64
	for _, p := range zone.Outline {
		halfX, halfY = math.Max(halfX, math.Abs(p.X-c.X)), math.Max(halfY, math.Abs(p.Y-c.Y))
	}
	return a.paper(a.heart.Chart.Frame(atlas.Spot{AlongMM: c.X + along*halfX, OffMM: c.Y + up*halfY}))
}

// structureLabel says where a structure is pointed at, and its name; the left extension goes without one.
func (a anatomy) structureLabel(s atlas.Structure) (at Point, text string, ok bool) {
	if s.ID == "left-extension" {
		return Point{}, "", false
	}
	switch solid := s.Solid.(type) {
	case geom.Ellipsoid:
		if s.Kind == atlas.Aorta {
			wall := a.nearWall(solid)
			return wall[len(wall)/4].Plus(wall[len(wall)*3/4]).Times(0.5), a.said(s.Label), true
		}
		return a.paper(solid.Centre), a.said(s.Label), true
	case geom.Tube:
		share := map[string]float64{"bundle": 0.6, "bundle-low": 0.35, "right-extension": 0.7, "nodal-artery": 0.4, "right-coronary": 0.62}[s.ID]
		if share == 0 || a.heart.Variant != nil && s.Kind == atlas.Conduction {
			share = 0.5
		}
		return a.paper(solid.Axis[int(share*float64(len(solid.Axis)-1))]), a.structureName(s), true
	}
	return Point{}, "", false
}

// structureName tells the two ways of the bundle apart, with their shares.
func (r Reader) structureName(s atlas.Structure) string {
	if !s.Excludes {
		return r.said(s.Label)
	}
	if s.ID == "bundle" {
		return r.say("name.bundle-apical", words.Blanks{"share": words.Fixed(s.SharePercent, 0)})
	}
	return r.say("name.bundle-low", words.Blanks{"share": words.Fixed(s.SharePercent, 0)})
}

// labels says each bite's level and why; bites taken together share a label with the others of their segment and
// finding.
func (s stitches) labels(together func(placement.BiteReport) bool) (labels []Label) {
	type key struct{ segment, rule string }
	shared := map[key]int{} // index into groups
	var groups [][]placement.BiteReport
	for _, b := range s.bites {
		if !together(b) {
			groups = append(groups, []placement.BiteReport{b})
			continue
		}
		k := key{s.heart.SegmentAt(b.Passes[0].In.AlongMM).Name, decisive(b).Rule}
		if i, ok := shared[k]; ok {
			groups[i] = append(groups[i], b)
			continue
		}
		shared[k] = len(groups)
		groups = append(groups, []placement.BiteReport{b})
	}
	for _, group := range groups {
		labels = append(labels, s.label(group))
	}
	return labels
}

// label names one bite, or counts several and tells of the worst.
func (s stitches) label(group []placement.BiteReport) Label {
	worst := slices.MinFunc(group, func(a, b placement.BiteReport) int {
		return cmp.Or(cmp.Compare(b.Verdict, a.Verdict), cmp.Compare(a.Nearest.MM, b.Nearest.MM))
	})
	class := map[placement.Level]string{placement.Clear: "label-clear", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[worst.Verdict]
	room := LabelRoomMM(leftColumn, mark(worst.Verdict))
	text, lines := s.biteFinding(worst), 3
	if len(group) > 1 {
		text, lines = s.say("bite.group", words.Blanks{"n": len(group), "worst": text}), 2
	}
	return Label{Lines: Fit(class, text, room, lines), Class: class, Target: s.middle(worst), Mark: mark(worst.Verdict)}
}

// biteFinding says of a bite, by its name, the shortest true thing.
func (r Reader) biteFinding(b placement.BiteReport) string {
	return r.say("bite.finding", words.Blanks{"bite": Isolate(shortBiteName(b.Name)), "finding": r.finding(b)})
}

// shortBiteName leaves room for the finding behind a long name.
func shortBiteName(name string) string {
	return Clip(clean(name), 30, Lettering("label").SizeMM, true)
}

// decisive is the reason that gives a bite its level; empty for a clear one.
func decisive(b placement.BiteReport) placement.Reason {
	for _, r := range b.Reasons {
		if r.Level == b.Verdict && r.Level > placement.Clear {
			return r
		}
	}
	return placement.Reason{}
}

// finding is the shortest true thing to say of a bite: what is wrong, or how far it is from what is nearest.
func (r Reader) finding(b placement.BiteReport) string {
	if reason := decisive(b); !reason.Text.IsZero() {
		return r.gist(reason.Text)
	}
	return r.say("bite.distance", words.Blanks{"mm": words.Number(b.Nearest.Words()), "what": r.shortName(b.Nearest)})
}

// shortName is a structure's name as short as a label wants it.
func (r Reader) shortName(c placement.Clearance) string {
	switch c.Structure {
	case "right-coronary":
		return r.say("name.coronary")
	case "right-extension":
		return r.say("name.right-extension")
	case "left-extension":
		return r.say("name.left-extension")
	}
	return r.said(c.Label)
}

// leafletNames letters each leaflet on itself, where no mark, thread or closing line is in the way; a leaflet with no
// such place goes without.
func (s stitches) leafletNames() {
	taken := s.taken()
	meet := s.paper(s.meeting())
	for _, leaf := range s.heart.Leaflets() {
		name := s.said(leaf.Short())
		width := MeasureIn("label-quiet", name)
		for _, at := range s.innerPlaces(leaf, meet) {
			box := Box{at.X - width/2, at.Y - 3.6, width, 4.6}
			if !crowded(box.Grow(0.8), taken) && !s.onZone(at) {
				s.Text("label-quiet", at.X, at.Y, AnchorMiddle, name)
				break
			}
		}
	}
}

// innerPlaces are places on a leaflet to try for its name, from its middle outward.
func (s stitches) innerPlaces(leaf atlas.Leaflet, meet Point) (places []Point) {
	for _, in := range []float64{0.5, 0.58, 0.42, 0.66, 0.36} {
		for _, share := range []float64{0.5, 0.44, 0.56, 0.36, 0.64, 0.28, 0.72} {
			hinge := s.paper(s.heart.Rim.At(leaf.FromMM + leaf.ForMM*share))
			places = append(places, hinge.Plus(meet.Minus(hinge).Times(in)).Plus(Point{0, 1.3}))
		}
	}
	return places
}

// taken are the points a name must keep off: threads, marks and closing lines.
func (s stitches) taken() (points []Point) {
	meet := s.meeting()
	for _, leaf := range s.heart.Leaflets() {
		points = append(points, s.closing(leaf.FromMM, meet)...)
		points = append(points, s.hinge(leaf.FromMM, leaf.ForMM)...)
	}
	if s.heart.Valve.Cleft {
		points = append(points, straight(s.paper(meet), s.paper(s.heart.Rim.At(s.heart.Segments()[0].ForMM/2)))...)
	}
	marks := s.markPlaces()
	for i, b := range s.bites {
		at := marks[i]
		points = append(points, at, at.Plus(Point{1.7, 0}), at.Plus(Point{-1.7, 0}), at.Plus(Point{0, 1.7}), at.Plus(Point{0, -1.7}))
		for _, p := range b.Passes {
			points = append(points, s.papers(p.Path)...)
		}
	}
	for _, zone := range s.heart.Zones {
		if zone.ID == atlas.VentricularSide || ownZone(zone.ID) {
			points = append(points, s.zoneOutline(zone)...)
		}
	}
	return points
}

// onZone tells a place that lies on a zone drawn over the leaflets.
func (s stitches) onZone(at Point) bool {
	return slices.ContainsFunc(s.heart.Zones, func(zone atlas.Zone) bool {
		return (zone.ID == atlas.VentricularSide || ownZone(zone.ID)) && outlineOf(s.zoneOutline(zone)).Contains(geom.Point(at))
	})
}

func straight(from, to Point) (points []Point) {
	for i := range 21 {
		points = append(points, from.Plus(to.Minus(from).Times(float64(i)/20)))
	}
	return points
}

func crowded(box Box, points []Point) bool {
	return slices.ContainsFunc(points, box.Contains)
}
