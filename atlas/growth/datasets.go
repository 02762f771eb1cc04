package growth

import (
	"fmt"

	"fairlead/atlas/strictyaml"
)

// The forms of regression.
const (
	Power    = "power"     // size / BSA^alpha is normally distributed
	LogCubic = "log-cubic" // the logarithm of the size is, about a cubic in BSA
)

// The quantities that datasets measure. Not every dataset has every quantity.
const (
	DiameterAnteroposterior = "diameter-anteroposterior"
	DiameterLateral         = "diameter-lateral" // septal to lateral, apical four-chamber view
	DiameterMajor           = "diameter-major"
	DiameterMinor           = "diameter-minor"
	Perimeter               = "perimeter"
	Area                    = "area"
)

// Dataset is a published regression of sizes of the rim on body surface area.
type Dataset struct {
	ID, Label  string
	Population string
	AgeNote    string
	Form       string // Power or LogCubic
	Method     string // name of the Method the sizes were measured by
	Evidence
	// SurfaceFormula names the formula its authors computed BSA with; empty where that is not known.
	SurfaceFormula, SurfaceGrade string
	// BSA is the range, in m², in which the dataset is used.
	BSA                  Range
	RangeGrade           string
	RangeNote            string
	CautionAbove         float64 // m²; zero where there is no caution
	Caution              string
	Quantities           []Quantity
	ellipseOf, ellipseBy string // diameters whose ellipse should have the area
}

// Quantity is one size in a dataset.
type Quantity struct {
	Name, Label string
	Unit        string // mm or mm2

	law law
}

// published gives what a unit of a data file is in the package's units.
var published = map[string]struct {
	unit  string
	scale float64
}{"mm": {"mm", 1}, "cm": {"mm", 10}, "mm2": {"mm2", 1}, "cm2": {"mm2", 100}}

func (r *reader) readDatasets(formulas []Formula) []Dataset {
	var all []Dataset
	once := r.once("dataset")
	for _, v := range r.parse("datasets.yaml", datasetsShape).Get("datasets").Items() {
		d := Dataset{
			ID: once(v.Get("id")), Label: v.Get("label").Text(), Population: v.Get("population").Text(),
			AgeNote: v.Get("age").Text(), Form: v.Get("form").Text(), Method: v.Get("method").Text(), Evidence: r.evidence(v),
			CautionAbove: v.Get("caution").Get("above").Number(), Caution: v.Get("caution").Get("text").Text(),
		}
		r.readRange(&d, v.Get("range"))
		r.readSurface(&d, v.Get("surface-formula"), formulas)
		r.readQuantities(&d, v.Get("quantities"))
		all = append(all, d)
	}
	return all
}

func (r *reader) readRange(d *Dataset, v strictyaml.Value) {
	d.BSA = Range{v.Get("low").Number(), v.Get("high").Number()}
	d.RangeGrade, d.RangeNote = v.Get("grade").Text(), v.Get("note").Text()
	if d.BSA.Low >= d.BSA.High {
		r.problems.Add(v.Position(), "the range is empty", "low < high", "")
	}
}

func (r *reader) readSurface(d *Dataset, v strictyaml.Value, formulas []Formula) {
	if !v.Present() {
		return
	}
	d.SurfaceFormula, d.SurfaceGrade = v.Get("name").Text(), v.Get("grade").Text()
	if _, err := find("formula", d.SurfaceFormula, formulas, func(f Formula) string { return f.Name }); err != nil {
		r.problems.Add(v.Position(), err.Error(), "a formula from surface.yaml", "")
	}
}

func (r *reader) readQuantities(d *Dataset, list strictyaml.Value) {
	once := r.once("quantity of " + d.ID)
	for _, v := range list.Items() {
		u := published[v.Get("unit").Text()]
		q := Quantity{Name: once(v.Get("name")), Label: v.Get("label").Text(), Unit: u.unit, law: readLaw(v, u.scale)}
		if (d.Form == LogCubic) != v.Has("mse") {
			r.problems.Add(v.Position(), fmt.Sprintf("%s has the coefficients of another form", q.Name), "coefficients of the form "+d.Form, "")
		}
		if of := v.Get("ellipse").Items(); len(of) == 2 {
			d.ellipseOf, d.ellipseBy = of[0].Text(), of[1].Text()
		}
		d.Quantities = append(d.Quantities, q)
	}
	for _, of := range []string{d.ellipseOf, d.ellipseBy} {
		if _, err := d.quantity(of); of != "" && err != nil {
			r.problems.Add(list.Position(), err.Error(), "a diameter of the same dataset", "")
		}
	}
}

func readLaw(v strictyaml.Value, scale float64) law {
	if v.Has("mse") {
		b := [4]float64{v.Get("b0").Number(), v.Get("b1").Number(), v.Get("b2").Number(), v.Get("b3").Number()}
		return logCubic{b: b, mse: v.Get("mse").Number(), scale: scale}
	}
	return powerLaw{alpha: v.Get("alpha").Number(), mean: v.Get("mean").Number(), sd: v.Get("sd").Number(), scale: scale}
}

// Datasets lists the datasets.
func (t *Tables) Datasets() []Dataset {
	all := append([]Dataset(nil), t.datasets...)
	for i := range all {
		all[i].Quantities = append([]Quantity(nil), all[i].Quantities...)
	}
	return all
}

// Dataset finds a dataset by its ID.
func (t *Tables) Dataset(id string) (Dataset, error) {
	return find("dataset", id, t.Datasets(), func(d Dataset) string { return d.ID })
}

func (d Dataset) quantity(name string) (Quantity, error) {
	return find("quantity of "+d.ID, name, d.Quantities, func(q Quantity) string { return q.Name })
}
