package growth_test

import (
	"fmt"
	"math"
	"testing"

	"fairlead/atlas/growth"
)

func limit(t *testing.T, name string) growth.Limit {
	t.Helper()
	l, err := load().Limit(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// 1.0 cm² (baumgartner-2009, secondary) is a circle 11.3 mm across (derived).
func TestStenosisAreaAsACircle(t *testing.T) {
	if got := fmt.Sprintf("%.1f", 2*math.Sqrt(limit(t, "stenosis-area").Value/math.Pi)); got != "11.3" {
		t.Errorf("a circle %s mm across, want 11.3", got)
	}
}

// 8.6 cm² · (1 - 0.35) = 5.6 cm² (derived from addetia-2019, abstract; not a published limit).
func TestOwnCycleAreaFollowsFromItsShare(t *testing.T) {
	const endDiastoleMM2, areaChange = 860, 0.35
	share, area := limit(t, "orifice-own-cycle"), limit(t, "orifice-own-cycle-area")
	if math.Abs(share.Value-100*(1-areaChange)) > 1e-9 || math.Abs(area.Value-endDiastoleMM2*(1-areaChange)) > 1e-9 {
		t.Errorf("%v %% and %v mm2", share.Value, area.Value)
	}
	if share.Grade != "derived" || area.Grade != "derived" {
		t.Errorf("graded %s and %s: neither is a published limit", share.Grade, area.Grade)
	}
}

func TestRulesOfThumbAreCalledThat(t *testing.T) {
	for _, name := range []string{"orifice-half", "orifice-two-thirds"} {
		if l := limit(t, name); l.Grade != "practice" || l.Source.Read != "none" {
			t.Errorf("%s is graded %s on a source read as %s", name, l.Grade, l.Source.Read)
		}
	}
}

func TestReached(t *testing.T) {
	for _, c := range []struct {
		sense               string
		beneath, at, beyond bool
	}{
		{growth.AtMost, true, true, false},
		{growth.Below, true, false, false},
		{growth.AtLeast, false, true, true},
		{growth.Above, false, false, true},
		{growth.About, false, false, false},
	} {
		l := growth.Limit{Sense: c.sense, Value: 40}
		if l.Reached(39) != c.beneath || l.Reached(40) != c.at || l.Reached(41) != c.beyond {
			t.Errorf("%s 40: 39 %t, 40 %t, 41 %t", c.sense, l.Reached(39), l.Reached(40), l.Reached(41))
		}
		if l.Reached(math.NaN()) {
			t.Errorf("%s 40 is reached by no number", c.sense)
		}
	}
}

// The senses as printed: area up to 1.0 cm², gradient from 5 mmHg, integral beyond 60 cm, half-time from 190 ms
// (baumgartner-2009, secondary; one reprint has two signs reversed); diameter from 40 mm, index beyond 21 mm/m²
// (esc-2017, secondary); stretched from 70 mm (dreyfus-2005, abstract).
func TestLimitsAsPrinted(t *testing.T) {
	for name, want := range map[string]string{
		"stenosis-area":            "at-most 100 mm2 secondary",
		"stenosis-gradient":        "at-least 5 mmHg secondary",
		"stenosis-inflow-integral": "above 60 cm secondary",
		"stenosis-half-time":       "at-least 190 ms secondary",
		"dilated-diameter":         "at-least 40 mm secondary",
		"dilated-index":            "above 21 mm/m2 secondary",
		"dilated-stretched":        "at-least 70 mm abstract",
		"recurrence-index":         "above 22.5 mm/m2 abstract",
		"ring-index":               "below 18.9 mm/m2 abstract",
		"reduction-harm":           "at-least 60 % abstract",
		"biventricular-least-z":    "below -2.8 z abstract",
	} {
		l := limit(t, name)
		if got := fmt.Sprintf("%s %v %s %s", l.Sense, l.Value, l.Unit, l.Grade); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if _, err := load().Limit("safe-area"); err == nil {
		t.Error("there is a safe area, which nobody has published")
	}
}
