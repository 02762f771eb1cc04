package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestVecArithmetic(t *testing.T) {
	a, b := Vec{1, 2, 3}, Vec{-4, 5, 0.5}
	for _, c := range []struct {
		name      string
		got, want Vec
	}{
		{"Add", a.Add(b), Vec{-3, 7, 3.5}},
		{"Sub", a.Sub(b), Vec{5, -3, 2.5}},
		{"Scale", a.Scale(-2), Vec{-2, -4, -6}},
		{"Cross", a.Cross(b), Vec{-14, -12.5, 13}},
		{"Lerp at 0", a.Lerp(b, 0), a},
		{"Lerp at 1", a.Lerp(b, 1), b},
		{"Lerp half way", a.Lerp(b, 0.5), Vec{-1.5, 3.5, 1.75}},
		{"Lerp beyond", a.Lerp(b, 2), Vec{-9, 8, -2}},
		{"Unit of zero", Vec{}.Unit(), Vec{}},
		{"Unit along y", Vec{0, -3, 0}.Unit(), Vec{0, -1, 0}},
	} {
		if c.got != c.want {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	if got := a.Dot(b); got != 7.5 {
		t.Errorf("Dot: %g, want 7.5", got)
	}
	if got := a.Distance(Vec{1, 5, 7}); got != 5 {
		t.Errorf("Distance: %g, want 5", got)
	}
}

// TestLerpHitsItsEnds: a + (b - a) is often not b, once rounded.
func TestLerpHitsItsEnds(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 1000 {
		a, b := randomVec(r, 1e3), randomVec(r, 1)
		if a.Lerp(b, 0) != a || a.Lerp(b, 1) != b {
			t.Fatalf("from %v to %v: runs from %v to %v", a, b, a.Lerp(b, 0), a.Lerp(b, 1))
		}
	}
}

func TestNormHoldsForTinyAndHuge(t *testing.T) {
	for _, k := range []float64{1e-320, 1e-200, 1e-150, 1, 1e150, 1e200, 1e307} {
		v := Vec{2 * k, -3 * k, 6 * k}
		// Subnormal numbers carry few digits: there the norm is right to one unit.
		want := 7 * k
		if got := v.Norm(); math.Abs(got-want) > 1e-15*want+math.SmallestNonzeroFloat64 {
			t.Errorf("norm at scale %g: %g, want %g", k, got, want)
		}
		if got := v.Unit().Norm(); math.Abs(got-1) > 1e-15 {
			t.Errorf("norm of unit at scale %g: %g", k, got)
		}
	}
}

func TestIsFinite(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, v := range []Vec{{inf, 0, 0}, {0, -inf, 0}, {0, 0, nan}} {
		if v.IsFinite() {
			t.Errorf("%v counts as finite", v)
		}
	}
	if !(Vec{math.MaxFloat64, -1, 0}).IsFinite() {
		t.Error("a finite vector does not count as finite")
	}
}

func TestPerpendicularIsSquareAndUnit(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	vectors := []Vec{{}, {X: 1}, {Y: -2}, {Z: 1e-30}, {1, 1, 1}, {X: 1e-320}}
	for range 500 {
		vectors = append(vectors, randomVec(r, 10))
	}
	for _, v := range vectors {
		p := v.perpendicular()
		if math.Abs(p.Norm()-1) > 1e-15 || math.Abs(p.Dot(v.Unit())) > 1e-15 {
			t.Errorf("perpendicular of %v is %v", v, p)
		}
	}
}
