package geom

import "math"

// Point is a point on a flat chart, in mm.
type Point struct{ X, Y float64 }

func (p Point) sub(q Point) Point        { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) cross(q Point) float64    { return p.X*q.Y - p.Y*q.X }
func (p Point) distance(q Point) float64 { return p.onPlane().Distance(q.onPlane()) }
func (p Point) onPlane() Vec             { return Vec{p.X, p.Y, 0} }
func (p Point) lerp(q Point, t float64) Point {
	v := p.onPlane().Lerp(q.onPlane(), t)
	return Point{v.X, v.Y}
}

// edgeOf is the piece from p to q, as a segment in the plane z = 0.
func edgeOf(p, q Point) Segment { return Segment{p.onPlane(), q.onPlane()} }

// Outline is a closed outline on a chart: its corners in order, either way
// round, with the last joined to the first. What is inside follows the even-odd
// rule, which needs no direction and gives an answer for an outline that crosses
// itself as well. One corner is a point and two are a segment, both without an
// inside; no corner is nothing, +Inf away from everything.
type Outline []Point

// edge returns the ends of edge i.
func (o Outline) edge(i int) (p, q Point) {
	j := i + 1
	if j == len(o) {
		j = 0
	}
	return o[i], o[j]
}

// OnBoundaryMM is how near the boundary, in mm, a point counts as inside: a
// thousand roundings of a coordinate of some thousand mm, and a millionth of
// anything a hand could place.
const OnBoundaryMM = 1e-9

// Contains reports whether p is inside the outline or within OnBoundaryMM of it.
func (o Outline) Contains(p Point) bool { return o.SignedDistance(p) <= OnBoundaryMM }

// SignedDistance returns the distance in mm from p to the outline's nearest
// point, negative inside; +Inf for an outline without corners.
func (o Outline) SignedDistance(p Point) float64 {
	_, dist := o.nearestEdge(p)
	if o.encloses(p) {
		return -dist
	}
	return dist
}

// nearestEdge finds the edge nearest to p and its distance.
func (o Outline) nearestEdge(p Point) (edge int, dist float64) {
	dist = math.Inf(1)
	for i := range o {
		a, b := o.edge(i)
		if d, _ := edgeOf(a, b).DistancePoint(p.onPlane()); d < dist {
			edge, dist = i, d
		}
	}
	return edge, dist
}

// encloses counts the edges that a ray from p to the right crosses. An edge owns
// its lower end and not its upper one, so that a ray through a corner counts it
// once. Points on the boundary may come out either way.
func (o Outline) encloses(p Point) bool {
	inside := false
	for i := range o {
		a, b := o.edge(i)
		if (a.Y > p.Y) == (b.Y > p.Y) {
			continue
		}
		if (b.sub(a).cross(p.sub(a)) > 0) == (b.Y > a.Y) {
			inside = !inside
		}
	}
	return inside
}

// twiceArea is twice the signed area, positive anticlockwise, measured from the
// first corner so that an outline far from the origin loses no digits.
func (o Outline) twiceArea() float64 {
	sum := 0.0
	for i := range o {
		p, q := o.edge(i)
		sum += p.sub(o[0]).cross(q.sub(o[0]))
	}
	return sum
}

// Area returns the area within the outline in mm², never negative (the shoelace
// rule). In an outline that crosses itself, parts gone round opposite ways count
// against each other.
func (o Outline) Area() float64 { return math.Abs(o.twiceArea()) / 2 }

// SignedArea returns the area in mm², positive for an outline that runs
// anticlockwise and negative for one that runs clockwise.
func (o Outline) SignedArea() float64 {
	if len(o) == 0 {
		return 0
	}
	return o.twiceArea() / 2
}

// Perimeter returns the length of the outline in mm, the closing edge included.
// Two corners are joined there and back.
func (o Outline) Perimeter() float64 {
	sum := 0.0
	for i := range o {
		p, q := o.edge(i)
		sum += p.distance(q)
	}
	return sum
}

// flatArea is the area, as a fraction of the perimeter squared, below which an
// outline has no inside worth weighing: the rounding of the shoelace rule.
const flatArea = 1e-14

// Centroid returns the centre of mass of the inside. A flat outline answers with
// that of its edges, and one without length with its only point; an outline
// without corners answers the origin.
func (o Outline) Centroid() Point {
	if len(o) == 0 {
		return Point{}
	}
	twice, length := o.twiceArea(), o.Perimeter()
	var sum Point
	for i := range o {
		p, q := o.edge(i)
		a, b := p.sub(o[0]), q.sub(o[0])
		w := a.cross(b) / 3
		if math.Abs(twice) <= flatArea*length*length {
			w = p.distance(q) / 2
		}
		sum.X += (a.X + b.X) * w
		sum.Y += (a.Y + b.Y) * w
	}
	whole := twice
	if math.Abs(twice) <= flatArea*length*length {
		whole = length
	}
	if whole == 0 {
		return o[0]
	}
	return Point{o[0].X + sum.X/whole, o[0].Y + sum.Y/whole}
}

// CrossesSelf reports whether the outline meets itself anywhere but where one
// edge hands over to the next: a crossing, a touch, or an edge folded back over
// the one before. Corners repeated in a row are one corner. The answer is exact
// for the coordinates given; see orient. Two corners or fewer cross nothing.
func (o Outline) CrossesSelf() bool {
	c := o.withoutRepeats()
	n := len(c)
	for i := range n {
		for j := i + 1; j < n; j++ {
			if c.edgesClash(i, j) {
				return n > 2
			}
		}
	}
	return false
}

// withoutRepeats drops every corner that equals the one before it, the last
// before the first included.
func (o Outline) withoutRepeats() Outline {
	var c Outline
	for i, p := range o {
		if before := o[(i+len(o)-1)%len(o)]; p != before {
			c = append(c, p)
		}
	}
	return c
}

// edgesClash reports whether edges i < j share more than the corner that joins
// them.
func (o Outline) edgesClash(i, j int) bool {
	p, q := o.edge(i)
	r, s := o.edge(j)
	switch {
	case i+1 == j:
		return foldsBack(p, q, s)
	case i == 0 && j == len(o)-1:
		return foldsBack(r, s, q)
	}
	return segmentsMeet(p, q, r, s)
}

// foldsBack reports whether the way p, q, r turns round at q onto itself.
func foldsBack(p, q, r Point) bool {
	if orient(p, q, r) != 0 {
		return false
	}
	// On one line, r lies on p's side of q when it does so in a coordinate in
	// which p and q differ.
	if p.X != q.X {
		return (p.X < q.X) == (r.X < q.X) && r.X != q.X
	}
	return (p.Y < q.Y) == (r.Y < q.Y) && r.Y != q.Y
}

// segmentsMeet reports whether p-q and r-s share a point, ends included.
func segmentsMeet(p, q, r, s Point) bool {
	if max(p.X, q.X) < min(r.X, s.X) || max(r.X, s.X) < min(p.X, q.X) ||
		max(p.Y, q.Y) < min(r.Y, s.Y) || max(r.Y, s.Y) < min(p.Y, q.Y) {
		return false
	}
	// With boxes that overlap, they meet when neither lies to one side of the
	// other's line; this holds on one common line too.
	return orient(p, q, r)*orient(p, q, s) <= 0 && orient(r, s, p)*orient(r, s, q) <= 0
}
