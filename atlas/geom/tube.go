package geom

import "math"

// Tube is a round tube about a polyline: all points within RadiusMM of Axis, a
// chain of capsules. One axis point makes a ball. A tube without axis points is
// empty: it is +Inf away from everything. A negative radius counts as 0.
type Tube struct {
	Axis     []Vec
	RadiusMM float64
}

// pieces is how many segments the axis has; a single point counts as one
// segment without length.
func (u Tube) pieces() int {
	if len(u.Axis) == 1 {
		return 1
	}
	return max(0, len(u.Axis)-1)
}

// piece is segment i of the axis.
func (u Tube) piece(i int) Segment {
	return Segment{u.Axis[i], u.Axis[min(i+1, len(u.Axis)-1)]}
}

// radius is RadiusMM without its negative values.
func (u Tube) radius() float64 { return max(0, u.RadiusMM) }

// Distance returns the distance of p from the axis less the radius, in mm. Its
// zeros are the tube's surface. Outside it is the distance from the surface.
// Inside, its size is the depth where the axis is straight, and no more than
// the depth beside a bend, where two capsules overlap.
func (u Tube) Distance(p Vec) float64 {
	_, dist, _ := u.nearest(p)
	return dist - u.radius()
}

// nearest finds the axis piece nearest to p, how far it is and where on it.
func (u Tube) nearest(p Vec) (piece int, dist, t float64) {
	dist = math.Inf(1)
	for i := range u.pieces() {
		if d, at := u.piece(i).DistancePoint(p); d < dist {
			piece, dist, t = i, d, at
		}
	}
	return piece, dist, t
}

// DistanceSegment returns the smallest value of Distance along s and the t in
// 0..1 where it is reached; +Inf and 0 for an empty tube.
func (u Tube) DistanceSegment(s Segment) (dist, t float64) {
	dist = math.Inf(1)
	for i := range u.pieces() {
		if d, at, _ := s.Distance(u.piece(i)); d < dist {
			dist, t = d, at
		}
	}
	return dist - u.radius(), t
}

// Bound returns a ball around the tube: about the middle of the axis's box, up
// to the farthest axis point and the radius more. It is at most √3 times as
// large as need be. An empty tube has the ball of radius 0 at the origin.
func (u Tube) Bound() (centre Vec, radius float64) {
	if len(u.Axis) == 0 {
		return Vec{}, 0
	}
	low, high := u.Axis[0], u.Axis[0]
	for _, p := range u.Axis {
		low = Vec{min(low.X, p.X), min(low.Y, p.Y), min(low.Z, p.Z)}
		high = Vec{max(high.X, p.X), max(high.Y, p.Y), max(high.Z, p.Z)}
	}
	centre = low.Lerp(high, 0.5)
	for _, p := range u.Axis {
		radius = max(radius, centre.Distance(p))
	}
	return centre, radius + u.radius()
}

// ClosestOn returns the point of the tube's surface closest to p: from the
// nearest axis point, out through p to the radius. Inside and beside a bend that
// point may lie within the neighbouring capsule. A p on the axis goes out at a
// right angle to it. An empty tube has no surface and answers p.
func (u Tube) ClosestOn(p Vec) Vec {
	if len(u.Axis) == 0 {
		return p
	}
	i, _, t := u.nearest(p)
	piece := u.piece(i)
	foot := piece.At(t)
	out := p.Sub(foot).Unit()
	if out == (Vec{}) {
		out = piece.B.Sub(piece.A).perpendicular()
	}
	return foot.Add(out.Scale(u.radius()))
}
