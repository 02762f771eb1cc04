package svgout

import (
	"strings"
	"testing"
)

// A word too wide for its line is parted at its soft hyphens, with a hyphen where it is and none elsewhere; a blank that
// holds together what stands on either side of it parts no line.
func TestWrapAtSoftHyphens(t *testing.T) {
	const word = "Donau\u00addampf\u00adschiff\u00adfahrt"
	wide := func(text string) float64 { return Measure(text, 4, false) }
	for _, c := range []struct {
		text    string
		widthMM float64
		want    string
	}{
		{word, wide("Donaudampfschifffahrt"), "Donaudampfschifffahrt"},
		{word, wide("Donaudampfschiff-"), "Donaudampfschiff-|fahrt"},
		{word, wide("Donaudampfschiff"), "Donaudampf-|schifffahrt"},
		{word, wide("Donau-"), "Donau-|dampf-|schiff-|fahrt"},
		{"die " + word, wide("die Donaudampfschifffahrt"), "die Donaudampfschifffahrt"},
		{"die " + word + " ruht", wide("Donaudampfschifffahrt"), "die|Donaudampfschifffahrt|ruht"},
		{"auf 12\u00a0mm genau", wide("genau so"), "auf|12\u00a0mm|genau"},
	} {
		if got := strings.Join(Wrap(c.text, c.widthMM, 4, false), "|"); got != c.want {
			t.Errorf("%q in %.1f mm: %q, want %q", c.text, c.widthMM, got, c.want)
		}
	}
	for _, line := range Wrap(word, wide("Don"), 4, false) {
		if w := wide(line); w > wide("Don") {
			t.Errorf("%q is %.1f mm wide", line, w)
		}
	}
	if got := clean("Koronarsinus\u00adostium"); got != "Koronarsinusostium" {
		t.Errorf("drawn as %q", got)
	}
}

// A line does not end between a number and its unit, unless the two have no line to go on.
func TestNumbersStayWithTheirUnits(t *testing.T) {
	text := "clear by 10 mm, 47 % of 8.6 mm² left"
	for width := 4.0; width < 60; width += 0.25 {
		lines := Wrap(text, width, 3.65, false)
		if got := strings.Join(lines, " "); Measure("clear", 3.65, false) <= width && got != text {
			t.Fatalf("%.2f mm wide: %q", width, lines)
		}
		for i, line := range lines[1:] {
			before := lines[i]
			if whole := before[strings.LastIndex(before, " ")+1:] + " " + strings.Fields(line)[0]; isUnit(strings.Fields(line)[0]) && endsInDigit(before) && Measure(whole, 3.65, false) <= width {
				t.Errorf("%.2f mm wide: a line ends in %q, the next begins with %q", width, before, line)
			}
		}
	}
	if lines := Wrap("8.6 mm", Measure("mm", 3.65, false)+0.01, 3.65, false); len(lines) != 2 {
		t.Errorf("too wide for a line: %q", lines)
	}
}
