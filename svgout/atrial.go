package svgout

import (
	"fmt"
	"io"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// The atrial view's plate: A4 across, mm. Labels stand in two columns beside the picture; legend, scale, caution and
// provenance stand under it.
var (
	atrialPage    = Box{W: 297, H: 210}
	atrialPicture = Box{X: 72, Y: 23, W: 153, H: 141}
	leftColumn    = Box{X: 8, Y: 26, W: 62, H: 136}
	rightColumn   = Box{X: 227, Y: 26, W: 62, H: 136}
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
	a := anatomy{Ink: k, camera: camera, heart: heart, box: atrialPicture.Grow(1)}
	s := stitches{anatomy: a, bites: report.Bites, rules: report.Rules}

	k.Group("anatomy", "Anatomy")
	a.wall()
	a.leaflets()
	a.septum()
	k.End()
	a.neighbours()
	a.zones()
	a.conduction()
	a.rim()
	a.commissures()
	s.draw()
	s.verdicts()

	placed, err := Layout(append(a.landmarkLabels(), s.labels()...), LabelFrame{Left: leftColumn, Right: rightColumn, MiddleX: camera.paper(geom.Vec{}).X})
	if err != nil {
		return err
	}
	k.Group("labels", "Labels")
	a.leafletNames()
	k.Labels(placed)
	k.End()
	plate.furnish(k, camera.scale, heart)
	return k.Close()
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
		{atlas.ApicalHalf, "nodal triangle, apical half", -0.3, 0.3},
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
		return share(tube.Axis, 0.6), fmt.Sprintf("bundle (enters here in %.0f of 100 hearts)", s.SharePercent), true
	case "bundle-low":
		return share(tube.Axis, 0.35), fmt.Sprintf("bundle entering low (%.0f of 100)", s.SharePercent), true
	case "right-extension":
		return share(tube.Axis, 0.7), s.Label, true
	case "nodal-artery":
		return share(tube.Axis, 0.4), s.Label, true
	case "right-coronary":
		return share(tube.Axis, 0.62), s.Label, true
	case "aortic-root":
		return a.aortaTarget(s), s.Label, true
	}
	return Point{}, "", false
}

// aortaTarget is the middle of what the picture shows of the aortic root.
func (a anatomy) aortaTarget(s atlas.Structure) Point {
	seen := within(a.shadow(s), a.box)
	if len(seen) == 0 {
		return a.box.Centre()
	}
	var middle Point
	for _, p := range seen {
		middle = middle.Plus(p.Times(1 / float64(len(seen))))
	}
	return middle
}

// labels says each bite's level and why.
func (s stitches) labels() (labels []Label) {
	for _, b := range s.bites {
		class := map[placement.Level]string{placement.Clear: "label-clear", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[b.Verdict]
		room := LabelRoomMM(leftColumn, mark(b.Verdict))
		lines := Fit(class, fmt.Sprintf("%s: %s", Isolate(b.Name), s.finding(b)), room, 2)
		labels = append(labels, Label{Lines: lines, Class: class, Target: s.middle(b), Mark: mark(b.Verdict)})
	}
	return labels
}

// finding is the shortest true thing to say of a bite: what is wrong, or how far it is from what is nearest.
func (s stitches) finding(b placement.BiteReport) string {
	for _, r := range b.Reasons {
		if r.Level == b.Verdict && r.Level > placement.Clear {
			return s.ruleTitle(r.Rule)
		}
	}
	return fmt.Sprintf("%.1f mm to the %s", b.Nearest.MM, b.Nearest.Label)
}

func (s stitches) ruleTitle(id string) string { return s.rules.Rule(id).Title }

// leafletNames letters each leaflet on itself.
func (a anatomy) leafletNames() {
	meet := a.paper(a.meeting())
	for _, seg := range a.heart.Segments() {
		middle := a.paper(a.heart.Rim.At(seg.FromMM + seg.ForMM/2))
		at := middle.Plus(meet.Minus(middle).Times(0.52))
		a.Text("label-quiet", at.X, at.Y+1.2, AnchorMiddle, seg.Name)
	}
}
