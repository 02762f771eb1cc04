package svgout

import (
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// sourceLessons say what the lesson rests on, on as many slides as it takes; the last of them ends with the caution.
func (s *Slides) sourceLessons() (lessons []lesson) {
	const bottom = 158.0
	room := 0.0
	for _, p := range s.basis() {
		if p.heightMM() > room {
			lessons = append(lessons, lesson{say: s.say("slides.sources.say")})
			room = bottom - slideCaption.Bottom() - 3
		}
		l := &lessons[len(lessons)-1]
		l.words.paragraphs = append(l.words.paragraphs, p)
		room -= p.heightMM()
	}
	for i := range lessons {
		lessons[i].caption = s.say("slides.sources.caption")
		if len(lessons) > 1 {
			lessons[i].caption = s.say("slides.sources.caption-of", words.Blanks{"slide": i + 1, "of": len(lessons)})
		}
	}
	lessons[len(lessons)-1].words.foot = s.caution()
	return lessons
}

// basis is what the figures and the rules that spoke rest on.
func (s *Slides) basis() (said []slideSentence) {
	f := s.report.Figures()
	figures := s.say("slides.sources.figures", words.Blanks{"published": f.Published, "memory": f.Memory, "assumed": f.Assumption, "measured": f.Measured})
	said = append(said, slideSentence{"slide-text", figures})
	if v := s.report.Laid.Heart.Variant; v != nil {
		said = append(said, slideSentence{"slide-text", s.say("slides.sources.variant", words.Blanks{"variant": v.Label})})
	}
	for _, r := range s.rulesThatSpeak() {
		said = append(said, slideSentence{"slide-text", sentence(s.ruleBasis(r))})
	}
	return append(said, slideSentence{"slide-quiet", s.made()})
}

func (s *Slides) rulesThatSpeak() (rules []placement.Rule) {
	sheet := &PlanSheet{plate: s.plate}
	for _, r := range s.report.Rules.Rules() {
		if sheet.speaks(r.ID) {
			rules = append(rules, r)
		}
	}
	return rules
}

// ruleBasis says what a rule rests on, and of something published or remembered whose it is.
func (s *Slides) ruleBasis(r placement.Rule) string {
	if r.Grade == atlas.Assumption || r.Grade == atlas.Practice || r.Source == "" {
		return s.say("slides.sources.rule", words.Blanks{"rule": r.Called(), "basis": r.Grade.Said()})
	}
	if source, known := s.source(r.Source); known {
		return s.say("slides.sources.rule-cited", words.Blanks{"rule": r.Called(), "grade": r.Grade.Said(), "source": strings.TrimSuffix(source.Cite, ".")})
	}
	return s.say("slides.sources.rule", words.Blanks{"rule": r.Called(), "basis": r.Basis()})
}

func (s *Slides) source(id string) (atlas.Source, bool) {
	i := slices.IndexFunc(s.options.Bibliography, func(source atlas.Source) bool { return source.ID == id })
	if i < 0 {
		return atlas.Source{}, false
	}
	return s.options.Bibliography[i], true
}
