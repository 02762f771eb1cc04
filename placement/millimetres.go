package placement

import (
	"math"
	"strconv"
	"strings"

	"fairlead/atlas/words"
)

// The three ways a length is said. What was measured is said to a tenth, and rounded so that words never say more
// than is there: a bite 1.98 mm from a bundle to keep 2 mm from passes 1.9 mm from it.

// rounding is what a length may be off by arithmetic alone, in millimetres or tenths.
const rounding = 1e-9

// atMost says a distance, never larger than it is.
func atMost(mm float64) words.Number {
	return words.Fixed(math.Floor(mm*10+rounding)/10, 1)
}

// atLeast says how far something goes too far, never less than it does, and at least a tenth.
func atLeast(mm float64) words.Number {
	return words.Fixed(max(1, math.Ceil(mm*10-rounding))/10, 1)
}

// exact says a length of the plan or the rulebook as it is written there, to a tenth at least.
func exact(mm float64) words.Number {
	text := strconv.FormatFloat(math.Round(mm*1e6)/1e6+0, 'f', -1, 64)
	if !strings.Contains(text, ".") {
		text += ".0"
	}
	return words.Number(text)
}
