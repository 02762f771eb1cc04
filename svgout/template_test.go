package svgout

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"slices"
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
		report := reportOf(t, name, []byte(plan))
		pages[name] = templateOf(t, report)
		if name == "few bites" || name == "on the wall" {
			for i, reader := range []Reader{{Language: languageOf(t, "de")}, {Habit{90, true}, languageOf(t, "de")}, {Habit: Habit{TurnDegrees: 215}}} {
				pages[fmt.Sprint(name, " for reader ", i)] = svgOf(t, templateFor(t, report, reader))
			}
		}
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
	if _, err := TemplateDrawing(large, 0, Reader{Habit: Habit{TurnDegrees: math.Inf(1)}}); err == nil || !strings.Contains(err.Error(), "cannot be turned") {
		t.Errorf("turned by no angle: %v", err)
	}
	for _, patch := range []int{-1, 1} {
		if err := TemplateView(&page, large, patch); err == nil {
			t.Errorf("patch %d is not there, and no error", patch)
		}
	}
}

func templateFor(t testing.TB, report *placement.Report, reader Reader) *Drawing {
	t.Helper()
	d, err := TemplateDrawing(report, 0, reader)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// leafPlan has a patch with a seam, bites along one side and none along the other.
func leafPlan(heights string) []byte {
	return []byte(string(trialPlan("Leaf (invented)", "", "1", "2", "3")) + "patches:\n  - { name: leaf, from: { segment: anterior, share: 0 % }, to: { segment: anterior, share: 99 % }, heights: [" + heights + "], seam: 4 mm }\n")
}

// Cutting line, seam, bites and sides go along, at true size; the bars stay where they are.
func TestTemplateTurns(t *testing.T) {
	for name, report := range map[string]*placement.Report{"leaf": reportOf(t, "plan", leafPlan("4 mm, 20 mm, 0 mm")), "triangle": exampleReport(t, "around-the-triangle.yaml")} {
		plain := templateFor(t, report, Reader{})
		bars := placesOf(plain, "scale-bar")
		if len(bars) < 4 || bars[0].Distance(bars[1]) != 50 {
			t.Fatalf("%s: the bar across runs from %v to %v", name, bars[0], bars[1])
		}
		for _, h := range someHabits {
			moved := templateFor(t, report, Reader{Habit: h})
			for _, classes := range [][]string{{"patch", "sew-line"}, {"needle-entry", "commissure", "rim-tick"}} {
				checkMoved(t, h, placesOf(plain, classes...), placesOf(moved, classes...), 1)
			}
			if !slices.Equal(bars, placesOf(moved, "scale-bar")) {
				t.Errorf("%s, %+v: the bars have moved", name, h)
			}
			if !templatePicture.Grow(0.001).Encloses(boxOf(placesOf(moved, "patch"))) {
				t.Errorf("%s, %+v: the patch lies outside its room", name, h)
			}
		}
		if !bytes.Equal(svgOf(t, plain), svgOf(t, templateFor(t, report, Reader{Habit: Habit{TurnDegrees: -720}}))) {
			t.Errorf("%s: turned twice round it is another drawing", name)
		}
	}
}

// Every label of a bite points at the end of that bite's tick.
func TestTemplateLabelsGoAlong(t *testing.T) {
	report := reportOf(t, "plan", leafPlan("4 mm, 20 mm, 0 mm"))
	ends := func(h Habit) []Point {
		d := templateFor(t, report, Reader{Habit: h})
		ticks := placesOf(d, "rim-tick")
		dots := placesOf(d, "leader-dot")
		for i, m := range report.Patches[0].Marks {
			if !slices.ContainsFunc(dots, func(p Point) bool { return p.Distance(ticks[2*i+1]) < 0.01 }) {
				t.Errorf("%+v: nothing points at bite %s at %v", h, m.Bite, ticks[2*i+1])
			}
		}
		return ticks
	}
	plain := ends(Habit{})
	for _, h := range someHabits {
		checkMoved(t, h, plain, ends(h), 1)
	}
}

// A mirrored template is the patch from its other side, and says so; of a turned one it says where up the wall is.
func TestTemplateSaysWhichSideItShows(t *testing.T) {
	report := reportOf(t, "plan", leafPlan("4 mm, 20 mm, 0 mm"))
	for _, c := range []struct {
		reader    Reader
		says, not string
	}{
		{Reader{}, "Seen from the atrium, which this side faces, the way up the wall up.", "faces away"},
		{Reader{Habit: Habit{TurnDegrees: 90}}, "Seen from the atrium, which this side faces, turned 90° clockwise; up the wall: right.", "faces away"},
		{Reader{Habit: Habit{Mirrored: true}}, "Seen from the other side, mirrored: this side faces away from the atrium; up the wall: above.", "which this side faces"},
		{Reader{Habit: Habit{180, true}}, "mirrored, turned 180° clockwise: this side faces away from the atrium; up the wall: below.", "which this side faces"},
		{Reader{Habit{-90, true}, languageOf(t, "de")}, "gegen den Uhrzeigersinn gedreht: Diese Seite ist vom Vorhof abgewandt; die Wand hinauf: links.", "zugewandt"},
		{Reader{Habit{-125, false}, languageOf(t, "de")}, "dem diese Seite zugewandt ist, um 125° gegen den Uhrzeigersinn gedreht; die Wand hinauf: links unten.", "abgewandt"},
	} {
		d := templateFor(t, report, c.reader)
		var lines []string
		for _, e := range textsOf(d, "label") {
			lines = append(lines, e.text)
		}
		shown := strings.Join(lines, " ")
		if !strings.Contains(shown, c.says) || strings.Contains(shown, c.not) || strings.Contains(shown, ellipsis) {
			t.Errorf("%+v: it says %q", c.reader.Habit, shown)
		}
		if turned := c.reader.Habit != (Habit{}); turned != strings.Contains(d.page.Desc, c.says) || strings.Contains(d.page.Desc, c.not) {
			t.Errorf("%+v: its description says %q", c.reader.Habit, d.page.Desc)
		}
		if page := string(svgOf(t, d)); strings.Contains(page, "transform") || strings.Contains(page, "rotate(") {
			t.Errorf("%+v: something does not stand upright", c.reader.Habit)
		}
	}
}

// The arms of the cross run up the wall and clockwise, its words stand at their ends or beside them, all of it within the
// line to sew along or between the bars.
func TestTemplateCross(t *testing.T) {
	crosses := 0
	for name, heights := range map[string]string{"flat": "4 mm, 20 mm, 0 mm", "deep": "20 mm, 34 mm, 20 mm", "small": "4 mm, 6 mm, 4 mm"} {
		report := reportOf(t, "plan", leafPlan(heights))
		for _, tag := range []string{"en", "de"} {
			for _, h := range append([]Habit{{}}, someHabits...) {
				d := templateFor(t, report, Reader{h, languageOf(t, tag)})
				arms := placesOf(d, "axis")
				if len(arms) == 0 {
					if name != "small" || h != (Habit{}) {
						t.Errorf("%s, %s, %+v: no cross", name, tag, h)
					}
					continue
				}
				crosses++
				up, clockwise := arms[1].Minus(arms[0]), arms[3].Minus(arms[2])
				if up.Distance(paperMoved(Point{0, -crossArmMM}, h)) > 0.003 || clockwise.Distance(paperMoved(Point{crossArmMM, 0}, h)) > 0.003 {
					t.Errorf("%s, %s, %+v: up runs %v, clockwise %v", name, tag, h, up, clockwise)
				}
				sewn := outlineOf(placesOf(d, "sew-line"))
				for _, e := range textsOf(d, "axis-label")[:2] {
					from := e.at.X
					if e.anchor == AnchorMiddle {
						from -= MeasureIn("axis-label", e.text) / 2
					}
					box := Box{from, e.at.Y - 3.2, MeasureIn("axis-label", e.text), 3.6}
					for _, p := range []Point{{box.X, box.Y}, {box.Right(), box.Y}, {box.X, box.Bottom()}, {box.Right(), box.Bottom()}} {
						if between := (Box{20, 218, 66, 48}); !between.Contains(p) && sewn.SignedDistance(geom.Point(p)) > 0.5 {
							t.Errorf("%s, %s, %+v: %q reaches to %v", name, tag, h, e.text, p)
						}
					}
				}
			}
		}
	}
	if crosses < 30 {
		t.Errorf("%d crosses", crosses)
	}
}

// A patch that fits the page one way only says which. A rectangle of a by b turned by w is a cos w + b sin w wide.
func TestTemplateThatFitsOneWayOnly(t *testing.T) {
	report := reportOf(t, "plan", leafPlan("4 mm, 20 mm, 0 mm"))
	for _, c := range []struct {
		a, b float64
		h    Habit
		want string // how the error ends; empty: it fits
	}{
		{150, 60, Habit{}, "150 by 60 mm with its seam; the page holds 122 by 170 mm at true size: turn it by 90 degrees, or part the patch in two"},
		{150, 60, Habit{Mirrored: true}, "150 by 60 mm with its seam, mirrored; the page holds 122 by 170 mm at true size: turn it by 90 degrees, or part the patch in two"},
		{150, 60, Habit{TurnDegrees: 90}, ""},
		{120, 80, Habit{}, ""},
		{120, 80, Habit{TurnDegrees: 30}, "144 by 129 mm with its seam, turned 30° clockwise; the page holds 122 by 170 mm at true size: draw it without the turn, or part the patch in two"},
		{180, 130, Habit{TurnDegrees: 270}, "130 by 180 mm with its seam, turned 90° anticlockwise; the page holds 122 by 170 mm at true size: part the patch in two"},
	} {
		report.Patches[0].Cut = geom.Outline{{X: 0, Y: 0}, {X: c.a, Y: 0}, {X: c.a, Y: c.b}, {X: 0, Y: c.b}}
		err := (&template{plate: plate{gaze: c.h.of(ontoSheet), Reader: Reader{Habit: c.h}}, patch: report.Patches[0]}).centre()
		if fits := err == nil; fits != (c.want == "") || !fits && !strings.HasSuffix(err.Error(), c.want) {
			t.Errorf("%g by %g mm, %+v: %v", c.a, c.b, c.h, err)
		}
	}
}
