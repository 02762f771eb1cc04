package svgout

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

// Notes writes what to say at each slide, as Markdown: its number and caption, the words, what is lettered on it, and the
// figures it rests on with how well each is known. The sources named stand at the end.
func (s *Slides) Notes(w io.Writer) error {
	var n strings.Builder
	kind := "slides"
	if s.options.Quiz {
		kind = "quiz"
	}
	fmt.Fprintf(&n, "# %s: %s\n\n%s\n", plainMarkdown(s.report.Laid.Plan.Case), kind, plainMarkdown(s.said(placement.Care())))
	cited := map[string]bool{}
	for i, sl := range s.slides {
		fmt.Fprintf(&n, "\n## %s\n\n**%s**\n", s.number(i), plainMarkdown(sl.caption))
		fmt.Fprintf(&n, "\n%s\n", plainMarkdown(sl.say))
		if told := strings.TrimSpace(sl.words.told()); told != "" {
			fmt.Fprintf(&n, "\nOn the slide: %s\n", plainMarkdown(told))
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
	fmt.Fprintf(n, "\nBite %s, %s: %s. %s, %.3g mm deep in %s; %s mm from the %s.\n\n", plainMarkdown(b.Name), plainMarkdown(b.Where.String()), b.Verdict,
		sentence(string(b.Kind)), b.DepthMM, b.Tissue, b.Nearest.Words(), plainMarkdown(b.Nearest.Label.String()))
	for _, r := range b.Reasons {
		s.noteReason(n, r, cited)
	}
}

func (s *Slides) noteReason(n *strings.Builder, r placement.Reason, cited map[string]bool) {
	fmt.Fprintf(n, "- %s: %s (%s)", r.Level, plainMarkdown(squared(strings.TrimSuffix(r.Text.String(), "."))), plainMarkdown(r.Basis.String()))
	if said := insteadOf(r); said != "" {
		fmt.Fprintf(n, ". %s", plainMarkdown(strings.TrimSuffix(said, ".")))
	}
	n.WriteString(".\n")
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
			n.WriteString("\nFigures:\n\n")
			first = false
		}
		fmt.Fprintf(n, "- %s: %s ± %s %s (%s)\n", plainMarkdown(s.said(v.Label)), spoken(v.Here), spoken(v.HereSpread), squaredUnit(v.Unit), plainMarkdown(knownBy(v)))
		if v.Source != "" && !v.Measured {
			cited[v.Source] = true
		}
	}
}

// spoken is a figure as fine as anybody would say it.
func spoken(value float64) string {
	switch size := math.Abs(value); {
	case size >= 100:
		return fmt.Sprintf("%.0f", value)
	case size >= 1:
		return fmt.Sprintf("%.1f", value)
	}
	return fmt.Sprintf("%.2f", value)
}

func squaredUnit(unit string) string {
	switch unit {
	case "mm2":
		return "mm²"
	case "deg":
		return "°"
	}
	return unit
}

// knownBy says how well a figure is known.
func knownBy(v atlas.Value) string {
	switch {
	case v.Measured:
		return "measured in this patient"
	case v.Source == "" || v.Grade == atlas.Assumption || v.Grade == atlas.Practice:
		return v.Grade.String()
	}
	return v.Grade.String() + ": " + v.Source
}

// noteSources lists what the notes name, in the order of the bibliography.
func (s *Slides) noteSources(n *strings.Builder, cited map[string]bool) {
	first := true
	for _, source := range s.options.Bibliography {
		if !cited[source.ID] {
			continue
		}
		if first {
			n.WriteString("\n## Sources\n\n")
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
