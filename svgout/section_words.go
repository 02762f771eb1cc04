package svgout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

func (s *section) title(p plate) string {
	return fmt.Sprintf("%s: section across the rim at bite %s", p.report.Laid.Plan.Case, s.bite.Name)
}

// describe tells a reader who cannot see the plate what it shows.
func (s *section) describe() string {
	var t strings.Builder
	fmt.Fprintf(&t, "Section across the tricuspid rim at bite %s, square to the rim: atrium above, ventricle below, outside of the rim right (%s), orifice left (%s). Scale %s : 1.",
		s.bite.Name, s.outside(), s.inside(), mustNumber(s.scale))
	fmt.Fprintf(&t, " Bite %s, %s through %s, %s, %s mm deep: %s.", s.bite.Name, s.bite.Kind, s.bite.Tissue, s.bite.Where, mustNumber(round(s.bite.DepthMM)), s.bite.Verdict)
	for _, r := range s.bite.Reasons {
		fmt.Fprintf(&t, " %s.", sentence(r.Text.String()))
		if !r.Instead.IsZero() {
			fmt.Fprintf(&t, " Instead: %s.", r.Instead)
		}
	}
	t.WriteString(" " + s.course())
	for _, m := range s.marked() {
		fmt.Fprintf(&t, " The cut crosses the %s from %.1f to %.1f mm off the hinge.", m.zone.Label, m.from, m.to)
	}
	for _, n := range s.neighbours {
		where := "met by this cut"
		if !s.shown(n) {
			where = "not met by this cut"
		}
		fmt.Fprintf(&t, " %s: %s, %s.", sentence(s.structureName(n.Structure)), s.distanceWords(n), where)
	}
	t.WriteString(" How thick the wall is, is not known. " + placement.Care().String())
	return t.String()
}

// course says how the needle stands to the plane.
func (s *section) course() string {
	from, to := s.cut.aheadMM(s.pass.Arc.At(0)), s.cut.aheadMM(s.pass.Arc.At(1))
	var said string
	switch {
	case s.cut.liesIn(s.pass):
		said = fmt.Sprintf("The needle runs in the plane of this cut, within %s mm: its arc is true.", mustNumber(inPlaneMM))
	case math.Abs(to-from) > 2*math.Abs(s.cut.flat(s.pass.Arc.At(1)).X-s.cut.flat(s.pass.Arc.At(0)).X):
		said = fmt.Sprintf("The needle runs across the plane of this cut, from %s to %s; its arc is projected, the round is where it goes through.", sided(from), sided(to))
	default:
		said = fmt.Sprintf("The needle runs aslant through the plane of this cut, from %s to %s; its arc is projected, the round is where it goes through.", sided(from), sided(to))
	}
	switch n := len(s.bite.Passes); {
	case n == 2 && s.bite.Kind == placement.Mattress:
		other := s.cut.aheadMM(s.bite.Passes[0].Arc.At(0.5))
		said += fmt.Sprintf(" This is the second arm; the first, %s, is projected.", sided(other))
	case n > 1:
		said += fmt.Sprintf(" This is pass %d of %d.", n/2+1, n)
	}
	return said
}

// sided says how far from the plane something lies, and on which side.
func sided(aheadMM float64) string {
	switch {
	case aheadMM >= 0.05:
		return fmt.Sprintf("%.1f mm clockwise", aheadMM)
	case aheadMM <= -0.05:
		return fmt.Sprintf("%.1f mm anticlockwise", -aheadMM)
	}
	return "the plane itself"
}

// further says where along the rim a structure comes nearest, when that is not in the plane.
func further(mm float64) string {
	switch {
	case mm >= 0.25:
		return fmt.Sprintf("%.1f mm further clockwise", mm)
	case mm <= -0.25:
		return fmt.Sprintf("%.1f mm further anticlockwise", -mm)
	}
	return ""
}

// distanceWords is the clearance to a structure as the report has it, and where along the rim.
func (s *section) distanceWords(n neighbour) string {
	said := string(n.clearance.Words()) + " mm"
	if depth, inside := strings.CutPrefix(string(n.clearance.Words()), "-"); inside {
		said = depth + " mm inside"
	}
	if where := further(n.furtherMM); where != "" && !n.inPlane(s.cut) {
		said += ", " + where
	}
	return said
}

// distanceHere is distanceWords, with what the distance is in the plane itself where that is drawn and another.
func (s *section) distanceHere(n neighbour, drawn bool) string {
	switch {
	case n.clearance.MM >= 0 && n.hereMM-n.clearance.MM < sameDistanceMM:
		return string(n.clearance.Words()) + " mm"
	case drawn:
		return fmt.Sprintf("%s; here %s mm", s.distanceWords(n), downToTenth(n.hereMM))
	}
	return s.distanceWords(n)
}

// sameDistanceMM is how little a distance may differ from another to be said as one.
const sameDistanceMM = 0.05

// outside is the body's direction in which the outward normal points, and inside its opposite.
func (s *section) outside() string { return bodyWords(s.cut.right.X, s.cut.right.Y) }
func (s *section) inside() string  { return bodyWords(-s.cut.right.X, -s.cut.right.Y) }

// bodyWords names a direction in the plane of the rim, of so much toward the feet and so much toward the front.
func bodyWords(feet, front float64) string {
	eighths := [...]string{"feet", "feet and front", "front", "front and head", "head", "head and back", "back", "back and feet"}
	turn := math.Round(math.Atan2(front, feet) / (math.Pi / 4))
	return eighths[(int(turn)+8)%8]
}

// layLabels labels what the picture shows; where there is no room for all, what a surgeon can see without.
func (s *section) layLabels() (placed Placed, err error) {
	all := s.labels()
	for _, quiet := range []bool{true, false} {
		labels := slices.DeleteFunc(slices.Clone(all), func(l Label) bool { return !quiet && l.Class == "label-quiet" })
		if placed, err = Layout(labels, LabelFrame{Left: sectionLeft, Right: sectionRight, MiddleX: middleTarget(labels)}); err == nil {
			return placed, nil
		}
	}
	return placed, err
}

func (s *section) labels() (labels []Label) {
	add := func(class string, at Point, text string) {
		if !sectionPicture.Contains(at) {
			return
		}
		labels = append(labels, Label{Lines: Fit(class, text, LabelRoomMM(sectionLeft, NoLevel), 5), Class: class, Target: at})
	}
	if runs := s.openRuns(0, s.topMM); len(runs) > 0 {
		add("label-quiet", s.paper(s.cut.surface(0.82*runs[0][1], tissueNearMM/2)), "atrial wall: the endocardium is true, the thickness not known")
	}
	add("label-quiet", s.paper(s.cut.surface(-s.tipMM*0.85, s.leafletMM()/2)), fmt.Sprintf("%s, %s mm thick", s.leafletName(), mustNumber(math.Round(10*s.leafletMM())/10)))
	add("label-quiet", s.paper(s.cut.hinge), "hinge")
	for _, m := range s.marked() {
		add("label-quiet", m.target(s), s.said(m.zone.Label))
	}
	dimensions := map[string]dimension{}
	for _, d := range s.drawnDimensions() {
		if d.of == "" {
			add("label", s.paper(d.from.Lerp(d.to, 0.5)), fmt.Sprintf("%s mm deep", mustNumber(round(d.mm))))
			continue
		}
		dimensions[d.of] = d
	}
	for _, n := range s.neighbours {
		at, ok := s.seenAt(n)
		if !ok {
			continue
		}
		d, drawn := dimensions[n.ID]
		if drawn {
			at = s.paper(d.from.Lerp(d.to, 0.5))
		}
		add("label", at, s.structureName(n.Structure)+": "+s.distanceHere(n, drawn))
	}
	return append(labels, s.needleLabels()...)
}

// needleLabels tell entry from exit.
func (s *section) needleLabels() (labels []Label) {
	for _, end := range []struct {
		word string
		t    float64
	}{{"needle in", 0}, {"needle out", 1}} {
		v := s.pass.Arc.At(end.t)
		text := end.word
		if !s.cut.liesIn(s.pass) {
			text += ", " + sided(s.cut.aheadMM(v))
		}
		labels = append(labels, Label{Lines: Fit("label-quiet", text, LabelRoomMM(sectionLeft, NoLevel), 2), Class: "label-quiet", Target: s.paper(v)})
	}
	return labels
}

func (s *section) leafletName() string {
	for _, leaf := range s.heart.Leaflets() {
		if s.heart.Rim.Span(leaf.FromMM, s.cut.alongMM) < leaf.ForMM {
			return leaf.Name + " leaflet"
		}
	}
	return "commissural leaflet tissue"
}

// furnish draws heading, words, orientation, scale, legend and footer.
func (s *section) furnish(p plate) {
	caption := fmt.Sprintf("Section across the rim at bite %s, looking anticlockwise. Scale %s : 1 both ways.", Isolate(shortBiteName(s.bite.Name)), mustNumber(s.scale))
	p.headedWith(s.Ink, mark(s.bite.Verdict), caption, p.whose(s.heart))
	s.words()
	s.beneath()
	s.layer("orientation", "orientation-and-scale")
	s.compass()
	p.scaleBar(s.Ink, Point{231, 181}, s.scale)
	s.End()
	s.legend()
	p.footer(s.Ink)
}

// compass names what is up and across on the paper.
func (s *section) compass() {
	s.compassOf(Point{46, 182}, "atrium", "ventricle", [2]string{"orifice", "(" + s.inside() + ")"}, [2]string{"outside", "(" + s.outside() + ")"})
}

// paragraph is one of the column beside the picture.
type paragraph struct {
	class, text string
	level       Level
	gapMM       float64 // above it
}

func (p paragraph) indentMM() float64 {
	if p.level == NoLevel {
		return 0
	}
	return markMM + padMM
}

func (p paragraph) lines() []string { return Fit(p.class, p.text, sectionWords.W-p.indentMM(), 12) }

func (p paragraph) heightMM() float64 { return p.gapMM + BlockHeight(p.class, len(p.lines())) }

// words says the bite, its verdict, the reasons and the advice.
func (s *section) words() {
	s.layer("words", "the-bite-in-words")
	paragraphs, y := s.paragraphs(), sectionWords.Y
	for i, b := range paragraphs {
		lines := b.lines()
		if y+b.heightMM() > sectionWords.Bottom() {
			s.TextBlock("label-quiet", sectionWords.X, y+1, AnchorStart, []string{fmt.Sprintf("… %d more: see the report", len(paragraphs)-i)})
			break
		}
		y += b.gapMM
		if b.level != NoLevel {
			s.LevelMark(b.level, Point{sectionWords.X + markMM/2, y + ascentEm*Lettering(b.class).SizeMM - capHeightEm/2*Lettering(b.class).SizeMM}, markMM)
		}
		y = s.TextBlock(b.class, sectionWords.X+b.indentMM(), y, AnchorStart, lines)
	}
	s.End()
}

// kindWords say what kind of stitch a bite is.
var kindWords = map[placement.Kind]string{placement.Single: "single bite", placement.Mattress: "mattress bite", placement.Running: "running stitch"}

func (s *section) paragraphs() []paragraph {
	paragraphs := []paragraph{
		{class: "subheading", text: "Bite " + Isolate(shortBiteName(s.bite.Name))},
		{class: "label", text: fmt.Sprintf("%s through %s, %s mm deep. %s.", sentence(kindWords[s.bite.Kind]), s.bite.Tissue, mustNumber(round(s.bite.DepthMM)), sentence(s.bite.Where.String())), gapMM: 0.6},
	}
	instead := ""
	for _, r := range s.bite.Reasons {
		class := map[placement.Level]string{placement.Clear: "label", placement.Caution: "label", placement.Avoid: "label-avoid"}[r.Level]
		paragraphs = append(paragraphs, paragraph{class: class, text: sentence(r.Text.String()) + ".", level: mark(r.Level), gapMM: 2})
		if !r.Instead.IsZero() {
			instead = r.Instead.String()
		}
	}
	if len(s.bite.Reasons) == 0 {
		paragraphs = append(paragraphs, paragraph{class: "label", text: "No rule speaks against it.", level: Clear, gapMM: 2})
	}
	if instead != "" {
		paragraphs = append(paragraphs, paragraph{class: "label-strong", text: "Instead: " + instead + ".", gapMM: 2})
	}
	return paragraphs
}

// beneath says how the needle stands to the plane, and names the neighbours that cannot be seen.
func (s *section) beneath() {
	s.layer("course", "course")
	lines := Fit("label", s.course(), sectionBeneath.W, 2)
	y := s.TextBlock("label", sectionBeneath.X, sectionBeneath.Y, AnchorStart, lines)
	s.TextBlock("label-quiet", sectionBeneath.X, y+0.6, AnchorStart, s.notMet(4-len(lines)))
	s.End()
}

// notMet names the neighbours the cut does not show, nearest first: as many as fit so many lines, and how many more
// there are.
func (s *section) notMet(lines int) []string {
	var said []string
	for _, n := range s.neighbours {
		if !s.shown(n) {
			said = append(said, s.structureName(n.Structure)+", "+s.distanceWords(n))
		}
	}
	for named := len(said); named > 0; named-- {
		text := "Not met by this cut: " + strings.Join(said[:named], "; ")
		if more := len(said) - named; more > 0 {
			text += fmt.Sprintf("; %d more farther off", more)
		}
		if wrapped := Fit("label-quiet", text+".", sectionBeneath.W, lines+1); len(wrapped) <= lines {
			return wrapped
		}
	}
	return nil
}

// legend explains what is drawn here, and nothing else.
func (s *section) legend() {
	s.layer("legend", "legend")
	x, y := 92.0, 175.5
	next := func(draw func(at Point), text string) {
		width := 9 + MeasureIn("legend", text) + 4
		if x+width > 229 {
			x, y = 92, y+5.6
		}
		draw(Point{x + 3, y - 1.2})
		s.Text("legend", x+8, y, AnchorStart, text)
		x += width
	}
	swatch := func(class string) func(Point) {
		return func(at Point) { s.Rect(class, Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }
	}
	true_ := s.cut.liesIn(s.pass)
	next(func(at Point) {
		s.smoothLine("thread-hidden", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0}))
		s.Circle("needle-entry", at.Plus(Point{-3, 0}), 0.75)
		s.Circle("needle-exit", at.Plus(Point{3, 0}), 0.75)
	}, map[bool]string{true: "needle in, out", false: "needle in, out (projected)"}[true_])
	next(func(at Point) { s.Circle("needle-area", at, 1.5) }, map[bool]string{true: "at its width", false: "through the plane"}[true_])
	next(func(at Point) { s.Line("measure", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})) }, "mm in this plane")
	for _, kind := range []struct {
		class, text string
		is          func(atlas.Structure) bool
	}{
		{"node-area", "conduction axis", func(n atlas.Structure) bool { return n.Kind == atlas.Conduction && !lessCommon(n) }},
		{"bundle-low-area", "bundle, less common way", lessCommon},
		{"coronary-area", "artery", func(n atlas.Structure) bool { return n.Kind == atlas.Coronary || n.Kind == atlas.NodalArtery }},
		{"aorta-area", "aortic root", func(n atlas.Structure) bool { return n.Kind == atlas.Aorta }},
	} {
		if slices.ContainsFunc(s.neighbours, func(n neighbour) bool { return kind.is(n.Structure) && s.shown(n) }) {
			next(swatch(kind.class), kind.text)
		}
	}
	s.End()
}
