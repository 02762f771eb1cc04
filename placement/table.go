package placement

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"fairlead/atlas"
)

// tableWidth is the most columns a line of the table takes, unless a single word is longer. nameWidth is the most the
// column of names takes; a longer name has a line of its own.
const (
	tableWidth = 110
	nameWidth  = 14
)

// WriteTable writes the report for people: one bite a line, its reasons under it, no line over 110 columns.
func (r *Report) WriteTable(w io.Writer) error {
	t := table{heart: r.Laid.Heart, name: len("bite")}
	t.fold("", "  ", fmt.Sprintf("%s: %s", r.Laid.Plan.Case, strings.ToUpper(r.Verdict.String())))
	t.line("")
	if len(r.Bites) > 0 {
		t.bites(r.Bites)
	} else {
		t.line("No bites: the heart alone.")
	}
	if r.Line != nil {
		t.suture(r.Line)
	}
	if r.Outcome != nil {
		t.outcome(r.Outcome)
	}
	if len(r.Patches) > 0 {
		t.patches(r.Patches)
	}
	t.looks(r.Laid.Plan.Looks)
	f := r.Figures()
	t.line("")
	t.fold("", "", fmt.Sprintf("Rests on %d published, %d remembered and %d assumed figures, %d measured in this patient (see `fairlead landmarks`).", f.Published, f.Memory, f.Assumption, f.Measured))
	t.fold("", "", Care().String())
	_, err := io.WriteString(w, t.text.String())
	return err
}

// table is a table being written.
type table struct {
	text  strings.Builder
	heart *atlas.Heart
	name  int // columns for names
	label int // columns for the labels of structures
}

func (t *table) line(text string) {
	t.text.WriteString(strings.TrimRight(printable(text), " ") + "\n")
}

// fold writes a text in as many lines as it takes, those after the first indented further.
func (t *table) fold(indent, further, text string) {
	first := true
	for _, line := range wrap(text, tableWidth-columns(indent+further)) {
		if !first {
			line = further + line
		}
		first = false
		t.line(indent + line)
	}
}

func (t *table) bites(bites []BiteReport) {
	t.label = len("of the")
	for _, b := range bites {
		t.label = max(t.label, columns(b.Nearest.Label.String()))
		if n := columns(printable(b.Name)); n <= nameWidth {
			t.name = max(t.name, n)
		}
	}
	t.row("bite", "level", "clear by", "of the", "tissue", "deep", "goes in at", "off")
	for _, b := range bites {
		t.bite(b)
	}
	t.line("")
	t.fold("", "", "Goes in at: mm along a segment, clockwise, of its length. Off: mm off the hinge, up the wall (+) or onto the leaflet (-).")
}

// row writes one line of columns: words to the left, lengths to the right.
func (t *table) row(name, level, by, label, tissue, deep, at, off string) {
	t.line(padded(name, t.name) + fmt.Sprintf("  %-7s  %8s  ", level, by) + padded(label, t.label) + fmt.Sprintf("  %-7s  %7s  %-22s  %5s", tissue, deep, at, off))
}

func (t *table) bite(b BiteReport) {
	name := printable(b.Name)
	if columns(name) > t.name {
		t.fold("", "", name)
		name = ""
	}
	t.row(name, b.Verdict.String(), string(b.Nearest.Words())+" mm", b.Nearest.Label.String(), string(b.Tissue), string(exact(b.DepthMM))+" mm", t.goesIn(b), signed(b.Passes[0].In.OffMM))
	indent := strings.Repeat(" ", t.name+2)
	t.reasons(indent, b.Reasons)
}

// reasons writes what the rules found, and what to do instead.
func (t *table) reasons(indent string, reasons []Reason) {
	for _, reason := range reasons {
		t.fold(indent, "  ", fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis))
	}
	if instead := insteadOf(reasons); instead != "" {
		t.fold(indent, "  ", "instead: "+instead)
	}
}

func (t *table) goesIn(b BiteReport) string {
	along := b.Passes[0].In.AlongMM
	segment := t.heart.SegmentAt(along)
	return fmt.Sprintf("%-9s %4.1f of %4.1f", segment.Name, t.heart.Rim.Span(segment.FromMM, along), segment.ForMM)
}

// signed writes a distance off the hinge.
func signed(mm float64) string {
	if mm < onHingeMM && mm > -onHingeMM {
		return "0.0"
	}
	return fmt.Sprintf("%+.1f", mm)
}

// insteadOf joins what the reasons advise, each advice once.
func insteadOf(reasons []Reason) string {
	var said []string
	for _, r := range reasons {
		if instead := r.Instead.String(); instead != "" && !slices.Contains(said, instead) {
			said = append(said, instead)
		}
	}
	return strings.Join(said, "; ")
}

// looks lists what will be looked at, at the table.
func (t *table) looks(looks []string) {
	if len(looks) == 0 {
		return
	}
	t.line("")
	t.line("To look at, at the table:")
	for _, look := range looks {
		t.fold("  ", "    ", "[ ] "+look)
	}
}

// printable keeps a plan's own words from moving the terminal's cursor or turning the direction of the line.
func printable(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || c >= 0x2028 && c <= 0x202e || c >= 0x2066 && c <= 0x2069 {
			return '\uFFFD'
		}
		return c
	}, text)
}

func columns(text string) int { return len([]rune(text)) }

func padded(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-columns(text)))
}

// wrap breaks a text at spaces into lines of at most width runes, where words allow.
func wrap(text string, width int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && columns(line)+1+columns(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
