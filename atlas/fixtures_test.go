package atlas

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"fairlead/atlas/geom"
)

// shared is read once: no test changes it.
var shared = sync.OnceValues(LoadCatalogue)

func load(t testing.TB) *Catalogue {
	t.Helper()
	c, err := shared()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// size is a value measured exactly.
type size struct {
	Name  string
	Value float64
}

func exactly(sizes []size) (measured []Measured) {
	for _, s := range sizes {
		measured = append(measured, Measured{Name: s.Name, Value: s.Value})
	}
	return measured
}

// plausible are values for geometry alone, without what is believed of hearts: the usual adult's, some sizes measured,
// and the rest of the rim in proportion. Where only segments are measured the other segments stay as usual.
func plausible(t testing.TB, sizes []size) *values {
	t.Helper()
	v := &values{index: map[string]int{}}
	for i, p := range load(t).Parameters() {
		v.list, v.index[p.Name] = append(v.list, Value{Parameter: p, Here: p.Value}), i
	}
	for _, s := range sizes {
		p := v.at(s.Name)
		p.Here, p.Measured, p.exact = s.Value, true, chordOwn[s.Name] <= chordOwn["septal-chord"] // the other chords come of the shape
	}
	scale, count := 0.0, 0.0
	for _, name := range wholeRim {
		if p := v.at(name); p.Measured {
			power := 1.0
			if p.Unit == "mm2" {
				power = 2
			}
			scale, count = scale+math.Log(p.Here/p.Value)/power, count+1
		}
	}
	scale = math.Exp(scale / max(count, 1))
	if count == 0 {
		scale = (v.of("anterior-segment") + v.of("posterior-segment") + v.of("septal-segment")) / v.usual("rim-length")
	}
	for _, name := range append([]string{"saddle-height"}, wholeRim...) {
		p := v.at(name)
		switch {
		case p.Measured:
		case p.Unit == "mm2":
			p.Here = p.Value * scale * scale
		case name == "saddle-height":
			p.Here = p.Value * min(scale, 1)
		default:
			p.Here = p.Value * scale
		}
	}
	if septal := v.at("septal-segment"); !septal.Measured && v.measured("septal-chord") {
		septal.Here = septal.Value * v.of("septal-chord") / v.usual("septal-chord")
	}
	v.balanceRim()
	if chord := v.at("septal-chord"); !chord.Measured {
		chord.Here = chord.Value * v.of("septal-segment") / v.usual("septal-segment")
	}
	return v
}

// try makes the heart of plausible values.
func try(t testing.TB, sizes []size) (*Heart, error) {
	t.Helper()
	v := plausible(t, sizes)
	rim, err := v.rim()
	if err != nil {
		return nil, err
	}
	return v.heartOn(rim)
}

// build makes the heart with some values measured.
func build(t testing.TB, measured ...size) *Heart {
	t.Helper()
	h, err := try(t, measured)
	if err != nil {
		t.Fatalf("%v: %v", measured, err)
	}
	return h
}

// refused makes sure that there is no heart with these values, and gives the reasons.
func refused(t testing.TB, measured ...size) []*GeometryError {
	t.Helper()
	_, err := try(t, measured)
	if err == nil {
		t.Fatalf("%v makes a heart", measured)
	}
	return reasons(t, err)
}

func reasons(t testing.TB, err error) (found []*GeometryError) {
	t.Helper()
	var one *GeometryError
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			found = append(found, reasons(t, e)...)
		}
		return found
	}
	if !errors.As(err, &one) {
		t.Fatalf("%v (%T) is no *GeometryError", err, err)
	}
	return []*GeometryError{one}
}

func parameter(t testing.TB, name string) Parameter {
	t.Helper()
	for _, p := range load(t).Parameters() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no parameter %s", name)
	return Parameter{}
}

func landmark(t testing.TB, h *Heart, id string) Landmark {
	t.Helper()
	l, ok := h.Landmark(id)
	if !ok {
		t.Fatalf("no landmark %s", id)
	}
	return l
}

func zone(t testing.TB, h *Heart, id ZoneID) Zone {
	t.Helper()
	z, ok := h.Zone(id)
	if !ok {
		t.Fatalf("no zone %s", id)
	}
	return z
}

func structure(t testing.TB, h *Heart, id string) Structure {
	t.Helper()
	for _, s := range h.Structures {
		if s.ID == id {
			return s
		}
	}
	t.Fatalf("no structure %s", id)
	return Structure{}
}

func tube(t testing.TB, h *Heart, id string) geom.Tube {
	t.Helper()
	u, ok := structure(t, h, id).Solid.(geom.Tube)
	if !ok {
		t.Fatalf("%s is no tube", id)
	}
	return u
}

// near checks that got lies within a share of want.
func near(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.4f, want %.4f within %.2g %%", what, got, want, 100*share)
	}
}

// arc integrates the length of a curve from 0 to 1 as that of a fine polyline. Chords fall short of a curve by
// step²/24r², here less than one part in ten million.
func arc(curve func(u float64) geom.Vec) (sum float64) {
	const steps = 4000
	last := curve(0)
	for i := 1; i <= steps; i++ {
		next := curve(float64(i) / steps)
		sum += next.Distance(last)
		last = next
	}
	return sum
}

// onChart is the chart's straight way between two spots, seen in the frame.
func (h *Heart) onChart(a, b Spot) func(u float64) geom.Vec {
	return func(u float64) geom.Vec {
		return h.Chart.Frame(Spot{a.AlongMM + u*(b.AlongMM-a.AlongMM), a.OffMM + u*(b.OffMM-a.OffMM), a.DeepMM + u*(b.DeepMM-a.DeepMM)})
	}
}

// wayAlong is the length of the hinge from one landmark clockwise to another.
func wayAlong(t testing.TB, h *Heart, from, to string) float64 {
	a, b := landmark(t, h, from).Spot.AlongMM, landmark(t, h, to).Spot.AlongMM
	if b <= a {
		b += h.Rim.LengthMM()
	}
	return arc(h.onChart(Spot{AlongMM: a}, Spot{AlongMM: b}))
}

// closed samples the hinge evenly by the rim's parameter.
func closed(h *Heart, n int) []geom.Vec {
	points := make([]geom.Vec, n)
	for i := range points {
		points[i] = h.Chart.Frame(Spot{AlongMM: h.Rim.LengthMM() * float64(i) / float64(n)})
	}
	return points
}

// skin is a spread of points over the surface of a structure.
func skin(s Structure) (points []geom.Vec) {
	switch b := s.Solid.(type) {
	case geom.Ellipsoid:
		for _, d := range directions(900) {
			points = append(points, b.Centre.Add(b.Axes[0].Scale(b.Radii[0]*d.X)).Add(b.Axes[1].Scale(b.Radii[1]*d.Y)).Add(b.Axes[2].Scale(b.Radii[2]*d.Z)))
		}
	case geom.Tube:
		for _, p := range b.Axis {
			for _, d := range directions(120) {
				points = append(points, p.Add(d.Scale(b.RadiusMM)))
			}
		}
	}
	return points
}

// directions are unit vectors spread evenly over the sphere (along a golden spiral).
func directions(n int) []geom.Vec {
	points := make([]geom.Vec, n)
	for i := range points {
		z := 1 - 2*(float64(i)+0.5)/float64(n)
		sin, cos := math.Sincos(math.Pi * (3 - math.Sqrt(5)) * float64(i))
		r := math.Sqrt(1 - z*z)
		points[i] = geom.Vec{X: r * cos, Y: r * sin, Z: z}
	}
	return points
}

// shallowest is the least depth under the endocardium of a structure's surface, mm.
func shallowest(h *Heart, s Structure) float64 {
	least := math.Inf(1)
	for _, p := range skin(s) {
		spot, _ := h.Chart.Spot(p)
		least = min(least, spot.DeepMM)
	}
	return least
}

func uniform(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

func says(t testing.TB, text string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%q does not say %q", text, w)
		}
	}
}
