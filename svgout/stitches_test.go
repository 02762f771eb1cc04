package svgout

import (
	"math"
	"os"
	"testing"
)

// The marks of two rows that run beside each other keep apart, each beside a pass of its own row.
func TestMarksOfRowsKeepApart(t *testing.T) {
	data, err := os.ReadFile("../examples/purse-string-too-tight.yaml")
	if err != nil {
		t.Fatal(err)
	}
	report := reportOf(t, "purse-string-too-tight.yaml", data)
	camera, _ := cameraFor(atrialExtent(report.Laid.Heart), atrialPicture)
	s := stitches{anatomy: anatomy{camera: camera, heart: report.Laid.Heart}, bites: report.Bites}
	places := s.markPlaces()
	if len(places) != 2 || places[0].Distance(places[1]) < marksApartMM {
		t.Errorf("marks at %v", places)
	}
	for i, at := range places {
		nearest := math.Inf(1)
		for _, p := range report.Bites[i].Passes {
			nearest = math.Min(nearest, at.Distance(s.besidePass(p)))
		}
		if nearest > 1e-9 {
			t.Errorf("mark %d lies %g mm from any pass of its bite", i+1, nearest)
		}
	}
}

// A way on the strip is parted where it leaves it, and both parts fall on the strip; together they are the way.
func TestWaysArePartedAtTheCut(t *testing.T) {
	const low, high = -60.0, 45.0
	for _, c := range []struct {
		from, way float64
		parts     int
	}{{0, 20, 1}, {40, 20, 2}, {-55, -20, 2}, {40, 5, 1}, {-60, 105, 1}} {
		parts := partedAt(c.from, c.way, low, high)
		if len(parts) != c.parts {
			t.Errorf("%+v: %v", c, parts)
		}
		end := 0.0
		for _, p := range parts {
			for _, share := range []float64{p.from, p.to} {
				if at := p.shift + c.from + share*c.way; at < low-1e-9 || at > high+1e-9 {
					t.Errorf("%+v: a part reaches %g", c, at)
				}
			}
			if p.from != end {
				t.Errorf("%+v: a part begins at %g, the one before ended at %g", c, p.from, end)
			}
			end = p.to
		}
		if end != 1 {
			t.Errorf("%+v: ends at %g", c, end)
		}
	}
}
