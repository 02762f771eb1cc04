package growth_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fairlead/atlas/growth"
)

func predict(t *testing.T, dataset, quantity string, bsaM2 float64) growth.Prediction {
	t.Helper()
	p, err := load().Predict(dataset, quantity, bsaM2)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

const mm2PerCM2 = 100

// The evidence's table of both regressions, computed by somebody else from the published coefficients (derived from
// lopez-2017, abstract, and pettersen-2008, secondary): mean (z -2, z +2), diameters in mm, area in cm², to its digits.
func TestPredictTable(t *testing.T) {
	columns := []struct {
		dataset, quantity string
		scale             float64
	}{
		{"pettersen-2008", growth.DiameterLateral, 1},
		{"phn-2017", growth.DiameterLateral, 1},
		{"phn-2017", growth.DiameterAnteroposterior, 1},
		{"phn-2017", growth.Area, mm2PerCM2},
	}
	for _, row := range []struct {
		bsaM2 float64
		want  [4]string
	}{
		{0.20, [4]string{"12.76 (8.73, 18.64)", "10.55 (7.96, 13.15)", "10.55 (8.05, 13.06)", "0.88 (0.55, 1.21)"}},
		{0.25, [4]string{"13.88 (9.49, 20.28)", "11.80 (8.90, 14.70)", "11.80 (9.00, 14.60)", "1.10 (0.68, 1.51)"}},
		{0.50, [4]string{"19.27 (13.18, 28.16)", "16.69 (12.59, 20.79)", "16.69 (12.73, 20.65)", "2.19 (1.36, 3.02)"}},
		{0.75, [4]string{"23.57 (16.13, 34.44)", "20.44 (15.42, 25.46)", "20.44 (15.59, 25.29)", "3.29 (2.05, 4.54)"}},
		{1.00, [4]string{"26.33 (18.01, 38.48)", "23.60 (17.80, 29.40)", "23.60 (18.00, 29.20)", "4.39 (2.73, 6.05)"}},
		{1.25, [4]string{"27.85 (19.06, 40.71)", "26.39 (19.90, 32.87)", "26.39 (20.12, 32.65)", "5.49 (3.41, 7.56)"}},
		{1.50, [4]string{"28.94 (19.80, 42.30)", "28.90 (21.80, 36.01)", "28.90 (22.05, 35.76)", "6.58 (4.09, 9.07)"}},
		{1.75, [4]string{"30.62 (20.95, 44.75)", "31.22 (23.55, 38.89)", "31.22 (23.81, 38.63)", "7.68 (4.78, 10.59)"}},
		{2.00, [4]string{"34.21 (23.41, 50.00)", "33.38 (25.17, 41.58)", "33.38 (25.46, 41.30)", "8.78 (5.46, 12.10)"}},
	} {
		for i, c := range columns {
			p := predict(t, c.dataset, c.quantity, row.bsaM2)
			got := fmt.Sprintf("%.2f (%.2f, %.2f)", p.Mean/c.scale, p.Low/c.scale, p.High/c.scale)
			if got != row.want[i] {
				t.Errorf("%s %s at %v m2: %s, want %s", c.dataset, c.quantity, row.bsaM2, got, row.want[i])
			}
		}
	}
}

// The evidence's examples of z-scores (derived), to their three digits: the same valve by two datasets.
func TestScoreExamples(t *testing.T) {
	for _, row := range []struct {
		mm, bsaM2      float64
		pettersen, phn string
	}{
		{8, 0.20, "-2.459", "-1.969"},
		{10, 0.25, "-1.726", "-1.241"},
		{20, 0.50, "+0.196", "+1.615"},
		{30, 1.00, "+0.688", "+2.207"},
		{40, 1.80, "+1.321", "+2.143"},
	} {
		for dataset, want := range map[string]string{"pettersen-2008": row.pettersen, "phn-2017": row.phn} {
			score, err := load().Z(dataset, growth.DiameterLateral, row.mm, row.bsaM2)
			if err != nil {
				t.Fatal(err)
			}
			if got := fmt.Sprintf("%+.3f", score.Z); got != want || score.Dataset != dataset {
				t.Errorf("%v mm at %v m2: z %s by %s, want %s by %s", row.mm, row.bsaM2, got, score.Dataset, want, dataset)
			}
		}
	}
}

// The SD, or log-SD, that goes with the mean: 0.18974 is printed beside the log-cubic coefficients (derived from
// pettersen-2008, secondary); 0.29 cm at 1.0 m² is the coefficient itself (lopez-2017, abstract).
func TestPredictSpread(t *testing.T) {
	log := predict(t, "pettersen-2008", growth.DiameterLateral, 0.8)
	if got := fmt.Sprintf("%.5f", log.LogSD); got != "0.18974" || log.SD != 0 {
		t.Errorf("pettersen-2008: log-SD %s and SD %v, want 0.18974 and 0", got, log.SD)
	}
	power := predict(t, "phn-2017", growth.DiameterLateral, 1)
	if got := fmt.Sprintf("%.2f", power.SD); got != "2.90" || power.LogSD != 0 {
		t.Errorf("phn-2017: SD %s mm and log-SD %v, want 2.90 and 0", got, power.LogSD)
	}
}

// The adult indices (adult-index-abstract, abstract) at 1.75 m² against absolute sizes of the same series: area 9.6 cm²,
// perimeter 11.2 cm, 4-chamber 33 mm. Those are recalled (memory), so this shows only that the two fit each other.
// The longest and the shortest diameter, recalled as 38 and 31 mm, do not fit their index to the digit: 36.8 and 29.8.
func TestPredictAdult(t *testing.T) {
	for _, c := range []struct{ quantity, want, unit string }{
		{growth.Area, "962.50 ± 192.50", "mm2"}, {growth.Perimeter, "112.00 ± 15.75", "mm"}, {growth.DiameterLateral, "33.25 ± 5.25", "mm"},
		{growth.DiameterMajor, "36.75 ± 3.50", "mm"}, {growth.DiameterMinor, "29.75 ± 3.50", "mm"},
	} {
		p := predict(t, "adult-3d-echo", c.quantity, 1.75)
		if got := fmt.Sprintf("%.2f ± %.2f", p.Mean, p.SD); got != c.want || p.Unit != c.unit {
			t.Errorf("%s: %s %s, want %s %s", c.quantity, got, p.Unit, c.want, c.unit)
		}
	}
}

// each calls f for every dataset, quantity and a BSA from end to end of its range.
func each(f func(d growth.Dataset, quantity string, bsaM2 float64)) {
	const steps = 37
	for _, d := range load().Datasets() {
		for _, q := range d.Quantities {
			for i := 0; i < steps; i++ {
				f(d, q.Name, d.BSA.Low+(d.BSA.High-d.BSA.Low)*float64(i)/steps)
			}
		}
	}
}

func TestPredictGrowsWithTheBody(t *testing.T) {
	each(func(d growth.Dataset, quantity string, bsaM2 float64) {
		here, larger := predict(t, d.ID, quantity, bsaM2), predict(t, d.ID, quantity, bsaM2+1e-3)
		if !(0 < here.Low && here.Low < here.Mean && here.Mean < here.High && here.Mean < larger.Mean) {
			t.Errorf("%s %s: %+v is not below %+v", d.ID, quantity, here, larger)
		}
	})
}

func TestScoreAndValueAreInverse(t *testing.T) {
	tables := load()
	each(func(d growth.Dataset, quantity string, bsaM2 float64) {
		for _, z := range []float64{-5, -2.8, -1, 0, 0.5, 3, growth.MaxZ} {
			at, err := tables.ValueAt(d.ID, quantity, z, bsaM2)
			if err != nil && z == -5 && d.Form == growth.Power {
				continue // an index five SD below its mean may be negative: TestValueRefuses
			}
			if err != nil {
				t.Fatal(err)
			}
			// A hair less than ten SD, so that rounding does not carry the score beyond MaxZ.
			back, err := tables.Z(d.ID, quantity, at.Value*(1-1e-14), bsaM2)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(back.Z-z) > 1e-11 {
				t.Errorf("%s %s at %v m2: z %v is %v, whose z is %v", d.ID, quantity, bsaM2, z, at.Value, back.Z)
			}
		}
	})
}

func TestBandIsWhereTheScoreSaysIt(t *testing.T) {
	each(func(d growth.Dataset, quantity string, bsaM2 float64) {
		p := predict(t, d.ID, quantity, bsaM2)
		for value, want := range map[float64]float64{p.Low: -growth.BandZ, p.Mean: 0, p.High: growth.BandZ} {
			score, err := load().Z(d.ID, quantity, value, bsaM2)
			if err != nil || math.Abs(score.Z-want) > 1e-11 {
				t.Errorf("%s %s at %v m2: z of %v is %v, want %v (%v)", d.ID, quantity, bsaM2, value, score.Z, want, err)
			}
		}
	})
}

// The area of the children is the ellipse of the two diameters: π/4 · 2.36 · 2.36 = 4.374 against 4.39 (derived from
// lopez-2017, abstract), at every BSA.
func TestAreaOfChildrenIsAnEllipse(t *testing.T) {
	for _, bsaM2 := range []float64{0.2, 1.0, 2.0} {
		c, err := load().CheckArea("phn-2017", bsaM2)
		if err != nil {
			t.Fatal(err)
		}
		got := fmt.Sprintf("%.3f %.2f", c.Ellipse/bsaM2/mm2PerCM2, c.Area/bsaM2/mm2PerCM2)
		if got != "4.374 4.39" {
			t.Errorf("at %v m2: ellipse and area %s cm2/m2, want 4.374 4.39", bsaM2, got)
		}
	}
}

// By the indices of adults (adult-index-abstract, abstract) ellipse and area agree at one BSA only:
// 5.5 / (π/4 · 2.1 · 1.7) = 1.96 m² (derived).
func TestAreaOfAdultsFitsAtOneSize(t *testing.T) {
	const bsaM2 = 5.5 / (math.Pi / 4 * 2.1 * 1.7)
	c, err := load().CheckArea("adult-3d-echo", bsaM2)
	if err != nil || math.Abs(c.Ellipse/c.Area-1) > 1e-12 {
		t.Errorf("at %v m2: ellipse %v and area %v mm2 (%v)", bsaM2, c.Ellipse, c.Area, err)
	}
	small, err := load().CheckArea("adult-3d-echo", 1.4)
	if err != nil || small.Ellipse > 0.75*small.Area {
		t.Errorf("at 1.4 m2: ellipse %v and area %v mm2 should part (%v)", small.Ellipse, small.Area, err)
	}
}

func TestCheckAreaNeedsAnArea(t *testing.T) {
	_, err := load().CheckArea("pettersen-2008", 1)
	var unknown *growth.UnknownError
	if !errors.As(err, &unknown) || unknown.Name != growth.Area {
		t.Errorf("error %v, want that pettersen-2008 has no area", err)
	}
}

func TestOutsideTheRangeIsRefused(t *testing.T) {
	tables := load()
	for _, d := range tables.Datasets() {
		for _, bsaM2 := range []float64{d.BSA.Low - 1e-9, d.BSA.High + 1e-9, 0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
			q := d.Quantities[0].Name
			_, predicted := tables.Predict(d.ID, q, bsaM2)
			_, scored := tables.Z(d.ID, q, 20, bsaM2)
			_, valued := tables.ValueAt(d.ID, q, 0, bsaM2)
			for _, err := range []error{predicted, scored, valued} {
				var out *growth.OutOfRangeError
				if !errors.As(err, &out) || out.By != d.Label || out.Range != d.BSA {
					t.Errorf("%s at %v m2: error %v, want its range of BSA", d.ID, bsaM2, err)
				}
			}
		}
		for _, bsaM2 := range []float64{d.BSA.Low, d.BSA.High} {
			predict(t, d.ID, d.Quantities[0].Name, bsaM2)
		}
	}
}

func TestScoreRefuses(t *testing.T) {
	for _, value := range []float64{0, -3, math.NaN(), math.Inf(1), math.Inf(-1), 2.4e3, 1e300} {
		_, err := load().Z("phn-2017", growth.DiameterLateral, value, 1)
		var out *growth.OutOfRangeError
		if !errors.As(err, &out) || out.Mend == "" {
			t.Errorf("%v mm: error %v, want out of range with a hint", value, err)
		}
	}
	// 2.6 is a diameter in cm: in mm it is 12 SD too small by the log-cubic dataset.
	_, err := load().Z("pettersen-2008", growth.DiameterLateral, 2.6, 1)
	if err == nil || !strings.Contains(err.Error(), "is the size in mm?") {
		t.Errorf("2.6 for 26 mm: error %v", err)
	}
}

func TestValueRefuses(t *testing.T) {
	tables := load()
	for _, z := range []float64{growth.MaxZ + 1e-9, -growth.MaxZ - 1e-9, math.NaN(), math.Inf(1)} {
		if at, err := tables.ValueAt("pettersen-2008", growth.DiameterLateral, z, 1); err == nil {
			t.Errorf("z %v: %+v", z, at)
		}
	}
	// 4.39 / 0.83 = 5.289: further below the mean no area is left (derived from lopez-2017, abstract).
	if at, err := tables.ValueAt("phn-2017", growth.Area, -5.28, 1); err != nil || at.Value <= 0 {
		t.Errorf("z -5.28: %+v, %v", at, err)
	}
	_, err := tables.ValueAt("phn-2017", growth.Area, -5.30, 1)
	var out *growth.OutOfRangeError
	if !errors.As(err, &out) || fmt.Sprintf("%.3f", out.Range.Low) != "-5.289" {
		t.Errorf("z -5.30: error %v, want a range from -5.289", err)
	}
}

// The log-cubic turns up again above 1.75 m² (secondary): said there, and only there. That it does turn up is seen in its
// slope, which is less at 1.375 m² (the turning point of the cubic, derived) than on either side.
func TestCautionWhereTheCubicTurnsUp(t *testing.T) {
	for bsaM2, want := range map[float64]bool{1.0: false, 1.75: false, 1.7501: true, 2.0: true} {
		p := predict(t, "pettersen-2008", growth.DiameterLateral, bsaM2)
		score, err := load().Z("pettersen-2008", growth.DiameterLateral, 30, bsaM2)
		if err != nil || (p.Caution != "") != want || (score.Caution != "") != want {
			t.Errorf("at %v m2: caution %q and %q (%v), want one: %t", bsaM2, p.Caution, score.Caution, err, want)
		}
	}
	if p, err := load().Predict("pettersen-2008", growth.DiameterLateral, 2.01); err == nil {
		t.Errorf("at 2.01 m2, beyond what the cubic is good for: %+v", p)
	}
	if p := predict(t, "phn-2017", growth.DiameterLateral, 1.9); p.Caution != "" {
		t.Errorf("phn-2017 is to be read with caution: %q", p.Caution)
	}
	slope := func(bsaM2 float64) float64 {
		const step = 0.01
		up, down := predict(t, "pettersen-2008", growth.DiameterLateral, bsaM2+step), predict(t, "pettersen-2008", growth.DiameterLateral, bsaM2-step)
		return (up.Mean - down.Mean) / (2 * step)
	}
	if flat := slope(1.375); flat >= slope(1.0) || flat >= slope(1.75) || slope(1.9) < 3*flat {
		t.Errorf("slopes at 1.0, 1.375, 1.75 and 1.9 m2: %.1f %.1f %.1f %.1f mm/m2", slope(1.0), flat, slope(1.75), slope(1.9))
	}
}

func TestUnknownNames(t *testing.T) {
	tables := load()
	for _, c := range []struct{ dataset, quantity, want string }{
		{"phn", growth.Area, `no dataset is called "phn"; known: phn-2017, pettersen-2008, adult-3d-echo`},
		{"pettersen-2008", growth.Area, `no quantity of pettersen-2008 is called "area"; known: diameter-lateral`},
	} {
		if _, err := tables.Predict(c.dataset, c.quantity, 1); err == nil || err.Error() != c.want {
			t.Errorf("error %v, want %s", err, c.want)
		}
	}
}

// Two datasets never meet in one answer: each carries its own name and grade.
func TestAnswersCarryTheirDataset(t *testing.T) {
	each(func(d growth.Dataset, quantity string, bsaM2 float64) {
		p := predict(t, d.ID, quantity, bsaM2)
		score, err := load().ValueAt(d.ID, quantity, 1, bsaM2)
		if err != nil {
			t.Fatal(err)
		}
		want := [3]string{d.ID, d.Label, d.Grade}
		if got := [3]string{p.Dataset, p.Label, p.Grade}; got != want {
			t.Errorf("prediction of %v, want %v", got, want)
		}
		if got := [3]string{score.Dataset, score.Label, score.Grade}; got != want || !strings.Contains(score.String(), d.Label) {
			t.Errorf("score of %v, said as %q, want %v", got, score, want)
		}
	})
}
