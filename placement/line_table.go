package placement

import (
	"fmt"
	"math"
	"strings"

	"fairlead/atlas"
)

// suture writes the part of the table about a suture line.
func (t *table) suture(l *LineReport) {
	t.line("")
	head := fmt.Sprintf("Suture line: %s. %.1f mm round; the ostium is to lie on the %s side", strings.ToUpper(l.Verdict.String()), l.LengthMM, l.Ostium)
	if l.TakesIn != "" {
		head += ", node and bundle on the ventricular"
	}
	t.fold("", "  ", head+".")
	said := map[string]bool{"": true}
	for _, reason := range worstFirst(l.Reasons) {
		t.fold("  ", "  ", fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis))
		instead := reason.Instead.String()
		if !said[instead] {
			t.fold("    ", "  ", "instead: "+instead)
		}
		said[instead] = true
	}
	for _, c := range l.Crossings {
		t.fold("  ", "  ", fmt.Sprintf("crosses the %s: %s", c.Of, c.Where))
	}
	t.lineSides(l)
	t.lineDistances(l)
	t.seat(l)
	t.sample(l.Sample)
}

// lineLabelWidth is the most the column of labels takes; a longer label has a line of its own.
const lineLabelWidth = 40

// lineLabels are the columns for the labels of a line's tables.
func lineLabels(l *LineReport) int {
	width := columns("lip of the ostium")
	for _, s := range l.Sides {
		width = max(width, columns(s.Label.String()))
	}
	for _, d := range l.Distances {
		width = max(width, columns(d.Label.String()))
	}
	return min(width, lineLabelWidth)
}

// labelled writes a row of a line's tables.
func (t *table) labelled(label string, width int, rest string) {
	if columns(label) > width {
		t.fold("  ", "  ", label)
		label = ""
	}
	t.line("  " + padded(label, width) + rest)
}

func (t *table) lineSides(l *LineReport) {
	width := lineLabels(l)
	t.line("")
	t.labelled("lies on the", width, "                     ventricular  reaches atrial  ventricular side")
	for _, s := range l.Sides {
		t.labelled(s.Label.String(), width, fmt.Sprintf("  %-17s  %9.0f %%  %11.1f mm  %13.1f mm", s.Lies(), s.VentricularPercent, s.AtrialMM, s.VentricularMM))
	}
}

func (t *table) lineDistances(l *LineReport) {
	width := lineLabels(l)
	t.line("")
	t.labelled("clear by, mm", width, "  surface     deep  nearest at                off")
	leaflet, before := false, LineDistance{}
	for _, d := range l.Distances {
		farther := d.LeafletOnly && d.Structure == before.Structure && d.MM() >= before.MM()
		before = d
		if farther {
			continue // it tells nothing new
		}
		star := ""
		if d.LeafletOnly && isConduction(d.structure) {
			star, leaflet = " *", true
		}
		t.labelled(d.Label.String(), width, fmt.Sprintf("  %7s  %7s  %-22s  %5s%s", atMost(d.SurfaceMM), atMost(d.DeepMM), t.along(d.Spot), signed(d.Spot.OffMM), star))
	}
	if l.Lip != nil {
		t.labelled("lip of the ostium", width, fmt.Sprintf("  %7s           %-22s  %5s", atMost(l.Lip.MM), t.along(l.Lip.Spot), signed(l.Lip.Spot.OffMM)))
	}
	if leaflet {
		t.fold("  ", "  ", "* where needles take leaflet alone, which hangs free of the conduction axis: told, not judged for it")
	}
	if l.Room != nil {
		t.fold("  ", "  ", fmt.Sprintf("Between lip and axis there are %s mm (%s); margins and needle want %s mm.", atMost(l.Room.MM), l.Room.To, exact(l.Room.WantedMM)))
	}
}

// along says a spot's place along its segment.
func (t *table) along(s atlas.Spot) string {
	segment := t.heart.SegmentAt(s.AlongMM)
	return fmt.Sprintf("%-9s %4.1f of %4.1f", segment.Name, t.heart.Rim.Span(segment.FromMM, s.AlongMM), segment.ForMM)
}

func (t *table) seat(l *LineReport) {
	s := l.Seat
	t.line("")
	t.fold("  ", "  ", fmt.Sprintf("Seat: %.0f mm2 spanned, %.0f mm2 seen along its axis; %.1f by %.1f mm; off its best plane %.1f mm at most, %.1f mm rms.",
		s.AreaMM2, s.ProjectedMM2, s.LongestMM, s.ShortestMM, s.MaxMM, s.RMSMM))
	if s.OuterMM > 0 {
		t.fold("  ", "  ", fmt.Sprintf("A ring of %s mm is %.1f mm round; the rim this body leads one to expect makes a circle of %.1f mm.", exact(s.OuterMM), math.Pi*s.OuterMM, s.PredictedMM))
	}
}

func (t *table) sample(s *SampleReport) {
	if s == nil || s.Hearts == 0 {
		return
	}
	t.line("")
	t.fold("  ", "  ", fmt.Sprintf("The same words on %d hearts like this one (seed %d): axis too near or not taken in %d, its artery too near %d, ostium on the wrong side %d, not to be sewn %d, any of these %d.",
		s.Hearts, s.Seed, s.AxisAtRisk, s.ArteryNear, s.OstiumWrong, s.Unsewable, s.Wrong))
	width := 0
	for _, d := range s.Distances {
		width = max(width, columns(d.Label.String()))
	}
	t.line("  " + padded("clear by, mm", width) + "    least  5th in 100   median   margin  under it")
	for _, d := range s.Distances {
		t.line("  " + padded(d.Label.String(), width) + fmt.Sprintf("  %7s  %10s  %7s  %7s  %d of %d", atMost(d.LeastMM), atMost(d.FifthMM), atMost(d.MedianMM), exact(d.MarginMM), d.Under, d.Hearts))
	}
}
