package svgcheck

import (
	"image"
	"math"
	"testing"
)

// Grey is the brightness of a pixel, from 0 for black to 1 for white.
func Grey(img image.Image, x, y int) float64 {
	// The pictures are looked at pixel by pixel, many times: the usual ones without a detour over colours.
	switch m := img.(type) {
	case *image.NRGBA:
		if p := m.Pix[m.PixOffset(x, y):]; p[3] == 0xff {
			return brightness(float64(p[0])/0xff, float64(p[1])/0xff, float64(p[2])/0xff)
		}
	case *image.RGBA:
		p := m.Pix[m.PixOffset(x, y):]
		return brightness(float64(p[0])/0xff, float64(p[1])/0xff, float64(p[2])/0xff)
	}
	r, g, b, _ := img.At(x, y).RGBA()
	return brightness(float64(r)/0xffff, float64(g)/0xffff, float64(b)/0xffff)
}

func brightness(r, g, b float64) float64 { return 0.2126*r + 0.7152*g + 0.0722*b }

// inkBelow is the brightness under which a pixel counts as printed.
const inkBelow = 0.97

// InkFraction is the share of pixels that are not white.
func InkFraction(img image.Image) float64 {
	b := img.Bounds()
	return inkIn(img, b) / float64(b.Dx()*b.Dy())
}

func inkIn(img image.Image, r image.Rectangle) float64 {
	n := 0.0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if Grey(img, x, y) < inkBelow {
				n++
			}
		}
	}
	return n
}

// MarginInk counts the printed pixels in the outermost px pixels all round.
func MarginInk(img image.Image, px int) int {
	b := img.Bounds()
	return int(inkIn(img, b) - inkIn(img, b.Inset(px)))
}

// MeanDifference is the mean absolute difference of brightness between two
// pictures of one size, from 0 to 1.
func MeanDifference(t testing.TB, a, b image.Image) float64 {
	t.Helper()
	if a.Bounds().Size() != b.Bounds().Size() {
		t.Fatalf("pictures of %v and %v cannot be compared", a.Bounds().Size(), b.Bounds().Size())
	}
	size, sum := a.Bounds().Size(), 0.0
	for y := range size.Y {
		for x := range size.X {
			sum += math.Abs(Grey(a, a.Bounds().Min.X+x, a.Bounds().Min.Y+y) - Grey(b, b.Bounds().Min.X+x, b.Bounds().Min.Y+y))
		}
	}
	return sum / float64(size.X*size.Y)
}

// CheckPictures renders sheets in both engines and fails the test if a
// picture is blank, if anything is printed in the outermost marginMM, or if
// the engines differ in the mean by more than most, from 0 to 1. It returns
// the greatest difference found.
func CheckPictures(t testing.TB, sheets [][]byte, marginMM, most float64) (worst float64) {
	t.Helper()
	const pxPerMM = 4
	browser := RenderChromium(t, sheets, pxPerMM)
	for i, sheet := range sheets {
		rsvg := RenderRSVG(t, sheet, pxPerMM)
		for engine, img := range map[string]image.Image{"librsvg": rsvg, "chromium": browser[i]} {
			if f := InkFraction(img); f < 0.002 {
				t.Errorf("sheet %d in %s is blank: %.4f printed", i, engine, f)
			}
			if n := MarginInk(img, int(marginMM*pxPerMM)); n > 0 {
				t.Errorf("sheet %d in %s has %d printed pixels in the margin", i, engine, n)
			}
		}
		d := MeanDifference(t, rsvg, browser[i])
		if worst = math.Max(worst, d); d > most {
			t.Errorf("sheet %d differs between the engines by %.4f, more than %.4f", i, d, most)
		}
	}
	return worst
}
