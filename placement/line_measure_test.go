package placement

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// Distances are held against four thousand places of every leg, one by one, to the 0.01 mm that the chords promise.
func TestLineDistancesAgreeWithBruteForce(t *testing.T) {
	catalogue, r := loadCatalogue(t), rand.New(rand.NewPCG(5, 1))
	for range 2 {
		heart := randomHeart(r, catalogue)
		c := courseThrough(t, heart, randomSpots(r, heart)...)
		line := &Line{DepthMM: 1.3}
		var obstacles []obstacle
		for _, s := range heart.Structures {
			obstacles = append(obstacles, newObstacle(s))
		}
		const thickness, halfWidth = 2, 0.3
		distances := lineDistances(c.stretches(line, lineSagMM), obstacles, thickness, halfWidth)
		for _, d := range distances {
			surface, deep := math.Inf(1), math.Inf(1)
			for _, l := range c.legs {
				const steps = 4000
				for i := range steps + 1 {
					s := l.at(float64(i) / steps)
					if (s.OffMM < -onHingeMM) != d.LeafletOnly {
						continue
					}
					surface = min(surface, d.structure.Solid.Distance(heart.Chart.Frame(s))-halfWidth)
					s.DeepMM = line.DepthMM
					deep = min(deep, d.structure.Solid.Distance(heart.Chart.Frame(s))-halfWidth)
				}
			}
			near(t, d.Structure+" from the surface", d.SurfaceMM, surface, 0.01)
			near(t, d.Structure+" from the depth", d.DeepMM, deep, 0.01)
			near(t, d.Structure+" at the place named", d.structure.Solid.Distance(d.At)-halfWidth, d.MM(), 1e-6)
			on := d.Spot
			if d.DeepMM < d.SurfaceMM {
				on.DeepMM = line.DepthMM
			}
			nearPoint(t, d.Structure+" spot named", heart.Chart.Frame(on), d.At, 0.01)
		}
	}
}

// The distance from the lip is held against places of every leg, one by one.
func TestLipDistanceAgreesWithBruteForce(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(6, 1))
	zone, _ := heart.Zone(atlas.Ostium)
	flat := newFlatZone(heart, zone)
	cut := 0
	for range 20 {
		c := courseThrough(t, heart, randomSpots(r, heart)...)
		got, at := c.lipDistance(flat)
		want := math.Inf(1)
		for _, l := range c.legs {
			for i := range 2001 {
				s := l.at(float64(i) / 2000)
				along := flat.middle + shorterWay(heart.Rim, flat.middle, s.AlongMM)
				want = min(want, flat.outline.SignedDistance(geom.Point{X: along * flat.spread, Y: s.OffMM}))
			}
		}
		near(t, "distance from the lip", got, want, 0.01)
		along := flat.middle + shorterWay(heart.Rim, flat.middle, at.AlongMM)
		near(t, "at the place named", flat.outline.SignedDistance(geom.Point{X: along * flat.spread, Y: at.OffMM}), got, 0.1)
		if got < 0 {
			cut++
		}
	}
	if cut == 0 || cut == 20 {
		t.Errorf("%d of 20 lines cut the ostium: both kinds are wanted", cut)
	}
}

// A line straight over the middle of the ostium leaves half of it on either side; one led round leaves none.
func TestSidesOfTheOstium(t *testing.T) {
	heart := usualHeart(t)
	zone, _ := heart.Zone(atlas.Ostium)
	centre := zone.Outline.Centroid()
	over := courseThrough(t, heart, [2]float64{20, 1}, [2]float64{45, 1}, [2]float64{65, 1}, [2]float64{centre.X - 8, centre.Y}, [2]float64{centre.X + 8, centre.Y}).sideOfLip(zone)
	near(t, "share of an ostium cut in halves", over.VentricularPercent, 50, 2)
	near(t, "cut by", over.VentricularMM, 4.4, 0.1) // half its transverse diameter of 8.8 mm
	near(t, "left", over.AtrialMM, 4.4, 0.1)
	if over.Lies() != "both sides" {
		t.Errorf("lies on the %s", over.Lies())
	}
}

// The samples of a solid's surface lie on it, and their shadow misses none of it by more than a few hundredths.
func TestSurfaceSamples(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(7, 1))
	for _, s := range heart.Structures {
		if s.Kind != atlas.Conduction {
			continue
		}
		samples := surfaceOf(s.Solid)
		for _, p := range samples {
			// Beside a bend of its axis a ring of the tube runs a little inside the next piece.
			if d := s.Solid.Distance(p); d > 1e-6 || d < -0.05 {
				t.Fatalf("%s: a sample lies %g mm off the surface", s.ID, d)
			}
		}
		centre, radius := s.Solid.Bound()
		for range 300 {
			away := geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit()
			p := s.Solid.ClosestOn(centre.Add(away.Scale(2 * radius)))
			direction := p.Sub(centre).Unit()
			reach := math.Inf(-1)
			for _, q := range samples {
				reach = max(reach, q.Sub(centre).Dot(direction))
			}
			if miss := p.Sub(centre).Dot(direction) - reach; miss > 0.1 {
				t.Errorf("%s: the samples fall %.3f mm short of the surface", s.ID, miss)
			}
		}
	}
}

// A line on the hinge is the rim: as long, and spanning the same area (atlas.Rim.Sizes measures both another way).
func TestLineOnTheHingeIsTheRim(t *testing.T) {
	catalogue, r := loadCatalogue(t), rand.New(rand.NewPCG(8, 1))
	for range 5 {
		heart := randomHeart(r, catalogue)
		round := heart.Rim.LengthMM()
		c := courseThrough(t, heart, [2]float64{0, 0}, [2]float64{round * 0.3, 0}, [2]float64{round * 0.6, 0}, [2]float64{round * 0.9, 0})
		seat, sizes := seatOf(surfaceLine(c)), heart.Rim.Sizes()
		near(t, "length", seat.LengthMM, sizes.LengthMM, 1e-4*sizes.LengthMM)
		// The fan is spanned from the middle of the line; that of the rim from the middle of its points.
		near(t, "area", seat.AreaMM2, sizes.AreaMM2, 1e-3*sizes.AreaMM2)
		near(t, "longest", seat.LongestMM, sizes.LongAxisMM, 0.02*sizes.LongAxisMM) // its plane is the frame's within a few degrees
		near(t, "shortest", seat.ShortestMM, sizes.ShortAxisMM, 0.02*sizes.ShortAxisMM)
	}
}

// Closed forms: a tilted circle, an ellipse, and a saddle over a circle, whose height is h·cos 2φ: root mean square
// h/√2 weighed by its length, at most h.
func TestSeatClosedForms(t *testing.T) {
	const n = 2000
	curve := func(x, y, z func(phi float64) float64) (line []geom.Vec) {
		tilt := func(p geom.Vec) geom.Vec { // about an axis aslant, by a right-handed frame
			u, v, w := geom.Vec{X: 2, Y: 1, Z: 2}.Scale(1/3.0), geom.Vec{X: -2, Y: 2, Z: 1}.Scale(1/3.0), geom.Vec{X: -1, Y: -2, Z: 2}.Scale(1/3.0)
			return u.Scale(p.X).Add(v.Scale(p.Y)).Add(w.Scale(p.Z)).Add(geom.Vec{X: 5, Y: -7, Z: 11})
		}
		for i := range n + 1 {
			phi := 2 * math.Pi * float64(i%n) / n
			line = append(line, tilt(geom.Vec{X: x(phi), Y: y(phi), Z: z(phi)}))
		}
		return line
	}
	flat := func(float64) float64 { return 0 }
	circle := seatOf(curve(func(p float64) float64 { return 15 * math.Cos(p) }, func(p float64) float64 { return 15 * math.Sin(p) }, flat))
	near(t, "circle: length", circle.LengthMM, 2*math.Pi*15, 1e-3)
	near(t, "circle: area", circle.AreaMM2, math.Pi*225, 1e-2)
	near(t, "circle: seen", circle.ProjectedMM2, math.Pi*225, 1e-2)
	near(t, "circle: longest", circle.LongestMM, 30, 1e-3)
	near(t, "circle: shortest", circle.ShortestMM, 30, 1e-3)
	near(t, "circle: off its plane", circle.MaxMM, 0, 1e-9)
	nearPoint(t, "circle: normal", circle.Normal, geom.Vec{X: -1, Y: -2, Z: 2}.Scale(1/3.0), 1e-9)

	ellipse := seatOf(curve(func(p float64) float64 { return 20 * math.Cos(p) }, func(p float64) float64 { return 12 * math.Sin(p) }, flat))
	near(t, "ellipse: area", ellipse.ProjectedMM2, math.Pi*240, 1e-2)
	near(t, "ellipse: longest", ellipse.LongestMM, 40, 1e-3)
	near(t, "ellipse: shortest", ellipse.ShortestMM, 24, 1e-3)

	const h = 0.2
	saddle := seatOf(curve(func(p float64) float64 { return 15 * math.Cos(p) }, func(p float64) float64 { return 15 * math.Sin(p) }, func(p float64) float64 { return h * math.Cos(2*p) }))
	near(t, "saddle: rms", saddle.RMSMM, h/math.Sqrt2, 1e-3)
	near(t, "saddle: at most", saddle.MaxMM, h, 1e-6)
	near(t, "saddle: seen", saddle.ProjectedMM2, math.Pi*225, 1e-2)
	if saddle.AreaMM2 <= saddle.ProjectedMM2 {
		t.Errorf("a saddle spans %g mm2, no more than it shows", saddle.AreaMM2)
	}
}

// The distance on the tissue is that of straight ways, exactly: on the hinge of a straight stretch of line.
func TestTissueDistance(t *testing.T) {
	heart := usualHeart(t)
	c := courseThrough(t, heart, [2]float64{0, 2}, [2]float64{30, 2}, [2]float64{60, 2}, [2]float64{90, 2})
	for _, off := range []float64{-1, 0, 5, 9} {
		near(t, "distance", c.tissueDistance(atlas.Spot{AlongMM: 40, OffMM: off}), math.Abs(off-2), 1e-9)
	}
}
