package svgcheck

import (
	"bytes"
	"fmt"
	"html"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// mmPerPoint is the size of PDF's unit, a 72nd of an inch.
const mmPerPoint = 25.4 / 72

// storedPDF writes a document to a fresh directory.
func storedPDF(t testing.TB, document []byte) (file string) {
	t.Helper()
	file = filepath.Join(t.TempDir(), "sheets.pdf")
	if err := os.WriteFile(file, document, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// PDFInfo is what pdfinfo says of all pages of a document. A complaint of
// its own fails the test.
func PDFInfo(t testing.TB, document []byte) string {
	t.Helper()
	program := need(t, "pdfinfo")
	out, complaint, err := run(t, program, "-l", "-1", storedPDF(t, document))
	if err != nil || complaint != "" {
		t.Fatalf("pdfinfo: %v\n%s", err, complaint)
	}
	return string(out)
}

var pageSize = regexp.MustCompile(`(?m)^Page +\d+ size: +([0-9.]+) x ([0-9.]+) pts`)

// PDFPages are the sizes of a document's pages in points.
func PDFPages(t testing.TB, document []byte) (points [][2]float64) {
	t.Helper()
	for _, m := range pageSize.FindAllStringSubmatch(PDFInfo(t, document), -1) {
		w, errW := strconv.ParseFloat(m[1], 64)
		h, errH := strconv.ParseFloat(m[2], 64)
		if errW != nil || errH != nil {
			t.Fatalf("pdfinfo: %q", m[0])
		}
		points = append(points, [2]float64{w, h})
	}
	return points
}

// finer is how many times finer than asked poppler draws. It moves thin lines
// and large letters to the next whole pixel; taken together again, the pixels
// show them where they are, but for a share of this. (The mean difference
// that a plate shows falls from 0.0076 to 0.0062, 0.0044 and 0.0036 as this
// goes from 3 to 4, 6 and 8.)
const finer = 6

// RenderPDF draws one page of a document, counted from 1, with poppler.
func RenderPDF(t testing.TB, document []byte, page int, pxPerMM float64) image.Image {
	t.Helper()
	program := need(t, "pdftoppm")
	size := PDFPages(t, document)[page-1]
	px := func(points float64) string {
		return strconv.Itoa(finer * int(points*mmPerPoint*pxPerMM+0.5))
	}
	number := strconv.Itoa(page)
	out, complaint, err := run(t, program, "-f", number, "-l", number,
		"-scale-to-x", px(size[0]), "-scale-to-y", px(size[1]), storedPDF(t, document))
	if err != nil || complaint != "" {
		t.Fatalf("pdftoppm: %v\n%s", err, complaint)
	}
	return coarser(t, out)
}

// coarser reads a picture in the PPM format, as pdftoppm writes it, and takes
// finer by finer pixels together.
func coarser(t testing.TB, ppm []byte) image.Image {
	t.Helper()
	var w, h, most int
	if n, err := fmt.Sscanf(string(ppm[:min(len(ppm), 40)]), "P6\n%d %d\n%d\n", &w, &h, &most); n != 3 || err != nil || most != 255 {
		t.Fatalf("pdftoppm wrote no picture: %v", err)
	}
	pixels := ppm[len(ppm)-3*w*h:]
	img := image.NewRGBA(image.Rect(0, 0, w/finer, h/finer))
	for y := range h / finer {
		for x := range w / finer {
			var sum [3]int
			for i := range finer * finer {
				at := 3 * ((y*finer+i/finer)*w + x*finer + i%finer)
				for c := range sum {
					sum[c] += int(pixels[at+c])
				}
			}
			const n = finer * finer
			img.SetRGBA(x, y, color.RGBA{uint8((sum[0] + n/2) / n), uint8((sum[1] + n/2) / n), uint8((sum[2] + n/2) / n), 255})
		}
	}
	return img
}

// PDFText is the text of a document as pdftotext reads it, lines as they
// stand on the page.
func PDFText(t testing.TB, document []byte) string {
	t.Helper()
	program := need(t, "pdftotext")
	out, complaint, err := run(t, program, "-layout", storedPDF(t, document), "-")
	if err != nil || complaint != "" {
		t.Fatalf("pdftotext: %v\n%s", err, complaint)
	}
	return string(bytes.TrimSpace(out))
}

var pdfWord = regexp.MustCompile(`<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">(.*)</word>`)

// PDFWords are the words of a document and their boxes, in millimetres from
// the upper left of the page, as poppler measures them. The boxes have no
// class.
func PDFWords(t testing.TB, document []byte) (words []TextBox) {
	t.Helper()
	program := need(t, "pdftotext")
	out, complaint, err := run(t, program, "-bbox", storedPDF(t, document), "-")
	if err != nil || complaint != "" {
		t.Fatalf("pdftotext: %v\n%s", err, complaint)
	}
	for _, m := range pdfWord.FindAllStringSubmatch(string(out), -1) {
		var mm [4]float64
		for i := range mm {
			points, err := strconv.ParseFloat(m[i+1], 64)
			if err != nil {
				t.Fatalf("pdftotext: %q", m[0])
			}
			mm[i] = points * mmPerPoint
		}
		words = append(words, TextBox{Text: html.UnescapeString(m[5]), X: mm[0], Y: mm[1], W: mm[2] - mm[0], H: mm[3] - mm[1]})
	}
	return words
}

// DecodePNG reads a picture.
func DecodePNG(t testing.TB, data []byte) image.Image {
	t.Helper()
	return decoded(t, data)
}

// Differences are the mean difference of brightness, from 0 to 1, between two
// pictures of one size, and the greatest such mean in any square of so many
// pixels. Where the whole drowns a small thing that is missing, a square
// does not.
func Differences(t testing.TB, a, b image.Image, side int) (mean, worst float64) {
	t.Helper()
	if a.Bounds().Size() != b.Bounds().Size() {
		t.Fatalf("pictures of %v and %v cannot be compared", a.Bounds().Size(), b.Bounds().Size())
	}
	size := a.Bounds().Size()
	for y := 0; y < size.Y; y += side {
		for x := 0; x < size.X; x += side {
			tile := image.Rect(x, y, x+side, y+side).Intersect(image.Rectangle{Max: size})
			d := tileDifference(a, b, tile)
			worst = max(worst, d)
			mean += d * float64(tile.Dx()*tile.Dy()) / float64(size.X*size.Y)
		}
	}
	return mean, worst
}

func tileDifference(a, b image.Image, tile image.Rectangle) (mean float64) {
	for y := tile.Min.Y; y < tile.Max.Y; y++ {
		for x := tile.Min.X; x < tile.Max.X; x++ {
			p, q := a.Bounds().Min, b.Bounds().Min
			mean += math.Abs(Grey(a, p.X+x, p.Y+y) - Grey(b, q.X+x, q.Y+y))
		}
	}
	return mean / float64(tile.Dx()*tile.Dy())
}

// Strokes finds the upright strokes that cross a strip of a picture: the
// middle of each, in millimetres from the picture's left edge, by the weight
// of what is printed.
func Strokes(img image.Image, strip image.Rectangle, pxPerMM float64) (middlesMM []float64) {
	const trace = 0.1 // less than this share of black is no stroke
	weight, moment := 0.0, 0.0
	for x := strip.Min.X; x <= strip.Max.X; x++ {
		dark := 0.0
		for y := strip.Min.Y; y < strip.Max.Y && x < strip.Max.X; y++ {
			dark += (1 - Grey(img, x, y)) / float64(strip.Dy())
		}
		if dark >= trace {
			weight, moment = weight+dark, moment+dark*(float64(x)+0.5)
			continue
		}
		if weight > 0 {
			middlesMM = append(middlesMM, moment/weight/pxPerMM)
		}
		weight, moment = 0, 0
	}
	return middlesMM
}
