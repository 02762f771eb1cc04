package svgout

import (
	"slices"
	"strings"
	"testing"
	"unicode"
)

// The order in which GNU FriBidi 1.0.8 (Debian 12) sets each line:
// fribidi --ltr --nopad --nobreak --clean.
var setByFribidi = []struct{ text, want string }{
	{"abc", "abc"},
	{"\u05d4\u05de\u05e1\u05ea\u05dd \u05d4\u05e6\u05e0\u05d9\u05e4\u05d9 12 \u05de״\u05de", "\u05de״\u05de 12 \u05d9\u05e4\u05d9\u05e0\u05e6\u05d4 \u05dd\u05ea\u05e1\u05de\u05d4"},
	{"\u05e6\u05e0\u05d9\u05e4\u05d9 12", "12 \u05d9\u05e4\u05d9\u05e0\u05e6"},
	{"bite (\u05d9\u05de\u05d9\u05df) 5", "bite (\u05df\u05d9\u05de\u05d9) 5"},
	{"bite \u05d9\u05de\u05d9\u05df (5)", "bite (5) \u05df\u05d9\u05de\u05d9"},
	{"\u05d9\u05de\u05d9\u05df 3.5 mm", "3.5 \u05df\u05d9\u05de\u05d9 mm"},
	{"12 \u05d9\u05de\u05d9\u05df 34 \u05e9\u05de\u05d0\u05dc 56", "12 56 \u05dc\u05d0\u05de\u05e9 34 \u05df\u05d9\u05de\u05d9"},
	{"\u05d9\u05de\u05d9\u05df 12% left", "12% \u05df\u05d9\u05de\u05d9 left"},
	{"-12° \u05d9\u05de\u05d9\u05df", "-12° \u05df\u05d9\u05de\u05d9"},
	{"\u05d9\u05de\u05d9\u05df [a] \u05e9\u05de\u05d0\u05dc", "\u05df\u05d9\u05de\u05d9 [a] \u05dc\u05d0\u05de\u05e9"},
	{"(\u05d9\u05de\u05d9\u05df)", "(\u05df\u05d9\u05de\u05d9)"},
	{"a(\u05d9\u05de\u05d9\u05df)9", "a(\u05df\u05d9\u05de\u05d9)9"},
	{"\u2068\u05d4\u05de\u05e1\u05ea\u05dd\u2069: 2.4 mm, coronary", "\u05dd\u05ea\u05e1\u05de\u05d4: 2.4 mm, coronary"},
	{"\u2068\u05d9\u05de\u05d9\u05df (a)\u2069, 5", "(a) \u05df\u05d9\u05de\u05d9, 5"},
	{"\u2067a b\u2069 c", "a b c"},
	{"\u2066\u05d9\u05de\u05d9\u05df a\u2069 \u05e9\u05de\u05d0\u05dc", "\u05df\u05d9\u05de\u05d9 a \u05dc\u05d0\u05de\u05e9"},
	{"\u05d9\u05de\u05d9\u05df 1,5/2 \u05e9\u05de\u05d0\u05dc", "\u05dc\u05d0\u05de\u05e9 1,5/2 \u05df\u05d9\u05de\u05d9"},
	{"\u05e9\u05b8\u05c1\u05dc\u05d5\u05b9\u05dd", "\u05dd\u05d5\u05b9\u05dc\u05e9\u05b8\u05c1"},
	{"\u05d9\u05de\u05d9\u05df < 5 ≤ 6", "6 \u2265 5 > \u05df\u05d9\u05de\u05d9"},
	{"a \u05d9\u05de\u05d9\u05df, \u05e9\u05de\u05d0\u05dc b", "a \u05dc\u05d0\u05de\u05e9 ,\u05df\u05d9\u05de\u05d9 b"},
	{"\u05d9\u05de\u05d9\u05df \u2068left 2\u2069 \u05e9\u05de\u05d0\u05dc", "\u05dc\u05d0\u05de\u05e9 left 2 \u05df\u05d9\u05de\u05d9"},
	{"\u05d9\u05de\u05d9\u05df 5-6", "5-6 \u05df\u05d9\u05de\u05d9"},
	{"5-6 \u05d9\u05de\u05d9\u05df", "5-6 \u05df\u05d9\u05de\u05d9"},
	{"\u05d9\u05de\u05d9\u05df +5 \u05e9\u05de\u05d0\u05dc", "\u05dc\u05d0\u05de\u05e9 5+ \u05df\u05d9\u05de\u05d9"},
	{"$5 \u05d9\u05de\u05d9\u05df 5$", "$5 5$ \u05df\u05d9\u05de\u05d9"},
}

func TestVisualOrderIsFribidis(t *testing.T) {
	for _, c := range setByFribidi {
		if got := withoutControls(strings.Join(visual(c.text), "")); got != c.want {
			t.Errorf("%+q is set %+q, want %+q", c.text, got, c.want)
		}
	}
}

func withoutControls(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, text)
}

// Where FriBidi 1.0.8 does otherwise, by hand from Unicode Standard Annex 9:
// isolated words without a letter run from left to right [P3], and words in
// one isolate have nothing to do with those in the next [X10].
func TestVisualOrderOfIsolates(t *testing.T) {
	for text, want := range map[string]string{
		"\u05d0 \u2068.2(\u2069 \u05d1":            "\u05d1 .2( \u05d0",
		"b\u2066\u05d1\u2069 \u2066°\u05d1×\u2069": "b\u05d1 °\u05d1×",
		"\u2067a\u2067\u05d0b\u2069\u2069":         "b\u05d0a",
		"\u2068\u05d0 \u2069":                      "\u05d0",
	} {
		if got := withoutControls(strings.Join(visual(text), "")); got != want {
			t.Errorf("%+q is set %+q, want %+q", text, got, want)
		}
	}
}

// Whatever the text, nothing gets lost but blanks at the end, and nothing is
// added; brackets may be turned round.
func FuzzVisual(f *testing.F) {
	for _, c := range setByFribidi {
		f.Add(c.text)
	}
	for _, name := range hostileNames {
		f.Add(name)
	}
	letters := func(text string) []rune {
		runes := []rune(strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return r
			}
			return -1
		}, text))
		slices.Sort(runes)
		return runes
	}
	f.Fuzz(func(t *testing.T, text string) {
		text = clean(text)
		if got := strings.Join(visual(text), ""); !slices.Equal(letters(got), letters(text)) {
			t.Errorf("%+q is set %+q", text, got)
		}
	})
}
