package geom

import (
	"fmt"
	"math"
	"sort"
)

// PeriodicSpline is a smooth curve through values at knots that repeats with a
// period: cubic between knots, with the value, the slope and the second
// derivative continuous everywhere. The knots have the unit of the period, the
// values a unit of their own. The zero value is 0 everywhere.
type PeriodicSpline struct {
	period float64
	at     []float64
	value  []float64
	second []float64 // the second derivative at the knots
}

// NewPeriodicSpline makes the spline of the given period that takes value[i] at
// at[i]. There must be at least three knots, strictly increasing and all within
// one period: the last less than one period after the first. The slices are
// copied.
func NewPeriodicSpline(period float64, at, value []float64) (PeriodicSpline, error) {
	if err := checkKnots(period, at, value); err != nil {
		return PeriodicSpline{}, err
	}
	s := PeriodicSpline{
		period: period,
		at:     append([]float64(nil), at...),
		value:  append([]float64(nil), value...),
	}
	s.second = s.solve()
	for i, m := range s.second {
		if !finite(m) {
			return PeriodicSpline{}, fmt.Errorf("periodic spline: the curve at knot %d (%g) bends beyond what a number can hold: the knots are too close for their values", i, at[i])
		}
	}
	return s, nil
}

// checkKnots says what keeps a periodic spline from being made.
func checkKnots(period float64, at, value []float64) error {
	if !(period > 0) || !finite(period) {
		return fmt.Errorf("periodic spline: the period must be a positive number, not %g", period)
	}
	if len(at) != len(value) {
		return fmt.Errorf("periodic spline: %d knots but %d values", len(at), len(value))
	}
	if len(at) < 3 {
		return fmt.Errorf("periodic spline: at least 3 knots are needed, not %d", len(at))
	}
	for i := range at {
		if !finite(at[i]) || !finite(value[i]) {
			return fmt.Errorf("periodic spline: knot %d is at %g with value %g: both must be finite", i, at[i], value[i])
		}
		if i > 0 && at[i] <= at[i-1] {
			return fmt.Errorf("periodic spline: knot %d at %g does not come after knot %d at %g", i, at[i], i-1, at[i-1])
		}
	}
	if last := len(at) - 1; at[last]-at[0] >= period {
		return fmt.Errorf("periodic spline: the knots run from %g to %g, which is not within one period of %g", at[0], at[last], period)
	}
	return nil
}

// finite reports whether x is neither infinite nor NaN.
func finite(x float64) bool { return x-x == 0 }

// width is the length of the interval after knot i; the one after the last knot
// closes the period.
func (s PeriodicSpline) width(i int) float64 {
	if i == len(s.at)-1 {
		return s.at[0] + s.period - s.at[i]
	}
	return s.at[i+1] - s.at[i]
}

// after is the knot that follows knot i round the period.
func (s PeriodicSpline) after(i int) int { return (i + 1) % len(s.at) }

// solve finds the second derivatives at the knots. That the slope be continuous
// at knot i reads, with h the widths,
//
//	h[i-1]·m[i-1] + 2(h[i-1]+h[i])·m[i] + h[i]·m[i+1] = 6·(rise[i] - rise[i-1])
//
// round the period: a tridiagonal system with two corners (standard). The
// corners are moved into a rank-one change of a plain tridiagonal matrix, and
// the Sherman-Morrison formula takes it back. The matrix is diagonally dominant,
// so no pivoting is needed.
func (s PeriodicSpline) solve() []float64 {
	n := len(s.at)
	side, diagonal, right := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		before := (i + n - 1) % n
		h, g := s.width(i), s.width(before)
		side[i] = h // couples i and i+1
		diagonal[i] = 2 * (g + h)
		right[i] = 6 * ((s.value[s.after(i)]-s.value[i])/h - (s.value[i]-s.value[before])/g)
	}
	corner := side[n-1]
	shift := -diagonal[0]
	diagonal[0] -= shift
	diagonal[n-1] -= corner * corner / shift
	change := make([]float64, n)
	change[0], change[n-1] = shift, corner

	m := solveTridiagonal(side, diagonal, right)
	z := solveTridiagonal(side, diagonal, change)
	ratio := corner / shift
	scale := (m[0] + ratio*m[n-1]) / (1 + z[0] + ratio*z[n-1])
	for i := range m {
		m[i] -= scale * z[i]
	}
	return m
}

// solveTridiagonal solves the symmetric tridiagonal system with the given
// diagonal and side[i] between rows i and i+1, by elimination downwards and
// substitution upwards.
func solveTridiagonal(side, diagonal, right []float64) []float64 {
	n := len(diagonal)
	pivot, x := make([]float64, n), make([]float64, n)
	pivot[0], x[0] = diagonal[0], right[0]
	for i := 1; i < n; i++ {
		k := side[i-1] / pivot[i-1]
		pivot[i] = diagonal[i] - k*side[i-1]
		x[i] = right[i] - k*x[i-1]
	}
	x[n-1] /= pivot[n-1]
	for i := n - 2; i >= 0; i-- {
		x[i] = (x[i] - side[i]*x[i+1]) / pivot[i]
	}
	return x
}

// stretch is one interval of the spline with a place in it: a and b are the
// fractions of the width h still to go and gone.
type stretch struct {
	a, b, h        float64
	v0, v1, m0, m1 float64
}

// locate brings x into the period and finds its interval. ok is false for the
// zero spline.
func (s PeriodicSpline) locate(x float64) (p stretch, ok bool) {
	if len(s.at) == 0 {
		return p, false
	}
	from := math.Mod(x-s.at[0], s.period)
	if from < 0 {
		from += s.period
	}
	x = s.at[0] + from
	i := max(0, sort.Search(len(s.at), func(i int) bool { return s.at[i] > x })-1)
	j, h := s.after(i), s.width(i)
	b := (x - s.at[i]) / h
	return stretch{1 - b, b, h, s.value[i], s.value[j], s.second[i], s.second[j]}, true
}

// At returns the value at any real x. An x that is not finite gives NaN.
func (s PeriodicSpline) At(x float64) float64 {
	p, ok := s.locate(x)
	if !ok {
		return 0
	}
	cubic := (p.a*p.a*p.a-p.a)*p.m0 + (p.b*p.b*p.b-p.b)*p.m1
	return p.a*p.v0 + p.b*p.v1 + cubic*p.h*p.h/6
}

// Slope returns the first derivative at any real x.
func (s PeriodicSpline) Slope(x float64) float64 {
	p, ok := s.locate(x)
	if !ok {
		return 0
	}
	return (p.v1-p.v0)/p.h + ((3*p.b*p.b-1)*p.m1-(3*p.a*p.a-1)*p.m0)*p.h/6
}

// Curvature2 returns the second derivative at any real x; between knots it is
// straight.
func (s PeriodicSpline) Curvature2(x float64) float64 {
	p, ok := s.locate(x)
	if !ok {
		return 0
	}
	return p.a*p.m0 + p.b*p.m1
}
