package svgcheck

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"
)

func TestStrokesAreMeasured(t *testing.T) {
	img := whitePaper(100, 20)
	for y := 5; y < 15; y++ {
		img.Set(10, y, color.Black)
		img.Set(50, y, color.Black)
		img.Set(51, y, color.Gray{128}) // half printed: the stroke ends in its middle
	}
	got := Strokes(img, image.Rect(0, 6, 100, 12), 10)
	// Half weight at 51.5 beside full weight at 50.5.
	want := []float64{1.05, (50.5 + 0.498*51.5) / 1.498 / 10}
	if len(got) != 2 || math.Abs(got[0]-want[0]) > 1e-3 || math.Abs(got[1]-want[1]) > 1e-3 {
		t.Errorf("strokes at %v, want %v", got, want)
	}
	if got := Strokes(whitePaper(10, 10), image.Rect(0, 0, 10, 10), 1); len(got) != 0 {
		t.Errorf("white paper has strokes at %v", got)
	}
}

func TestDifferences(t *testing.T) {
	a, b := whitePaper(33, 20), whitePaper(33, 20)
	for i := range 25 {
		b.Set(20+i%5, 10+i/5, color.Black)
	}
	mean, worst := Differences(t, a, b, 10)
	if math.Abs(worst-25./100) > 1e-9 || math.Abs(mean-25./(33*20)) > 1e-9 {
		t.Errorf("the pictures differ by %v, at most %v", mean, worst)
	}
	if mean, worst := Differences(t, a, a, 7); mean != 0 || worst != 0 {
		t.Errorf("a picture differs from itself by %v, at most %v", mean, worst)
	}
}

func TestCoarserTakesTheMean(t *testing.T) {
	ppm := fmt.Appendf(nil, "P6\n%d %d\n255\n", 2*finer, finer)
	for y := range finer {
		for x := range 2 * finer {
			v := byte(255)
			if x < finer && y < finer/2 {
				v = 0
			}
			ppm = append(ppm, v, v, v)
		}
	}
	img := coarser(t, ppm)
	if img.Bounds().Size() != (image.Point{2, 1}) || math.Abs(Grey(img, 0, 0)-0.5) > 0.003 || Grey(img, 1, 0) != 1 {
		t.Errorf("a picture of %v, %v and %v bright", img.Bounds().Size(), Grey(img, 0, 0), Grey(img, 1, 0))
	}
}
