package geom_test

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

func ExampleSegment_Distance() {
	s := geom.Segment{A: geom.Vec{X: -1}, B: geom.Vec{X: 1}}
	o := geom.Segment{A: geom.Vec{Y: -1, Z: 2}, B: geom.Vec{Y: 3, Z: 2}}
	dist, t, u := s.Distance(o)
	fmt.Printf("%.1f mm, at %.2f of the first and %.2f of the second\n", dist, t, u)
	// Output: 2.0 mm, at 0.50 of the first and 0.25 of the second
}

func ExampleArcThrough() {
	arc := geom.ArcThrough(geom.Vec{X: -8}, geom.Vec{Y: 8}, geom.Vec{X: 8})
	fmt.Printf("radius %.1f mm, length %.2f mm\n", arc.Radius(), arc.Length())
	fmt.Println("points that keep within 0.05 mm:", len(arc.Chords(0.05, nil)))
	straight := geom.ArcThrough(geom.Vec{}, geom.Vec{X: 1}, geom.Vec{X: 5})
	fmt.Println("radius of a straight one:", straight.Radius())
	// Output:
	// radius 8.0 mm, length 25.13 mm
	// points that keep within 0.05 mm: 16
	// radius of a straight one: +Inf
}

func ExampleEllipsoid_Distance() {
	disc := geom.Ellipsoid{
		Axes:  [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}},
		Radii: [3]float64{5, 5, 0.8},
	}
	fmt.Printf("%.2f\n", disc.Distance(geom.Vec{Z: 3}))
	fmt.Printf("%.2f\n", disc.Distance(geom.Vec{Z: 0.5}))
	// Output:
	// 2.20
	// -0.30
}

func ExampleEllipsoid_DistanceSegment() {
	disc := geom.Ellipsoid{
		Axes:  [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}},
		Radii: [3]float64{5, 5, 0.8},
	}
	dist, t := disc.DistanceSegment(geom.Segment{A: geom.Vec{Z: -2}, B: geom.Vec{Z: 6}})
	fmt.Printf("%.2f mm at %.2f\n", dist, t)
	// Output: -0.80 mm at 0.25
}

func ExamplePathDistance() {
	tube := geom.Tube{Axis: []geom.Vec{{X: -10}, {X: 10}}, RadiusMM: 1.5}
	path := []geom.Vec{{Y: 9, Z: 1}, {Y: 4, Z: 1}, {Y: 4, Z: 9}}
	dist, at := geom.PathDistance(path, tube, math.Inf(1))
	fmt.Printf("%.2f mm at %v\n", dist, at)
	// Output: 2.62 mm at {0 4 1}
}

func ExampleNewPeriodicSpline() {
	s, err := geom.NewPeriodicSpline(360, []float64{0, 90, 180, 270}, []float64{1, 0, -1, 0})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f %.4f\n", s.At(45), s.At(45-720))
	_, err = geom.NewPeriodicSpline(360, []float64{0, 90, 90}, []float64{1, 2, 3})
	fmt.Println(err)
	// Output:
	// 0.6875 0.6875
	// periodic spline: knot 2 at 90 does not come after knot 1 at 90
}

func ExampleOutline_SignedDistance() {
	square := geom.Outline{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}
	fmt.Println(square.SignedDistance(geom.Point{X: 3, Y: 2}), square.SignedDistance(geom.Point{X: 7, Y: 8}))
	fmt.Println(square.Area(), square.Perimeter(), square.Centroid(), square.CrossesSelf())
	// Output:
	// -1 5
	// 16 16 {2 2} false
}

func ExampleOutline_DepthOfPath() {
	bar := geom.Outline{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 4}, {X: 0, Y: 4}}
	// Both ends lie outside, but the way between them goes through.
	fmt.Printf("%.2f\n", bar.DepthOfPath([]geom.Point{{X: 5, Y: -3}, {X: 5, Y: 9}}))
	// Output: -2.00
}
