package placement

import (
	"fmt"
	"io"
	"strings"

	"fairlead/atlas"
)

// WriteTable writes the sizing for people, no line over 110 columns.
func (s *Sizing) WriteTable(w io.Writer) error {
	t := table{heart: s.Laid.Heart}
	t.fold("", "  ", fmt.Sprintf("%s: what a %s would take, by aim", s.Laid.Plan.Case, s.Form))
	t.line("")
	t.sizeRows(s)
	t.line("")
	for i := range s.Aims {
		t.sizeAim(s, &s.Aims[i])
	}
	t.line("")
	t.fold("", "", s.rulesInWords())
	t.line("")
	if s.Chosen != nil {
		t.proposal(s, s.Chosen)
	} else {
		t.line("There is nothing to take: no bites are proposed.")
	}
	t.line("")
	t.fold("", "", Care().String())
	_, err := io.WriteString(w, t.text.String())
	return err
}

// deviceHead heads the column of what a device measures.
var deviceHead = map[Operation]string{Band: "band", Ring: "ring", PurseString: "tied to"}

var deviceLegend = map[Operation]string{
	Band: "Band: from its first to its last stitch.", Ring: "Ring: all round.", PurseString: "Tied to: what is sewn, the runs together.",
}

const sizeRow = "%-6s %8s   %7s %-6s  %9s %-6s  %7s   %7s   %6s  %7s  %6s"

func (t *table) sizeRows(s *Sizing) {
	t.line(fmt.Sprintf(sizeRow, "", deviceHead[s.Form], "anterior", "", "posterior", "", "septal", "rim", "area", "share", "z"))
	t.line(fmt.Sprintf(sizeRow, "", "mm", "mm", "", "mm", "", "mm", "mm", "mm2", "", ""))
	t.line(s.row("now", "", s.Now))
	for _, a := range s.Aims {
		switch {
		case a.Impossible:
			t.line(fmt.Sprintf("%-6s cannot be had", a.Aim))
		case a.Without != "":
			t.line(fmt.Sprintf("%-6s nothing to take", a.Aim))
		default:
			t.line(s.row(string(a.Aim), fmt.Sprintf("%.1f", a.DeviceMM), a.Report.Outcome.After))
		}
	}
	t.line("")
	legend := deviceLegend[s.Form] + fmt.Sprintf(" Share: of the area expected, %.0f mm2, %s [%s].", s.AreaMM2.Value, s.by(s.AreaMM2), s.AreaMM2.Basis)
	if z := s.Now.scoreOf("rim-area"); z != nil {
		legend += fmt.Sprintf(" z: of the area, by %s.", z.By)
	} else {
		legend += " z: none, as no dataset scores the area of this body."
	}
	t.fold("", "", legend)
}

func (s *Sizing) row(name, device string, o Orifice) string {
	z := "-"
	if score := o.scoreOf("rim-area"); score != nil {
		z = fmt.Sprintf("%+.1f", tenth(score.Z)+0)
	}
	less := func(before, after float64) string {
		if percent := percentLess(before, after); percent >= 0.5 {
			return "-" + string(whole(percent)) + " %"
		}
		return ""
	}
	mm := func(x float64) string { return fmt.Sprintf("%.1f", x) }
	return fmt.Sprintf(sizeRow, name, device, mm(o.AnteriorMM), less(s.Now.AnteriorMM, o.AnteriorMM), mm(o.PosteriorMM), less(s.Now.PosteriorMM, o.PosteriorMM),
		mm(o.SeptalMM), mm(o.LengthMM), whole(o.AreaMM2), whole(100*o.AreaMM2/s.AreaMM2.Value)+" %", z)
}

// sizeAim says what an aim is and what it costs, its name hanging before.
func (t *table) sizeAim(s *Sizing, a *Sized) {
	indent := strings.Repeat(" ", 7)
	for i, line := range wrap(fmt.Sprintf("%s [%s]", a.Goal, a.Basis), tableWidth-len(indent)) {
		if i == 0 {
			t.line(padded(string(a.Aim), len(indent)) + line)
		} else {
			t.line(indent + line)
		}
	}
	if a.Without != "" {
		t.fold(indent, "", a.Without)
		return
	}
	t.fold(indent, "", strings.Join(s.costs(a), "; "))
	for _, reason := range a.Report.Outcome.Reasons {
		t.fold(indent, "  ", fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis))
	}
}

// rulesInWords says by what rules what is taken is shared.
func (s *Sizing) rulesInWords() string {
	return fmt.Sprintf("What is taken is shared between posterior and anterior segment as rims stretch: %s [%s]. The septal segment gives nothing [%s]. "+
		"The device follows the shape the rim finds with these lengths, the septum held [%s].",
		s.Pattern.Label, basisOf(atlas.Grade(s.Pattern.Grade), s.Pattern.Source.ID), atlas.Practice, atlas.Assumption)
}

func (t *table) proposal(s *Sizing, a *Sized) {
	t.fold("", "", s.bitesInWords(a))
	t.line("")
	const row = "%-10s %-7s  %-24s  %11s  %9s  %6s  %9s  %s"
	next := "to the next"
	if s.Form == PurseString {
		next = "sewn"
	}
	t.line(fmt.Sprintf(row, "bite", "level", "goes in at", next, deviceHead[s.Form], "less", "clear by", "of the"))
	for _, b := range a.Bites {
		rim, device, less := "", "", ""
		if b.NextMM > 0 {
			rim, device = fmt.Sprintf("%.1f mm", b.NextMM), fmt.Sprintf("%.1f mm", b.NextOnDeviceMM)
			less = string(whole(max(0, percentLess(b.NextMM, b.NextOnDeviceMM)))) + " %"
		}
		t.line(fmt.Sprintf(row, b.Name, b.Verdict, t.goesIn(b.BiteReport), rim, device, less, b.Nearest.Words()+" mm", b.Nearest.Label))
		for _, reason := range b.Reasons {
			t.fold(strings.Repeat(" ", 11), "  ", fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis))
		}
	}
	t.line("")
	t.line("In the plan, in place of its own `bites:` and `repair:`:")
	t.line("")
	for _, line := range strings.Split(strings.TrimRight(a.Text, "\n"), "\n") {
		t.line(line)
	}
}

// bitesInWords says which bites are proposed, and how they and the repair were judged.
func (s *Sizing) bitesInWords(a *Sized) string {
	what := fmt.Sprintf("%d bites of %g mm, from just past the anteroseptal commissure clockwise, ending short of the conduction axis", len(a.Bites), a.Line.TravelMM)
	switch s.Form {
	case Ring:
		what += "; over the triangle the ring has none"
	case PurseString:
		what = "two purse-strings, each tied by itself, from just past the anteroseptal commissure clockwise: one thread would gather alike all that it holds [" + atlas.Assumption.String() + "]"
	}
	return fmt.Sprintf("Proposed for the aim %s: %s. The plan with them in it checks %s.", a.Aim, what, a.Report.Verdict)
}
