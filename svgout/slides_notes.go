package svgout

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// Notes writes what to say at each slide, as Markdown: its number and caption, the words, what is lettered on it, and the
// figures it rests on with how well each is known. The sources named stand at the end.
func (s *Slides) Notes(w io.Writer) error {
	var n strings.Builder
	title := s.say("notes.title", words.Blanks{"case": clean(s.report.Laid.Plan.Case)})
	if s.options.Quiz {
		title = s.say("notes.title-quiz", words.Blanks{"case": clean(s.report.Laid.Plan.Case)})
	}
	fmt.Fprintf(&n, "# %s\n\n%s\n", plainMarkdown(title), plainMarkdown(s.said(placement.Care())))
	cited := map[string]bool{}
	for i, sl := range s.slides {
		fmt.Fprintf(&n, "\n## %s\n\n**%s**\n", s.number(i), plainMarkdown(sl.caption))
		fmt.Fprintf(&n, "\n%s\n", plainMarkdown(sl.say))
		if told := sl.words.told(s.Reader); told != "" {
			fmt.Fprintf(&n, "\n%s\n", plainMarkdown(s.say("notes.on-the-slide", words.Blanks{"told": told})))
		}
		for _, b := range sl.bites {
			s.noteBite(&n, b, cited)
		}
		for _, r := range sl.reasons {
			n.WriteString("\n")
			s.noteReason(&n, r, cited)
		}
		s.noteFigures(&n, sl.figures, cited)
	}
	s.noteSources(&n, cited)
	_, err := io.WriteString(w, n.String())
	return err
}

func (s *Slides) noteBite(n *strings.Builder, b placement.BiteReport, cited map[string]bool) {
	said := s.say("notes.bite", words.Blanks{"bite": clean(b.Name), "where": b.Where, "level": b.Verdict.Said(), "kind": words.Of("notes.kind." + string(b.Kind)),
		"mm": words.Short(b.DepthMM, 3), "tissue": b.Tissue.Said(), "near": words.Number(b.Nearest.Words()), "what": b.Nearest.Label})
	fmt.Fprintf(n, "\n%s\n\n", plainMarkdown(said))
	for _, r := range b.Reasons {
		s.noteReason(n, r, cited)
	}
}

func (s *Slides) noteReason(n *strings.Builder, r placement.Reason, cited map[string]bool) {
	said := s.say("notes.reason", words.Blanks{"level": r.Level.Said(), "found": s.inFull(r.Text), "basis": r.Basis})
	if !r.Instead.IsZero() {
		said = sentences(said, s.say("finding.instead", words.Blanks{"instead": s.inFull(r.Instead)}))
	}
	fmt.Fprintf(n, "- %s\n", plainMarkdown(said))
	if source := s.report.Rules.Rule(r.Rule).Source; source != "" {
		cited[source] = true
	}
}

// noteFigures lists figures of the heart, each with how well it is known.
func (s *Slides) noteFigures(n *strings.Builder, names []string, cited map[string]bool) {
	first := true
	for _, name := range names {
		v, known := s.report.Laid.Heart.Value(name)
		if !known {
			continue
		}
		if first {
			fmt.Fprintf(n, "\n%s\n\n", plainMarkdown(s.say("notes.figures")))
			first = false
		}
		fmt.Fprintf(n, "- %s\n", plainMarkdown(s.say("notes.figure", words.Blanks{"what": v.Label, "value": spoken(v.Here), "spread": spoken(v.HereSpread),
			"unit": words.Of("notes.unit." + v.Unit), "known": knownBy(v)})))
		if v.Source != "" && !v.Measured {
			cited[v.Source] = true
		}
	}
}

// spoken is a figure as fine as anybody would say it.
func spoken(value float64) words.Number {
	switch size := math.Abs(value); {
	case size >= 100:
		return words.Fixed(value, 0)
	case size >= 1:
		return words.Fixed(value, 1)
	}
	return words.Fixed(value, 2)
}

// knownBy says how well a figure is known.
func knownBy(v atlas.Value) words.Said {
	switch {
	case v.Measured:
		return words.Of("notes.measured")
	case v.Source == "" || v.Grade == atlas.Assumption || v.Grade == atlas.Practice:
		return v.Grade.Said()
	}
	return words.Of("basis", words.Blanks{"grade": v.Grade.Said(), "source": v.Source})
}

// noteSources lists what the notes name, in the order of the bibliography.
func (s *Slides) noteSources(n *strings.Builder, cited map[string]bool) {
	first := true
	for _, source := range s.options.Bibliography {
		if !cited[source.ID] {
			continue
		}
		if first {
			fmt.Fprintf(n, "\n## %s\n\n", plainMarkdown(s.say("notes.sources")))
			first = false
		}
		fmt.Fprintf(n, "- %s: %s", plainMarkdown(source.ID), plainMarkdown(strings.TrimSuffix(source.Cite, ".")))
		if source.DOI != "" {
			fmt.Fprintf(n, ". doi %s", plainMarkdown(source.DOI))
		}
		n.WriteString(".\n")
	}
}

// plainMarkdown keeps somebody's words from being read as Markdown or HTML, on one line.
func plainMarkdown(text string) string {
	special := []rune("\\`*_{}[]<>#|~&!")
	var b strings.Builder
	for _, r := range clean(text) {
		if slices.Contains(special, r) {
			b.WriteRune('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
