package growth_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"fairlead/atlas/growth"
)

func convert(t *testing.T, quantity string, value float64, from string) growth.Conversion {
	t.Helper()
	c, err := load().Convert(quantity, value, from)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The published comparisons of methods: CT less 3-D echo, perimeter +19 ± 7 mm and area +3.8 ± 1.7 cm² (addetia-2019,
// abstract); rim intact 105 and flattened 117.5 mm, septal 30.6 and 32, the rest 74 and 46.3 + 39.1 (antoniali-2006,
// abstract; the ratios derived); 2-D 16 against 3-D 19 mm/m² (adult-index-abstract, abstract; the ratio derived).
func TestConvertPublished(t *testing.T) {
	for _, c := range []struct {
		quantity string
		value    float64
		from     string
		want     string
	}{
		{growth.Perimeter, 124, "ct", "105.0 ± 7.0 mm abstract abstract"},
		{growth.Area, 1240, "ct", "860.0 ± 170.0 mm2 abstract abstract"},
		{growth.Perimeter, 117.5, "cadaver-flattened", "105.0 ± 6.3 mm derived assumption"},
		{growth.Perimeter, 105, "cadaver-intact", "105.0 ± 6.3 mm derived assumption"},
		{"septal-segment", 32, "cadaver-flattened", "30.6 ± 1.8 mm derived assumption"},
		{"anterior-segment", 46.3, "cadaver-flattened", "40.1 ± 2.4 mm derived assumption"},
		{"posterior-segment", 39.1, "cadaver-flattened", "33.9 ± 2.0 mm derived assumption"},
		{growth.DiameterLateral, 28, "echo-2d", "33.2 ± 2.7 mm derived assumption"},
		{growth.Perimeter, 108, "direct", "108.0 ± 8.6 mm assumption assumption"},
		{growth.Area, 860, "echo-3d", "860.0 ± 0.0 mm2 derived derived"},
	} {
		got := convert(t, c.quantity, c.value, c.from)
		text := fmt.Sprintf("%.1f ± %.1f %s %s %s", got.Value, got.AddedSD, got.Unit, got.Grade, got.SDGrade)
		if text != c.want || got.From != c.from || got.To != load().Reference() {
			t.Errorf("%s %v from %s to %s: %s, want %s", c.quantity, c.value, got.From, got.To, text, c.want)
		}
	}
}

// Flattened, anterior and posterior segments (46.3 and 39.1) become the free wall of the intact rim, 74 mm
// (antoniali-2006, abstract).
func TestFlattenedSegmentsMakeTheFreeWall(t *testing.T) {
	sum := convert(t, "anterior-segment", 46.3, "cadaver-flattened").Value + convert(t, "posterior-segment", 39.1, "cadaver-flattened").Value
	if math.Abs(sum-74) > 1e-9 {
		t.Errorf("anterior and posterior make %v mm, want 74", sum)
	}
}

// The difference in diameter by CT is that in perimeter, 19 ± 7 mm, over π (assumption), to two decimals.
func TestDiameterByCTFollowsFromPerimeter(t *testing.T) {
	ct, err := load().Method("ct")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, o := range ct.Offsets {
		if o.Quantity == growth.Perimeter || o.Quantity == growth.Area {
			continue
		}
		seen++
		got := fmt.Sprintf("%.2f %.2f %s", o.Difference, o.SD, o.Grade)
		if want := fmt.Sprintf("%.2f %.2f assumption", 19/math.Pi, 7/math.Pi); got != want {
			t.Errorf("%s: %s, want %s", o.Quantity, got, want)
		}
	}
	if seen != 4 {
		t.Errorf("%d diameters by CT, want 4", seen)
	}
}

// 40 mm by echo and 70 mm stretched are different measurements, by whatever method.
func TestStretchedIsNeverConverted(t *testing.T) {
	for _, m := range load().Methods() {
		_, err := load().Convert("commissure-stretched", 70, m.Name)
		var not *growth.NotConvertibleError
		if !errors.As(err, &not) || not.Method != m.Label {
			t.Errorf("by %s: error %v", m.Name, err)
		}
	}
}

func TestConvertRefuses(t *testing.T) {
	for _, c := range []struct{ quantity, from string }{
		{growth.Area, "direct"}, {growth.Area, "echo-2d"}, {growth.Perimeter, "echo-2d"}, {"septal-segment", "ct"},
		{"leaflet-height", "echo-3d"}, {"leaflet-height", "ct"},
	} {
		_, err := load().Convert(c.quantity, 100, c.from)
		var not *growth.NotConvertibleError
		if !errors.As(err, &not) {
			t.Errorf("%s by %s: error %v, want that it is not convertible", c.quantity, c.from, err)
		}
	}
	_, err := load().Convert(growth.Area, 860, "mri")
	var unknown *growth.UnknownError
	if !errors.As(err, &unknown) || len(unknown.Known) != len(load().Methods()) {
		t.Errorf("by mri: error %v, want the methods there are", err)
	}
}

func TestConvertRefusesSizes(t *testing.T) {
	for _, c := range []struct {
		value float64
		from  string
	}{
		{87.9, "ct"}, {math.NaN(), "ct"}, {math.Inf(1), "ct"}, {0, "direct"}, {-1, "direct"}, {math.Inf(-1), "echo-3d"}, {math.NaN(), "echo-3d"},
	} {
		_, err := load().Convert(growth.Perimeter, c.value, c.from)
		var out *growth.OutOfRangeError
		if !errors.As(err, &out) || out.Mend == "" {
			t.Errorf("perimeter %v by %s: error %v, want out of range with a hint", c.value, c.from, err)
		}
	}
}

// Whatever an offset is asked for, at its least value and far above, something positive is left, and more is more.
func TestConvertedSizesArePositiveAndInOrder(t *testing.T) {
	for _, m := range load().Methods() {
		for _, o := range m.Offsets {
			least := max(o.Least, 1e-3)
			small, large := convert(t, o.Quantity, least, m.Name), convert(t, o.Quantity, 3*least, m.Name)
			if !(0 < small.Value && small.Value < large.Value && small.AddedSD > 0) || small.Unit != o.Unit {
				t.Errorf("%s by %s: %+v and %+v", o.Quantity, m.Name, small, large)
			}
		}
	}
}

// Where equality is taken for granted, the data own up to it.
func TestNoOffsetWithoutAReason(t *testing.T) {
	for _, m := range load().Methods() {
		for _, o := range m.Offsets {
			if o.Source.Read == "none" && (o.Factor != 1 || o.Grade != "assumption" || o.Note == "") {
				t.Errorf("%s by %s: factor %v, difference %v, graded %s, rests on nothing read", o.Quantity, m.Name, o.Factor, o.Difference, o.Grade)
			}
		}
	}
}
