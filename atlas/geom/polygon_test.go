package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

var (
	square  = Outline{{0, 0}, {4, 0}, {4, 4}, {0, 4}}
	bowtie  = Outline{{0, 0}, {4, 4}, {4, 0}, {0, 4}}
	channel = Outline{{0, 0}, {9, 0}, {9, 6}, {6, 6}, {6, 3}, {3, 3}, {3, 6}, {0, 6}} // a U
)

func TestOutlineDistanceByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		o    Outline
		p    Point
		want float64
	}{
		{"middle of the square", square, Point{2, 2}, -2},
		{"near an edge", square, Point{3, 1.5}, -1},
		{"outside an edge", square, Point{6, 1}, 2},
		{"outside a corner", square, Point{7, 8}, 5},
		{"on an edge", square, Point{4, 1}, 0},
		{"on a corner", square, Point{0, 4}, 0},
		{"level with a corner", square, Point{-1, 4}, 1},
		{"in the channel", channel, Point{4.5, 5}, 1.5},
		{"in an arm", channel, Point{1, 5}, -1},
		{"beneath the channel", channel, Point{4.5, 1}, -1},
		{"a wing of the bowtie", bowtie, Point{3.5, 2}, -0.5},
		{"between the wings", bowtie, Point{2, 3}, math.Sqrt2 / 2},
		{"one corner", Outline{{1, 1}}, Point{4, 5}, 5},
		{"two corners", Outline{{1, 1}, {9, 1}}, Point{4, 5}, 4},
		{"no corner", nil, Point{4, 5}, math.Inf(1)},
	} {
		if got := c.o.SignedDistance(c.p); got != c.want && math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
		if got := c.o.Contains(c.p); got != (c.want <= 0) {
			t.Errorf("%s: Contains says %t", c.name, got)
		}
	}
	if !square.Contains(Point{4 + 0.9*OnBoundaryMM, 2}) || square.Contains(Point{4 + 1.2*OnBoundaryMM, 2}) {
		t.Error("the boundary is not as wide as OnBoundaryMM")
	}
}

// TestOutlineContainsAgainstWinding counts turns instead of crossings: the
// angles under which the edges are seen add up to a whole number of turns.
func TestOutlineContainsAgainstWinding(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 1))
	inside := 0
	for range 4000 {
		o := starOutline(r, 3+r.IntN(12))
		if r.IntN(3) == 0 {
			r.Shuffle(len(o), func(i, j int) { o[i], o[j] = o[j], o[i] })
		}
		p := Point{9 * (2*r.Float64() - 1), 9 * (2*r.Float64() - 1)}
		turn := 0.0
		for i := range o {
			a, b := o[i].sub(p), o[(i+1)%len(o)].sub(p)
			turn += math.Atan2(a.cross(b), a.X*b.X+a.Y*b.Y)
		}
		odd := int(math.Round(turn/(2*math.Pi)))%2 != 0
		if o.Contains(p) != odd && math.Abs(o.SignedDistance(p)) > 1e-9 {
			t.Fatalf("%v in %v: %t, by turns %t", p, o, o.Contains(p), odd)
		}
		if odd {
			inside++
		}
	}
	if inside < 500 {
		t.Errorf("only %d points inside", inside)
	}
}

func TestOutlineMeasures(t *testing.T) {
	for _, c := range []struct {
		name            string
		o               Outline
		area, perimeter float64
		centroid        Point
	}{
		{"square", square, 16, 16, Point{2, 2}},
		{"square, other way", Outline{{0, 4}, {4, 4}, {4, 0}, {0, 0}}, 16, 16, Point{2, 2}},
		{"triangle", Outline{{0, 0}, {3, 0}, {0, 4}}, 6, 12, Point{1, 4.0 / 3}},
		// Two arms 3×6 and a bridge 3×3.
		{"channel", channel, 45, 36, Point{4.5, (2*18*3 + 9*1.5) / 45}},
		{"bowtie", bowtie, 0, 8 + 8*math.Sqrt2, Point{2, 2}},
		{"folded flat", Outline{{0, 0}, {6, 0}, {2, 0}}, 0, 12, Point{3, 0}},
		{"two corners", Outline{{0, 0}, {0, 8}}, 0, 16, Point{0, 4}},
		{"one corner", Outline{{3, 5}}, 0, 0, Point{3, 5}},
		{"one corner twice", Outline{{3, 5}, {3, 5}}, 0, 0, Point{3, 5}},
		{"nothing", nil, 0, 0, Point{}},
	} {
		if got := c.o.Area(); math.Abs(got-c.area) > 1e-14 {
			t.Errorf("%s: area %g, want %g", c.name, got, c.area)
		}
		if got := c.o.Perimeter(); math.Abs(got-c.perimeter) > 1e-14 {
			t.Errorf("%s: perimeter %g, want %g", c.name, got, c.perimeter)
		}
		if got := c.o.Centroid(); got.distance(c.centroid) > 1e-14 {
			t.Errorf("%s: centroid %v, want %v", c.name, got, c.centroid)
		}
	}
}

// TestEllipseOutline has a polygon inscribed in an ellipse; its perimeter falls
// short of 4a·E(m), and its area of πab, by the square of the angle step.
func TestEllipseOutline(t *testing.T) {
	const a, b, n = 7.0, 4.0, 20000
	o := make(Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		o[i] = Point{100 + a*cos, -50 + b*sin}
	}
	perimeter, area := 4*a*mathext.CompleteE(1-b*b/(a*a)), math.Pi*a*b
	step := 2 * math.Pi / n
	if short := perimeter - o.Perimeter(); short < 0 || short > perimeter*step*step/8 {
		t.Errorf("perimeter %.12g, ellipse %.12g", o.Perimeter(), perimeter)
	}
	if short := area - o.Area(); short < 0 || short > area*step*step/4 {
		t.Errorf("area %.12g, ellipse %.12g", o.Area(), area)
	}
	if miss := o.Centroid().distance(Point{100, -50}); miss > 1e-11 {
		t.Errorf("centroid off by %g", miss)
	}
}

// moved turns and shifts an outline or a path.
func movedPoints(points []Point, angle float64, shift Point) []Point {
	sin, cos := math.Sincos(angle)
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{cos*p.X - sin*p.Y + shift.X, sin*p.X + cos*p.Y + shift.Y}
	}
	return out
}

func TestOutlineProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 2))
	for range 1500 {
		o := starOutline(r, 3+r.IntN(12))
		p := Point{9 * (2*r.Float64() - 1), 9 * (2*r.Float64() - 1)}
		q := Point{p.X + r.Float64(), p.Y - r.Float64()}
		d := o.SignedDistance(p)
		if change := math.Abs(o.SignedDistance(q) - d); change > p.distance(q)+1e-12 {
			t.Fatalf("distance changes by %g over %g", change, p.distance(q))
		}
		angle, shift := 7*r.Float64(), Point{30 * r.Float64(), -20 * r.Float64()}
		m := Outline(movedPoints(o, angle, shift))
		mp := movedPoints([]Point{p}, angle, shift)[0]
		if got := m.SignedDistance(mp); math.Abs(got-d) > 1e-12 {
			t.Fatalf("moved: %g, was %g", got, d)
		}
		if math.Abs(m.Area()-o.Area()) > 1e-11 || math.Abs(m.Perimeter()-o.Perimeter()) > 1e-12 {
			t.Fatalf("moved: area %g and perimeter %g, were %g and %g", m.Area(), m.Perimeter(), o.Area(), o.Perimeter())
		}
		if got := movedPoints([]Point{o.Centroid()}, angle, shift)[0]; got.distance(m.Centroid()) > 1e-11 {
			t.Fatalf("moved: centroid %v, want %v", m.Centroid(), got)
		}
		k := r.IntN(len(o))
		begunElsewhere := append(append(Outline{}, o[k:]...), o[:k]...)
		if got := begunElsewhere.SignedDistance(p); math.Abs(got-d) > 1e-13 {
			t.Fatalf("begun at corner %d: %g, was %g", k, got, d)
		}
	}
}

func TestCrossesSelf(t *testing.T) {
	for _, c := range []struct {
		name string
		o    Outline
		want bool
	}{
		{"nothing", nil, false},
		{"one corner", Outline{{1, 1}}, false},
		{"two corners", Outline{{1, 1}, {2, 2}}, false},
		{"square", square, false},
		{"channel", channel, false},
		{"bowtie", bowtie, true},
		{"repeated corner", Outline{{0, 0}, {4, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}, false},
		{"straight corner", Outline{{0, 0}, {2, 0}, {4, 0}, {4, 4}}, false},
		{"spike", Outline{{0, 0}, {4, 0}, {4, 4}, {4, 7}, {4, 4}, {0, 4}}, true},
		{"folded flat", Outline{{0, 0}, {6, 0}, {2, 0}}, true},
		{"corner touches an edge", Outline{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}, true},
		{"corner just off the edge", Outline{{0, 0}, {4, 0}, {4, 4}, {2, 5e-324}, {0, 4}}, false},
		{"pinched at a corner", Outline{{0, 0}, {2, 2}, {4, 0}, {4, 4}, {2, 2}, {0, 4}}, true},
		{"edges overlap", Outline{{0, 0}, {4, 0}, {4, 2}, {3, 0}, {1, 0}, {0, 2}}, true},
	} {
		if got := c.o.CrossesSelf(); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
	r := rand.New(rand.NewPCG(10, 3))
	for range 500 {
		o := starOutline(r, 4+r.IntN(12))
		if o.CrossesSelf() {
			t.Fatalf("star outline %v counts as crossing itself", o)
		}
		// Two neighbouring corners of a convex outline swapped make a crossing.
		o = circleOutline(4+r.IntN(9), 5)
		k := r.IntN(len(o) - 1)
		o[k], o[k+1] = o[k+1], o[k]
		if !o.CrossesSelf() {
			t.Fatalf("outline with swapped corners %v does not cross itself", o)
		}
	}
}

// TestOrientIsExact lays points on a line whose determinant plain arithmetic
// gets wrong, and moves one by the least possible.
func TestOrientIsExact(t *testing.T) {
	p, q := Point{0.5, 0.5}, Point{12, 12}
	for _, x := range []float64{0.1, 3.3, 17.00000001, 24, 1e-300} {
		for _, c := range []struct {
			r    Point
			want int
		}{
			{Point{x, x}, 0},
			{Point{x, math.Nextafter(x, 99)}, 1},
			{Point{math.Nextafter(x, 99), x}, -1},
		} {
			if got := orient(p, q, c.r); got != c.want {
				t.Errorf("turn towards %v: %d, want %d", c.r, got, c.want)
			}
			if got := orient(q, p, c.r); got != -c.want {
				t.Errorf("turn back towards %v: %d, want %d", c.r, got, -c.want)
			}
		}
	}
	if got := orient(p, q, Point{math.Inf(1), 0}); got != 0 {
		t.Errorf("turn towards infinity: %d", got)
	}
}

// Run the other way round an outline has the other sign, and the same size.
func TestSignedArea(t *testing.T) {
	backwards := Outline{square[0], square[3], square[2], square[1]}
	if square.SignedArea() != 16 || backwards.SignedArea() != -16 {
		t.Errorf("%g and %g, want 16 and -16", square.SignedArea(), backwards.SignedArea())
	}
	if got := (Outline)(nil).SignedArea(); got != 0 {
		t.Errorf("nothing has the area %g", got)
	}
}
