package svgout_test

import (
	"bytes"
	"fmt"

	"fairlead/svgout"
)

// One drawing, written three ways.
func ExampleDrawing() {
	k := svgout.NewDrawing(svgout.Page{WidthMM: 60, HeightMM: 20, Title: "A bar", Desc: "A bar of 50 mm."})
	k.Group("scale", "Scale")
	k.Line("scale-bar", svgout.Point{X: 5, Y: 10}, svgout.Point{X: 55, Y: 10})
	k.End()
	k.Text("label", 30, 16, svgout.AnchorMiddle, "50 mm")
	drawing, err := k.Finish()
	if err != nil {
		fmt.Println(err)
		return
	}
	var svg, pdf, png bytes.Buffer
	fmt.Println(svgout.WriteSVG(&svg, drawing), svgout.WritePDF(&pdf, drawing, drawing), svgout.WritePNG(&png, drawing, 150))
	fmt.Printf("%.5q %.5q %.4q\n", svg.String(), pdf.String(), png.String())
	// Output:
	// <nil> <nil> <nil>
	// "<?xml" "%PDF-" "\x89PNG"
}
