package svgout

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func testFaces(t testing.TB) typefaces {
	t.Helper()
	faces, err := loadTypefaces()
	if err != nil {
		t.Fatal(err)
	}
	return faces
}

// What the font has is drawn, from left to right; one square stands for each
// run of what it has not.
func TestWritten(t *testing.T) {
	face := testFaces(t).regular
	for text, want := range map[string]string{
		"":                                "",
		"Ærø ½ µm ≤ 2.5 mm — °":           "Ærø ½ µm ≤ 2.5 mm — °",
		"no\u00a0break, soft\u00adhyphen": "no break, softhyphen",
		"🫀 stitch 👩\u200d⚕️ 7":            "□ stitch □ 7",
		"🫀🫁🧠":                             "□",
		"صمام ثلاثي":                      "□ □",
		"צניפי 12":                        "12 יפינצ",
		Isolate("צניפי") + ": 3 mm":       "יפינצ: 3 mm",
		"e\u0301e\u0301":                  "e\u0301e\u0301",
		"🫀\u0301x":                        "□x",
		"中文 names":                        "□ names",
		"\u200f\u200e":                    "",
	} {
		if got := face.written(text); got != want {
			t.Errorf("%q is written %q, want %q", text, got, want)
		}
	}
}

// Advance widths and kerning as fontTools 4.38.0 reads them in the tables
// hmtx and kern of Liberation Sans 2.1.4.
func TestLettersAreMeasuredByTheFont(t *testing.T) {
	faces := testFaces(t)
	for _, c := range []struct {
		face typeface
		r    rune
		em   float64
	}{
		{faces.regular, 'A', 1366. / 2048}, {faces.regular, 'i', 455. / 2048}, {faces.regular, '1', 1139. / 2048},
		{faces.bold, 'A', 1479. / 2048}, {faces.bold, 'i', 569. / 2048},
	} {
		if got := c.face.advance(c.r); got != c.em {
			t.Errorf("%q is %v em wide, want %v", c.r, got, c.em)
		}
	}
	line, width := faces.regular.pieces("AVi")
	av, vi := -152./2048, -37./2048
	want := []piece{{"A", 0}, {"V", 1366./2048 + av}, {"i", (1366+1366)/2048. + av + vi}}
	if math.Abs(width-((1366+1366+455)/2048.+av+vi)) > 1e-12 || !slices.Equal(line, want) {
		t.Errorf("AVi is %v em wide, in pieces %v; want %v", width, line, want)
	}
	if line, _ := faces.regular.pieces("1111"); len(line) != 1 {
		t.Errorf("figures are kerned: %v", line)
	}
}

// Lettering in PDF and PNG keeps within the room that Layout reserved for it
// from its own table.
func TestLettersKeepWithinTheirRoom(t *testing.T) {
	faces := testFaces(t)
	texts := map[string]string{}
	for _, file := range examplePlans(t) {
		for _, e := range recordedExample(t, file).entries {
			if e.kind == kindText {
				texts[e.text] = e.name
			}
		}
	}
	for _, text := range widthSamples {
		texts[text] = "label"
	}
	fullest := 0.0
	for text, class := range texts {
		f := Lettering(class)
		face := faces.of(f)
		_, em := face.pieces(face.written(text))
		width, room := em*f.SizeMM, MeasureIn(class, text)
		fullest = max(fullest, width/room)
		if width > room {
			t.Errorf("%q in %s is %.2f mm wide, measured as %.2f mm", text, class, width, room)
		}
	}
	t.Logf("%d lines, the fullest takes %.1f %% of its room", len(texts), 100*fullest)
}

func FuzzWritten(f *testing.F) {
	for _, name := range hostileNames {
		f.Add(name)
	}
	face := testFaces(f).regular
	f.Fuzz(func(t *testing.T, text string) {
		written := face.written(text)
		for _, r := range written {
			if r != ' ' && face.glyph(r) == 0 {
				t.Errorf("%q is written %q, which the font cannot", text, written)
			}
		}
		if _, width := face.pieces(written); width < 0 || strings.ContainsRune(written, popIsolate) {
			t.Errorf("%q is written %q, %v em wide", text, written, width)
		}
	})
}
