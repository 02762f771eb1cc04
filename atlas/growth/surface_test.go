package growth_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"fairlead/atlas/growth"
)

func surface(t *testing.T, formula string, heightCM, weightKG float64) float64 {
	t.Helper()
	bsa, err := load().SurfaceM2(formula, heightCM, weightKG)
	if err != nil {
		t.Fatal(err)
	}
	return bsa
}

// A worked example printed in an application book for pocket calculators, as quoted on hpmuseum.org (secondary):
// 4 kg, 35 cm, by Du Bois 0.170 m².
func TestSurfaceWorkedExample(t *testing.T) {
	if got := fmt.Sprintf("%.3f", surface(t, "du-bois", 35, 4)); got != "0.170" {
		t.Errorf("du-bois of 35 cm, 4 kg: %s m2, printed 0.170", got)
	}
}

// Du Bois is also printed with the height in metres, 0.20247 H^0.725 W^0.425 (a web page, secondary). That
// coefficient has five digits, so the two agree to half a unit of the fifth.
func TestSurfaceOtherPrinting(t *testing.T) {
	const coefficient, halfDigit = 0.20247, 0.000005
	got := surface(t, "du-bois", 170, 70)
	want := coefficient * math.Pow(1.70, 0.725) * math.Pow(70, 0.425)
	if math.Abs(got/want-1) > halfDigit/coefficient {
		t.Errorf("du-bois %v m2, in its other printing %v", got, want)
	}
}

// The evidence's own table, computed by somebody else from the same equations (derived), to its four digits.
func TestSurfaceTable(t *testing.T) {
	formulas := []string{"du-bois", "mosteller", "haycock", "boyd"}
	for _, row := range []struct {
		heightCM, weightKG float64
		want               [4]string
	}{
		{35, 4, [4]string{"0.1705", "0.1972", "0.2093", "0.2236"}},
		{50, 3.5, [4]string{"0.2086", "0.2205", "0.2244", "0.2299"}},
		{75, 9, [4]string{"0.4182", "0.4330", "0.4380", "0.4522"}},
		{110, 19, [4]string{"0.7583", "0.7619", "0.7619", "0.7788"}},
		{140, 35, [4]string{"1.1709", "1.1667", "1.1644", "1.1806"}},
		{170, 70, [4]string{"1.8097", "1.8181", "1.8257", "1.8347"}},
	} {
		for i, formula := range formulas {
			if got := fmt.Sprintf("%.4f", surface(t, formula, row.heightCM, row.weightKG)); got != row.want[i] {
				t.Errorf("%s of %v cm, %v kg: %s m2, want %s", formula, row.heightCM, row.weightKG, got, row.want[i])
			}
		}
	}
}

// The table has no column for Gehan and George. Its equation (secondary) by logarithms instead of powers.
func TestSurfaceGehanGeorge(t *testing.T) {
	want := math.Exp(math.Log(0.0235) + 0.42246*math.Log(170) + 0.51456*math.Log(70))
	if got := surface(t, "gehan-george", 170, 70); math.Abs(got-want) > 1e-12 {
		t.Errorf("gehan-george of 170 cm, 70 kg: %v m2, want %v", got, want)
	}
}

func TestSurfaceGrowsWithHeightAndWeight(t *testing.T) {
	for _, f := range load().Formulas() {
		for h := growth.MinHeightCM; h < growth.MaxHeightCM; h += 23 {
			for w := growth.MinWeightKG; w*1.5 <= growth.MaxWeightKG; w *= 1.5 {
				here := surface(t, f.Name, float64(h), w)
				if taller := surface(t, f.Name, float64(h)+1, w); taller <= here {
					t.Errorf("%s: %v kg at %v cm has %v m2, 1 cm taller %v", f.Name, w, h, here, taller)
				}
				if heavier := surface(t, f.Name, float64(h), w*1.5); heavier <= here {
					t.Errorf("%s: %v cm at %v kg has %v m2, half as heavy again %v", f.Name, h, w, here, heavier)
				}
			}
		}
	}
}

func TestSurfaceRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		heightCM, weightKG float64
		what               string
	}{
		{19.9, 4, "height"}, {250.1, 70, "height"}, {1.7, 70, "height"}, {nan, 70, "height"}, {inf, 70, "height"}, {-170, 70, "height"},
		{170, 0.39, "weight"}, {170, 300.5, "weight"}, {50, 3500, "weight"}, {170, nan, "weight"}, {170, -inf, "weight"}, {170, 0, "weight"},
	} {
		_, err := load().SurfaceM2(growth.DefaultFormula, c.heightCM, c.weightKG)
		var out *growth.OutOfRangeError
		if !errors.As(err, &out) || out.What != c.what {
			t.Errorf("%v cm, %v kg: error %v, want %s out of range", c.heightCM, c.weightKG, err, c.what)
		}
	}
}

func TestSurfaceTakesItsBounds(t *testing.T) {
	for _, c := range [][2]float64{{growth.MinHeightCM, growth.MinWeightKG}, {growth.MaxHeightCM, growth.MaxWeightKG}} {
		if _, err := load().SurfaceM2(growth.DefaultFormula, c[0], c[1]); err != nil {
			t.Errorf("%v cm, %v kg: %v", c[0], c[1], err)
		}
	}
}

func TestUnknownFormula(t *testing.T) {
	_, err := load().SurfaceM2("dubois", 170, 70)
	want := `no formula for body surface area is called "dubois"; known: du-bois, mosteller, haycock, gehan-george, boyd`
	if err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

// Whatever the input, an answer is either an error with no area, or the area of a body within the bounds: more than
// the smallest and less than the largest body has by the same formula.
func FuzzSurface(f *testing.F) {
	tables := load()
	f.Add(uint8(0), 170.0, 70.0)
	f.Add(uint8(4), 20.0, 0.4)
	f.Add(uint8(2), math.NaN(), math.Inf(-1))
	f.Fuzz(func(t *testing.T, which uint8, heightCM, weightKG float64) {
		formulas := tables.Formulas()
		name := formulas[int(which)%len(formulas)].Name
		got, err := tables.SurfaceM2(name, heightCM, weightKG)
		within := heightCM >= growth.MinHeightCM && heightCM <= growth.MaxHeightCM && weightKG >= growth.MinWeightKG && weightKG <= growth.MaxWeightKG
		if within != (err == nil) {
			t.Fatalf("%s of %v cm, %v kg: within bounds %t, error %v", name, heightCM, weightKG, within, err)
		}
		if err != nil {
			if got != 0 {
				t.Fatalf("%v m2 beside the error %v", got, err)
			}
			return
		}
		least := surface(t, name, growth.MinHeightCM, growth.MinWeightKG)
		most := surface(t, name, growth.MaxHeightCM, growth.MaxWeightKG)
		if !(got >= least && got <= most) {
			t.Fatalf("%s of %v cm, %v kg: %v m2, not from %v to %v", name, heightCM, weightKG, got, least, most)
		}
	})
}
