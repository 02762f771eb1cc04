package flat_test

import (
	"fmt"
	"math"

	"fairlead/atlas/flat"
	"fairlead/atlas/geom"
)

// A piece of a cylinder, 10 mm in radius, comes out as the rectangle it was rolled from.
func ExampleFlatten() {
	outline := geom.Outline{{}, {X: 15}, {X: 15, Y: 8}, {Y: 8}}
	plan, err := flat.Triangulate(outline, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	sheet, err := flat.Flatten(plan.On(func(p geom.Point) geom.Vec {
		sin, cos := math.Sincos(p.X / 10)
		return geom.Vec{X: 10 * sin, Y: p.Y, Z: 10 * cos}
	}))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f mm2, %.0f mm round, stretched by %.1f %%\n", sheet.FlatAreaMM2, sheet.FlatPerimeterMM, 100*sheet.Distortion())
	// Output: 120 mm2, 46 mm round, stretched by 0.0 %
}
