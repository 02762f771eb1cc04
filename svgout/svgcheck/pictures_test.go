package svgcheck

import (
	"image"
	"image/color"
	"math"
	"testing"
)

func whitePaper(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	return img
}

func TestInkIsFound(t *testing.T) {
	img := whitePaper(20, 10)
	if f := InkFraction(img); f != 0 {
		t.Errorf("white paper has %v ink", f)
	}
	for x := range 20 {
		img.Set(x, 5, color.Black)
	}
	if f := InkFraction(img); math.Abs(f-0.1) > 1e-12 {
		t.Errorf("one line in ten makes %v ink", f)
	}
	if n := MarginInk(img, 3); n != 6 {
		t.Errorf("%d pixels in the margin, want 6", n)
	}
	if n := MarginInk(whitePaper(20, 10), 3); n != 0 {
		t.Errorf("%d pixels in a white margin", n)
	}
}

func TestMeanDifference(t *testing.T) {
	a, b := whitePaper(10, 10), whitePaper(10, 10)
	for x := range 10 {
		b.Set(x, 0, color.Black)
	}
	if d := MeanDifference(t, a, b); math.Abs(d-0.1) > 1e-12 {
		t.Errorf("difference %v, want 0.1", d)
	}
	if d := MeanDifference(t, a, a); d != 0 {
		t.Errorf("a picture differs from itself by %v", d)
	}
}

func TestBoxesThatOverlap(t *testing.T) {
	a := TextBox{X: 0, Y: 0, W: 10, H: 5}
	for _, c := range []struct {
		b    TextBox
		want bool
	}{{TextBox{X: 9, Y: 4, W: 5, H: 5}, true}, {TextBox{X: 10, Y: 0, W: 5, H: 5}, false}, {TextBox{X: 0, Y: 5.1, W: 5, H: 5}, false}} {
		if a.Overlaps(c.b) != c.want || c.b.Overlaps(a) != c.want {
			t.Errorf("%v overlaps %v: want %v", a, c.b, c.want)
		}
	}
}

// TestEnginesShowTheSameSimpleSheet draws two sheets through both engines
// and looks for their squares where they must be.
func TestEnginesShowTheSameSimpleSheet(t *testing.T) {
	square := func(x string) []byte {
		return []byte(`<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10">` +
			`<rect x="` + x + `" y="3" width="4" height="4"/><text x="` + x + `" y="3" font-size="2">a &lt; b</text></svg>`)
	}
	sheets := [][]byte{square("3"), square("12")}
	for i, img := range append(RenderChromium(t, sheets, 10), RenderRSVG(t, sheets[0], 10), RenderRSVG(t, sheets[1], 10)) {
		if img.Bounds().Size() != (image.Point{200, 100}) {
			t.Fatalf("picture %d measures %v", i, img.Bounds())
		}
		dark, light := 50, 140
		if i%2 == 1 {
			dark, light = light, dark
		}
		if Grey(img, dark, 50) > 0.01 || Grey(img, light, 50) < 0.99 {
			t.Errorf("picture %d has brightness %v at %d and %v at %d", i, Grey(img, dark, 50), dark, Grey(img, light, 50), light)
		}
	}
	boxes := TextBoxes(t, sheets...)
	if len(boxes) != 2 || len(boxes[1]) != 1 || boxes[1][0].Text != "a < b" || math.Abs(boxes[1][0].X-12) > 0.01 {
		t.Errorf("text boxes %+v", boxes)
	}
}
