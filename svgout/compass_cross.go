package svgout

import (
	"math"
	"strings"
)

// crossArm is an arm of a compass: where on the paper it leads, at length 1, and the word at its end, with a second beneath
// it where there is one.
type crossArm struct {
	way   Point
	words []string
}

// crossWord is a word of a compass with its place.
type crossWord struct {
	at     Point // of the baseline
	anchor Anchor
	text   string
}

// cross draws a compass of four arms, up, down, left and right in a view that is neither turned nor mirrored, with their
// words upright beyond their ends.
func (k *Ink) cross(at Point, arms [4]crossArm) {
	end := func(i int) Point { return at.Plus(arms[i].way.Times(compassArmMM)) }
	k.Line("axis", end(2), end(3))
	k.Line("axis", end(0), end(1))
	for _, w := range crossWords(at, arms) {
		k.Text("axis-label", w.at.X, w.at.Y, w.anchor, w.text)
	}
}

// compassPlace is where a compass stands under a picture: no farther left than its words have room, and of a turned view a
// little higher, since its arms may hang lower with their words.
func compassPlace(x float64, habit Habit, arms [4]crossArm) Point {
	const marginMM = 6.0
	for _, arm := range arms {
		for _, word := range arm.words {
			x = max(x, marginMM+MeasureIn("axis-label", word)+compassArmMM+1)
		}
	}
	if habit.turn() != 0 {
		return Point{x, 181}
	}
	return Point{x, 182}
}

// crossWords sets the words so that, however the compass is turned, none lies over another: those of a steep arm in one
// line over or under its end, those of any other beneath each other beside it.
func crossWords(at Point, arms [4]crossArm) (first []crossWord) {
	const steep = 0.26 // how far off the upright a steep arm leans at most: 15°
	var second []crossWord
	for _, arm := range arms {
		end := at.Plus(arm.way.Times(compassArmMM + 1))
		if math.Abs(arm.way.X) < steep {
			first = append(first, arm.overEnd(end))
			continue
		}
		beside := arm.besideEnd(end)
		first, second = append(first, beside[0]), append(second, beside[1:]...)
	}
	return append(first, second...)
}

// What sets a word beside or over the end of an arm, mm.
const (
	crossRiseMM  = 1.2 // from the middle of a small letter's line to its baseline
	crossDropMM  = 2.6 // from the end of an arm to the baseline under it
	crossLineMM  = 4.6 // from one baseline to the next
	crossClearMM = 3.6 // how much farther off a word is for an arm that leans, in shares of its lean: the next arm's come up
)

func (a crossArm) overEnd(end Point) crossWord {
	away := crossClearMM * math.Abs(a.way.X)
	if end.Y += away * a.way.Y; a.way.Y > 0 {
		end.Y += crossDropMM
	}
	return crossWord{end, AnchorMiddle, strings.Join(a.words, " ")}
}

func (a crossArm) besideEnd(end Point) (set []crossWord) {
	anchor := AnchorStart
	if a.way.X < 0 {
		anchor = AnchorEnd
	}
	top := end.Y + crossRiseMM - crossLineMM/2*float64(len(a.words)-1)
	for i, word := range a.words {
		set = append(set, crossWord{Point{end.X, top + crossLineMM*float64(i)}, anchor, word})
	}
	return set
}
