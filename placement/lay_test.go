package placement

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// walk goes along the rim as a thread laid on it would, in steps measured in space, from the rim's point next to a
// place; clockwise for a positive way. It knows nothing of the rim's own parameter but that it goes round.
func walk(rim *atlas.Rim, from geom.Vec, mm float64) geom.Vec {
	const steps = 40000
	points := rim.Sample(steps)
	start := 0
	for i, p := range points {
		if p.Distance(from) < points[start].Distance(from) {
			start = i
		}
	}
	step := 1
	if mm < 0 {
		step, mm = steps-1, -mm
	}
	i := start
	for gone := 0.0; gone < mm; i = (i + step) % steps {
		gone += points[i].Distance(points[(i+step)%steps])
	}
	return points[i]
}

func TestPlacesAreWhereTheyAreSaidToBe(t *testing.T) {
	heart := usualHeart(t)
	hinge := func(id string) geom.Vec {
		l, ok := heart.Landmark(id)
		if !ok {
			t.Fatal("no landmark", id)
		}
		return heart.Chart.Frame(atlas.Spot{AlongMM: l.Spot.AlongMM})
	}
	length := map[string]float64{}
	for _, s := range heart.Segments() {
		length[s.Name] = s.ForMM
	}
	for _, c := range []struct {
		place, from string
		clockwiseMM float64
	}{
		{"from: anteroseptal-commissure, toward: anterior, by: 10 mm", AnteroseptalCommissure, 10},
		{"from: anteroseptal-commissure, toward: septal, by: 4 mm", AnteroseptalCommissure, -4},
		{"from: anteroseptal-commissure, toward: clockwise, by: 0 mm", AnteroseptalCommissure, 0},
		{"from: anteroseptal-commissure, toward: anteroposterior-commissure, by: 10 mm", AnteroseptalCommissure, 10},
		{"from: anteroseptal-commissure, toward: posteroseptal-commissure, by: 40 mm", AnteroseptalCommissure, -40},
		{"from: anteroposterior-commissure, toward: anterior, by: 6 mm", AnteroposteriorCommissure, -6},
		{"from: anteroposterior-commissure, toward: posterior, by: 6 mm", AnteroposteriorCommissure, 6},
		{"from: posteroseptal-commissure, toward: septal, by: 12 mm", PosteroseptalCommissure, 12},
		{"from: posteroseptal-commissure, toward: posterior, by: 12 mm", PosteroseptalCommissure, -12},
		{"from: mid-septal, toward: clockwise, by: 30 mm", MidSeptal, 30},
		{"from: mid-anterior, toward: anticlockwise, by: 30 mm", MidAnterior, -30},
		{"from: mid-posterior, toward: anteroseptal-commissure, by: 60 mm", MidPosterior, 60},
		{"from: triangle-apex, toward: anticlockwise, by: 5 mm", TriangleApex, -5},
		{"from: triangle-apex, toward: anteroseptal-commissure, by: 2 mm", TriangleApex, 2},
		{"from: triangle-base, toward: posteroseptal-commissure, by: 3 mm", TriangleBase, -3},
		{"from: coronary-sinus-ostium, toward: clockwise, by: 2.5 mm", CoronarySinusOstium, 2.5},
		{"from: fibrous-body, toward: anterior, by: 6 mm", FibrousBody, 6},
		{"segment: anterior, share: 0 %", AnteroseptalCommissure, 0},
		{"segment: anterior, share: 25 %", AnteroseptalCommissure, 0.25 * length[Anterior]},
		{"segment: posterior, share: 40 %", AnteroposteriorCommissure, 0.4 * length[Posterior]},
		{"segment: septal, share: 10 %", PosteroseptalCommissure, 0.1 * length[Septal]},
		{"segment: septal, share: 100 %", AnteroseptalCommissure, 0},
	} {
		bite := `{ name: a, kind: single, tissue: rim, in: { ` + c.place + ` }, travel: 3 mm, heading: up-the-wall, depth: 1 mm }`
		pass := mustLay(t, mustRead(t, planText(bite))).Bites[0].Passes[0]
		nearPoint(t, c.place, pass.Path[0], walk(heart.Rim, hinge(c.from), c.clockwiseMM), 0.01)
		if pass.In.AlongMM < 0 || pass.In.AlongMM >= heart.Rim.LengthMM() {
			t.Errorf("%s: along %v is not within one turn", c.place, pass.In.AlongMM)
		}
	}
}

// The hour of a place is the angle of the ray from the rim's centroid, clockwise from straight to the front (y).
func TestClockIsTheAngleFromTheCentroid(t *testing.T) {
	heart := usualHeart(t)
	var centroid geom.Vec
	points := heart.Rim.Sample(2000)
	for _, p := range points {
		centroid = centroid.Add(p.Scale(1 / float64(len(points))))
	}
	for _, c := range []struct {
		clock string
		hours float64
	}{{"12:00", 0}, {"1:30", 1.5}, {"3:00", 3}, {"6:00", 6}, {"7:20", 7 + 1./3}, {"8:30", 8.5}, {"9:00", 9}, {"11:59", 11 + 59./60}} {
		bite := `{ name: a, kind: single, tissue: rim, in: { clock: "` + c.clock + `" }, travel: 3 mm, heading: clockwise, depth: 1 mm }`
		p := mustLay(t, mustRead(t, planText(bite))).Bites[0].Passes[0].Path[0].Sub(centroid)
		sin, cos := math.Sincos(c.hours * math.Pi / 6)
		// The angle between the ray and the hand, whichever way they differ.
		off := math.Atan2(p.X*cos-p.Y*sin, p.X*sin+p.Y*cos)
		near(t, c.clock+", radians off", off, 0, 1e-3)
	}
}

func TestOffIsMeasuredFromTheHinge(t *testing.T) {
	heart := usualHeart(t)
	for _, along := range []float64{0, 20, 50, 90} {
		hinge := heart.Chart.Frame(atlas.Spot{AlongMM: along})
		up := mustLay(t, codePlan(going(Rim, along, 7, 2, 0, 1))).Bites[0].Passes[0].Path[0]
		near(t, "straight up the wall", up.Distance(hinge), 7, 1e-9)
		if up.Z <= hinge.Z {
			t.Errorf("up the wall at %v leads down", along)
		}
		if down := mustLay(t, codePlan(going(Rim, along, -7, 2, 0, 1))).Bites[0].Passes[0].Path[0]; math.Hypot(down.X, down.Y) >= math.Hypot(hinge.X, hinge.Y) {
			t.Errorf("onto the leaflet at %v leads away from the orifice", along)
		}
	}
}

func TestHeadings(t *testing.T) {
	heart := usualHeart(t)
	for _, c := range []struct {
		heading string
		degrees float64
	}{
		{"clockwise", 0}, {"up-the-wall", 90}, {"anticlockwise", 180}, {"onto-the-leaflet", 270},
		{"30 deg", 30}, {"200.5 deg", 200.5}, {"0 deg", 0}, {"359 deg", 359},
	} {
		bite := `{ name: a, kind: single, tissue: rim, in: { from: mid-septal, toward: clockwise, by: 1 mm, off: 6 mm }, travel: 2 mm, heading: ` + c.heading + `, depth: 1 mm }`
		p := mustLay(t, mustRead(t, planText(bite))).Bites[0].Passes[0]
		middle := atlas.Spot{AlongMM: (p.In.AlongMM + p.Out.AlongMM) / 2, OffMM: (p.In.OffMM + p.Out.OffMM) / 2}
		got := math.Atan2(p.Out.OffMM-p.In.OffMM, (p.Out.AlongMM-p.In.AlongMM)*heart.Chart.Spread(middle)) * 180 / math.Pi
		near(t, c.heading, math.Remainder(got-c.degrees, 360), 0, 0.05)
	}
	// Seen from the atrium, y up, clockwise is a turn from y towards x.
	p := mustLay(t, codePlan(going(Rim, 20, 0, 2, 0, 1))).Bites[0].Passes[0]
	if a, b := p.Path[0], p.Path[len(p.Path)-1]; a.X*b.Y-a.Y*b.X >= 0 {
		t.Error("clockwise turns anticlockwise in the atrial view")
	}
}

func TestTravelIsMeasuredOnTissue(t *testing.T) {
	heart := usualHeart(t)
	r := rand.New(rand.NewPCG(7, 1))
	for range 400 {
		travel := 0.5 + 19.5*r.Float64()
		bite := going(Rim, heart.Rim.LengthMM()*r.Float64(), -8+30*r.Float64(), travel, 360*r.Float64(), 0.2)
		in := resolve(bite.In, heart)
		out := travelled(heart, in, bite.Heading, travel)
		if leaflet, _ := tissueReach(heart); out.OffMM < -leaflet {
			continue // past the free edge no bite is laid
		}
		const steps = 2000
		length := 0.0
		for i := range steps {
			at := func(i int) geom.Vec {
				u := float64(i) / steps
				return heart.Chart.Frame(atlas.Spot{AlongMM: in.AlongMM + u*(out.AlongMM-in.AlongMM), OffMM: in.OffMM + u*(out.OffMM-in.OffMM)})
			}
			length += at(i).Distance(at(i + 1))
		}
		near(t, "length on the endocardium", length/travel, 1, 0.01)
	}
}

func TestExplicitOutTakesTheShorterWay(t *testing.T) {
	heart := usualHeart(t)
	round := heart.Rim.LengthMM()
	for _, c := range []struct{ in, out, way float64 }{{10, 14, 4}, {14, 10, -4}, {round - 2, 3, 5}, {3, round - 2, -5}} {
		p := mustLay(t, codePlan(fromTo(Rim, c.in, 1, c.out, -2, 1))).Bites[0].Passes[0]
		near(t, "way along", p.Out.AlongMM-p.In.AlongMM, c.way, 1e-9)
		near(t, "off", p.Out.OffMM, -2, 0)
		nearPoint(t, "out", p.Path[len(p.Path)-1], heart.Chart.Frame(atlas.Spot{AlongMM: c.out, OffMM: -2}), 1e-9)
	}
}

func TestPassesOfAStitch(t *testing.T) {
	heart := usualHeart(t)
	mattress := fromTo(Rim, 50, 2, 50.5, -1, 1)
	mattress.Kind, mattress.ApartMM = Mattress, 4.5
	run := going(Rim, 30, 1, 4, 0, 1)
	run.Kind, run.Passes, run.PitchMM = Running, 7, 6
	back := going(Rim, 10, 1, 4, 180, 1)
	back.Kind, back.Passes, back.PitchMM = Running, 4, -6.5
	around := going(Rim, 0, 0, 3, 0, 1)
	around.Kind, around.Passes, around.PitchMM = Running, 100, 5
	for _, c := range []struct {
		name   string
		bite   Bite
		passes int
		step   float64
	}{
		{"single", going(Rim, 5, 0, 4, 0, 1), 1, 0}, {"mattress", mattress, 2, 4.5},
		{"running", run, 7, 6}, {"running back across the seam", back, 4, -6.5}, {"running round and round", around, 100, 5},
	} {
		passes := mustLay(t, codePlan(c.bite)).Bites[0].Passes
		if len(passes) != c.passes {
			t.Fatalf("%s: %d passes", c.name, len(passes))
		}
		for i, p := range passes {
			near(t, c.name+": along", p.In.AlongMM, passes[0].In.AlongMM+float64(i)*c.step, 1e-9)
			near(t, c.name+": way", p.Out.AlongMM-p.In.AlongMM, passes[0].Out.AlongMM-passes[0].In.AlongMM, 1e-9)
			near(t, c.name+": off", p.In.OffMM, passes[0].In.OffMM, 0)
			same := heart.Chart.Frame(atlas.Spot{AlongMM: heart.Rim.Wrap(p.In.AlongMM), OffMM: p.In.OffMM})
			nearPoint(t, c.name+": in, round the turn", p.Path[0], same, 1e-9)
		}
	}
}

func TestNeedlePath(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	heart := usualHeart(t)
	for range 300 {
		p := randomPass(r, heart)
		nearPoint(t, "starts at in", p.Arc.At(0), heart.Chart.Frame(p.In), 1e-9)
		nearPoint(t, "ends at out", p.Arc.At(1), heart.Chart.Frame(p.Out), 1e-9)
		if p.Path[0] != p.Arc.At(0) || p.Path[len(p.Path)-1] != p.Arc.At(1) {
			t.Error("the chords leave out an end of the arc")
		}
		for i := range 500 {
			if off := distanceToPath(p.Arc.At(float64(i)/499), p.Path); off > chordSagMM*1.000001 {
				t.Fatalf("the arc leaves its chords by %v mm", off)
			}
		}
		middle := heart.Chart.Frame(atlas.Spot{AlongMM: (p.In.AlongMM + p.Out.AlongMM) / 2, OffMM: (p.In.OffMM + p.Out.OffMM) / 2, DeepMM: p.DepthMM})
		if off := distanceToPath(middle, p.Path); off > chordSagMM*1.000001 {
			t.Errorf("the needle passes the place %v mm under the middle at %v mm", p.DepthMM, off)
		}
	}
}

func distanceToPath(p geom.Vec, path []geom.Vec) float64 {
	least := math.Inf(1)
	for i := 1; i < len(path); i++ {
		d, _ := geom.Segment{A: path[i-1], B: path[i]}.DistancePoint(p)
		least = min(least, d)
	}
	return least
}

// On a bite of up to 5 mm the deepest point is about the stated depth under the endocardium, asked back from the chart.
func TestDeepestPointOfTheNeedle(t *testing.T) {
	heart := usualHeart(t)
	for along := 3.0; along < heart.Rim.LengthMM(); along += 7 {
		for _, b := range []Bite{
			going(Rim, along, 0.5, 5, 0, 1.5), going(Wall, along, 3, 5, 180, 2), going(Rim, along, 2, 3.5, 270, 1), going(Wall, along, 4, 4, 45, 1.5), going(Leaflet, along, -4.5, 3, 0, 0.4),
		} {
			pass := mustLay(t, codePlan(b)).Bites[0].Passes[0]
			deepest, shallowest := 0.0, 0.0
			for i := range 401 {
				spot, ok := heart.Chart.Spot(pass.Arc.At(float64(i) / 400))
				if !ok {
					t.Fatalf("the chart loses the needle at %v", along)
				}
				deepest, shallowest = max(deepest, spot.DeepMM), min(shallowest, spot.DeepMM)
			}
			if deepest < b.DepthMM-1e-6 || deepest > b.DepthMM+0.1 { // NewPass promises a tenth of a millimetre
				t.Errorf("the needle goes %v mm deep, not %v", deepest, b.DepthMM)
			}
			near(t, "shallowest point", shallowest, 0, 1e-6)
		}
	}
}

// What a heart refuses is refused in one run, each at its place.
func TestLayRefuses(t *testing.T) {
	plan := mustRead(t, planText(
		`{ name: deep, kind: single, tissue: rim, in: { clock: "10:00" }, travel: 2 mm, heading: clockwise, depth: 3 mm }`,
		`{ name: still, kind: single, tissue: rim, in: { clock: "10:00", off: 1 mm }, out: { clock: "10:00", off: 1 mm }, depth: 1 mm }`,
		`{ name: high, kind: single, tissue: wall, in: { clock: "10:00", off: 38 mm }, travel: 12 mm, heading: up-the-wall, depth: 1 mm }`,
		`{ name: edge, kind: single, tissue: leaflet, in: { clock: "10:00", off: -20 mm }, out: { clock: "10:00", off: -24 mm }, depth: 0.4 mm }`,
		`{ name: falls, kind: single, tissue: wall, in: { clock: "10:00", off: 1 mm }, travel: 4 mm, heading: onto-the-leaflet, depth: 1 mm }`,
		`{ name: climbs, kind: single, tissue: leaflet, in: { clock: "10:00", off: -1 mm }, travel: 4 mm, heading: up-the-wall, depth: 0.5 mm }`,
		`{ name: far, kind: single, tissue: rim, in: { from: posteroseptal-commissure, toward: clockwise, by: 0 mm, off: 20 mm }, out: { from: anteroposterior-commissure, toward: clockwise, by: 0 mm, off: 20 mm }, depth: 1 mm }`,
		`{ name: aimless, kind: single, tissue: rim, in: { from: mid-septal, toward: septal, by: 3 mm }, travel: 4 mm, heading: clockwise, depth: 1 mm }`,
		`{ name: round, kind: single, tissue: rim, in: { clock: "10:00" }, out: { from: mid-septal, toward: clockwise, by: 200 mm }, depth: 1 mm }`,
		`{ name: right, kind: single, tissue: wall, in: { clock: "10:00" }, travel: 4 mm, heading: clockwise, depth: 1 mm }`,
	))
	laid, problems := Lay(plan, loadCatalogue(t))
	if laid != nil {
		t.Error("a refused plan was laid")
	}
	want := []struct{ place, what, then string }{
		{"plan.yaml:5:5:", `"deep" is 3.0 mm deep but only 2.0 mm`, "a depth of at most 1."},
		{"plan.yaml:6:5:", `"still" goes in and comes out at one place`, "0.2 mm"},
		{"plan.yaml:7:5:", `"high": its "out" lies 50.0 mm off the hinge`, "44.0 mm"},
		{"plan.yaml:8:54:", `"edge": its "in" lies -20.0 mm`, "-17.5"},
		{"plan.yaml:8:92:", `"edge": its "out" lies -24.0 mm`, "-17.5"},
		{"plan.yaml:9:5:", `"falls" is declared wall but its needle comes out -3.0 mm`, "rim"},
		{"plan.yaml:10:5:", `"climbs" is declared leaflet but its needle comes out 3.0 mm`, "rim"},
		{"plan.yaml:11:5:", `"far" comes out`, "at most 40 mm"},
		{"plan.yaml:12:53:", `"aimless": its "in" lies from mid-septal toward septal, but neither way is the shorter`, "clockwise"},
		{"plan.yaml:13:76:", `"round": its "out" lies 200.0 mm along`, "once round"},
	}
	lines := strings.Split(problems.Error(), "\n")
	for i, line := range lines {
		if i < len(want) && (!strings.HasPrefix(line, want[i].place) || !strings.Contains(line, want[i].what) || !strings.Contains(line, want[i].then)) {
			t.Errorf("got  %s\nwant %+v", line, want[i])
		}
	}
	if len(lines) != len(want) {
		t.Errorf("%d problems, want %d:\n%s", len(lines), len(want), problems.Error())
	}
}

// A depth that fits the first pass of a run is refused where the tissue is narrower under a later one.
func TestLayLooksAtEveryPass(t *testing.T) {
	heart := usualHeart(t)
	run := going(Wall, 30, 12, 3, 0, 1)
	run.Kind, run.Passes, run.PitchMM = Running, 12, 5
	laid := mustLay(t, codePlan(run))
	shortest, longest, first := math.Inf(1), 0.0, 0.0
	for i, p := range laid.Bites[0].Passes {
		d := p.Path[0].Distance(p.Path[len(p.Path)-1])
		shortest, longest = min(shortest, d), max(longest, d)
		if i == 0 {
			first = d
		}
	}
	if shortest >= first*0.98 {
		t.Fatalf("the passes are alike: %v to %v mm on a rim of %v", shortest, longest, heart.Rim.LengthMM())
	}
	run.DepthMM = deepestShare * (shortest + first) / 2
	if _, problems := Lay(codePlan(run), loadCatalogue(t)); len(problems) != 1 || !strings.Contains(problems[0].What, `of bite "1" is`) || !strings.HasPrefix(problems[0].What, "pass ") {
		t.Errorf("got %v", problems)
	}
}

func TestLayRefusesContradictorySizes(t *testing.T) {
	text := "fairlead: 1\ncase: test\noperation: rehearsal\nheart:\n  septal-wall-height: 40 mm\n  triangle-hinge-side: 4 mm\n  triangle-tendon-side: 30 mm\nbites: []\n"
	laid, problems := Lay(mustRead(t, text), loadCatalogue(t))
	if laid != nil || len(problems) != 1 {
		t.Fatalf("got %v", problems)
	}
	// The atlas names the sizes that disagree; the problem stands at the value of one of them, not at the wall's.
	at := map[int]int{6: 24, 7: 25}
	if p := problems[0]; at[p.Line] == 0 || p.Column != at[p.Line] || !strings.Contains(p.What, "triangle") {
		t.Errorf("got %s", problems.Error())
	}
	text = "fairlead: 1\ncase: test\noperation: rehearsal\nheart:\n  rim-length: 60 mm\n  rim-long-axis: 60 mm\nbites: []\n"
	_, problems = Lay(mustRead(t, text), loadCatalogue(t))
	if len(problems) == 0 || problems[0].Line != 5 && problems[0].Line != 6 || problems[0].Column < 15 {
		t.Errorf("got %v", problems)
	}
}
