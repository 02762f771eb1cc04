package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestEllipsoidSegmentByHand(t *testing.T) {
	flat := Ellipsoid{Axes: worldAxes, Radii: [3]float64{5, 0.8, 5}}
	for _, c := range []struct {
		name    string
		s       Segment
		dist, t float64
	}{
		{"through the centre, square to the disc", Segment{Vec{0, -2, 0}, Vec{0, 6, 0}}, -0.8, 0.25},
		{"through the middle plane at 3", Segment{Vec{3, -1, 0}, Vec{3, 3, 0}}, -0.8 * math.Sqrt(1-9/24.36), 0.25},
		{"passing above", Segment{Vec{-4, 2, 0}, Vec{4, 2, 0}}, 1.2, 0.5},
		{"touching the rim", Segment{Vec{5, 0, -3}, Vec{5, 0, 3}}, 0, 0.5},
		{"falling short", Segment{Vec{0, 9, 0}, Vec{0, 3, 0}}, 2.2, 1},
		{"leaving", Segment{Vec{0, 3, 0}, Vec{0, 9, 0}}, 2.2, 0},
		{"a point", Segment{Vec{7, 0, 0}, Vec{7, 0, 0}}, 2, 0},
		{"within the middle plane", Segment{Vec{-8, 0, 0}, Vec{8, 0, 0}}, -0.8, 0.5},
	} {
		dist, tt := flat.DistanceSegment(c.s)
		if math.Abs(dist-c.dist) > 1e-14 || math.Abs(tt-c.t) > 1e-9 {
			t.Errorf("%s: %.17g at %.17g, want %.17g at %g", c.name, dist, tt, c.dist, c.t)
		}
	}
}

// TestEllipsoidSegmentCertificate checks each answer outside by a plane: with
// the unit normal n where the answer is taken, all of the segment lies at least
// min(n·p, n·q) up along n and all of the ellipsoid at most √Σ(rᵢnᵢ)², so their
// difference is a distance that nothing can undercut.
func TestEllipsoidSegmentCertificate(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	outside, worst := 0, 0.0
	for range 12000 {
		e, s := randomEllipsoid(r), randomSegment(r, 14)
		dist, tt := e.DistanceSegment(s)
		if dist <= 0 {
			continue
		}
		outside++
		if tt > 0 && tt < 1 {
			worst = max(worst, math.Abs(e.planeBound(s, tt)-dist))
		} else if short := dist - e.planeBound(s, tt); short > worst {
			worst = short
		}
	}
	t.Logf("%d segments outside; the plane falls short by %.2g mm at most", outside, worst)
	if outside < 4000 {
		t.Errorf("only %d segments outside", outside)
	}
	if worst > 1e-9 {
		t.Errorf("the plane falls short of the distance by %g mm", worst)
	}
}

// planeBound is the lower bound that the plane at s.At(t)'s foot gives.
func (e Ellipsoid) planeBound(s Segment, t float64) float64 {
	on := e.ClosestOn(s.At(t)).Sub(e.Centre)
	var n Vec
	for i, axis := range e.Axes {
		n = n.Add(axis.Scale(axis.Dot(on) / (e.Radii[i] * e.Radii[i])))
	}
	n = n.Unit()
	support := 0.0
	for i, axis := range e.Axes {
		x := e.Radii[i] * axis.Dot(n)
		support += x * x
	}
	return min(n.Dot(s.A.Sub(e.Centre)), n.Dot(s.B.Sub(e.Centre))) - math.Sqrt(support)
}

// TestEllipsoidSegmentAgainstSearch samples the segment, trusting no convexity,
// and goes closer about the best sample.
func TestEllipsoidSegmentAgainstSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 2))
	worst, deep := 0.0, 0
	for i := range 3000 {
		e := randomEllipsoid(r)
		s := Segment{e.Centre.Add(randomVec(r, 9)), e.Centre.Add(randomVec(r, 9))}
		if i%3 == 0 { // towards and beyond the centre's neighbourhood
			s.B = s.A.Lerp(e.Centre.Add(randomVec(r, 1)), 2*r.Float64())
		}
		want, at := math.Inf(1), 0.0
		low, high := 0.0, 1.0
		for range 12 {
			width := (high - low) / 32
			for k := range 33 {
				u := low + width*float64(k)
				if d := e.Distance(s.At(u)); d < want {
					want, at = d, u
				}
			}
			low, high = max(0, at-width), min(1, at+width)
		}
		got, tt := e.DistanceSegment(s)
		if got < -0.3 {
			deep++
		}
		worst = max(worst, math.Abs(got-want), math.Abs(got-e.Distance(s.At(tt))))
	}
	t.Logf("%d segments run deep; largest difference %.2g mm", deep, worst)
	if worst > 1e-12 {
		t.Errorf("largest difference %g mm", worst)
	}
	if deep < 500 {
		t.Errorf("only %d segments run deep", deep)
	}
}

// TestEllipsoidSegmentSettles counts the work through its result: lines close
// to the short axis of long shapes, and close to the centre of a ball, have a
// valley with almost a corner, where a search could stall.
func TestEllipsoidSegmentSettles(t *testing.T) {
	for _, radii := range [][3]float64{{2, 2, 2}, {1, 1, 6}, {1, 1 + 1e-12, 6}, {0.8, 5, 5}, {1e-9, 5, 5}} {
		e := Ellipsoid{Axes: worldAxes, Radii: radii}
		for _, miss := range []float64{0, 1e-300, 1e-17, 1e-12, 1e-6, 1e-3} {
			s := Segment{Vec{-3, miss, 0.1}, Vec{4, miss, 0.1}}
			dist, u := e.DistanceSegment(s)
			best, _ := valley(func(x float64) float64 { return e.Distance(s.At(x)) })
			if dist > best+1e-14 || math.Abs(e.Distance(s.At(u))-dist) > 1e-14 {
				t.Errorf("radii %v, passing at %g: %.17g at %g, searched %.17g", radii, miss, dist, u, best)
			}
		}
	}
}

func TestEllipsoidSegmentProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 3))
	for range 3000 {
		e, s := randomEllipsoid(r), randomSegment(r, 10)
		d, _ := e.DistanceSegment(s)
		m := randomMotion(r)
		if got, _ := m.ellipsoid(e).DistanceSegment(m.segment(s)); math.Abs(got-d) > 1e-12 {
			t.Fatalf("moved: %g, was %g", got, d)
		}
		if got, _ := e.DistanceSegment(Segment{s.B, s.A}); math.Abs(got-d) > 1e-12 {
			t.Fatalf("turned round: %g, was %g", got, d)
		}
		grown := e
		grown.Radii[r.IntN(3)] += 0.5 * r.Float64()
		if got, _ := grown.DistanceSegment(s); got > d+1e-12 {
			t.Fatalf("grown, and farther: %g, was %g", got, d)
		}
		first, _ := e.DistanceSegment(Segment{s.A, s.At(0.4)})
		second, _ := e.DistanceSegment(Segment{s.At(0.4), s.B})
		if math.Abs(min(first, second)-d) > 1e-12 {
			t.Fatalf("in two parts: %g and %g, whole %g", first, second, d)
		}
	}
}
