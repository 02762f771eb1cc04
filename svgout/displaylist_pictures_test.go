package svgout

import (
	"image"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// PDF and PNG must look like the SVG. librsvg's picture of the SVG is the
// measure; poppler draws the PDF; the PNG is ours.
const (
	picturePxPerMM = 4
	pictureTilePx  = 10 * picturePxPerMM
)

// sameness is the most that two pictures may differ: in the mean over the
// drawing, and in the mean over any tile of 10 mm. Both are shares of full
// brightness.
type sameness struct{ mean, tile float64 }

// Measured over all examples, at most: for the PDF mean 0.0044 and tile
// 0.0331, most of it letters that poppler moves to its pixels; for the PNG
// 0.0022 and 0.0116. For lines and areas alone, over a third of them: 0.0008
// and 0.0127, 0.0009 and 0.0115.
var (
	samePDF      = sameness{mean: 0.0048, tile: 0.036}
	samePNG      = sameness{mean: 0.0024, tile: 0.013}
	samePDFLines = sameness{mean: 0.0010, tile: 0.014}
	samePNGLines = sameness{mean: 0.0010, tile: 0.013}
)

// A plate with prose has more letters in a tile: measured over one drawing of
// each kind, at most 0.0044 and 0.0333 for the PDF, 0.0019 and, where three
// lines of a section's prose fill a tile, 0.0147 for the PNG.
var samePNGOfProse = sameness{mean: 0.0024, tile: 0.016}

// differs measures two pictures and says whether they differ by more than s.
func (s sameness) differs(t *testing.T, a, b image.Image) (measured sameness, differs bool) {
	t.Helper()
	measured.mean, measured.tile = svgcheck.Differences(t, a, b, pictureTilePx)
	return measured, measured.mean > s.mean || measured.tile > s.tile
}

func (s sameness) orWorse(other sameness) sameness {
	return sameness{max(s.mean, other.mean), max(s.tile, other.tile)}
}

func pictureOfSVG(t *testing.T, s *Drawing, pxPerMM float64) image.Image {
	return svgcheck.RenderRSVG(t, svgOf(t, s), pxPerMM)
}

func pictureOfPDF(t *testing.T, s *Drawing, pxPerMM float64) image.Image {
	return svgcheck.RenderPDF(t, pdfOf(t, s), 1, pxPerMM)
}

func pictureOfPNG(t *testing.T, s *Drawing, pxPerMM float64) image.Image {
	return svgcheck.DecodePNG(t, pngOf(t, s, pxPerMM*mmPerInch))
}

// changed is a drawing with other entries.
func changed(s *Drawing, change func(entries []entry) []entry) *Drawing {
	return &Drawing{page: s.page, entries: change(slices.Clone(s.entries))}
}

func withoutLettering(entries []entry) []entry {
	return slices.DeleteFunc(entries, func(e entry) bool { return e.kind == kindText })
}

func TestPDFAndPNGLookLikeTheSVG(t *testing.T) {
	t.Parallel() // it waits for outside programs
	var worstPDF, worstPNG, worstPDFLines, worstPNGLines sameness
	compare := func(name string, limit sameness, worst *sameness, a, b image.Image) {
		t.Helper()
		measured, differs := limit.differs(t, a, b)
		if differs {
			t.Errorf("%s differs from the SVG by %.4f, at most %.4f in 10 mm; wanted %.4f and %.4f", name, measured.mean, measured.tile, limit.mean, limit.tile)
		}
		*worst = worst.orWorse(measured)
	}
	for i, file := range examplePlans(t) {
		if i%2 > 0 {
			continue // rendering is slow, and the examples are drawn alike
		}
		whole := recordedExample(t, file)
		svg, name := pictureOfSVG(t, whole, picturePxPerMM), filepath.Base(file)
		compare(name+" as PDF", samePDF, &worstPDF, svg, pictureOfPDF(t, whole, picturePxPerMM))
		compare(name+" as PNG", samePNG, &worstPNG, svg, pictureOfPNG(t, whole, picturePxPerMM))
		if i%3 > 0 {
			continue // lines and areas alone are much alike in all of them
		}
		lines := changed(whole, withoutLettering)
		svg = pictureOfSVG(t, lines, picturePxPerMM)
		compare(name+", lines, as PDF", samePDFLines, &worstPDFLines, svg, pictureOfPDF(t, lines, picturePxPerMM))
		compare(name+", lines, as PNG", samePNGLines, &worstPNGLines, svg, pictureOfPNG(t, lines, picturePxPerMM))
	}
	t.Logf("at most: PDF %.4f, lines %.4f; PNG %.4f, lines %.4f", worstPDF, worstPDFLines, worstPNG, worstPNGLines)
}

// oneOfEachKind is a drawing of each kind besides the atrial view, by name; the example it shows has bites, a repair or a
// patch.
func oneOfEachKind(t *testing.T) map[string]*Drawing {
	t.Helper()
	reportOfExample := func(name string) *placement.Report {
		data, err := os.ReadFile("../examples/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		return reportOf(t, name, data)
	}
	drawn := func(drawing *Drawing, err error) *Drawing {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return drawing
	}
	mistakes, repaired, patched := reportOfExample("band-three-mistakes"), reportOfExample("asymmetric-band"), reportOfExample("patch-template")
	sheet, err := NewSheet(mistakes, Papers()[0], Reader{})
	if err != nil {
		t.Fatal(err)
	}
	slides, err := NewSlides(mistakes, SlideOptions{})
	if err != nil {
		t.Fatal(err)
	}
	strip := drawn(StripDrawing(mistakes, Reader{}))
	return map[string]*Drawing{
		"strip": strip, "strip, dark": strip.In(ThemeDark), "strip, grey": strip.In(ThemeGrey),
		"two views": drawn(TwoViewDrawing(mistakes, Reader{})), "section": drawn(SectionDrawing(mistakes, "A", Reader{})),
		"upright": drawn(UprightDrawing(mistakes, Reader{})), "repair": drawn(RepairDrawing(repaired, Reader{})),
		"template": drawn(TemplateDrawing(patched, 0, Reader{})), "sheet": drawn(sheet.Page(0)), "slide": drawn(slides.Slide(slides.Len() / 2)),
	}
}

// withoutMarks takes the isolating marks about somebody's words away. In lettering from left to right they do nothing, but librsvg
// does not kern across them, as browsers and ours do: a 4.4 mm "bite A" came out 0.24 mm longer.
func withoutMarks(entries []entry) []entry {
	for i := range entries {
		entries[i].text = strings.NewReplacer(string(firstStrongIsolate), "", string(popIsolate), "").Replace(entries[i].text)
	}
	return entries
}

func TestPDFAndPNGOfEveryKindLookLikeTheSVG(t *testing.T) {
	t.Parallel() // it waits for outside programs
	drawings := oneOfEachKind(t)
	for _, name := range slices.Sorted(maps.Keys(drawings)) {
		drawing := changed(drawings[name], withoutMarks)
		svg := pictureOfSVG(t, drawing, picturePxPerMM)
		pdf, pdfDiffers := samePDF.differs(t, svg, pictureOfPDF(t, drawing, picturePxPerMM))
		png, pngDiffers := samePNGOfProse.differs(t, svg, pictureOfPNG(t, drawing, picturePxPerMM))
		t.Logf("%s: PDF %.4f, PNG %.4f", name, pdf, png)
		if pdfDiffers || pngDiffers {
			t.Errorf("%s differs from the SVG: as PDF %.4f, wanted %.4f; as PNG %.4f, wanted %.4f", name, pdf, samePDF, png, samePNGOfProse)
		}
	}
}

// spoilt are drawings with something wrong that TestPDFAndPNGLookLikeTheSVG
// must notice: each outermost group left out, and lines shifted by 0.5 mm.
func spoilt(s *Drawing) map[string]*Drawing {
	drawings := map[string]*Drawing{
		"lines shifted": changed(s, func(entries []entry) []entry {
			for i := range entries {
				if e := &entries[i]; e.kind == kindLine {
					e.at.X, e.to.X = e.at.X+0.5, e.to.X+0.5
				}
			}
			return entries
		}),
		"all shifted": changed(s, func(entries []entry) []entry {
			for i := range entries {
				e := &entries[i]
				e.strokes = e.strokes.clone()
				for k := range e.strokes.points {
					e.strokes.points[k].X += 0.5
				}
			}
			return entries
		}),
	}
	depth, from := 0, 0
	for i, e := range s.entries {
		switch e.kind {
		case kindGroup:
			if depth == 0 {
				from = i
			}
			depth++
		case kindEnd:
			if depth--; depth == 0 {
				drawings["without "+s.entries[from].name] = changed(s, func(entries []entry) []entry {
					return slices.Delete(entries, from, i+1)
				})
			}
		}
	}
	return drawings
}

// The comparison sees what it is for. What is wrong is drawn as PNG, and
// held against the limits of PDF as well as PNG.
func TestTheComparisonSeesWhatIsWrong(t *testing.T) {
	t.Parallel() // it waits for outside programs
	whole := recordedExample(t, "../examples/band.yaml")
	svg, lines := pictureOfSVG(t, whole, picturePxPerMM), pictureOfSVG(t, changed(whole, withoutLettering), picturePxPerMM)
	drawings := spoilt(whole)
	if len(drawings) < 12 {
		t.Fatalf("only %d drawings are spoilt", len(drawings))
	}
	for what, drawing := range drawings {
		whole, seenPNG := samePNG.differs(t, svg, pictureOfPNG(t, drawing, picturePxPerMM))
		only, seenPDF := samePDFLines.differs(t, lines, pictureOfPNG(t, changed(drawing, withoutLettering), picturePxPerMM))
		seenPDF = seenPDF || whole.mean > samePDF.mean || whole.tile > samePDF.tile
		if !seenPNG || !seenPDF {
			t.Errorf("%s goes unnoticed: %.4f, lines %.4f", what, whole, only)
		}
	}
}

// scaleBarTicks measures the ticks of a drawing's scale bar in a picture of it:
// from the first to the last in millimetres, by the paper's size.
func scaleBarTicks(t *testing.T, s *Drawing, img image.Image) (lengthMM float64) {
	t.Helper()
	var bar entry
	for _, e := range s.entries {
		if e.kind == kindLine && e.name == "scale-bar" && e.at.Y == e.to.Y {
			bar = e
		}
	}
	if bar.kind != kindLine {
		t.Fatal("the drawing has no scale bar")
	}
	perMM := float64(img.Bounds().Dx()) / s.page.WidthMM
	px := func(mm float64) int { return int(math.Round(mm * perMM)) }
	// Between the bar and the figures over it, where only ticks are.
	strip := image.Rect(px(bar.at.X-3), px(bar.at.Y-1.2), px(bar.to.X+3), px(bar.at.Y-0.4))
	ticks := svgcheck.Strokes(img, strip, perMM)
	if len(ticks) < 2 {
		t.Fatalf("%d ticks on the scale bar", len(ticks))
	}
	return ticks[len(ticks)-1] - ticks[0]
}

// The scale bar is 50 mm, within 0.2 mm, in both engines' pictures and ours,
// at 100 dots per inch. A bar half a millimetre too long would be seen.
func TestScaleBarIsTrue(t *testing.T) {
	t.Parallel() // it waits for outside programs
	const perMM = 100 / mmPerInch
	for _, file := range []string{"../examples/band.yaml", "../examples/dilated.yaml"} {
		s := recordedExample(t, file)
		for engine, picture := range map[string]func(*testing.T, *Drawing, float64) image.Image{
			"librsvg, of the SVG": pictureOfSVG, "poppler, of the PDF": pictureOfPDF, "the PNG": pictureOfPNG,
		} {
			length, long := scaleBarTicks(t, s, picture(t, s, perMM)), scaleBarTicks(t, s, picture(t, changed(s, longScaleBar), perMM))
			t.Logf("%s: %.3f mm in %s; half a millimetre longer %.3f", filepath.Base(file), length, engine, long)
			if math.Abs(length-50) > 0.2 || math.Abs(long-50.5) > 0.2 {
				t.Errorf("%s: the scale bar measures %.3f mm in %s, half a millimetre longer %.3f", filepath.Base(file), length, engine, long)
			}
		}
	}
}

// longScaleBar moves the last tick of the scale bar by half a millimetre.
func longScaleBar(entries []entry) []entry {
	last := -1
	for i, e := range entries {
		if e.name == "scale-bar" && e.at.X == e.to.X && (last < 0 || e.at.X > entries[last].at.X) {
			last = i
		}
	}
	entries[last].at.X, entries[last].to.X = entries[last].at.X+0.5, entries[last].to.X+0.5
	return entries
}

// All examples in one document come out as they do one by one.
func TestManyDrawingsInOnePDF(t *testing.T) {
	t.Parallel() // it waits for outside programs
	drawings := recordedExamples(t)
	document := pdfOf(t, drawings...)
	if n := len(svgcheck.PDFPages(t, document)); n != len(drawings) {
		t.Fatalf("%d pages for %d drawings", n, len(drawings))
	}
	for _, i := range []int{0, len(drawings) - 1} {
		alone := pictureOfPDF(t, drawings[i], picturePxPerMM)
		if d := svgcheck.MeanDifference(t, alone, svgcheck.RenderPDF(t, document, i+1, picturePxPerMM)); d != 0 {
			t.Errorf("drawing %d differs by %v from itself alone", i, d)
		}
	}
}

// What the drawing says is written: AtrialView writes AtrialDrawing.
func TestAtrialViewWritesItsDrawing(t *testing.T) {
	data := trialPlan("One (invented)", "", "1", "2")
	drawing, err := AtrialDrawing(reportOf(t, "one", data), Reader{})
	if err != nil {
		t.Fatal(err)
	}
	view := writtenBy(t, func(w io.Writer) error { return AtrialView(w, reportOf(t, "one", data)) })
	if string(view) != string(svgOf(t, drawing)) {
		t.Error("the view is not its drawing")
	}
}
