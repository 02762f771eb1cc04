package growth

import (
	"fmt"
	"math"
)

// BandZ is the z-score at which the usual band of a prediction ends, on either side.
const BandZ = 2

// MaxZ is the largest z-score, of either sign, that is spoken of. The smallest valves in published series lie
// between -5 and -6; a size ten SD away is a slip of the pen, most often a wrong unit.
const MaxZ = 10

// Prediction is the size a dataset gives for a body. Sizes are in Unit.
type Prediction struct {
	Dataset, Label string // ID and label of the dataset
	Quantity       string
	Unit           string // mm or mm2
	BSA            float64
	// Mean is the size at z 0; by a log-cubic dataset that is the geometric mean.
	Mean float64
	// SD is the standard deviation by a power dataset, LogSD that of the natural logarithm by a log-cubic one; the
	// other is zero.
	SD, LogSD float64
	Low, High float64 // at z -BandZ and +BandZ
	Grade     string  // of the dataset
	Caution   string  // set where the dataset is to be read with caution at this BSA
}

// Score places a size among those of healthy people. It belongs to one dataset and is not to be compared with one
// of another.
type Score struct {
	Dataset, Label string // ID and label of the dataset
	Quantity       string
	Unit           string // mm or mm2
	BSA            float64
	Value          float64
	Z              float64
	Grade          string // of the dataset
	Caution        string // set where the dataset is to be read with caution at this BSA
}

// String gives the z-score with the dataset it belongs to.
func (s Score) String() string { return fmt.Sprintf("z %+.2f (%s)", s.Z, s.Label) }

// Predict gives the size of a quantity, by a dataset, for a body surface area in m². Outside the range of the
// dataset it gives an [OutOfRangeError].
func (t *Tables) Predict(dataset, quantity string, bsaM2 float64) (Prediction, error) {
	d, q, err := t.lookUp(dataset, quantity, bsaM2)
	if err != nil {
		return Prediction{}, err
	}
	sd, logSD := q.law.spread(bsaM2)
	return Prediction{
		Dataset: d.ID, Label: d.Label, Quantity: q.Name, Unit: q.Unit, BSA: bsaM2,
		Mean: q.law.at(0, bsaM2), SD: sd, LogSD: logSD,
		Low: q.law.at(-BandZ, bsaM2), High: q.law.at(BandZ, bsaM2),
		Grade: d.Grade, Caution: d.cautionAt(bsaM2),
	}, nil
}

// Z gives the z-score, by a dataset, of a size in mm or mm² at a body surface area in m². It gives an
// [OutOfRangeError] outside the range of the dataset, for a size that is not positive, and beyond MaxZ.
func (t *Tables) Z(dataset, quantity string, value, bsaM2 float64) (Score, error) {
	d, q, err := t.lookUp(dataset, quantity, bsaM2)
	if err != nil {
		return Score{}, err
	}
	if !(value > 0) || math.IsInf(value, 1) {
		return Score{}, &OutOfRangeError{What: q.Name, Value: value, Unit: q.Unit, Range: Range{0, math.Inf(1)}, Mend: "give a positive size"}
	}
	z := q.law.z(value, bsaM2)
	if err := checkZ(z, d, "is the size in "+q.Unit+"?"); err != nil {
		return Score{}, err
	}
	return d.score(q, value, z, bsaM2), nil
}

// ValueAt gives the size, in mm or mm², that has a z-score by a dataset at a body surface area in m²: the inverse
// of [Tables.Z]. By a power dataset a strongly negative z-score has no positive size; that too is an
// [OutOfRangeError].
func (t *Tables) ValueAt(dataset, quantity string, z, bsaM2 float64) (Score, error) {
	d, q, err := t.lookUp(dataset, quantity, bsaM2)
	if err != nil {
		return Score{}, err
	}
	if err := checkZ(z, d, ""); err != nil {
		return Score{}, err
	}
	value := q.law.at(z, bsaM2)
	if value <= 0 {
		return Score{}, &OutOfRangeError{What: "z", Value: z, Range: Range{q.law.z(0, bsaM2), MaxZ}, By: d.Label, Mend: "no positive size has it"}
	}
	return d.score(q, value, z, bsaM2), nil
}

func (t *Tables) lookUp(dataset, quantity string, bsaM2 float64) (Dataset, Quantity, error) {
	d, err := find("dataset", dataset, t.datasets, func(d Dataset) string { return d.ID })
	if err != nil {
		return Dataset{}, Quantity{}, err
	}
	q, err := d.quantity(quantity)
	if err != nil {
		return Dataset{}, Quantity{}, err
	}
	if !d.BSA.Contains(bsaM2) {
		return Dataset{}, Quantity{}, &OutOfRangeError{What: "body surface area", Value: bsaM2, Unit: "m2", Range: d.BSA, By: d.Label}
	}
	return d, q, nil
}

func checkZ(z float64, d Dataset, mend string) error {
	if bound := (Range{-MaxZ, MaxZ}); !bound.Contains(z) {
		return &OutOfRangeError{What: "z", Value: z, Range: bound, By: d.Label, Mend: mend}
	}
	return nil
}

func (d Dataset) score(q Quantity, value, z, bsaM2 float64) Score {
	return Score{
		Dataset: d.ID, Label: d.Label, Quantity: q.Name, Unit: q.Unit, BSA: bsaM2,
		Value: value, Z: z, Grade: d.Grade, Caution: d.cautionAt(bsaM2),
	}
}

func (d Dataset) cautionAt(bsaM2 float64) string {
	if d.Caution == "" || bsaM2 <= d.CautionAbove {
		return ""
	}
	return d.Caution
}

// AreaCheck sets the area a dataset predicts against the ellipse of the two diameters it predicts, in mm².
type AreaCheck struct {
	Dataset, Label string
	BSA            float64
	Area, Ellipse  float64
}

// CheckArea sets predicted area against predicted diameters at a body surface area in m². The two should nearly
// agree: in the dataset of children they do at every BSA; an index per m², as of adults, lets them agree at one BSA only.
func (t *Tables) CheckArea(dataset string, bsaM2 float64) (AreaCheck, error) {
	d, area, err := t.lookUp(dataset, Area, bsaM2)
	if err != nil {
		return AreaCheck{}, err
	}
	c := AreaCheck{Dataset: d.ID, Label: d.Label, BSA: bsaM2, Area: area.law.at(0, bsaM2), Ellipse: math.Pi / 4}
	for _, name := range []string{d.ellipseOf, d.ellipseBy} {
		diameter, err := d.quantity(name)
		if err != nil {
			return AreaCheck{}, err
		}
		c.Ellipse *= diameter.law.at(0, bsaM2)
	}
	return c, nil
}
