package placement

import (
	"fmt"
	"math"
	"strings"
)

type outcomeJSON struct {
	Verdict   Level          `json:"verdict"`
	Predicted float64        `json:"predicted_area_mm2"`
	By        string         `json:"predicted_by"`
	Share     float64        `json:"predicted_percent"`
	SurfaceM2 *float64       `json:"surface_m2,omitempty"`
	OffMM     *float64       `json:"off_device_mm,omitempty"`
	Mirrors   *float64       `json:"mirrors_percent,omitempty"`
	Sizes     []sizeJSON     `json:"sizes"`
	Intervals []intervalJSON `json:"intervals"`
	Ends      []endJSON      `json:"ends,omitempty"`
	Leaflets  []leafletJSON  `json:"leaflets"`
	Reasons   []Reason       `json:"reasons"`
}

type sizeJSON struct {
	Name        string   `json:"name"`
	Unit        string   `json:"unit"`
	Before      *float64 `json:"before,omitempty"`
	After       *float64 `json:"after,omitempty"`
	Less        *float64 `json:"less_percent,omitempty"`
	IndexBefore *float64 `json:"before_per_m2,omitempty"`
	IndexAfter  *float64 `json:"after_per_m2,omitempty"`
	ZBefore     *float64 `json:"z_before,omitempty"`
	ZAfter      *float64 `json:"z_after,omitempty"`
	ZBy         string   `json:"z_by,omitempty"`
}

type intervalJSON struct {
	Step     StepKind `json:"step"`
	Between  []string `json:"between"`
	FromMM   float64  `json:"from_mm"`
	ForMM    float64  `json:"for_mm"`
	BeforeMM float64  `json:"before_mm"`
	HoldsMM  float64  `json:"holds_mm"`
	AfterMM  float64  `json:"after_mm"`
	Less     float64  `json:"less_percent"`
	SlackMM  float64  `json:"slack_mm"`
}

type endJSON struct {
	Bite      string  `json:"bite"`
	Septal    bool    `json:"septal"`
	DrawnMM   float64 `json:"drawn_mm"`
	ShorterMM float64 `json:"next_shorter_mm"`
}

type leafletJSON struct {
	Name     string  `json:"name"`
	HingeMM  float64 `json:"hinge_mm"`
	HeightMM float64 `json:"height_mm"`
	ReachMM  float64 `json:"reach_mm"`
	CoverMM  float64 `json:"cover_mm"`
	Cleft    bool    `json:"cleft"`
}

// number is a number for JSON, rounded; nil for what is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x = thousandth(x)
	return &x
}

func (o *Outcome) json() any {
	out := outcomeJSON{
		Verdict: o.Verdict, Predicted: thousandth(o.Predicted.MM2), By: o.Predicted.By.String(), Share: thousandth(o.SharePercent()),
		Intervals: []intervalJSON{}, Leaflets: []leafletJSON{}, Reasons: append([]Reason{}, o.Reasons...),
	}
	if o.SurfaceM2 > 0 {
		out.SurfaceM2 = number(o.SurfaceM2)
	}
	if o.Former != nil {
		out.OffMM = number(o.Gathered.OffFormerMM)
	}
	if o.Mirror != nil {
		out.Mirrors = number(o.Mirror.Percent)
	}
	for _, s := range o.Sizes() {
		out.Sizes = append(out.Sizes, o.sizeJSON(s))
	}
	for _, i := range o.Intervals {
		between := i.Between[:]
		if i.Between[1] == "" {
			between = []string{i.Said().String()}
		}
		out.Intervals = append(out.Intervals, intervalJSON{i.Step, between, thousandth(i.FromMM), thousandth(i.ForMM), thousandth(i.BeforeMM), thousandth(i.HoldsMM), thousandth(i.AfterMM), thousandth(i.LessPercent()), thousandth(i.SlackMM())})
	}
	for _, e := range o.Ends {
		out.Ends = append(out.Ends, endJSON{e.Bite, e.Septal, thousandth(e.DrawnMM), thousandth(e.ShorterMM)})
	}
	for _, c := range o.Leaflets {
		out.Leaflets = append(out.Leaflets, leafletJSON{c.Name, thousandth(c.HingeMM), thousandth(c.HeightMM), thousandth(c.ReachMM), thousandth(c.CoverMM()), c.Cleft})
	}
	return out
}

func (o *Outcome) sizeJSON(s Size) sizeJSON {
	out := sizeJSON{Name: s.Name, Unit: s.Unit, Before: number(s.Before), After: number(s.After), Less: number(s.LessPercent())}
	if s.Unit != "1" {
		out.IndexBefore, out.IndexAfter = number(o.Indexed(s.Before)), number(o.Indexed(s.After))
	}
	if s.ZBefore != nil {
		out.ZBefore, out.ZBy = number(s.ZBefore.Z), s.ZBefore.By.String()
	}
	if s.ZAfter != nil {
		out.ZAfter, out.ZBy = number(s.ZAfter.Z), s.ZAfter.By.String()
	}
	return out
}

// outcome writes what the repair makes of the valve.
func (t *table) outcome(o *Outcome) {
	t.line("")
	t.fold("", "  ", fmt.Sprintf("The repair: %s", strings.ToUpper(o.Verdict.String())))
	for _, reason := range o.Reasons {
		t.fold("  ", "  ", fmt.Sprintf("%s: %s [%s; %s]", reason.Level, reason.Text, reason.Rule, reason.Basis))
		if !reason.Instead.IsZero() {
			t.fold("    ", "  ", "instead: "+reason.Instead.String())
		}
	}
	t.line("")
	t.sizes(o)
	t.line("")
	t.intervals(o.Intervals)
	t.line("")
	t.leaflets(o)
}

// tellOffMM is how far a rim may lie off a rigid device before the table tells it: less than a stitch gives.
const tellOffMM = 0.5

// firstColumn is how many columns the words before the figures of a repair take.
const firstColumn = 30

// sizes writes the block of before and after.
func (t *table) sizes(o *Outcome) {
	head, by := fmt.Sprintf("  %-*s  %8s  %8s  %8s", firstColumn, "", "before", "after", "less"), ""
	if o.SurfaceM2 > 0 {
		head += fmt.Sprintf("  %9s  %8s", "before/m2", "after/m2")
	}
	sizes := o.Sizes()
	for _, s := range sizes {
		if s.ZAfter != nil {
			by = s.ZAfter.By.String()
		} else if s.ZBefore != nil {
			by = s.ZBefore.By.String()
		}
	}
	if by != "" {
		head += fmt.Sprintf("  %8s  %7s", "z before", "z after")
	}
	t.line(head)
	for _, s := range sizes {
		t.line(o.sizeLine(s, by != ""))
	}
	said := fmt.Sprintf("  The area is %s %% of the %s mm2 expected (%s).", whole(math.Floor(o.SharePercent())), whole(o.Predicted.MM2), o.Predicted.By)
	said += " Free wall over septal segment in intact hearts: 2.43 ± 0.212 (antoniali-2006)."
	if by != "" {
		said += " z by " + by + "."
	}
	if o.Mirror != nil {
		mirror := o.Mirror.said().String()
		said += " " + strings.ToUpper(mirror[:1]) + mirror[1:] + "."
	}
	if off := o.Gathered.OffFormerMM; o.Former != nil && off > tellOffMM {
		said += fmt.Sprintf(" The rim, laid on the rigid device stitch by stitch, lies up to %.1f mm off it: the two do not quite fit.", off)
	}
	t.fold("  ", "", strings.TrimSpace(said))
}

func (o *Outcome) sizeLine(s Size, scored bool) string {
	digits, unit := 1, s.Unit
	switch s.Unit {
	case "mm2":
		digits = 0
	case "1":
		digits, unit = 2, ""
	}
	value := func(x float64) string {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return "-"
		}
		return fmt.Sprintf("%.*f", digits, x)
	}
	line := fmt.Sprintf("  %-*s  %8s  %8s", firstColumn, strings.TrimSpace(s.Label.String()+", "+unit), value(s.Before), value(s.After))
	if unit == "" {
		return strings.Replace(line, s.Label.String()+",", s.Label.String()+" ", 1)
	}
	line += fmt.Sprintf("  %6s %%", whole(s.LessPercent()))
	if o.SurfaceM2 > 0 {
		line += fmt.Sprintf("  %9s  %8s", value(o.Indexed(s.Before)), value(o.Indexed(s.After)))
	}
	if scored {
		line += fmt.Sprintf("  %8s  %7s", zOf(s.ZBefore), zOf(s.ZAfter))
	}
	return line
}

func zOf(s *Score) string {
	if s == nil {
		return ""
	}
	return fmt.Sprintf("%+.1f", s.Z)
}

// intervals writes what is drawn together, stretch by stretch.
func (t *table) intervals(intervals []Interval) {
	if len(intervals) == 0 {
		t.line("  Nothing of the rim is drawn together.")
		return
	}
	t.line(fmt.Sprintf("  %-*s  %8s  %8s  %8s  %8s", firstColumn, "drawn together, mm", "before", "after", "less", "held at"))
	for _, i := range intervals {
		name := printable(string(i.Step) + " " + i.Said().String())
		if columns(name) > firstColumn {
			t.fold("  ", "  ", name)
			name = ""
		}
		line := "  " + padded(name, firstColumn) + fmt.Sprintf("  %8.1f  %8.1f  %6s %%  %8.1f", i.BeforeMM, i.AfterMM, whole(i.LessPercent()), i.HoldsMM)
		if slack := i.SlackMM(); slack > 0.05 {
			line += fmt.Sprintf("  %.1f mm slack", slack)
		}
		t.line(line)
	}
}

// leaflets writes how far each leaflet of the repaired valve must reach.
func (t *table) leaflets(o *Outcome) {
	t.line(fmt.Sprintf("  %-*s  %8s  %8s  %8s  %8s", firstColumn, "leaflets, mm", "hinge", "height", "reach", "spare"))
	for _, c := range o.Leaflets {
		name := c.Name
		if c.Cleft {
			name += ", cleft"
		}
		t.line("  " + padded(name, firstColumn) + fmt.Sprintf("  %8.1f  %8.1f  %8.1f  %8.1f", c.HingeMM, c.HeightMM, c.ReachMM, c.CoverMM()))
	}
	how := "expected"
	if len(o.Leaflets) > 0 && o.Leaflets[0].Measured {
		how = "measured"
	}
	t.fold("  ", "", "Height: in the middle of the hinge, "+how+". Reach: to the farthest place that is nearest to the hinge. Spare: what is left to lie against the others.")
}
