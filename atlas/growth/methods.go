package growth

import (
	"fmt"
	"math"

	"fairlead/atlas/strictyaml"
)

// Method is a way of measuring the rim.
type Method struct {
	Name, Label, Note string
	Offsets           []Offset
}

// Offset is what separates a size by one method from the same by the reference: a difference or a ratio of means.
type Offset struct {
	Quantity string
	Unit     string // mm or mm2
	// Difference is the value by this method less that by the reference; SD is its standard deviation.
	Difference, SD float64
	// Factor turns a value by this method into one by the reference, SDShare being the standard deviation as a share
	// of the result. Factor is zero where a difference is known.
	Factor, SDShare float64
	// Least is the smallest value by this method the offset is used for; zero where it scales with the heart.
	Least float64
	Evidence
	SDGrade string
}

// Conversion is a size brought from the method it was measured by to the reference.
type Conversion struct {
	Quantity string
	Unit     string  // mm or mm2
	From, To string  // names of methods
	Value    float64 // as the reference would have read
	AddedSD  float64 // uncertainty that the conversion adds
	Evidence         // of the offset
	SDGrade  string
}

func (r *reader) readMethods(t *Tables) {
	v := r.parse("methods.yaml", methodsShape)
	t.reference, t.units, t.never = v.Get("reference").Text(), map[string]string{}, map[string]string{}
	for _, q := range v.Get("quantities").Items() {
		t.units[q.Get("name").Text()] = q.Get("unit").Text()
	}
	for _, q := range v.Get("never").Items() {
		t.never[q.Get("quantity").Text()] = q.Get("why").Text()
	}
	once := r.once("method")
	for _, m := range v.Get("methods").Items() {
		t.methods = append(t.methods, Method{
			Name: once(m.Get("name")), Label: m.Get("label").Text(), Note: m.Get("note").Text(),
			Offsets: r.readOffsets(m, t.units),
		})
	}
	r.checkMethods(t, v)
}

func (r *reader) readOffsets(m strictyaml.Value, units map[string]string) []Offset {
	var all []Offset
	once := r.once("offset of " + m.Get("name").Text())
	for _, v := range m.Get("offsets").Items() {
		o := Offset{
			Quantity: once(v.Get("quantity")), Difference: v.Get("difference").Number(), SD: v.Get("sd").Number(),
			SDShare: v.Get("sd-share").Number(), Least: v.Get("least").Number(),
			Evidence: r.evidence(v), SDGrade: v.Get("sd-grade").Text(),
		}
		if v.Has("here") {
			o.Factor = v.Get("reference").Number() / v.Get("here").Number()
		}
		o.Unit = units[o.Quantity]
		if o.Unit == "" {
			r.problems.Add(v.Position(), fmt.Sprintf("%q is not among the quantities", o.Quantity), "a quantity named above", "")
		}
		if o.Factor == 0 && o.Least <= o.Difference {
			r.problems.Add(v.Position(), "the offset can leave nothing of a value", "least > difference", "")
		}
		all = append(all, o)
	}
	return all
}

// checkMethods sees to it that the reference and the methods of the datasets exist.
func (r *reader) checkMethods(t *Tables, v strictyaml.Value) {
	if _, err := t.Method(t.reference); err != nil {
		r.problems.Add(v.Get("reference").Position(), err.Error(), "a method named below", "")
	}
	for _, d := range t.datasets {
		if _, err := t.Method(d.Method); err != nil {
			r.problems.Add(v.Position(), d.ID+": "+err.Error(), "the method of the dataset", "")
		}
	}
}

// Reference names the method that sizes are converted to.
func (t *Tables) Reference() string { return t.reference }

// Methods lists the methods of measurement.
func (t *Tables) Methods() []Method {
	all := append([]Method(nil), t.methods...)
	for i := range all {
		all[i].Offsets = append([]Offset(nil), all[i].Offsets...)
	}
	return all
}

// Method finds a method of measurement by its name.
func (t *Tables) Method(name string) (Method, error) {
	return find("method", name, t.Methods(), func(m Method) string { return m.Name })
}

// Convert brings a size in mm or mm², measured by a method, to what the reference method (3-D echo at end-diastole)
// would have read, with the uncertainty that adds.
//
// Where the same hearts were measured both ways, the published offset is used. Where nothing is published but the
// size is plausibly the same, the data say so: the factor is one, the grade "assumption", and the spread wider. Any
// other pair is refused with a [NotConvertibleError]: above all the stretched distance between commissures and the
// diameter in the beating heart, which are different measurements. An offset of adults is refused for smaller hearts
// with an [OutOfRangeError].
//
// A dataset measured by 2-D echo scores 2-D sizes as they are: see Dataset.Method.
func (t *Tables) Convert(quantity string, value float64, from string) (Conversion, error) {
	m, err := find("method", from, t.methods, func(m Method) string { return m.Name })
	if err != nil {
		return Conversion{}, err
	}
	o, err := t.offset(m, quantity)
	if err != nil {
		return Conversion{}, err
	}
	if held := (Range{o.Least, math.Inf(1)}); !(value > 0) || !held.Contains(value) {
		return Conversion{}, &OutOfRangeError{What: quantity, Value: value, Unit: o.Unit, Range: held, By: "the offset of " + m.Label, Mend: smallMend(o)}
	}
	return o.convert(value, m.Name, t.reference), nil
}

func smallMend(o Offset) string {
	if o.Least == 0 {
		return "give a positive size"
	}
	return "it was measured in adults and does not scale"
}

// offset finds what to do with a quantity by a method.
func (t *Tables) offset(m Method, quantity string) (Offset, error) {
	refuse := func(why string) (Offset, error) {
		return Offset{}, &NotConvertibleError{Quantity: quantity, Method: m.Label, Why: why}
	}
	if why := t.never[quantity]; why != "" {
		return refuse(why)
	}
	unit, known := t.units[quantity]
	if !known {
		return refuse("no comparison of methods has it")
	}
	if m.Name == t.reference {
		same := Evidence{Grade: "derived", Note: "measured by the reference method: unchanged"}
		return Offset{Quantity: quantity, Unit: unit, Factor: 1, Evidence: same, SDGrade: same.Grade}, nil
	}
	for _, o := range m.Offsets {
		if o.Quantity == quantity {
			return o, nil
		}
	}
	return refuse("no difference from the reference is published, and none is assumed")
}

func (o Offset) convert(value float64, from, to string) Conversion {
	c := Conversion{Quantity: o.Quantity, Unit: o.Unit, From: from, To: to, Evidence: o.Evidence, SDGrade: o.SDGrade}
	if o.Factor == 0 {
		c.Value, c.AddedSD = value-o.Difference, o.SD
		return c
	}
	c.Value = value * o.Factor
	c.AddedSD = c.Value * o.SDShare
	return c
}
