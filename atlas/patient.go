package atlas

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairlead/atlas/contour"
	"fairlead/atlas/geom"
	"fairlead/atlas/growth"
	"fairlead/atlas/words"
)

// Patient is what is known of one patient besides what is known of hearts in general. The zero value is the usual
// adult.
type Patient struct {
	Body     Body
	Measured []Measured
	Contour  *contour.Fitted // a rim from imaging, or nil
	Stretch  string          // the pattern the rim was stretched in: free, or named in growth; empty: not stretched
	Variant  string          // a malformation, named by a file of data/variants; empty: none
	Valve    Valve
}

// Body is the patient's size: height and weight, or the surface itself. All zero: not known.
type Body struct {
	HeightCM, WeightKG float64
	SurfaceM2          float64
	Formula            string // for the surface; empty: growth.DefaultFormula
	Dataset            string // for predicted sizes; empty: chosen by the surface
}

// methodErrorShare is the error of one measurement by a named method, as a share of the size, where the plan gives
// none. Assumption: nobody's repeatability of these sizes was read.
const methodErrorShare = 0.05

// contourErrorShare is how exactly the sizes of a contour are taken. Assumption: its points' scatter averages out along
// it.
const contourErrorShare = 0.01

// byContour is the method of sizes taken from a contour.
const byContour = "contour"

// Fit builds the heart that is most likely, given the patient. What is impossible or contradictory is reported all at
// once, each as a *GeometryError, joined.
func (c *Catalogue) Fit(p Patient) (*Heart, error) {
	k, err := c.know(p)
	if err != nil {
		return nil, err
	}
	return k.likeliest()
}

// knowledge is what is believed of one patient's heart after all that was given has been weighed.
type knowledge struct {
	patient  Patient
	tables   *growth.Tables
	body     Predicted
	expected *belief // from the body alone
	belief   *belief // from what was measured as well
	seen     []observation
	measured map[int]Measured
	variant  *Variant // nil: none
	contour  *Rim     // nil: none
}

// Predicted is what a body's size says, and by which dataset.
type Predicted struct {
	SurfaceM2 float64    // 0: the body is not known
	Formula   string     // empty when the surface was given
	Dataset   string     // id
	Label     words.Said // what the dataset is called
	RatioHere float64    // predicted over usual adult diameter
	LogSpread float64    // of the predicted diameter: the standard deviation of its logarithm
	Caution   string
}

func (c *Catalogue) know(p Patient) (*knowledge, error) {
	k := &knowledge{patient: p, tables: c.growth, measured: map[int]Measured{}}
	var err error
	if k.variant, err = findVariant(p.Variant); err != nil {
		return nil, err
	}
	if k.variant != nil {
		if c, err = c.varied(k.variant); err != nil {
			return nil, err
		}
	}
	if k.body, err = c.predict(p.Body); err != nil {
		return nil, &GeometryError{Names: []string{"patient"}, Text: err.Error(), Mend: "correct height, weight or surface, or leave the patient's size out"}
	}
	if k.expected, err = c.believe(k.body); err != nil {
		return nil, err
	}
	if err := errors.Join(k.observe(), k.observeContour()); err != nil {
		return nil, err
	}
	if err := k.agree(); err != nil {
		return nil, err
	}
	k.belief = k.expected.copy()
	return k, k.belief.learn(k.telling())
}

// telling are the observations that tell of the heart in general. How far a rim was stretched tells nothing of the
// heart it was stretched in.
func (k *knowledge) telling() (seen []observation) {
	for _, o := range k.seen {
		p := k.expected.list[o.parameter]
		if p.byRatio() && k.measured[o.parameter].Value == 0 { // nothing at all has no ratio to what is usual
			continue
		}
		if k.patient.Stretch == "" || !rimSize(p.Name) {
			seen = append(seen, o)
		}
	}
	return seen
}

// adultAbove is the surface from which sizes are predicted by the adults' dataset unless the plan names another. m².
const adultAbove = 1.5

// predict finds the surface and the dataset, and how the predicted rim compares with the usual adult's.
func (c *Catalogue) predict(b Body) (Predicted, error) {
	if b.SurfaceM2 == 0 && b.HeightCM == 0 && b.WeightKG == 0 {
		return Predicted{RatioHere: 1}, nil
	}
	p := Predicted{SurfaceM2: b.SurfaceM2}
	if p.SurfaceM2 == 0 {
		p.Formula = b.Formula
		if p.Formula == "" {
			p.Formula = growth.DefaultFormula
		}
		var err error
		if p.SurfaceM2, err = c.growth.SurfaceM2(p.Formula, b.HeightCM, b.WeightKG); err != nil {
			return p, err
		}
	}
	p.Dataset = b.Dataset
	if p.Dataset == "" {
		p.Dataset = "phn-2017"
		if p.SurfaceM2 > adultAbove {
			p.Dataset = "adult-3d-echo"
		}
	}
	return c.ratio(p)
}

// ratio holds a dataset's prediction against the usual adult: the geometric mean of the two diameters it gives, or
// the one. Predictions are used as the dataset gives them, by its own method, and not converted: datasets are never
// mixed.
func (c *Catalogue) ratio(p Predicted) (Predicted, error) {
	pairs := [][2]string{{"diameter-major", "diameter-minor"}, {"diameter-anteroposterior", "diameter-lateral"}, {"diameter-lateral", "diameter-lateral"}}
	var firstErr error
	for _, pair := range pairs {
		one, err := c.growth.Predict(p.Dataset, pair[0], p.SurfaceM2)
		if err != nil {
			firstErr = errors.Join(firstErr, err)
			continue
		}
		other, err := c.growth.Predict(p.Dataset, pair[1], p.SurfaceM2)
		if err != nil {
			continue
		}
		usual := math.Sqrt(c.usual("rim-long-axis") * c.usual("rim-short-axis"))
		p.RatioHere = math.Sqrt(one.Mean*other.Mean) / usual
		p.LogSpread = max(logSpreadOf(one), logSpreadOf(other))
		p.Label, p.Caution = words.Of("dataset."+p.Dataset), one.Caution
		return p, nil
	}
	var beyond *growth.OutOfRangeError
	if errors.As(firstErr, &beyond) {
		return p, beyond
	}
	return p, firstErr
}

func (c *Catalogue) usual(name string) float64 {
	for _, p := range c.parameters {
		if p.Name == name {
			return p.Value
		}
	}
	return math.NaN()
}

func logSpreadOf(p growth.Prediction) float64 {
	if p.LogSD > 0 {
		return p.LogSD
	}
	return p.SD / p.Mean
}

// believe sets up what the body alone leads one to expect.
func (c *Catalogue) believe(body Predicted) (*belief, error) {
	general, err := c.belief(1)
	if err != nil || body.SurfaceM2 == 0 {
		return general, err
	}
	// The common factor of size takes up what the dataset's spread of the diameter leaves to it.
	size := general.sizeShare
	rest := general.cov.At(general.index["rim-length"], general.index["rim-length"]) - size*size
	by := math.Sqrt(max(body.LogSpread*body.LogSpread-rest, 0)) / size
	b, err := c.belief(max(by, 0.3))
	if err != nil {
		return nil, err
	}
	b.shift(math.Log(body.RatioHere))
	return b, nil
}

// sizeOf names, for the sizes of the rim, the quantity that methods of measurement are compared by.
var sizeOf = map[string]string{
	"rim-length": growth.Perimeter, "rim-area": growth.Area, "rim-long-axis": growth.DiameterAnteroposterior, "rim-short-axis": growth.DiameterLateral,
	"septal-segment": "septal-segment", "anterior-segment": "anterior-segment", "posterior-segment": "posterior-segment",
}

// observe turns what was measured into observations: brought to the reference method, with an error.
func (k *knowledge) observe() error {
	var found []error
	for _, m := range k.patient.Measured {
		i, known := k.expected.index[m.Name]
		if !known {
			found = append(found, &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("no parameter is called %q", m.Name), Mend: "see `fairlead landmarks` for the names"})
			continue
		}
		if _, twice := k.measured[i]; twice {
			found = append(found, &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("%s is given twice", m.Name), Mend: "leave out one of them"})
			continue
		}
		o, err := k.observation(i, m)
		if err != nil {
			found = append(found, err)
			continue
		}
		k.measured[i] = m
		k.seen = append(k.seen, o)
	}
	return errors.Join(found...)
}

// observeContour makes a contour the rim, and its sizes observations, so that all that goes with the rim goes with it.
func (k *knowledge) observeContour() error {
	fitted := k.patient.Contour
	if fitted == nil {
		return nil
	}
	if k.patient.Stretch != "" {
		return &GeometryError{Names: []string{"stretch", "contour"}, Text: "a rim is either taken from a contour or stretched", Mend: "leave out one of the two"}
	}
	var through [rimKnots]geom.Vec
	if len(fitted.Samples) != rimKnots {
		return fmt.Errorf("a contour of %d samples; the rim takes %d", len(fitted.Samples), rimKnots)
	}
	copy(through[:], fitted.Samples)
	rim, err := newRim(fitted.LengthMM, &through)
	if err != nil {
		return err
	}
	rim.segments = fitted.SegmentsMM
	k.contour = rim
	sizes := rim.named()
	sizes["saddle-height"] = rim.Sizes().SaddleHeightMM
	for i, p := range k.expected.list { // in the catalogue's order: a map has none
		size, has := sizes[p.Name]
		if _, said := k.measured[i]; !has || said {
			continue
		}
		if !(size >= p.Least && size <= p.Most) {
			return &GeometryError{Names: []string{"contour"}, Text: fmt.Sprintf("the contour's %s, %s, is out of range", p.Name, quantity(size, p.Unit)),
				Mend: fmt.Sprintf("it must be %s to %s", quantity(p.Least, p.Unit), quantity(p.Most, p.Unit))}
		}
		k.measured[i] = Measured{Name: p.Name, Value: size, Method: byContour}
		k.seen = append(k.seen, observation{parameter: i, at: p.coordinate(size), error: contourErrorShare})
	}
	return nil
}

func (k *knowledge) observation(i int, m Measured) (observation, error) {
	p := k.expected.list[i]
	if !(m.Value >= p.Least && m.Value <= p.Most) {
		return observation{}, &GeometryError{Names: []string{m.Name}, Text: fmt.Sprintf("%s %s is out of range", m.Name, quantity(m.Value, p.Unit)),
			Mend: fmt.Sprintf("give %s to %s", quantity(p.Least, p.Unit), quantity(p.Most, p.Unit))}
	}
	value, spread := m.Value, m.Error
	if m.Method != "" && spread == 0 {
		spread = methodErrorShare * math.Abs(m.Value)
	}
	if size, compared := sizeOf[m.Name]; compared && m.Method != "" {
		converted, err := k.tables.Convert(size, m.Value, m.Method)
		if err != nil {
			return observation{}, &GeometryError{Names: []string{m.Name}, Text: err.Error(), Mend: "give it without `by`, to take it as it is, with an `error`"}
		}
		value, spread = converted.Value, math.Hypot(spread, converted.AddedSD)
	}
	if own := chordOwn[m.Name]; own > chordOwn["septal-chord"] { // it comes of the shape, so it cannot be held to the letter
		spread = max(spread, own*value)
	}
	o := observation{parameter: i, at: p.coordinate(value), error: spread}
	if p.byRatio() {
		o.error = spread / max(value, 1e-3)
	}
	return o, nil
}

// agree reports measurements that contradict each other.
func (k *knowledge) agree() error {
	var found []error
	for _, c := range k.expected.conflicts(k.seen) {
		if k.fromContour(c.one) && k.fromContour(c.other) { // one curve cannot contradict itself
			continue
		}
		one, other := k.expected.list[k.seen[c.one].parameter], k.expected.list[k.seen[c.other].parameter]
		found = append(found, &GeometryError{Names: []string{one.Name, other.Name},
			Text: fmt.Sprintf("%s %s and %s %s lie %.1f standard deviations apart", one.Name, quantity(one.value(k.seen[c.one].at), one.Unit),
				other.Name, quantity(other.value(k.seen[c.other].at), other.Unit), c.apart),
			Mend: "one of them is likely wrong: correct it, or give its `error`"})
	}
	return errors.Join(found...)
}

func (k *knowledge) fromContour(seen int) bool {
	return k.measured[k.seen[seen].parameter].Method == byContour
}

// values are the likeliest parameters, with what was expected and how narrow the belief has become.
func (k *knowledge) values() *values {
	v := &values{index: k.belief.index}
	for i, p := range k.belief.list {
		value := Value{Parameter: p}
		value.Expected, value.ExpectedSpread = k.expected.at(i)
		value.Here, value.HereSpread = k.belief.at(i)
		v.list = append(v.list, value)
	}
	k.mark(v)
	return v
}

// mark notes what was measured; what was given as exact is taken to the letter.
func (k *knowledge) mark(v *values) {
	for _, o := range k.seen {
		value := &v.list[o.parameter]
		value.Measured, value.Given, value.Method = true, k.measured[o.parameter].Value, k.measured[o.parameter].Method
		switch stretched := k.patient.Stretch != "" && rimSize(value.Name); {
		case o.error == 0:
			value.exact, value.Here, value.HereSpread = true, value.Given, 0
		case stretched:
			value.Here, value.HereSpread = value.value(o.at), value.value(o.at)*o.error
		}
	}
	if k.patient.Stretch == "" && k.contour == nil {
		v.balanceRim()
	}
}

func (k *knowledge) likeliest() (*Heart, error) { return k.build(k.values()) }

// build makes the heart of some values: its rim as measured or stretched, and all that goes with it.
func (k *knowledge) build(v *values) (*Heart, error) {
	rim, err := k.rim(v)
	if err != nil {
		return nil, err
	}
	h, err := v.heartOn(rim)
	if err != nil {
		return nil, err
	}
	if err := v.complete(); err != nil {
		return nil, err
	}
	h.Body, h.Valve, h.Variant = k.body, k.patient.Valve, k.variant
	if k.variant == nil {
		return h, nil
	}
	if err := h.malform(k.variant); err != nil {
		return nil, err
	}
	return h, nil
}

func (k *knowledge) rim(v *values) (*Rim, error) {
	switch {
	case k.contour != nil:
		return k.contour, v.holdMeasured(k.contour.Sizes())
	case k.patient.Stretch != "":
		return k.stretched(v)
	}
	return v.rim()
}

// VariantNames lists the malformations a patient may have.
func VariantNames() (names []string) {
	files, err := variantFiles.ReadDir("data/variants")
	if err != nil {
		return nil
	}
	for _, file := range files {
		if name := strings.TrimSuffix(file.Name(), ".yaml"); file.Name() != variantSourcesFile {
			names = append(names, name)
		}
	}
	return names
}

// findVariant reads the variants when one is asked for; an empty name is none.
func findVariant(name string) (*Variant, error) {
	if name == "" {
		return nil, nil
	}
	variants, _, err := LoadVariants()
	if err != nil {
		return nil, err
	}
	for i, x := range variants {
		if x.ID != name {
			continue
		}
		if err := x.refuses(); err != nil {
			return nil, &GeometryError{Names: []string{"variant"}, Text: err.Error(), Mend: "plan such a heart without this atlas"}
		}
		return &variants[i], nil
	}
	return nil, &GeometryError{Names: []string{"variant"}, Text: fmt.Sprintf("no variant is called %q", name), Mend: "name one of " + strings.Join(VariantNames(), ", ")}
}
