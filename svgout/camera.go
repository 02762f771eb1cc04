package svgout

import (
	"math"

	"fairlead/atlas/geom"
)

// camera looks down the frame's z, y up the paper: the atrial view. Lengths in the plane of the rim are true at its
// scale, those along the walls foreshortened.
type camera struct {
	scale  float64 // paper mm for one mm of heart
	centre Point   // paper
	over   geom.Vec
}

// scales are the ratios a plate may have: those a reader can turn into a ruler in the head.
var scales = [...]float64{10, 8, 6, 5, 4, 3, 2.5, 2, 1.75, 1.5, 1.25, 1, 0.8, 0.5, 0.4, 0.25, 0.2}

// cameraFor is the camera that shows all the points in a box at the largest scale of the series. Fit is false when
// not even the smallest one shows them.
func cameraFor(points []geom.Vec, box Box) (camera, bool) {
	low, high := geom.Vec{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range points {
		low.X, low.Y = math.Min(low.X, p.X), math.Min(low.Y, p.Y)
		high.X, high.Y = math.Max(high.X, p.X), math.Max(high.Y, p.Y)
	}
	c := camera{centre: box.Centre(), over: low.Lerp(high, 0.5)}
	for _, c.scale = range scales {
		if (high.X-low.X)*c.scale <= box.W && (high.Y-low.Y)*c.scale <= box.H {
			return c, true
		}
	}
	return c, false
}

// paper is where a point of the frame falls.
func (c camera) paper(v geom.Vec) Point {
	return Point{c.centre.X + (v.X-c.over.X)*c.scale, c.centre.Y - (v.Y-c.over.Y)*c.scale}
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
		xx, xy, yy = xx+rr*axis.X*axis.X, xy+rr*axis.X*axis.Y, yy+rr*axis.Y*axis.Y
	}
	const corners = 60
	outline := make([]Point, corners)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		x, y := xx*cos+xy*sin, xy*cos+yy*sin
		reach := math.Sqrt(cos*x + sin*y)
		outline[i] = c.paper(e.Centre.Add(geom.Vec{X: x / reach, Y: y / reach}))
	}
	return outline
}
