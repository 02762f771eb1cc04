package atlas_test

import (
	"errors"
	"fmt"
	"log"

	"fairlead/atlas"
)

func ExampleLoadCatalogue() {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range catalogue.Parameters() {
		if p.Name == "ostium-to-hinge" {
			source, _ := catalogue.Source(p.Source)
			fmt.Printf("%s: %.1f ± %.1f %s\n", p.Label, p.Value, p.Spread, p.Unit)
			fmt.Printf("%v; read: %s\n", p.Grade, source.Read)
		}
	}
	// Output:
	// septal hinge to the near lip of the ostium: 8.6 ± 3.9 mm
	// published, abstract read; read: abstract
}

// usual is the usual adult heart.
func usual() *atlas.Heart {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		log.Fatal(err)
	}
	heart, err := catalogue.Heart(nil)
	if err != nil {
		log.Fatal(err)
	}
	return heart
}

func ExampleCatalogue_Heart() {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		log.Fatal(err)
	}
	heart, err := catalogue.Heart([]atlas.Measured{{Name: "rim-length", Value: 118}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("a rim of %.0f mm\n", heart.Rim.LengthMM())

	_, err = catalogue.Heart([]atlas.Measured{{Name: "ostium-to-hinge", Value: 0}})
	var geometry *atlas.GeometryError
	if errors.As(err, &geometry) {
		fmt.Println(geometry.Text)
		fmt.Println(geometry.Mend)
	}
	// Output:
	// a rim of 118 mm
	// ostium-to-hinge 0 mm is out of range
	// give 0.5 mm to 60 mm
}

// Twelve millimetres back along the septal hinge from the anteroseptal commissure, three up the wall, two deep.
func ExampleChart_Frame() {
	heart := usual()
	p := heart.Chart.Frame(atlas.Spot{AlongMM: -12, OffMM: 3, DeepMM: 2})
	fmt.Printf("toward the feet %.1f, toward the front %.1f, out of the valve %.1f mm\n", p.X, p.Y, p.Z)
	// Output:
	// toward the feet -3.8, toward the front -17.2, out of the valve 2.0 mm
}

// How deep, and how far off the hinge, the middle of the node lies.
func ExampleChart_Spot() {
	heart := usual()
	node, _ := heart.Landmark("node")
	spot, ok := heart.Chart.Spot(node.Frame)
	fmt.Printf("%v: %.1f mm off the hinge, %.1f mm deep\n", ok, spot.OffMM, spot.DeepMM)
	// Output:
	// true: 3.0 mm off the hinge, 1.0 mm deep
}

func ExampleRim_Sizes() {
	s := usual().Rim.Sizes()
	fmt.Printf("%.0f mm round, %.0f by %.0f mm\n", s.LengthMM, s.LongAxisMM, s.ShortAxisMM)
	fmt.Printf("septal segment %.0f mm, saddle %.0f mm\n", s.SeptalMM, s.SaddleHeightMM)
	// Output:
	// 106 mm round, 36 by 30 mm
	// septal segment 31 mm, saddle 7 mm
}

func ExampleHeart_Landmark() {
	heart := usual()
	apex, ok := heart.Landmark("triangle-apex")
	commissure, _ := heart.Landmark("anteroseptal-commissure")
	fmt.Printf("%v: %s\n", ok, apex.Label)
	fmt.Printf("%.0f mm from the commissure (%v)\n", heart.Rim.Span(apex.Spot.AlongMM, commissure.Spot.AlongMM), apex.Grade)
	// Output:
	// true: apex of the nodal triangle
	// 3 mm from the commissure (assumption)
}
