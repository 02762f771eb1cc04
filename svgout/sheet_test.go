package svgout

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

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
