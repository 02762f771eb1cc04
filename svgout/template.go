package svgout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas/geom"
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

// TemplateDrawing draws a patch laid flat, at true size, to be cut along: seen from the atrium, the way up the wall up.
func TemplateDrawing(report *placement.Report, patch int, reader Reader) (*Drawing, error) {
	if patch < 0 || patch >= len(report.Patches) {
		return nil, fmt.Errorf("svgout: patch %d of a plan with %d", patch+1, len(report.Patches))
	}
	t := template{plate: plate{report: report, page: templatePage, Reader: reader}, patch: report.Patches[patch]}
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

// centre puts the cutting line in the upper middle of the picture.
func (t *template) centre() error {
	low, high := t.patch.Cut[0], t.patch.Cut[0]
	for _, p := range t.patch.Cut {
		low, high = geom.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, geom.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	if width, height := high.X-low.X, high.Y-low.Y; width > templatePicture.W || height > templatePicture.H {
		return fmt.Errorf("svgout: patch %q is %.0f by %.0f mm with its seam; the page holds %.0f by %.0f mm at true size: part the patch in two", t.patch.Name, width, height, templatePicture.W, templatePicture.H)
	}
	t.cut = Box{W: high.X - low.X, H: high.Y - low.Y}
	t.cut.X = templatePicture.Centre().X - t.cut.W/2
	t.cut.Y = templatePicture.Y + min((templatePicture.H-t.cut.H)/2, templateAboveMM)
	t.origin = Point{t.cut.X - low.X, t.cut.Y + high.Y}
	return nil
}

// paper is where a place of the sheet falls; the sheet's y runs up.
func (t *template) paper(p geom.Point) Point { return Point{t.origin.X + p.X, t.origin.Y - p.Y} }

func (t *template) papers(outline geom.Outline) []Point {
	points := make([]Point, len(outline))
	for i, p := range outline {
		points[i] = t.paper(p)
	}
	return points
}

func (t *template) title() string {
	return fmt.Sprintf("%s: cutting template of the patch %s", t.report.Laid.Plan.Case, t.patch.Name)
}

func (t *template) describe() string {
	var d strings.Builder
	fmt.Fprintf(&d, "Patch %s laid flat at true size, seen from the atrium, the way up the wall up. %s.", t.patch.Name, t.sizes())
	for _, m := range t.patch.Marks {
		fmt.Fprintf(&d, " Bite %s at %.1f mm along the edge.", m.Bite, m.EdgeMM)
	}
	for _, r := range t.patch.Reasons {
		fmt.Fprintf(&d, " %s: it %s.", r.Level, r.Text)
	}
	return d.String() + " " + t.said(placement.Care())
}

func (t *template) sizes() string {
	s := t.patch.Sheet
	return fmt.Sprintf("Without seam %.0f mm² and %.1f mm round; seam %.3g mm; the cloth gives %+.1f to %+.1f %%", s.FlatAreaMM2, s.FlatPerimeterMM, t.patch.SeamMM, 100*s.Shortest, 100*s.Longest)
}

func (t *template) heading() {
	t.layer("heading", "heading")
	t.Text("heading", 8, 13, AnchorStart, Fit("heading", t.report.Laid.Plan.Case, templatePage.W-16, 1)[0])
	t.TextBlock("subheading", 8, 17, AnchorStart, Fit("subheading", "Cutting template 1 : 1. Patch: "+Isolate(t.patch.Name), templatePage.W-16, 1))
	t.TextBlock("label", 8, 24.5, AnchorStart, Fit("label", "Measure both bars below before cutting: each must be 50 mm. Seen from the atrium, which this side faces, the way up the wall up. Cut along the full line, sew along the broken one.", templatePage.W-16, 2))
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
	t.layer("orientation", "orientation")
	if middle := t.paper(t.middle()); t.patch.Sheet.Edge().SignedDistance(t.middle()) < -9 {
		t.Line("axis", middle, middle.Plus(Point{0, -5}))
		t.Line("axis", middle, middle.Plus(Point{5, 0}))
		t.Text("axis-label", middle.X, middle.Y-6, AnchorMiddle, "up")
		t.Text("axis-label", middle.X-6, middle.Y+4.4, AnchorStart, "clockwise")
	}
	t.End()
}

// middle is the place of the sheet farthest from its edge.
func (t *template) middle() (best geom.Point) {
	edge := t.patch.Sheet.Edge()
	deepest := math.Inf(1)
	for _, p := range t.patch.Sheet.Points {
		if d := edge.SignedDistance(p); d < deepest {
			best, deepest = p, d
		}
	}
	return best
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
		name := s.Name
		switch {
		case !s.Sewn:
			name += ", not sewn"
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
	return Layout(labels, LabelFrame{Left: left, Right: right, MiddleX: middleTarget(labels)})
}

// tickEnd is where the tick of a bite ends, on the cutting line.
func (t *template) tickEnd(m placement.BiteMark) Point {
	return t.paper(m.At).Plus(Point{m.Out.X, -m.Out.Y}.Times(max(t.patch.SeamMM, 1.5)))
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
	t.Text("axis-label", corner.X+scaleBarMM+2, corner.Y+0.8, AnchorStart, "50 mm")
	t.Text("axis-label", corner.X, corner.Y-scaleBarMM-2, AnchorMiddle, "50 mm")
	t.End()
}

// figures says what was conserved, where the bites lie, and what the rules found.
func (t *template) figures() {
	t.layer("figures", "figures-and-findings")
	box, s := templateSaid, t.patch.Sheet
	y := box.Y
	say := func(class, text string, lines int) {
		said := Fit(class, text, box.W, lines)
		if y+BlockHeight(class, len(said)) <= box.Bottom() {
			y = t.TextBlock(class, box.X, y, AnchorStart, said) + 0.8
		}
	}
	say("label", fmt.Sprintf("Laid flat: %.0f mm² of %.0f mm² on the tissue, %.1f mm round of %.1f mm.", s.FlatAreaMM2, s.AreaMM2, s.FlatPerimeterMM, s.PerimeterMM), 2)
	say("label", fmt.Sprintf("Seam %.3g mm. The cloth gives %+.1f to %+.1f %%.", t.patch.SeamMM, 100*s.Shortest, 100*s.Longest), 1)
	for _, r := range t.patch.Reasons {
		text := fmt.Sprintf("%s: it %s.", r.Level, r.Text)
		if !r.Instead.IsZero() {
			text += " Instead: " + r.Instead.String() + "."
		}
		say(map[placement.Level]string{placement.Clear: "label", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[r.Level], text, 4)
	}
	if between := t.betweenBites(); between != "" {
		say("label-quiet", between, 6)
	}
	t.End()
}

// betweenBites says how far apart neighbouring bites lie along the edge, in its order as the numbers grow.
func (t *template) betweenBites() string {
	var said []string
	for i := 1; i < len(t.patch.Marks); i++ {
		a, b := t.patch.Marks[i-1], t.patch.Marks[i]
		if a.Order > b.Order {
			a, b = b, a
		}
		gap := fmt.Sprintf("%s to %s: %.1f", Isolate(a.Bite), Isolate(b.Bite), math.Abs(b.EdgeMM-a.EdgeMM))
		said = append(said, gap)
	}
	if len(said) == 0 {
		return ""
	}
	if first, last := t.patch.Marks[0].Order, t.patch.Marks[len(t.patch.Marks)-1].Order; first > last {
		slices.Reverse(said)
	}
	return "Along the edge, mm: " + strings.Join(said, "; ") + "."
}
