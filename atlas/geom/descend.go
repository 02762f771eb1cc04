package geom

import "math"

// DistanceSegment returns the smallest signed distance along s in mm, and the t
// in 0..1 where it is reached. A segment that pierces the ellipsoid answers with
// the depth of its deepest point. The answer is right to EllipsoidErrorPerMM of
// the largest size that enters; t is less sharply determined, as any minimum's
// place is.
//
// The signed distance to a convex body is a convex function of the point
// (standard), so along s it has one valley, with the slope n·direction.
func (e Ellipsoid) DistanceSegment(s Segment) (dist, t float64) {
	l := e.local()
	return l.descend(l.in(s.A.Sub(e.Centre)), l.in(s.B.Sub(s.A)))
}

// Limits of the walk down the valley: its floor is flat when the slope is below
// levelSlope times the segment's length (the cosine of normal and segment, so
// that the certificate of the tests holds to 1e-12 of the length). Newton's
// method is given three rounds to halve the bracket, then the bracket is halved;
// 160 rounds are therefore enough to close it on neighbouring numbers.
const (
	levelSlope    = 1e-12
	descentRounds = 160
	newtonLease   = 3
)

// descend finds the valley's floor along p + t·d by Newton's method on the
// slope, kept in a bracket.
//
// The one place where the slope jumps is the plane square to the shortest axis,
// where the nearest point changes sides. That is looked at first, and what is
// left of the segment is smooth.
func (l *localEllipsoid) descend(p, d Vec) (dist, t float64) {
	low, high := 0.0, 1.0
	if at, ok := l.crossesMiddle(p, d); ok {
		depth, before, after := l.kink(p.Add(d.Scale(at)), d)
		switch {
		case before <= 0 && after >= 0:
			return depth, at
		case before > 0:
			high = at
		default:
			low = at
		}
	}
	level := levelSlope * d.Norm()
	t = min(high, max(low, l.startOf(p, d)))
	width, lease := high-low, newtonLease
	for range descentRounds {
		var slope, bend float64
		dist, slope, bend = l.slope(p.Add(d.Scale(t)), d)
		if math.Abs(slope) <= level || (slope < 0 && t == 1) || (slope > 0 && t == 0) {
			break
		}
		if slope < 0 {
			low = t
		} else {
			high = t
		}
		next := nextTrial(t, slope, bend, low, high)
		if lease--; lease == 0 {
			if high-low > width/2 {
				next = low + (high-low)/2
			}
			width, lease = high-low, newtonLease
		}
		if next == t {
			break
		}
		t = next
	}
	return dist, t
}

// nextTrial is Newton's step where it stays in the bracket. A step beyond it
// goes to the bracket's end when that is an end of the segment or half way when
// it has been there.
func nextTrial(t, slope, bend, low, high float64) float64 {
	next := t - slope/bend
	switch {
	case next > low && next < high:
		return next
	case slope < 0 && high == 1 && next >= 1:
		return 1
	case slope > 0 && low == 0 && next <= 0:
		return 0
	}
	return low + (high-low)/2
}

// startOf is the t nearest to the centre once the ellipsoid has been squeezed to
// a ball: a good first guess, and the exact answer for a ball.
func (l *localEllipsoid) startOf(p, d Vec) float64 {
	a, b, c := 1/l.r.X, 1/l.r.Y, 1/l.r.Z
	p, d = Vec{p.X * a, p.Y * b, p.Z * c}, Vec{d.X * a, d.Y * b, d.Z * c}
	return fraction(-p.Dot(d), d.Dot(d))
}

// crossesMiddle finds where the segment crosses the plane square to the
// shortest axis, if it does so strictly between its ends.
func (l *localEllipsoid) crossesMiddle(p, d Vec) (t float64, ok bool) {
	if (p.X < 0) == (p.X+d.X < 0) || d.X == 0 {
		return 0, false
	}
	t = -p.X / d.X
	return t, t > 0 && t < 1
}

// kink is the signed distance at a point y of that plane, with the slopes along
// d just before and just after it. They differ where y has a foot on either
// side; elsewhere on the plane they are one.
func (l *localEllipsoid) kink(y, d Vec) (dist, before, after float64) {
	y.X = 0
	dist, n, _ := l.foot(y)
	along, across := n.Y*d.Y+n.Z*d.Z, math.Abs(n.X*d.X)
	return dist, along - across, along + across
}

// slope is the signed distance at y with its first and second derivative along
// d. The normal m = y·share changes by share·(d - m·τ'), and that |r·m| stays 1
// gives τ'. Where the second derivative is not to be had it is 0.
func (l *localEllipsoid) slope(y, d Vec) (dist, slope, bend float64) {
	m, share := l.normal(y)
	v := Vec{l.r.X * m.X, l.r.Y * m.Y, l.r.Z * m.Z}
	size := 1 / math.Sqrt(m.Dot(m))
	dist, slope = (m.Dot(y)-math.Sqrt(v.Dot(v)))*size, m.Dot(d)*size

	weight := Vec{l.r.X * v.X * share.X, l.r.Y * v.Y * share.Y, l.r.Z * v.Z * share.Z}
	rate := weight.Dot(m)
	if rate == 0 {
		return dist, slope, 0
	}
	tau := weight.Dot(d) / rate
	turn := Vec{share.X * (d.X - m.X*tau), share.Y * (d.Y - m.Y*tau), share.Z * (d.Z - m.Z*tau)}
	return dist, slope, (turn.Dot(d) - slope*size*m.Dot(turn)) * size
}
