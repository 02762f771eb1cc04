package growth_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"fairlead/atlas/growth"
)

func pattern(t *testing.T, name string) growth.Pattern {
	t.Helper()
	p, err := load().Pattern(name)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Sums of the segments by severity: 108.1, 113.5, 123.1 mm (derived from teng-2022, abstract), n = 317.
func TestSeriesSums(t *testing.T) {
	series := load().OperativeSeries()
	var got string
	for _, row := range series.Rows {
		got += fmt.Sprintf("%s %.1f ", row.Name, row.Means().Sum())
	}
	if want := "mild 108.1 moderate 113.5 severe 123.1 "; got != want || series.Patients != 317 {
		t.Errorf("%sin %d patients, want %sin 317", got, series.Patients, want)
	}
}

// The series as printed (teng-2022, abstract).
func TestSeriesAsPrinted(t *testing.T) {
	want := []string{
		"{mild {33.31 6.94} {36.71 6.3} {38.11 5.28}}",
		"{moderate {35.56 7.63} {38.21 8.35} {39.76 6.9}}",
		"{severe {38.98 8.7} {41.63 9.2} {42.46 7.5}}",
	}
	for i, row := range load().OperativeSeries().Rows {
		if got := fmt.Sprint(row); got != want[i] {
			t.Errorf("%s, want %s", got, want[i])
		}
	}
}

// From mild to severe the segments lengthen by 17.0, 13.4 and 11.4 % (teng-2022, abstract; recomputed here from its
// lengths), and the pattern of that name has those proportions.
func TestOperativePatternIsTheSeries(t *testing.T) {
	rows := load().OperativeSeries().Rows
	mild, severe := rows[0].Means(), rows[2].Means()
	got := fmt.Sprintf("%.1f %.1f %.1f", 100*(severe.Posterior/mild.Posterior-1), 100*(severe.Anterior/mild.Anterior-1), 100*(severe.Septal/mild.Septal-1))
	if got != "17.0 13.4 11.4" {
		t.Errorf("the series lengthens by %s %%, want 17.0 13.4 11.4", got)
	}
	s := pattern(t, "operative").Stretch
	if got := fmt.Sprintf("%.1f %.1f %.1f", 17.0*s.Posterior, 17.0*s.Anterior, 17.0*s.Septal); got != "17.0 13.4 11.4" {
		t.Errorf("the pattern is %s, want 17.0 13.4 11.4", got)
	}
}

// The pattern, taken from mild to severe, foretells the moderate rims it was not made from: within the standard
// error of their means, which is at least SD/√317 (teng-2022, abstract; the sizes of the groups were not read).
func TestOperativePatternForetellsModerate(t *testing.T) {
	series := load().OperativeSeries()
	mild, moderate := series.Rows[0].Means(), series.Rows[1]
	got, err := pattern(t, "operative").StretchedTo(mild, moderate.Means().Sum())
	if err != nil {
		t.Fatal(err)
	}
	root := math.Sqrt(float64(series.Patients))
	for name, pair := range map[string]struct {
		got  float64
		want growth.Measured
	}{
		"posterior": {got.Posterior, moderate.Posterior}, "anterior": {got.Anterior, moderate.Anterior}, "septal": {got.Septal, moderate.Septal},
	} {
		if math.Abs(pair.got-pair.want.Mean) > pair.want.SD/root {
			t.Errorf("%s %.2f mm, measured %.2f, least standard error %.2f", name, pair.got, pair.want.Mean, pair.want.SD/root)
		}
	}
}

// Severe rims from mild ones: off by no more than the last printed digit of the percentages allows (0.05 %).
func TestOperativePatternGivesSevere(t *testing.T) {
	rows := load().OperativeSeries().Rows
	mild, severe := rows[0].Means(), rows[2].Means()
	got, want := pattern(t, "operative").Stretched(mild, 0.17), severe
	const halfDigit = 0.0005
	if math.Abs(got.Posterior-want.Posterior) > halfDigit*mild.Posterior ||
		math.Abs(got.Anterior-want.Anterior) > halfDigit*mild.Anterior ||
		math.Abs(got.Septal-want.Septal) > halfDigit*mild.Septal {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// Classical teaching: 80 : 40 : 10 (classical-teaching, secondary). Uniform: 1 : 1 : 1 (assumption).
func TestPatternProportions(t *testing.T) {
	for name, want := range map[string]struct {
		stretch growth.Segments
		grade   string
	}{
		"classical": {growth.Segments{Posterior: 1, Anterior: 0.5, Septal: 0.125}, "secondary"},
		"uniform":   {growth.Segments{Posterior: 1, Anterior: 1, Septal: 1}, "assumption"},
	} {
		if p := pattern(t, name); p.Stretch != want.stretch || p.Grade != want.grade {
			t.Errorf("%s: %+v graded %s, want %+v", name, p.Stretch, p.Grade, want)
		}
	}
}

func TestStretchedToReachesTheLength(t *testing.T) {
	rest := growth.Segments{Posterior: 34.1, Anterior: 40.3, Septal: 30.6}
	for _, p := range load().Patterns() {
		for _, rimMM := range []float64{105.0000001, 118, 130, 200} {
			got, err := p.StretchedTo(rest, rimMM)
			if err != nil || math.Abs(got.Sum()-rimMM) > 1e-9 {
				t.Errorf("%s to %v mm: %+v adds up to %v (%v)", p.Name, rimMM, got, got.Sum(), err)
			}
			// Stretch per length is in the proportions of the pattern.
			share := got.Posterior/rest.Posterior - 1
			if math.Abs(got.Septal/rest.Septal-1-share*p.Stretch.Septal) > 1e-9 || math.Abs(got.Anterior/rest.Anterior-1-share*p.Stretch.Anterior) > 1e-9 {
				t.Errorf("%s to %v mm: %+v is out of proportion", p.Name, rimMM, got)
			}
		}
	}
}

func TestStretchedToRefuses(t *testing.T) {
	p := pattern(t, "classical")
	rest := growth.Segments{Posterior: 34, Anterior: 40, Septal: 31}
	for _, rimMM := range []float64{104.9, 0, -1, math.NaN(), math.Inf(1)} {
		_, err := p.StretchedTo(rest, rimMM)
		var out *growth.OutOfRangeError
		if !errors.As(err, &out) {
			t.Errorf("to %v mm: error %v", rimMM, err)
		}
	}
	for _, bad := range []growth.Segments{{Posterior: 0, Anterior: 40, Septal: 31}, {Posterior: 34, Anterior: math.NaN(), Septal: 31}, {Posterior: 34, Anterior: 40, Septal: -31}} {
		if got, err := p.StretchedTo(bad, 130); err == nil {
			t.Errorf("%+v became %+v", bad, got)
		}
	}
	if _, err := load().Pattern("classic"); err == nil {
		t.Error("there is a pattern called classic")
	}
}
