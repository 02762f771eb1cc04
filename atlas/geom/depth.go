package geom

import "math"

// DepthToleranceMM is how far, at most, DepthOfPath may stay short of the true
// depth, for coordinates up to 3 m: half of it is the search, which stops where
// nothing deeper by that much can hide, and half is depthRounding.
const DepthToleranceMM = 1e-10

// depthRounding is the rounding allowed for, as a fraction of the largest
// coordinate: some hundred roundings, so that the search never hunts for
// differences that rounding makes.
const depthRounding = 1.0 / (1 << 46)

// DepthOfPath returns the smallest signed distance in mm from the polyline path
// to the outline: negative when some of the path is inside, and then the depth
// of its deepest point, whatever the places of its ends; otherwise how near the
// path comes. It is exact for whole segments, to DepthToleranceMM. A path of one
// point is that point; an empty path, or an outline without corners, is +Inf
// away.
func (o Outline) DepthOfPath(path []Point) float64 {
	if len(path) == 1 {
		return o.SignedDistance(path[0])
	}
	slack := DepthToleranceMM/2 + depthRounding*max(extent(o), extent(path))
	depth := math.Inf(1)
	for i := 1; i < len(path); i++ {
		depth = o.depthOfSegment(path[i-1], path[i], slack, depth)
	}
	return depth
}

// extent is the largest coordinate by size.
func extent(points []Point) float64 {
	size := 0.0
	for _, p := range points {
		size = max(size, math.Abs(p.X), math.Abs(p.Y))
	}
	return size
}

// depthOfSegment is the smaller of best and the smallest signed distance along
// p-q. It cuts the segment wherever it meets the outline; each part is then
// inside or outside as its middle is. A segment that rounding alone may keep off
// the outline counts as meeting it, and one with coordinates that have no
// distance is passed over.
func (o Outline) depthOfSegment(p, q Point, slack, best float64) float64 {
	gap := o.gap(p, q)
	if !(gap < math.Inf(1)) {
		return best
	}
	if gap > slack && !o.encloses(p) {
		return min(best, gap)
	}
	best = min(best, 0)
	for from := 0.0; from < 1; {
		to := o.nextMeeting(p, q, from, slack)
		a, b := p.lerp(q, from), p.lerp(q, to)
		if o.encloses(a.lerp(b, 0.5)) {
			best = -o.deepest(o.standAt(a), o.standAt(b), slack, -best, 0)
		}
		from = to
	}
	return best
}

// gap is the unsigned distance between p-q and the outline.
func (o Outline) gap(p, q Point) float64 {
	gap := math.Inf(1)
	for i := range o {
		d, _, _ := edgeOf(p, q).Distance(edgeOf(o.edge(i)))
		gap = min(gap, d)
	}
	return gap
}

// nextMeeting is the first t after from where p-q crosses an edge or passes a
// corner within slack, and 1 when there is none. A meeting too many does no
// harm, so it takes in all the near ones.
func (o Outline) nextMeeting(p, q Point, from, slack float64) float64 {
	next := 1.0
	offer := func(t float64) {
		if t > from && t < next {
			next = t
		}
	}
	path := edgeOf(p, q)
	for i := range o {
		a, b := o.edge(i)
		if d, t := path.DistancePoint(a.onPlane()); d <= slack {
			offer(t)
		}
		// a + u·(b-a) on the path's line, solved for the path's t.
		way, edge, start := q.sub(p), b.sub(a), a.sub(p)
		if turn := way.cross(edge); turn != 0 {
			if u := start.cross(way) / turn; u >= 0 && u <= 1 {
				offer(start.cross(edge) / turn)
			}
		}
	}
	return next
}

// stand is a point with the edge nearest to it and the distance.
type stand struct {
	at   Point
	edge int
	dist float64
}

func (o Outline) standAt(p Point) stand {
	edge, dist := o.nearestEdge(p)
	return stand{p, edge, dist}
}

// deepest is the larger of best and the largest distance to the outline that a
// point between a and b has, to slack. level counts the halvings before.
//
// The distance to one edge is a convex function along a line, so it stays below
// its chord; two chords, of the edges nearest to a and to b, have a highest
// point below both, above which nothing can lie. It is also the likeliest place
// of the ridge between the two edges, hence the place to cut; every third time
// the middle is, so that the parts are sure to shrink.
// The comparisons are put so that a NaN ends the search.
func (o Outline) deepest(a, b stand, slack, best float64, level int) float64 {
	best = max(best, a.dist, b.dist)
	bound, t := o.ridge(a, b)
	if !(bound > best+slack) || !(a.at.distance(b.at) > slack) {
		return best
	}
	if level%3 == 2 {
		t = 0.5
	}
	mid := o.standAt(a.at.lerp(b.at, t))
	best = o.deepest(a, mid, slack, best, level+1)
	return o.deepest(mid, b, slack, best, level+1)
}

// ridge is the highest value of the lower of the two chords, and where it is
// when that is between the ends.
func (o Outline) ridge(a, b stand) (bound, t float64) {
	rise := o.distanceToEdge(a.edge, b.at) - b.dist
	fall := o.distanceToEdge(b.edge, a.at) - a.dist
	if !(rise > 0) || !(fall > 0) {
		return max(a.dist, b.dist), 0.5
	}
	// a.dist + t·(b.dist+rise-a.dist) = a.dist+fall + t·(b.dist-a.dist-fall)
	t = fall / (fall + rise)
	return max(a.dist, b.dist, a.dist+t*(b.dist+rise-a.dist)), t
}

// distanceToEdge is the distance from p to edge i.
func (o Outline) distanceToEdge(i int, p Point) float64 {
	dist, _ := edgeOf(o.edge(i)).DistancePoint(p.onPlane())
	return dist
}
