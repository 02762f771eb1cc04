package svgout

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"testing"

	"fairlead/svgout/svgcheck"
)

// The most the two engines may differ in the mean, as a share of full
// brightness; they smooth edges and set glyphs a little differently.
const mostDifference = 0.01

func TestSampleInOutsideValidators(t *testing.T) {
	sheet, _ := samplePlate(t)
	t.Run("xmllint", func(t *testing.T) { svgcheck.CheckXMLLint(t, sheet) })
	t.Run("nu", func(t *testing.T) { svgcheck.CheckNu(t, sheet) })
}

func TestSampleInBothEngines(t *testing.T) {
	sheet, _ := samplePlate(t)
	worst := svgcheck.CheckPictures(t, [][]byte{sheet}, 5, mostDifference)
	t.Logf("mean difference between the engines: %.5f", worst)
}

// TestReservedBoxesHoldTheLettering compares the room reserved for each
// label with the browser's own boxes.
func TestReservedBoxesHoldTheLettering(t *testing.T) {
	sheet, placed := samplePlate(t)
	boxes := svgcheck.TextBoxes(t, sheet)[0]
	byText := map[string]svgcheck.TextBox{}
	for i, a := range boxes {
		byText[a.Class+a.Text] = a
		for _, b := range boxes[:i] {
			if a.Overlaps(b) {
				t.Errorf("%q lies over %q", a.Text, b.Text)
			}
		}
	}
	for _, l := range placed.Labels {
		for _, line := range l.Lines {
			real, ok := byText[l.Class+clean(line)]
			if !ok {
				t.Errorf("the browser shows no %q", line)
				continue
			}
			if b := (Box{real.X, real.Y, real.W, real.H}); !l.Box.Grow(0.002).Encloses(b) {
				t.Errorf("%q stands in %v, reserved was %v", line, b, l.Box)
			}
		}
	}
}

// widthSamples are lines to be measured by the browser.
var widthSamples = append([]string{
	"Anterior leaflet, 12.5 mm from the commissure", "WAVE Tomato AVATAR", "iiiiillllljjjj", "MMMWWW@@@",
	"Größe, Ærø, łódź, Ωμέγα, Москва", "½ ± ≤ ≥ → ° µm × –—…", "المثلث القلبي", "המשולש", "e\u0301e\u0301e\u0301",
	"\u2068isolated\u2069 words", "👩\u200d⚕️🫀🫁",
}, hostileNames...)

func TestNothingIsWiderThanMeasured(t *testing.T) {
	var out bytes.Buffer
	k := NewInk(&out, Page{WidthMM: 2500, HeightMM: 400, Title: "Widths"})
	for i, text := range widthSamples {
		k.Text("label", 5, 10+10*float64(i), AnchorStart, text)
		k.Text("heading", 5, 215+8*float64(i), AnchorStart, text)
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	boxes := svgcheck.TextBoxes(t, out.Bytes())[0]
	if len(boxes) != 2*len(widthSamples) {
		t.Fatalf("%d boxes for %d texts", len(boxes), 2*len(widthSamples))
	}
	fullest := 0.0
	for _, b := range boxes {
		f := Lettering(b.Class)
		room := Measure(b.Text, f.SizeMM, f.Bold)
		fullest = math.Max(fullest, b.W/room)
		if b.W > room {
			t.Errorf("%q in %s is %.2f mm wide, measured as %.2f mm", b.Text, b.Class, b.W, room)
		}
		if h := (ascentEm + descentEm) * f.SizeMM; b.H > h {
			t.Errorf("%q in %s is %.2f mm high, reserved are %.2f mm", b.Text, b.Class, b.H, h)
		}
	}
	t.Logf("the fullest line takes %.1f %% of its room", 100*fullest)
}

// TestMarksDifferInGreyPrint renders each mark alone, takes all colour away
// by counting a pixel as printed or not, and divides what is printed into
// six by six parts, whatever its size. A third of what either mark prints
// must be printed by one only.
func TestMarksDifferInGreyPrint(t *testing.T) {
	var shapes []image.Image
	for _, level := range []Level{Clear, Caution, Avoid} {
		shapes = append(shapes, svgcheck.RenderRSVG(t, drawn(t, func(k *Ink) { k.LevelMark(level, Point{5, 5}, 4) }), 30))
	}
	for i, a := range shapes {
		for j, b := range shapes[:i] {
			if d := shapeDifference(a, b); d < 1.0/3 {
				t.Errorf("marks %d and %d differ in %.2f of their print only", i, j, d)
			} else {
				t.Logf("marks %d and %d differ in %.2f of their print", i, j, d)
			}
		}
	}
}

func drawn(t *testing.T, draw func(k *Ink)) []byte {
	t.Helper()
	var out bytes.Buffer
	k := NewInk(&out, Page{WidthMM: 10, HeightMM: 10, Title: "One"})
	draw(k)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func shapeDifference(a, b image.Image) float64 {
	partsA, partsB := parts(a), parts(b)
	one, either := 0.0, 0.0
	for i := range partsA {
		one += math.Abs(partsA[i] - partsB[i])
		either += math.Max(partsA[i], partsB[i])
	}
	return one / either
}

// parts is how full each of six by six parts of the printed area is.
func parts(img image.Image) []float64 {
	const n = 6
	box := printedBox(img)
	full := make([]float64, n*n)
	area := float64(box.Dx()*box.Dy()) / (n * n)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if printed(img, x, y) {
				full[(y-box.Min.Y)*n/box.Dy()*n+(x-box.Min.X)*n/box.Dx()] += 1 / area
			}
		}
	}
	return full
}

func printed(img image.Image, x, y int) bool { return svgcheck.Grey(img, x, y) < 0.6 }

func printedBox(img image.Image) image.Rectangle {
	var box image.Rectangle
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if printed(img, x, y) {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// TestRightToLeftNamesStayInPlace sets a sentence around a name that tries
// to turn the line round, and compares with a harmless name of equal width:
// what follows the name must look the same in both engines.
func TestRightToLeftNamesStayInPlace(t *testing.T) {
	sentence := func(name string) []byte {
		return drawn(t, func(k *Ink) {
			k.Text("label", 1, 4, AnchorStart, Isolate(name)+" 1")
			k.Text("label", 1, 8, AnchorStart, "2")
		})
	}
	tame, wild := sentence("\u05d0"), sentence("\u202e\u2067\u05d0\u2069\u2069")
	for engine, pair := range map[string][]image.Image{
		"chromium": svgcheck.RenderChromium(t, [][]byte{tame, wild}, 10),
		"librsvg":  {svgcheck.RenderRSVG(t, tame, 10), svgcheck.RenderRSVG(t, wild, 10)},
	} {
		if d := svgcheck.MeanDifference(t, pair[0], pair[1]); d != 0 {
			t.Errorf("%s: the name changes the sentence by %v", engine, d)
		}
		if svgcheck.InkFraction(pair[0]) < 0.01 {
			t.Errorf("%s: nothing was set", engine)
		}
	}
}

// TestLayoutsHoldInTheBrowser draws full layouts and looks for overlaps
// among the browser's boxes.
func TestLayoutsHoldInTheBrowser(t *testing.T) {
	var sheets [][]byte
	for n := 10; n <= 34; n += 8 {
		sheets = append(sheets, crowdedSheet(t, n))
	}
	for i, boxes := range svgcheck.TextBoxes(t, sheets...) {
		for j, a := range boxes {
			for _, b := range boxes[:j] {
				if a.Overlaps(b) {
					t.Errorf("sheet %d: %q lies over %q", i, a.Text, b.Text)
				}
			}
		}
	}
}

func crowdedSheet(t *testing.T, n int) []byte {
	t.Helper()
	var labels []Label
	for i := range n {
		at := ellipse(148.5, 105, 55, 45)(2 * math.Pi * float64(i) / float64(n))
		labels = append(labels, Label{
			Lines: Fit("label", fmt.Sprintf("Bite %d at the anterior leaflet", i), 58, 1+i%2),
			Class: "label", Target: at,
		})
	}
	placed, err := Layout(labels, testFrame)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	k := NewInk(&out, samplePage)
	k.Labels(placed)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
