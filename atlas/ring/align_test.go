package ring

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fairlead/atlas/geom"
)

// arcPoints are count points on a circle about the origin, between two angles in
// degrees.
func arcPoints(radius, from, to float64, count int) []geom.Point {
	points := make([]geom.Point, count)
	for i := range points {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(count-1)) * math.Pi / 180)
		points[i] = geom.Point{X: radius * cos, Y: radius * sin}
	}
	return points
}

func rigid(points []geom.Point, angle, x, y float64) []geom.Point {
	sin, cos := math.Sincos(angle)
	out := make([]geom.Point, len(points))
	for i, p := range points {
		out[i] = geom.Point{X: x + cos*p.X - sin*p.Y, Y: y + sin*p.X + cos*p.Y}
	}
	return out
}

func misfit(a, b []geom.Point, weight []float64) float64 {
	total := 0.0
	for i, w := range weight {
		dx, dy := a[i].X-b[i].X, a[i].Y-b[i].Y
		total += w * (dx*dx + dy*dy)
	}
	return total
}

func TestAlignedUndoesAMotion(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for range 200 {
		s := Shape{Points: convexRest(r, 3+r.IntN(40))}
		there := rigid(s.Points, 20*r.Float64()-10, 100*r.Float64(), -100*r.Float64())
		if miss := farthest(s.Aligned(there, nil), there); miss > 1e-12 {
			t.Fatalf("%g mm off", miss)
		}
		// Two joints fix a motion as well as all do.
		weight := make([]float64, len(there))
		weight[0], weight[1] = 3, 1e-3
		if miss := farthest(s.Aligned(there, weight), there); miss > 1e-10 {
			t.Fatalf("%g mm off by two joints", miss)
		}
	}
}

// TestAlignedIsTheBestMotion compares with motions near and far; the places are
// noisy and mirrored, which a rigid motion must not follow.
func TestAlignedIsTheBestMotion(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	for k := range 100 {
		s := Shape{Points: convexRest(r, 20)}
		there := rigid(s.Points, 1, 5, 6)
		weight := make([]float64, len(there))
		for i := range there {
			there[i].X += r.NormFloat64()
			if k%2 == 0 {
				there[i].Y *= -1
			}
			weight[i] = r.Float64()
		}
		got := s.Aligned(there, weight)
		best := misfit(got, there, weight)
		for range 100 {
			other := rigid(got, r.NormFloat64()*math.Pow(10, -3*r.Float64()), r.NormFloat64(), r.NormFloat64())
			if misfit(other, there, weight) < best {
				t.Fatalf("misfit %g, another motion has %g", best, misfit(other, there, weight))
			}
		}
		if miss := largestDifference(Turns(got), Turns(s.Points)); miss > 1e-10 {
			t.Fatalf("turnings changed by %g", miss)
		}
	}
}

func TestAlignedAtItsLimits(t *testing.T) {
	s := Shape{Points: []geom.Point{{X: 0, Y: 0}, {X: 2, Y: 0}, {X: 1, Y: 1}}}
	nan, inf := math.NaN(), math.Inf(1)
	at := []geom.Point{{X: 5, Y: 7}, {X: 5, Y: 9}, {X: 4, Y: 8}}
	shift := []geom.Point{{X: 5, Y: 7}, {X: 7, Y: 7}, {X: 6, Y: 8}}
	for _, c := range []struct {
		name   string
		onto   []geom.Point
		weight []float64
		want   []geom.Point
	}{
		{"all", at, nil, at},
		{"huge weights", at, []float64{1e308, 1e308, 1e308}, at},
		{"tiny weights", at, []float64{5e-324, 5e-324, 0}, at},
		{"an infinite weight", at, []float64{1, inf, 1}, at},
		{"no places", nil, nil, s.Points},
		{"no weights", at, []float64{}, s.Points},
		{"zero weights", at, []float64{0, 0, 0}, s.Points},
		{"bad weights", at, []float64{nan, -1, inf}, s.Points},
		{"one joint", at, []float64{1}, shift},
		{"one place", at[:1], nil, shift},
		{"bad places", []geom.Point{at[0], {X: nan}, {Y: inf}}, nil, shift},
		{"angle left open", []geom.Point{{X: 6, Y: 7}, {X: 6, Y: 7}}, nil, shift},
	} {
		if miss := farthest(s.Aligned(c.onto, c.weight), c.want); !(miss < 1e-14) {
			t.Errorf("%s: %v, want %v", c.name, s.Aligned(c.onto, c.weight), c.want)
		}
	}
	if got := (Shape{}).Aligned(at, nil); len(got) != 0 {
		t.Errorf("an empty shape moved to %v", got)
	}
	before := slices.Clone(s.Points)
	s.Aligned(at, nil)
	if !slices.Equal(before, s.Points) {
		t.Error("Aligned changed its shape")
	}
}

func TestTurnsAndLengths(t *testing.T) {
	square := []geom.Point{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}}
	if got := Turns(square); !slices.Equal(got, slices.Repeat([]float64{math.Pi / 2}, 4)) {
		t.Errorf("a square turns %v", got)
	}
	uneven := []geom.Point{{}, {X: 4}, {X: 4, Y: 3}}
	if got := Lengths(uneven); !slices.Equal(got, []float64{4, 3, 5}) {
		t.Errorf("lengths %v", got)
	}
	// The turning after element 0 is at joint 1.
	if got := Turns(uneven); got[0] != math.Pi/2 || math.Abs(got[1]-(math.Pi-math.Atan(4.0/3))) > 1e-15 {
		t.Errorf("turnings %v", got)
	}
	if got := Turns([]geom.Point{{}, {}, {X: 1}}); got[0] != 0 {
		t.Errorf("turnings %v beside an edge without length", got)
	}
	if len(Turns(nil)) != 0 || len(Lengths(nil)) != 0 || len(Turns([]geom.Point{{}})) != 1 {
		t.Error("no points, or one, have no turnings")
	}
}

func TestShapeOfNothing(t *testing.T) {
	var s Shape
	if s.AreaMM2() != 0 || s.PerimeterMM() != 0 || s.Convex() {
		t.Error("no points enclose something")
	}
	hollow := Shape{Turns: Turns([]geom.Point{{}, {X: 2, Y: 1}, {X: 4}, {X: 2, Y: 4}})}
	if hollow.Convex() {
		t.Error("a hollow shape counts as convex")
	}
}
