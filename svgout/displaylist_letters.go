package svgout

import (
	"fmt"
	"strings"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// replacement stands in PDF and PNG for each run of characters that the font
// has no shape for, such as pictographs and Arabic.
const replacement = '□'

// lastOfBasicPlane is the last character that the PDF library can letter.
const lastOfBasicPlane = 0xffff

// typeface is one weight of Liberation Sans, the house family's font that
// may be carried along.
type typeface struct {
	ttf  []byte
	font *sfnt.Font
	buf  *sfnt.Buffer
}

// typefaces are the two weights: regular and bold.
type typefaces struct{ regular, bold typeface }

func loadTypefaces() (t typefaces, err error) {
	if t.regular, err = loadTypeface(liberationsansregular.TTF); err != nil {
		return t, err
	}
	t.bold, err = loadTypeface(liberationsansbold.TTF)
	return t, err
}

func loadTypeface(ttf []byte) (typeface, error) {
	parsed, err := sfnt.Parse(ttf)
	if err != nil {
		return typeface{}, fmt.Errorf("svgout: the font: %w", err)
	}
	return typeface{ttf, parsed, &sfnt.Buffer{}}, nil
}

func (t typefaces) of(f Font) typeface {
	if f.Bold {
		return t.bold
	}
	return t.regular
}

// glyph is the font's number for a character, and zero if it has none.
func (t typeface) glyph(r rune) sfnt.GlyphIndex {
	if r > lastOfBasicPlane {
		return 0
	}
	g, err := t.font.GlyphIndex(t.buf, r)
	if err != nil {
		return 0
	}
	return g
}

// written is a line as the font can show it: from left to right, without
// what is not seen, and with replacements.
func (t typeface) written(text string) string {
	var b strings.Builder
	lacking := false
	for _, cluster := range visual(text) {
		shown, complete := t.shown(cluster)
		if shown == "" && complete {
			continue // a joiner or a direction mark
		}
		if !complete && !lacking {
			b.WriteRune(replacement)
		}
		lacking = !complete
		b.WriteString(shown)
	}
	return b.String()
}

// shown is what the font has of a character and its marks. It is not
// complete if the character itself is lacking.
func (t typeface) shown(cluster string) (shown string, complete bool) {
	var b strings.Builder
	for _, r := range cluster {
		switch {
		case unicode.In(r, unicode.Cf):
		case unicode.IsSpace(r):
			b.WriteRune(' ')
		case t.glyph(r) != 0:
			b.WriteRune(r)
		case !unicode.In(r, unicode.Mn, unicode.Me):
			return "", false
		}
	}
	return b.String(), true
}

// unitsPerEm is the step in which the font is measured here: its own.
func (t typeface) unitsPerEm() fixed.Int26_6 { return fixed.I(int(t.font.UnitsPerEm())) }

// advance is how far a character takes the pen on, in em.
func (t typeface) advance(r rune) (em float64) {
	a, err := t.font.GlyphAdvance(t.buf, t.glyph(r), t.unitsPerEm(), font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / float64(t.unitsPerEm())
}

// kerning is how much nearer, if negative, two characters stand, in em.
// Figures keep their common width: this font's own 1 next to a 1 would not,
// and SVG viewers do not follow it there either.
func (t typeface) kerning(left, right rune) (em float64) {
	if unicode.IsDigit(left) && unicode.IsDigit(right) {
		return 0
	}
	k, err := t.font.Kern(t.buf, t.glyph(left), t.glyph(right), t.unitsPerEm(), font.HintingNone)
	if err != nil {
		return 0 // the font has no such pair
	}
	return float64(k) / float64(t.unitsPerEm())
}

// piece is a stretch of a line without kerning in it, and where it begins.
type piece struct {
	text string
	atEm float64
}

// pieces sets a line from written as SVG viewers do, who kern it, and tells
// its width in em.
func (t typeface) pieces(written string) (line []piece, widthEm float64) {
	var last rune
	begin := 0
	begins := 0.0
	for i, r := range written {
		if i > 0 {
			if k := t.kerning(last, r); k != 0 {
				line = append(line, piece{written[begin:i], begins})
				widthEm += k
				begin, begins = i, widthEm
			}
		}
		widthEm += t.advance(r)
		last = r
	}
	return append(line, piece{written[begin:], begins}), widthEm
}
