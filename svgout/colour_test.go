package svgout

import (
	"math"
	"strconv"
	"testing"
)

// rgb are the three parts of a colour, from 0 to 1.
type rgb [3]float64

func parseColour(t *testing.T, c Colour) rgb {
	t.Helper()
	v, err := strconv.ParseUint(string(c[1:]), 16, 32)
	if err != nil || len(c) != 7 || c[0] != '#' {
		t.Fatalf("%q is not a colour", c)
	}
	return rgb{float64(v>>16) / 255, float64(v>>8&255) / 255, float64(v&255) / 255}
}

// linear undoes the sRGB transfer curve.
func (c rgb) linear() rgb {
	var out rgb
	for i, v := range c {
		if v <= 0.04045 {
			out[i] = v / 12.92
		} else {
			out[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return out
}

// luminance is the relative luminance of WCAG 2.
func (c rgb) luminance() float64 {
	l := c.linear()
	return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2]
}

// contrast is the contrast ratio of WCAG 2.
func contrast(a, b rgb) float64 {
	la, lb := a.luminance(), b.luminance()
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

// lab is CIELAB under D65 of a linear sRGB colour.
func lab(l rgb) [3]float64 {
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2]) / 0.95047)
	y := f(0.2126729*l[0] + 0.7151522*l[1] + 0.0721750*l[2])
	z := f((0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// deltaE is the CIE 1976 colour difference of linear sRGB colours.
func deltaE(a, b rgb) float64 {
	p, q := lab(a), lab(b)
	return math.Hypot(math.Hypot(p[0]-q[0], p[1]-q[1]), p[2]-q[2])
}

// visions are how linear sRGB looks to people who lack one kind of cone:
// Machado, Oliveira and Fernandes, "A physiologically-based model for
// simulation of color vision deficiency", 2009, severity 1.0.
var visions = map[string][3]rgb{
	"usual":       {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopic":  {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranope": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopic":  {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func seen(matrix [3]rgb, l rgb) rgb {
	var out rgb
	for i, row := range matrix {
		v := row[0]*l[0] + row[1]*l[1] + row[2]*l[2]
		out[i] = math.Max(0, math.Min(1, v))
	}
	return out
}

func TestContrastFormulaByItsPublishedValues(t *testing.T) {
	for _, c := range []struct {
		a, b Colour
		want float64
	}{{"#000000", "#ffffff", 21}, {"#767676", "#ffffff", 4.54}, {"#777777", "#ffffff", 4.48}, {"#ffffff", "#ffffff", 1}} {
		if got := contrast(parseColour(t, c.a), parseColour(t, c.b)); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s on %s: %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
}

func TestLabByKnownColours(t *testing.T) {
	for c, want := range map[Colour][3]float64{
		"#ffffff": {100, 0, 0}, "#000000": {0, 0, 0},
		"#ff0000": {53.24, 80.09, 67.20}, "#0000ff": {32.30, 79.19, -107.86},
	} {
		got := lab(parseColour(t, c).linear())
		for i := range got {
			if math.Abs(got[i]-want[i]) > 0.03 {
				t.Errorf("%s is %.2f in CIELAB, want %.2f", c, got, want)
				break
			}
		}
	}
}

func TestVisionMatricesKeepWhite(t *testing.T) {
	for name, m := range visions {
		for _, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 2e-6 {
				t.Errorf("%s: a row adds up to %v", name, sum)
			}
		}
	}
}

// TestLevelsStayApartInAnyEye wants 20 units of CIELAB between any two
// levels; two units are just visible side by side.
func TestLevelsStayApartInAnyEye(t *testing.T) {
	const least = 20
	for _, theme := range []Theme{ThemePaper, ThemeDark} { // without colour, marks tell them apart
		levelsApart(t, least, []Colour{theme.of(clearTeal), theme.of(cautionAmber), theme.of(avoidAubergin)})
	}
}

func levelsApart(t *testing.T, least float64, levels []Colour) {
	t.Helper()
	for name, m := range visions {
		for i, a := range levels {
			for _, b := range levels[:i] {
				d := deltaE(seen(m, parseColour(t, a).linear()), seen(m, parseColour(t, b).linear()))
				t.Logf("%-11s %s %s: %.1f", name, a, b, d)
				if d < least {
					t.Errorf("%s: %s and %s differ by %.1f only", name, a, b, d)
				}
			}
		}
	}
}

// TestMeaningsHaveColoursOfTheirOwn wants 18 units of CIELAB between the
// strong colours of any two meanings, for the usual eye.
func TestMeaningsHaveColoursOfTheirOwn(t *testing.T) {
	const least = 18
	meanings := []Colour{conductionGold, apicalViolet, basalBlue, fibrousSlate, ventricleOlive, coronaryRed, aortaRose, ostiumNavy, threadGreen, clearTeal, cautionAmber, avoidAubergin, inkBlack}
	for i, a := range meanings {
		for _, b := range meanings[:i] {
			if d := deltaE(parseColour(t, a).linear(), parseColour(t, b).linear()); d < least {
				t.Errorf("%s and %s differ by %.1f only", a, b, d)
			}
		}
	}
}
