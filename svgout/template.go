package svgout

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// The template's page: A4 upright, mm. The patch lies at true size, between two columns of labels as near to it as they
// may stand; under it the scale check, and beside that what there is to say of it.
var (
	templatePage    = Box{W: 210, H: 297}
	templatePicture = Box{X: 44, Y: 40, W: 122, H: 170}
	templateSaid    = Box{X: 88, Y: 218, W: 114, H: 52}
)

const (
	templateColumnMM = 30.0 // how wide a column of labels is
	templateGapMM    = 6.0  // how far from the cutting line
	templateAboveMM  = 20.0 // how far above and below the cutting line labels may stand
)

// TemplateDrawing draws a patch laid flat, at true size, to be cut along: seen from the atrium, the way up the wall up,
// unless the reader's habit turns it. Mirrored, it is seen from its other side.
func TemplateDrawing(report *placement.Report, patch int, reader Reader) (*Drawing, error) {
	if patch < 0 || patch >= len(report.Patches) {
		return nil, fmt.Errorf("svgout: patch %d of a plan with %d", patch+1, len(report.Patches))
	}
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	t := template{plate: plate{report: report, page: templatePage, gaze: reader.Habit.of(ontoSheet), Reader: reader}, patch: report.Patches[patch]}
	if err := t.centre(); err != nil {
		return nil, err
	}
	t.Ink = NewDrawing(Page{WidthMM: templatePage.W, HeightMM: templatePage.H, Language: reader.Language, Title: t.title(), Desc: t.describe()})
	t.heading()
	t.cloth()
	t.sides()
	t.ticks()
	placed, err := t.layLabels()
	if err != nil {
		return nil, err
	}
	t.layer("labels", "labels")
	t.Labels(placed)
	t.End()
	t.bars()
	t.figures()
	top := t.cut.Bottom() + templateAboveMM + 8
	t.looks(t.report.Laid.Plan.Looks, Box{X: 18, Y: top, W: templatePage.W - 36, H: templateSaid.Y - 6 - top}, t.say("looks.heading"))
	t.footer(t.Ink)
	return t.Finish()
}

// template draws one patch at true size.
type template struct {
	*Ink
	plate
	patch  placement.PatchReport
	origin Point // of the patch's sheet on the paper
	cut    Box   // about the cutting line, on the paper
}

// ontoSheet looks at a patch's sheet from the atrium, the way up the wall up.
var ontoSheet = gaze{right: geom.Vec{X: 1}, up: geom.Vec{Y: 1}, toward: geom.Vec{Z: 1}}

// The ways of a sheet.
var (
	clockwiseOnSheet = geom.Point{X: 1}
	upOnSheet        = geom.Point{Y: 1}
)

// turned is a way of the sheet as it runs on the paper.
func (t *template) turned(way geom.Point) Point { return t.onPaper(geom.Vec{X: way.X, Y: way.Y}) }

// centre puts the cutting line in the upper middle of the picture.
func (t *template) centre() error {
	cut := boxOf(t.cutSeen(t.gaze))
	if tooLarge(cut) {
		return fmt.Errorf("svgout: patch %q is %.0f by %.0f mm with its seam%s; the page holds %.0f by %.0f mm at true size: %w", t.patch.Name, cut.W, cut.H, t.Habit.said(), templatePicture.W, templatePicture.H, t.mend())
	}
	t.cut = cut
	t.cut.X = templatePicture.Centre().X - t.cut.W/2
	t.cut.Y = templatePicture.Y + min((templatePicture.H-t.cut.H)/2, templateAboveMM)
	t.origin = Point{t.cut.X - cut.X, t.cut.Y - cut.Y}
	return nil
}

// mend says what to do about a patch too large for the page.
func (t *template) mend() error {
	switch {
	case !tooLarge(boxOf(t.cutSeen(ontoSheet))):
		return errors.New("draw it without the turn, or part the patch in two")
	case !tooLarge(boxOf(t.cutSeen(Habit{TurnDegrees: 90}.of(ontoSheet)))):
		return errors.New("turn it by 90 degrees, or part the patch in two")
	}
	return errors.New("part the patch in two")
}

// cutSeen is the cutting line as it runs on the paper, from the sheet's own origin.
func (t *template) cutSeen(g gaze) (cut []Point) {
	for _, p := range t.patch.Cut {
		cut = append(cut, g.onPaper(geom.Vec{X: p.X, Y: p.Y}))
	}
	return cut
}

func tooLarge(cut Box) bool { return cut.W > templatePicture.W || cut.H > templatePicture.H }

// paper is where a place of the sheet falls.
func (t *template) paper(p geom.Point) Point { return t.origin.Plus(t.turned(p)) }

func (t *template) papers(outline geom.Outline) []Point {
	points := make([]Point, len(outline))
	for i, p := range outline {
		points[i] = t.paper(p)
	}
	return points
}

func (t *template) title() string {
	return t.say("template.title", words.Blanks{"case": t.report.Laid.Plan.Case, "patch": t.patch.Name})
}

func (t *template) describe() string {
	said := []string{t.say("template.described", words.Blanks{"patch": t.patch.Name}), t.sizes()}
	if !t.Habit.said().IsZero() {
		said[0] = t.say("template.described-turned", words.Blanks{"patch": t.patch.Name, "seen": t.seen()})
	}
	for _, m := range t.patch.Marks {
		said = append(said, t.say("template.bite-described", words.Blanks{"bite": m.Bite, "mm": words.Fixed(m.EdgeMM, 1)}))
	}
	for _, r := range t.patch.Reasons {
		said = append(said, t.levelled(r))
	}
	return sentences(append(said, t.said(placement.Care()))...)
}

// seen says which side of the patch the paper shows, and which way up the wall is.
func (t *template) seen() words.Said {
	blanks := words.Blanks{"habit": t.Habit.said(), "up": t.where(geom.Vec{X: upOnSheet.X, Y: upOnSheet.Y})}
	switch {
	case t.Habit.Mirrored:
		return words.Of("template.seen-from-behind", blanks)
	case !t.Habit.said().IsZero():
		return words.Of("template.seen-turned", blanks)
	}
	return words.Of("template.seen")
}

func (t *template) sizes() string {
	s := t.patch.Sheet
	return t.say("template.sizes", words.Blanks{"area": words.Fixed(s.FlatAreaMM2, 0), "round": words.Fixed(s.FlatPerimeterMM, 1), "seam": words.Short(t.patch.SeamMM, 3), "least": signed(100*s.Shortest, 1), "most": signed(100*s.Longest, 1)})
}

func (t *template) heading() {
	t.layer("heading", "heading")
	t.Text("heading", 8, 13, AnchorStart, Fit("heading", t.report.Laid.Plan.Case, templatePage.W-16, 1)[0])
	t.TextBlock("subheading", 8, 17, AnchorStart, Fit("subheading", t.say("template.heading", words.Blanks{"patch": Isolate(t.patch.Name)}), templatePage.W-16, 1))
	how := Fit("label", t.say("template.how", words.Blanks{"seen": t.seen()}), templatePage.W-16, 3)
	top := 24.5
	if len(how) > 2 {
		top = 23.2
	}
	t.TextBlock("label", 8, top, AnchorStart, how)
	t.End()
}

// cloth draws the patch with its seam.
func (t *template) cloth() {
	t.layer("patch", "patch-with-seam")
	t.Path("patch", new(PathData).Polyline(t.papers(t.patch.Cut), true))
	t.Path("sew-line", new(PathData).Polyline(t.papers(t.patch.Sheet.Edge()), true))
	t.End()
}

// sides marks where one side of the edge ends and the next begins.
func (t *template) sides() {
	t.layer("landmarks", "where-the-sides-meet")
	if len(t.patch.Sides) > 1 {
		for _, s := range t.patch.Sides {
			t.Circle("commissure", t.paper(t.patch.Sheet.Points[s.From]), 0.9)
		}
	}
	t.End()
}

// ticks marks each bite across the seam.
func (t *template) ticks() {
	t.layer("bites", "bites-along-the-edge")
	for _, m := range t.patch.Marks {
		at := t.paper(m.At)
		t.Line("rim-tick", at, t.tickEnd(m))
		t.Circle("needle-entry", at, 0.6)
	}
	t.End()
	t.cross()
}

// layLabels names the sides and every bite, or where there is no room every second, third, and so on: the ticks are all
// there, and between two names they can be counted.
func (t *template) layLabels() (placed Placed, err error) {
	for each := 1; each <= max(len(t.patch.Marks), 1); each++ {
		if placed, err = t.layNames(each); err == nil {
			break
		}
	}
	return placed, err
}

func (t *template) layNames(each int) (Placed, error) {
	left := Box{X: max(t.cut.X-templateGapMM-templateColumnMM, 8), Y: max(t.cut.Y-templateAboveMM, 38), W: templateColumnMM}
	left.H = min(t.cut.Bottom()+templateAboveMM, templateSaid.Y-8) - left.Y
	right := left
	right.X = min(t.cut.Right()+templateGapMM, templatePage.W-8-templateColumnMM)
	var labels []Label
	for _, s := range t.patch.Sides {
		name := t.said(s.Said())
		switch {
		case !s.Sewn:
			name = t.say("template.not-sewn", words.Blanks{"side": s.Said()})
		case len(t.patch.Marks) > 0: // its bites tell which it is
			continue
		}
		at := t.patch.Sheet.Points[(s.From+s.To)/2%t.patch.Sheet.Border]
		labels = append(labels, Label{Lines: Fit("label-quiet", name, LabelRoomMM(left, NoLevel), 2), Class: "label-quiet", Target: t.paper(at)})
	}
	for i, m := range t.patch.Marks {
		if i%each > 0 && i < len(t.patch.Marks)-1 {
			continue
		}
		labels = append(labels, Label{Lines: Fit("number", m.Bite, LabelRoomMM(left, NoLevel), 1), Class: "number", Target: t.tickEnd(m)})
	}
	frame := LabelFrame{Left: left, Right: right, MiddleX: middleTarget(labels)}
	if t.Habit.turn() != 0 { // all bites may lie on one side: then no leader crosses the patch
		frame.MiddleX = t.cut.Centre().X
	}
	return Layout(labels, frame)
}

// tickEnd is where the tick of a bite ends, on the cutting line.
func (t *template) tickEnd(m placement.BiteMark) Point {
	return t.paper(m.At).Plus(t.turned(m.Out).Times(max(t.patch.SeamMM, 1.5)))
}

// bars are the two scale checks, at right angles: paper may be stretched one way only.
func (t *template) bars() {
	t.layer("scale", "scale-check")
	corner := Point{18, 268}
	for _, end := range []Point{corner.Plus(Point{scaleBarMM, 0}), corner.Plus(Point{0, -scaleBarMM})} {
		t.Line("scale-bar", corner, end)
		side := Point{0, -1.4}
		if end.Y < corner.Y {
			side = Point{1.4, 0}
		}
		for i := range 11 {
			at := corner.Plus(end.Minus(corner).Times(float64(i) / 10))
			t.Line("scale-bar", at, at.Plus(side))
		}
	}
	long := t.mm(words.Short(scaleBarMM, 3))
	t.Text("axis-label", corner.X+scaleBarMM+2, corner.Y+0.8, AnchorStart, long)
	t.Text("axis-label", corner.X, corner.Y-scaleBarMM-2, AnchorMiddle, long)
	t.End()
}

// figures says what was conserved, where the bites lie, and what the rules found.
func (t *template) figures() {
	t.layer("figures", "figures-and-findings")
	box, s := templateSaid, t.patch.Sheet
	y := box.Y
	letter := func(class, text string, lines int) {
		said := Fit(class, text, box.W, lines)
		if y+BlockHeight(class, len(said)) <= box.Bottom() {
			y = t.TextBlock(class, box.X, y, AnchorStart, said) + 0.8
		}
	}
	letter("label", t.say("template.flat", words.Blanks{"flat": words.Fixed(s.FlatAreaMM2, 0), "area": words.Fixed(s.AreaMM2, 0), "round": words.Fixed(s.FlatPerimeterMM, 1), "edge": words.Fixed(s.PerimeterMM, 1)}), 2)
	letter("label", t.say("template.cloth", words.Blanks{"seam": words.Short(t.patch.SeamMM, 3), "least": signed(100*s.Shortest, 1), "most": signed(100*s.Longest, 1)}), 1)
	for _, r := range t.patch.Reasons {
		letter(map[placement.Level]string{placement.Clear: "label", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[r.Level], sentences(t.levelled(r), t.instead(r)), 4)
	}
	if between := t.betweenBites(); between != "" {
		letter("label-quiet", between, 6)
	}
	t.End()
}

// betweenBites says how far apart neighbouring bites lie along the edge, in its order as the numbers grow.
func (t *template) betweenBites() string {
	var gaps []words.Said
	for i := 1; i < len(t.patch.Marks); i++ {
		a, b := t.patch.Marks[i-1], t.patch.Marks[i]
		if a.Order > b.Order {
			a, b = b, a
		}
		gaps = append(gaps, words.Of("template.gap", words.Blanks{"from": Isolate(a.Bite), "to": Isolate(b.Bite), "mm": words.Fixed(math.Abs(b.EdgeMM-a.EdgeMM), 1)}))
	}
	if len(gaps) == 0 {
		return ""
	}
	if first, last := t.patch.Marks[0].Order, t.patch.Marks[len(t.patch.Marks)-1].Order; first > last {
		slices.Reverse(gaps)
	}
	return t.say("template.gaps", words.Blanks{"gaps": words.Semicolons(gaps...)})
}
