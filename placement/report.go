package placement

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"fairlead/atlas"
)

// Care is the caution every output carries.
const Care = "For rehearsal, teaching and planning; not a medical device. Anatomy varies: inspection, rhythm, local protocol " +
	"and the licensed surgeon decide."

// Figures counts the figures a report rests on by how well they are known.
type Figures struct {
	Published  int `json:"published"`
	Memory     int `json:"memory"`
	Assumption int `json:"assumption"`
	Measured   int `json:"measured"`
}

// Figures counts the parameters of the report's heart.
func (r *Report) Figures() (f Figures) {
	for _, v := range r.Laid.Heart.Values {
		switch {
		case v.Measured:
			f.Measured++
		case v.Grade.Published():
			f.Published++
		case v.Grade == atlas.Memory:
			f.Memory++
		default:
			f.Assumption++
		}
	}
	return f
}

type reportJSON struct {
	Format  string     `json:"format"`
	Plan    string     `json:"plan"`
	Verdict Level      `json:"verdict"`
	Bites   []biteJSON `json:"bites"`
	Figures Figures    `json:"figures"`
	Care    string     `json:"care"`
}

type biteJSON struct {
	Name       string             `json:"name"`
	Kind       string             `json:"kind"`
	Tissue     string             `json:"tissue"`
	Place      string             `json:"place"`
	DepthMM    float64            `json:"depth_mm"`
	Verdict    Level              `json:"verdict"`
	Clearance  float64            `json:"clearance_mm"`
	Nearest    string             `json:"nearest"`
	Clearances map[string]float64 `json:"clearances_mm"`
	Reasons    []Reason           `json:"reasons"`
}

// ReportFormat names the JSON form of a report; it changes when a key changes its meaning.
const ReportFormat = "fairlead-report-1"

// WriteJSON writes the report for programs. Lengths are rounded to 0.001 mm.
func (r *Report) WriteJSON(w io.Writer) error {
	out := reportJSON{Format: ReportFormat, Plan: r.Laid.Plan.Case, Verdict: r.Verdict, Bites: []biteJSON{}, Figures: r.Figures(), Care: Care}
	for _, b := range r.Bites {
		bite := biteJSON{Name: b.Name, Kind: string(b.Kind), Tissue: string(b.Tissue), Place: b.Where, DepthMM: b.DepthMM, Verdict: b.Verdict,
			Clearance: thousandth(b.Nearest.MM), Nearest: b.Nearest.Structure, Clearances: map[string]float64{}, Reasons: append([]Reason{}, b.Reasons...)}
		for _, c := range b.Clearances {
			bite.Clearances[c.Structure] = thousandth(c.MM)
		}
		out.Bites = append(out.Bites, bite)
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(out)
}

func thousandth(mm float64) float64 { return math.Round(mm*1000)/1000 + 0 }

// WriteTable writes the report for people, one bite a line and its reasons under it.
func (r *Report) WriteTable(w io.Writer) error {
	var t strings.Builder
	fmt.Fprintf(&t, "%s: %s\n\n", printable(r.Laid.Plan.Case), strings.ToUpper(r.Verdict.String()))
	if len(r.Bites) > 0 {
		r.writeBites(&t)
	} else {
		t.WriteString("No bites: the heart alone.\n")
	}
	f := r.Figures()
	fmt.Fprintf(&t, "\nRests on %d published, %d remembered and %d assumed figures, %d measured in this patient (see `fairlead landmarks`).\n", f.Published, f.Memory, f.Assumption, f.Measured)
	for _, line := range wrap(Care, 100) {
		t.WriteString(line + "\n")
	}
	_, err := io.WriteString(w, t.String())
	return err
}

func (r *Report) writeBites(t *strings.Builder) {
	width := len("bite")
	for _, b := range r.Bites {
		width = min(max(width, len([]rune(printable(b.Name)))), 24)
	}
	fmt.Fprintf(t, "%-*s  %-7s  %8s  %-24s  %-7s  %6s  %s\n", width, "bite", "level", "clear by", "of the", "tissue", "deep", "goes in at")
	for _, b := range r.Bites {
		fmt.Fprintf(t, "%-*s  %-7s  %5.1f mm  %-24s  %-7s  %3.1f mm  %s\n", width, shortened(printable(b.Name), width), b.Verdict, b.Nearest.MM, b.Nearest.Label, b.Tissue, b.DepthMM, b.Where)
		for _, reason := range b.Reasons {
			for i, line := range wrap(fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis), 96) {
				fmt.Fprintf(t, "%*s  %s\n", width, "", indent(i)+line)
			}
		}
		if instead := insteadOf(b.Reasons); instead != "" {
			fmt.Fprintf(t, "%*s  instead: %s\n", width, "", instead)
		}
	}
}

func indent(line int) string {
	if line == 0 {
		return ""
	}
	return "  "
}

// insteadOf joins what the reasons advise, each advice once.
func insteadOf(reasons []Reason) string {
	var said []string
	for _, r := range reasons {
		if r.Instead != "" && !strings.Contains(strings.Join(said, "; "), r.Instead) {
			said = append(said, r.Instead)
		}
	}
	return strings.Join(said, "; ")
}

// printable keeps a plan's own words from moving the terminal's cursor.
func printable(text string) string {
	return strings.Map(func(c rune) rune {
		if c < 0x20 || c >= 0x7f && c < 0xa0 {
			return '\uFFFD'
		}
		return c
	}, text)
}

func shortened(text string, width int) string {
	runes := []rune(text)
	if len(runes) <= width {
		return text
	}
	return string(runes[:width-1]) + "…"
}

// wrap breaks a text at spaces into lines of at most width runes, where words allow.
func wrap(text string, width int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
