package svgout

import (
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
)

// A viewer of SVG puts words that run from right to left in their order by
// itself; PDF and PNG are told where every letter stands. This file follows
// the Unicode Bidirectional Algorithm (Unicode Standard Annex 9, whose rules
// are named in brackets) for one line, which as a whole runs from left to
// right as SVG lettering does. The embedding controls are gone already, see
// clean; isolates are left, in pairs.

const (
	leftToRightIsolate = '\u2066'
	rightToLeftIsolate = '\u2067'

	isolated = '\ufffc' // stands for isolated words while the rest is ordered
)

// levelled is what moves as one: a character with its marks, or isolated words
// in their own order.
type levelled struct {
	text  string
	inner []string
	level int // even from left to right, odd from right to left
}

// visual gives the characters of a line, each with its marks, in the order in
// which they stand from left to right. It leaves out blanks at the line's
// end, in isolated words too [L1].
func visual(text string) []string {
	if !strings.ContainsFunc(text, fromTheRight) {
		return clusters(text)
	}
	runes := withoutLastBlanks([]rune(clean(text)))
	return ordered(&runes, leftToRightIsolate)
}

func withoutLastBlanks(text []rune) []rune {
	for i := len(text) - 1; i >= 0; i-- {
		switch bidiClass(text[i]) {
		case bidi.WS:
			text = slices.Delete(text, i, i+1)
		case bidi.PDI, bidi.LRI, bidi.RLI, bidi.FSI:
		default:
			return text
		}
	}
	return text
}

func fromTheRight(r rune) bool {
	c := bidiClass(r)
	return c == bidi.R || c == bidi.AL || c == bidi.AN || c == bidi.RLI
}

func bidiClass(r rune) bidi.Class {
	p, _ := bidi.LookupRune(r)
	return p.Class()
}

// ordered reads runes up to the control that ends an isolate, or all of
// them, and puts them in order. The control that began them tells their
// direction as a whole.
func ordered(runes *[]rune, control rune) (line []string) {
	text, isolates := withoutIsolates(runes)
	base := 0
	if control == rightToLeftIsolate || control == firstStrongIsolate && firstStrong(text) == bidi.R {
		base = 1
	}
	for _, p := range leftmostFirst(withLevels(text, isolates, base)) {
		switch {
		case p.inner != nil:
			line = append(line, p.inner...)
		case p.level%2 == 1:
			line = append(line, mirrored(p.text)) // [L4]
		default:
			line = append(line, p.text)
		}
	}
	return line
}

// withoutIsolates takes isolated words out of a text and orders them by
// themselves.
func withoutIsolates(runes *[]rune) (text []rune, isolates [][]string) {
	for len(*runes) > 0 {
		r := (*runes)[0]
		*runes = (*runes)[1:]
		switch r {
		case popIsolate:
			return text, isolates
		case leftToRightIsolate, rightToLeftIsolate, firstStrongIsolate:
			isolates = append(isolates, append([]string{}, ordered(runes, r)...))
			text = append(text, isolated)
		case isolated:
			text = append(text, utf8.RuneError)
		default:
			text = append(text, r)
		}
	}
	return text, isolates
}

// firstStrong is the direction of the first letter [P2, P3].
func firstStrong(text []rune) bidi.Class {
	for _, r := range text {
		switch c := bidiClass(r); c {
		case bidi.L, bidi.R:
			return c
		case bidi.AL:
			return bidi.R
		}
	}
	return bidi.L
}

// withLevels gives every character its level.
func withLevels(text []rune, isolates [][]string, base int) (line []levelled) {
	levels := embeddingLevels(text, base)
	at := 0
	for _, c := range clusters(string(text)) {
		p := levelled{text: c, level: levels[at]}
		if text[at] == isolated {
			p.inner, isolates = isolates[0], isolates[1:]
		}
		line = append(line, p)
		at += utf8.RuneCountInString(c)
	}
	return line
}

// leftmostFirst turns round whatever runs from right to left, the innermost first
// [L2].
func leftmostFirst(line []levelled) []levelled {
	for level := 2; level > 0; level-- {
		for from := 0; from < len(line); from++ {
			to := from
			for to < len(line) && line[to].level >= level {
				to++
			}
			slices.Reverse(line[from:to])
			from = to
		}
	}
	return line
}

// embeddingLevels are the embedding levels of a text without isolates.
func embeddingLevels(text []rune, base int) []int {
	classes := make([]bidi.Class, len(text))
	for i, r := range text {
		classes[i] = bidiClass(r)
	}
	before := directionOf(base)
	resolveWeak(classes, before)
	resolveBrackets(text, classes, before)
	resolveNeutral(classes, before)
	levels := make([]int, len(text))
	for i, c := range classes { // [I1, I2]
		levels[i] = base
		switch {
		case base == 0 && c == bidi.R:
			levels[i] = 1
		case c == bidi.EN, c == bidi.AN, base == 1 && c == bidi.L:
			levels[i] = 2
		}
	}
	return levels
}

func directionOf(level int) bidi.Class {
	if level%2 == 1 {
		return bidi.R
	}
	return bidi.L
}

// resolveWeak settles marks, numbers and what goes with numbers [W1 to W7].
func resolveWeak(classes []bidi.Class, before bidi.Class) {
	last, strong := before, before
	for i, c := range classes {
		switch c {
		case bidi.NSM, bidi.BN: // [W1]
			c = last
		case bidi.L, bidi.R, bidi.AL:
			strong = c
		}
		if c == bidi.EN && strong == bidi.AL { // [W2]
			c = bidi.AN
		}
		classes[i], last = c, c
	}
	resolveSeparators(classes)
	strong = before
	for i, c := range classes {
		switch c {
		case bidi.AL: // [W3]
			classes[i], strong = bidi.R, bidi.R
		case bidi.L, bidi.R:
			strong = c
		case bidi.ES, bidi.ET, bidi.CS: // [W6]
			classes[i] = bidi.ON
		case bidi.EN:
			if strong == bidi.L { // [W7]
				classes[i] = bidi.L
			}
		}
	}
}

// resolveSeparators makes single separators within numbers [W4] and signs
// beside them [W5] part of the number.
func resolveSeparators(classes []bidi.Class) {
	for i := 1; i+1 < len(classes); i++ {
		c, a, b := classes[i], classes[i-1], classes[i+1]
		if a == b && (c == bidi.ES && a == bidi.EN || c == bidi.CS && (a == bidi.EN || a == bidi.AN)) {
			classes[i] = a
		}
	}
	for i := range classes {
		if classes[i] == bidi.ET && i > 0 && classes[i-1] == bidi.EN {
			classes[i] = bidi.EN
		}
	}
	for i := len(classes) - 2; i >= 0; i-- {
		if classes[i] == bidi.ET && classes[i+1] == bidi.EN {
			classes[i] = bidi.EN
		}
	}
}

// asNeighbour is the direction that a settled class lends to neutral ones,
// and ON if it lends none.
func asNeighbour(c bidi.Class) bidi.Class {
	switch c {
	case bidi.L:
		return bidi.L
	case bidi.R, bidi.EN, bidi.AN:
		return bidi.R
	}
	return bidi.ON
}

// resolveBrackets lets a pair of brackets go with what is in it [N0].
func resolveBrackets(text []rune, classes []bidi.Class, before bidi.Class) {
	for _, pair := range bracketPairs(text, classes) {
		open, shut := pair[0], pair[1]
		inside, outside := bidi.Class(bidi.ON), before
		for _, c := range classes[open+1 : shut] {
			if d := asNeighbour(c); d == before || d != bidi.ON && inside == bidi.ON {
				inside = d
			}
		}
		for _, c := range classes[:open] {
			if d := asNeighbour(c); d != bidi.ON {
				outside = d
			}
		}
		switch {
		case inside == bidi.ON:
		case inside == before || outside == inside:
			classes[open], classes[shut] = inside, inside
		default:
			classes[open], classes[shut] = before, before
		}
	}
}

// bracketPairs finds matching brackets, in the order of the opening ones
// [BD16].
func bracketPairs(text []rune, classes []bidi.Class) (pairs [][2]int) {
	const deepest = 63
	var open []int
	for i, r := range text {
		p, _ := bidi.LookupRune(r)
		switch {
		case classes[i] != bidi.ON || !p.IsBracket():
		case p.IsOpeningBracket():
			if len(open) == deepest {
				return nil
			}
			open = append(open, i)
		default:
			for k := len(open) - 1; k >= 0; k-- {
				if mirrored(string(text[open[k]])) == string(r) {
					pairs = append(pairs, [2]int{open[k], i})
					open = open[:k]
					break
				}
			}
		}
	}
	slices.SortFunc(pairs, func(a, b [2]int) int { return a[0] - b[0] })
	return pairs
}

// resolveNeutral gives what has no direction that of its neighbours, if they
// agree [N1], or else that of the whole [N2].
func resolveNeutral(classes []bidi.Class, before bidi.Class) {
	left := before
	for i := 0; i < len(classes); i++ {
		if d := asNeighbour(classes[i]); d != bidi.ON {
			left = d
			continue
		}
		end := i
		for end < len(classes) && asNeighbour(classes[end]) == bidi.ON {
			end++
		}
		right := before
		if end < len(classes) {
			right = asNeighbour(classes[end])
		}
		between := before
		if left == right {
			between = left
		}
		for ; i < end; i++ {
			classes[i] = between
		}
		i--
	}
}

// mirrored turns a bracket round, in words that run from right to left.
func mirrored(cluster string) string {
	r, n := utf8.DecodeRuneInString(cluster)
	if i := slices.Index(mirrorPairs, r); i >= 0 {
		return string(mirrorPairs[i^1]) + cluster[n:]
	}
	return bidi.ReverseString(cluster[:n]) + cluster[n:]
}

// mirrorPairs are signs with a direction, likely on a plate, that are not
// brackets to the algorithm.
var mirrorPairs = []rune("<>«»‹›≤≥")
