package growth

import (
	"fmt"
	"math"
)

// DefaultFormula names the formula used where none is asked for: the larger of the two datasets of children is
// said to have used it (recalled, not read), and a z-score is only as good as the surface area it was made with.
const DefaultFormula = "haycock"

// The bodies the formulas are asked about: from an extremely premature newborn to the tallest and heaviest adults.
// They are guards against slips of the pen (metres for centimetres, grams for kilograms), not validity ranges.
const (
	MinHeightCM, MaxHeightCM = 20, 250
	MinWeightKG, MaxWeightKG = 0.4, 300
)

// Formula is a published formula for body surface area.
type Formula struct {
	Name, Label string
	Evidence

	coefficient, divisor      float64 // one of the two
	height, weight, weightLog float64 // exponents
	grams                     bool
}

func (r *reader) readFormulas() []Formula {
	var all []Formula
	once := r.once("formula")
	for _, v := range r.parse("surface.yaml", surfaceShape).Get("formulas").Items() {
		all = append(all, Formula{
			Name: once(v.Get("name")), Label: v.Get("label").Text(), Evidence: r.evidence(v),
			coefficient: v.Get("coefficient").Number(), divisor: v.Get("divisor").Number(),
			height: v.Get("height").Number(), weight: v.Get("weight").Number(),
			weightLog: v.Get("weight-log").Number(), grams: v.Get("weight-unit").Text() == "g",
		})
	}
	return all
}

// Formulas lists the formulas for body surface area.
func (t *Tables) Formulas() []Formula { return append([]Formula(nil), t.formulas...) }

// SurfaceM2 gives the body surface area in m², by the formula of this name, of a body of this height in cm and
// weight in kg. Heights are taken from MinHeightCM to MaxHeightCM, weights from MinWeightKG to MaxWeightKG; others
// are refused with an [OutOfRangeError].
func (t *Tables) SurfaceM2(formula string, heightCM, weightKG float64) (float64, error) {
	f, err := find("formula for body surface area", formula, t.formulas, func(f Formula) string { return f.Name })
	if err != nil {
		return 0, err
	}
	if heights := (Range{MinHeightCM, MaxHeightCM}); !heights.Contains(heightCM) {
		return 0, &OutOfRangeError{What: "height", Value: heightCM, Unit: "cm", Range: heights, Mend: "give it in centimetres"}
	}
	if weights := (Range{MinWeightKG, MaxWeightKG}); !weights.Contains(weightKG) {
		return 0, &OutOfRangeError{What: "weight", Value: weightKG, Unit: "kg", Range: weights, Mend: "give it in kilograms"}
	}
	return f.surface(heightCM, weightKG), nil
}

const gramsPerKG = 1000

func (f Formula) surface(heightCM, weightKG float64) float64 {
	w := weightKG
	if f.grams {
		w *= gramsPerKG
	}
	power := math.Pow(heightCM, f.height) * math.Pow(w, f.weight+f.weightLog*math.Log10(w))
	if f.divisor != 0 {
		return power / f.divisor
	}
	return power * f.coefficient
}

// String writes the formula out, H being the height in cm and W the weight in the unit said.
func (f Formula) String() string {
	unit := "kg"
	if f.grams {
		unit = "g"
	}
	exponent := fmt.Sprint(f.weight)
	if f.weightLog != 0 {
		exponent = fmt.Sprintf("(%v %+v log10 W)", f.weight, f.weightLog)
	}
	if f.divisor != 0 {
		return fmt.Sprintf("H^%v W^%s / %v (cm, %s)", f.height, exponent, f.divisor, unit)
	}
	return fmt.Sprintf("%v H^%v W^%s (cm, %s)", f.coefficient, f.height, exponent, unit)
}
