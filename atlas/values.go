package atlas

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Measured is a value measured in the patient, which takes the place of the usual adult's.
type Measured struct {
	Name  string
	Value float64
}

// Value is a parameter as this heart has it.
type Value struct {
	Parameter
	Here     float64 // the value used, in the parameter's unit
	Measured bool
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

func (c *Catalogue) values(measured []Measured) (*values, error) {
	v := &values{index: make(map[string]int, len(c.parameters))}
	for i, p := range c.parameters {
		v.list = append(v.list, Value{Parameter: p, Here: p.Value})
		v.index[p.Name] = i
	}
	var found []error
	for _, m := range measured {
		if err := v.measure(m); err != nil {
			found = append(found, err)
		}
	}
	if err := errors.Join(found...); err != nil {
		return nil, err
	}
	v.followRim()
	return v, nil
}

func (v *values) measure(m Measured) error {
	i, known := v.index[m.Name]
	if !known {
		return &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("no parameter is called %q", m.Name), Mend: "see `fairlead landmarks` for the names"}
	}
	p := &v.list[i]
	if p.Measured {
		return &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("%s is given twice", m.Name), Mend: "leave out one of them"}
	}
	if !(m.Value >= p.Least && m.Value <= p.Most) {
		return &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("%s %s is out of range", m.Name, quantity(m.Value, p.Unit)),
			Mend: fmt.Sprintf("give %s to %s", quantity(p.Least, p.Unit), quantity(p.Most, p.Unit))}
	}
	p.Here, p.Measured = m.Value, true
	return nil
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

func (v *values) measured(name string) bool { return v.at(name).Measured }

func (v *values) set(name string, here float64) { v.at(name).Here = here }

var segmentNames = [3]string{"anterior-segment", "posterior-segment", "septal-segment"}

// followRim lets the unmeasured sizes of the rim follow the measured ones. A rim measured a tenth longer is taken to be
// a tenth wider as well, and the segments not measured share what the measured ones leave. Where only segments were
// measured the others stay as usual, and the rim is as long as its segments. The septal chord and its arc go together.
func (v *values) followRim() {
	var given, rest, usual float64 // sums over the segments given, the others, and all of them, mm
	for _, name := range segmentNames {
		usual += v.usual(name)
		if here, known := v.given(name); known {
			given += here
		} else {
			rest += v.usual(name)
		}
	}
	scale, known := v.rimScale()
	if !known {
		scale = (given + rest) / usual
	}
	v.scaleRim(scale)
	if rest == 0 && !v.measured("rim-length") {
		v.set("rim-length", given)
	}
	for _, name := range segmentNames {
		if here, known := v.given(name); known {
			v.set(name, here)
		} else if free := v.of("rim-length") - given; free > 0 {
			v.set(name, v.usual(name)*free/rest)
		}
	}
	if !v.measured("septal-chord") {
		v.set("septal-chord", v.usual("septal-chord")*v.of("septal-segment")/v.usual("septal-segment"))
	}
}

// given is the length of a segment as measured, or as the measured septal chord tells it.
func (v *values) given(segment string) (lengthMM float64, known bool) {
	if !v.measured(segment) && segment == "septal-segment" && v.measured("septal-chord") {
		return v.usual(segment) * v.of("septal-chord") / v.usual("septal-chord"), true
	}
	return v.of(segment), v.measured(segment)
}

// rimScale is by how much the measured sizes of the whole rim exceed the usual adult's: the geometric mean. It is not
// known where none was measured.
func (v *values) rimScale() (scale float64, known bool) {
	var sum float64
	var count int
	for _, name := range []string{"rim-length", "rim-long-axis", "rim-short-axis", "rim-area"} {
		p := v.at(name)
		if !p.Measured {
			continue
		}
		ratio := math.Log(p.Here / p.Value)
		if p.Unit == "mm2" {
			ratio /= 2
		}
		sum, count = sum+ratio, count+1
	}
	return math.Exp(sum / float64(max(count, 1))), count > 0
}

func (v *values) scaleRim(scale float64) {
	for i := range v.list {
		p := &v.list[i]
		switch {
		case !p.ScalesRim || p.Measured:
		case p.Unit == "mm2":
			p.Here = p.Value * scale * scale
		default:
			p.Here = p.Value * scale
		}
	}
}

// quantity writes a value with its unit, as a plan would, to five digits.
func quantity(value float64, unit string) string { return fmt.Sprintf("%.5g %s", value, unit) }
