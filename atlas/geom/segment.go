package geom

import "math"

// Segment is the straight piece from A to B, in mm. A segment whose ends
// coincide is a point and is legal everywhere.
type Segment struct{ A, B Vec }

// At returns the point a fraction t of the way from A to B; t is not clamped.
func (s Segment) At(t float64) Vec { return s.A.Lerp(s.B, t) }

// DistancePoint returns the distance in mm from p to the nearest point of s,
// and that point's t in 0..1. A segment without length answers t = 0.
func (s Segment) DistancePoint(p Vec) (dist, t float64) {
	way, from := s.B.Sub(s.A), p.Sub(s.A)
	t = fraction(from.Dot(way), way.Dot(way))
	return from.Sub(way.Scale(t)).Norm(), t
}

// fraction is part/whole brought into 0..1, and 0 when there is no whole.
func fraction(part, whole float64) float64 {
	if !(part > 0) {
		return 0
	}
	if part >= whole {
		return 1
	}
	return part / whole
}

// SegmentErrorPerMM bounds the rounding error of Segment.Distance, as a fraction
// of the largest difference of two coordinates that enter: sixteen roundings of
// 2⁻⁵³. Three of them are the differences and the foot points. The rest covers
// the common normal of two segments of length L at the small angle θ and the
// distance D. Rounding (ε) turns the normal by ε/θ, which moves the foot points
// by δ = εL/θ, and by εD/θ² more. The distance feels the first by at most
// θδ = εL. It feels the second by its square, (θ·εD/θ²)²/2D = ε²D/2θ², but never
// by more than all the end points leave open, (θL)²/2D; the smaller of the two
// is at most εL/2, whatever θ is.
const SegmentErrorPerMM = 1.0 / (1 << 49)

// Distance returns the smallest distance in mm between two segments, with t on s
// and u on o, both in 0..1, where it is reached. Where several pairs of points
// tie (parallel segments side by side), it answers one of them. Its error is
// bounded by SegmentErrorPerMM.
//
// The nearest pair either has an end point in it or lies where the lines' common
// normal meets both, so the four end points and that one pair are all there is
// to compare. No branch depends on how parallel the segments are.
func (s Segment) Distance(o Segment) (dist float64, t, u float64) {
	d, e, w := s.B.Sub(s.A), o.B.Sub(o.A), s.A.Sub(o.A)
	dd, ee := d.Dot(d), e.Dot(e)
	dw, ew, de := d.Dot(w), e.Dot(w), d.Dot(e)

	best := math.Inf(1)
	try := func(tt, uu float64) {
		gap := w.Add(d.Scale(tt)).Sub(e.Scale(uu))
		if square := gap.Dot(gap); square < best {
			best, t, u = square, tt, uu
		}
	}
	try(0, fraction(ew, ee))
	try(1, fraction(ew+de, ee))
	try(fraction(-dw, dd), 0)
	try(fraction(de-dw, dd), 1)
	if tt, uu, ok := commonNormal(d, e, w); ok {
		try(tt, uu)
	}
	gap := w.Add(d.Scale(t)).Sub(e.Scale(u))
	return gap.Norm(), t, u
}

// commonNormal finds where the common normal of two lines meets them, when both
// places lie within the segments. From w + t·d - u·e = k·n with n = d×e, a cross
// product with e (or d) and a scalar product with n leave t (or u) alone.
func commonNormal(d, e, w Vec) (t, u float64, ok bool) {
	n := d.Cross(e)
	nn := n.Dot(n)
	t = -w.Cross(e).Dot(n)
	u = -w.Cross(d).Dot(n)
	if !(nn > 0) || t < 0 || u < 0 || t > nn || u > nn {
		return 0, 0, false
	}
	return t / nn, u / nn, true
}
