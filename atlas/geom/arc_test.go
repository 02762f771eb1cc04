package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestArcByHand(t *testing.T) {
	for _, c := range []struct {
		name           string
		a, mid, b      Vec
		radius, length float64
		quarter        Vec
	}{
		{"half circle", Vec{-2, 0, 0}, Vec{0, 2, 0}, Vec{2, 0, 0}, 2, 2 * math.Pi, Vec{-math.Sqrt2, math.Sqrt2, 0}},
		{"three quarters", Vec{1, 0, 0}, Vec{-math.Sqrt2 / 2, math.Sqrt2 / 2, 0}, Vec{0, -1, 0}, 1, 1.5 * math.Pi,
			Vec{math.Cos(3 * math.Pi / 8), math.Sin(3 * math.Pi / 8), 0}},
		{"straight", Vec{0, 0, 0}, Vec{1, 1, 1}, Vec{4, 4, 4}, math.Inf(1), 4 * math.Sqrt(3), Vec{1, 1, 1}},
		{"mid beyond the end", Vec{0, 0, 0}, Vec{9, 0, 0}, Vec{4, 0, 0}, math.Inf(1), 4, Vec{1, 0, 0}},
		{"mid on the start", Vec{1, 0, 0}, Vec{1, 0, 0}, Vec{5, 0, 0}, math.Inf(1), 4, Vec{2, 0, 0}},
		{"ends together", Vec{1, 2, 3}, Vec{4, 4, 4}, Vec{1, 2, 3}, math.Inf(1), 0, Vec{1, 2, 3}},
		{"one point", Vec{1, 2, 3}, Vec{1, 2, 3}, Vec{1, 2, 3}, math.Inf(1), 0, Vec{1, 2, 3}},
	} {
		arc := ArcThrough(c.a, c.mid, c.b)
		if got := arc.Radius(); got != c.radius && math.Abs(got-c.radius) > 1e-14 {
			t.Errorf("%s: radius %g, want %g", c.name, got, c.radius)
		}
		if got := arc.Length(); math.Abs(got-c.length) > 1e-14 {
			t.Errorf("%s: length %g, want %g", c.name, got, c.length)
		}
		if got := arc.At(0.25); got.Distance(c.quarter) > 1e-14 {
			t.Errorf("%s: a quarter of the way %v, want %v", c.name, got, c.quarter)
		}
		if arc.At(0) != c.a || arc.At(1) != c.b {
			t.Errorf("%s: runs from %v to %v", c.name, arc.At(0), arc.At(1))
		}
	}
}

// randomArc also answers the circle it lies on and where mid is on it.
func randomArc(r *rand.Rand) (a, mid, b, centre Vec, radius, sweep, part float64) {
	centre, axes := randomVec(r, 20), randomAxes(r)
	radius, sweep, part = 1+20*r.Float64(), 0.05+6*r.Float64(), 0.1+0.8*r.Float64()
	on := func(angle float64) Vec {
		sin, cos := math.Sincos(angle)
		return centre.Add(axes[0].Scale(radius * cos)).Add(axes[1].Scale(radius * sin))
	}
	return on(0), on(sweep * part), on(sweep), centre, radius, sweep, part
}

// TestArcIsFoundAgain makes circles, takes three points and wants the circle back.
func TestArcIsFoundAgain(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for i := range 3000 {
		a, mid, b, centre, radius, sweep, part := randomArc(r)
		arc := ArcThrough(a, mid, b)
		// Three points rounded at 1e-14 fix a flat arc's circle less and less well.
		flat := 1e-12 / (min(sweep, 2*math.Pi-sweep) * min(sweep, 2*math.Pi-sweep))
		got, ok := arc.Centre()
		if !ok || got.Distance(centre) > flat*radius || math.Abs(arc.Radius()-radius) > flat*radius {
			t.Fatalf("arc %d: centre %v radius %g, want %v and %g", i, got, arc.Radius(), centre, radius)
		}
		if math.Abs(arc.Sweep()-sweep) > flat || math.Abs(arc.Length()-radius*sweep) > flat*radius {
			t.Fatalf("arc %d: sweep %g, want %g", i, arc.Sweep(), sweep)
		}
		if miss := arc.At(part).Distance(mid); miss > flat*radius {
			t.Fatalf("arc %d: passes mid at a distance of %g", i, miss)
		}
		for _, u := range []float64{0.001, 0.3, 0.5, 0.9, 0.999} {
			if off := math.Abs(arc.At(u).Distance(centre) - radius); off > flat*radius {
				t.Fatalf("arc %d: %g off its circle at %g", i, off, u)
			}
			// The tangent against a difference quotient, good to its square.
			step := arc.At(u + 1e-6).Sub(arc.At(u - 1e-6)).Unit()
			if arc.Tangent(u).Distance(step) > 1e-7 {
				t.Fatalf("arc %d: tangent %v at %g, moves along %v", i, arc.Tangent(u), u, step)
			}
		}
	}
}

func TestArcMovesRigidly(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	for range 1000 {
		a, mid, b := randomVec(r, 10), randomVec(r, 10), randomVec(r, 10)
		m := randomMotion(r)
		still, moved := ArcThrough(a, mid, b), ArcThrough(m.move(a), m.move(mid), m.move(b))
		back := ArcThrough(b, mid, a)
		for _, u := range []float64{0.1, 0.5, 0.8} {
			tolerance := 1e-12 * (1 + still.Radius()*still.Radius())
			if miss := m.move(still.At(u)).Distance(moved.At(u)); miss > tolerance {
				t.Fatalf("moved arc misses by %g at %g", miss, u)
			}
			if miss := still.At(u).Distance(back.At(1 - u)); miss > tolerance {
				t.Fatalf("arc gone backwards misses by %g at %g", miss, u)
			}
		}
	}
}

// TestArcStraightensGently flattens an arc until it counts as straight; its
// middle must never leave the mid point by more than StraightSine allows.
func TestArcStraightensGently(t *testing.T) {
	straight := 0
	for e := -1.0; e >= -14; e -= 0.25 {
		mid := Vec{0, math.Pow(10, e), 0}
		arc := ArcThrough(Vec{-5, 0, 0}, mid, Vec{5, 0, 0})
		if miss := arc.At(0.5).Distance(mid); miss > StraightSine*10/4 {
			t.Errorf("sag %g: misses mid by %g", mid.Y, miss)
		}
		if arc.Sweep() == 0 {
			straight++
		} else if miss := arc.At(0.5).Distance(mid); miss > 1e-14 {
			t.Errorf("sag %g: bent arc misses mid by %g", mid.Y, miss)
		}
	}
	if straight == 0 || straight > 30 {
		t.Errorf("%d of 53 arcs count as straight", straight)
	}
}

// TestStraightSineIsTheLimit: a mid point h above the middle of a 10 mm chord sees
// the ends under an angle of sine 2h/5, for a small h.
func TestStraightSineIsTheLimit(t *testing.T) {
	for _, c := range []struct {
		sine     float64
		straight bool
	}{{0.9e-9, true}, {1.1e-9, false}} {
		arc := ArcThrough(Vec{-5, 0, 0}, Vec{0, c.sine * 2.5, 0}, Vec{5, 0, 0})
		if (arc.Sweep() == 0) != c.straight {
			t.Errorf("sine %g: sweep %g", c.sine, arc.Sweep())
		}
	}
}

func TestChordsKeepTheSag(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 3))
	for range 500 {
		a, mid, b, _, radius, sweep, _ := randomArc(r)
		arc := ArcThrough(a, mid, b)
		sag := math.Pow(10, -4+4*r.Float64())
		points := arc.Chords(sag, nil)
		if points[0] != a || points[len(points)-1] != b {
			t.Fatal("an end is missing")
		}
		deepest := 0.0
		for i := 1; i < len(points); i++ {
			middle := points[i-1].Lerp(points[i], 0.5)
			// The middle of the arc above the chord, straight out from the
			// centre, or away from it over more than half a circle.
			top := arc.At((float64(i) - 0.5) / float64(len(points)-1))
			deepest = max(deepest, middle.Distance(top))
		}
		if deepest > sag*(1+1e-9)+1e-11 {
			t.Fatalf("sag %g, allowed %g", deepest, sag)
		}
		// One chord fewer would not do, so the count is the smallest.
		if n := len(points) - 1; n > 1 && radius*(1-math.Cos(sweep/float64(n-1)/2)) < sag*(1-1e-9) {
			t.Fatalf("%d chords where %d would keep the sag %g", n, n-1, sag)
		}
	}
}

func TestChordsAtTheirLimits(t *testing.T) {
	half := ArcThrough(Vec{-2, 0, 0}, Vec{0, 2, 0}, Vec{2, 0, 0})
	for _, c := range []struct {
		name   string
		arc    Arc
		sag    float64
		points int
	}{
		{"no sag allowed", half, 0, MaxChords + 1},
		{"negative sag", half, -1, MaxChords + 1},
		{"NaN sag", half, math.NaN(), MaxChords + 1},
		{"tiny sag", half, 1e-300, MaxChords + 1},
		{"huge sag", half, 100, 2},
		{"infinite sag", half, math.Inf(1), 2},
		{"straight", ArcThrough(Vec{}, Vec{X: 1}, Vec{X: 2}), 0.1, 2},
		{"point", Arc{}, 0.1, 2},
	} {
		if got := len(c.arc.Chords(c.sag, nil)); got != c.points {
			t.Errorf("%s: %d points, want %d", c.name, got, c.points)
		}
	}
	kept := half.Chords(0.1, []Vec{{9, 9, 9}})
	if kept[0] != (Vec{9, 9, 9}) || kept[1] != (Vec{-2, 0, 0}) {
		t.Error("Chords does not append to what is there")
	}
}

func FuzzArcThrough(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 2.0, 0.0, 0.0, 0.5)
	f.Add(1e6, 1e6, 1e6, 1e6, 1e6, -1e6, 1e6, 1e6, 1e6, 0.1)
	f.Add(0.0, 0.0, 0.0, 1.0, 1e-9, 0.0, 2.0, 0.0, 0.0, 1.0)
	f.Add(0.0, 0.0, 0.0, 5e-324, 0.0, 0.0, 0.0, 5e-324, 0.0, 1e-3)
	// Found by fuzzing: mid and b so close that the product of their distances is 0.
	f.Add(51.0, 0.0, 0.0, 5e-324, 0.0, 0.0, 0.0, 5e-324, 0.0, 0.001)
	f.Fuzz(func(t *testing.T, ax, ay, az, mx, my, mz, bx, by, bz, u float64) {
		if !withinReach(ax, ay, az, mx, my, mz, bx, by, bz, u) {
			return
		}
		a, b := Vec{ax, ay, az}, Vec{bx, by, bz}
		arc := ArcThrough(a, Vec{mx, my, mz}, b)
		if !arc.At(u).IsFinite() || !arc.Tangent(u).IsFinite() {
			t.Fatalf("at %g: %v, along %v", u, arc.At(u), arc.Tangent(u))
		}
		if !(arc.Length() >= a.Distance(b)*(1-1e-12)) || !(arc.Radius() >= 0) {
			t.Fatalf("length %g, radius %g, ends %g apart", arc.Length(), arc.Radius(), a.Distance(b))
		}
		points := arc.Chords(u, nil)
		if len(points) < 2 || len(points) > MaxChords+1 || points[0] != a || points[len(points)-1] != b {
			t.Fatalf("%d points from %v to %v", len(points), points[0], points[len(points)-1])
		}
	})
}
