package ring

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestWhatIsRefused(t *testing.T) {
	quarter := slices.Repeat([]float64{math.Pi / 2}, 4)
	ones := []float64{1, 1, 1, 1}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name string
		p    Problem
		says string
	}{
		{"nothing", Problem{}, "three elements"},
		{"two elements", Problem{LengthsMM: []float64{1, 1}}, "three elements"},
		{"no length", Problem{LengthsMM: []float64{1, 0, 1}}, "element 1 is 0 mm"},
		{"negative length", Problem{LengthsMM: []float64{1, 1, -1}}, "element 2"},
		{"NaN length", Problem{LengthsMM: []float64{nan, 1, 1}}, "element 0"},
		{"infinite length", Problem{LengthsMM: []float64{1, inf, 1}}, "element 1"},
		{"huge length", Problem{LengthsMM: []float64{2e6, 2e6, 2e6}}, "within"},
		{"open", Problem{LengthsMM: []float64{1, 3, 1}}, "cannot close: element 1"},
		{"flat", Problem{LengthsMM: []float64{1, 2, 1}}, "cannot close"},
		{"all but flat", Problem{LengthsMM: []float64{1, 2 - 1e-6, 1}}, "cannot close"},
		{"short rest", Problem{LengthsMM: ones, Rest: quarter[:3]}, "3 turnings"},
		{"empty rest", Problem{LengthsMM: ones, Rest: []float64{}}, "0 turnings"},
		{"folded rest", Problem{LengthsMM: ones, Rest: []float64{math.Pi, 1, 1, 1}}, "after element 0"},
		{"NaN rest", Problem{LengthsMM: ones, Rest: []float64{1, nan, 1, 1}}, "after element 1"},
		{"half a turn", Problem{LengthsMM: ones, Rest: []float64{1, 1, 1, 0}}, "one turn"},
		{"two turns", Problem{LengthsMM: ones, Rest: slices.Repeat([]float64{math.Pi - 1e-9}, 4)}, "one turn"},
		{"folding over", Problem{LengthsMM: []float64{2, 1, 2, 1}, Rest: []float64{2.3, -1.1, 2, 2*math.Pi - 3.2}}, "folds over"},
		{"too few stiffnesses", Problem{LengthsMM: ones, Stiffness: ones[:2]}, "2 stiffnesses"},
		{"negative stiffness", Problem{LengthsMM: ones, Stiffness: []float64{1, -1, 1, 1}}, "after element 1"},
		{"NaN stiffness", Problem{LengthsMM: ones, Stiffness: []float64{1, 1, nan, 1}}, "after element 2"},
		{"infinite stiffness", Problem{LengthsMM: ones, Stiffness: []float64{1, 1, 1, inf}}, "after element 3"},
		{"no stiffness", Problem{LengthsMM: ones, Stiffness: make([]float64, 4)}, "any stiffness"},
	} {
		s, err := Solve(c.p)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one about %q", c.name, err, c.says)
		}
		if s.Points != nil || s.Turns != nil {
			t.Errorf("%s: refused and answered", c.name)
		}
	}
}

// TestSlackIsEnough: the flattest ring that is accepted, on a circle of its own.
func TestSlackIsEnough(t *testing.T) {
	mustSolve(t, Problem{LengthsMM: []float64{1, 2 / (1 + 1.1*Slack), 1}})
	mustSolve(t, Problem{LengthsMM: []float64{1, 2 / (1 + 1.1*Slack), 1}, Rest: []float64{2, 2, 2*math.Pi - 4}})
}

// TestCrossingIsRefused lengthens the hooks of a C until they would have to pass
// through each other: from 90 degrees on each hook comes down from 10 mm to 5 mm
// above the middle, and three times as long to 5 mm below it.
func TestCrossingIsRefused(t *testing.T) {
	outer, inner := arcPoints(10, -150, 150, 31), arcPoints(8, 150, -150, 31)
	points := append(outer, inner...)
	p := Problem{LengthsMM: Lengths(points), Rest: Turns(points)}
	mustSolve(t, p)
	hooked := func(factor float64) Problem {
		lengths := p.LengthsMM
		for _, from := range []int{0, 24, 31, 55} {
			lengths = cinched(lengths, from, from+6, factor)
		}
		return Problem{LengthsMM: lengths, Rest: p.Rest}
	}
	mustSolve(t, hooked(1.3))
	if s, err := Solve(hooked(3)); err == nil || !strings.Contains(err.Error(), "crosses itself") {
		t.Errorf("error %v, area %g", err, s.AreaMM2())
	}
}
