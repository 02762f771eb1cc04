package atlas

import (
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
	list  []Value
	index map[string]int
}

func (c *Catalogue) values(measured []Measured) (*values, error) {
	v := &values{index: make(map[string]int, len(c.parameters))}
	for i, p := range c.parameters {
		v.list = append(v.list, Value{Parameter: p, Here: p.Value})
		v.index[p.Name] = i
	}
	for _, m := range measured {
		i, known := v.index[m.Name]
		if !known {
			return nil, &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("no parameter is called %q", m.Name), Mend: "see `fairlead landmarks` for the names"}
		}
		p := &v.list[i]
		if !(m.Value >= p.Least && m.Value <= p.Most) {
			return nil, &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("%s %s is out of range", m.Name, quantity(m.Value, p.Unit)),
				Mend: fmt.Sprintf("give %s to %s", quantity(p.Least, p.Unit), quantity(p.Most, p.Unit))}
		}
		p.Here, p.Measured = m.Value, true
	}
	v.followRim()
	return v, nil
}

// of is the value used, in the parameter's unit. Every name the atlas asks for is in its data file: a test holds.
func (v *values) of(name string) float64 {
	i, known := v.index[name]
	if !known {
		return math.NaN()
	}
	return v.list[i].Here
}

func (v *values) measured(name string) bool { return v.list[v.index[name]].Measured }

func (v *values) set(name string, here float64) { v.list[v.index[name]].Here = here }

// followRim lets the unmeasured sizes of the rim follow the measured ones in proportion: a rim measured a tenth
// longer is taken to be a tenth wider as well. Segments follow the whole, then share out what is left.
func (v *values) followRim() {
	v.scaleRim(v.rimScale())
	const anterior, posterior, septal = "anterior-segment", "posterior-segment", "septal-segment"
	segments := v.of(anterior) + v.of(posterior) + v.of(septal)
	free := v.of("rim-length") - v.measuredSum(anterior, posterior, septal)
	rest := segments - v.measuredSum(anterior, posterior, septal)
	switch {
	case rest == 0: // all three measured: they are the rim
		if !v.measured("rim-length") {
			v.set("rim-length", segments)
		}
	case free > 0:
		for _, name := range []string{anterior, posterior, septal} {
			if !v.measured(name) {
				v.set(name, v.of(name)*free/rest)
			}
		}
	}
	// A chord goes with its arc.
	if v.measured(septal) && !v.measured("septal-chord") {
		arc := v.list[v.index[septal]]
		v.set("septal-chord", v.list[v.index["septal-chord"]].Value*arc.Here/arc.Value)
	}
}

func (v *values) measuredSum(names ...string) (sum float64) {
	for _, name := range names {
		if v.measured(name) {
			sum += v.of(name)
		}
	}
	return sum
}

// rimScale is by how much the measured sizes of the whole rim exceed the usual adult's: the geometric mean.
func (v *values) rimScale() float64 {
	var sum float64
	var count int
	for _, name := range []string{"rim-length", "rim-long-axis", "rim-short-axis", "rim-area"} {
		p := v.list[v.index[name]]
		if !p.Measured {
			continue
		}
		ratio := math.Log(p.Here / p.Value)
		if p.Unit == "mm2" {
			ratio /= 2
		}
		sum, count = sum+ratio, count+1
	}
	if count == 0 && v.allSegmentsMeasured() {
		return (v.of("anterior-segment") + v.of("posterior-segment") + v.of("septal-segment")) / v.list[v.index["rim-length"]].Value
	}
	if count == 0 {
		return 1
	}
	return math.Exp(sum / float64(count))
}

func (v *values) allSegmentsMeasured() bool {
	return v.measured("anterior-segment") && v.measured("posterior-segment") && v.measured("septal-segment")
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

// quantity writes a value with its unit, as a plan would.
func quantity(value float64, unit string) string {
	text := fmt.Sprintf("%.1f", value)
	return strings.TrimSuffix(text, ".0") + " " + unit
}
