package svgout

import (
	"slices"
	"strings"
	"unicode/utf8"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// buildLessons are the lessons of the build, in the order they are taught. A quiz asks before it shows.
func (s *Slides) buildLessons() (lessons []lesson) {
	groups := s.biteGroups()
	seen := []lesson{s.anatomyLesson(), s.leafletLesson(), s.landmarkLesson()}
	beneath := slices.Concat(s.triangleLessons(), s.axisLessons(), s.neighbourLessons(), s.zoneLessons())
	sewn := append(s.deviceLessons(), s.lineLessons()...)
	levels := s.biteLessons(groups)
	whole := s.wholeLesson()
	if !s.options.Quiz {
		return slices.Concat(seen, beneath, sewn, levels, []lesson{whole})
	}
	asked := s.questions(groups)
	for i := range levels {
		levels[i].adds = levels[i].adds[1:] // the bites stand there since they were asked about
	}
	return slices.Concat(seen, asked, beneath, sewn, levels, []lesson{whole})
}

func (s *Slides) anatomyLesson() lesson {
	l := lesson{
		adds:    []string{"wall", "leaflets", "septum", "rim", "orientation"},
		caption: s.say("slides.anatomy.caption", words.Blanks{"habit": s.Habit.said()}),
		say:     sentences(s.say("slides.anatomy.say", words.Blanks{"habit": s.Habit.said()}), s.said(s.Habit.sense())),
		figures: []string{"rim-length", "rim-long-axis", "rim-short-axis", "rim-area", "saddle-height"},
	}
	plan := s.report.Laid.Plan
	l.words.foot = s.caution()
	if s.options.Quiz {
		l.words.remark = &remark{heading: s.say("slides.quiz.heading"), paragraphs: s.withSense(s.say("slides.quiz.order"))}
		return l
	}
	l.words.remark = &remark{heading: plan.Case, paragraphs: s.withSense(s.say("slides.operation", words.Blanks{"operation": plan.Operation.Said()}))}
	if whose := s.whose(s.report.Laid.Heart); whose != "" {
		l.words.remark.paragraphs = append(l.words.remark.paragraphs, whose)
	}
	return l
}

// withSense is a paragraph, and another on which way round the rim runs where the picture is mirrored.
func (s *Slides) withSense(paragraph string) []string {
	if sense := s.Habit.sense(); !sense.IsZero() {
		return []string{paragraph, s.said(sense)}
	}
	return []string{paragraph}
}

func (s *Slides) leafletLesson() lesson {
	a, heart := s.anatomyOn(nil), s.report.Laid.Heart
	l := lesson{
		adds:    []string{"landmarks"},
		caption: s.say("slides.leaflets.caption"),
		say:     s.say("slides.leaflets.say"),
		figures: []string{"anterior-segment", "posterior-segment", "septal-segment", "leaflet-height", "leaflet-thickness"},
	}
	meet := a.paper(a.meeting())
	for _, leaf := range heart.Leaflets() {
		hinge := a.paper(heart.Rim.At(leaf.FromMM + leaf.ForMM/2))
		l.words.label(s.said(leaf.Said()), hinge.Plus(meet.Minus(hinge).Times(0.45)))
	}
	s.labelLandmarks(&l, "anteroseptal-commissure", "anteroposterior-commissure", "posteroseptal-commissure")
	return l
}

func (s *Slides) landmarkLesson() lesson {
	a, heart := s.anatomyOn(nil), s.report.Laid.Heart
	l := lesson{
		adds:    []string{"tendon-line"},
		caption: s.say("slides.landmarks.caption"),
		say:     s.say("slides.landmarks.say"),
		figures: []string{"ostium-craniocaudal", "ostium-transverse", "ostium-to-hinge", "fossa-from-hinge"},
	}
	for _, id := range []atlas.ZoneID{atlas.Ostium, atlas.Fossa} {
		s.labelZone(&l, id)
	}
	t := heart.Triangle
	share := 0.72
	l.words.label(s.say("name.tendon-line"), a.paper(heart.Chart.Frame(atlas.Spot{AlongMM: t.Apex.AlongMM + share*(t.Tendon.AlongMM-t.Apex.AlongMM), OffMM: share * t.Tendon.OffMM})))
	return l
}

func (s *Slides) triangleLessons() []lesson {
	l := lesson{
		adds:    []string{"triangle-ground", "triangle"},
		caption: s.say("slides.triangle.caption"),
		say:     s.say("slides.triangle.say"),
		figures: []string{"triangle-hinge-side", "triangle-tendon-side", "triangle-base-side", "triangle-apex-offset"},
	}
	if s.report.Laid.Heart.Variant != nil {
		l.caption = s.say("slides.triangle-malformed.caption")
		l.say = s.say("slides.triangle-malformed.say")
	}
	s.labelZone(&l, atlas.ApicalHalf)
	s.labelZone(&l, atlas.BasalHalf)
	return l.ifLabelled()
}

func (s *Slides) axisLessons() []lesson {
	l := lesson{
		adds:    []string{"conduction"},
		caption: s.say("slides.axis.caption"),
		say:     s.say("slides.axis.say"),
		figures: []string{"node-length", "node-width", "node-depth", "bundle-calibre", "bundle-depth-entry", "bundle-apical-share", "right-extension", "left-extension", "conduction-position-spread", "nodal-artery-depth"},
	}
	s.labelStructures(&l, atlas.Conduction, atlas.NodalArtery)
	return l.ifLabelled()
}

func (s *Slides) neighbourLessons() []lesson {
	l := lesson{
		adds:    []string{"neighbours"},
		caption: s.say("slides.neighbours.caption"),
		say:     s.say("slides.neighbours.say"),
		figures: []string{"coronary-mid-anterior", "coronary-anteroposterior", "coronary-mid-posterior", "coronary-calibre", "aortic-root-distance", "aortic-root-radius"},
	}
	s.labelStructures(&l, atlas.Coronary, atlas.Aorta)
	return l.ifLabelled()
}

func (s *Slides) zoneLessons() []lesson {
	l := lesson{
		adds:    []string{"zone-grounds", "zones"},
		caption: s.say("slides.zones.caption"),
		say:     s.say("slides.zones.say"),
		figures: []string{"fibrous-body-along", "fibrous-body-up", "ventricular-side-along", "ventricular-side-down"},
	}
	if s.report.Laid.Heart.Variant != nil {
		l.caption, l.say = s.say("slides.zones-malformed.caption"), s.say("slides.zones-malformed.say")
	}
	for _, zone := range s.report.Laid.Heart.Zones {
		if zone.ID == atlas.FibrousBody || zone.ID == atlas.VentricularSide || ownZone(zone.ID) {
			s.labelZone(&l, zone.ID)
		}
	}
	return l.ifLabelled()
}

func (s *Slides) deviceLessons() []lesson {
	first, last, closed, there := s.heldByDevice()
	if !there {
		return nil
	}
	var before, holds float64
	for _, i := range s.report.Outcome.Intervals {
		if i.Step == placement.SewDevice {
			before, holds = before+i.BeforeMM, holds+i.HoldsMM
		}
	}
	a := s.anatomyOn(nil)
	l := lesson{
		adds:    []string{"device"},
		caption: s.say("slides.device.band"),
		say:     s.say("slides.device.say"),
	}
	if closed {
		l.caption = s.say("slides.device.ring")
	}
	l.words.remark = &remark{
		heading: s.say("slides.device.heading"), pointed: true, at: a.paper(a.heart.Rim.At(first + (last-first)/3)),
		paragraphs: []string{s.say("slides.device.sewn", words.Blanks{"before": words.Fixed(before, 0), "holds": words.Fixed(holds, 0)})},
	}
	return []lesson{l}
}

// lineLessons teach the suture line of a replacement: the line, then each thing the rules find in it.
func (s *Slides) lineLessons() (lessons []lesson) {
	line := s.report.Line
	if line == nil {
		return nil
	}
	a := s.anatomyOn(nil)
	l := lesson{
		adds:    []string{"line"},
		caption: s.say("slides.line.caption", words.Blanks{"mm": words.Fixed(line.LengthMM, 0)}),
		say:     sentences(s.say("slides.line.say"), s.said(s.Habit.sense())),
	}
	l.words.remark = &remark{heading: s.say("slides.line.heading"), pointed: true, at: a.lineTarget(line)}
	for _, side := range line.Sides {
		if side.ID == "coronary-sinus-ostium" || side.ID == "node" || side.ID == "bundle" {
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, sentence(s.say("slides.line.side", words.Blanks{"what": side.Label, "lies": side.LiesSaid()})))
		}
	}
	lessons = append(lessons, l)
	for _, r := range worstFirst(line.Reasons) {
		if r.Level == placement.Clear {
			continue
		}
		lessons = append(lessons, lesson{
			caption: s.say("slides.line.found", words.Blanks{"level": levelPhrase(r.Level), "matter": s.matter(r)}),
			say:     s.say("slides.line.found-say"),
			reasons: []placement.Reason{r},
			words:   slideWords{remark: s.remarkOn(r, a.lineTarget(line))},
		})
	}
	return lessons
}

// biteLessons teach the bites group by group.
func (s *Slides) biteLessons(groups []biteGroup) (lessons []lesson) {
	for i, g := range groups {
		worst := g.worst()
		at := stitches{anatomy: s.anatomyOn(nil)}.middle(worst)
		l := lesson{adds: []string{g.layer(i), g.levelLayer(i)}, bites: g.bites}
		if g.level == placement.Clear {
			l.caption = sentence(s.say("slides.bites.clear", words.Blanks{"segment": g.segment.Said(), "bites": g.counted()}))
			l.say = s.say("slides.bites.clear-say")
			l.words.remark = &remark{level: Clear, heading: sentence(s.said(Clear.Said())), pointed: true, at: at, paragraphs: s.listed(g)}
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, s.nearest(g))
		} else {
			l.caption = s.captionOf(g)
			l.say = s.say("slides.bites.found-say")
			l.words.remark = s.remarkOnBites(g, at)
		}
		lessons = append(lessons, l)
	}
	return lessons
}

// captionOf says of bites that are not clear what their level is, and why.
func (s *Slides) captionOf(g biteGroup) string {
	level, matter := levelPhrase(g.level), s.matter(decisive(g.worst()))
	if len(g.bites) > 1 {
		return sentence(s.say("slides.bites.found-several", words.Blanks{"segment": g.segment.Said(), "n": len(g.bites), "level": level, "matter": matter}))
	}
	return s.say("slides.bites.found", words.Blanks{"bite": slideName(g.worst()), "level": level, "matter": matter})
}

func (g biteGroup) worst() placement.BiteReport {
	return slices.MinFunc(g.bites, func(a, b placement.BiteReport) int {
		switch {
		case a.Nearest.MM < b.Nearest.MM:
			return -1
		case a.Nearest.MM > b.Nearest.MM:
			return 1
		}
		return 0
	})
}

// counted names a bite alone, and says of several how many they are.
func (g biteGroup) counted() words.Said {
	switch {
	case len(g.bites) == 1 && g.bites[0].Kind == placement.Running:
		return words.Of("slides.bites.running", words.Blanks{"bite": slideName(g.bites[0])})
	case len(g.bites) == 1:
		return words.Of("slides.bites.one", words.Blanks{"bite": slideName(g.bites[0])})
	}
	return words.Of("slides.bites.several", words.Blanks{"n": len(g.bites)})
}

// nearest says which of the bites comes nearest to what.
func (s *Slides) nearest(g biteGroup) string {
	worst := g.worst()
	mm, what := words.Number(worst.Nearest.Words()), worst.Nearest.Label
	if len(g.bites) == 1 {
		return s.say("slides.bites.nearest", words.Blanks{"mm": mm, "what": what})
	}
	return s.say("slides.bites.nearest-of", words.Blanks{"bite": slideName(worst), "mm": mm, "what": what})
}

// listed names several bites, in a paragraph; one alone stands in the caption.
func (s *Slides) listed(g biteGroup) []string {
	if len(g.bites) == 1 {
		return nil
	}
	return []string{s.say("slides.bites.listed", words.Blanks{"names": g.names()})}
}

// names lists the bites, or where there are many the first and the last.
func (g biteGroup) names() words.Said {
	const most = 10
	var names []words.Said
	for _, b := range g.bites {
		names = append(names, words.Text(slideName(b)))
	}
	if len(names) > most {
		return words.Of("slides.bites.names", words.Blanks{"first": names[0], "last": names[len(names)-1], "n": len(names)})
	}
	return words.Commas(names...)
}

// slideName is a bite's name as long as a slide has room for.
func slideName(b placement.BiteReport) string {
	f := Lettering("slide-text")
	return Isolate(Clip(clean(b.Name), slideRight.W*0.6, f.SizeMM, f.Bold))
}

// remarkOnBites says why bites have their level, as the worst of them has it: the worst reason, what to do instead, then
// the other reasons.
func (s *Slides) remarkOnBites(g biteGroup, at Point) *remark {
	r := &remark{level: mark(g.level), heading: sentence(s.said(g.level.Said())), pointed: true, at: at}
	var why, instead []string
	for _, reason := range worstFirst(g.worst().Reasons) {
		if reason.Level > placement.Clear {
			why = append(why, s.briefly(reason.Text))
		}
		if said := s.brieflyInstead(reason); said != "" && !slices.Contains(instead, said) {
			instead = append(instead, said)
		}
	}
	r.paragraphs = slices.Concat(s.listed(g), why[:1], instead, why[1:])
	return r
}

func (s *Slides) remarkOn(reason placement.Reason, at Point) *remark {
	r := &remark{level: mark(reason.Level), heading: sentence(s.said(reason.Level.Said())), pointed: true, at: at, paragraphs: []string{s.briefly(reason.Text)}}
	if said := s.brieflyInstead(reason); said != "" {
		r.paragraphs = append(r.paragraphs, said)
	}
	return r
}

// briefly is a finding as short as a slide wants it, as a sentence; the notes have it whole.
func (s *Slides) briefly(found words.Said) string { return wholeSentence(s.clause(found)) }

// clause is the gist of a finding, and of a long one what stands before its list.
func (s *Slides) clause(found words.Said) string {
	const long = 110
	text := s.gist(found)
	if utf8.RuneCountInString(text) > long {
		text, _, _ = strings.Cut(text, ": ")
	}
	return text
}

// brieflyInstead is the first clause of what to do instead, as a sentence; empty where there is nothing.
func (s *Slides) brieflyInstead(r placement.Reason) string {
	if r.Instead.IsZero() {
		return ""
	}
	first, _, _ := strings.Cut(s.gist(r.Instead), ";")
	return s.say("finding.instead", words.Blanks{"instead": strings.TrimSuffix(first, ".")})
}

func worstFirst(reasons []placement.Reason) []placement.Reason {
	reasons = slices.Clone(reasons)
	slices.SortStableFunc(reasons, func(a, b placement.Reason) int { return int(b.Level) - int(a.Level) })
	return reasons
}

// levelPhrase is a level in the middle of a caption.
func levelPhrase(level placement.Level) words.Said {
	return words.Of("slides.level." + level.String())
}

// matter is what a reason is about: what its rule is called, or of a zone in a malformed heart, where it lies elsewhere and
// is called otherwise, what was found.
func (s *Slides) matter(r placement.Reason) words.Said {
	rule := s.report.Rules.Rule(r.Rule)
	ofZone := slices.Contains([]atlas.ZoneID{atlas.ApicalHalf, atlas.BasalHalf, atlas.VentricularSide, atlas.FibrousBody}, atlas.ZoneID(r.Rule))
	if ofZone && s.report.Laid.Heart.Variant != nil || rule.ID == "" {
		return words.Text(strings.TrimSuffix(s.clause(r.Text), "."))
	}
	return rule.Called()
}

// wholeLesson is the complete picture.
func (s *Slides) wholeLesson() lesson {
	var count [3]int
	l := lesson{
		caption: s.say("slides.whole.caption"),
		say:     s.say("slides.whole.say", words.Blanks{"level": s.report.Verdict.Said()}),
	}
	st := stitches{anatomy: s.anatomyOn(nil)}
	for _, b := range s.report.Bites {
		count[b.Verdict]++
		if b.Verdict > placement.Clear {
			l.words.labels = append(l.words.labels, labelOn(st.middle(b), s.say("slides.bite", words.Blanks{"bite": slideName(b)}), mark(b.Verdict)))
		}
	}
	if len(s.report.Bites) > 0 {
		l.caption = s.say("slides.whole.counted", words.Blanks{"clear": count[placement.Clear], "caution": count[placement.Caution], "avoid": count[placement.Avoid]})
	}
	if len(l.words.labels) == 0 {
		l.words.remark = s.verdictRemark()
	}
	return l
}

// verdictRemark says the verdict of a plan whose bites leave nothing to point at.
func (s *Slides) verdictRemark() *remark {
	r := &remark{level: mark(s.report.Verdict), heading: sentence(s.said(s.report.Verdict.Said())), paragraphs: []string{s.say("slides.whole.verdict")}}
	if o := s.report.Outcome; o != nil && o.Verdict > placement.Clear {
		r.paragraphs = append(r.paragraphs, s.say("slides.whole.because"))
	}
	return r
}

// questions are asked on what can be seen at operation.
func (s *Slides) questions(groups []biteGroup) (asked []lesson) {
	asked = append(asked, lesson{
		caption: s.say("slides.quiz.axis"),
		say:     s.say("slides.quiz.axis-say"),
		words:   slideWords{remark: &remark{heading: s.say("slides.quiz.turn"), paragraphs: []string{s.say("slides.quiz.point"), s.say("slides.quiz.why")}}},
	})
	if len(groups) == 0 {
		return asked
	}
	q := lesson{
		caption: s.say("slides.quiz.bites"),
		say:     s.say("slides.quiz.bites-say"),
	}
	st := stitches{anatomy: s.anatomyOn(nil)}
	for i, g := range groups {
		q.adds = append(q.adds, g.layer(i))
	}
	for _, b := range s.report.Bites {
		q.words.labels = append(q.words.labels, labelOn(st.middle(b), slideName(b), NoLevel))
	}
	return append(asked, q)
}

// repairLessons compare the valve before and after, and say what the rules find in it.
func (s *Slides) repairLessons() (lessons []lesson) {
	o := s.report.Outcome
	if o == nil {
		return nil
	}
	l := lesson{
		adds:    []string{"before", "after", "stitches-after", "given-up"},
		caption: s.say("slides.repair.caption"),
		say:     s.say("slides.repair.say"),
	}
	l.words.remark = &remark{heading: s.say("slides.repair.heading"), level: mark(o.Verdict)}
	for _, name := range []string{"rim-length", "rim-area", "rim-short-axis"} {
		if size, known := o.Size(name); known {
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, sentence(s.said(beforeAndAfter(size))))
		}
	}
	l.words.remark.paragraphs = append(l.words.remark.paragraphs, s.say("slides.repair.key"))
	lessons = append(lessons, l)
	for _, r := range worstFirst(o.Reasons) {
		if r.Level == placement.Clear {
			continue
		}
		found := s.remarkOn(r, Point{})
		found.pointed = false
		lessons = append(lessons, lesson{
			caption: s.say("slides.repair.found", words.Blanks{"level": levelPhrase(r.Level), "matter": s.matter(r)}),
			say:     s.say("slides.repair.found-say"),
			reasons: []placement.Reason{r},
			words:   slideWords{remark: found},
		})
	}
	return lessons
}

// beforeAndAfter says a size before the repair and after.
func beforeAndAfter(size placement.Size) words.Said {
	return words.Of("slides.repair.sizes."+size.Unit, words.Blanks{
		"what": size.Label, "before": words.Number(sized(size.Before, size.Unit)), "after": words.Number(sized(size.After, size.Unit)),
	})
}

// label names a place in the picture.
func (w *slideWords) label(text string, at Point) {
	w.labels = append(w.labels, labelOn(at, text, NoLevel))
}

func (s *Slides) labelLandmarks(l *lesson, ids ...string) {
	for _, id := range ids {
		if landmark, ok := s.report.Laid.Heart.Landmark(id); ok {
			l.words.label(s.said(landmark.Label), s.camera.paper(landmark.Frame))
		}
	}
}

// labelZone names a zone where it is seen best; a heart without it has no label.
func (s *Slides) labelZone(l *lesson, id atlas.ZoneID) {
	a := s.anatomyOn(nil)
	if zone, ok := a.heart.Zone(id); ok {
		along, up := a.seenBest(id)
		l.words.label(s.said(zone.Label), a.placeIn(zone, along, up))
	}
}

func (s *Slides) labelStructures(l *lesson, kinds ...atlas.Kind) {
	a, named := s.anatomyOn(nil), map[string]bool{}
	for _, structure := range a.heart.Structures {
		if !slices.Contains(kinds, structure.Kind) {
			continue
		}
		if at, text, ok := a.structureLabel(structure); ok && !named[text] {
			l.words.label(text, at)
			named[text] = true
		}
	}
}

// ifLabelled leaves a lesson out that has nothing to show in this heart.
func (l lesson) ifLabelled() []lesson {
	if len(l.words.labels) == 0 {
		return nil
	}
	return []lesson{l}
}
