package geom

import (
	"math"
	"math/rand/v2"
)

// randomVec has coordinates in -size..size.
func randomVec(r *rand.Rand, size float64) Vec {
	return Vec{size * (2*r.Float64() - 1), size * (2*r.Float64() - 1), size * (2*r.Float64() - 1)}
}

func randomSegment(r *rand.Rand, size float64) Segment {
	return Segment{randomVec(r, size), randomVec(r, size)}
}

// randomAxes is a right-handed orthonormal frame.
func randomAxes(r *rand.Rand) [3]Vec {
	x := randomDirection(r)
	y := x.Cross(randomDirection(r)).Unit()
	return [3]Vec{x, y, x.Cross(y)}
}

func randomDirection(r *rand.Rand) Vec {
	return Vec{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}.Unit()
}

// randomEllipsoid has radii in 0.4..6; one in four is flat, 0.8 × 5 × 5, one in
// eight has two equal short radii and one in sixteen is a ball.
func randomEllipsoid(r *rand.Rand) Ellipsoid {
	e := Ellipsoid{Centre: randomVec(r, 3), Axes: randomAxes(r)}
	for i := range e.Radii {
		e.Radii[i] = 0.4 + 5.6*r.Float64()
	}
	switch k := r.IntN(16); {
	case k < 4:
		e.Radii = [3]float64{5, 0.8, 5}
	case k < 6:
		e.Radii = [3]float64{4, 1.1, 1.1}
	case k < 7:
		e.Radii = [3]float64{2, 2, 2}
	}
	return e
}

// motion is a rigid motion: a turn and a shift.
type motion struct {
	axes  [3]Vec
	shift Vec
}

func randomMotion(r *rand.Rand) motion { return motion{randomAxes(r), randomVec(r, 20)} }

func (m motion) turn(v Vec) Vec {
	return m.axes[0].Scale(v.X).Add(m.axes[1].Scale(v.Y)).Add(m.axes[2].Scale(v.Z))
}

func (m motion) move(p Vec) Vec { return m.turn(p).Add(m.shift) }

func (m motion) segment(s Segment) Segment { return Segment{m.move(s.A), m.move(s.B)} }

func (m motion) ellipsoid(e Ellipsoid) Ellipsoid {
	return Ellipsoid{m.move(e.Centre), [3]Vec{m.turn(e.Axes[0]), m.turn(e.Axes[1]), m.turn(e.Axes[2])}, e.Radii}
}

func (m motion) tube(u Tube) Tube {
	moved := Tube{RadiusMM: u.RadiusMM}
	for _, p := range u.Axis {
		moved.Axis = append(moved.Axis, m.move(p))
	}
	return moved
}

// randomTube has two to six axis points, now and then one repeated.
func randomTube(r *rand.Rand) Tube {
	u := Tube{RadiusMM: 0.2 + 2*r.Float64()}
	for range 2 + r.IntN(5) {
		u.Axis = append(u.Axis, randomVec(r, 6))
	}
	if r.IntN(8) == 0 {
		u.Axis = append(u.Axis, u.Axis[len(u.Axis)-1])
	}
	return u
}

// circleOutline is a regular polygon about the origin.
func circleOutline(n int, radius float64) Outline {
	o := make(Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o[i] = Point{radius * cos, radius * sin}
	}
	return o
}

// starOutline is a random outline that goes once round the origin without
// crossing itself: its corners are in order of angle, no gap of half a turn.
func starOutline(r *rand.Rand, n int) Outline {
	o := make(Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.8*r.Float64()) / float64(n))
		radius := 2 + 6*r.Float64()
		o[i] = Point{radius * cos, radius * sin}
	}
	return o
}
