package atlas

import (
	"fmt"
	"math"
	"strings"
)

// Measured is a value measured in the patient, which takes the place of the usual adult's.
type Measured struct {
	Name   string
	Value  float64
	Method string  // how it was measured, named in growth; empty takes the value as it is
	Error  float64 // one standard deviation, in the unit of the value; 0: exact, or the method's where one is named
}

// Value is a parameter as this heart has it: what the body alone led one to expect, what was measured, and what is
// believed now, each in the parameter's unit with one standard deviation.
type Value struct {
	Parameter
	Expected, ExpectedSpread float64
	Measured                 bool
	Given                    float64 // as measured, before any conversion
	Method                   string  // of measurement
	Here, HereSpread         float64

	exact bool // measured, and taken to the letter
}

// GeometryError says that values cannot belong to one heart, and names those to look at.
type GeometryError struct {
	Names []string // parameters that disagree, the measured ones first
	Text  string   // what cannot be, with the figures
	Mend  string   // what would make it possible
}

func (e *GeometryError) Error() string { return e.Text + "; " + e.Mend }

// values are the parameters of the heart being built, in catalogue order, with an index by name.
type values struct {
	list    []Value
	index   map[string]int
	missing []string // names asked for that the catalogue does not have
}

// at finds a parameter by name. One the catalogue does not have is noted, and not a number.
func (v *values) at(name string) *Value {
	i, known := v.index[name]
	if !known {
		v.missing = append(v.missing, name)
		return &Value{Parameter: Parameter{Value: math.NaN(), Spread: math.NaN()}, Here: math.NaN()}
	}
	return &v.list[i]
}

// complete fails when a name was asked for that the catalogue does not have: a fault of the data, not of a plan.
func (v *values) complete() error {
	if len(v.missing) == 0 {
		return nil
	}
	return fmt.Errorf("atlas data: parameters.yaml lacks %s", strings.Join(v.missing, ", "))
}

// of is the value used, in the parameter's unit.
func (v *values) of(name string) float64 { return v.at(name).Here }

// usual is the usual adult's value.
func (v *values) usual(name string) float64 { return v.at(name).Value }

// spread is one standard deviation.
func (v *values) spread(name string) float64 { return v.at(name).Spread }

// measured tells whether a value was measured and is taken to the letter.
func (v *values) measured(name string) bool { return v.at(name).exact }

func (v *values) set(name string, here float64) { v.at(name).Here = here }

// wholeRim are the sizes of the rim as a whole.
var wholeRim = []string{"rim-length", "rim-long-axis", "rim-short-axis", "rim-area"}

var segmentNames = [3]string{"anterior-segment", "posterior-segment", "septal-segment"}

// balanceRim makes the segments and the length of the rim agree, which the belief knows of by ratios only: what was
// not measured exactly gives way, the segments in proportion.
func (v *values) balanceRim() {
	var exact, rest float64
	for _, name := range segmentNames {
		if v.measured(name) {
			exact += v.of(name)
		} else {
			rest += v.of(name)
		}
	}
	if !v.measured("rim-length") && (v.measuredCount(wholeRim) == 0 || rest == 0) {
		v.set("rim-length", exact+rest)
		return
	}
	if free := v.of("rim-length") - exact; free > 0 && rest > 0 {
		for _, name := range segmentNames {
			if !v.measured(name) {
				v.set(name, v.of(name)*free/rest)
			}
		}
	}
}

// tieRim lets the sizes that follow from the segments follow from them, in a heart that was drawn: the axes keep
// their drawn ratio.
func (v *values) tieRim() {
	v.balanceRim()
	length := v.of("rim-length") / v.usual("rim-length")
	ratio := math.Sqrt(v.of("rim-long-axis") / v.of("rim-short-axis") / (v.usual("rim-long-axis") / v.usual("rim-short-axis")))
	for name, by := range map[string]float64{"rim-long-axis": length * ratio, "rim-short-axis": length / ratio, "rim-area": length * length} {
		if !v.measured(name) {
			v.set(name, v.usual(name)*by)
		}
	}
}

func (v *values) measuredCount(names []string) (count int) {
	for _, name := range names {
		if v.measured(name) {
			count++
		}
	}
	return count
}

func (v *values) allMeasured(names []string) bool { return v.measuredCount(names) == len(names) }

// quantity writes a value with its unit, as a plan would, to five digits.
func quantity(value float64, unit string) string { return fmt.Sprintf("%.5g %s", value, unit) }

// rimSize tells whether a parameter is a size of the rim in its plane.
func rimSize(name string) bool {
	switch name {
	case "rim-length", "rim-long-axis", "rim-short-axis", "rim-area", "septal-segment", "septal-chord", "anterior-segment", "posterior-segment", "anterior-chord", "posterior-chord":
		return true
	}
	return false
}
