package ring

import (
	"math"

	"fairlead/atlas/geom"
)

// Shape is a closed line in the plane, as Solve answers it.
type Shape struct {
	// Points are the joints, in mm: element i runs from Points[i] to Points[i+1],
	// the last back to Points[0]. The first joint is at the origin and the first
	// element heads along +X.
	Points []geom.Point

	// Turns are the turnings in radians, positive to the left: Turns[i] at the
	// joint after element i, which is Points[i+1].
	Turns []float64

	// Energy is Σ wᵢ (Turns[i] - Rest[i])²/hᵢ in rad²/mm, with the stiffness as it
	// was given. It is 0 for a free ring.
	Energy float64

	// Iterations counts the Newton steps, also those of a first attempt that met no
	// minimum or one that is not convex; 0 when the line at rest, or the circle,
	// already closed.
	Iterations int
}

// AreaMM2 returns the area within the line, never negative.
func (s Shape) AreaMM2() float64 { return geom.Outline(s.Points).Area() }

// PerimeterMM returns the length of the line once round.
func (s Shape) PerimeterMM() float64 { return geom.Outline(s.Points).Perimeter() }

// Convex reports whether all joints turn the same way, but for turnings of at
// most StraightTurn. Fewer than three joints enclose nothing and are not convex.
func (s Shape) Convex() bool { return len(s.Turns) > 2 && convex(s.Turns) }

// Turns returns the turnings of a closed polygon in radians, in -π..π and positive
// to the left: the i-th at points[i+1], between the edges before and after it. At
// the ends of an edge without length, which has no heading, it is 0. Coordinates
// up to geom.Reach are told apart to 1e-10 mm and turnings accordingly.
func Turns(points []geom.Point) []float64 {
	n := len(points)
	turns := make([]float64, n)
	for i := range points {
		before := edge(points, i)
		after := edge(points, (i+1)%n)
		turns[i] = math.Atan2(before.X*after.Y-before.Y*after.X, before.X*after.X+before.Y*after.Y)
	}
	return turns
}

// Lengths returns the lengths in mm of the edges of a closed polygon: the i-th
// from points[i] to points[i+1], the last back to points[0].
func Lengths(points []geom.Point) []float64 {
	lengths := make([]float64, len(points))
	for i := range points {
		e := edge(points, i)
		lengths[i] = math.Hypot(e.X, e.Y)
	}
	return lengths
}

// edge is the way from joint i to the next.
func edge(points []geom.Point, i int) geom.Point {
	p, q := points[i], points[(i+1)%len(points)]
	return geom.Point{X: q.X - p.X, Y: q.Y - p.Y}
}
