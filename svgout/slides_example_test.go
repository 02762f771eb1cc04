package svgout_test

import (
	"bytes"
	"fmt"
	"os"

	"fairlead/atlas"
	"fairlead/placement"
	"fairlead/svgout"
)

// Draw a plan as slides, with notes for who speaks.
func ExampleNewSlides() {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		panic(err)
	}
	rules, err := placement.LoadRulebook()
	if err != nil {
		panic(err)
	}
	data, err := os.ReadFile("../examples/band.yaml")
	if err != nil {
		panic(err)
	}
	plan, problems := placement.Read("band.yaml", data, placement.WordsOf(catalogue))
	if err := problems.Err(); err != nil {
		panic(err)
	}
	laid, problems := placement.Lay(plan, catalogue)
	if err := problems.Err(); err != nil {
		panic(err)
	}
	slides, err := svgout.NewSlides(placement.Check(laid, rules), svgout.SlideOptions{})
	if err != nil {
		panic(err)
	}
	var first, notes bytes.Buffer
	if err := slides.DrawSlide(&first, 0); err != nil {
		panic(err)
	}
	if err := slides.Notes(&notes); err != nil {
		panic(err)
	}
	fmt.Println(bytes.Contains(first.Bytes(), []byte("1 / ")), bytes.Contains(notes.Bytes(), []byte("## 1 / ")))
	// Output: true true
}
