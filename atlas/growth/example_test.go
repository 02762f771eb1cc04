package growth_test

import (
	"fmt"
	"log"
	"sync"

	"fairlead/atlas/growth"
)

// load reads the tables once: they do not change.
var load = sync.OnceValue(func() *growth.Tables {
	tables, err := growth.Load()
	if err != nil {
		log.Fatal(err)
	}
	return tables
})

func ExampleTables_SurfaceM2() {
	bsa, err := load().SurfaceM2(growth.DefaultFormula, 110, 19)
	fmt.Printf("%.2f m² %v\n", bsa, err)
	_, err = load().SurfaceM2(growth.DefaultFormula, 1.1, 19)
	fmt.Println(err)
	// Output:
	// 0.76 m² <nil>
	// height 1.1 cm lies outside 20 to 250 cm; give it in centimetres
}

func ExampleFormula_String() {
	for _, f := range load().Formulas() {
		fmt.Println(f.Name+":", f)
	}
	// Output:
	// du-bois: 0.007184 H^0.725 W^0.425 (cm, kg)
	// mosteller: H^0.5 W^0.5 / 60 (cm, kg)
	// haycock: 0.024265 H^0.3964 W^0.5378 (cm, kg)
	// gehan-george: 0.0235 H^0.42246 W^0.51456 (cm, kg)
	// boyd: 0.0003207 H^0.3 W^(0.7285 -0.0188 log10 W) (cm, g)
}

func ExampleTables_Predict() {
	p, err := load().Predict("phn-2017", growth.Area, 1.0)
	fmt.Printf("%.0f mm² (%.0f to %.0f), %s, graded %s %v\n", p.Mean, p.Low, p.High, p.Label, p.Grade, err)
	_, err = load().Predict("phn-2017", growth.Area, 2.4)
	fmt.Println(err)
	// Output:
	// 439 mm² (273 to 605), Pediatric Heart Network 2017, graded abstract <nil>
	// body surface area 2.4 m2 lies outside 0.17 to 2 m2, the range of Pediatric Heart Network 2017
}

// The same valve in the same child has two z-scores.
func ExampleTables_Z() {
	for _, dataset := range []string{"pettersen-2008", "phn-2017"} {
		score, err := load().Z(dataset, growth.DiameterLateral, 30, 1.0)
		fmt.Println(score, err)
	}
	_, err := load().Z("phn-2017", growth.DiameterLateral, 250, 1.0)
	fmt.Println(err)
	// Output:
	// z +0.69 (Pettersen 2008) <nil>
	// z +2.21 (Pediatric Heart Network 2017) <nil>
	// z 78.07 lies outside -10 to 10, the range of Pediatric Heart Network 2017; is the size in mm?
}

func ExampleTables_Convert() {
	c, err := load().Convert(growth.Perimeter, 130, "ct")
	fmt.Printf("%.0f ± %.0f mm by %s, graded %s %v\n", c.Value, c.AddedSD, c.To, c.Grade, err)
	_, err = load().Convert(growth.Perimeter, 60, "ct")
	fmt.Println(err)
	_, err = load().Convert("commissure-stretched", 70, "direct")
	fmt.Println(err)
	// Output:
	// 111 ± 7 mm by echo-3d, graded abstract <nil>
	// perimeter 60 mm lies outside 88 mm and more, the range of the offset of computed tomography; it was measured in adults and does not scale
	// commissure-stretched by direct measurement at operation cannot be converted: the stretched distance from the anteroseptal to the anteroposterior commissure (the 70 mm of operative rules) and the four-chamber diameter (the 40 mm of echo) are different measurements
}

func ExamplePattern_StretchedTo() {
	classical, _ := load().Pattern("classical")
	fmt.Println(classical.Stretch)
	lengths, err := classical.StretchedTo(growth.Segments{Posterior: 34.1, Anterior: 40.3, Septal: 30.6}, 130)
	fmt.Printf("%.1f %v\n", lengths, err)
	// Output:
	// {1 0.5 0.125}
	// {48.8 49.0 32.2} <nil>
}

func ExampleTables_Limit() {
	limit, _ := load().Limit("stenosis-area")
	fmt.Println(limit.Sense, limit.Value, limit.Unit, limit.Grade, limit.Reached(95))
	// Output: at-most 100 mm2 secondary true
}
