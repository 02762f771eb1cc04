package atlas

import (
	"math"
	"testing"

	"fairlead/atlas/geom"
)

func stretchedTo(t testing.TB, pattern string, lengthMM float64) (rest, dilated *Heart) {
	t.Helper()
	rest = fit(t, Patient{})
	return rest, fit(t, Patient{Stretch: pattern, Measured: []Measured{{Name: "rim-length", Value: lengthMM}}})
}

func TestStretchHoldsWhatWasMeasured(t *testing.T) {
	for _, c := range []struct {
		pattern, name string
		value         float64
	}{
		{"classical", "rim-length", 130}, {"operative", "rim-length", 140}, {"uniform", "rim-length", 118},
		{"classical", "rim-area", 1200}, {"operative", "rim-short-axis", 40}, {"uniform", "rim-long-axis", 42},
	} {
		h := fit(t, Patient{Stretch: c.pattern, Measured: []Measured{{Name: c.name, Value: c.value}}})
		if got := h.Rim.named()[c.name]; math.Abs(got-c.value) > 1e-3*c.value {
			t.Errorf("%s: %s %.3f, measured %.3f", c.pattern, c.name, got, c.value)
		}
	}
}

// Segments lengthen in the pattern's proportions: classical teaching posterior : anterior : septal 80 : 40 : 10
// (secondary), the operative series 17.0 : 13.4 : 11.4 (teng-2022, abstract). Lengths are the curve's own, by
// integration.
func TestStretchKeepsThePattern(t *testing.T) {
	for pattern, want := range map[string][3]float64{"classical": {40, 80, 10}, "operative": {13.4, 17.0, 11.4}, "uniform": {1, 1, 1}} {
		rest, dilated := stretchedTo(t, pattern, 135)
		var strain [3]float64
		for i, s := range dilated.Segments() {
			strain[i] = arcLength(dilated.Rim, s.FromMM, s.ForMM)/rest.Segments()[i].ForMM - 1
			if math.Abs(arcLength(dilated.Rim, s.FromMM, s.ForMM)-s.ForMM) > 0.01 {
				t.Errorf("%s: the %s segment is %.4f mm long on the curve, %.4f said", pattern, s.Name, arcLength(dilated.Rim, s.FromMM, s.ForMM), s.ForMM)
			}
		}
		for i := range strain {
			if got := strain[i] / strain[1]; math.Abs(got-want[i]/want[1]) > 0.01 {
				t.Errorf("%s: segment %d stretched by %.3f of the posterior's stretch, want %.3f", pattern, i, got, want[i]/want[1])
			}
		}
	}
}

func arcLength(r *Rim, fromMM, forMM float64) (sum float64) {
	const pieces = 4000
	for i := range pieces {
		a, b := fromMM+forMM*float64(i)/pieces, fromMM+forMM*float64(i+1)/pieces
		sum += r.At(a).Distance(r.At(b))
	}
	return sum
}

// A rim dilated on its free wall becomes rounder (published of functional regurgitation by several 3-D echo studies,
// quoted by a review: secondary) and flatter (saddle-2006, memory), does not cross itself and stays convex.
func TestDilatedRimIsRounderAndFlatter(t *testing.T) {
	for _, length := range []float64{112, 125, 140, 150} {
		rest, dilated := stretchedTo(t, "classical", length)
		before, after := rest.Rim.Sizes(), dilated.Rim.Sizes()
		if !(after.ShortAxisMM/after.LongAxisMM > before.ShortAxisMM/before.LongAxisMM) {
			t.Errorf("%.0f mm: circularity %.3f, at rest %.3f", length, after.ShortAxisMM/after.LongAxisMM, before.ShortAxisMM/before.LongAxisMM)
		}
		if !(after.SaddleHeightMM < before.SaddleHeightMM) {
			t.Errorf("%.0f mm: saddle %.2f mm, at rest %.2f", length, after.SaddleHeightMM, before.SaddleHeightMM)
		}
		outline := make(geom.Outline, 0, 200)
		for _, p := range dilated.Rim.Sample(200) {
			outline = append(outline, geom.Point{X: p.X, Y: p.Y})
		}
		if outline.CrossesSelf() {
			t.Errorf("%.0f mm: the rim crosses itself", length)
		}
		if !dilated.Rim.convex() {
			t.Errorf("%.0f mm: the rim is dented", length)
		}
	}
}

// The septal segment stays on the septum: up to its own small stretch it lies where it lay, against its own ends.
func TestSeptalSegmentStaysOnTheSeptum(t *testing.T) {
	rest, dilated := stretchedTo(t, "classical", 135)
	bow := func(h *Heart) float64 { // how far the middle bows out from the chord, in plan
		s := h.Segments()[2]
		a, m, b := h.Rim.At(s.FromMM), h.Rim.At(s.FromMM+s.ForMM/2), h.Rim.At(s.FromMM+s.ForMM)
		chord := geom.Vec{X: b.X - a.X, Y: b.Y - a.Y}
		return math.Abs((m.X-a.X)*chord.Y-(m.Y-a.Y)*chord.X) / chord.Norm()
	}
	if a, b := bow(rest), bow(dilated); math.Abs(a-b) > 0.7 {
		t.Errorf("the septal segment bowed %.2f mm and now bows %.2f", a, b)
	}
}

func TestFreeStretchTakesEachSegment(t *testing.T) {
	h := fit(t, Patient{Stretch: Free, Measured: []Measured{{Name: "anterior-segment", Value: 50}, {Name: "posterior-segment", Value: 48}, {Name: "septal-segment", Value: 32}}})
	for i, want := range []float64{50, 48, 32} {
		if s := h.Segments()[i]; math.Abs(arcLength(h.Rim, s.FromMM, s.ForMM)-want) > 0.01 {
			t.Errorf("%s segment of %.4f mm, measured %.0f", s.Name, arcLength(h.Rim, s.FromMM, s.ForMM), want)
		}
	}
}

func TestStretchNeedsAMeasuredRim(t *testing.T) {
	c, _ := LoadCatalogue()
	for _, p := range []Patient{{Stretch: "classical"}, {Stretch: "classical", Measured: []Measured{{Name: "rim-length", Value: 80}}}, {Stretch: "sideways", Measured: []Measured{{Name: "rim-length", Value: 130}}}} {
		if _, err := c.Fit(p); err == nil {
			t.Errorf("%+v was not refused", p)
		}
	}
}

func BenchmarkStretch(b *testing.B) {
	c, err := LoadCatalogue()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := c.Fit(Patient{Stretch: "classical", Measured: []Measured{{Name: "rim-length", Value: 130}}}); err != nil {
			b.Fatal(err)
		}
	}
}
