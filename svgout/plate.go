package svgout

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairlead/atlas"
	"fairlead/atlas/words"
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
	return p.say("atrial.title", words.Blanks{"case": p.report.Laid.Plan.Case})
}

// describe tells a reader who cannot see the plate what it shows.
func (p plate) describe() string {
	var t strings.Builder
	t.WriteString(p.orientation() + " " + p.planVerdict())
	for _, b := range p.report.Bites {
		t.WriteString(" " + p.say("bite.described", words.Blanks{"bite": b.Name, "where": b.Where, "level": b.Verdict.Said(), "why": whyNotClear(b.Reasons)}))
	}
	t.WriteString(" " + p.said(placement.Care()))
	return t.String()
}

// orientation says where septum, front, head and feet lie in an atrial view.
func (p plate) orientation() string {
	said := p.say("atrial.orientation", words.Blanks{"habit": p.Habit.said(), "septum": p.where(back), "front": p.where(front), "head": p.where(head), "feet": p.where(feet)})
	if sense := p.Habit.sense(); !sense.IsZero() {
		said += " " + p.said(sense)
	}
	return said
}

// planVerdict says the level of the whole plan.
func (p plate) planVerdict() string {
	return p.say("plan.verdict", words.Blanks{"level": p.report.Verdict.Said()})
}

// whyNotClear is what speaks against a bite, each behind a semicolon; nothing where nothing does.
func whyNotClear(reasons []placement.Reason) (why words.Said) {
	for _, r := range reasons {
		if r.Level > placement.Clear {
			why = words.Of("bite.why", words.Blanks{"before": why, "reason": r.Text})
		}
	}
	return why
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
		verdict := strings.ToUpper(p.said(level.Said()))
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
	blanks := words.Blanks{"habit": p.Habit.said(), "operation": p.report.Laid.Plan.Operation.Said(), "scale": decimal(scale)}
	shortened := words.Of("atrial.shortened", words.Blanks{"share": words.Fixed(100*math.Cos(angle.Here*math.Pi/180), 0)})
	also = sentences(p.said(p.Habit.sense()), p.repairWords(), p.whose(heart))
	caption = p.said(words.Of("atrial.caption", blanks))
	if whole := p.say("atrial.caption-whole", words.Blanks{"caption": caption, "shortened": shortened}); MeasureIn("caption", whole) <= p.page.W-16 {
		return whole, also
	}
	return caption + ".", sentences(sentence(p.said(shortened))+".", also)
}

// sentences sets what there is to say side by side.
func sentences(said ...string) string {
	return strings.Join(slices.DeleteFunc(said, func(s string) bool { return s == "" }), " ")
}

// repairWords says what is worst about the plan's repair, which no bite shows: nothing where nothing is.
func (p plate) repairWords() string {
	if p.report.Outcome == nil || p.report.Outcome.Verdict == placement.Clear {
		return ""
	}
	for _, r := range p.report.Outcome.Reasons {
		if r.Level == p.report.Outcome.Verdict {
			return p.say("plan.repair", words.Blanks{"level": r.Level.Said(), "finding": p.gist(r.Text)})
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
	var said []words.Said
	if v := heart.Variant; v != nil {
		said = append(said, v.Label)
		if v.TopologyOnly {
			said[0] = words.Of("heart.topology-only", words.Blanks{"variant": v.Label})
		}
	}
	if heart.Body.SurfaceM2 > 0 {
		said = append(said, words.Of("heart.body", words.Blanks{"area": words.Fixed(heart.Body.SurfaceM2, 2), "dataset": heart.Body.Label}))
	}
	if plan.Contour != "" {
		said = append(said, words.Of("heart.contour"))
	}
	if measured := p.report.Figures().Measured; measured > 0 {
		said = append(said, words.Of("heart.measured", words.Blanks{"n": measured}))
	}
	if plan.Stretch != "" {
		said = append(said, words.Of("heart.stretched", words.Blanks{"pattern": words.Of("pattern." + plan.Stretch)}))
	}
	if heart.Valve.Leaflets > 0 && heart.Valve.Leaflets != 3 {
		said = append(said, words.Of("heart.leaflets", words.Blanks{"n": heart.Valve.Leaflets}))
	}
	if heart.Valve.Cleft {
		said = append(said, words.Of("heart.cleft"))
	}
	if len(said) == 0 {
		return ""
	}
	return p.say("heart.this", words.Blanks{"what": words.Semicolons(said...)})
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
	k.Text("axis-label", end.X, at.Y-2.6, AnchorEnd, p.say("scale.bar", words.Blanks{"mm": words.Short(scaleBarMM/scale, 3)}))
	k.Text("axis-label", at.X, at.Y+4.2, AnchorStart, p.say("scale.check"))
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
		next(func(at Point) { k.LevelMark(mark(level), at, 3.4) }, p.said(level.Said()))
	}
	if p.hasPledgets() {
		next(func(at Point) { k.Rect("pledget", Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }, p.say("legend.pledget"))
	}
	swatch := func(class string) func(Point) {
		return func(at Point) { k.Rect(class, Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }
	}
	next(func(at Point) {
		k.smoothLine("thread-hidden", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0}))
		k.Circle("needle-entry", at.Plus(Point{-3, 0}), 0.75)
		k.Circle("needle-exit", at.Plus(Point{3, 0}), 0.75)
	}, p.say("legend.needle"))
	if p.report.Line != nil {
		next(func(at Point) { k.smoothLine("suture-line", at.Plus(Point{-4, 0}), at.Plus(Point{3.4, 0})) }, p.say("legend.suture-line"))
	}
	for _, zone := range p.usualZones() {
		next(func(at Point) {
			k.Zone(zone.class, []Point{{at.X - 3, at.Y - 1.6}, {at.X + 3, at.Y - 1.6}, {at.X + 3, at.Y + 1.6}, {at.X - 3, at.Y + 1.6}}, false)
		}, p.said(zone.text))
	}
	next(swatch("node-area"), p.say("legend.axis"))
	next(swatch("bundle-low-area"), p.say("legend.bundle-low"))
	next(swatch("coronary-area"), p.say("legend.arteries"))
	k.End()
	return y
}

type zoneKey struct {
	class Zone
	text  words.Said
}

// usualZones are the zones the legend names; in a malformed heart they mean something else, which their labels say.
func (p plate) usualZones() []zoneKey {
	if p.report.Laid.Heart.Variant != nil {
		return []zoneKey{{TriangleApical, words.Of("legend.keep-out")}, {TriangleBasal, words.Of("legend.only-with-reason")}, {VentricularSide, words.Of("legend.keep-off")}}
	}
	return []zoneKey{{TriangleApical, words.Of("legend.apical-half")}, {TriangleBasal, words.Of("legend.basal-half")}, {Fibrous, words.Of("legend.fibrous-body")}, {VentricularSide, words.Of("legend.ventricular-side")}}
}

func (p plate) hasPledgets() bool {
	return slices.ContainsFunc(p.report.Bites, func(b placement.BiteReport) bool {
		return b.Kind == placement.Mattress && b.Pledget != placement.NoPledget
	})
}

func (k *Ink) smoothLine(class string, from, to Point) {
	k.Path(class, new(PathData).Polyline([]Point{from, to}, false))
}

// made says what a drawing was made from.
func (p plate) made() string {
	return p.say("footer.made", words.Blanks{"plan": p.report.Laid.Plan.Digest, "atlas": p.report.Laid.AtlasDigest, "format": placement.FileVersion})
}

// footer says what the plate rests on, and the caution.
func (p plate) footer(k *Ink) {
	k.layer("footer", "provenance-and-caution")
	k.TextBlock("footnote", 8, p.footerTop(), AnchorStart, p.footerLines())
	k.End()
}

func (p plate) footerLines() []string {
	f := p.report.Figures()
	line := sentences(p.say("footer.figures", words.Blanks{"published": f.Published, "memory": f.Memory, "assumed": f.Assumption, "measured": f.Measured}), p.made())
	return append(Fit("footnote", line, p.page.W-16, 2), Fit("footnote", p.said(placement.Care()), p.page.W-16, 2)...)
}

// footerTop is where the footer begins, which has more lines in one language than in another.
func (p plate) footerTop() float64 {
	return p.page.H - 6 - BlockHeight("footnote", len(p.footerLines()))
}
