package svgout_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"os"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
	"fairlead/svgout"
)

// checkedBand is a plan, read, laid on its heart and checked: what a drawing is made from.
func checkedBand() *placement.Report {
	must := func(err error) {
		if err != nil {
			panic(err)
		}
	}
	catalogue, err := atlas.LoadCatalogue()
	must(err)
	rules, err := placement.LoadRulebook()
	must(err)
	data, err := os.ReadFile("../examples/band.yaml")
	must(err)
	plan, problems := placement.Read("band.yaml", data, placement.WordsOf(catalogue))
	must(problems.Err())
	laid, problems := placement.Lay(plan, catalogue)
	must(problems.Err())
	return placement.Check(laid, rules)
}

// titleOf is what a drawing calls itself, as SVG.
func titleOf(drawing *svgout.Drawing, err error) string {
	if err != nil {
		return err.Error()
	}
	var svg bytes.Buffer
	if err := svgout.WriteSVG(&svg, drawing); err != nil {
		return err.Error()
	}
	var told struct {
		Title string `xml:"title"`
	}
	if err := xml.Unmarshal(svg.Bytes(), &told); err != nil {
		return err.Error()
	}
	return told.Title
}

// Draw the views of a plan.
func Example_views() {
	report := checkedBand()
	fmt.Println(titleOf(svgout.AtrialDrawing(report, svgout.Reader{})))
	fmt.Println(titleOf(svgout.StripDrawing(report, svgout.Reader{})))
	fmt.Println(titleOf(svgout.TwoViewDrawing(report, svgout.Reader{})))
	fmt.Println(titleOf(svgout.SectionDrawing(report, "3", svgout.Reader{})))
	fmt.Println(titleOf(svgout.UprightDrawing(report, svgout.Reader{})))
	fmt.Println(titleOf(svgout.RepairDrawing(report, svgout.Reader{})))
	// Output:
	// Open band, adult (invented): atrial view of the tricuspid rim
	// Open band, adult (invented): the tricuspid rim unrolled
	// Open band, adult (invented): atrial view and the rim unrolled
	// Open band, adult (invented): section across the rim at bite 3
	// Open band, adult (invented): upright view of the right atrium
	// svgout: the plan has no `repair` to draw
}

// Draw for a reader of German who is used to seeing the heart in the mirror.
func ExampleReader() {
	german, err := words.Load("de")
	if err != nil {
		panic(err)
	}
	reader := svgout.Reader{Language: german, Habit: svgout.Habit{Mirrored: true}}
	fmt.Println(titleOf(svgout.StripDrawing(checkedBand(), reader)))
	// Output: Open band, adult (invented): der Trikuspidalring, abgerollt
}

// Colour a drawing for a dark room: the marks stay the same.
func ExampleDrawing_In() {
	drawing, err := svgout.AtrialDrawing(checkedBand(), svgout.Reader{})
	if err != nil {
		panic(err)
	}
	var paper, dark bytes.Buffer
	if err := svgout.WriteSVG(&paper, drawing); err != nil {
		panic(err)
	}
	if err := svgout.WriteSVG(&dark, drawing.In(svgout.ThemeDark)); err != nil {
		panic(err)
	}
	fmt.Println(bytes.Count(paper.Bytes(), []byte("<path")) == bytes.Count(dark.Bytes(), []byte("<path")), bytes.Equal(paper.Bytes(), dark.Bytes()))
	// Output: true false
}

// Print a plan on A4: one PDF of all its pages.
func ExampleNewSheet() {
	sheet, err := svgout.NewSheet(checkedBand(), svgout.Papers()[0], svgout.Reader{})
	if err != nil {
		panic(err)
	}
	var pages []*svgout.Drawing
	for i := range sheet.Pages() {
		page, err := sheet.Page(i)
		if err != nil {
			panic(err)
		}
		pages = append(pages, page)
	}
	var pdf bytes.Buffer
	if err := svgout.WritePDF(&pdf, pages...); err != nil {
		panic(err)
	}
	fmt.Println(len(pages), "pages,", string(pdf.Bytes()[:5]))
	// Output: 2 pages, %PDF-
}

// Draw a plan as slides, with notes for who speaks.
func ExampleNewSlides() {
	slides, err := svgout.NewSlides(checkedBand(), svgout.SlideOptions{})
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
