package placement

import (
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// PatchReport is a patch, unrolled and judged.
type PatchReport struct {
	LaidPatch
	Cut     geom.Outline // the line to cut along, with the seam
	Marks   []BiteMark   // in the order of the edge
	Verdict Level
	Reasons []Reason
}

var patchRules = []ruleCode{
	{id: "patch-distortion", figures: []string{"stretch", "size"}},
	{id: "patch-edge", figures: []string{"reach"}},
}

func (r *Report) judgePatches(e *examiner) {
	for _, laid := range r.Laid.Patches {
		patch := PatchReport{LaidPatch: laid, Cut: seamed(laid.Sheet.Edge(), laid.SeamMM)}
		patch.Marks = laid.marks(r.Laid, e.rules.Rule("patch-edge").Figures["reach"])
		patch.judgeDistortion(e)
		patch.judgeEdge(e)
		patch.Verdict = worst(patch.Reasons)
		r.Verdict = max(r.Verdict, patch.Verdict)
		r.Patches = append(r.Patches, patch)
	}
}

// PerimeterError and AreaError are by what share the sheet is larger than the tissue it covers; negative: smaller.
func (r PatchReport) PerimeterError() float64 { return r.Sheet.FlatPerimeterMM/r.Sheet.PerimeterMM - 1 }

// AreaError is as PerimeterError, of the area.
func (r PatchReport) AreaError() float64 { return r.Sheet.FlatAreaMM2/r.Sheet.AreaMM2 - 1 }

func (r *PatchReport) judgeDistortion(e *examiner) {
	rule := e.rules.Rule("patch-distortion")
	if worst := 100 * r.Sheet.Distortion(); worst > rule.Figures["stretch"] {
		text := words.Of("reason.patch-distortion.stretch", words.Blanks{"percent": tenths(worst), "most": words.Number(exact(rule.Figures["stretch"]))})
		r.add(e, "patch-distortion", Caution, text, words.Of("instead.patch-distortion.stretch"))
	}
	if off := 100 * max(math.Abs(r.PerimeterError()), math.Abs(r.AreaError())); off > rule.Figures["size"] {
		text := words.Of("reason.patch-distortion.size", words.Blanks{"percent": tenths(off), "most": words.Number(exact(rule.Figures["size"]))})
		r.add(e, "patch-distortion", Caution, text, words.Of("instead.patch-distortion.size"))
	}
}

// judgeEdge looks for stretches of edge that nothing holds. A plan that sews the patch with no bite at all has only its
// template in mind.
func (r *PatchReport) judgeEdge(e *examiner) {
	if len(r.Marks) == 0 {
		r.add(e, "patch-edge", Clear, words.Of("reason.patch-edge.template"), words.Said{})
		return
	}
	most := e.plan.Spacing.MaxMM
	for _, side := range r.Sides {
		gap := r.widestGap(side)
		if r.Covers != "" && side.Name == hingeSide && gap > most {
			// Along the hinge the axis runs under the patch: what is sewn there is for the plan to say.
			r.add(e, "patch-edge", Clear, words.Of("reason.patch-edge.hangs", words.Blanks{"mm": words.Number(atLeast(gap))}), words.Said{})
			continue
		}
		if side.Sewn && gap > most {
			text := words.Of("reason.patch-edge.gap", words.Blanks{"mm": words.Number(atLeast(gap)), "side": side.Said(), "most": words.Number(exact(most))})
			r.add(e, "patch-edge", Caution, text, words.Of("instead.patch-edge.gap"))
		}
	}
}

// widestGap is the longest way along a side without a mark, its ends counting as held by the sides that meet there.
func (r *PatchReport) widestGap(side PatchSide) (widest float64) {
	length := r.edgeLengths()
	before, end := length[side.From], length[side.To]
	for _, mark := range r.Marks {
		if mark.EdgeMM >= length[side.From] && mark.EdgeMM <= end {
			widest, before = max(widest, mark.EdgeMM-before), mark.EdgeMM
		}
	}
	return max(widest, end-before)
}

// edgeLengths are the lengths along the sheet's edge up to each of its points, and all round.
func (r *PatchReport) edgeLengths() []float64 {
	edge := r.Sheet.Edge()
	lengths := make([]float64, len(edge)+1)
	for i, p := range edge {
		q := edge[(i+1)%len(edge)]
		lengths[i+1] = lengths[i] + math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	return lengths
}

func (r *PatchReport) add(e *examiner, rule string, level Level, text, instead words.Said) {
	r.Reasons = append(r.Reasons, Reason{Rule: rule, Level: level, Basis: e.rules.Rule(rule).Basis(), Text: text, Instead: instead})
}
