package svgout

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// The atrial view's plate: A4 across, mm. Labels stand in two columns beside the picture; legend, scale, caution and
// provenance stand under it.
var (
	atrialPage    = Box{W: 297, H: 210}
	atrialPicture = Box{X: 67, Y: 21, W: 163, H: 151}
	leftColumn    = Box{X: 8, Y: 24, W: 57, H: 146}
	rightColumn   = Box{X: 232, Y: 24, W: 57, H: 146}
)

// AtrialView draws the plan as the surgeon sees it through the opened right atrium.
func AtrialView(w io.Writer, report *placement.Report) error {
	heart := report.Laid.Heart
	camera, fits := cameraFor(atrialExtent(heart), atrialPicture)
	if !fits {
		return fmt.Errorf("svgout: this heart is too large for the plate")
	}
	plate := plate{report: report, page: atrialPage}
	k := NewInk(w, Page{WidthMM: atrialPage.W, HeightMM: atrialPage.H, Lang: "en", Title: plate.title(), Desc: plate.describe()})
	k.Rect("paper", atrialPage)
	a := anatomy{Ink: k, camera: camera, heart: heart}
	s := stitches{anatomy: a, bites: report.Bites}

	k.Group("anatomy", "Anatomy")
	a.wall()
	a.leaflets()
	a.septum()
	k.End()
	a.neighbours()
	a.zoneGrounds()
	a.conduction()
	a.zoneHatches()
	a.tendonLine()
	a.rim()
	a.commissures()
	s.draw()
	s.verdicts()

	placed, err := s.layLabels()
	if err != nil {
		return err
	}
	k.Group("labels", "Labels")
	s.leafletNames()
	k.Labels(placed)
	k.End()
	plate.furnish(k, camera.scale, heart)
	return k.Close()
}

// layLabels labels as much as there is room for: every bite by itself, else the clear bites of a segment together, else
// those of one finding together as well. What shares a label is pointed at where it is worst.
func (s stitches) layLabels() (placed Placed, err error) {
	for _, together := range []func(placement.BiteReport) bool{
		func(placement.BiteReport) bool { return false },
		func(b placement.BiteReport) bool { return b.Verdict == placement.Clear },
		func(placement.BiteReport) bool { return true },
	} {
		labels := append(s.landmarkLabels(), s.labels(together)...)
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
			add(a.paper(l.Frame), l.Label)
		}
	}
	for _, z := range []struct {
		id        atlas.ZoneID
		text      string
		along, up float64 // where in the zone, as shares from its middle to its edge
	}{
		{atlas.Ostium, "coronary sinus ostium", 0.5, 0.5},
		{atlas.Fossa, "oval fossa", 0, 0},
		{atlas.FibrousBody, "fibrous body", 0.4, 0.5},
		{atlas.ApicalHalf, "nodal triangle, apical half", -0.75, 0.75},
		{atlas.BasalHalf, "nodal triangle, basal half", 0.3, 0.1},
		{atlas.VentricularSide, "ventricular side of the anteroseptal commissure", 0.2, -0.5},
	} {
		if zone, ok := a.heart.Zone(z.id); ok {
			add(a.placeIn(zone, z.along, z.up), z.text)
		}
	}
	t := a.heart.Triangle
	add(a.paper(a.heart.Chart.Frame(atlas.Spot{AlongMM: t.Apex.AlongMM + 0.72*(t.Tendon.AlongMM-t.Apex.AlongMM), OffMM: 0.72 * t.Tendon.OffMM})), "tendon line")
	for _, s := range a.heart.Structures {
		if at, text, ok := a.structureLabel(s); ok {
			add(at, text)
		}
	}
	return labels
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

func (a anatomy) structureLabel(s atlas.Structure) (at Point, text string, ok bool) {
	share := func(path []geom.Vec, t float64) Point { return a.paper(path[int(t*float64(len(path)-1))]) }
	tube, _ := s.Solid.(geom.Tube)
	switch s.ID {
	case "node":
		centre, _ := s.Solid.Bound()
		return a.paper(centre), s.Label, true
	case "bundle":
		return share(tube.Axis, 0.6), fmt.Sprintf("bundle, apical entry (%.0f %%)", s.SharePercent), true
	case "bundle-low":
		return share(tube.Axis, 0.35), fmt.Sprintf("bundle, low entry (%.0f %%)", s.SharePercent), true
	case "right-extension":
		return share(tube.Axis, 0.7), s.Label, true
	case "nodal-artery":
		return share(tube.Axis, 0.4), s.Label, true
	case "right-coronary":
		return share(tube.Axis, 0.62), s.Label, true
	case "aortic-root":
		root, _ := s.Solid.(geom.Ellipsoid)
		wall := a.nearWall(root)
		return wall[len(wall)/4].Plus(wall[len(wall)*3/4]).Times(0.5), s.Label, true
	}
	return Point{}, "", false
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
	text, lines := fmt.Sprintf("%s: %s", Isolate(shortBiteName(worst.Name)), finding(worst)), 3
	if len(group) > 1 {
		text, lines = fmt.Sprintf("%d bites, worst %s", len(group), text), 2
	}
	return Label{Lines: Fit(class, text, room, lines), Class: class, Target: s.middle(worst), Mark: mark(worst.Verdict)}
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
func finding(b placement.BiteReport) string {
	if r := decisive(b); r.Text != "" {
		return brief(r.Text)
	}
	return fmt.Sprintf("%.1f mm, %s", b.Nearest.MM, shortName(b.Nearest))
}

// shortName is a structure's name as short as a label wants it.
func shortName(c placement.Clearance) string {
	switch c.Structure {
	case "right-coronary":
		return "coronary"
	case "right-extension":
		return "right extension"
	case "left-extension":
		return "left extension"
	}
	return c.Label
}

// brief is a reason's first clause: the measurement, without its commentary.
func brief(text string) string {
	for _, end := range []string{";", " (", ", where", ", little", ", within", ", on the"} {
		text, _, _ = strings.Cut(text, end)
	}
	return text
}

// leafletNames letters each leaflet on itself, where no mark, thread or closing line is in the way; a leaflet with no
// such place goes without.
func (s stitches) leafletNames() {
	taken := s.taken()
	meet := s.paper(s.meeting())
	for _, seg := range s.heart.Segments() {
		width := MeasureIn("label-quiet", seg.Name)
		for _, at := range s.innerPlaces(seg, meet) {
			box := Box{at.X - width/2, at.Y - 3.6, width, 4.6}
			if !crowded(box.Grow(0.8), taken) {
				s.Text("label-quiet", at.X, at.Y, AnchorMiddle, seg.Name)
				break
			}
		}
	}
}

// innerPlaces are places on a leaflet to try for its name, from its middle outward.
func (s stitches) innerPlaces(seg atlas.Segment, meet Point) (places []Point) {
	for _, in := range []float64{0.5, 0.58, 0.42, 0.66, 0.36} {
		for _, share := range []float64{0.5, 0.44, 0.56, 0.36, 0.64, 0.28, 0.72} {
			hinge := s.paper(s.heart.Rim.At(seg.FromMM + seg.ForMM*share))
			places = append(places, hinge.Plus(meet.Minus(hinge).Times(in)).Plus(Point{0, 1.3}))
		}
	}
	return places
}

// taken are the points a name must keep off: threads, marks and closing lines.
func (s stitches) taken() (points []Point) {
	meet := s.meeting()
	for _, seg := range s.heart.Segments() {
		points = append(points, s.closing(seg.FromMM, meet)...)
		points = append(points, s.hinge(seg)...)
	}
	for _, b := range s.bites {
		at := s.markPlace(b)
		points = append(points, at, at.Plus(Point{1.7, 0}), at.Plus(Point{-1.7, 0}), at.Plus(Point{0, 1.7}), at.Plus(Point{0, -1.7}))
		for _, p := range b.Passes {
			points = append(points, s.papers(p.Path)...)
		}
	}
	if zone, ok := s.heart.Zone(atlas.VentricularSide); ok {
		points = append(points, s.zoneOutline(zone)...)
	}
	return points
}

func crowded(box Box, points []Point) bool {
	return slices.ContainsFunc(points, box.Contains)
}
