package atlas

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas/geom"
)

// roundTripMM is what the issue asks of the chart.
const roundTripMM = 1e-6

// charts are hearts whose chart is unlike the usual one: flat, deeply saddled, steep, and with leaflets that fall more
// steeply than the wall rises, so that the tissue, not the atrium, lies in the hinge's hollow.
func charts(t testing.TB) map[string]*Heart {
	return map[string]*Heart{
		"usual":     build(t),
		"flat":      build(t, size{"saddle-height", 0}),
		"saddled":   build(t, size{"saddle-height", 12}),
		"steep":     build(t, size{"wall-angle-septal", 80}, size{"wall-angle-free", 60}, size{"leaflet-slope", 5}),
		"dilated":   build(t, size{"rim-length", 150}),
		"overslung": build(t, size{"wall-angle-free", 15}, size{"wall-angle-septal", 30}, size{"leaflet-slope", 45}),
	}
}

// regions of the chart that it must carry there and back.
var regions = []struct {
	name      string
	off, deep [2]float64
}{
	{name: "wall", off: [2]float64{0, 44}, deep: [2]float64{0, 15}},
	{name: "leaflet", off: [2]float64{-12, 0}, deep: [2]float64{0, 6}},
	{name: "hinge", off: [2]float64{-FilletMM - 1, 1}, deep: [2]float64{-1, 6}},
	{name: "at the hinge", off: [2]float64{-1e-6, 1e-6}, deep: [2]float64{0, 6}},
}

func TestChartThereAndBack(t *testing.T) {
	for name, h := range charts(t) {
		r := rand.New(rand.NewPCG(11, 1))
		for _, region := range regions {
			single := 0
			const spots = 800
			for range spots {
				s := Spot{uniform(r, 0, h.Rim.LengthMM()), uniform(r, region.off[0], region.off[1]), uniform(r, region.deep[0], region.deep[1])}
				if !oneToOne(h, s) {
					continue
				}
				single++
				p := h.Chart.Frame(s)
				back, ok := h.Chart.Spot(p)
				if !ok {
					t.Fatalf("%s, %s: no way back from %+v", name, region.name, s)
				}
				if d := h.Chart.Frame(back).Distance(p); !(d <= roundTripMM) {
					t.Fatalf("%s, %s: %+v is carried %.2g mm away from itself", name, region.name, p, d)
				}
				if d := spotDistance(h, s, back); !(d <= roundTripMM) {
					t.Fatalf("%s, %s: %+v comes back as %+v, %.2g mm away", name, region.name, s, back, d)
				}
			}
			// Over the wall every place counts; elsewhere a chart may fold, but not so that nothing is left to check.
			least := spots / 2
			switch {
			case name == "overslung": // normals meet in the tissue, not far under the hinge
				least = spots / 10
			case region.name == "wall":
				least = spots
			}
			if single < least {
				t.Errorf("%s, %s: only %d of %d places were checked", name, region.name, single, spots)
			}
		}
	}
}

// spotDistance is how far apart two spots are, mm, with the rim's beginning and end the same place.
func spotDistance(h *Heart, a, b Spot) float64 {
	along := math.Abs(h.Rim.Wrap(a.AlongMM) - h.Rim.Wrap(b.AlongMM))
	along = min(along, h.Rim.LengthMM()-along)
	return geom.Vec{X: along, Y: a.OffMM - b.OffMM, Z: a.DeepMM - b.DeepMM}.Norm()
}

// oneToOne tells from the outside whether a spot is the only one at its place of the frame: the rim comes nowhere
// nearer to its shadow than at its own foot, and, where leaflet and wall make a hollow, it lies nearer to the surface
// than half the radius of the tightest turn there, or well on the side of the hollow where normals spread.
func oneToOne(h *Heart, s Spot) bool {
	p, foot := h.Chart.Frame(s), h.Rim.At(s.AlongMM)
	own := math.Hypot(p.X-foot.X, p.Y-foot.Y)
	const looks = 400
	for i := 1; i < looks; i++ {
		q := h.Rim.At(s.AlongMM + h.Rim.LengthMM()*float64(i)/looks)
		// Between two looks the distance may fall by as much as half a look's length squared over it.
		if math.Hypot(p.X-q.X, p.Y-q.Y) < own+1e-9 || s.OffMM < 0 && math.Hypot(p.X-q.X, p.Y-q.Y) < own+5e-3 && i > 8 && i < looks-8 {
			return false
		}
	}
	turn := h.Chart.slant(s.AlongMM).wall - h.Chart.leaflet
	into := s.DeepMM // towards the hollow
	if turn > 0 {
		into = -into
	}
	return into <= 0 || into < 0.5*FilletMM/(1.875*math.Abs(turn))
}

// From places of the frame, wherever the chart says that it knows the way.
func TestFrameThereAndBack(t *testing.T) {
	for name, h := range charts(t) {
		r := rand.New(rand.NewPCG(12, 1))
		known := 0
		const places = 3000
		for range places {
			p := geom.Vec{X: uniform(r, -45, 45), Y: uniform(r, -45, 45), Z: uniform(r, -15, 35)}
			s, ok := h.Chart.Spot(p)
			if !ok {
				continue
			}
			known++
			if d := h.Chart.Frame(s).Distance(p); !(d <= roundTripMM) {
				t.Fatalf("%s: %+v has the spot %+v, which lies %.2g mm away", name, p, s, d)
			}
			if s.AlongMM < 0 || s.AlongMM >= h.Rim.LengthMM() {
				t.Fatalf("%s: along %v is not within one turn", name, s.AlongMM)
			}
		}
		if known < places/2 {
			t.Errorf("%s: only %d of %d places have a spot", name, known, places)
		}
	}
}

// Twice as far into the hollow of the fillet as the circle reaches that fits into the whole corner, normals of wall and
// leaflet meet: over the usual hinge in the atrium, under one whose leaflets fall steeply in the tissue.
func TestSpotIsRefusedDeepInTheHollow(t *testing.T) {
	for name, h := range map[string]*Heart{
		"usual":     build(t),
		"overslung": build(t, size{"wall-angle-free", 15}, size{"wall-angle-septal", 20}, size{"leaflet-slope", 60}),
	} {
		septal := h.Segments()[2] // the free wall's hollow is so wide that places in it are nearer to other rim
		for along := septal.FromMM + 1; along < septal.FromMM+septal.ForMM; along += 2 {
			turn := h.Chart.slant(along).wall - h.Chart.leaflet
			p := h.Chart.Frame(Spot{along, -FilletMM / 2, -2 * FilletMM / turn})
			if s, ok := h.Chart.Spot(p); ok {
				t.Errorf("%s: the place in the hollow at %.0f mm is taken for %+v", name, along, s)
			}
		}
	}
}

// No curve carried through the chart may have a kink: a smooth curve turns half as much in half the step, a kink as
// much however short the step.
func TestChartHasNoKinks(t *testing.T) {
	for name, h := range charts(t) {
		length := h.Rim.LengthMM()
		curves := map[string]func(u float64) Spot{}
		for share := 0.0; share < 1; share += 0.125 {
			across := func(along float64, deep float64) func(u float64) Spot {
				return func(u float64) Spot { return Spot{along, -10 + 25*u, deep} }
			}
			curves["across the hinge "+stamp(share)] = across(share*length, 0)
			curves["across the hinge, deep "+stamp(share)] = across(share*length, 1.2)
			curves["slanting across the hinge "+stamp(share)] = func(u float64) Spot { return Spot{share*length - 6 + 12*u, -6 + 12*u, 1} }
		}
		for _, off := range []float64{-6, -FilletMM, -2, 0, 3, 15, 40} {
			for _, deep := range []float64{0, 2} {
				curves["around "+stamp(off)+" deep "+stamp(deep)] = func(u float64) Spot { return Spot{u * length, off, deep} }
			}
		}
		s := h.Rim.segments
		for i, border := range []float64{0, s[0], s[0] + s[1], length} {
			curves["over border "+stamp(float64(i))] = func(u float64) Spot { return Spot{border - 1 + 2*u, 5, 1} }
		}
		for what, curve := range curves {
			coarse, fine := sharpest(h, curve, 1000), sharpest(h, curve, 2000)
			if fine > 0.55*coarse {
				t.Errorf("%s, %s: it turns by %.2g in one step and still by %.2g in half of it", name, what, coarse, fine)
			}
			if coarse > 0.12 {
				t.Errorf("%s, %s: it turns by %.2g in a thousandth of its way", name, what, coarse)
			}
		}
	}
}

func stamp(x float64) string { return quantity(x, "mm") }

// sharpest is the largest angle between neighbouring chords of a curve of so many steps, radians.
func sharpest(h *Heart, curve func(u float64) Spot, steps int) (most float64) {
	at := func(i int) geom.Vec { return h.Chart.Frame(curve(float64(i) / float64(steps))) }
	for i := 1; i < steps; i++ {
		a, b := at(i).Sub(at(i-1)), at(i+1).Sub(at(i))
		most = max(most, math.Atan2(a.Cross(b).Norm(), a.Dot(b)))
	}
	return most
}

func TestChartClosesAtItsSeam(t *testing.T) {
	for name, h := range charts(t) {
		for _, off := range []float64{-6, -1, 0, 20} {
			a, b := h.Chart.Frame(Spot{0, off, 1}), h.Chart.Frame(Spot{h.Rim.LengthMM(), off, 1})
			before, after := h.Chart.Frame(Spot{-1e-7, off, 1}), h.Chart.Frame(Spot{1e-7, off, 1})
			if a.Distance(b) > 1e-12 || before.Distance(after) > 1e-6 {
				t.Errorf("%s: at off %.0f the rim's end lies %.2g mm from its beginning, %.2g mm across", name, off, a.Distance(b), before.Distance(after))
			}
		}
	}
}

func TestChartAxesAreAtRightAngles(t *testing.T) {
	const h = 1e-5
	for name, heart := range charts(t) {
		r := rand.New(rand.NewPCG(13, 1))
		for range 500 {
			s := Spot{uniform(r, 0, heart.Rim.LengthMM()), uniform(r, -10, 40), uniform(r, 0, 6)}
			up, inward := heart.Chart.Up(s), heart.Chart.Inward(s)
			course := heart.Chart.rim.tangent(s.AlongMM)
			course.Z = 0
			for what, dot := range map[string]float64{"up and inward": up.Dot(inward), "up and the rim in plan": up.Dot(course), "inward and the rim in plan": inward.Dot(course)} {
				if math.Abs(dot) > 1e-12 {
					t.Fatalf("%s: %s are not at right angles at %+v: %g", name, what, s, dot)
				}
			}
			if math.Abs(up.Norm()-1) > 1e-12 || math.Abs(inward.Norm()-1) > 1e-12 {
				t.Fatalf("%s: not of unit length at %+v", name, s)
			}
			// They point where off and deep grow; off along the endocardium only.
			deeper := heart.Chart.Frame(Spot{s.AlongMM, s.OffMM, s.DeepMM + h}).Sub(heart.Chart.Frame(Spot{s.AlongMM, s.OffMM, s.DeepMM - h})).Scale(1 / (2 * h))
			further := heart.Chart.Frame(Spot{s.AlongMM, s.OffMM + h, 0}).Sub(heart.Chart.Frame(Spot{s.AlongMM, s.OffMM - h, 0})).Scale(1 / (2 * h))
			if deeper.Distance(inward) > 1e-6 || further.Distance(up) > 1e-4 {
				t.Fatalf("%s: at %+v inward is off by %.2g, up by %.2g", name, s, deeper.Distance(inward), further.Distance(up))
			}
		}
	}
}

// The node lies flat under the endocardium, so its thin axis must stand at right angles to it both ways.
func TestNodeLiesFlatUnderEndocardium(t *testing.T) {
	for name, h := range charts(t) {
		s := nodeSpot(t, h)
		s.DeepMM = 0
		node, ok := structure(t, h, "node").Solid.(geom.Ellipsoid)
		if !ok {
			t.Fatal("the node is no ellipsoid")
		}
		along := h.onChart(Spot{s.AlongMM - 0.05, s.OffMM, 0}, Spot{s.AlongMM + 0.05, s.OffMM, 0})
		up := h.onChart(Spot{s.AlongMM, s.OffMM - 0.05, 0}, Spot{s.AlongMM, s.OffMM + 0.05, 0})
		for way, curve := range map[string]func(float64) geom.Vec{"along": along, "up": up} {
			if lean := curve(1).Sub(curve(0)).Unit().Dot(node.Axes[2]); math.Abs(lean) > 1e-3 {
				t.Errorf("%s: the node leans %.2f° against the endocardium %s", name, math.Asin(lean)*180/math.Pi, way)
			}
		}
	}
}

// Where the saddle climbs, deep is not counted quite at right angles to the endocardium. The design's formula is kept;
// this says what it costs in the usual heart: a depth in the chart is at most 11 % more than the depth under the nearest
// endocardium, and on the septum, where depth matters most, 6 %.
func TestDepthIsCountedAlmostPerpendicularly(t *testing.T) {
	h := build(t)
	for along := 0.0; along < h.Rim.LengthMM(); along++ {
		for off := 0.0; off <= 20; off += 2 {
			s := Spot{along, off, 0}
			most := 0.11
			if h.SegmentAt(along).Name == "septal" {
				most = 0.06
			}
			if short := 1 - h.Chart.Inward(s).Dot(h.Chart.perpendicular(s)); short > most {
				t.Errorf("at %.0f mm along, %.0f off, a depth is over-stated by %.1f %%", along, off, 100*short)
			}
		}
	}
}

func TestSpreadIsTissuePerChart(t *testing.T) {
	for name, h := range charts(t) {
		r := rand.New(rand.NewPCG(14, 1))
		for range 50 {
			s := Spot{uniform(r, 0, h.Rim.LengthMM()), uniform(r, -4, 40), uniform(r, 0, 3)}
			const half = 0.05 // mm; unlike Spread's own
			way := arc(h.onChart(Spot{s.AlongMM - half, s.OffMM, s.DeepMM}, Spot{s.AlongMM + half, s.OffMM, s.DeepMM}))
			near(t, name+": spread", h.Chart.Spread(s), way/(2*half), 2e-3)
		}
		near(t, name+": spread on the hinge itself", h.Chart.Spread(Spot{AlongMM: 7}), 1, 1e-5)
	}
}

// What the surgeon sees: septum at the bottom, anteroseptal commissure lower left, anterior left and top, posterior
// right, ostium lower right of the triangle's apex (x toward the feet is right, y toward the front is up).
func TestOrientationIsTheSurgeons(t *testing.T) {
	h := build(t)
	at := func(id string) geom.Vec { return landmark(t, h, id).Frame }
	if p := at("anteroseptal-commissure"); p.X >= 0 || p.Y >= 0 {
		t.Errorf("the anteroseptal commissure is not lower left: %+v", p)
	}
	if p := at("posteroseptal-commissure"); p.X <= 0 || p.Y >= 0 {
		t.Errorf("the posteroseptal commissure is not lower right: %+v", p)
	}
	if p := at("mid-septal"); p.Y >= at("anteroseptal-commissure").Y || math.Abs(p.X) > 3 {
		t.Errorf("the septum is not at the bottom: %+v", p)
	}
	if p := at("mid-anterior"); p.X >= 0 || p.Y <= 0 {
		t.Errorf("the anterior segment is not left and up: %+v", p)
	}
	if p := at("mid-posterior"); p.X <= 0 {
		t.Errorf("the posterior segment is not right: %+v", p)
	}
	if apex, ostium := at("triangle-apex"), at("coronary-sinus-ostium"); ostium.X <= apex.X || ostium.Y >= apex.Y {
		t.Errorf("the ostium %+v is not lower right of the triangle's apex %+v", ostium, apex)
	}
	if p := h.Chart.Frame(Spot{OffMM: 10}); p.Z <= h.Chart.Frame(Spot{}).Z || p.X*p.X+p.Y*p.Y <= at("anteroseptal-commissure").X*at("anteroseptal-commissure").X+at("anteroseptal-commissure").Y*at("anteroseptal-commissure").Y {
		t.Errorf("the wall does not rise outward out of the valve: %+v", p)
	}
	if p := h.Chart.Frame(Spot{OffMM: -10}); p.Z >= h.Chart.Frame(Spot{}).Z {
		t.Errorf("the leaflet does not fall into the ventricle: %+v", p)
	}
	// Clockwise as seen: the angle about the centre falls all the way round.
	points := closed(h, 360)
	for i, p := range points {
		q := points[(i+1)%len(points)]
		if p.X*q.Y-p.Y*q.X >= 0 {
			t.Fatalf("travel is not clockwise at %d of 360", i)
		}
	}
}

func TestChartPassesOnWhatIsNoNumber(t *testing.T) {
	h := build(t)
	for _, s := range []Spot{{AlongMM: math.NaN()}, {OffMM: math.NaN()}, {DeepMM: math.NaN()}, {AlongMM: math.Inf(1)}, {OffMM: math.Inf(-1)}} {
		if p := h.Chart.Frame(s); p.IsFinite() {
			t.Errorf("%+v becomes %+v", s, p)
		}
	}
	if s, ok := h.Chart.Spot(geom.Vec{X: math.NaN()}); ok && s.OffMM == s.OffMM {
		t.Errorf("a place that is no number has the spot %+v", s)
	}
}

func TestUnrollKeepsZonesInOneTurn(t *testing.T) {
	h := build(t)
	length := h.Rim.LengthMM()
	for _, turn := range []float64{-length, 0, length} {
		near(t, "septal", h.Unroll(-10+turn), -10, 1e-9)
		near(t, "anterior", h.Unroll(10+turn), 10, 1e-9)
	}
	cut := -h.Rim.segments[2] - h.Rim.segments[1]/2
	if got := h.Unroll(cut + 0.01); math.Abs(got-cut-0.01) > 1e-9 {
		t.Errorf("just after the cut: %.3f", got)
	}
	if got := h.Unroll(cut - 0.01); math.Abs(got-cut+0.01-length) > 1e-9 {
		t.Errorf("just before the cut: %.3f", got)
	}
	for _, z := range h.Zones {
		for _, p := range z.Outline {
			if math.Abs(h.Unroll(p.X)-p.X) > 1e-9 {
				t.Fatalf("%s reaches over the cut at %.2f", z.ID, p.X)
			}
		}
	}
}
