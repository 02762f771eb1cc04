package geom

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/interp"
)

// randomKnots are n knots within a period, none nearer to the next than a
// quarter of the mean distance.
func randomKnots(r *rand.Rand, n int, period, from float64) (at, value []float64) {
	for i := range n {
		at = append(at, from+period*(float64(i)+0.75*r.Float64())/float64(n))
		value = append(value, 10*r.NormFloat64())
	}
	return at, value
}

// TestPeriodicSplineAgainstNaturalCubic lays the knots out seven periods long and
// lets gonum put an ordinary cubic through them, straight at its far ends. What
// those ends do dies away by more than half from knot to knot, so in the middle
// period the two curves are one.
func TestPeriodicSplineAgainstNaturalCubic(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	worst := 0.0
	for range 60 {
		n, period, from := 16+r.IntN(20), 1+9*r.Float64(), 20*(r.Float64()-0.5)
		at, value := randomKnots(r, n, period, from)
		spline, err := NewPeriodicSpline(period, at, value)
		if err != nil {
			t.Fatal(err)
		}
		var xs, ys []float64
		for turn := -3.0; turn <= 3; turn++ {
			for i := range at {
				xs, ys = append(xs, at[i]+turn*period), append(ys, value[i])
			}
		}
		var natural interp.NaturalCubic
		if err := natural.Fit(xs, ys); err != nil {
			t.Fatal(err)
		}
		for range 100 {
			x := from + period*r.Float64()
			worst = max(worst, math.Abs(spline.At(x)-natural.Predict(x)))
			if d := math.Abs(spline.Slope(x) - natural.PredictDerivative(x)); d > 1e-9*(1+math.Abs(spline.Slope(x))) {
				t.Fatalf("slope at %g: %g, gonum %g", x, spline.Slope(x), natural.PredictDerivative(x))
			}
		}
	}
	t.Logf("largest difference %.2g", worst)
	if worst > 1e-11 {
		t.Errorf("largest difference %g", worst)
	}
}

// TestPeriodicSplineKeepsItsPromises: through its values, the same a period on,
// and without a jump in value, slope or second derivative at any knot.
func TestPeriodicSplineKeepsItsPromises(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	for range 500 {
		n, period := 3+r.IntN(10), 1+9*r.Float64()
		at, value := randomKnots(r, n, period, 10*(r.Float64()-0.5))
		s, err := NewPeriodicSpline(period, at, value)
		if err != nil {
			t.Fatal(err)
		}
		// What the curve can reach: a slope averages 0 over a period.
		bend, tall := 0.0, 0.0
		for i, x := range at {
			bend, tall = max(bend, math.Abs(s.Curvature2(x))), max(tall, math.Abs(value[i]))
		}
		tall += bend * period * period
		for i, x := range at {
			if got := s.At(x); math.Abs(got-value[i]) > 1e-12 {
				t.Fatalf("at knot %d: %g, want %g", i, got, value[i])
			}
			// Over a step of 2h the second derivative, straight within intervals
			// of period/4n at least, moves by 16nh·bend at most.
			const h = 1e-9
			before, after := x-h*period, x+h*period
			if jump := s.At(after) - s.At(before) - 2*h*period*s.Slope(x); math.Abs(jump) > 1e-13*tall {
				t.Fatalf("value jumps by %g at knot %d", jump, i)
			}
			if jump := s.Slope(after) - s.Slope(before) - 2*h*period*s.Curvature2(x); math.Abs(jump) > 1e-12*float64(n)*tall/period {
				t.Fatalf("slope jumps by %g at knot %d", jump, i)
			}
			if jump := s.Curvature2(after) - s.Curvature2(before); math.Abs(jump) > 17*float64(n)*h*bend {
				t.Fatalf("second derivative jumps by %g at knot %d, from %g", jump, i, s.Curvature2(x))
			}
		}
		x := at[0] + period*r.Float64()
		if a, b := s.At(x), s.At(x-3*period); math.Abs(a-b) > 1e-9*(1+math.Abs(s.Slope(x))) {
			t.Fatalf("three periods apart: %g and %g", a, b)
		}
	}
}

// TestPeriodicSplineByHand has four knots round a wave 1, 0, -1, 0 of period 4.
// By symmetry the second derivatives are m, 0, -m, 0 with 4m = 6·(-2).
func TestPeriodicSplineByHand(t *testing.T) {
	s, err := NewPeriodicSpline(4, []float64{0, 1, 2, 3}, []float64{1, 0, -1, 0})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ x, value, slope, second float64 }{
		{0, 1, 0, -3},
		{1, 0, -1.5, 0},
		{2, -1, 0, 3},
		{3, 0, 1.5, 0},
		{0.5, 0.6875, -1.125, -1.5},
		{-0.5, 0.6875, 1.125, -1.5},
		{400.5, 0.6875, -1.125, -1.5},
	} {
		if v, d, m := s.At(c.x), s.Slope(c.x), s.Curvature2(c.x); math.Abs(v-c.value) > 1e-15 || math.Abs(d-c.slope) > 1e-15 || math.Abs(m-c.second) > 1e-14 {
			t.Errorf("at %g: %g, %g, %g; want %g, %g, %g", c.x, v, d, m, c.value, c.slope, c.second)
		}
	}
}

// TestPeriodicSplineConverges: halving the knots' distance on a smooth curve must
// divide the error by about sixteen, the order of a cubic.
func TestPeriodicSplineConverges(t *testing.T) {
	errorWith := func(n int) float64 {
		at, value := make([]float64, n), make([]float64, n)
		for i := range at {
			at[i] = 2 * math.Pi * float64(i) / float64(n)
			value[i] = math.Exp(math.Sin(at[i]))
		}
		s, err := NewPeriodicSpline(2*math.Pi, at, value)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for x := 0.0; x < 7; x += 0.003 {
			worst = max(worst, math.Abs(s.At(x)-math.Exp(math.Sin(x))))
		}
		return worst
	}
	if ratio := errorWith(40) / errorWith(80); ratio < 14 || ratio > 18 {
		t.Errorf("the error shrinks by %g", ratio)
	}
}

func TestPeriodicSplineRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	three := []float64{1, 2, 3}
	for _, c := range []struct {
		name      string
		period    float64
		at, value []float64
		says      string
	}{
		{"zero period", 0, three, three, "period must be a positive number, not 0"},
		{"NaN period", nan, three, three, "period"},
		{"infinite period", inf, three, three, "period"},
		{"uneven", 9, three, []float64{1, 2}, "3 knots but 2 values"},
		{"too few", 9, []float64{1, 2}, []float64{1, 2}, "at least 3 knots"},
		{"out of order", 9, []float64{1, 3, 2}, three, "knot 2 at 2 does not come after knot 1 at 3"},
		{"repeated", 9, []float64{1, 1, 2}, three, "knot 1"},
		{"a whole period", 2, three, three, "not within one period of 2"},
		{"NaN knot", 9, []float64{1, nan, 3}, three, "knot 1 is at NaN"},
		{"infinite value", 9, three, []float64{1, 2, inf}, "value +Inf"},
		{"too close", 9, []float64{0, 1e-300, 3}, []float64{0, 1e20, 0}, "too close"},
	} {
		_, err := NewPeriodicSpline(c.period, c.at, c.value)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one saying %q", c.name, err, c.says)
		}
	}
}

func TestPeriodicSplineZeroValueAndOddInput(t *testing.T) {
	var zero PeriodicSpline
	if zero.At(3) != 0 || zero.Slope(3) != 0 || zero.Curvature2(3) != 0 {
		t.Error("the zero spline is not 0")
	}
	at, value := []float64{0, 1, 2}, []float64{5, 6, 7}
	s, err := NewPeriodicSpline(3, at, value)
	if err != nil {
		t.Fatal(err)
	}
	at[1], value[1] = 9, 9
	if s.At(1) != 6 {
		t.Error("the spline shares its caller's slices")
	}
	if got := s.At(math.Inf(1)); !math.IsNaN(got) {
		t.Errorf("at infinity: %g, want NaN", got)
	}
	for _, x := range []float64{1e300, -1e300, math.Nextafter(3, 0), math.Nextafter(0, -1), -5e-324} {
		if !finite(s.At(x)) || math.Abs(s.At(x)) > 10 {
			t.Errorf("at %g: %g", x, s.At(x))
		}
	}
}
