package placement

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/growth"
	"fairlead/atlas/words"
)

// repairJudges holds the rules a repair is judged by, in the order of the report.
var repairJudges = []struct {
	id      string
	figures []string
	judge   func(e *repairExamined) []Reason
}{
	{"reduction-pattern", []string{"septal", "beyond"}, reductionPattern},
	{"orifice-area", nil, orificeArea},
	{"stenosis", nil, stenosis},
	{"animal-reduction", nil, animalReduction},
	{"recurrence-index", nil, recurrenceIndex},
	{"ring-index", nil, ringIndex},
	{"bunching", []string{"most"}, bunching},
	{"device-gap", nil, deviceGap},
	{"device-opening", []string{"beyond"}, deviceOpening},
	{"septal-end", []string{"shorter", "drawn"}, septalEnd},
	{"leaflet-cover", []string{"margin"}, leafletCover},
}

// repairRules is what the code needs of those rules.
var repairRules = repairCodes()

func repairCodes() (codes []ruleCode) {
	for _, j := range repairJudges {
		codes = append(codes, ruleCode{j.id, j.figures})
	}
	return codes
}

// repairExamined is a repair under examination.
type repairExamined struct {
	*Laid
	rules   *Rulebook
	outcome *Outcome
	rule    Rule // the one being judged by
}

// judgeRepair measures what the repair makes of the valve and judges it.
func (r *Report) judgeRepair(e *examiner) {
	if r.Laid.Repair == nil {
		return
	}
	r.Outcome = r.Laid.outcome()
	under := &repairExamined{Laid: r.Laid, rules: e.rules, outcome: r.Outcome}
	for _, j := range repairJudges {
		under.rule = e.rules.Rule(j.id)
		r.Outcome.Reasons = append(r.Outcome.Reasons, j.judge(under)...)
	}
	slices.SortStableFunc(r.Outcome.Reasons, func(a, b Reason) int { return int(b.Level - a.Level) })
	r.Outcome.Verdict = worst(r.Outcome.Reasons)
	r.Verdict = max(r.Verdict, r.Outcome.Verdict)
}

// outcome is what the laid repair makes of the valve, not judged.
func (l *Laid) outcome() *Outcome {
	o := l.outcomeOf(l.Repair.Gathered, l.Repair.Former)
	o.Intervals, o.Leaflets, o.Ends, o.Mirror = l.Repair.Intervals, l.coveringLeaflets(), l.drawnEnds(), l.mirrorOf(o)
	return o
}

// because is a reason by the rule being judged by.
func (e *repairExamined) because(level Level, text, instead words.Said) Reason {
	return Reason{Rule: e.rule.ID, Level: level, Basis: e.rule.Basis(), Text: text, Instead: instead}
}

// remark is a reason that asks for nothing.
func (e *repairExamined) remark(text words.Said) []Reason {
	return []Reason{e.because(Clear, text, words.Said{})}
}

// limit is a figure of the growth tables; false where there are none to look in.
func (e *repairExamined) limit(name string) (growth.Limit, bool) {
	if e.catalogue == nil {
		return growth.Limit{}, false
	}
	limit, err := e.catalogue.Growth().Limit(name)
	return limit, err == nil
}

// whole says a number without digits behind the point.
func whole(x float64) words.Number { return words.Fixed(x, 0) }

// tenths says a number to a tenth.
func tenths(x float64) words.Number { return words.Fixed(x, 1) }

// figure says a figure of the rules or of the growth tables as it is written there.
func figure(x float64) words.Number { return words.Short(x, 6) }

// reductionPattern asks whether the posterior segment gives up most, the anterior less and the septal nothing.
func reductionPattern(e *repairExamined) (reasons []Reason) {
	o := e.outcome
	anterior, posterior, septal := percentLess(o.Before.AnteriorMM, o.After.AnteriorMM), percentLess(o.Before.PosteriorMM, o.After.PosteriorMM), percentLess(o.Before.SeptalMM, o.After.SeptalMM)
	if most := e.rule.Figures["septal"]; septal > most {
		text := words.Of("reason.reduction-pattern.septal", words.Blanks{"mm": tenths(o.Before.SeptalMM - o.After.SeptalMM), "percent": whole(septal), "most": figure(most)})
		reasons = append(reasons, e.because(Caution, text, words.Of("instead.reduction-pattern.septal")))
	}
	if beyond := e.rule.Figures["beyond"]; anterior > posterior+beyond {
		reasons = append(reasons, e.because(Caution, moreAnterior(o, whole(anterior), whole(posterior)), words.Of("instead.reduction-pattern.anterior")))
	}
	return reasons
}

// moreAnterior says that more is taken from the anterior segment than from the posterior, and, where a rim was too long,
// how the reduction compares with what each segment had over its expected length.
func moreAnterior(o *Outcome, anterior, posterior words.Number) words.Said {
	anteriorMM, posteriorMM := tenths(o.Before.AnteriorMM-o.After.AnteriorMM), tenths(o.Before.PosteriorMM-o.After.PosteriorMM)
	if o.Mirror == nil {
		return words.Of("reason.reduction-pattern.anterior", words.Blanks{"anterior": anterior, "anteriormm": anteriorMM, "posterior": posterior, "posteriormm": posteriorMM})
	}
	return words.Of("reason.reduction-pattern.anterior-mirrored", words.Blanks{
		"anterior": anterior, "anteriormm": anteriorMM, "posterior": posterior, "posteriormm": posteriorMM, "mirror": o.Mirror.said(),
	})
}

// orificeArea asks whether enough of the predicted area is left.
func orificeArea(e *repairExamined) []Reason {
	half, known := e.limit("orifice-half")
	if !known {
		return nil
	}
	two, _ := e.limit("orifice-two-thirds")
	o := e.outcome
	share := o.SharePercent()
	area, part, expected := whole(math.Floor(o.After.AreaMM2)), whole(math.Floor(share)), whole(o.Predicted.MM2)
	switch {
	case half.Reached(share):
		text := words.Of("reason.orifice-area.too-little", words.Blanks{"area": area, "share": part, "expected": expected, "by": o.Predicted.By, "limit": figure(half.Value)})
		return []Reason{e.because(Avoid, text, e.lessTaken(two.Value))}
	case two.Reached(share):
		text := words.Of("reason.orifice-area.little", words.Blanks{"area": area, "share": part, "expected": expected, "by": o.Predicted.By, "limit": figure(two.Value)})
		return []Reason{e.because(Caution, text, e.lessTaken(two.Value))}
	}
	return nil
}

// lessTaken says how much rim may be taken for a share of the predicted area, %, to be left: every stretch gives up less
// in one proportion.
func (e *repairExamined) lessTaken(sharePercent float64) words.Said {
	o := e.outcome
	all := o.Before.LengthMM - o.After.LengthMM
	if e.Repair.Former != nil {
		by := math.Sqrt(sharePercent / o.SharePercent())
		return words.Of("instead.orifice-area.wider", words.Blanks{"percent": whole(math.Ceil(100 * (by - 1))), "share": figure(sharePercent)})
	}
	if 100*o.Before.AreaMM2/o.Predicted.MM2 <= sharePercent {
		return words.Of("instead.orifice-area.nothing")
	}
	low, high := 0.0, 1.0
	for range 12 {
		part := (low + high) / 2
		if 100*e.areaWith(part)/o.Predicted.MM2 >= sharePercent {
			low = part
		} else {
			high = part
		}
	}
	take, takes, share := whole(math.Floor(low*all)), whole(all), figure(sharePercent)
	if i := o.Intervals[0]; len(o.Intervals) == 1 {
		held := whole(math.Ceil(i.BeforeMM - low*(i.BeforeMM-i.AfterMM)))
		return words.Of("instead.orifice-area.held", words.Blanks{"mm": take, "all": takes, "held": held, "share": share})
	}
	return words.Of("instead.orifice-area.less", words.Blanks{"mm": take, "all": takes, "share": share})
}

// areaWith is the area where every stretch gives up a part of what it gives up now; 0 where that has no shape.
func (e *repairExamined) areaWith(part float64) float64 {
	var gathers []atlas.Gather
	for _, g := range e.Repair.Gathers {
		g.ToMM = g.ForMM - part*(g.ForMM-g.ToMM)
		gathers = append(gathers, g)
	}
	gathered, err := e.Heart.Rim.Gathered(gathers, nil)
	if err != nil {
		return 0
	}
	return gathered.Rim.Sizes().AreaMM2
}

// stenosis compares the area with that of a published significant stenosis. That one is measured by the flow, and is
// smaller than the rim: a rim as small as this has surely reached it, a larger one may have.
func stenosis(e *repairExamined) []Reason {
	limit, known := e.limit("stenosis-area")
	if area := e.outcome.After.AreaMM2; known && limit.Reached(area) {
		text := words.Of("reason.stenosis", words.Blanks{"area": whole(math.Floor(area)), "limit": figure(limit.Value)})
		return []Reason{e.because(Avoid, text, words.Of("instead.stenosis"))}
	}
	return nil
}

// animalReduction remarks how the reduction of the area compares with what suited and what harmed healthy sheep.
func animalReduction(e *repairExamined) []Reason {
	best, known := e.limit("reduction-best")
	harm, _ := e.limit("reduction-harm")
	less := percentLess(e.outcome.Before.AreaMM2, e.outcome.After.AreaMM2)
	switch {
	case known && harm.Reached(less):
		return e.remark(words.Of("reason.animal-reduction.harmed", words.Blanks{"less": whole(less), "harm": figure(harm.Value)}))
	case known && less > best.Value:
		return e.remark(words.Of("reason.animal-reduction.beyond-best", words.Blanks{"less": whole(less), "best": figure(best.Value), "harm": figure(harm.Value)}))
	}
	return nil
}

// grownM2 is the body surface from which the indices of the two series are spoken of: their devices and sizers were
// those of adults, and in a small body a healthy rim has a larger index by nature. Assumption.
const grownM2 = 1.5

// recurrenceIndex remarks on the diameter after a purse-string, for the body. The series tied over round sizers, so the
// rim is taken as round.
func recurrenceIndex(e *repairExamined) []Reason {
	limit, known := e.limit("recurrence-index")
	o := e.outcome
	across := o.After.LengthMM / math.Pi
	if index := o.Indexed(across); known && o.SurfaceM2 >= grownM2 && e.has(TieThread) && limit.Reached(index) {
		return e.remark(words.Of("reason.recurrence-index", words.Blanks{"mm": tenths(across), "index": tenths(index), "limit": figure(limit.Value)}))
	}
	return nil
}

// ringIndex remarks on the size of a rigid device for the body, its longer axis taken for its size.
func ringIndex(e *repairExamined) []Reason {
	limit, known := e.limit("ring-index")
	for _, step := range e.Plan.Repair {
		size := step.Device.LongMM
		if index := e.outcome.Indexed(size); known && size > 0 && e.outcome.SurfaceM2 >= grownM2 && !limit.Reached(index) {
			return e.remark(words.Of("reason.ring-index", words.Blanks{"mm": words.Number(exact(size)), "index": tenths(index), "limit": figure(limit.Value)}))
		}
	}
	return nil
}

func (e *repairExamined) has(kind StepKind) bool {
	for _, step := range e.Plan.Repair {
		if step.Kind == kind {
			return true
		}
	}
	return false
}

// bunching asks whether tissue is drawn so far together that it folds. A fold is meant to.
func bunching(e *repairExamined) (reasons []Reason) {
	most := e.rule.Figures["most"]
	for _, i := range e.outcome.Intervals {
		if less := i.LessPercent(); i.Step != FoldRim && less > most {
			text := words.Of("reason.bunching", words.Blanks{"where": i.Said(), "from": tenths(i.BeforeMM), "to": tenths(i.AfterMM), "less": whole(less), "most": figure(most)})
			reasons = append(reasons, e.because(Caution, text, words.Of("instead.bunching", words.Blanks{"mm": tenths((1 - most/100) * i.BeforeMM)})))
		}
	}
	return reasons
}

// deviceGap asks whether the stitches of a device leave room between them on it, and not too much. A stitch takes as
// much of the device as it takes of the rim.
func deviceGap(e *repairExamined) (reasons []Reason) {
	for _, i := range e.outcome.Intervals {
		if i.Step != SewDevice {
			continue
		}
		switch gap := i.HoldsMM - i.StitchesMM; {
		case gap < -rounding:
			text := words.Of("reason.device-gap.overlap", words.Blanks{
				"one": i.Between[0], "other": i.Between[1], "mm": words.Number(atLeast(-gap)), "gap": tenths(i.HoldsMM), "stitches": tenths(i.StitchesMM),
			})
			reasons = append(reasons, e.because(Caution, text, words.Of("instead.device-gap.overlap")))
		case gap > e.Plan.Spacing.MaxMM:
			text := words.Of("reason.device-gap.wide", words.Blanks{
				"one": i.Between[0], "other": i.Between[1], "mm": words.Number(atLeast(gap)), "most": words.Number(exact(e.Plan.Spacing.MaxMM)),
			})
			reasons = append(reasons, e.because(Caution, text, words.Of("instead.device-gap.wide")))
		}
	}
	return reasons
}

// deviceOpening asks whether the rim that a rigid band leaves free fits its opening: what is longer buckles into the
// orifice or up the wall, what is shorter is pulled tight. A flexible band opens as far as the rim it leaves.
func deviceOpening(e *repairExamined) []Reason {
	opening, beyond := e.Repair.openingMM, e.rule.Figures["beyond"]
	if opening == 0 {
		return nil
	}
	free := e.outcome.After.LengthMM
	for _, i := range e.Repair.deviceIntervals() {
		free -= i.AfterMM
	}
	var text words.Said
	switch over := free - opening; {
	case over > beyond:
		text = words.Of("reason.device-opening.buckles", words.Blanks{"free": tenths(free), "apart": tenths(opening), "mm": words.Number(atLeast(over))})
	case over < -beyond:
		text = words.Of("reason.device-opening.pulls", words.Blanks{"free": tenths(free), "apart": tenths(opening), "mm": words.Number(atLeast(-over))})
	default:
		return nil
	}
	return []Reason{e.because(Caution, text, words.Of("instead.device-opening"))}
}

// septalEnd asks how far the rim must come at the septal end of an open device.
func septalEnd(e *repairExamined) []Reason {
	if len(e.outcome.Ends) == 0 {
		return nil
	}
	shorter, drawn := e.rule.Figures["shorter"], e.rule.Figures["drawn"]
	end := e.outcome.Ends[0]
	if end.ShorterMM <= shorter && end.DrawnMM <= drawn {
		return nil
	}
	text := words.Of("reason.septal-end", words.Blanks{
		"bite": end.Bite, "drawn": tenths(end.DrawnMM), "next": end.NextTo, "shorter": tenths(end.ShorterMM), "percent": whole(end.ShorterByPart),
		"mostdrawn": words.Number(exact(drawn)), "mostshorter": words.Number(exact(shorter)),
	})
	return []Reason{e.because(Caution, text, words.Of("instead.septal-end"))}
}

// leafletCover asks whether every leaflet still spans its part of the orifice, with something left to lie against the
// others. Leaflets that lack are named together, with the figures of the one that lacks most.
func leafletCover(e *repairExamined) (reasons []Reason) {
	margin := e.rule.Figures["margin"]
	var lacking words.Said
	var worst CoveringLeaflet
	for _, c := range e.outcome.Leaflets {
		if c.Cleft {
			reasons = append(reasons, e.remark(words.Of("reason.leaflet-cover.cleft", words.Blanks{"leaflet": c.Short()}))...)
		}
		if c.CoverMM() < margin {
			if lacking.IsZero() {
				lacking, worst = c.Short(), c
				continue
			}
			lacking = words.Of("reason.leaflet-cover.and", words.Blanks{"before": lacking, "after": c.Short()})
			if c.CoverMM() < worst.CoverMM() {
				worst = c
			}
		}
	}
	if lacking.IsZero() {
		return reasons
	}
	return append(reasons, e.lacks(lacking, worst, margin))
}

// lacks is the reason that leaflets have less than a margin to lie against the others, with the figures of one.
func (e *repairExamined) lacks(leaflets words.Said, worst CoveringLeaflet, marginMM float64) Reason {
	cover, level, known := worst.CoverMM(), Caution, words.Of("reason.leaflet-cover.expected")
	if worst.Measured {
		known = words.Of("reason.leaflet-cover.measured")
	}
	height, reach, wanted := tenths(worst.HeightMM), tenths(worst.ReachMM), words.Number(exact(marginMM))
	text := words.Of("reason.leaflet-cover.little", words.Blanks{
		"leaflets": leaflets, "height": height, "known": known, "reach": reach, "left": words.Number(atMost(cover)), "wanted": wanted,
	})
	if cover < 0 {
		text = words.Of("reason.leaflet-cover.short", words.Blanks{
			"leaflets": leaflets, "height": height, "known": known, "reach": reach, "short": words.Number(atLeast(-cover)), "wanted": wanted,
		})
		if worst.Measured {
			level = Avoid
		}
	}
	return e.because(level, text, words.Of("instead.leaflet-cover"))
}
