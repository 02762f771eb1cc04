package atlas

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/atlas/geom"
)

func TestRimIsSmoothAndClosed(t *testing.T) {
	for name, h := range charts(t) {
		r := h.Rim
		width := r.lengthMM / rimKnots
		for i := range rimKnots {
			at := width * float64(i)
			const e = 1e-7
			if d := r.At(at - e).Distance(r.At(at + e)); d > 3*e {
				t.Fatalf("%s: the rim jumps by %.2g mm at knot %d", name, d, i)
			}
			if d := r.tangent(at - e).Distance(r.tangent(at + e)); d > 1e-6 {
				t.Fatalf("%s: the tangent jumps by %.2g at knot %d", name, d, i)
			}
			if d := r.bend(at - e).Distance(r.bend(at + e)); d > 1e-6 {
				t.Fatalf("%s: the curvature jumps by %.2g per mm at knot %d", name, d, i)
			}
		}
		if d := r.At(0).Distance(r.At(r.lengthMM)); d != 0 {
			t.Errorf("%s: the end lies %.2g mm from the beginning", name, d)
		}
	}
}

// tangent and bend are what At's differences say, between knots and over them.
func TestRimDerivatives(t *testing.T) {
	r := build(t).Rim
	const e = 1e-3
	for along := -5.0; along < r.lengthMM+5; along += 0.37 {
		slope := r.At(along + e).Sub(r.At(along - e)).Scale(1 / (2 * e))
		bend := r.tangent(along + e).Sub(r.tangent(along - e)).Scale(1 / (2 * e))
		if slope.Distance(r.tangent(along)) > 1e-6 || bend.Distance(r.bend(along)) > 1e-3 {
			t.Fatalf("at %.2f: tangent off by %.2g, bend by %.2g", along, slope.Distance(r.tangent(along)), bend.Distance(r.bend(along)))
		}
		if n := r.outward(along); math.Abs(n.Dot(r.tangent(along))) > 1e-12 || math.Abs(n.Norm()-1) > 1e-12 || n.Z != 0 {
			t.Fatalf("at %.2f: %+v is no normal in the plane", along, n)
		}
	}
}

func TestRimParameterIsItsLength(t *testing.T) {
	for name, h := range charts(t) {
		whole := h.Rim.lengthMM
		for i := range 20 {
			from, to := whole*float64(i)/20, whole*float64(i+1)/20
			if way := arc(h.onChart(Spot{AlongMM: from}, Spot{AlongMM: to})); math.Abs(way-(to-from)) > 1e-4 {
				t.Errorf("%s: from %.2f to %.2f mm it is %.5f mm", name, from, to, way)
			}
		}
	}
}

func TestRimIsConvexCentredAndLevel(t *testing.T) {
	for name, h := range charts(t) {
		var centroid geom.Vec
		points := closed(h, 4000)
		n := len(points)
		for i, p := range points {
			centroid = centroid.Add(p.Scale(1 / float64(n)))
			a, b := points[(i+1)%n].Sub(p), points[(i+2)%n].Sub(points[(i+1)%n])
			if a.X*b.Y-a.Y*b.X >= 0 {
				t.Fatalf("%s: the rim is dented at %.1f mm", name, h.Rim.lengthMM*float64(i)/float64(n))
			}
		}
		if centroid.Norm() > 1e-4 {
			t.Errorf("%s: the centroid lies %.2g mm from the origin", name, centroid.Norm())
		}
		// A tilt of one degree would move the ends of the long axis by 0.3 mm: less than anybody can measure.
		if tilt := h.Rim.Sizes().FlatnessRadians; tilt > radians(1) {
			t.Errorf("%s: the plane of the rim is tilted by %.2f°", name, tilt*180/math.Pi)
		}
	}
}

func TestPlaneTiltSeesATilt(t *testing.T) {
	points := closed(build(t), 400)
	before := planeTilt(points)
	for i := range points {
		points[i].Z += 0.1 * points[i].X
	}
	if got := planeTilt(points); math.Abs(got-math.Atan(0.1)) > before+1e-3 {
		t.Errorf("a slope of 0.1 is taken for %.4f radians", got)
	}
}

func TestSizesAgreeWithFinePolyline(t *testing.T) {
	for name, h := range charts(t) {
		s := h.Rim.Sizes()
		points := closed(h, 8000)
		shadow, low, high := 0.0, math.Inf(1), math.Inf(-1)
		for i, p := range points {
			q := points[(i+1)%len(points)]
			shadow -= (p.X*q.Y - p.Y*q.X) / 2
			low, high = min(low, p.Z), max(high, p.Z)
		}
		near(t, name+": length", s.LengthMM, arc(h.onChart(Spot{}, Spot{AlongMM: h.Rim.lengthMM})), 1e-6)
		near(t, name+": spanned", s.AreaMM2, spanned(points), 1e-6)
		near(t, name+": projected", s.ProjectedMM2, shadow, 1e-6)
		near(t, name+": long axis", s.LongAxisMM, diameter(closed(h, 1440)), 1e-4)
		near(t, name+": short axis", s.ShortAxisMM, leastWidth(points), 1e-4)
		if math.Abs(s.SaddleHeightMM-(high-low)) > 1e-4 {
			t.Errorf("%s: saddle %.5f mm, of a fine polyline %.5f", name, s.SaddleHeightMM, high-low)
		}
		near(t, name+": segments", s.AnteriorMM+s.PosteriorMM+s.SeptalMM, h.Rim.lengthMM, 1e-12)
	}
}

// measuredSize reads a size by its parameter's name.
func measuredSize(s RimSizes, name string) float64 {
	return map[string]float64{
		"rim-length": s.LengthMM, "rim-long-axis": s.LongAxisMM, "rim-short-axis": s.ShortAxisMM, "rim-area": s.AreaMM2,
		"septal-segment": s.SeptalMM, "septal-chord": s.SeptalChordMM, "anterior-segment": s.AnteriorMM,
		"posterior-segment": s.PosteriorMM, "saddle-height": s.SaddleHeightMM,
	}[name]
}

// small is a nodal triangle that any septum here can hold, so that the rim alone is tried.
var small = []size{{"triangle-hinge-side", 7}, {"triangle-tendon-side", 8}, {"triangle-base-side", 7.2}, {"node-from-apex", 2.5}, {"triangle-apex-offset", 1}}

func TestEachSizeMeasuredAloneIsMet(t *testing.T) {
	for _, c := range []struct {
		name      string
		low, high float64 // mm or mm2: from a child's to a dilated heart's (assumption)
	}{
		{"rim-length", 50, 160}, {"rim-long-axis", 18, 56}, {"rim-short-axis", 20, 48}, {"rim-area", 250, 1900},
		{"septal-segment", 18, 40}, {"septal-chord", 18, 32}, {"anterior-segment", 20, 75}, {"posterior-segment", 16, 75}, {"saddle-height", 2, 12},
	} {
		for i := range 6 {
			want := c.low + (c.high-c.low)*float64(i)/5
			h := build(t, append([]size{{c.name, want}}, small...)...)
			share := lengthShare
			if c.name == "rim-area" {
				share = areaShare
			}
			near(t, c.name, measuredSize(h.Rim.Sizes(), c.name), want, share)
			if v, _ := h.Value(c.name); v.Here != want || !v.Measured {
				t.Errorf("%s measured as %.1f is reported as %.1f, measured: %v", c.name, want, v.Here, v.Measured)
			}
		}
	}
	if got := build(t, size{"saddle-height", 0}).Rim.Sizes().SaddleHeightMM; got > 0.05 {
		t.Errorf("a flat rim has a saddle of %.3f mm", got)
	}
}

// What is not measured follows in proportion.
func TestRestOfRimFollowsItsLength(t *testing.T) {
	usual := build(t).Rim.Sizes()
	for _, k := range []float64{0.9, 1.2, 1.4} {
		s := build(t, size{"rim-length", 105 * k}).Rim.Sizes()
		near(t, "long axis", s.LongAxisMM, k*usual.LongAxisMM, lengthShare)
		near(t, "short axis", s.ShortAxisMM, k*usual.ShortAxisMM, lengthShare)
		near(t, "area", s.AreaMM2, k*k*usual.AreaMM2, 2*areaShare) // a saddle that does not grow leaves more of the length to span area
		near(t, "septal", s.SeptalMM, k*usual.SeptalMM, lengthShare)
		near(t, "anterior", s.AnteriorMM, k*usual.AnteriorMM, lengthShare)
		near(t, "posterior", s.PosteriorMM, k*usual.PosteriorMM, lengthShare)
	}
}

// A segment measured alone leaves the other segments alone, and the rim is as long as its segments; with the length
// measured as well the others share what is left.
func TestSegmentsMeasured(t *testing.T) {
	usual := build(t).Rim.Sizes()
	s := build(t, size{"posterior-segment", 50}).Rim.Sizes()
	near(t, "length", s.LengthMM, 105+50-34.1, lengthShare)
	near(t, "septal", s.SeptalMM, usual.SeptalMM, lengthShare)
	near(t, "anterior", s.AnteriorMM, usual.AnteriorMM, lengthShare)

	s = build(t, size{"posterior-segment", 40}, size{"rim-length", 105}).Rim.Sizes()
	near(t, "length", s.LengthMM, 105, lengthShare)
	near(t, "anterior", s.AnteriorMM, 65*40.3/(40.3+30.6), lengthShare)
	near(t, "septal", s.SeptalMM, 65*30.6/(40.3+30.6), lengthShare)

	s = build(t, size{"anterior-segment", 46.3}, size{"posterior-segment", 39.1}, size{"septal-segment", 32}).Rim.Sizes()
	near(t, "length of the flattened rim (antoniali-2006)", s.LengthMM, 117.4, lengthShare)
	near(t, "anterior", s.AnteriorMM, 46.3, lengthShare)
	near(t, "posterior", s.PosteriorMM, 39.1, lengthShare)
	near(t, "septal", s.SeptalMM, 32, lengthShare)
}

func TestSeveralSizesMeasuredAtOnce(t *testing.T) {
	for _, measured := range [][]size{
		{{"rim-length", 112}, {"rim-area", 960}, {"rim-long-axis", 38}, {"rim-short-axis", 31}}, // another series, from memory
		{{"rim-length", 120}, {"rim-area", 1050}},
		{{"rim-length", 140}, {"rim-area", 1500}, {"saddle-height", 4}},
		{{"rim-long-axis", 42}, {"rim-short-axis", 30}},
		{{"rim-long-axis", 36}, {"rim-short-axis", 35}, {"septal-segment", 31}},
		{{"septal-segment", 32}, {"septal-chord", 30}},
		{{"rim-length", 125}, {"posterior-segment", 50}, {"anterior-segment", 43}},
	} {
		s := build(t, measured...).Rim.Sizes()
		for _, m := range measured {
			share := lengthShare
			if m.Name == "rim-area" {
				share = areaShare
			}
			near(t, m.Name, measuredSize(s, m.Name), m.Value, share)
		}
	}
}

func TestContradictorySizesAreRefused(t *testing.T) {
	for _, c := range []struct {
		measured []size
		name     string // one of the names the refusal must give
		words    []string
	}{
		{[]size{{"rim-length", 100}, {"rim-area", 1200}}, "rim-area", []string{"rim-area 1200 mm2 cannot belong to one closed rim"}},
		{[]size{{"rim-length", 100}, {"rim-long-axis", 60}}, "rim-length", nil},
		{[]size{{"rim-long-axis", 30}, {"rim-short-axis", 40}}, "rim-long-axis", nil},
		{[]size{{"septal-segment", 28}, {"septal-chord", 29}}, "septal-chord", []string{"29 mm", "28 mm", "the chord must be shorter than the arc"}},
		{[]size{{"rim-length", 105}, {"anterior-segment", 60}, {"posterior-segment", 60}}, "anterior-segment", []string{"60 mm anterior, 60 mm posterior", "105 mm", "leave out one"}},
		{[]size{{"rim-length", 105}, {"anterior-segment", 30}, {"posterior-segment", 30}, {"septal-segment", 30}}, "rim-length", []string{"do not add up"}},
		{[]size{{"rim-length", 131.8}, {"rim-area", 800}}, "rim-area", []string{"dented"}},
	} {
		found := refused(t, c.measured...)
		named := false
		for _, e := range found {
			for _, name := range e.Names {
				named = named || name == c.name
				if v := parameter(t, name); v.Name == "" {
					t.Errorf("%v: %q is no parameter", c.measured, name)
				}
			}
			if e.Text == "" || e.Mend == "" {
				t.Errorf("%v: %+v does not say what and how to mend it", c.measured, e)
			}
		}
		if !named {
			t.Errorf("%v: the refusal does not name %s: %v", c.measured, c.name, found[0].Names)
		}
		for _, w := range c.words {
			ok := false
			for _, e := range found {
				ok = ok || strings.Contains(e.Error(), w)
			}
			if !ok {
				t.Errorf("%v: nothing says %q: %v", c.measured, w, found[0])
			}
		}
	}
}

// A heart all of whose sizes are k times as large has a rim k times as large, point for point.
func TestRimScalesWithItsSizes(t *testing.T) {
	usual := build(t, scaled(t, 1)...)
	for _, k := range []float64{50.0 / 105, 0.8, 1.25, 150.0 / 105} {
		h := build(t, scaled(t, k)...)
		worst := 0.0
		for i := range 300 {
			share := float64(i) / 300
			worst = max(worst, usual.Rim.At(share*usual.Rim.lengthMM).Scale(k).Distance(h.Rim.At(share*h.Rim.lengthMM)))
		}
		if worst > 0.01*k { // where the fit is content to stop
			t.Errorf("k = %.2f: the rim is %.3f mm off", k, worst)
		}
	}
}

// The property itself, without the tolerances of measured sizes between: the fit of k times the targets is k times
// the fit.
func TestFitScalesWithItsTargets(t *testing.T) {
	targets := func(k float64) rimTargets {
		at := func(size, tolerance float64) target { return target{size, tolerance} }
		return rimTargets{
			length: at(105*k, 0.0015), long: at(36*k, 0.003), short: at(30*k, 0.003), area: at(860*k*k, 0.004),
			chord: at(28.9*k, 0.003), height: at(7*k, 0.003),
			segments: [3]float64{40.3 * k, 34.1 * k, 30.6 * k}, roughness: usualRoughness,
		}
	}
	one, err := fitRim(targets(1))
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []float64{0.5, 0.8, 1.3, 2} {
		other, err := fitRim(targets(k))
		if err != nil {
			t.Fatal(err)
		}
		for i := range 200 {
			share := float64(i) / 200
			a, b := one.At(share*one.lengthMM).Scale(k), other.At(share*other.lengthMM)
			if a.Distance(b) > 0.01*k { // where the fit is content to stop
				t.Fatalf("k = %.1f: %.4f mm off at %.2f of the way", k, a.Distance(b), share)
			}
		}
	}
}

// scaled measures every length k times as large as usual, every area k² times; what says how uncertain the rest is
// stays.
func scaled(t testing.TB, k float64) (measured []size) {
	for _, p := range load(t).Parameters() {
		switch {
		case p.Name == "conduction-position-spread":
		case p.Unit == "mm":
			measured = append(measured, size{p.Name, p.Value * k})
		case p.Unit == "mm2":
			measured = append(measured, size{p.Name, p.Value * k * k})
		}
	}
	return measured
}

// A child's and a dilated heart, whole.
func TestWholeHeartsOfOtherSizes(t *testing.T) {
	for name, h := range map[string]*Heart{
		"child, everything in proportion": build(t, scaled(t, 50.0/105)...),
		"dilated, the rim alone":          build(t, size{"rim-length", 150}),
		"dilated, the free wall alone":    build(t, size{"anterior-segment", 58}, size{"posterior-segment", 60}, size{"septal-segment", 33}),
	} {
		sound(t, name, h)
		for _, id := range []string{"right-coronary", "aortic-root", "nodal-artery", "node"} {
			if d := shallowest(h, structure(t, h, id)); !(d > 0) {
				t.Errorf("%s: the %s stands %.2f mm out of the endocardium", name, id, -d)
			}
		}
		end := last(courseOf(t, h, "bundle"))
		if !zone(t, h, VentricularSide).Outline.Contains(geom.Point{X: end.AlongMM, Y: end.OffMM}) {
			t.Errorf("%s: the bundle ends at %+v", name, end)
		}
		outline := corners(h.Triangle.Apex, h.Triangle.Hinge, h.Triangle.Tendon)
		if node := nodeSpot(t, h); !outline.Contains(geom.Point{X: node.AlongMM, Y: node.OffMM}) {
			t.Errorf("%s: the node lies outside its triangle", name)
		}
	}
	// A child's rim with an adult's triangle is no heart, and is told how to become one.
	found := refused(t, size{"rim-length", 50})
	says(t, found[0].Error(), "the hinge side of the nodal triangle, 18 mm", "runs past the septal segment of 14.", "give a triangle-hinge-side of at most 11.")
	if found[0].Names[0] != "rim-length" {
		t.Errorf("it names %v, not the one that was measured", found[0].Names)
	}
}

// sound checks that nothing of a heart is missing or no number.
func sound(t testing.TB, name string, h *Heart) {
	t.Helper()
	for _, l := range h.Landmarks {
		if !l.Frame.IsFinite() || l.Spot.AlongMM < 0 || l.Spot.AlongMM >= h.Rim.lengthMM {
			t.Fatalf("%s: %s lies at %+v, %+v", name, l.ID, l.Spot, l.Frame)
		}
	}
	for _, z := range h.Zones {
		if a := z.Outline.Area(); !(a > 0) || math.IsInf(a, 0) {
			t.Fatalf("%s: %s has an area of %v", name, z.ID, a)
		}
	}
	for _, s := range h.Structures {
		if d := s.Solid.Distance(geom.Vec{}); math.IsNaN(d) || math.IsInf(d, 0) {
			t.Fatalf("%s: %s is %v from the origin", name, s.ID, d)
		}
	}
	for _, v := range h.Values {
		if math.IsNaN(v.Here) || math.IsInf(v.Here, 0) {
			t.Fatalf("%s: %s is %v", name, v.Name, v.Here)
		}
	}
}

// Whatever may be measured makes a whole heart or a reasoned refusal.
func TestRandomMeasurementsMakeHeartsOrRefusals(t *testing.T) {
	catalogue := load(t)
	r := rand.New(rand.NewPCG(21, 1))
	hearts := 0
	for i := range 400 {
		var measured []size
		for _, p := range catalogue.Parameters() {
			if r.IntN(12) > 0 {
				continue
			}
			value := p.Value + p.Spread*r.NormFloat64()
			if i%3 == 0 { // anything that is let through at all
				value = uniform(r, p.Least, p.Most)
			}
			measured = append(measured, size{p.Name, min(max(value, p.Least), p.Most)})
		}
		h, err := catalogue.Heart(exactly(measured))
		if err != nil {
			for _, e := range reasons(t, err) {
				if e.Text == "" || e.Mend == "" {
					t.Fatalf("%v: %+v", measured, e)
				}
			}
			continue
		}
		hearts++
		sound(t, "random", h)
		for _, m := range measured {
			if got := measuredSize(h.Rim.Sizes(), m.Name); got != 0 && m.Name != "saddle-height" && math.Abs(got-m.Value) > 0.0201*m.Value {
				t.Fatalf("%v: %s is %.3f", measured, m.Name, got)
			}
		}
	}
	if hearts < 200 {
		t.Errorf("only %d of 400 random measurements make a heart", hearts)
	}
}

func TestSameValuesMakeTheSameHeart(t *testing.T) {
	a, b := build(t, size{"rim-length", 118}), build(t, size{"rim-length", 118})
	for i := range 100 {
		s := Spot{float64(i), float64(i%40) - 8, 1}
		if a.Chart.Frame(s) != b.Chart.Frame(s) {
			t.Fatalf("%+v lies elsewhere the second time", s)
		}
	}
	for i := range a.Structures {
		if p := (geom.Vec{X: 3, Y: -8, Z: 1}); a.Structures[i].Solid.Distance(p) != b.Structures[i].Solid.Distance(p) {
			t.Fatalf("the %s lies elsewhere the second time", a.Structures[i].ID)
		}
	}
}

func TestWrapAndSpan(t *testing.T) {
	r := build(t).Rim
	for _, along := range []float64{0, 1e-17, -1e-17, -1e-300, r.lengthMM, -r.lengthMM, 2.5 * r.lengthMM, -0.25 * r.lengthMM, math.Nextafter(r.lengthMM, 0)} {
		if w := r.Wrap(along); w < 0 || w >= r.lengthMM {
			t.Errorf("%g is wrapped to %g", along, w)
		}
	}
	near(t, "a span over the beginning", r.Span(r.lengthMM-2, 3), 5, 1e-12)
	near(t, "a span back", r.Span(3, 1), r.lengthMM-2, 1e-12)
}

func TestNewRimRefusesWhatIsNoCurve(t *testing.T) {
	var through [rimKnots]geom.Vec
	if _, err := newRim(0, &through); err == nil {
		t.Error("a rim of no length is made")
	}
	through[3].X = math.NaN()
	_, err := newRim(100, &through)
	if err == nil {
		t.Error("a rim through no number is made")
	}
	var geometry *GeometryError
	if errors.As(err, &geometry) {
		t.Errorf("%v is no fault of a plan", err)
	}
}
