package svgout

import (
	"bytes"
	"image"
	"math"
	"strings"
	"testing"

	"fairlead/atlas/geom"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// templateOf draws the template of a plan's first patch.
func templateOf(t testing.TB, report *placement.Report) []byte {
	t.Helper()
	var page bytes.Buffer
	if err := TemplateView(&page, report, 0); err != nil {
		t.Fatal(err)
	}
	return page.Bytes()
}

// trialTemplates are templates at the edges of what plans can ask for.
func trialTemplates(t testing.TB) map[string][]byte {
	t.Helper()
	names := make([]string, 30)
	for i := range names {
		names[i] = strings.Repeat("a long name ", 1+i%4) + string(rune('A'+i))
	}
	const leaf = "patches:\n  - { name: \"leaf <&>\", from: { segment: anterior, share: 0 % }, to: { segment: anterior, share: 99 % }, heights: [0 mm, 20 mm, 0 mm], seam: 5 mm }\n"
	pages := map[string][]byte{}
	for name, plan := range map[string]string{
		"no bites":    string(trialPlan("No bites (invented)", "")) + leaf,
		"few bites":   string(trialPlan("Few bites (invented)", "", "1", "2", "3")) + leaf,
		"many bites":  string(trialPlan("Many bites, with a very long label of the case that will not fit on one line of an upright page (invented)", "", names...)) + leaf,
		"no seam":     string(trialPlan("No seam (invented)", "")) + strings.Replace(leaf, "seam: 5 mm", "seam: 0 mm", 1),
		"to look at":  string(trialPlan("To look at (invented)", "", "1")) + leaf + "look-at: [" + strings.Repeat("\"something that takes more words than there is room for on the one line that it has to itself on this page\", ", 19) + "\"the last\"]\n",
		"on the wall": string(trialPlan("On the wall (invented)", "", "1")) + "patches:\n  - { name: wall, edge: [ { clock: \"5:30\", off: 2 mm }, { clock: \"6:30\", off: 2 mm }, { clock: \"6:30\", off: 22 mm }, { clock: \"5:30\", off: 20 mm } ] }\n",
	} {
		pages[name] = templateOf(t, reportOf(t, name, []byte(plan)))
	}
	return pages
}

func TestTemplates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkPlates(t, trialTemplates(t))
}

// Printed at 100 % both bars are 50 mm, and the patch is as large as it is: in two engines.
func TestTemplateIsTrueToScale(t *testing.T) {
	t.Parallel() // it waits for outside programs
	report := reportOf(t, "plan", []byte(string(trialPlan("Scale (invented)", ""))+"patches:\n  - { name: leaf, from: { segment: septal, share: 0 % }, to: { segment: septal, share: 99 % }, heights: [12 mm, 12 mm], seam: 3 mm }\n"))
	page := templateOf(t, report)
	const pxPerMM = 12.0
	want := heightAcross(report.Patches[0].Cut)
	for engine, img := range map[string]image.Image{
		"rsvg":     svgcheck.RenderRSVG(t, page, pxPerMM),
		"chromium": svgcheck.RenderChromium(t, [][]byte{page}, pxPerMM)[0],
	} {
		dark := func(x, y float64) bool { return svgcheck.Grey(img, int(x*pxPerMM), int(y*pxPerMM)) < 0.5 }
		extent := func(at func(mm float64) bool, from, to float64) (low, high float64) {
			low, high = math.Inf(1), math.Inf(-1)
			for mm := from; mm < to; mm += 0.5 / pxPerMM {
				if at(mm) {
					low, high = min(low, mm), max(high, mm)
				}
			}
			return low, high
		}
		// Each bar is drawn 0.5 mm wide with round ends, which add half of that at either end.
		const ends = 0.5
		low, high := extent(func(x float64) bool { return dark(x, 268) }, 10, 70.5)
		if got := high - low - ends; math.Abs(got-50) > 0.2 {
			t.Errorf("%s: the bar across is %.2f mm", engine, got)
		}
		low, high = extent(func(y float64) bool { return dark(18, y) }, 217, 270)
		if got := high - low - ends; math.Abs(got-50) > 0.2 {
			t.Errorf("%s: the bar upright is %.2f mm", engine, got)
		}
		low, high = extent(func(y float64) bool { return dark(105, y) }, 45, 160)
		if got := high - low - ends; math.Abs(got-want) > 0.2 {
			t.Errorf("%s: the patch is %.2f mm high in its middle, want %.2f", engine, got, want)
		}
	}
}

// heightAcross is how high a cutting line is midway between its left and right.
func heightAcross(cut geom.Outline) float64 {
	left, right := math.Inf(1), math.Inf(-1)
	for _, p := range cut {
		left, right = min(left, p.X), max(right, p.X)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range cut {
		q := cut[(i+1)%len(cut)]
		if middle := (left + right) / 2; (p.X <= middle) != (q.X <= middle) {
			y := p.Y + (q.Y-p.Y)*(middle-p.X)/(q.X-p.X)
			low, high = min(low, y), max(high, y)
		}
	}
	return high - low
}

func TestTemplatesThatCannotBeDrawn(t *testing.T) {
	large := reportOf(t, "plan", []byte(string(trialPlan("Large (invented)", "heart: { rim-length: 200 mm }\n"))+"patches:\n  - { name: huge, from: { segment: septal, share: 0 % }, to: { segment: posterior, share: 99 % }, heights: [30 mm, 30 mm] }\n"))
	var page bytes.Buffer
	if err := TemplateView(&page, large, 0); err == nil || page.Len() > 0 || !strings.Contains(err.Error(), "part the patch in two") {
		t.Errorf("%v, %d bytes", err, page.Len())
	}
	for _, patch := range []int{-1, 1} {
		if err := TemplateView(&page, large, patch); err == nil {
			t.Errorf("patch %d is not there, and no error", patch)
		}
	}
}
