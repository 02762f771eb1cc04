package svgout

import (
	"fmt"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

// sourceLessons say what the lesson rests on, on as many slides as it takes; the last of them ends with the caution.
func (s *Slides) sourceLessons() (lessons []lesson) {
	const bottom = 158.0
	room := 0.0
	for _, p := range s.basis() {
		if p.heightMM() > room {
			lessons = append(lessons, lesson{say: "Say which of this is published, which remembered, which assumed."})
			room = bottom - slideCaption.Bottom() - 3
		}
		l := &lessons[len(lessons)-1]
		l.words.paragraphs = append(l.words.paragraphs, p)
		room -= p.heightMM()
	}
	for i := range lessons {
		lessons[i].caption = "What this rests on."
		if len(lessons) > 1 {
			lessons[i].caption = fmt.Sprintf("What this rests on, %d of %d.", i+1, len(lessons))
		}
	}
	lessons[len(lessons)-1].words.foot = s.caution()
	return lessons
}

// basis is what the figures and the rules that spoke rest on.
func (s *Slides) basis() (said []slideSentence) {
	f := s.report.Figures()
	said = append(said, slideSentence{"slide-text", fmt.Sprintf("Figures of this heart: %d published, %d from memory, %d assumed, %d measured in this patient. The notes list them.", f.Published, f.Memory, f.Assumption, f.Measured)})
	if s.report.Laid.Heart.Variant != nil {
		said = append(said, slideSentence{"slide-text", "Of this malformation's form: " + s.said(s.report.Laid.Heart.Variant.Label) + "."})
	}
	for _, r := range s.rulesThatSpeak() {
		said = append(said, slideSentence{"slide-text", sentence(s.said(r.Called())) + ": " + r.Grade.String() + s.cited(r.Grade, r.Source) + "."})
	}
	return append(said, slideSentence{"slide-quiet", fmt.Sprintf("Plan %s, atlas %s, format %d.", s.report.Laid.Plan.Digest, s.report.Laid.AtlasDigest, placement.FileVersion)})
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

// cited names the source of something published or remembered.
func (s *Slides) cited(grade atlas.Grade, id string) string {
	if grade == atlas.Assumption || grade == atlas.Practice || id == "" {
		return ""
	}
	if source, known := s.source(id); known {
		return ". " + strings.TrimSuffix(source.Cite, ".")
	}
	return ": " + id
}

func (s *Slides) source(id string) (atlas.Source, bool) {
	i := slices.IndexFunc(s.options.Bibliography, func(source atlas.Source) bool { return source.ID == id })
	if i < 0 {
		return atlas.Source{}, false
	}
	return s.options.Bibliography[i], true
}
