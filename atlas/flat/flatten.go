package flat

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

// Surface is a piece of surface in space, made of triangles. Its first Border points
// are its edge in order; its triangles run anticlockwise as seen from the side that
// is to be looked at.
type Surface struct {
	Points    []geom.Vec
	Triangles [][3]int
	Border    int
}

// Sheet is a surface laid out flat, seen from the side that was to be looked at.
type Sheet struct {
	Points []geom.Point // in the order of the surface's
	Border int

	// PerimeterMM, AreaMM2 and FlatPerimeterMM, FlatAreaMM2 are those of the surface
	// and of the sheet. The sheet is scaled by a hair so that both err alike.
	PerimeterMM, AreaMM2         float64
	FlatPerimeterMM, FlatAreaMM2 float64

	// Longest and Shortest are the most and the least that a short way anywhere on
	// the surface is lengthened: 0.02 is 2 % longer on the sheet, -0.02 shorter.
	// RootMean is the root of the mean square over the area.
	Longest, Shortest, RootMean float64
}

// Edge is the sheet's outline.
func (s Sheet) Edge() geom.Outline { return geom.Outline(s.Points[:s.Border]) }

// Distortion is the greater of Longest and of Shortest without its sign.
func (s Sheet) Distortion() float64 { return max(s.Longest, -s.Shortest) }

// settled is by how much, as a share of the perimeter, a step may still move a point when the sheet is said to rest.
const settled = 1e-9

// Flatten lays a surface out flat.
//
// It is an error if the surface has a triangle without area or a point that is not
// finite, or if it will not lie flat: pieces that close up or bend far round come to
// lie over themselves.
func Flatten(s Surface) (Sheet, error) {
	if err := s.check(); err != nil {
		return Sheet{}, err
	}
	own := s.ownPlanes()
	points, err := s.keepingAngles(own)
	if err != nil {
		return Sheet{}, err
	}
	if points, err = s.keepingShapes(own, points); err != nil {
		return Sheet{}, err
	}
	for i, corners := range s.Triangles {
		if !(cross(points[corners[0]], points[corners[1]], points[corners[2]]) > 0) {
			return Sheet{}, fmt.Errorf("the surface does not lie flat: triangle %d turns over", i)
		}
	}
	if geom.Outline(points[:s.Border]).CrossesSelf() {
		return Sheet{}, errors.New("the surface does not lie flat: its edge crosses itself")
	}
	return s.sheet(own, points), nil
}

func (s Surface) check() error {
	if s.Border < 3 || s.Border > len(s.Points) || len(s.Points) > MaxPoints {
		return fmt.Errorf("a surface of %d points, %d of them its edge; it takes 3 to %d", len(s.Points), s.Border, MaxPoints)
	}
	used := make([]bool, len(s.Points))
	for i, corners := range s.Triangles {
		for _, c := range corners {
			if c < 0 || c >= len(s.Points) || !s.Points[c].IsFinite() {
				return fmt.Errorf("triangle %d has a corner that is not there", i)
			}
			used[c] = true
		}
		a, b, c := s.corners(corners)
		if longest := max(a.Distance(b), b.Distance(c), c.Distance(a)); !(b.Sub(a).Cross(c.Sub(a)).Norm() > 1e-9*longest*longest) {
			return fmt.Errorf("triangle %d has no area", i)
		}
	}
	for i, u := range used {
		if !u {
			return fmt.Errorf("point %d belongs to no triangle", i)
		}
	}
	return nil
}

func (s Surface) corners(t [3]int) (a, b, c geom.Vec) {
	return s.Points[t[0]], s.Points[t[1]], s.Points[t[2]]
}

// ownPlanes lays every triangle out on a plane of its own: its first corner at the origin, its first side along X.
func (s Surface) ownPlanes() [][3]geom.Point {
	own := make([][3]geom.Point, len(s.Triangles))
	for i, t := range s.Triangles {
		a, b, c := s.corners(t)
		along := b.Sub(a).Unit()
		way := c.Sub(a)
		x := way.Dot(along)
		own[i] = [3]geom.Point{{}, {X: b.Distance(a)}, {X: x, Y: way.Sub(along.Scale(x)).Norm()}}
	}
	return own
}

// keepingAngles is the flat map that keeps angles best in the least squares sense, two points far apart held. In
// complex numbers, a triangle with corners z keeps its angles where Σ w_k u_k = 0, w_k being the side opposite corner k;
// each triangle counts by 1 over its area.
func (s Surface) keepingAngles(own [][3]geom.Point) ([]geom.Point, error) {
	n := len(s.Points)
	first, second := s.apart()
	column := make([]int, n) // among the unknowns
	unknowns := 0
	for i := range column {
		column[i] = -1
		if i != first && i != second {
			column[i] = unknowns
			unknowns++
		}
	}
	held := make([]geom.Point, n)
	held[second].X = s.Points[first].Distance(s.Points[second])
	normal, right := mat.NewSymDense(2*unknowns, nil), mat.NewVecDense(2*unknowns, nil)
	for i, t := range s.Triangles {
		var w [3]geom.Point
		for k := range 3 {
			p, q := own[i][(k+1)%3], own[i][(k+2)%3]
			w[k] = geom.Point{X: q.X - p.X, Y: q.Y - p.Y}
		}
		weight := 1 / cross(own[i][0], own[i][1], own[i][2])
		for k, corner := range t {
			for l, other := range t {
				if column[corner] < 0 {
					continue
				}
				// The product of the conjugate of w_k with w_l, as a rotation and a stretch.
				re, im := weight*(w[k].X*w[l].X+w[k].Y*w[l].Y), weight*(w[k].X*w[l].Y-w[k].Y*w[l].X)
				row := column[corner]
				if column[other] < 0 {
					right.SetVec(row, right.AtVec(row)-re*held[other].X+im*held[other].Y)
					right.SetVec(row+unknowns, right.AtVec(row+unknowns)-im*held[other].X-re*held[other].Y)
					continue
				}
				addSym(normal, row, column[other], re)
				addSym(normal, row+unknowns, column[other]+unknowns, re)
				addUpper(normal, row, column[other]+unknowns, -im)
			}
		}
	}
	var solver mat.Cholesky
	var found mat.VecDense
	if !solver.Factorize(normal) || solver.SolveVecTo(&found, right) != nil {
		return nil, errors.New("the surface does not lie flat: it hangs together by single points")
	}
	points := held
	for i, c := range column {
		if c >= 0 {
			points[i] = geom.Point{X: found.AtVec(c), Y: found.AtVec(c + unknowns)}
		}
	}
	return points, nil
}

// addSym adds to one half of a symmetric matrix what a loop over all ordered pairs gives twice.
func addSym(m *mat.SymDense, i, j int, value float64) {
	if i <= j {
		m.SetSym(i, j, m.At(i, j)+value)
	}
}

// addUpper adds to an entry of the block beside the diagonal, which every pair reaches once.
func addUpper(m *mat.SymDense, i, j int, value float64) { m.SetSym(i, j, m.At(i, j)+value) }

// apart are two points of the edge far from each other: the farthest from the first, and the farthest from that.
func (s Surface) apart() (first, second int) {
	farthest := func(from int) (to int) {
		for i := range s.Border {
			if s.Points[i].Distance(s.Points[from]) > s.Points[to].Distance(s.Points[from]) {
				to = i
			}
		}
		return to
	}
	first = farthest(0)
	return first, farthest(first)
}

// mostSteps bounds the steps to rest. A patch takes some hundred.
const mostSteps = 20000

// keepingShapes moves the points until every triangle is as near to its own shape as its neighbours let it: by turns the
// triangles turn to fit the points best, and the points move to fit the turned triangles best. Neither step can raise
// the sum of squares.
func (s Surface) keepingShapes(own [][3]geom.Point, points []geom.Point) ([]geom.Point, error) {
	weights := s.cotangents(own)
	var solver mat.Cholesky
	if !solver.Factorize(s.springs(weights)) {
		return nil, errors.New("the surface does not lie flat: it hangs together by single points")
	}
	n := len(points)
	rest := settled * perimeter(s.Points[:s.Border])
	for range mostSteps {
		right := mat.NewDense(n-1, 2, nil)
		add := func(i int, x, y float64) {
			if i > 0 {
				right.Set(i-1, 0, right.At(i-1, 0)+x)
				right.Set(i-1, 1, right.At(i-1, 1)+y)
			}
		}
		for i, t := range s.Triangles {
			cos, sin := bestTurn(own[i], t, points, weights[i])
			for k := range 3 {
				a, b, w := k, (k+1)%3, weights[i][k]
				x, y := own[i][a].X-own[i][b].X, own[i][a].Y-own[i][b].Y
				x, y = w*(cos*x-sin*y), w*(sin*x+cos*y)
				add(t[a], x, y)
				add(t[b], -x, -y)
			}
		}
		var found mat.Dense
		if err := solver.SolveTo(&found, right); err != nil {
			return nil, fmt.Errorf("flatten: %w", err)
		}
		moved, most := make([]geom.Point, n), 0.0
		for i := range moved {
			if i > 0 {
				moved[i] = geom.Point{X: found.At(i-1, 0), Y: found.At(i-1, 1)}
			}
			// Only the shape counts: the first point is held in the origin.
			was := geom.Point{X: points[i].X - points[0].X, Y: points[i].Y - points[0].Y}
			most = max(most, math.Sqrt(sq(moved[i], was)))
		}
		points = moved
		if most < rest {
			return points, nil
		}
	}
	return nil, errors.New("the surface does not lie flat: it does not come to rest")
}

// leastCotangent keeps every edge a little stiff, also one opposite an angle of more than a right one.
const leastCotangent = 0.02

// cotangents are, for the side after each corner of each triangle, half the cotangent of the angle opposite.
func (s Surface) cotangents(own [][3]geom.Point) [][3]float64 {
	weights := make([][3]float64, len(own))
	for i, p := range own {
		twice := cross(p[0], p[1], p[2])
		for k := range 3 {
			a, b, c := p[k], p[(k+1)%3], p[(k+2)%3]
			weights[i][k] = max(((a.X-c.X)*(b.X-c.X)+(a.Y-c.Y)*(b.Y-c.Y))/twice, leastCotangent) / 2
		}
	}
	return weights
}

// springs is the matrix of the points' moves, the first point held.
func (s Surface) springs(weights [][3]float64) *mat.SymDense {
	m := mat.NewSymDense(len(s.Points)-1, nil)
	for i, t := range s.Triangles {
		for k := range 3 {
			a, b, w := t[k]-1, t[(k+1)%3]-1, weights[i][k]
			for _, one := range [2]int{a, b} {
				if one >= 0 {
					m.SetSym(one, one, m.At(one, one)+w)
				}
			}
			if a >= 0 && b >= 0 {
				m.SetSym(a, b, m.At(a, b)-w)
			}
		}
	}
	return m
}

// bestTurn is the cosine and sine of the turn that brings a triangle, as it is on its own plane, nearest to its corners.
func bestTurn(own [3]geom.Point, t [3]int, points []geom.Point, weights [3]float64) (cos, sin float64) {
	var dot, turn float64
	for k := range 3 {
		a, b := k, (k+1)%3
		x, y := own[a].X-own[b].X, own[a].Y-own[b].Y
		u, v := points[t[a]].X-points[t[b]].X, points[t[a]].Y-points[t[b]].Y
		dot += weights[k] * (x*u + y*v)
		turn += weights[k] * (x*v - y*u)
	}
	size := math.Hypot(dot, turn)
	if size == 0 {
		return 1, 0
	}
	return dot / size, turn / size
}

func perimeter(edge []geom.Vec) (sum float64) {
	for i, p := range edge {
		sum += p.Distance(edge[(i+1)%len(edge)])
	}
	return sum
}

// sheet scales the points so that perimeter and area err alike, and measures what is left.
func (s Surface) sheet(own [][3]geom.Point, points []geom.Point) Sheet {
	sheet := Sheet{Points: points, Border: s.Border, PerimeterMM: perimeter(s.Points[:s.Border])}
	for _, p := range own {
		sheet.AreaMM2 += cross(p[0], p[1], p[2]) / 2
	}
	edge := sheet.Edge()
	p, a := edge.Perimeter()/sheet.PerimeterMM, edge.Area()/sheet.AreaMM2
	scale := (math.Sqrt(p*p+8*a) - p) / (2 * a) // scale·p - 1 = 1 - scale²·a
	for i := range sheet.Points {
		sheet.Points[i].X *= scale
		sheet.Points[i].Y *= scale
	}
	sheet.FlatPerimeterMM, sheet.FlatAreaMM2 = edge.Perimeter(), edge.Area()
	s.measureStretch(own, &sheet)
	return sheet
}

// measureStretch finds how much ways are lengthened: within a triangle the map is linear, and its two principal
// stretches are the singular values of its matrix.
func (s Surface) measureStretch(own [][3]geom.Point, sheet *Sheet) {
	sheet.Longest, sheet.Shortest = math.Inf(-1), math.Inf(1)
	squares := 0.0
	for i, t := range s.Triangles {
		u, v, w := sheet.Points[t[0]], sheet.Points[t[1]], sheet.Points[t[2]]
		b, c := own[i][1], own[i][2]
		// The matrix takes (b.X, 0) to v-u and (c.X, c.Y) to w-u.
		xx, yx := (v.X-u.X)/b.X, (v.Y-u.Y)/b.X
		xy, yy := (w.X-u.X-c.X*xx)/c.Y, (w.Y-u.Y-c.X*yx)/c.Y
		mean, spread := math.Hypot(xx+yy, yx-xy)/2, math.Hypot(xx-yy, yx+xy)/2
		long, short := mean+spread-1, mean-spread-1
		sheet.Longest, sheet.Shortest = max(sheet.Longest, long), min(sheet.Shortest, short)
		squares += (long*long + short*short) / 2 * cross(own[i][0], b, c) / 2
	}
	sheet.RootMean = math.Sqrt(squares / sheet.AreaMM2)
}
