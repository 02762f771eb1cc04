package svgout

import (
	"fmt"
	"math"
	"strconv"
)

// Theme is where a drawing is shown. It changes colours alone: marks, hatches, lines and lettering are the same in all.
type Theme string

// The themes: white paper, which is the empty Theme too; dark, for lecture rooms; and greys, for printers without
// colour.
const (
	ThemePaper Theme = "paper"
	ThemeDark  Theme = "dark"
	ThemeGrey  Theme = "grey"
)

// Themes lists the themes.
func Themes() []Theme { return []Theme{ThemePaper, ThemeDark, ThemeGrey} }

// of is a colour of the house style as a theme has it.
func (t Theme) of(c Colour) Colour {
	if c == "" {
		return ""
	}
	switch t {
	case ThemeDark:
		return turnedOver(c)
	case ThemeGrey:
		return greyed(c)
	}
	return c
}

// rule is a class of the house style as a theme has it.
func (t Theme) rule(class string) rule {
	r := ruleByClass[class]
	r.Fill, r.Stroke = t.of(r.Fill), t.of(r.Stroke)
	return r
}

// linearRGB are the parts of a colour as amounts of light, from 0 to 1.
type linearRGB [3]float64

// linear undoes the transfer curve of sRGB (IEC 61966-2-1).
func (c Colour) linear() (l linearRGB) {
	v, err := strconv.ParseUint(string(c[1:]), 16, 32)
	if err != nil {
		return l
	}
	for i := range l {
		part := float64(v>>(16-8*i)&255) / 255
		if l[i] = part / 12.92; part > 0.04045 {
			l[i] = math.Pow((part+0.055)/1.055, 2.4)
		}
	}
	return l
}

// colour is the sRGB colour nearest to amounts of light.
func (l linearRGB) colour() Colour {
	var parts [3]int
	for i, v := range l {
		part := 12.92 * v
		if v > 0.0031308 {
			part = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		parts[i] = int(math.Round(255 * min(max(part, 0), 1)))
	}
	return Colour(fmt.Sprintf("#%02x%02x%02x", parts[0], parts[1], parts[2]))
}

// inGamut tells whether a screen has such a colour.
func (l linearRGB) inGamut() bool {
	for _, v := range l {
		if !(v >= -1e-4 && v <= 1+1e-4) {
			return false
		}
	}
	return true
}

// luminance is the relative luminance of WCAG 2.
func (l linearRGB) luminance() float64 { return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2] }

// greyed is the grey as bright as a colour, so that every contrast stays what it was.
func greyed(c Colour) Colour {
	y := c.linear().luminance()
	return linearRGB{y, y, y}.colour()
}

// The lightness (CIELAB) that white and black have in the dark theme: paper that does not glare, and ink that does not
// burn.
const (
	darkPaper = 8.0
	darkInk   = 100.0
)

// turnedOver is a colour with its lightness turned over: what was darkest is brightest, its hue the same, its chroma as
// much of the old one as a screen has at that lightness.
func turnedOver(c Colour) Colour {
	lightness, a, b := c.linear().lab()
	lightness = darkInk + (darkPaper-darkInk)*lightness/100
	for chroma := 1.0; ; chroma -= 0.02 {
		if l := fromLab(lightness, chroma*a, chroma*b); chroma <= 0 || l.inGamut() {
			return l.colour()
		}
	}
}

// The white point D65 of CIELAB, and the matrix from linear sRGB to CIE XYZ.
var (
	whiteD65 = [3]float64{0.95047, 1, 1.08883}
	toXYZ    = [3][3]float64{{0.4124564, 0.3575761, 0.1804375}, {0.2126729, 0.7151522, 0.0721750}, {0.0193339, 0.1191920, 0.9503041}}
	fromXYZ  = [3][3]float64{{3.2404542, -1.5371385, -0.4985314}, {-0.9692660, 1.8760108, 0.0415560}, {0.0556434, -0.2040259, 1.0572252}}
)

// lab is a colour in CIELAB: lightness from 0 to 100, and two axes of hue.
func (l linearRGB) lab() (lightness, a, b float64) {
	var f [3]float64
	for i, row := range toXYZ {
		v := (row[0]*l[0] + row[1]*l[1] + row[2]*l[2]) / whiteD65[i]
		if f[i] = (24389.0/27*v + 16) / 116; v > 216.0/24389 {
			f[i] = math.Cbrt(v)
		}
	}
	return 116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])
}

// fromLab is the inverse of lab.
func fromLab(lightness, a, b float64) (l linearRGB) {
	middle := (lightness + 16) / 116
	var xyz [3]float64
	for i, f := range [3]float64{middle + a/500, middle, middle - b/200} {
		if xyz[i] = whiteD65[i] * (116*f - 16) * 27 / 24389; f*f*f > 216.0/24389 {
			xyz[i] = whiteD65[i] * f * f * f
		}
	}
	for i, row := range fromXYZ {
		l[i] = row[0]*xyz[0] + row[1]*xyz[1] + row[2]*xyz[2]
	}
	return l
}
