package svgout

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairlead/atlas"
	"fairlead/placement"
)

// plate is what stands around a picture.
type plate struct {
	report *placement.Report
	page   Box
	gaze   gaze // of the picture; zero: down the valve
	Reader
}

func (p plate) title() string {
	return fmt.Sprintf("%s: atrial view of the tricuspid rim", p.report.Laid.Plan.Case)
}

// describe tells a reader who cannot see the plate what it shows.
func (p plate) describe() string {
	var t strings.Builder
	fmt.Fprintf(&t, "Atrial view%s: septum %s, front %s, head %s, feet %s. ", p.Habit.words(), p.where(back), p.where(front), p.where(head), p.where(feet))
	if sense := p.Habit.sense(); sense != "" {
		t.WriteString(sense + " ")
	}
	fmt.Fprintf(&t, "Verdict of the plan: %s.", p.report.Verdict)
	for _, b := range p.report.Bites {
		fmt.Fprintf(&t, " Bite %s, %s: %s", b.Name, b.Where, b.Verdict)
		for _, r := range b.Reasons {
			if r.Level > placement.Clear {
				fmt.Fprintf(&t, "; %s", r.Text)
			}
		}
		t.WriteString(".")
	}
	t.WriteString(" " + p.said(placement.Care()))
	return t.String()
}

// furnish draws heading, orientation, scale, legend and footer.
func (p plate) furnish(k *Ink, scale float64, heart *atlas.Heart) {
	p.heading(k, scale, heart)
	k.layer("orientation", "orientation-and-scale")
	p.compass(k, Point{22, 182})
	p.scaleBar(k, Point{231, 181}, scale)
	k.End()
	p.legend(k)
	p.footer(k)
}

func (p plate) heading(k *Ink, scale float64, heart *atlas.Heart) {
	caption, also := p.caption(scale, heart)
	p.headedWith(k, p.verdict(), caption, also)
}

// headed is a heading with a caption of its own.
func (p plate) headed(k *Ink, heart *atlas.Heart, caption string) {
	p.headedWith(k, p.verdict(), caption, p.whose(heart))
}

// verdict is the plan's level; a plan without bites has none.
func (p plate) verdict() Level {
	if len(p.report.Bites) == 0 {
		return NoLevel
	}
	return mark(p.report.Verdict)
}

// headedWith is a heading of the case, a level across from it, a caption, and what more there is to say on a line of its
// own.
func (p plate) headedWith(k *Ink, level Level, caption, also string) {
	k.layer("heading", "heading")
	room := p.page.W - 16
	if level != NoLevel {
		verdict := strings.ToUpper(level.String())
		k.Text("heading", p.page.W-8, 12, AnchorEnd, verdict)
		k.LevelMark(level, Point{p.page.W - 12 - MeasureIn("heading", verdict), 9.8}, 5)
		room -= MeasureIn("heading", verdict) + 14
	}
	k.Text("heading", 8, 12, AnchorStart, Fit("heading", p.report.Laid.Plan.Case, room, 1)[0])
	k.Text("caption", 8, 19, AnchorStart, Fit("caption", caption, p.page.W-16, 1)[0])
	if also != "" {
		k.Text("label-quiet", 8, 24.6, AnchorStart, Fit("label-quiet", also, p.page.W-16, 1)[0])
	}
	k.End()
}

// caption says what the view is and how it is scaled, and what more there is to say.
func (p plate) caption(scale float64, heart *atlas.Heart) (caption, also string) {
	angle, _ := heart.Value("wall-angle-septal")
	caption = fmt.Sprintf("Atrial view%s. Operation: %s. Scale %s : 1 in the plane of the rim", p.Habit.words(), p.report.Laid.Plan.Operation, mustNumber(scale))
	shortened := fmt.Sprintf("up the septal wall shortened to %.0f %%.", 100*math.Cos(angle.Here*math.Pi/180))
	also = strings.TrimSpace(strings.TrimSpace(p.Habit.sense()+" "+p.repairWords()) + " " + p.whose(heart))
	if whole := caption + "; " + shortened; MeasureIn("caption", whole) <= p.page.W-16 {
		return whole, also
	}
	return caption + ".", strings.TrimSpace(sentence(shortened) + " " + also)
}

// repairWords says what is worst about the plan's repair, which no bite shows: nothing where nothing is.
func (p plate) repairWords() string {
	if p.report.Outcome == nil || p.report.Outcome.Verdict == placement.Clear {
		return ""
	}
	for _, r := range p.report.Outcome.Reasons {
		if r.Level == p.report.Outcome.Verdict {
			return fmt.Sprintf("The repair, %s: %s.", r.Level, strings.ReplaceAll(p.gist(r.Text), " mm2", " mm²"))
		}
	}
	return ""
}

// sentence is a clause with a capital at its head.
func sentence(clause string) string {
	if clause == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(clause)
	return string(unicode.ToUpper(first)) + clause[size:]
}

// whose says what is known of this heart besides the usual adult's: nothing for the usual adult.
func (p plate) whose(heart *atlas.Heart) string {
	plan := p.report.Laid.Plan
	var said []string
	if heart.Body.SurfaceM2 > 0 {
		said = append(said, fmt.Sprintf("%.2f m² (%s)", heart.Body.SurfaceM2, heart.Body.Label))
	}
	if plan.Contour != "" {
		said = append(said, "rim from a contour")
	}
	if measured := p.report.Figures().Measured; measured > 0 {
		said = append(said, fmt.Sprintf("%d measured", measured))
	}
	if plan.Stretch != "" {
		said = append(said, "rim stretched: "+plan.Stretch)
	}
	if heart.Valve.Leaflets > 0 && heart.Valve.Leaflets != 3 {
		said = append(said, fmt.Sprintf("%d leaflets", heart.Valve.Leaflets))
	}
	if heart.Valve.Cleft {
		said = append(said, "cleft anterior leaflet")
	}
	if v := heart.Variant; v != nil {
		text := p.said(v.Label)
		if v.TopologyOnly {
			text += " (only topology published; distances assumed)"
		}
		said = append([]string{text}, said...)
	}
	if len(said) == 0 {
		return ""
	}
	return "This heart: " + strings.Join(said, "; ") + "."
}

// scaleBarMM is the length of the bar on paper: a print at true size is proved by laying a ruler on it.
const scaleBarMM = 50.0

func (p plate) scaleBar(k *Ink, at Point, scale float64) {
	end := at.Plus(Point{scaleBarMM, 0})
	k.Line("scale-bar", at, end)
	for _, mm := range heartTicks(scale) {
		x := at.X + mm*scale
		k.Line("scale-bar", Point{x, at.Y - 1.4}, Point{x, at.Y})
	}
	k.Text("axis-label", at.X, at.Y-2.6, AnchorStart, "0")
	k.Text("axis-label", end.X, at.Y-2.6, AnchorEnd, fmt.Sprintf("%.3g mm of heart", scaleBarMM/scale))
	k.Text("axis-label", at.X, at.Y+4.2, AnchorStart, "the bar is 50 mm on paper at 100 %")
}

// heartTicks are the marks of the bar: every 5 mm of heart, or every 1, 10 or 20 where that is too close or too far,
// and both ends.
func heartTicks(scale float64) []float64 {
	whole := scaleBarMM / scale
	step := 1.0
	for _, s := range []float64{1, 5, 10, 20, 50} {
		if step = s; s*scale >= 7 {
			break
		}
	}
	ticks := []float64{0, whole}
	for mm := step; mm < whole-1e-9; mm += step {
		ticks = append(ticks, mm)
	}
	return ticks
}

func (p plate) legend(k *Ink) { p.legendFrom(k, Point{52, 175.5}, 226) }

// legendFrom letters the legend in as many lines as it takes from a first baseline to a right edge, and returns the last
// baseline.
func (p plate) legendFrom(k *Ink, first Point, right float64) float64 {
	k.layer("legend", "legend")
	x, y := first.X, first.Y
	next := func(draw func(at Point), text string) {
		width := 9 + MeasureIn("legend", text) + 5
		if x+width > right {
			x, y = first.X, y+5.6
		}
		draw(Point{x + 3, y - 1.2})
		k.Text("legend", x+8, y, AnchorStart, text)
		x += width
	}
	for _, level := range []placement.Level{placement.Clear, placement.Caution, placement.Avoid} {
		next(func(at Point) { k.LevelMark(mark(level), at, 3.4) }, level.String())
	}
	if p.hasPledgets() {
		next(func(at Point) { k.Rect("pledget", Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }, "pledget")
	}
	swatch := func(class string) func(Point) {
		return func(at Point) { k.Rect(class, Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }
	}
	next(func(at Point) {
		k.smoothLine("thread-hidden", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0}))
		k.Circle("needle-entry", at.Plus(Point{-3, 0}), 0.75)
		k.Circle("needle-exit", at.Plus(Point{3, 0}), 0.75)
	}, "needle in, under the surface, out")
	if p.report.Line != nil {
		next(func(at Point) { k.smoothLine("suture-line", at.Plus(Point{-4, 0}), at.Plus(Point{3.4, 0})) }, "suture line")
	}
	for _, zone := range p.usualZones() {
		next(func(at Point) {
			k.Zone(zone.class, []Point{{at.X - 3, at.Y - 1.6}, {at.X + 3, at.Y - 1.6}, {at.X + 3, at.Y + 1.6}, {at.X - 3, at.Y + 1.6}}, false)
		}, zone.text)
	}
	next(swatch("node-area"), "conduction axis, beneath")
	next(swatch("bundle-low-area"), "bundle, less common way")
	next(swatch("coronary-area"), "arteries, beneath")
	k.End()
	return y
}

type zoneKey struct {
	class Zone
	text  string
}

// usualZones are the zones the legend names; in a malformed heart they mean something else, which their labels say.
func (p plate) usualZones() []zoneKey {
	if p.report.Laid.Heart.Variant != nil {
		return []zoneKey{{TriangleApical, "keep out"}, {TriangleBasal, "only with reason"}, {VentricularSide, "ventricular side, keep off"}}
	}
	return []zoneKey{{TriangleApical, "apical half"}, {TriangleBasal, "basal half"}, {Fibrous, "fibrous body"}, {VentricularSide, "ventricular side"}}
}

func (p plate) hasPledgets() bool {
	return slices.ContainsFunc(p.report.Bites, func(b placement.BiteReport) bool {
		return b.Kind == placement.Mattress && b.Pledget != placement.NoPledget
	})
}

func (k *Ink) smoothLine(class string, from, to Point) {
	k.Path(class, new(PathData).Polyline([]Point{from, to}, false))
}

// footer says what the plate rests on, and the caution.
func (p plate) footer(k *Ink) {
	k.layer("footer", "provenance-and-caution")
	f := p.report.Figures()
	line := fmt.Sprintf("Figures: %d published, %d from memory, %d assumed, %d measured. Plan %s, atlas %s, format %d.",
		f.Published, f.Memory, f.Assumption, f.Measured, p.report.Laid.Plan.Digest, p.report.Laid.AtlasDigest, placement.FileVersion)
	lines := append(Fit("footnote", line, p.page.W-16, 2), Fit("footnote", p.said(placement.Care()), p.page.W-16, 2)...)
	k.TextBlock("footnote", 8, p.page.H-6-BlockHeight("footnote", len(lines)), AnchorStart, lines)
	k.End()
}
