package svgout

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

//go:generate go run ./internal/measurefonts -fonts $FAIRLEAD_FONTS -out lettering_widths.go

// widthRun holds the advance widths of neighbouring characters, in
// thousandths of an em.
type widthRun struct {
	first  rune
	widths []uint16
}

const (
	// ascentEm and descentEm are how far a line of lettering may reach above
	// and below its baseline, in em. A browser's box of Arabic lettering goes
	// down 0.25 em, of Latin lettering 0.24 em.
	ascentEm  = 0.93
	descentEm = 0.26
	// lineEm is the distance from baseline to baseline, in em.
	lineEm = 1.25

	// allowance is added to every width for hinting and for fonts a little
	// wider than the ones measured.
	allowance = 1.02

	// Widths in em of characters outside the table.
	unknownEm = 1.1
	emojiEm   = 1.5
)

// Measure is the greatest width in millimetres that a line of text may take
// at a font size of sizeMM. It needs no font: widths come from a table, with
// the wider of two common families for each character and 2 % on top.
func Measure(text string, sizeMM float64, bold bool) (widthMM float64) {
	em := 0.0
	for _, r := range clean(text) {
		em += advanceEm(r, bold)
	}
	return em * sizeMM * allowance
}

// MeasureIn is Measure in the lettering of a class.
func MeasureIn(class, text string) (widthMM float64) {
	f := Lettering(class)
	return Measure(text, f.SizeMM, f.Bold)
}

// LineHeight is the distance in millimetres between the baselines of
// neighbouring lines at a font size of sizeMM.
func LineHeight(sizeMM float64) float64 { return lineEm * sizeMM }

// BlockHeight is the height in millimetres of lines set beneath one another
// in the lettering of a class, from the first ascent to the last descent.
func BlockHeight(class string, lines int) float64 {
	if lines <= 0 {
		return 0
	}
	size := Lettering(class).SizeMM
	return float64(lines-1)*LineHeight(size) + (ascentEm+descentEm)*size
}

func advanceEm(r rune, bold bool) float64 {
	table := regularWidths
	if bold {
		table = boldWidths
	}
	i, found := slices.BinarySearchFunc(table, r, func(run widthRun, r rune) int { return int(run.first - r) })
	if !found {
		i--
	}
	if i >= 0 {
		if k := int(r - table[i].first); k < len(table[i].widths) {
			return float64(table[i].widths[k]) / 1000
		}
	}
	return fallbackEm(r)
}

// fallbackEm guesses on the wide side, but for characters that take no room
// of their own.
func fallbackEm(r rune) float64 {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1f000 && r <= 0x1faff, r >= 0x2600 && r <= 0x27bf, r >= 0x2b00 && r <= 0x2bff:
		return emojiEm
	}
	return unknownEm
}

const ellipsis = "…"

// Clip shortens text, with an ellipsis, to fit a width in millimetres. Text
// that fits is returned as it is. Nothing at all is returned when not even
// the ellipsis fits.
func Clip(text string, maxWidthMM, sizeMM float64, bold bool) string {
	if Measure(text, sizeMM, bold) <= maxWidthMM {
		return text
	}
	runes := []rune(clean(text))
	for n := len(runes); n >= 0; n-- {
		short := strings.TrimRight(string(runes[:n]), " ") + ellipsis
		if Measure(short, sizeMM, bold) <= maxWidthMM {
			return short
		}
	}
	return ""
}

// Wrap breaks text into lines that fit a width in millimetres: at blanks
// where it can, but not between a number and its unit, and inside a word only
// if the word alone is too wide: at its soft hyphens, if it has any, else
// anywhere. A character wider than the width still gets a line of its own, so
// that no text is lost.
func Wrap(text string, maxWidthMM, sizeMM float64, bold bool) []string {
	var lines []string
	line := ""
	fits := func(word string) bool { return Measure(word, sizeMM, bold) <= maxWidthMM }
	for _, word := range wordsOf(text, fits) {
		joined := strings.TrimPrefix(line+" "+strings.ReplaceAll(word, softHyphen, ""), " ")
		if Measure(joined, sizeMM, bold) <= maxWidthMM {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		var pieces []string
		for _, part := range hyphenated(word, maxWidthMM, sizeMM, bold) {
			pieces = append(pieces, breakWord(part, maxWidthMM, sizeMM, bold)...)
		}
		lines = append(lines, pieces[:len(pieces)-1]...)
		line = pieces[len(pieces)-1]
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// wordsOf cuts a text at its blanks, but not where a blank holds together what
// it parts, nor between a number and its unit where the two fit a line.
func wordsOf(text string, fits func(string) bool) (cut []string) {
	atBlanks := func(r rune) bool { return r == ' ' }
	for _, word := range strings.FieldsFunc(cleanForBreaking(text), atBlanks) {
		if last := len(cut) - 1; last >= 0 && isUnit(word) && endsInDigit(cut[last]) && fits(cut[last]+" "+word) {
			cut[last] += " " + word
			continue
		}
		cut = append(cut, word)
	}
	return cut
}

// isUnit tells a unit that a number stands before, with what closes a clause
// behind it.
func isUnit(word string) bool {
	switch strings.TrimRight(word, ".,;:)") {
	case "mm", "mm²", "m²", "%":
		return true
	}
	return false
}

func endsInDigit(word string) bool {
	last, _ := utf8.DecodeLastRuneInString(word)
	return unicode.IsDigit(last)
}

// softHyphen says where a word may be parted.
const softHyphen = "\u00ad"

// hyphenated parts a word at its soft hyphens where it must, each part as long
// as fits and all but the last behind a hyphen; a word that fits stays whole.
func hyphenated(word string, maxWidthMM, sizeMM float64, bold bool) (parts []string) {
	syllables := strings.Split(word, softHyphen)
	part := syllables[0]
	for i, next := range syllables[1:] {
		longer := part + next
		if last := i == len(syllables)-2; !last {
			longer += "-"
		}
		if Measure(longer, sizeMM, bold) <= maxWidthMM {
			part += next
			continue
		}
		parts = append(parts, part+"-")
		part = next
	}
	return append(parts, part)
}

// breakWord cuts a word into pieces that fit; combining marks and joiners
// stay with what they belong to.
func breakWord(word string, maxWidthMM, sizeMM float64, bold bool) []string {
	pieces := []string{""}
	for _, cluster := range clusters(word) {
		last := &pieces[len(pieces)-1]
		if *last != "" && Measure(*last+cluster, sizeMM, bold) > maxWidthMM {
			pieces = append(pieces, cluster)
			continue
		}
		*last += cluster
	}
	return pieces
}

const zeroWidthJoiner = '\u200d'

// clusters splits a word where a line may be broken in need: never before a
// character without width, nor after a joiner.
func clusters(word string) []string {
	var out []string
	joined := false
	for _, r := range word {
		if len(out) > 0 && (joined || unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf)) {
			out[len(out)-1] += string(r)
		} else {
			out = append(out, string(r))
		}
		joined = r == zeroWidthJoiner
	}
	return out
}

// Fit wraps text in the lettering of a class into at most maxLines lines;
// what does not fit is cut off behind an ellipsis.
func Fit(class, text string, maxWidthMM float64, maxLines int) []string {
	f := Lettering(class)
	lines := Wrap(text, maxWidthMM, f.SizeMM, f.Bold)
	if maxLines < 1 || len(lines) <= maxLines {
		return lines
	}
	rest := strings.Join(lines[maxLines-1:], " ")
	return append(lines[:maxLines-1], Clip(rest+ellipsis, maxWidthMM, f.SizeMM, f.Bold))
}
