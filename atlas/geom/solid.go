package geom

// Solid is a body with a signed distance in mm: negative inside, zero on the
// surface, positive outside. Ellipsoid and Tube are the two there are.
type Solid interface {
	// Distance is the signed distance of p.
	Distance(p Vec) float64
	// DistanceSegment is the smallest signed distance along s, and the t in
	// 0..1 where it is reached.
	DistanceSegment(s Segment) (dist, t float64)
	// Bound is a ball around the solid, for rejecting what is far away.
	Bound() (centre Vec, radius float64)
	// ClosestOn is the point of the surface closest to p.
	ClosestOn(p Vec) Vec
}

// PathDistance returns the smaller of best and the smallest signed distance in
// mm from the polyline path to s, and the point of the path where it is reached.
// Pass +Inf for want of a best so far. When nothing on the path is nearer than
// best, dist is best and at is the zero Vec.
//
// A segment whose distance from the solid's bounding ball already reaches best
// is skipped. A path of one point is that point; an empty path is nowhere near.
func PathDistance(path []Vec, s Solid, best float64) (dist float64, at Vec) {
	centre, radius := s.Bound()
	dist = best
	if len(path) == 1 {
		if d := s.Distance(path[0]); d < dist {
			return d, path[0]
		}
		return dist, at
	}
	for i := 1; i < len(path); i++ {
		piece := Segment{path[i-1], path[i]}
		if away, _ := piece.DistancePoint(centre); away-radius >= dist {
			continue
		}
		if d, t := s.DistanceSegment(piece); d < dist {
			dist, at = d, piece.At(t)
		}
	}
	return dist, at
}
