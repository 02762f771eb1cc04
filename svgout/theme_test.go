package svgout

import (
	"bytes"
	"math"
	"regexp"
	"strings"
	"testing"
)

// A theme changes colours and nothing else.
func TestThemesChangeColoursAlone(t *testing.T) {
	drawing, err := AtrialDrawing(reportOf(t, "plan", trialPlan("Themes (invented)", "", "1", "2")), Reader{})
	if err != nil {
		t.Fatal(err)
	}
	colour := regexp.MustCompile(`#[0-9a-f]{6}`)
	written := func(theme Theme) string {
		var out bytes.Buffer
		if err := WriteSVG(&out, drawing.In(theme)); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	paper := written("")
	if written(ThemePaper) != paper {
		t.Error("paper is not what a drawing is without a theme")
	}
	for _, theme := range []Theme{ThemeDark, ThemeGrey} {
		themed := written(theme)
		if themed == paper || colour.ReplaceAllString(themed, "") != colour.ReplaceAllString(paper, "") {
			t.Errorf("%s changes more than colours, or nothing", theme)
		}
		for _, c := range colour.FindAllString(themed, -1) {
			if theme == ThemeGrey && (c[1:3] != c[3:5] || c[3:5] != c[5:7]) {
				t.Errorf("%s is no grey", c)
			}
		}
	}
	if written(ThemePaper) != paper || strings.Contains(paper, string(ThemeDark.of(white))) {
		t.Error("a theme changed the drawing it was taken from")
	}
}

// Greyed, a colour is as bright as it was, by the luminance of WCAG 2, to the step of an eighth bit.
func TestGreysKeepTheirLuminance(t *testing.T) {
	for _, r := range houseStyle {
		for _, c := range []Colour{r.Fill, r.Stroke} {
			if c == "" {
				continue
			}
			was, is := parseColour(t, c).luminance(), parseColour(t, ThemeGrey.of(c)).luminance()
			if math.Abs(was-is) > 0.0045 {
				t.Errorf("%s has the luminance %.4f, its grey %.4f", c, was, is)
			}
		}
	}
}

// Turned over, what was brighter is darker, and the hue is kept: by CIELAB as the other tests of colours have it.
func TestDarkTurnsLightnessOver(t *testing.T) {
	for _, r := range houseStyle {
		for _, c := range []Colour{r.Fill, r.Stroke} {
			if c == "" {
				continue
			}
			was, is := lab(parseColour(t, c).linear()), lab(parseColour(t, ThemeDark.of(c)).linear())
			if want := darkInk + (darkPaper-darkInk)*was[0]/100; math.Abs(is[0]-want) > 0.6 {
				t.Errorf("%s has the lightness %.1f, turned over %.1f, want %.1f", c, was[0], is[0], want)
			}
			if chroma := math.Hypot(is[1], is[2]); chroma > 8 {
				if turn := math.Remainder(math.Atan2(was[2], was[1])-math.Atan2(is[2], is[1]), 2*math.Pi); math.Abs(turn) > 0.1 {
					t.Errorf("%s changes its hue by %.2f", c, turn)
				}
			}
		}
	}
}
