package svgout

import (
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

func (s *section) title(p plate) string {
	return s.say("section.title", words.Blanks{"case": p.report.Laid.Plan.Case, "bite": s.bite.Name})
}

// describe tells a reader who cannot see the plate what it shows.
func (s *section) describe(p plate) string {
	told := []string{s.orientation(p), s.said(s.sense()), s.biteInOne()}
	for _, r := range s.bite.Reasons {
		told = append(told, sentence(s.said(r.Text))+".", s.instead(r))
	}
	told = append(told, s.course())
	for _, m := range s.marked() {
		told = append(told, s.say("section.crosses", words.Blanks{"zone": m.zone.Label, "from": words.Fixed(m.from, 1), "to": words.Fixed(m.to, 1)}))
	}
	for _, n := range s.neighbours {
		told = append(told, sentence(s.said(s.metOrNot(n))))
	}
	return sentences(append(told, s.say("section.thickness"), s.said(placement.Care()))...)
}

// orientation says where on the paper what lies, and the scale.
func (s *section) orientation(p plate) string {
	out, in := s.cut.right, s.cut.right.Scale(-1)
	return s.say("section.orientation", words.Blanks{
		"bite": s.bite.Name, "habit": s.Habit.said(), "scale": decimal(s.scale),
		"atrium": p.where(s.cut.up), "ventricle": p.where(s.cut.up.Scale(-1)),
		"outside": p.where(out), "outward": bodyWords(out), "orifice": p.where(in), "inward": bodyWords(in),
	})
}

// sense says what a mirrored section is: the same plane from its other side. Nothing for other readers.
func (s *section) sense() words.Said {
	if !s.Habit.Mirrored {
		return words.Said{}
	}
	return words.Of("section.mirrored")
}

// biteInOne tells the bite and its level in one sentence.
func (s *section) biteInOne() string {
	return s.say("section.bite", words.Blanks{
		"bite": s.bite.Name, "kind": words.Of("section.kind." + string(s.bite.Kind)), "tissue": s.bite.Tissue.Said(),
		"where": s.bite.Where, "depth": decimal(s.bite.DepthMM), "level": s.bite.Verdict.Said(),
	})
}

// metOrNot says how far a neighbour is, and whether it can be seen.
func (s *section) metOrNot(n neighbour) words.Said {
	if s.shown(n) {
		return words.Of("section.met", words.Blanks{"structure": s.structureName(n.Structure), "distance": s.distanceWords(n)})
	}
	return words.Of("section.not-met.described", words.Blanks{"structure": s.structureName(n.Structure), "distance": s.distanceWords(n)})
}

// course says how the needle stands to the plane.
func (s *section) course() string { return sentences(s.said(s.needleCourse()), s.said(s.whichPass())) }

func (s *section) needleCourse() words.Said {
	from, to := s.cut.aheadMM(s.pass.Arc.At(0)), s.cut.aheadMM(s.pass.Arc.At(1))
	switch {
	case s.cut.liesIn(s.pass):
		return words.Of("section.course.in-plane", words.Blanks{"mm": decimal(inPlaneMM)})
	case math.Abs(to-from) > 2*math.Abs(s.cut.flat(s.pass.Arc.At(1)).X-s.cut.flat(s.pass.Arc.At(0)).X):
		return words.Of("section.course.across", words.Blanks{"from": sided(from), "to": sided(to)})
	}
	return words.Of("section.course.aslant", words.Blanks{"from": sided(from), "to": sided(to)})
}

// whichPass says of a bite with several passes which the plane was laid through.
func (s *section) whichPass() words.Said {
	switch n := len(s.bite.Passes); {
	case n == 2 && s.bite.Kind == placement.Mattress:
		return words.Of("section.course.second-arm", words.Blanks{"first": sided(s.cut.aheadMM(s.bite.Passes[0].Arc.At(0.5)))})
	case n > 1:
		return words.Of("section.course.pass", words.Blanks{"pass": n/2 + 1, "passes": n})
	}
	return words.Said{}
}

// sided says how far from the plane something lies, and on which side.
func sided(aheadMM float64) words.Said {
	switch {
	case aheadMM >= 0.05:
		return words.Of("section.off.clockwise", words.Blanks{"mm": words.Fixed(aheadMM, 1)})
	case aheadMM <= -0.05:
		return words.Of("section.off.anticlockwise", words.Blanks{"mm": words.Fixed(-aheadMM, 1)})
	}
	return words.Of("section.off.none")
}

// further says where along the rim a structure comes nearest, when that is not in the plane.
func further(mm float64) words.Said {
	switch {
	case mm >= 0.25:
		return words.Of("section.further.clockwise", words.Blanks{"mm": words.Fixed(mm, 1)})
	case mm <= -0.25:
		return words.Of("section.further.anticlockwise", words.Blanks{"mm": words.Fixed(-mm, 1)})
	}
	return words.Said{}
}

// distanceWords is the clearance to a structure as the report has it, and where along the rim.
func (s *section) distanceWords(n neighbour) words.Said {
	distance := words.Of("section.distance.clear", words.Blanks{"mm": n.clearance.Words()})
	if depth, inside := strings.CutPrefix(string(n.clearance.Words()), "-"); inside {
		distance = words.Of("section.distance.inside", words.Blanks{"mm": words.Number(depth)})
	}
	if where := further(n.furtherMM); !where.IsZero() && !n.inPlane(s.cut) {
		return words.Commas(distance, where)
	}
	return distance
}

// distanceHere is distanceWords, with what the distance is in the plane itself where that is drawn and another.
func (s *section) distanceHere(n neighbour, drawn bool) words.Said {
	switch {
	case n.clearance.MM >= 0 && n.hereMM-n.clearance.MM < sameDistanceMM:
		return words.Of("section.distance.clear", words.Blanks{"mm": n.clearance.Words()})
	case drawn:
		return words.Of("section.distance.here", words.Blanks{"distance": s.distanceWords(n), "mm": downToTenth(n.hereMM)})
	}
	return s.distanceWords(n)
}

// sameDistanceMM is how little a distance may differ from another to be said as one.
const sameDistanceMM = 0.05

// bodyWords names a direction of the frame that lies in the plane of the rim by where in the body it leads.
func bodyWords(v geom.Vec) words.Said {
	toHead, toFeet, toFront, toBack := words.Of("way.head"), words.Of("way.feet"), words.Of("way.front"), words.Of("way.back")
	eighths := [...]words.Said{
		toFeet, words.And(toFeet, toFront), toFront, words.And(toFront, toHead),
		toHead, words.And(toHead, toBack), toBack, words.And(toBack, toFeet),
	}
	turn := math.Round(math.Atan2(v.Dot(front), v.Dot(feet)) / (math.Pi / 4))
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
		labels = append(labels, Label{Lines: Fit(class, text, LabelRoomMM(sectionLeft, NoLevel), 6), Class: class, Target: at})
	}
	if runs := s.openRuns(0, s.topMM); len(runs) > 0 {
		add("label-quiet", s.paper(s.cut.surface(0.82*runs[0][1], tissueNearMM/2)), s.say("section.label.wall"))
	}
	thick := decimal(math.Round(10*s.leafletMM()) / 10)
	add("label-quiet", s.paper(s.cut.surface(-s.tipMM*0.85, s.leafletMM()/2)), s.say("section.label.leaflet", words.Blanks{"leaflet": s.leafletName(), "mm": thick}))
	add("label-quiet", s.paper(s.cut.hinge), s.say("section.label.hinge"))
	for _, m := range s.marked() {
		add("label-quiet", m.target(s), s.said(m.zone.Label))
	}
	dimensions := map[string]dimension{}
	for _, d := range s.drawnDimensions() {
		if d.of == "" {
			add("label", s.paper(d.from.Lerp(d.to, 0.5)), s.say("section.label.deep", words.Blanks{"mm": decimal(d.mm)}))
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
		add("label", at, s.say("section.label.structure", words.Blanks{"structure": s.structureName(n.Structure), "distance": s.distanceHere(n, drawn)}))
	}
	return append(labels, s.needleLabels()...)
}

// needleLabels tell entry from exit.
func (s *section) needleLabels() (labels []Label) {
	for _, end := range []struct {
		word words.Said
		t    float64
	}{{words.Of("section.label.needle-in"), 0}, {words.Of("section.label.needle-out"), 1}} {
		v, word := s.pass.Arc.At(end.t), end.word
		if !s.cut.liesIn(s.pass) {
			word = words.Commas(word, sided(s.cut.aheadMM(v)))
		}
		labels = append(labels, Label{Lines: Fit("label-quiet", s.said(word), LabelRoomMM(sectionLeft, NoLevel), 3), Class: "label-quiet", Target: s.paper(v)})
	}
	return labels
}

func (s *section) leafletName() words.Said {
	for _, leaf := range s.heart.Leaflets() {
		if s.heart.Rim.Span(leaf.FromMM, s.cut.alongMM) < leaf.ForMM {
			return leaf.Said()
		}
	}
	return words.Of("section.commissural")
}

// furnish draws heading, words, orientation, scale, legend and footer.
func (s *section) furnish(p plate) {
	caption, also := s.caption(p)
	p.headedWith(s.Ink, mark(s.bite.Verdict), caption, sentences(also, s.said(s.sense()), p.whose(s.heart)))
	s.words()
	s.beneath()
	s.layer("orientation", "orientation-and-scale")
	s.compass()
	p.scaleBar(s.Ink, Point{231, 181}, s.scale)
	s.End()
	s.legend()
	p.footer(s.Ink)
}

// caption says what the view is and how it is scaled, and what of that there is no room for in one line.
func (s *section) caption(p plate) (caption, also string) {
	bite := Isolate(shortBiteName(s.bite.Name))
	whole := s.say("section.caption", words.Blanks{"bite": bite, "habit": s.Habit.said(), "scale": decimal(s.scale)})
	if p.captioned(whole) {
		return whole, ""
	}
	return s.say("section.caption-short", words.Blanks{"bite": bite, "habit": s.Habit.said(), "scale": decimal(s.scale)}), s.say("section.looking")
}

// captioned tells whether there is room for a caption in one line.
func (p plate) captioned(caption string) bool { return MeasureIn("caption", caption) <= p.page.W-16 }

// compass names where on the paper atrium, ventricle, orifice and outside lie.
func (s *section) compass() {
	toward := func(v geom.Vec) string { return s.say("section.compass.toward", words.Blanks{"way": bodyWords(v)}) }
	out, in, up, down := s.cut.right, s.cut.right.Scale(-1), s.cut.up, s.cut.up.Scale(-1)
	arms := [4]crossArm{
		{s.onPaper(up), []string{s.say("section.compass.atrium")}},
		{s.onPaper(down), []string{s.say("section.compass.ventricle")}},
		{s.onPaper(in), []string{s.say("section.compass.orifice"), toward(in)}},
		{s.onPaper(out), []string{s.say("section.compass.outside"), toward(out)}},
	}
	s.cross(compassPlace(46, s.Habit, arms), arms)
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
			s.TextBlock("label-quiet", sectionWords.X, y+1, AnchorStart, []string{s.say("section.words.more", words.Blanks{"n": len(paragraphs) - i})})
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

func (s *section) paragraphs() []paragraph {
	bite := s.say("section.words.bite", words.Blanks{"kind": s.bite.Kind.Said(), "tissue": s.bite.Tissue.Said(), "mm": decimal(s.bite.DepthMM)})
	paragraphs := []paragraph{
		{class: "subheading", text: s.say("section.words.heading", words.Blanks{"bite": Isolate(shortBiteName(s.bite.Name))})},
		{class: "label", text: sentences(sentence(bite), sentence(s.said(s.bite.Where))+"."), gapMM: 0.6},
	}
	instead := ""
	for _, r := range s.bite.Reasons {
		class := map[placement.Level]string{placement.Clear: "label", placement.Caution: "label", placement.Avoid: "label-avoid"}[r.Level]
		paragraphs = append(paragraphs, paragraph{class: class, text: sentence(s.said(r.Text)) + ".", level: mark(r.Level), gapMM: 2})
		if said := s.instead(r); said != "" {
			instead = said
		}
	}
	if len(s.bite.Reasons) == 0 {
		paragraphs = append(paragraphs, paragraph{class: "label", text: s.say("section.words.nothing"), level: Clear, gapMM: 2})
	}
	if instead != "" {
		paragraphs = append(paragraphs, paragraph{class: "label-strong", text: instead, gapMM: 2})
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
	var unseen []words.Said
	for _, n := range s.neighbours {
		if !s.shown(n) {
			unseen = append(unseen, words.Of("section.not-met.structure", words.Blanks{"structure": s.structureName(n.Structure), "distance": s.distanceWords(n)}))
		}
	}
	for named := len(unseen); named > 0; named-- {
		text := s.say("section.not-met.all", words.Blanks{"structures": words.Semicolons(unseen[:named]...)})
		if more := len(unseen) - named; more > 0 {
			text = s.say("section.not-met.nearest", words.Blanks{"structures": words.Semicolons(unseen[:named]...), "n": more})
		}
		if wrapped := Fit("label-quiet", text, sectionBeneath.W, lines+1); len(wrapped) <= lines {
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
	needle, width := words.Of("section.legend.needle-projected"), words.Of("section.legend.through")
	if s.cut.liesIn(s.pass) {
		needle, width = words.Of("section.legend.needle"), words.Of("section.legend.width")
	}
	next(func(at Point) {
		s.smoothLine("thread-hidden", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0}))
		s.Circle("needle-entry", at.Plus(Point{-3, 0}), 0.75)
		s.Circle("needle-exit", at.Plus(Point{3, 0}), 0.75)
	}, s.said(needle))
	next(func(at Point) { s.Circle("needle-area", at, 1.5) }, s.said(width))
	next(func(at Point) { s.Line("measure", at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})) }, s.say("section.legend.measure"))
	for _, kind := range []struct {
		class string
		text  words.Said
		is    func(atlas.Structure) bool
	}{
		{"node-area", words.Of("section.legend.axis"), func(n atlas.Structure) bool { return n.Kind == atlas.Conduction && !lessCommon(n) }},
		{"bundle-low-area", words.Of("legend.bundle-low"), lessCommon},
		{"coronary-area", words.Of("section.legend.artery"), func(n atlas.Structure) bool { return n.Kind == atlas.Coronary || n.Kind == atlas.NodalArtery }},
		{"aorta-area", words.Of("structure.aortic-root"), func(n atlas.Structure) bool { return n.Kind == atlas.Aorta }},
	} {
		if slices.ContainsFunc(s.neighbours, func(n neighbour) bool { return kind.is(n.Structure) && s.shown(n) }) {
			next(swatch(kind.class), s.said(kind.text))
		}
	}
	s.End()
}
