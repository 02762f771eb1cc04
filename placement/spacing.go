package placement

import (
	"math"

	"fairlead/atlas/words"
)

// stitch is a bite with a ball about it, and balls and boxes about its passes.
type stitch struct {
	*BiteReport
	around ball
	passes []ball
	boxes  []box
}

// judgeSpacing judges bites together: no two so close that the bridge between them tears, neighbours in the order
// of sewing not so far apart that the line gapes. The two arms of a mattress are one stitch and not judged against
// each other; the passes of a run are.
func (e *examiner) judgeSpacing(bites []BiteReport) {
	stitches := make([]stitch, len(bites))
	for i := range bites {
		stitches[i] = newStitch(&bites[i])
		e.judgeBridges(stitches[:i], stitches[i])
		if bites[i].Kind == Running {
			e.judgeRun(stitches[i])
		}
		if i > 0 && bites[i].OnLine == bites[i-1].OnLine { // a line's own gaps are judged along it
			e.judgeNeighbours(&bites[i-1], &bites[i])
		}
	}
}

func newStitch(bite *BiteReport) stitch {
	s := stitch{BiteReport: bite}
	for _, p := range bite.Passes {
		s.passes, s.boxes = append(s.passes, ballOf(p.Path)), append(s.boxes, boxOf(p.Path))
	}
	s.around.centre = s.passes[0].centre
	for _, b := range s.passes {
		s.around.radius = max(s.around.radius, s.around.centre.Distance(b.centre)+b.radius)
	}
	return s
}

// judgeBridges judges a stitch against those before it, with one word for each that is too close.
func (e *examiner) judgeBridges(before []stitch, s stitch) {
	least := e.plan.Spacing.MinMM
	for _, o := range before {
		if gap := e.bridge(s, o); gap < least {
			s.add(e, words.Of("reason.spacing.bridge", words.Blanks{"mm": atMost(gap), "bite": o.Name, "least": exact(least)}), words.Of("instead.spacing.further-apart"))
		}
	}
}

// judgeRun judges the passes of a run against each other.
func (e *examiner) judgeRun(s stitch) {
	least, most := e.plan.Spacing.MinMM, e.plan.Spacing.MaxMM
	if gap := e.bridge(s, s); gap < least {
		s.add(e, words.Of("reason.spacing.passes", words.Blanks{"mm": atMost(gap), "least": exact(least)}), words.Of("instead.spacing.longer-pitch"))
	}
	widest := 0.0
	for i := 1; i < len(s.Passes); i++ {
		widest = max(widest, e.alongGap(s.Passes[i-1], s.Passes[i]))
	}
	if widest > most {
		s.add(e, words.Of("reason.spacing.run", words.Blanks{"mm": atLeast(widest), "most": exact(most)}), words.Of("instead.spacing.shorter-pitch"))
	}
}

// thoroughPairs is up to how many pairs of passes the closest of all is looked for: two runs of 14. In longer runs the
// first pair that is too close will do, beginning with the likeliest.
const thoroughPairs = 14 * 14

// bridge is the least tissue between the passes of two stitches, or of one among themselves: 0 where they touch, and
// the least wanted where there is that much or more.
func (e *examiner) bridge(s, o stitch) float64 {
	width := 2 * e.halfWidth()
	wanted := e.plan.Spacing.MinMM + width
	if o.around.gap(s.around) >= wanted {
		return e.plan.Spacing.MinMM
	}
	thorough := len(s.passes)*len(o.passes) <= thoroughPairs
	// The two whose middles are nearest come first: where many passes are crowded these touch, and that is all
	// there is to know.
	nearest, i, j := math.Inf(1), 0, 0
	eachPair(s, o, func(a, b int) bool {
		if d := s.passes[a].centre.Distance(o.passes[b].centre); d < nearest {
			nearest, i, j = d, a, b
		}
		return true
	})
	best := wanted
	if !math.IsInf(nearest, 1) {
		best = pathGap(s.Passes[i].Path, o.Passes[j].Path, best)
	}
	eachPair(s, o, func(a, b int) bool {
		if s.passes[a].gap(o.passes[b]) < best && s.boxes[a].gap(o.boxes[b]) < best {
			best = pathGap(s.Passes[a].Path, o.Passes[b].Path, best)
		}
		return best > width && (best >= wanted || thorough)
	})
	if best >= wanted { // less its width, the least wanted might come out a rounding short of itself
		return e.plan.Spacing.MinMM
	}
	return max(best-width, 0)
}

// eachPair goes through the pairs of passes of two stitches, or of one with itself, until told to stop.
func eachPair(s, o stitch, visit func(i, j int) bool) {
	for i := range s.passes {
		until := len(o.passes)
		if s.BiteReport == o.BiteReport {
			until = i
		}
		for j := range until {
			if !visit(i, j) {
				return
			}
		}
	}
}

// judgeNeighbours judges how much hinge a bite and the one sewn before it leave between them, from whichever of
// their passes lie nearest: a line may be sewn either way round.
func (e *examiner) judgeNeighbours(before, bite *BiteReport) {
	gap, most := math.Inf(1), e.plan.Spacing.MaxMM
	for _, p := range before.Passes {
		for _, q := range bite.Passes {
			gap = min(gap, e.alongGap(p, q))
		}
	}
	if gap > most {
		bite.add(e, words.Of("reason.spacing.neighbours", words.Blanks{"mm": atLeast(gap), "bite": before.Name, "most": exact(most)}), words.Of("instead.spacing.bite-between"))
	}
}

func (r *BiteReport) add(e *examiner, text, instead words.Said) {
	r.Reasons = append(r.Reasons, Reason{Rule: spacingRule, Level: Caution, Basis: e.rules.Rule(spacingRule).Basis(), Text: text, Instead: instead})
}

// alongGap is how much hinge lies between two passes; negative where they overlap.
func (e *examiner) alongGap(a, b Pass) float64 {
	middle := func(p Pass) float64 { return (p.In.AlongMM + p.Out.AlongMM) / 2 }
	half := func(p Pass) float64 { return math.Abs(p.Out.AlongMM-p.In.AlongMM) / 2 }
	return math.Abs(shorterWay(e.heart.Rim, middle(a), middle(b))) - half(a) - half(b)
}
