package geom

import "math"

// Arc is a circular arc in space, the path of a curved needle, in mm. An arc
// without bend is a legal value: a straight segment, or a single point. The zero
// Arc is the point at the origin.
type Arc struct {
	start, end Vec
	centre     Vec
	// along points along the arc at its start, inward from there to the centre:
	// both of length 1, square to each other.
	along, inward Vec
	radius        float64
	sweep         float64 // radians, in 0..2π; 0 says straight
}

// StraightSine is the sine of the angle at mid below which ArcThrough takes
// three points for collinear. With mid between a and b it drops a bend of at
// most StraightSine·|ab|/4, since mid is |a-mid|·|b-mid|·sine/|ab| off the
// chord: 2.5e-8 mm on a 100 mm chord.
const StraightSine = 1e-9

// ArcThrough returns the arc from a to b by way of mid, on the circle through
// the three. Collinear points (see StraightSine; a and b falling together count
// as collinear too) give the straight segment from a to b, and three coincident
// points give that point.
func ArcThrough(a, mid, b Vec) Arc {
	p, q := a.Sub(mid), b.Sub(mid)
	normal := p.Cross(q)
	twice := normal.Norm()
	chord := b.Sub(a)
	if !(twice > StraightSine*p.Norm()*q.Norm()) || min(p.Norm(), q.Norm(), chord.Norm()) < negligible {
		return Arc{start: a, end: b}
	}
	// The angle at mid stands on the part of the circle that the arc leaves
	// out, and is half as large as that part seen from the centre (the
	// inscribed angle); half the sweep is what it lacks to π.
	half := math.Atan2(twice, -p.Dot(q))
	sin, cos := math.Sincos(half)
	c := chord.Unit()
	m := normal.Unit().Cross(c).Unit() // from the chord towards mid
	arc := Arc{
		start: a, end: b,
		along:  c.Scale(cos).Add(m.Scale(sin)),
		inward: c.Scale(sin).Sub(m.Scale(cos)),
		radius: chord.Norm() * (p.Norm() * q.Norm() / twice) / 2,
		sweep:  2 * half,
	}
	arc.centre = a.Add(arc.inward.Scale(arc.radius))
	return arc
}

// At returns the point a fraction t of the length along the arc, the start at 0
// and the end at 1 to the last bit. Outside 0..1 it goes on round the circle or
// along the line.
//
// It is measured from the start and not from the centre, so that a nearly
// straight arc with a centre far away loses no digits.
func (c Arc) At(t float64) Vec {
	if c.sweep == 0 {
		return c.start.Lerp(c.end, t)
	}
	if t == 1 {
		return c.end
	}
	sin, cos := math.Sincos(c.sweep * t / 2)
	// sin φ = 2 sin φ/2 cos φ/2 and 1 - cos φ = 2 sin² φ/2.
	chord := 2 * c.radius * sin
	return c.start.Add(c.along.Scale(chord * cos)).Add(c.inward.Scale(chord * sin))
}

// Tangent returns the direction of travel at t, of length 1; it is zero for an
// arc that is a single point.
func (c Arc) Tangent(t float64) Vec {
	if c.sweep == 0 {
		return c.end.Sub(c.start).Unit()
	}
	sin, cos := math.Sincos(c.sweep * t)
	return c.along.Scale(cos).Add(c.inward.Scale(sin))
}

// Length returns the length of the arc in mm.
func (c Arc) Length() float64 {
	if c.sweep == 0 {
		return c.start.Distance(c.end)
	}
	return c.radius * c.sweep
}

// Radius returns the radius in mm, +Inf for a straight arc or a single point.
func (c Arc) Radius() float64 {
	if c.sweep == 0 {
		return math.Inf(1)
	}
	return c.radius
}

// Sweep returns the angle that the arc turns through, in radians below 2π; 0 for
// a straight arc.
func (c Arc) Sweep() float64 { return c.sweep }

// Centre returns the centre of the arc's circle, and false for a straight arc,
// which has none.
func (c Arc) Centre() (Vec, bool) { return c.centre, c.sweep != 0 }

// MaxChords is the largest number of chords that Chords makes. A full circle of
// 4096 chords has a sag of 3e-7 of its radius.
const MaxChords = 4096

// Chords appends to dst the ends of chords along the arc, evenly spaced, none of
// which is farther than maxSagMM from the arc, and returns the longer slice.
// Both ends of the arc are among them, so there are at least two points, and at
// most MaxChords+1; where the cap bites, as it does for a sag that is zero,
// negative or NaN, the sag is sweep²·radius/(8·MaxChords²).
func (c Arc) Chords(maxSagMM float64, dst []Vec) []Vec {
	n := c.chordCount(maxSagMM)
	for i := range n {
		dst = append(dst, c.At(float64(i)/float64(n)))
	}
	return append(dst, c.end)
}

// chordCount is the smallest number of equal chords within the sag. A chord over
// the angle θ has the sag r(1 - cos θ/2) = 2r sin² θ/4.
func (c Arc) chordCount(sag float64) int {
	if c.sweep == 0 {
		return 1
	}
	if !(sag > 0) {
		return MaxChords
	}
	angle := 4 * math.Asin(math.Sqrt(min(1, sag/(2*c.radius))))
	return int(max(1, min(MaxChords, math.Ceil(c.sweep/angle))))
}
