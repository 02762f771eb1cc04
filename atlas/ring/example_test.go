package ring_test

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/ring"
)

// oval is a line to start from: an ellipse, 40 mm by 30 mm, in 240 elements.
func oval() []geom.Point {
	points := make([]geom.Point, 240)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 240)
		points[i] = geom.Point{X: 20 * cos, Y: 15 * sin}
	}
	return points
}

// A quarter of an oval is drawn together to 60 %; the rest keeps its length.
func ExampleSolve() {
	rest := oval()
	lengths := ring.Lengths(rest)
	for i := range 60 {
		lengths[i] *= 0.6
	}
	before := geom.Outline(rest)
	shape, err := ring.Solve(ring.Problem{LengthsMM: lengths, Rest: ring.Turns(rest)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("perimeter %.1f mm to %.1f mm\n", before.Perimeter(), shape.PerimeterMM())
	fmt.Printf("area %.0f mm² to %.0f mm²\n", before.Area(), shape.AreaMM2())
	fmt.Println("still convex:", shape.Convex())
	// Output:
	// perimeter 110.5 mm to 99.5 mm
	// area 942 mm² to 761 mm²
	// still convex: true
}

// Without a shape at rest the line is round.
func ExampleSolve_free() {
	shape, err := ring.Solve(ring.Problem{LengthsMM: []float64{6, 3, 6, 3}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range shape.Points {
		fmt.Printf("%.2f, %.2f\n", p.X, p.Y)
	}
	// Output:
	// 0.00, 0.00
	// 6.00, 0.00
	// 6.00, 3.00
	// 0.00, 3.00
}

// The part of the line that is held is stiff, and is laid where it was.
func ExampleShape_Aligned() {
	rest := oval()
	lengths := ring.Lengths(rest)
	stiffness, held := make([]float64, len(rest)), make([]float64, len(rest))
	for i := range rest {
		stiffness[i] = 1
		switch {
		case i < 100:
			lengths[i] *= 0.7
		case i >= 150 && i < 200:
			stiffness[i], held[i] = 1000, 1
		}
	}
	shape, err := ring.Solve(ring.Problem{LengthsMM: lengths, Rest: ring.Turns(rest), Stiffness: stiffness})
	if err != nil {
		fmt.Println(err)
		return
	}
	moved := shape.Aligned(rest, held)
	fmt.Printf("a joint that is held moved by %.3f mm, one across by %.1f mm\n", apart(moved, rest, 175), apart(moved, rest, 55))
	// Output:
	// a joint that is held moved by 0.001 mm, one across by 5.3 mm
}

func apart(a, b []geom.Point, i int) float64 { return math.Hypot(a[i].X-b[i].X, a[i].Y-b[i].Y) }

// A saddle is shortened by a fifth all round and keeps its heights, so that its
// plan becomes smaller by a little more than a fifth.
func ExampleSolveInSpace() {
	rest := oval()
	lengths, heights := make([]float64, len(rest)), make([]float64, len(rest))
	for i := range rest {
		heights[i] = 4 * math.Cos(4*math.Pi*float64(i)/240)
	}
	for i, l := range ring.Lengths(rest) {
		lengths[i] = 0.8 * math.Hypot(l, heights[(i+1)%240]-heights[i])
	}
	joints, err := ring.SolveInSpace(lengths, heights, ring.Turns(rest), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	perimeter := 0.0
	for i, p := range joints {
		perimeter += p.Distance(joints[(i+1)%240])
	}
	fmt.Printf("heights from %.0f to %.0f mm, length %.2f mm\n", joints[60].Z, joints[0].Z, perimeter)
	fmt.Printf("long axis %.2f mm, was 40 mm\n", joints[0].Distance(joints[120]))
	// Output:
	// heights from -4 to 4 mm, length 92.83 mm
	// long axis 31.02 mm, was 40 mm
}
