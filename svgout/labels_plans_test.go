package svgout

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// heartsForLabels are hearts of different size and kind, as lines of a plan.
var heartsForLabels = map[string]string{
	"usual":           "",
	"small":           "heart: { rim-length: 74 mm, triangle-hinge-side: 12 mm, triangle-tendon-side: 13 mm, triangle-base-side: 12 mm }\n",
	"dilated":         "heart: { rim-length: 140 mm }\n",
	"two leaflets":    "valve: { leaflets: 2 }\n",
	"four, cleft":     "valve: { leaflets: 4, cleft: true, commissure-width: 6 mm }\n",
	"large ostium":    "heart: { ostium-craniocaudal: 18 mm, ostium-transverse: 16 mm }\n",
	"displaced hinge": "variant: displaced-septal-hinge\n",
	"straddling":      "variant: straddling-valve\n",
}

// randomBites are the bites of a plan as YAML, anywhere on the rim, good and
// bad.
func randomBites(rng *rand.Rand, n int) string {
	var p strings.Builder
	for i := range n {
		kind, travel := rng.IntN(3), 1.5+3*rng.Float64()
		off := []float64{rng.Float64() - 0.5, -0.2 - 1.5*rng.Float64(), 0.2 + 1.5*rng.Float64()}[kind]
		fmt.Fprintf(&p, "  - { name: %q, kind: single, tissue: %s, in: { segment: %s, share: %d %%, off: %.1f mm }, travel: %.1f mm, heading: %s, depth: %.1f mm }\n",
			[]string{fmt.Sprint(i + 1), fmt.Sprintf("bite %d of a row", i+1)}[rng.IntN(2)],
			[]string{"rim", "leaflet", "wall"}[kind], []string{"anterior", "posterior", "septal"}[rng.IntN(3)], 2+rng.IntN(96), off,
			travel, []string{"clockwise", "anticlockwise"}[rng.IntN(2)], (0.2+0.4*rng.Float64())*travel)
	}
	return p.String()
}

// reportsForLabels are reports of random plans of many bites on each heart.
func reportsForLabels(t testing.TB, rng *rand.Rand, each int) (reports []*placement.Report) {
	t.Helper()
	for _, name := range slices.Sorted(maps.Keys(heartsForLabels)) {
		for range each {
			plan := fmt.Sprintf("fairlead: 1\ncase: \"%s (invented)\"\noperation: rehearsal\n%sbites:\n%s", name, heartsForLabels[name], randomBites(rng, 26))
			reports = append(reports, reportOf(t, name, []byte(plan)))
		}
	}
	return reports
}

// planLabels lays the labels of a plan with some of a report's bites. It says
// no where even taken together they need more room than there is.
func planLabels(t testing.TB, rng *rand.Rand, report *placement.Report) (Placed, bool) {
	t.Helper()
	camera, fits := cameraFor(atrialExtent(report.Laid.Heart), atrialPicture)
	if !fits {
		t.Fatal("the heart does not fit the plate")
	}
	s := stitches{anatomy: anatomy{camera: camera, heart: report.Laid.Heart}}
	for _, i := range rng.Perm(len(report.Bites))[:rng.IntN(len(report.Bites)+1)] {
		s.bites = append(s.bites, report.Bites[i])
	}
	placed, err := s.layLabels()
	if err == nil {
		return placed, true
	}
	together := append(s.landmarkLabels(), s.labels(func(placement.BiteReport) bool { return true })...)
	// A column may stay unfilled by as much as a label of three lines takes.
	if room := leftColumn.H + rightColumn.H - 2*(BlockHeight("label-avoid", 3)+defaultGapMM); stackHeight(together) < room {
		t.Errorf("%d bites: %v, though there is room for %d", len(s.bites), err, len(together))
	}
	return placed, false
}

// TestLabelsOf2000RandomPlans lays the labels of 2,000 plans: 48 reports of
// 26 random bites, and of each many choices among its bites.
func TestLabelsOf2000RandomPlans(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(20, 26))
	reports := reportsForLabels(t, rng, 6)
	frame := LabelFrame{Left: leftColumn, Right: rightColumn}
	shortest, refused, most, worst := 0, 0, 0, 0.0
	for run := range 2000 {
		report := reports[run%len(reports)]
		placed, ok := planLabels(t, rng, report)
		if !ok {
			refused++
		}
		var labels []Label
		for _, l := range placed.Labels {
			labels = append(labels, l.Label)
		}
		checkLayout(t, fmt.Sprintf("plan %d, %s", run, report.Laid.Plan.Case), labels, placed, frame)
		worst = math.Max(worst, placed.ExcessMM)
		if ok && placed.ExcessMM < 0.1 {
			shortest++
		}
		most = max(most, len(labels))
		if t.Failed() {
			return
		}
	}
	t.Logf("%d plans of 2000 have no room for their labels; %d layouts are the shortest to 0.1 mm; the others to %.1f mm at worst; up to %d labels", refused, shortest, worst, most)
	if shortest < (2000-refused)*99/100 {
		t.Errorf("only %d of %d layouts are the shortest to 0.1 mm", shortest, 2000-refused)
	}
	if worst > 5 {
		t.Errorf("leaders may be too long by %.1f mm", worst)
	}
	if refused > 60 {
		t.Errorf("%d plans of 2000 have no room for their labels: not much of a test", refused)
	}
	if most < 30 {
		t.Errorf("no plate has more than %d labels: not much of a test", most)
	}
}

// TestLabelsOfRandomPlansInTheBrowser measures labels of some such plans where
// the browser puts them: no lettering over other lettering, none outside the
// box reserved, and no leader across any.
func TestLabelsOfRandomPlansInTheBrowser(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 26))
	var layouts []Placed
	var sheets [][]byte
	for _, report := range reportsForLabels(t, rng, 3) {
		placed, ok := planLabels(t, rng, report)
		if !ok {
			continue
		}
		layouts, sheets = append(layouts, placed), append(sheets, labelSheet(t, placed))
	}
	lines := 0
	for i, boxes := range svgcheck.TextBoxes(t, sheets...) {
		for j, a := range boxes {
			for _, b := range boxes[:j] {
				if a.Overlaps(b) {
					t.Errorf("sheet %d: %q lies over %q", i, a.Text, b.Text)
				}
			}
			checkMeasured(t, fmt.Sprintf("sheet %d: %q", i, a.Text), Box{a.X, a.Y, a.W, a.H}, layouts[i])
		}
		lines += len(boxes)
	}
	t.Logf("%d lines of lettering on %d sheets", lines, len(sheets))
	if len(sheets) < 20 || lines < 20*len(sheets) {
		t.Errorf("only %d lines of lettering on %d sheets", lines, len(sheets))
	}
}

func labelSheet(t *testing.T, placed Placed) []byte {
	t.Helper()
	var out bytes.Buffer
	k := NewInk(&out, Page{WidthMM: atrialPage.W, HeightMM: atrialPage.H, Title: "Labels"})
	k.Labels(placed)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// checkMeasured looks for a measured box among those reserved, and for leaders
// that run into it.
func checkMeasured(t *testing.T, name string, measured Box, p Placed) {
	t.Helper()
	reserved := 0
	for _, l := range p.Labels {
		if l.Box.Grow(0.002).Encloses(measured) {
			reserved++
		}
		if leaderTouches(l, measured) {
			t.Errorf("%s: the leader to %v runs into it", name, l.Target)
		}
	}
	if reserved != 1 {
		t.Errorf("%s stands in %d reserved boxes: %v", name, reserved, measured)
	}
}
