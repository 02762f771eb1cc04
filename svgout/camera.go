package svgout

import (
	"math"

	"fairlead/atlas/geom"
)

// gaze is the way a plate looks at a heart: the directions of the frame that run right and up on the paper, and the
// one that runs out of the paper toward the reader. Each has length 1 and stands square to the others.
type gaze struct{ right, up, toward geom.Vec }

// downTheValve looks down the frame's z, y up the paper: the atrial view. Lengths in the plane of the rim are true at
// the scale of the plate, those along the walls foreshortened.
var downTheValve = gaze{right: geom.Vec{X: 1}, up: geom.Vec{Y: 1}, toward: geom.Vec{Z: 1}}

// seen is how far right, up and out of the paper a direction of the frame leads.
func (s gaze) seen(v geom.Vec) geom.Vec {
	return geom.Vec{X: v.Dot(s.right), Y: v.Dot(s.up), Z: v.Dot(s.toward)}
}

// onPaper is a direction of the frame as it runs on the paper, y downwards.
func (s gaze) onPaper(v geom.Vec) Point {
	seen := s.seen(v)
	return Point{seen.X, -seen.Y}
}

// camera looks at a heart from afar, all its sight lines parallel.
type camera struct {
	gaze
	scale  float64  // paper mm for one mm of heart
	centre Point    // paper: the middle of the picture
	over   geom.Vec // what falls there, as seen
}

// scales are the ratios a plate may have: those a reader can turn into a ruler in the head.
var scales = [...]float64{10, 8, 6, 5, 4, 3, 2.5, 2, 1.75, 1.5, 1.25, 1, 0.8, 0.5, 0.4, 0.25, 0.2}

// cameraFor is the camera down the valve that shows all the points in a box.
func cameraFor(points []geom.Vec, box Box) (camera, bool) { return downTheValve.cameraFor(points, box) }

// cameraFor is the camera that shows all the points in a box at the largest scale of the series. Fit is false when
// not even the smallest one shows them.
func (s gaze) cameraFor(points []geom.Vec, box Box) (camera, bool) {
	low, high := geom.Vec{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, v := range points {
		p := s.seen(v)
		low.X, low.Y = math.Min(low.X, p.X), math.Min(low.Y, p.Y)
		high.X, high.Y = math.Max(high.X, p.X), math.Max(high.Y, p.Y)
	}
	c := camera{gaze: s, centre: box.Centre(), over: low.Lerp(high, 0.5)}
	for _, c.scale = range scales {
		if (high.X-low.X)*c.scale <= box.W && (high.Y-low.Y)*c.scale <= box.H {
			return c, true
		}
	}
	return c, false
}

// paper is where a point of the frame falls.
func (c camera) paper(v geom.Vec) Point {
	p := c.seen(v)
	return Point{c.centre.X + (p.X-c.over.X)*c.scale, c.centre.Y - (p.Y-c.over.Y)*c.scale}
}

func (c camera) papers(path []geom.Vec) []Point {
	points := make([]Point, len(path))
	for i, v := range path {
		points[i] = c.paper(v)
	}
	return points
}

// ellipsoid is the outline of an ellipsoid's shadow on the paper.
func (c camera) ellipsoid(e geom.Ellipsoid) []Point {
	// The shadow is where the support of the ellipsoid in each direction of the plane lies.
	var xx, xy, yy float64
	for i, axis := range e.Axes {
		rr := e.Radii[i] * e.Radii[i]
		a := c.seen(axis)
		xx, xy, yy = xx+rr*a.X*a.X, xy+rr*a.X*a.Y, yy+rr*a.Y*a.Y
	}
	const corners = 60
	outline := make([]Point, corners)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		x, y := xx*cos+xy*sin, xy*cos+yy*sin
		reach := math.Sqrt(cos*x + sin*y)
		outline[i] = c.paper(e.Centre.Add(c.right.Scale(x / reach)).Add(c.up.Scale(y / reach)))
	}
	return outline
}
