package geom

import "math"

// Vec is a point or a direction in space, in mm.
type Vec struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b: the way from b to a.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Scale returns k·a.
func (a Vec) Scale(k float64) Vec { return Vec{k * a.X, k * a.Y, k * a.Z} }

// Dot returns the scalar product, in mm² for two lengths.
func (a Vec) Dot(b Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross returns the vector product, right-handed, in mm² for two lengths.
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// The squares of lengths between these two neither overflow nor lose digits to
// underflow; outside them Norm scales first.
const (
	plainSquareMin = 1e-280
	plainSquareMax = 1e300
)

// Norm returns the length of a in mm. It is right to a few units in the last
// place for every finite vector whose length a float64 can hold, tiny and huge
// ones included.
func (a Vec) Norm() float64 {
	square := a.Dot(a)
	if square > plainSquareMin && square < plainSquareMax {
		return math.Sqrt(square)
	}
	return math.Hypot(math.Hypot(a.X, a.Y), a.Z)
}

// Unit returns a at length 1. The zero vector, which has no direction, stays
// zero.
func (a Vec) Unit() Vec {
	largest := max(math.Abs(a.X), math.Abs(a.Y), math.Abs(a.Z))
	if largest == 0 {
		return Vec{}
	}
	// Divided, not multiplied by a reciprocal: 1/largest overflows for the
	// smallest subnormal numbers.
	b := Vec{a.X / largest, a.Y / largest, a.Z / largest}
	return b.Scale(1 / math.Sqrt(b.Dot(b)))
}

// Lerp returns the point a fraction t of the way from a to b. It gives a at 0
// and b at 1 to the last bit, and goes on along the line for t outside 0..1.
func (a Vec) Lerp(b Vec, t float64) Vec {
	way := b.Sub(a)
	// Measured from the nearer end, so that neither end is missed by rounding.
	if t < 0.5 {
		return a.Add(way.Scale(t))
	}
	return b.Sub(way.Scale(1 - t))
}

// Distance returns the distance between two points in mm.
func (a Vec) Distance(b Vec) float64 { return a.Sub(b).Norm() }

// IsFinite reports whether no coordinate is infinite or NaN.
func (a Vec) IsFinite() bool {
	// x - x is 0 for a finite x and NaN otherwise.
	return a.X-a.X == 0 && a.Y-a.Y == 0 && a.Z-a.Z == 0
}

// perpendicular returns a unit vector square to a, the same one for the same a;
// for the zero vector it returns the X axis.
func (a Vec) perpendicular() Vec {
	x, y, z := math.Abs(a.X), math.Abs(a.Y), math.Abs(a.Z)
	var away Vec
	switch {
	case x <= y && x <= z:
		away = Vec{X: 1}
	case y <= z:
		away = Vec{Y: 1}
	default:
		away = Vec{Z: 1}
	}
	across := a.Unit().Cross(away).Unit()
	if across == (Vec{}) {
		return Vec{X: 1}
	}
	return across
}
