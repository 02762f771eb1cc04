package svgout

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// The upright view's plate: A4 across, mm. Beside the footer, under the scale bar, its corner stays free: room to say how
// likely each bite is to touch something.
var (
	uprightPicture = Box{X: 72, Y: 27, W: 153, H: 138}
	uprightLeft    = Box{X: 8, Y: 29, W: 62, H: 136}
	uprightRight   = Box{X: 227, Y: 29, W: 62, H: 136}
	uprightChance  = Box{X: 248, Y: 187, W: 41, H: 16}
)

// upright draws a heart as it stands in the body.
type upright struct {
	stitches
	standing gaze       // of a reader without a habit: head up, the patient's front on the right hand
	edge     []geom.Vec // of the wall
	curtain  curtain
}

// UprightDrawing draws the heart as it stands in the body, head up: the opened right atrium seen from the patient's right
// and front, turned or mirrored to the reader's habit. It is an orthographic projection of the same model as the other
// views; how the valve stands in the body is assumed, and the plate says so.
func UprightDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	heart := report.Laid.Heart
	u := upright{edge: wallEdge(heart), standing: standing(turnedBack, tippedUp).from(rightAnteriorOblique)}
	u.heart, u.bites, u.Reader = heart, report.Bites, reader
	u.sunkMM = sunk(heart)
	fits, view := false, reader.Habit.of(u.standing)
	if u.camera, fits = view.cameraFor(u.extent(view), uprightPicture); !fits {
		return nil, fmt.Errorf("svgout: this heart is too large for the plate")
	}
	u.curtain = u.anatomy.curtain(u.edge)
	p := plate{report: report, page: atrialPage, gaze: u.gaze, Reader: reader}
	u.Ink = NewDrawing(Page{WidthMM: p.page.W, HeightMM: p.page.H, Language: reader.Language, Title: u.say("upright.title", words.Blanks{"case": report.Laid.Plan.Case}), Desc: u.describe(p)})
	u.Rect("paper", p.page)
	u.picture()

	placed, err := u.layLabels()
	if err != nil {
		return nil, err
	}
	u.layer("labels", "labels")
	u.leafletNames()
	u.Labels(placed)
	u.End()
	u.furnish(p)
	return u.Finish()
}

// sunk is how far under the plane of the rim the leaflets meet: as far as they lead down, on average.
func sunk(heart *atlas.Heart) (mm float64) {
	segments := heart.Segments()
	for _, s := range segments {
		middle := s.FromMM + s.ForMM/2
		reach := math.Hypot(heart.Rim.At(middle).X, heart.Rim.At(middle).Y)
		mm -= heart.Chart.Frame(atlas.Spot{AlongMM: middle, OffMM: -reach}).Z / float64(len(segments))
	}
	return mm
}

// extent is all that the picture must show: the wall, the artery and the aortic root.
func (u *upright) extent(s gaze) []geom.Vec {
	points := atrialExtent(u.heart)
	if root, ok := u.root(); ok {
		points = append(points, s.silhouette(root)...)
	}
	return points
}

func (u *upright) root() (geom.Ellipsoid, bool) {
	for _, s := range u.heart.Structures {
		if solid, ok := s.Solid.(geom.Ellipsoid); ok && s.Kind == atlas.Aorta {
			return solid, true
		}
	}
	return geom.Ellipsoid{}, false
}

// silhouette is the line on an ellipsoid where a reader's sight lines graze it, closed.
func (s gaze) silhouette(e geom.Ellipsoid) []geom.Vec {
	const corners = 60
	line := make([]geom.Vec, corners)
	for i := range line {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		toward := s.right.Scale(cos).Add(s.up.Scale(sin))
		// The point farthest in a direction is the shape matrix applied to it, over its root mean square.
		var far geom.Vec
		for j, axis := range e.Axes {
			far = far.Add(axis.Scale(e.Radii[j] * e.Radii[j] * axis.Dot(toward)))
		}
		line[i] = e.Centre.Add(far.Scale(1 / math.Sqrt(far.Dot(toward))))
	}
	return line
}

func (u *upright) picture() {
	root, hasRoot := u.root()
	u.layer("anatomy", "anatomy")
	if hasRoot {
		u.smooth("aorta-area", u.papers(u.silhouette(root)), true) // behind the wall, which is drawn over it
	}
	u.wall()
	u.leaflets()
	u.septum()
	u.End()
	u.layer("neighbours", "neighbours-broken-where-the-wall-hides-them")
	if hasRoot {
		u.hiddenRoot(root)
	}
	u.coronary()
	u.End()
	u.zoneGrounds()
	u.conduction()
	u.zoneHatches()
	u.tendonLine()
	u.rimInSpace()
	u.commissures()
	u.draw()
	u.verdicts()
}

// rimInSpace draws the rim, broken where a steep free wall stands before it. Where the rim runs toward the reader its
// picture bends sharply, so that it takes more samples than from above.
func (u *upright) rimInSpace() {
	const samples = 160
	const slackMM = 0.5 // the wall starts at the rim: what is nearer to it hides nothing
	u.layer("rim", "rim")
	line := u.heart.Rim.Sample(samples)
	parts := u.stretches(append(line, line[0]), u.curtain, slackMM)
	if len(parts) == 1 && !parts[0].hidden {
		u.Path("rim", new(PathData).SmoothThrough(u.papers(line), true))
		u.End()
		return
	}
	for _, part := range parts {
		class := "rim"
		if part.hidden {
			class = "hidden"
		}
		u.Path(class, new(PathData).SmoothThrough(u.papers(part.points), false))
	}
	u.End()
}

// hiddenRoot draws the outline of the aortic root where the wall hides it.
func (u *upright) hiddenRoot(root geom.Ellipsoid) {
	line := u.silhouette(root)
	for _, part := range u.stretches(append(line, line[0]), u.curtain, 0) {
		if part.hidden {
			u.smooth("aorta-hidden", u.papers(part.points), false)
		}
	}
}

// coronary draws the artery at its width where it can be seen, and its course, broken, where the wall hides it.
func (u *upright) coronary() {
	for _, s := range u.heart.Structures {
		tube, ok := s.Solid.(geom.Tube)
		if !ok || s.Kind != atlas.Coronary {
			continue
		}
		for _, part := range u.stretches(tube.Axis, u.curtain, 0) {
			line := new(PathData).SmoothThrough(thinned(u.papers(part.points), false), false)
			if part.hidden {
				u.Path("coronary-hidden", line)
				continue
			}
			u.Band("coronary-area", line, 2*tube.RadiusMM*u.scale)
		}
	}
}
