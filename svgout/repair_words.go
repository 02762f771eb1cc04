package svgout

import (
	"fmt"
	"math"

	"fairlead/atlas/words"
	"fairlead/placement"
)

func (r repairPlate) title() string {
	return r.say("repair.title", words.Blanks{"case": r.report.Laid.Plan.Case})
}

func (r repairPlate) describe() string {
	said := []string{r.say("repair.described", words.Blanks{"habit": r.Habit.said(), "level": r.outcome.Verdict.Said()}), r.turnedWords()}
	for _, s := range r.outcome.Sizes() {
		said = append(said, r.said(words.Of("repair.size-described."+s.Unit, words.Blanks{"size": s.Label, "before": sized(s.Before, s.Unit), "after": sized(s.After, s.Unit)})))
	}
	for _, reason := range r.outcome.Reasons {
		said = append(said, r.levelled(reason))
	}
	return sentences(append(said, r.said(placement.Care()))...)
}

// turnedWords say where septum, front, head and feet lie in a view that is not as usual: nothing of one that is.
func (r repairPlate) turnedWords() string {
	if r.Habit.said().IsZero() {
		return ""
	}
	said := r.say("repair.orientation", words.Blanks{"septum": r.where(back), "front": r.where(front), "head": r.where(head), "feet": r.where(feet)})
	return sentences(said, r.said(r.Habit.sense()))
}

// caption says what the plate shows, how it is turned, the operation and the scale, in as many words as fit.
func (r repairPlate) caption() (caption string) {
	scale := words.Blanks{"scale": decimal(r.before.scale)}
	shown := r.say("repair.caption", words.Blanks{"habit": r.Habit.said(), "operation": r.report.Laid.Plan.Operation.Said()})
	for _, caption = range []string{
		sentences(shown, r.said(words.Of("repair.scale", scale))),
		sentences(shown, r.said(words.Of("repair.scale-short", scale))),
		sentences(r.say("repair.caption-short", words.Blanks{"habit": r.Habit.said()}), r.said(words.Of("repair.scale-short", scale))),
	} {
		if MeasureIn("caption", caption) <= r.page.W-16 {
			break
		}
	}
	return caption
}

// leftWords says how much of the predicted area is left.
func (r repairPlate) leftWords() string {
	return r.say("repair.left", words.Blanks{"share": words.Fixed(math.Floor(r.outcome.SharePercent()), 0), "area": words.Fixed(r.outcome.Predicted.MM2, 0), "by": r.outcome.Predicted.By})
}

// instead says what to do instead, in a sentence of its own: nothing where there is nothing to mend.
func (r Reader) instead(reason placement.Reason) string {
	if reason.Instead.IsZero() {
		return ""
	}
	return r.say("finding.instead", words.Blanks{"instead": reason.Instead})
}

// levelled says a finding with its level, in a sentence.
func (r Reader) levelled(reason placement.Reason) string {
	return r.say("finding.level", words.Blanks{"level": reason.Level.Said(), "finding": reason.Text})
}

// sized is a size in its unit.
func sized(value float64, unit string) words.Number {
	switch {
	case math.IsInf(value, 0) || math.IsNaN(value):
		return "-"
	case unit == "mm2":
		return words.Fixed(value, 0)
	case unit == "1":
		return words.Fixed(value, 2)
	}
	return words.Fixed(value, 1)
}

// signed is a number with its sign, plus or minus.
func signed(x float64, digits int) words.Number {
	return words.Number(fmt.Sprintf("%+.*f", digits, x))
}

// number says a number by itself, as a cell of a table does.
func (r Reader) number(n words.Number) string { return r.Language.Number(n) }

func (r Reader) mm(n words.Number) string { return r.say("unit.mm", words.Blanks{"number": n}) }

func (r Reader) percent(n words.Number) string {
	return r.say("unit.percent", words.Blanks{"number": n})
}

// change says by how much a size is less or more, as a share of what it was.
func (r Reader) change(s placement.Size) string {
	if math.IsInf(s.Before, 0) || math.IsInf(s.After, 0) {
		return ""
	}
	if less := s.LessPercent(); math.Abs(less) >= 0.5 {
		return r.percent(signed(-less, 0))
	}
	return r.percent("0")
}
