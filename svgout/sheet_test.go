package svgout

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas/words"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// sheetPages draws every page of a plan's sheet.
func sheetPages(t testing.TB, report *placement.Report, paper Paper) (pages [][]byte) {
	t.Helper()
	sheet, err := NewSheet(report, paper, Reader{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range sheet.Pages() {
		var page bytes.Buffer
		if err := sheet.DrawPage(&page, i); err != nil {
			t.Fatal(err)
		}
		pages = append(pages, page.Bytes())
	}
	return pages
}

// trialSheets are the sheets of the examples and of plans at the edges of what can be asked for, on both papers.
func trialSheets(t testing.TB) map[string][]byte {
	t.Helper()
	many := make([]string, 60)
	for i := range many {
		many[i] = fmt.Sprintf("bite with a name that is rather long, %d", i)
	}
	reports := map[string]*placement.Report{
		"many bites":  reportOf(t, "plan", trialPlan("Many bites, and a label of the case that is so long that it takes more than one line of a page (invented)", "", many...)),
		"no bites":    reportOf(t, "plan", trialPlan("The heart alone (invented)", "")),
		"small heart": reportOf(t, "plan", trialPlan("A newborn's heart (invented)", "patient: { surface: 0.22 m2 }\n", "1", "2")),
		"large heart": reportOf(t, "plan", trialPlan("A large heart (invented)", "heart: { rim-length: 190 mm }\n", "1", "2")),
	}
	for _, file := range examplePlans(t) {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		reports[filepath.Base(file)] = reportOf(t, filepath.Base(file), data)
	}
	pages := map[string][]byte{}
	for i, paper := range Papers() {
		for name, report := range reports {
			if i == 1 && strings.HasSuffix(name, ".yaml") && name != "replacement.yaml" {
				continue // one paper is enough for most
			}
			for j, page := range sheetPages(t, report, paper) {
				pages[fmt.Sprintf("%s, %s, %d", name, paper.Name, j+1)] = page
			}
		}
	}
	for _, name := range []string{"asymmetric-band.yaml", "band-three-mistakes.yaml", "around-the-triangle.yaml"} {
		for j, page := range pagesFor(t, reports[name], Papers()[0], Reader{Habit{90, true}, languageOf(t, "de")}) {
			pages[fmt.Sprintf("%s, turned, German, %d", name, j+1)] = svgOf(t, page)
		}
	}
	return pages
}

// A page of a sheet is nearly all lettering, whose edges the engines smooth differently: 0.0302 at most was measured.
func TestSheets(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkDrawings(t, trialSheets(t), 0.032)
}

// ISO 216 gives A4 210 by 297 mm, ANSI/ASME Y14.1 its size A 8.5 by 11 inches.
func TestSheetsHaveStandardSizes(t *testing.T) {
	report := reportOf(t, "plan", trialPlan("Paper (invented)", "", "1"))
	for i, want := range [][2]float64{{210, 297}, {8.5 * 25.4, 11 * 25.4}} {
		if w, h := svgcheck.Size(t, sheetPages(t, report, Papers()[i])[0]); [2]float64{w, h} != want {
			t.Errorf("%s is %g by %g mm, want %v", Papers()[i].Name, w, h, want)
		}
	}
}

// Every bite stands in the table once, in the order of sewing, and every page that goes on with it repeats its header.
func TestSheetTableIsWhole(t *testing.T) {
	names := make([]string, 45)
	for i := range names {
		names[i] = fmt.Sprintf("name%02d", i)
	}
	report := reportOf(t, "plan", trialPlan("Table (invented)", "", names...))
	pages := sheetPages(t, report, Papers()[0])
	if len(pages) < 3 {
		t.Fatalf("%d pages", len(pages))
	}
	var found []string
	for i, page := range pages {
		rows := regexp.MustCompile(`>(name\d\d)</text>`).FindAllStringSubmatch(string(page), -1)
		for _, row := range rows {
			found = append(found, row[1])
		}
		if headers := strings.Count(string(page), ">goes in at</text>"); len(rows) > 0 && headers != 1 {
			t.Errorf("page %d has rows and %d headers", i+1, headers)
		}
		if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(string(page), want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
		if !strings.Contains(string(page), "not a medical device") {
			t.Errorf("page %d lacks the caution", i+1)
		}
	}
	if fmt.Sprint(found) != fmt.Sprint(names) {
		t.Errorf("the table holds %v", found)
	}
}

// The picture is at true size, or twice that for a small heart, and says so.
func TestSheetSaysItsScale(t *testing.T) {
	for heart, want := range map[string]string{"": "true size (1 : 1)", "patient: { surface: 0.22 m2 }\n": "2 : 1, a small heart"} {
		page := string(sheetPages(t, reportOf(t, "plan", trialPlan("Scale (invented)", heart, "1")), Papers()[0])[0])
		if !strings.Contains(page, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	report := reportOf(t, "plan", []byte(strings.Replace(string(trialPlan("Scale (invented)", "heart: { saddle-height: 0 mm }\n")), "rehearsal", "band", 1)))
	page := string(sheetPages(t, report, Papers()[0])[0])
	d := regexp.MustCompile(`<path d="([^"]*)" class="rim"`).FindStringSubmatch(page)
	if d == nil {
		t.Fatal("no rim")
	}
	want := report.Laid.Heart.Rim.LengthMM()
	if got := bezierLength(t, d[1]); got < 0.996*want || got > 1.004*want {
		t.Errorf("the rim is drawn %.2f mm long, want %.2f", got, want)
	}
}

func TestSheetsThatCannotBeDrawn(t *testing.T) {
	sheet, err := NewSheet(reportOf(t, "plan", trialPlan("Pages (invented)", "")), Papers()[0], Reader{})
	if err != nil {
		t.Fatal(err)
	}
	for _, page := range []int{-1, sheet.Pages()} {
		if err := sheet.DrawPage(&bytes.Buffer{}, page); err == nil {
			t.Errorf("page %d is not there, and no error", page)
		}
	}
	narrow := Paper{Name: "narrow", WidthMM: 100, HeightMM: 150}
	if _, err := NewSheet(reportOf(t, "plan", trialPlan("Too large (invented)", "")), narrow, Reader{}); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("a heart larger than the paper: %v", err)
	}
}

// pagesFor are the pages of a plan's sheet for a reader.
func pagesFor(t testing.TB, report *placement.Report, paper Paper, reader Reader) (pages []*Drawing) {
	t.Helper()
	sheet, err := NewSheet(report, paper, reader)
	if err != nil {
		t.Fatal(err)
	}
	for i := range sheet.Pages() {
		page, err := sheet.Page(i)
		if err != nil {
			t.Fatal(err)
		}
		pages = append(pages, page)
	}
	return pages
}

// marksIn are the marks in the group of an id.
func marksIn(d *Drawing, id string) *Drawing {
	layer := &Drawing{page: d.page}
	depth := 0
	for _, e := range d.entries {
		switch {
		case e.kind == kindGroup && (depth > 0 || e.name == id):
			depth++
		case e.kind == kindEnd && depth > 0:
			depth--
		case depth > 0:
			layer.entries = append(layer.entries, e)
		}
	}
	return layer
}

// Both pictures go along, at the scale they had.
func TestSheetTurns(t *testing.T) {
	report := exampleReport(t, "asymmetric-band.yaml")
	picture := func(h Habit, layer string, classes ...string) (places []Point, found int) {
		for _, page := range pagesFor(t, report, Papers()[0], Reader{Habit: h}) {
			if drawn := placesOf(marksIn(page, layer), classes...); len(drawn) > 0 {
				places, found = drawn, found+1
			}
		}
		return places, found
	}
	for layer, classes := range map[string][]string{"atrial-view": {"needle-entry", "needle-exit", "commissure", "rim-tick"}, "repair": {"ghost-mark", "commissure", "needle-entry", "guide"}} {
		plain, found := picture(Habit{}, layer, classes...)
		if found != 1 {
			t.Fatalf("%s: pictures on %d pages", layer, found)
		}
		for _, h := range someHabits {
			moved, _ := picture(h, layer, classes...)
			scale := 1.0
			if layer == "repair" { // it may be smaller where it stands more upright
				scale = moved[1].Distance(moved[0]) / plain[1].Distance(plain[0])
			}
			checkMoved(t, h, plain, moved, scale)
		}
	}
}

// Each picture says beside it how it is turned, and the page that holds it says so to a reader who cannot see it.
func TestSheetSaysHowItIsTurned(t *testing.T) {
	report := exampleReport(t, "asymmetric-band.yaml")
	for _, c := range []struct {
		reader      Reader
		view, small string
		described   string // of the page with the atrial view
		repair      string // of the page with the picture of the repair
	}{
		{Reader{Habit: Habit{TurnDegrees: 90}}, "Atrial view, turned 90° clockwise, true size (1 : 1)", "before, broken; after, full; 1 : 1, turned 90° clockwise", "Atrial view, turned 90° clockwise: septum left,", "before and after the repair, turned 90° clockwise. Septum left,"},
		{Reader{Habit: Habit{Mirrored: true}}, "Atrial view, mirrored, true size (1 : 1). Mirrored: clockwise runs anticlockwise here.", "1 : 1, mirrored", "head right, feet left. Mirrored: clockwise runs anticlockwise here.", "head right, feet left. Mirrored: clockwise"},
		{Reader{Habit{-90, true}, languageOf(t, "de")}, "Vorhofansicht, gespiegelt, um 90° gegen den Uhrzeigersinn gedreht, wahre Größe (1 : 1).", "gespiegelt, um 90° gegen", "Septum rechts, vorn links,", "Septum rechts, vorn links,"},
	} {
		pages := pagesFor(t, report, Papers()[0], c.reader)
		lettered := func(layer, class string) string {
			var lines []string
			for _, page := range pages {
				for _, e := range textsOf(marksIn(page, layer), class) {
					lines = append(lines, e.text)
				}
			}
			return strings.Join(lines, " ")
		}
		if said := lettered("atrial-view", "label"); !strings.Contains(said, c.view) {
			t.Errorf("%+v: beside the view stands %q", c.reader.Habit, said)
		}
		if said := lettered("repair", "axis-label"); !strings.Contains(said, c.small) {
			t.Errorf("%+v: under the repair stands %q", c.reader.Habit, said)
		}
		if !strings.Contains(pages[0].page.Desc, c.described) {
			t.Errorf("%+v: the first page describes %q", c.reader.Habit, pages[0].page.Desc)
		}
		for i, page := range pages[1:] {
			if holds := len(placesOf(page, "ghost-mark")) > 0; holds != strings.Contains(page.page.Desc, c.repair) {
				t.Errorf("%+v: page %d holds the repair: %v, and describes %q", c.reader.Habit, i+2, holds, page.page.Desc)
			}
		}
		bar := placesOf(marksIn(pages[0], "atrial-view"), "scale-bar")
		if bar[0].Y != bar[1].Y || bar[1].X-bar[0].X != 50 {
			t.Errorf("%+v: the bar runs from %v to %v", c.reader.Habit, bar[0], bar[1])
		}
	}
	for i, page := range pagesFor(t, report, Papers()[0], Reader{}) {
		if i > 0 && strings.Contains(page.page.Desc, "Septum") {
			t.Errorf("page %d is as usual, and describes %q", i+1, page.page.Desc)
		}
	}
}

func TestSheetCompassGoesAlong(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	for _, h := range append([]Habit{{}}, someHabits...) {
		view := marksIn(pagesFor(t, report, Papers()[0], Reader{Habit: h})[0], "atrial-view")
		arms := placesOf(view, "axis")
		checkCompass(t, view, Reader{Habit: h}, arms[0].Plus(arms[1]).Times(0.5))
	}
}

// A heart that fits the sheet one way only says so.
func TestSheetThatFitsOneWayOnly(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	s := &PlanSheet{plate: plate{report: report, Reader: Reader{Habit: Habit{TurnDegrees: 90}}}}
	low, high := s.extent(downTheValve)
	wide, tall := high.X-low.X+1, high.Y-low.Y+1
	if err := s.tooLarge(1, wide, tall).Error(); !strings.Contains(err, "this heart, turned 90° clockwise, is too large for the sheet at true size; draw it without the turn") {
		t.Error(err)
	}
	if err := s.tooLarge(1, wide-2, tall).Error(); err != "svgout: this heart is too large for the sheet at true size" {
		t.Error(err)
	}
	if _, err := NewSheet(report, Papers()[0], Reader{Habit: Habit{TurnDegrees: math.NaN()}}); err == nil {
		t.Error("turned by no angle")
	}
}

// Every page of every example can be drawn in every language, turned or not: each message is there, nothing in the table of
// bites is broken or cut off, and nothing leaves the paper.
func TestSheetsInEveryLanguage(t *testing.T) {
	faces, err := loadTypefaces()
	if err != nil {
		t.Fatal(err)
	}
	for _, tag := range words.Tags() {
		for _, file := range examplePlans(t) {
			report := exampleReport(t, filepath.Base(file))
			for _, h := range []Habit{{}, {TurnDegrees: 90, Mirrored: true}} {
				reader := Reader{h, languageOf(t, tag)}
				sheet, err := NewSheet(report, Papers()[0], reader)
				if err != nil {
					t.Fatalf("%s, %s, %+v: %v", tag, file, h, err)
				}
				checkTable(t, tag+", "+file, sheet.biteTable(biteColumns))
				for i, page := range pagesFor(t, report, Papers()[0], reader) {
					for _, e := range page.entries {
						if e.kind != kindText {
							continue
						}
						face := faces.of(Lettering(e.name))
						_, widthEm := face.pieces(face.written(e.text))
						width := widthEm * Lettering(e.name).SizeMM
						from := e.at.X - map[Anchor]float64{AnchorMiddle: width / 2, AnchorEnd: width}[e.anchor]
						if from < platesInkMargin || from+width > page.page.WidthMM-platesInkMargin {
							t.Errorf("%s, %s, page %d: %q stands from %.1f to %.1f mm", tag, file, i+1, e.text, from, from+width)
						}
						if strings.Contains(e.text, "⟦") || e.name == "legend-heading" && strings.Contains(e.text, ellipsis) {
							t.Errorf("%s, %s, page %d: %q", tag, file, i+1, e.text)
						}
					}
					if strings.Contains(page.page.Title+page.page.Desc, "⟦") {
						t.Errorf("%s, %s, page %d: %q, %q", tag, file, i+1, page.page.Title, page.page.Desc)
					}
				}
			}
		}
	}
}

// checkTable holds every word of a table to stand whole in its column.
func checkTable(t *testing.T, name string, table biteTable) {
	t.Helper()
	for i, row := range table.cells {
		for j, cell := range row {
			for _, word := range strings.Fields(cell) {
				if room := table.widths[j] - columnGapMM - beforeCell(j); j != nameColumn && MeasureIn(rowClass(i), word) > room+1e-9 {
					t.Errorf("%s: %q is broken in a column of %.1f mm", name, word, room)
				}
			}
		}
	}
}

// The table has room for one more narrow column: with it no word is broken, and nothing is lettered there.
func TestTableHasRoomForOneMoreColumn(t *testing.T) {
	long := make([]string, 12)
	for i := range long {
		long[i] = fmt.Sprintf("bite with a name that is rather long, %d", i)
	}
	for name, report := range map[string]*placement.Report{"band": exampleReport(t, "band-three-mistakes.yaml"), "replacement": exampleReport(t, "replacement.yaml"), "long names": reportOf(t, "plan", trialPlan("Long names (invented)", "", long...))} {
		for _, tag := range words.Tags() {
			for _, paper := range Papers() {
				sheet, err := NewSheet(report, paper, Reader{Language: languageOf(t, tag)})
				if err != nil {
					t.Fatal(err)
				}
				table := sheet.biteTable(append(slices.Clone(biteColumns), biteColumn{widthMM: spareColumnMM}))
				checkTable(t, fmt.Sprint(name, tag, paper.Name), table)
				spare := paper.WidthMM - sheetSideMM - spareColumnMM
				if last := table.widths[len(biteColumns)]; last != spareColumnMM {
					t.Fatalf("%s: the column is %g mm wide", name, last)
				}
				for i := range report.Bites {
					k := NewDrawing(Page{WidthMM: paper.WidthMM, HeightMM: paper.HeightMM, Title: "row"})
					table.row(i+1, nil).draw(k, 50)
					for _, e := range textsOf(&k.drawing, "label") {
						if end := e.at.X + MeasureIn("label", e.text); end > spare {
							t.Errorf("%s, %s, %s: %q reaches %.1f mm into the column", name, tag, paper.Name, e.text, end-spare)
						}
					}
				}
			}
		}
	}
}

// A block infinitely apart begins a page of its own, however much room there is.
func TestPagesOfTheirOwn(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	s := &PlanSheet{plate: plate{report: report}, paper: Papers()[0]}
	short := block{heightMM: 10}
	own := block{heightMM: 10, apart: math.Inf(1)}
	if err := s.paginate([]block{short, short, own, short}); err != nil || len(s.pages) != 2 {
		t.Fatalf("%d pages, %v", len(s.pages), err)
	}
	for i, want := range []int{2, 3} { // the second has a running head too
		if got := len(s.pages[i]); got != want {
			t.Errorf("page %d has %d blocks, want %d", i+1, got, want)
		}
	}
}
