package atlas_test

import (
	"fmt"
	"log"

	"fairlead/atlas"
)

// A band draws the posterior segment to two thirds of its length.
func ExampleRim_Gathered() {
	heart := usual()
	posterior := heart.Segments()[1]
	after, err := heart.Rim.Gathered([]atlas.Gather{{FromMM: posterior.FromMM, ForMM: posterior.ForMM, ToMM: posterior.ForMM * 2 / 3}}, nil)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.0f mm round, and now %.0f\n", heart.Rim.LengthMM(), after.Rim.LengthMM())
	fmt.Printf("%.1f cm2, and now %.1f\n", heart.Rim.Sizes().AreaMM2/100, after.Rim.Sizes().AreaMM2/100)
	middle := posterior.FromMM + posterior.ForMM/2
	fmt.Printf("what was at %.1f mm is at %.1f\n", middle, after.Along(middle))
	// Output:
	// 106 mm round, and now 94
	// 8.5 cm2, and now 6.6
	// what was at 57.8 mm is at 52.1
}

// Where a rigid ring of 34 by 28 mm comes to lie against the anteroseptal commissure.
func ExampleFormer_Facing() {
	ring, err := atlas.NewFormer(34, 28)
	if err != nil {
		log.Fatal(err)
	}
	at := ring.Facing(usual().Rim.At(0))
	fmt.Printf("%.1f mm along the ring's %.1f, clockwise from the middle of its septal side\n", at, ring.LengthMM())
	// Output:
	// 14.5 mm along the ring's 97.6, clockwise from the middle of its septal side
}
