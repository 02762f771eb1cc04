package svgout

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"io"
	"math"
	"strings"
	"testing"

	"fairlead/svgout/svgcheck"
)

func pngOf(t testing.TB, drawing *Drawing, dotsPerInch float64) []byte {
	t.Helper()
	return writtenBy(t, func(w io.Writer) error { return WritePNG(w, drawing, dotsPerInch) })
}

// A picture has as many dots as its paper has inches times dots per inch, and
// says how many make a metre. ISO 216 A4 is 210 by 297 mm.
func TestPNGSizes(t *testing.T) {
	drawing := recordedExample(t, "../examples/band.yaml")
	for dpi, want := range map[float64]image.Point{25.4: {297, 210}, 72: {842, 595}, 101.6: {1188, 840}, 150: {1754, 1240}} {
		picture := pngOf(t, drawing, dpi)
		if size := svgcheck.DecodePNG(t, picture).Bounds().Size(); size != want {
			t.Errorf("at %v dots per inch the picture measures %v, want %v", dpi, size, want)
		}
		// The chunk's name, dots per metre across and down, and 1 for metres
		// (PNG, third edition, 11.3.4.3).
		at := bytes.Index(picture, []byte("pHYs")) + 4
		across, down := binary.BigEndian.Uint32(picture[at:]), binary.BigEndian.Uint32(picture[at+4:])
		if math.Abs(float64(across)-dpi/0.0254) > 0.5 || across != down || picture[at+8] != 1 || at > bytes.Index(picture, []byte("IDAT")) {
			t.Errorf("at %v dots per inch the picture tells %d and %d to the unit %d", dpi, across, down, picture[at+8])
		}
	}
}

func TestPNGIsTheSameBytesEachTime(t *testing.T) {
	drawing := recordedExample(t, "../examples/band.yaml")
	if !bytes.Equal(pngOf(t, drawing, 72), pngOf(t, drawing, 72)) {
		t.Error("two pictures of one drawing differ")
	}
}

func TestPNGOfHostileNames(t *testing.T) {
	drawing := drawingOf(t, samplePage, func(k *Ink) {
		for i, name := range hostileNames {
			k.Text("label", 10, 10+8*float64(i), AnchorStart, name)
		}
	})
	if ink := svgcheck.InkFraction(svgcheck.DecodePNG(t, pngOf(t, drawing, 72))); ink < 0.005 {
		t.Errorf("%.4f of the picture is printed", ink)
	}
}

func TestPNGThatCannotBeWritten(t *testing.T) {
	drawing := drawingOf(t, smallPage, everyKind)
	for _, dpi := range []float64{0, -150, 9, 2401, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if err := WritePNG(io.Discard, drawing, dpi); err == nil || !strings.Contains(err.Error(), "expected from 10 to 2400") {
			t.Errorf("%v dots per inch: %v", dpi, err)
		}
	}
	page := smallPage
	page.WidthMM, page.HeightMM = 1000, 1000
	if err := WritePNG(io.Discard, drawingOf(t, page, everyKind), 300); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("139 million dots: %v", err)
	}
	if err := WritePNG(&failingWriter{100}, drawing, 72); !errors.Is(err, errFull) {
		t.Errorf("with a full disk: %v", err)
	}
}

func BenchmarkWritePNG(b *testing.B) {
	drawing := recordedExample(b, "../examples/replacement.yaml")
	for b.Loop() {
		pngOf(b, drawing, 150)
	}
}
