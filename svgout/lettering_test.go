package svgout

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestWidthsByTheFontsThemselves uses advances known of the two fonts: Liberation Sans has 2048 units to the em, and so has
// DejaVu Sans.
func TestWidthsByTheFontsThemselves(t *testing.T) {
	for _, c := range []struct {
		text string
		bold bool
		em   float64
	}{
		{" ", false, 651.0 / 2048},             // DejaVu; Liberation 569
		{"W", false, 2025.0 / 2048},            // DejaVu; Liberation 1933
		{"i", false, 569.0 / 2048},             // DejaVu; Liberation 455
		{"0", false, 1303.0 / 2048},            // DejaVu; Liberation 1139
		{"@", false, 2079.0 / 2048},            // Liberation; DejaVu 2048
		{"…", false, 2048.0 / 2048},            // both
		{"m", true, 2134.0 / 2048},             // DejaVu Bold; Liberation 1821
		{"e\u0301", false, 1260.0 / 2048},      // the accent takes no room
		{"\u2068i\u2069", false, 569.0 / 2048}, // nor do controls
		{"漢", false, 1.1}, {"🫀", false, 1.5}, {"", true, 0},
	} {
		got := Measure(c.text, 10, c.bold)
		if want := c.em * 10 * 1.02; got < want-1e-9 || got > want+0.011*float64(utf8.RuneCountInString(c.text)) {
			t.Errorf("Measure(%q) = %.4f mm, want %.4f", c.text, got, want)
		}
	}
}

func TestMeasureScales(t *testing.T) {
	one, ten := Measure("Anterior leaflet", 1, false), Measure("Anterior leaflet", 10, false)
	if math.Abs(ten-10*one) > 1e-9 {
		t.Errorf("%v is not ten times %v", ten, one)
	}
	if MeasureIn("heading", "x") != Measure("x", headingLetter, true) {
		t.Error("a class is not measured in its own lettering")
	}
}

func TestTablesAreInOrder(t *testing.T) {
	for _, table := range [][]widthRun{regularWidths, boldWidths} {
		last := rune(-1)
		for _, run := range table {
			if run.first <= last || len(run.widths) == 0 {
				t.Fatalf("the run from %U is out of order or empty", run.first)
			}
			last = run.first + rune(len(run.widths)) - 1
		}
	}
}

func TestClip(t *testing.T) {
	text := "The triangle's basal half"
	if got := Clip(text, 200, 4, false); got != text {
		t.Errorf("text that fits became %q", got)
	}
	whole := Measure(text, 4, false)
	if got := Clip(text, whole, 4, false); got != text {
		t.Errorf("text that just fits became %q", got)
	}
	for width := whole - 0.01; width > Measure(ellipsis, 4, false); width -= 0.7 {
		got := Clip(text, width, 4, false)
		if Measure(got, 4, false) > width || !strings.HasSuffix(got, ellipsis) || !strings.HasPrefix(text, strings.TrimSuffix(got, ellipsis)) {
			t.Errorf("clipped to %.2f mm: %q of %.2f mm", width, got, Measure(got, 4, false))
		}
	}
	if got := Clip(text, 1, 4, false); got != "" {
		t.Errorf("with no room at all: %q", got)
	}
}

func TestWrap(t *testing.T) {
	if lines := Wrap("", 50, 4, false); len(lines) != 0 {
		t.Errorf("nothing became %q", lines)
	}
	got := strings.Join(Wrap("one two  three\nfour", Measure("one two", 4, false), 4, false), "|")
	if got != "one two|three|four" {
		t.Errorf("wrapped to %q", got)
	}
	for i, line := range Wrap(strings.Repeat("m", 500), 50, 4, false) {
		if w := Measure(line, 4, false); w > 50 || line == "" {
			t.Errorf("line %d is %.2f mm wide", i, w)
		}
	}
}

// TestWrapLosesNothing wraps random texts: every line fits, but for
// one whole character that alone does not, and put together
// the lines hold every character, in order, but for blanks.
func TestWrapLosesNothing(t *testing.T) {
	letters := []rune("abcWim  …é漢🫀\u0301\u200dש")
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		var b strings.Builder
		for range rng.IntN(80) {
			b.WriteRune(letters[rng.IntN(len(letters))])
		}
		width := 8 + 30*rng.Float64()
		lines := Wrap(b.String(), width, 4, rng.IntN(2) == 0)
		if got, want := without(strings.Join(lines, "")), without(b.String()); got != want {
			t.Fatalf("%q became %q", want, got)
		}
		for _, line := range Wrap(b.String(), width, 4, false) {
			if w := Measure(line, 4, false); w > width && len(clusters(line)) > 1 {
				t.Fatalf("line %q is %.2f mm wide, room %.2f", line, w, width)
			}
		}
	}
}

func without(text string) string { return strings.Join(strings.Fields(text), "") }

func TestWordsBreakBetweenWholeCharacters(t *testing.T) {
	var lines []string
	for width := 12.0; width < 40; width++ {
		lines = append(lines, Wrap(strings.Repeat("e\u0301👩\u200d⚕\ufe0f", 30), width, 4, false)...)
	}
	for _, line := range lines {
		if r, _ := utf8.DecodeRuneInString(line); r == '\u0301' || r == '\u200d' || r == '⚕' || r == '\ufe0f' {
			t.Errorf("a line begins with %U", r)
		}
	}
}

func TestFit(t *testing.T) {
	long := strings.Repeat("Unbreakable", 50)
	lines := Fit("label", long, 60, 3)
	if len(lines) != 3 || !strings.HasSuffix(lines[2], ellipsis) {
		t.Fatalf("fitted to %q", lines)
	}
	for _, line := range lines {
		if w := MeasureIn("label", line); w > 60 {
			t.Errorf("%q is %.2f mm wide", line, w)
		}
	}
	if got := strings.Join(Fit("label", "short words", 60, 3), "|"); got != "short words" {
		t.Errorf("fitted to %q", got)
	}
	if got := Fit("label", long, 60, 1); len(got) != 1 || !strings.HasSuffix(got[0], ellipsis) {
		t.Errorf("fitted to %q", got)
	}
}

func TestCapitalsByTheFont(t *testing.T) {
	// Liberation Sans draws H 1409 of 2048 units high, DejaVu Sans 1493.
	if math.Abs(capHeightEm-1409.0/2048) > 0.0001 {
		t.Errorf("capitals of %v em", capHeightEm)
	}
}
