package flat

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas/geom"
)

// Plan is an outline on a chart, cut into triangles. The first Border points are
// the outline, anticlockwise; the others lie inside.
type Plan struct {
	Points    []geom.Point
	Triangles [][3]int // corners anticlockwise
	Border    int
}

// MaxPoints bounds how many points a plan may have: flattening them takes time with
// the cube of their number.
const MaxPoints = 900

// Triangulate cuts the inside of an outline into triangles with edges of about
// edgeMM. The outline keeps its corners, from its first one and turned round if it
// runs clockwise, and has further points between them; corners that do not turn may go. The triangles
// are Delaunay's, as far as the outline allows.
//
// It is an error if the outline has no inside, crosses itself or is not finite, or
// if it would take more than MaxPoints points.
func Triangulate(outline geom.Outline, edgeMM float64) (Plan, error) {
	if err := usable(outline, edgeMM); err != nil {
		return Plan{}, err
	}
	t := Plan{}
	var corners []int
	t.Points, corners = border(outline, edgeMM)
	t.Border = len(t.Points)
	inner := lattice(t.Points, edgeMM)
	if n := t.Border + len(inner); n > MaxPoints {
		return Plan{}, fmt.Errorf("an outline of %.4g mm2 in triangles of %.4g mm takes %d points, more than %d", outline.Area(), edgeMM, n, MaxPoints)
	}
	if !t.clipEars(corners) {
		return Plan{}, fmt.Errorf("the outline of %d corners cannot be cut into triangles", len(corners))
	}
	t.splitSides(corners)
	for _, p := range inner {
		t.insert(p)
	}
	t.flip()
	return t, nil
}

func usable(outline geom.Outline, edgeMM float64) error {
	if !(edgeMM > 0) || math.IsInf(edgeMM, 0) {
		return fmt.Errorf("triangles with edges of %g mm", edgeMM)
	}
	for _, p := range outline {
		if !(math.Abs(p.X) <= geom.Reach && math.Abs(p.Y) <= geom.Reach) {
			return fmt.Errorf("the outline has a corner at %g, %g", p.X, p.Y)
		}
	}
	if outline.CrossesSelf() {
		return fmt.Errorf("the outline crosses itself")
	}
	if !(outline.Area() > edgeMM*edgeMM/100) {
		return fmt.Errorf("the outline encloses %g mm2: it has no inside to speak of", outline.Area())
	}
	return nil
}

// straight is how little a corner may turn, as twice the area it spans over the square of its longer side, to count as
// none.
const straight = 1e-9

// border is the outline, anticlockwise, with points between its corners so that no edge is longer than edgeMM, and
// which of the points are corners.
func border(outline geom.Outline, edgeMM float64) (points []geom.Point, corners []int) {
	turning := turningCorners(outline)
	for i, p := range turning {
		q := turning[(i+1)%len(turning)]
		corners = append(corners, len(points))
		pieces := min(int(math.Ceil(math.Sqrt(sq(p, q))/edgeMM)), MaxPoints+1)
		for j := range pieces {
			share := float64(j) / float64(pieces)
			points = append(points, geom.Point{X: p.X + share*(q.X-p.X), Y: p.Y + share*(q.Y-p.Y)})
		}
	}
	return points, corners
}

// turningCorners are the corners of an outline that turn, anticlockwise.
func turningCorners(outline geom.Outline) (kept []geom.Point) {
	kept = append(kept, outline...)
	if outline.SignedArea() < 0 {
		slices.Reverse(kept[1:]) // the first corner stays the first
	}
	for i := 0; i < len(kept) && len(kept) > 3; {
		before, after := kept[(i+len(kept)-1)%len(kept)], kept[(i+1)%len(kept)]
		if math.Abs(cross(before, kept[i], after)) > straight*max(sq(before, kept[i]), sq(kept[i], after)) {
			i++
			continue
		}
		kept = append(kept[:i], kept[i+1:]...)
	}
	return kept
}

// cross is twice the area of the triangle a, b, c, positive anticlockwise.
func cross(a, b, c geom.Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// clearOfBorder is how far, in edges, the points inside keep from the border: nearer ones would make slivers.
const clearOfBorder = 0.55

// lattice are the points inside: those of a lattice of even triangles.
func lattice(edge []geom.Point, edgeMM float64) (points []geom.Point) {
	outline := geom.Outline(edge)
	low, high := edge[0], edge[0]
	for _, p := range edge {
		low = geom.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
		high = geom.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	rise := edgeMM * math.Sqrt(3) / 2
	if (high.X-low.X)/edgeMM*(high.Y-low.Y)/rise > 100*MaxPoints {
		return make([]geom.Point, MaxPoints)
	}
	for row := 0; low.Y+float64(row)*rise <= high.Y; row++ {
		shift := float64(row%2) / 2 * edgeMM
		for column := 0; low.X+shift+float64(column)*edgeMM <= high.X; column++ {
			p := geom.Point{X: low.X + shift + float64(column)*edgeMM, Y: low.Y + float64(row)*rise}
			if outline.SignedDistance(p) < -clearOfBorder*edgeMM {
				points = append(points, p)
			}
		}
	}
	return points
}

// clipEars cuts the inside into triangles between the corners: each time the ear that is least of a sliver goes.
func (t *Plan) clipEars(corners []int) bool {
	left := slices.Clone(corners)
	for len(left) > 3 {
		best, quality := -1, 0.0
		for i := range left {
			a, b, c := left[(i+len(left)-1)%len(left)], left[i], left[(i+1)%len(left)]
			if q := t.shapely(a, b, c); q > quality && t.empty(a, b, c, left) {
				best, quality = i, q
			}
		}
		if best < 0 {
			return false
		}
		t.Triangles = append(t.Triangles, [3]int{left[(best+len(left)-1)%len(left)], left[best], left[(best+1)%len(left)]})
		left = append(left[:best], left[best+1:]...)
	}
	if t.shapely(left[0], left[1], left[2]) > 0 {
		t.Triangles = append(t.Triangles, [3]int{left[0], left[1], left[2]})
	}
	return true
}

// splitSides makes the points between the corners corners of triangles, too.
func (t *Plan) splitSides(corners []int) {
	for i, from := range corners {
		to, end := corners[(i+1)%len(corners)], t.Border
		if i+1 < len(corners) {
			end = to
		}
		for point := from + 1; point < end; point++ {
			t.splitSide(point-1, to, point)
		}
	}
}

// splitSide cuts the triangle with a side in two, through a point of the side.
func (t *Plan) splitSide(from, to, point int) {
	for i, c := range t.Triangles {
		for k := range 3 {
			if c[k] == from && c[(k+1)%3] == to {
				far := c[(k+2)%3]
				t.Triangles[i] = [3]int{from, point, far}
				t.Triangles = append(t.Triangles, [3]int{point, to, far})
				return
			}
		}
	}
}

// shapely is the area of a triangle over the square of its longest side: not above 0 for one that is flat or turned
// over.
func (t *Plan) shapely(a, b, c int) float64 {
	p, q, r := t.Points[a], t.Points[b], t.Points[c]
	longest := max(sq(p, q), sq(q, r), sq(r, p))
	if q := cross(p, q, r) / longest; q > 1e-12 {
		return q
	}
	return 0
}

func sq(p, q geom.Point) float64 { return (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y) }

// empty tells whether no other point of the border lies in a triangle.
func (t *Plan) empty(a, b, c int, border []int) bool {
	for _, i := range border {
		if i != a && i != b && i != c && t.holds([3]int{a, b, c}, t.Points[i], 0) {
			return false
		}
	}
	return true
}

// holds tells whether a point lies in a triangle, a share of its area off each side.
func (t *Plan) holds(corners [3]int, p geom.Point, off float64) bool {
	a, b, c := t.Points[corners[0]], t.Points[corners[1]], t.Points[corners[2]]
	least := off * cross(a, b, c)
	return cross(a, b, p) >= least && cross(b, c, p) >= least && cross(c, a, p) >= least
}

// insert puts a point into the triangle that holds it. One that falls on a side is left out: a lattice has others.
func (t *Plan) insert(p geom.Point) {
	for i, corners := range t.Triangles {
		if t.holds(corners, p, 1e-9) {
			n := len(t.Points)
			t.Points = append(t.Points, p)
			t.Triangles[i] = [3]int{corners[0], corners[1], n}
			t.Triangles = append(t.Triangles, [3]int{corners[1], corners[2], n}, [3]int{corners[2], corners[0], n})
			return
		}
	}
}

// flip turns inner edges until none has the far corner of one side's triangle within the circle about the other's. Each
// turn lowers a surface over a finite set of triangulations, so it ends; the bound is for rounding.
func (t *Plan) flip() {
	for range len(t.Triangles) * len(t.Triangles) {
		if !t.flipOnce() {
			return
		}
	}
}

// flipOnce goes over all inner edges once and tells whether any turned.
func (t *Plan) flipOnce() (turned bool) {
	facing := make(map[[2]int]int, 3*len(t.Triangles)) // the triangle to the left of an edge
	for i, corners := range t.Triangles {
		for k := range 3 {
			facing[[2]int{corners[k], corners[(k+1)%3]}] = i
		}
	}
	for i := range t.Triangles {
		for k := range 3 {
			a, b, c := t.Triangles[i][k], t.Triangles[i][(k+1)%3], t.Triangles[i][(k+2)%3]
			j, inner := facing[[2]int{b, a}]
			if !inner {
				continue
			}
			d := t.far(j, a, b)
			if d < 0 || !t.inCircle(a, b, c, d) || t.shapely(a, d, c) == 0 || t.shapely(d, b, c) == 0 {
				continue
			}
			t.Triangles[i], t.Triangles[j] = [3]int{a, d, c}, [3]int{d, b, c}
			for _, edge := range [][3]int{{a, d, i}, {d, c, i}, {c, a, i}, {d, b, j}, {b, c, j}, {c, d, j}} {
				facing[[2]int{edge[0], edge[1]}] = edge[2]
			}
			delete(facing, [2]int{a, b})
			delete(facing, [2]int{b, a})
			turned = true
			break
		}
	}
	return turned
}

// far is the corner of a triangle that is neither of two others.
func (t *Plan) far(triangle, a, b int) int {
	for _, corner := range t.Triangles[triangle] {
		if corner != a && corner != b {
			return corner
		}
	}
	return -1
}

// inCircle tells whether d lies within the circle about a, b, c, by more than rounding.
func (t *Plan) inCircle(a, b, c, d int) bool {
	o := t.Points[d]
	var m [3][3]float64
	size := 0.0
	for i, corner := range [3]int{a, b, c} {
		x, y := t.Points[corner].X-o.X, t.Points[corner].Y-o.Y
		m[i] = [3]float64{x, y, x*x + y*y}
		size = max(size, m[i][2])
	}
	det := m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	return det > 1e-12*size*size
}

// On carries the points of a plan onto a surface.
func (t Plan) On(surface func(geom.Point) geom.Vec) Surface {
	s := Surface{Points: make([]geom.Vec, len(t.Points)), Triangles: t.Triangles, Border: t.Border}
	for i, p := range t.Points {
		s.Points[i] = surface(p)
	}
	return s
}
