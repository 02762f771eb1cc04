package placement

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

// row is the passes of the plan in sewing order, each with the bite it belongs to.
type rowPass struct {
	Pass
	bite   int
	centre geom.Vec
	radius float64
}

// judgeSpacing judges bites together: no two so close that the bridge between them tears, neighbours not so far
// apart that the line gapes. The two arms of a mattress are one stitch and not judged against each other.
func (e *examiner) judgeSpacing(bites []BiteReport) {
	row := e.row(bites)
	least, most := e.plan.Spacing.MinMM, e.plan.Spacing.MaxMM
	said := map[[2]int]bool{} // one word for each pair of bites
	for i := range row {
		for j := range i {
			a, b := row[j], row[i]
			pair := [2]int{a.bite, b.bite}
			if said[pair] || a.bite == b.bite && bites[a.bite].Kind != Running {
				continue
			}
			if a.centre.Distance(b.centre)-a.radius-b.radius > least+2*e.halfWidth() {
				continue
			}
			if gap := pathGap(a.Path, b.Path) - 2*e.halfWidth(); gap < least {
				said[pair] = true
				e.tooClose(&bites[b.bite], bites[a.bite].Name, max(gap, 0))
			}
		}
	}
	for i := 1; i < len(row); i++ {
		a, b := row[i-1], row[i]
		if gap := e.alongGap(a.Pass, b.Pass); gap > most && !said[[2]int{-1, b.bite}] {
			said[[2]int{-1, b.bite}] = true
			bites[b.bite].Reasons = append(bites[b.bite].Reasons, e.spacingReason(
				fmt.Sprintf("lies %.1f mm along the hinge from the bite before it (%s), more than %.1f mm", gap, bites[a.bite].Name, most),
				"add a bite between them, or say in `spacing` that the gap is meant"))
		}
	}
}

func (e *examiner) tooClose(bite *BiteReport, other string, gapMM float64) {
	text := fmt.Sprintf("lies %.1f mm from bite %s; the bridge wants %.1f mm", gapMM, other, e.plan.Spacing.MinMM)
	if other == bite.Name {
		text = fmt.Sprintf("has passes %.1f mm from each other; the bridge wants %.1f mm", gapMM, e.plan.Spacing.MinMM)
	}
	bite.Reasons = append(bite.Reasons, e.spacingReason(text, "set the two further apart"))
}

func (e *examiner) spacingReason(text, instead string) Reason {
	return Reason{Rule: "spacing", Level: Caution, Basis: e.rules.Rule("spacing").Basis(), Text: text, Instead: instead}
}

func (e *examiner) row(bites []BiteReport) (row []rowPass) {
	for i := range bites {
		for _, p := range bites[i].Passes {
			centre := p.Path[0].Lerp(p.Path[len(p.Path)-1], 0.5)
			radius := 0.0
			for _, q := range p.Path {
				radius = math.Max(radius, q.Distance(centre))
			}
			row = append(row, rowPass{p, i, centre, radius})
		}
	}
	return row
}

// pathGap is the smallest distance between two needles' paths.
func pathGap(a, b []geom.Vec) float64 {
	gap := math.Inf(1)
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			d, _, _ := geom.Segment{A: a[i-1], B: a[i]}.Distance(geom.Segment{A: b[j-1], B: b[j]})
			gap = min(gap, d)
		}
	}
	return gap
}

// alongGap is how much hinge lies between two passes; negative where they overlap.
func (e *examiner) alongGap(a, b Pass) float64 {
	middle := func(p Pass) float64 { return (p.In.AlongMM + p.Out.AlongMM) / 2 }
	half := func(p Pass) float64 { return math.Abs(p.Out.AlongMM-p.In.AlongMM) / 2 }
	return math.Abs(shorterWay(e.heart.Rim, middle(a), middle(b))) - half(a) - half(b)
}
