package svgout

import (
	"fmt"
	"math"
	"strings"

	"fairlead/atlas/geom"
	"fairlead/placement"
)

// The section's plate: A4 across, mm. Labels stand on both sides of the picture; beneath it, how the needle stands to the
// plane and what the plane does not meet; beside it the bite in words. Under the words the column stays free: room to say
// how likely the needle is to touch something.
var (
	sectionPicture = Box{X: 55, Y: 29, W: 112, H: 119}
	sectionLeft    = Box{X: 8, Y: 29, W: 45, H: 120}
	sectionRight   = Box{X: 169, Y: 29, W: 45, H: 120}
	sectionBeneath = Box{X: 8, Y: 151, W: 208, H: 20}
	sectionWords   = Box{X: 221, Y: 28, W: 68, H: 126}
	sectionChance  = Box{X: 221, Y: 160, W: 68, H: 12}
)

// section draws one bite in a plane across the rim.
type section struct {
	anatomy
	cut        cut
	bite       placement.BiteReport
	pass       placement.Pass // the one the plane goes through the middle of
	halfMM     float64        // half the width of needle or thread
	neighbours []neighbour    // nearest first
	topMM      float64        // how far up the wall the picture goes
	tipMM      float64        // how far onto the leaflet
	freeEdge   bool           // the leaflet's free edge is in the picture
}

// SectionDrawing draws a cut across the rim at the bite of a name: in the plane through the middle of its middle pass,
// upright on the plane of the rim and square to the rim's course in it. What the cut meets is drawn where the plane meets it,
// at one scale in both directions, turned or mirrored to the reader's habit. A name the plan does not have is an error that
// lists those it has.
func SectionDrawing(report *placement.Report, bite string, reader Reader) (*Drawing, error) {
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	found, err := biteNamed(report, bite)
	if err != nil {
		return nil, err
	}
	s, err := newSection(report, found, reader)
	if err != nil {
		return nil, err
	}
	p := plate{report: report, page: atrialPage, gaze: s.gaze, Reader: reader}
	s.Ink = NewDrawing(Page{WidthMM: p.page.W, HeightMM: p.page.H, Language: reader.Language, Title: s.title(p), Desc: s.describe(p)})
	s.Rect("paper", p.page)
	s.draw()

	placed, err := s.layLabels()
	if err != nil {
		return nil, err
	}
	s.layer("labels", "labels")
	s.Labels(placed)
	s.End()
	s.furnish(p)
	return s.Finish()
}

func biteNamed(report *placement.Report, name string) (placement.BiteReport, error) {
	var names []string
	for _, b := range report.Bites {
		if b.Name == name {
			return b, nil
		}
		names = append(names, fmt.Sprintf("%q", b.Name))
	}
	if len(names) == 0 {
		return placement.BiteReport{}, fmt.Errorf("svgout: no bite %q to cut at: the plan has no bites", name)
	}
	return placement.BiteReport{}, fmt.Errorf("svgout: no bite %q to cut at: the plan has %s", name, strings.Join(names, ", "))
}

func newSection(report *placement.Report, bite placement.BiteReport, reader Reader) (*section, error) {
	pass := bite.Passes[len(bite.Passes)/2]
	needle := report.Laid.Plan.Needle
	s := &section{
		bite: bite, pass: pass,
		halfMM: max(needle.NeedleMM, needle.ThreadMM) / 2,
		cut:    cutAt(report.Laid.Heart, (pass.In.AlongMM+pass.Out.AlongMM)/2),
	}
	s.heart, s.Reader = report.Laid.Heart, reader
	s.neighbours = s.cut.neighbours(bite, s.cut.needleIn(bite.Passes), s.halfMM)
	fits, view := false, reader.Habit.of(s.cut.gaze)
	for _, reach := range []float64{12, 9, 6.5} { // mm of heart
		if s.camera, fits = s.cameraFor(view, s.extent(reach)); fits && s.scale >= leastSectionScale {
			break
		}
	}
	if !fits {
		return nil, fmt.Errorf("svgout: bite %q is too large for the plate", bite.Name)
	}
	s.reach()
	return s, nil
}

// cameraFor shows all the points, and the underside of the leaflet: it counts where it would not come into the picture by
// itself.
func (s *section) cameraFor(view gaze, points []geom.Vec) (c camera, fits bool) {
	room := sectionPicture.Grow(-2)
	if c, fits = view.cameraFor(points, room); !fits {
		return c, false
	}
	_, leaflet := s.surfaceShown()
	under := s.cut.surface(-leaflet, s.leafletMM()+beyondLeafletMM)
	if sectionPicture.Contains(c.paper(under)) {
		return c, true
	}
	return view.cameraFor(append(points, under), room)
}

// leastSectionScale is the scale under which a section rather leaves distant neighbours out.
const leastSectionScale = 5

// How much wall and leaflet a section shows at the least, and beyond a bite, mm of heart.
const (
	wallShownMM    = 5.5
	leafletShownMM = 6.0
	beyondBiteMM   = 2.0
)

// surfaceShown is how far up the wall and onto the leaflet the picture must go at the least.
func (s *section) surfaceShown() (wallMM, leafletMM float64) {
	wallMM, leafletMM = wallShownMM, leafletShownMM
	for _, p := range s.bite.Passes {
		wallMM = max(wallMM, max(p.In.OffMM, p.Out.OffMM)+beyondBiteMM)
		leafletMM = max(leafletMM, beyondBiteMM-min(p.In.OffMM, p.Out.OffMM))
	}
	wall, leaflet := s.tissueMM()
	return min(wallMM, wall), min(leafletMM, leaflet)
}

// tissueMM is how far the wall reaches up from the hinge, and the leaflet down.
func (s *section) tissueMM() (wallMM, leafletMM float64) {
	wall, _ := s.heart.Value("septal-wall-height")
	leaflet, _ := s.heart.Value("leaflet-height")
	return wall.Here, leaflet.Here
}

// extent is all that the picture must show: the bite, some wall and leaflet, and of each structure the outlines within
// reach of the bite, or of one too large for that its near wall.
func (s *section) extent(reachMM float64) []geom.Vec {
	wall, leaflet := s.surfaceShown()
	points := []geom.Vec{s.cut.surface(wall, 0), s.cut.surface(wall, tissueDrawnMM), s.cut.surface(-leaflet, 0)}
	for _, p := range s.bite.Passes {
		if math.Abs(s.cut.aheadMM(p.Arc.At(0.5))) < projectedMM {
			points = append(points, p.Path...)
		}
	}
	middle := s.cut.flat(s.pass.Arc.At(0.5))
	for _, n := range s.neighbours {
		for _, outline := range n.outlines {
			nearest, farthest := math.Inf(1), 0.0
			var near geom.Point
			for _, q := range outline {
				d := math.Hypot(q.X-middle.X, q.Y-middle.Y)
				if farthest = max(farthest, d); d < nearest {
					nearest, near = d, q
				}
			}
			switch {
			case nearest > reachMM:
			case farthest > reachMM+4:
				points = append(points, s.cut.at(near.X, near.Y))
			default:
				for _, q := range outline {
					points = append(points, s.cut.at(q.X, q.Y))
				}
			}
		}
	}
	return points
}

// reach finds how far wall and leaflet can be followed in the picture.
func (s *section) reach() {
	const stepMM = 0.1
	inside := sectionPicture.Grow(-1)
	wall, leaflet := s.tissueMM()
	s.topMM, s.tipMM = s.surfaceShown()
	for s.topMM+stepMM < wall && inside.Contains(s.paper(s.cut.surface(s.topMM+stepMM, 0))) && inside.Contains(s.paper(s.cut.surface(s.topMM+stepMM, tissueDrawnMM))) {
		s.topMM += stepMM
	}
	for s.tipMM+stepMM < leaflet && inside.Contains(s.paper(s.cut.surface(-s.tipMM-stepMM, 0))) && sectionPicture.Contains(s.paper(s.cut.surface(-s.tipMM-stepMM, s.leafletMM()+beyondLeafletMM))) {
		s.tipMM += stepMM
	}
	s.freeEdge = s.tipMM+stepMM >= leaflet
}
