package svgout

import (
	"fmt"
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
		caption: "The tricuspid valve in the opened right atrium.",
		say: "This is how the surgeon sees the valve. Head, feet, front and back are named at the lower left and stay there. " +
			"Lengths are in proportion in the plane of the rim; up the walls they are shortened. Every slide adds to this one picture.",
		figures: []string{"rim-length", "rim-long-axis", "rim-short-axis", "rim-area", "saddle-height"},
	}
	plan := s.report.Laid.Plan
	l.words.foot = s.caution()
	if s.options.Quiz {
		l.words.remark = &remark{heading: "A quiz", paragraphs: []string{"First the questions, then the answers, slide by slide."}}
		return l
	}
	l.words.remark = &remark{heading: plan.Case, paragraphs: []string{"Operation: " + string(plan.Operation) + "."}}
	if whose := s.whose(s.report.Laid.Heart); whose != "" {
		l.words.remark.paragraphs = append(l.words.remark.paragraphs, whose)
	}
	return l
}

func (s *Slides) leafletLesson() lesson {
	a, heart := s.anatomyOn(nil), s.report.Laid.Heart
	l := lesson{
		adds:    []string{"landmarks"},
		caption: "The rim, its leaflets, and where they part.",
		say:     "Name the leaflets and the commissures. The rim is the hinge the leaflets hang from: bites go along it.",
		figures: []string{"anterior-segment", "posterior-segment", "septal-segment", "leaflet-height", "leaflet-thickness"},
	}
	meet := a.paper(a.meeting())
	for _, leaf := range heart.Leaflets() {
		hinge := a.paper(heart.Rim.At(leaf.FromMM + leaf.ForMM/2))
		l.words.label(leaf.Name+" leaflet", hinge.Plus(meet.Minus(hinge).Times(0.45)))
	}
	s.labelLandmarks(&l, "anteroseptal-commissure", "anteroposterior-commissure", "posteroseptal-commissure")
	return l
}

func (s *Slides) landmarkLesson() lesson {
	a, heart := s.anatomyOn(nil), s.report.Laid.Heart
	l := lesson{
		adds:    []string{"tendon-line"},
		caption: "Landmarks of the septal wall: find these first.",
		say:     "These can be found on the septal wall at operation. What lies beneath is inferred from them.",
		figures: []string{"ostium-craniocaudal", "ostium-transverse", "ostium-to-hinge", "fossa-from-hinge"},
	}
	for _, id := range []atlas.ZoneID{atlas.Ostium, atlas.Fossa} {
		s.labelZone(&l, id)
	}
	t := heart.Triangle
	share := 0.72
	l.words.label("tendon line", a.paper(heart.Chart.Frame(atlas.Spot{AlongMM: t.Apex.AlongMM + share*(t.Tendon.AlongMM-t.Apex.AlongMM), OffMM: share * t.Tendon.OffMM})))
	return l
}

func (s *Slides) triangleLessons() []lesson {
	l := lesson{
		adds:    []string{"triangle-ground", "triangle"},
		caption: "The nodal triangle: hinge, tendon line, ostium.",
		say:     "The apical half is to be kept free of bites; the basal half is entered only with a reason, and shallow.",
		figures: []string{"triangle-hinge-side", "triangle-tendon-side", "triangle-base-side", "triangle-apex-offset"},
	}
	if s.report.Laid.Heart.Variant != nil {
		l.caption = "In this heart: where to keep out."
		l.say = "In a malformed heart the landmarks of the usual one do not lead to the axis. What is drawn is what is known of this form."
	}
	s.labelZone(&l, atlas.ApicalHalf)
	s.labelZone(&l, atlas.BasalHalf)
	return l.ifLabelled()
}

func (s *Slides) axisLessons() []lesson {
	l := lesson{
		adds:    []string{"conduction"},
		caption: "Beneath it, unseen: node, bundle and their artery.",
		say: "The conduction axis is not seen at operation. It is drawn where the atlas puts it, by the figures below; where it lies in one " +
			"patient is not known. Where the bundle has two ways in, the fainter one is the less common.",
		figures: []string{"node-length", "node-width", "node-depth", "bundle-calibre", "bundle-depth-entry", "bundle-apical-share", "right-extension", "left-extension", "conduction-position-spread", "nodal-artery-depth"},
	}
	s.labelStructures(&l, atlas.Conduction, atlas.NodalArtery)
	return l.ifLabelled()
}

func (s *Slides) neighbourLessons() []lesson {
	l := lesson{
		adds:    []string{"neighbours"},
		caption: "Behind the wall: what a deep bite can reach.",
		say:     "The vessels lie behind the wall, and are drawn through it. Ask which stretch of the rim has which of them behind it, and how far.",
		figures: []string{"coronary-mid-anterior", "coronary-anteroposterior", "coronary-mid-posterior", "coronary-calibre", "aortic-root-distance", "aortic-root-radius"},
	}
	s.labelStructures(&l, atlas.Coronary, atlas.Aorta)
	return l.ifLabelled()
}

func (s *Slides) zoneLessons() []lesson {
	l := lesson{
		adds:    []string{"zone-grounds", "zones"},
		caption: "Fibrous body: an anchor. Below it: keep off.",
		say:     "The fibrous body is an anchor for a shallow stitch: the bundle runs immediately behind it. On the ventricular side of the commissure runs the bundle: keep off.",
		figures: []string{"fibrous-body-along", "fibrous-body-up", "ventricular-side-along", "ventricular-side-down"},
	}
	if s.report.Laid.Heart.Variant != nil {
		l.caption, l.say = "The other zones of this heart.", "What each of them means stands beside it."
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
		caption: "The device: an open band along the rim.",
		say:     "The device is drawn on the rim as it is before the repair. What it makes of the valve comes after the bites.",
	}
	if closed {
		l.caption = "The device: a ring all along the rim."
	}
	l.words.remark = &remark{
		heading: "Device", pointed: true, at: a.paper(a.heart.Rim.At(first + (last-first)/3)),
		paragraphs: []string{fmt.Sprintf("It is sewn to %.0f mm of rim and holds %.0f mm.", before, holds)},
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
		caption: fmt.Sprintf("The suture line: %.0f mm round.", line.LengthMM),
		say:     "Follow the line once round, clockwise. Ask at every turn: on which side is the ostium, on which the node?",
	}
	l.words.remark = &remark{heading: "On which side?", pointed: true, at: a.lineTarget(line)}
	for _, side := range line.Sides {
		if side.ID == "coronary-sinus-ostium" || side.ID == "node" || side.ID == "bundle" {
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, wholeSentence(s.said(side.Label)+": "+side.Lies()))
		}
	}
	lessons = append(lessons, l)
	for _, r := range worstFirst(line.Reasons) {
		if r.Level == placement.Clear {
			continue
		}
		lessons = append(lessons, lesson{
			caption: fmt.Sprintf("The line, %s: %s.", levelPhrase(r.Level), s.matter(r)),
			say:     "Why the line has this level, and what could be done instead.",
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
			l.caption = fmt.Sprintf("%s segment: %s, clear.", sentence(g.segment), g.counted())
			l.say = "These bites keep their distance from everything beneath. Ask what each of them is nearest to."
			l.words.remark = &remark{level: Clear, heading: "Clear", pointed: true, at: at, paragraphs: g.listed()}
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, g.nearest())
		} else {
			l.caption = fmt.Sprintf("Bite %s, %s: %s.", slideName(worst), levelPhrase(g.level), s.matter(decisive(worst)))
			if len(g.bites) > 1 {
				l.caption = fmt.Sprintf("%s segment, %d bites, %s: %s.", sentence(g.segment), len(g.bites), levelPhrase(g.level), s.matter(decisive(worst)))
			}
			l.say = "Let the room say what is wrong before reading the reason, and where the bite should go instead."
			l.words.remark = s.remarkOnBites(g, at)
		}
		lessons = append(lessons, l)
	}
	return lessons
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
func (g biteGroup) counted() string {
	switch {
	case len(g.bites) == 1 && g.bites[0].Kind == placement.Running:
		return "running bite " + slideName(g.bites[0])
	case len(g.bites) == 1:
		return "bite " + slideName(g.bites[0])
	}
	return fmt.Sprintf("%d bites", len(g.bites))
}

// nearest says which of the bites comes nearest to what.
func (g biteGroup) nearest() string {
	worst := g.worst()
	near := fmt.Sprintf("%s mm from the %s.", worst.Nearest.Words(), worst.Nearest.Label)
	if len(g.bites) == 1 {
		return "Nearest: " + near
	}
	return "Nearest: bite " + slideName(worst) + ", " + near
}

// listed names several bites, in a paragraph; one alone stands in the caption.
func (g biteGroup) listed() []string {
	if len(g.bites) == 1 {
		return nil
	}
	return []string{"Bites: " + g.names() + "."}
}

// names lists the bites, or where there are many the first and the last.
func (g biteGroup) names() string {
	const most = 10
	var names []string
	for _, b := range g.bites {
		names = append(names, slideName(b))
	}
	if len(names) > most {
		return fmt.Sprintf("%s … %s, %d in all", names[0], names[len(names)-1], len(names))
	}
	return strings.Join(names, ", ")
}

// slideName is a bite's name as long as a slide has room for.
func slideName(b placement.BiteReport) string {
	f := Lettering("slide-text")
	return Isolate(Clip(clean(b.Name), slideRight.W*0.6, f.SizeMM, f.Bold))
}

// remarkOnBites says why bites have their level, as the worst of them has it: the worst reason, what to do instead, then
// the other reasons.
func (s *Slides) remarkOnBites(g biteGroup, at Point) *remark {
	r := &remark{level: mark(g.level), heading: sentence(g.level.String()), pointed: true, at: at}
	var why, instead []string
	for _, reason := range worstFirst(g.worst().Reasons) {
		if reason.Level > placement.Clear {
			why = append(why, briefly(reason.Text.String()))
		}
		if said := brieflyInstead(reason); said != "" && !slices.Contains(instead, said) {
			instead = append(instead, said)
		}
	}
	r.paragraphs = slices.Concat(g.listed(), why[:1], instead, why[1:])
	return r
}

// insteadOf is what to do instead, as a sentence; empty where there is nothing.
func insteadOf(r placement.Reason) string {
	if r.Instead.IsZero() {
		return ""
	}
	return "Instead: " + strings.TrimSuffix(r.Instead.String(), ".") + "."
}

func (s *Slides) remarkOn(reason placement.Reason, at Point) *remark {
	r := &remark{level: mark(reason.Level), heading: sentence(reason.Level.String()), pointed: true, at: at, paragraphs: []string{briefly(reason.Text.String())}}
	if said := brieflyInstead(reason); said != "" {
		r.paragraphs = append(r.paragraphs, said)
	}
	return r
}

// briefly is a finding as short as a slide wants it; the notes have it whole.
func briefly(text string) string {
	const long = 110
	text = brief(text)
	if len(text) > long {
		text, _, _ = strings.Cut(text, ": ")
	}
	return wholeSentence(squared(text))
}

// brieflyInstead is the first clause of what to do instead.
func brieflyInstead(r placement.Reason) string {
	first, _, _ := strings.Cut(r.Instead.String(), ";")
	r.Instead = words.Text(first)
	return insteadOf(r)
}

func squared(text string) string { return strings.ReplaceAll(text, " mm2", " mm²") }

func worstFirst(reasons []placement.Reason) []placement.Reason {
	reasons = slices.Clone(reasons)
	slices.SortStableFunc(reasons, func(a, b placement.Reason) int { return int(b.Level) - int(a.Level) })
	return reasons
}

func levelPhrase(level placement.Level) string {
	return map[placement.Level]string{placement.Clear: "clear", placement.Caution: "caution", placement.Avoid: "to avoid"}[level]
}

// matter is what a reason is about: the title of its rule, or of a zone in a malformed heart, where it lies elsewhere and is
// called otherwise, what was found.
func (s *Slides) matter(r placement.Reason) string {
	rule := s.report.Rules.Rule(r.Rule)
	ofZone := slices.Contains([]atlas.ZoneID{atlas.ApicalHalf, atlas.BasalHalf, atlas.VentricularSide, atlas.FibrousBody}, atlas.ZoneID(r.Rule))
	if !(ofZone && s.report.Laid.Heart.Variant != nil || rule.ID == "") {
		return s.said(rule.Called())
	}
	text := strings.TrimSuffix(briefly(r.Text.String()), ".")
	first, size := utf8.DecodeRuneInString(text)
	return strings.ToLower(string(first)) + text[size:]
}

// wholeLesson is the complete picture.
func (s *Slides) wholeLesson() lesson {
	var count [3]int
	l := lesson{
		caption: "All together.",
		say:     "The whole plan. " + wholeSentence("Its verdict: "+s.report.Verdict.String()) + " Ask what you would change before the first stitch.",
	}
	st := stitches{anatomy: s.anatomyOn(nil)}
	for _, b := range s.report.Bites {
		count[b.Verdict]++
		if b.Verdict > placement.Clear {
			l.words.labels = append(l.words.labels, slideLabel("Bite "+slideName(b), st.middle(b), mark(b.Verdict)))
		}
	}
	if len(s.report.Bites) > 0 {
		l.caption = fmt.Sprintf("All together: %d clear, %d with caution, %d to avoid.", count[placement.Clear], count[placement.Caution], count[placement.Avoid])
	}
	if len(l.words.labels) == 0 {
		l.words.remark = s.verdictRemark()
	}
	return l
}

// verdictRemark says the verdict of a plan whose bites leave nothing to point at.
func (s *Slides) verdictRemark() *remark {
	r := &remark{level: mark(s.report.Verdict), heading: sentence(s.report.Verdict.String()), paragraphs: []string{"The verdict of the whole plan."}}
	if o := s.report.Outcome; o != nil && o.Verdict > placement.Clear {
		r.paragraphs = append(r.paragraphs, "Its reason is not the bites, but what they make of the valve.")
	}
	return r
}

// questions are asked on what can be seen at operation.
func (s *Slides) questions(groups []biteGroup) (asked []lesson) {
	asked = append(asked, lesson{
		caption: "Where does the conduction axis run?",
		say:     "Let everybody point: node, bundle, where it dives. From which landmarks do they know?",
		words: slideWords{remark: &remark{heading: "Your turn", paragraphs: []string{
			"Point at the node, and at the way of the bundle.", "What tells you?",
		}}},
	})
	if len(groups) == 0 {
		return asked
	}
	q := lesson{
		caption: "Which of these bites would you sew elsewhere?",
		say:     "Let everybody decide for each bite, and write it down. The answers follow: first what lies beneath, then bite by bite.",
	}
	st := stitches{anatomy: s.anatomyOn(nil)}
	for i, g := range groups {
		q.adds = append(q.adds, g.layer(i))
	}
	for _, b := range s.report.Bites {
		q.words.labels = append(q.words.labels, slideLabel(slideName(b), st.middle(b), NoLevel))
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
		caption: "Before and after: the septum stays in place.",
		say: "The dashed line is the rim before. The bars outside it are as high as a stretch gives up of its length. The septum is held in " +
			"place, so that what moves is the free wall.",
	}
	l.words.remark = &remark{heading: "The repair", level: mark(o.Verdict)}
	for _, name := range []string{"rim-length", "rim-area", "rim-short-axis"} {
		if size, known := o.Size(name); known {
			l.words.remark.paragraphs = append(l.words.remark.paragraphs, fmt.Sprintf("%s: %s to %s %s.", sentence(s.said(size.Label)), sized(size.Before, size.Unit), sized(size.After, size.Unit), squared(" " + size.Unit)[1:]))
		}
	}
	l.words.remark.paragraphs = append(l.words.remark.paragraphs, "Dashed: the rim before. Bars: the length a stretch gives up.")
	lessons = append(lessons, l)
	for _, r := range worstFirst(o.Reasons) {
		if r.Level == placement.Clear {
			continue
		}
		found := s.remarkOn(r, Point{})
		found.pointed = false
		lessons = append(lessons, lesson{
			caption: fmt.Sprintf("The repair, %s: %s.", levelPhrase(r.Level), s.matter(r)),
			say:     "The stitches may be sound and what they make of the valve not. What would you measure before tying?",
			reasons: []placement.Reason{r},
			words:   slideWords{remark: found},
		})
	}
	return lessons
}

// label names a place in the picture.
func (w *slideWords) label(text string, at Point) {
	w.labels = append(w.labels, slideLabel(text, at, NoLevel))
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
