package placement

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
func (e *repairExamined) because(level Level, instead, format string, args ...any) Reason {
	return Reason{Rule: e.rule.ID, Level: level, Basis: e.rule.Basis(), Text: words.Text(fmt.Sprintf(format, args...)), Instead: words.Text(instead)}
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
func whole(x float64) string { return fmt.Sprintf("%.0f", x+0) }

// reductionPattern asks whether the posterior segment gives up most, the anterior less and the septal nothing.
func reductionPattern(e *repairExamined) (reasons []Reason) {
	o := e.outcome
	anterior, posterior, septal := percentLess(o.Before.AnteriorMM, o.After.AnteriorMM), percentLess(o.Before.PosteriorMM, o.After.PosteriorMM), percentLess(o.Before.SeptalMM, o.After.SeptalMM)
	if most := e.rule.Figures["septal"]; septal > most {
		reasons = append(reasons, e.because(Caution, "end the stitches nearer to the posteroseptal commissure, or leave the septal intervals as long as they are",
			"takes %.1f mm, %s %% of the septal segment, which stretches least; %g %% at most is common", o.Before.SeptalMM-o.After.SeptalMM, whole(septal), most))
	}
	if beyond := e.rule.Figures["beyond"]; anterior > posterior+beyond {
		reasons = append(reasons, e.because(Caution, "take less from the anterior segment and more from the posterior",
			"takes %s %% of the anterior segment (%.1f mm) but %s %% of the posterior (%.1f mm), which as a rule gives up most%s",
			whole(anterior), o.Before.AnteriorMM-o.After.AnteriorMM, whole(posterior), o.Before.PosteriorMM-o.After.PosteriorMM, e.mirrors()))
	}
	return reasons
}

// mirrors says how the reduction compares with what each segment had over its expected length; nothing where no rim was
// too long.
func (e *repairExamined) mirrors() string {
	if m := e.outcome.Mirror; m != nil {
		return "; " + m.words()
	}
	return ""
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
	say := func(level Level, l growth.Limit) []Reason {
		return []Reason{e.because(level, e.lessTaken(two.Value), "leaves %s mm2, %s %% of the %s mm2 expected (%s); under %s %% is %s",
			whole(math.Floor(o.After.AreaMM2)), whole(math.Floor(share)), whole(o.Predicted.MM2), o.Predicted.By, fmt.Sprintf("%g", l.Value), map[Level]string{Caution: "to be thought over", Avoid: "too little"}[level])}
	}
	switch {
	case half.Reached(share):
		return say(Avoid, half)
	case two.Reached(share):
		return say(Caution, two)
	}
	return nil
}

// lessTaken says how much rim may be taken for a share of the predicted area, %, to be left: every stretch gives up less
// in one proportion.
func (e *repairExamined) lessTaken(sharePercent float64) string {
	o := e.outcome
	all := o.Before.LengthMM - o.After.LengthMM
	if e.Repair.Former != nil {
		by := math.Sqrt(sharePercent / o.SharePercent())
		return fmt.Sprintf("a device about %s %% wider each way leaves %g %% of it", whole(math.Ceil(100*(by-1))), sharePercent)
	}
	if 100*o.Before.AreaMM2/o.Predicted.MM2 <= sharePercent {
		return "take nothing of this rim: it has less by itself"
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
	said := fmt.Sprintf("take about %s mm of rim instead of %s", whole(math.Floor(low*all)), whole(all))
	if i := o.Intervals[0]; len(o.Intervals) == 1 {
		said += fmt.Sprintf(" (hold it at %s mm)", whole(math.Ceil(i.BeforeMM-low*(i.BeforeMM-i.AfterMM))))
	}
	return said + fmt.Sprintf(": that leaves %g %% of it", sharePercent)
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
		return []Reason{e.because(Avoid, "draw far less together", "leaves %s mm2, where %g mm2 or less is a significant stenosis; that is said of the area by flow, which is smaller than the rim", whole(math.Floor(area)), limit.Value)}
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
		return []Reason{e.because(Clear, "", "takes %s %% of the area: in healthy sheep %g %% or more harmed the right ventricle", whole(less), harm.Value)}
	case known && less > best.Value:
		return []Reason{e.because(Clear, "", "takes %s %% of the area: in healthy sheep about %g %% suited the right ventricle best, %g %% or more harmed it", whole(less), best.Value, harm.Value)}
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
		return []Reason{e.because(Clear, "", "leaves a rim as round as %.1f mm across, %.1f mm per m2: above %g mm per m2 regurgitation came back", across, index, limit.Value)}
	}
	return nil
}

// ringIndex remarks on the size of a rigid device for the body, its longer axis taken for its size.
func ringIndex(e *repairExamined) []Reason {
	limit, known := e.limit("ring-index")
	for _, step := range e.Plan.Repair {
		size := step.Device.LongMM
		if index := e.outcome.Indexed(size); known && size > 0 && e.outcome.SurfaceM2 >= grownM2 && !limit.Reached(index) {
			return []Reason{e.because(Clear, "", "a device %s mm wide is %.1f mm per m2: under %g mm per m2 regurgitation was relieved best", exact(size), index, limit.Value)}
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
			reasons = append(reasons, e.because(Caution, fmt.Sprintf("hold it at %.1f mm or more, or place the bites nearer to each other on the rim", (1-most/100)*i.BeforeMM),
				"draws %s from %.1f to %.1f mm, %s %% less; beyond %g %% tissue folds", i.where(), i.BeforeMM, i.AfterMM, whole(less), most))
		}
	}
	return reasons
}

// where says an interval by its bites.
func (i Interval) where() string {
	if i.Between[1] == "" {
		return i.Between[0]
	}
	return i.Between[0] + " to " + i.Between[1]
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
			reasons = append(reasons, e.because(Caution, "shorten the travel of the bites, or take a longer device",
				"bites %s and %s overlap on the device by %s mm: %.1f mm of it for %.1f mm of stitches", i.Between[0], i.Between[1], atLeast(-gap), i.HoldsMM, i.StitchesMM))
		case gap > e.Plan.Spacing.MaxMM:
			reasons = append(reasons, e.because(Caution, "add a bite between them, or say in `spacing` that the gap is meant",
				"bites %s and %s leave %s mm of the device between them, more than %s mm", i.Between[0], i.Between[1], atLeast(gap), exact(e.Plan.Spacing.MaxMM)))
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
	instead := "take a band with another opening, or sew its ends elsewhere"
	switch over := free - opening; {
	case over > beyond:
		return []Reason{e.because(Caution, instead, "leaves %.1f mm of rim between its end stitches, which are %.1f mm apart on the open side: %s mm too much, which buckles", free, opening, atLeast(over))}
	case over < -beyond:
		return []Reason{e.because(Caution, instead, "leaves %.1f mm of rim between its end stitches, which are %.1f mm apart on the open side: %s mm too little, which pulls", free, opening, atLeast(-over))}
	}
	return nil
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
	return []Reason{e.because(Caution, "space the last bites on the device as on the rim, and take the length elsewhere",
		"bite %s, the septal end, is drawn %.1f mm and the rim from it to bite %s is made %.1f mm shorter (%s %%); geometry, no force, and %s and %s mm are enough", end.Bite, end.DrawnMM, end.NextTo, end.ShorterMM, whole(end.ShorterByPart), exact(drawn), exact(shorter))}
}

// leafletCover asks whether every leaflet still spans its part of the orifice, with something left to lie against the
// others. Leaflets that lack are named together, with the figures of the one that lacks most.
func leafletCover(e *repairExamined) (reasons []Reason) {
	margin := e.rule.Figures["margin"]
	var lacking []string
	var worst CoveringLeaflet
	for _, c := range e.outcome.Leaflets {
		if c.Cleft {
			reasons = append(reasons, e.because(Clear, "", "the %s leaflet stays cleft in two: they do not cover as one", c.Name))
		}
		if c.CoverMM() < margin {
			if len(lacking) == 0 || c.CoverMM() < worst.CoverMM() {
				worst = c
			}
			lacking = append(lacking, c.Name)
		}
	}
	if len(lacking) == 0 {
		return reasons
	}
	cover, level, height := worst.CoverMM(), Caution, "expected"
	if worst.Measured {
		height = "measured"
		if cover < 0 {
			level = Avoid
		}
	}
	left := fmt.Sprintf("%s mm are left to lie against the others, of %s mm wanted", atMost(cover), exact(margin))
	if cover < 0 {
		left = fmt.Sprintf("that falls short by %s mm, where %s mm more are wanted", atLeast(-cover), exact(margin))
	}
	return append(reasons, e.because(level, "make the orifice narrower there, or the leaflet higher with a patch",
		"the %s leaflet, %.1f mm high (%s), must reach %.1f mm: %s", strings.Join(lacking, " and the "), worst.HeightMM, height, worst.ReachMM, left))
}
