package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestTubeByHand(t *testing.T) {
	bent := Tube{[]Vec{{0, 0, 0}, {10, 0, 0}, {10, 10, 0}}, 1.5}
	for _, c := range []struct {
		name string
		u    Tube
		p    Vec
		dist float64
		on   Vec
	}{
		{"beside", bent, Vec{4, 0, 5}, 3.5, Vec{4, 0, 1.5}},
		{"before the start", bent, Vec{-3, 0, 4}, 3.5, Vec{-0.9, 0, 1.2}},
		{"inside", bent, Vec{4, 0, -0.5}, -1, Vec{4, 0, -1.5}},
		{"second piece", bent, Vec{13, 6, 0}, 1.5, Vec{11.5, 6, 0}},
		{"a ball", Tube{[]Vec{{1, 1, 1}}, 2}, Vec{1, 6, 1}, 3, Vec{1, 3, 1}},
		{"a point of a tube", Tube{[]Vec{{1, 1, 1}}, -2}, Vec{1, 6, 1}, 5, Vec{1, 1, 1}},
	} {
		if got := c.u.Distance(c.p); math.Abs(got-c.dist) > 1e-15 {
			t.Errorf("%s: distance %g, want %g", c.name, got, c.dist)
		}
		if got := c.u.ClosestOn(c.p); got.Distance(c.on) > 1e-15 {
			t.Errorf("%s: closest point %v, want %v", c.name, got, c.on)
		}
	}
	if on := bent.ClosestOn(Vec{4, 0, 0}); math.Abs(on.X-4) > 1e-15 || math.Abs(math.Hypot(on.Y, on.Z)-1.5) > 1e-15 {
		t.Errorf("from the axis: closest point %v", on)
	}
}

func TestEmptyTubeIsNowhere(t *testing.T) {
	var u Tube
	dist, at := u.DistanceSegment(Segment{Vec{}, Vec{X: 1}})
	if !math.IsInf(dist, 1) || at != 0 || !math.IsInf(u.Distance(Vec{}), 1) {
		t.Errorf("distances %g and %g", dist, u.Distance(Vec{}))
	}
	if p := (Vec{1, 2, 3}); u.ClosestOn(p) != p {
		t.Errorf("closest point %v", u.ClosestOn(p))
	}
	if centre, radius := u.Bound(); centre != (Vec{}) || radius != 0 {
		t.Errorf("bound %v, %g", centre, radius)
	}
}

// TestTubeAgainstSamples walks the axis, and the segment, in small steps. Steps
// of h miss a smallest distance by h/2 at most on each.
func TestTubeAgainstSamples(t *testing.T) {
	const steps = 200
	r := rand.New(rand.NewPCG(8, 1))
	for range 300 {
		u, s := randomTube(r), randomSegment(r, 9)
		nearest, step := math.Inf(1), s.A.Distance(s.B)/steps
		for i := range steps + 1 {
			p := s.At(float64(i) / steps)
			nearest = min(nearest, u.Distance(p))
			axis := math.Inf(1)
			for k := 1; k < len(u.Axis); k++ {
				for j := range 21 {
					axis = min(axis, p.Distance(u.Axis[k-1].Lerp(u.Axis[k], float64(j)/20)))
				}
			}
			// Axis pieces are at most 12√3 mm long.
			if d := u.Distance(p) + u.RadiusMM; d > axis+1e-12 || d < axis-12*math.Sqrt(3)/40 {
				t.Fatalf("axis %g away, sampled %g", d, axis)
			}
		}
		got, at := u.DistanceSegment(s)
		if got > nearest+1e-12 || got < nearest-step/2-1e-12 {
			t.Fatalf("along the segment %g, sampled %g", got, nearest)
		}
		if miss := math.Abs(u.Distance(s.At(at)) - got); miss > 1e-12 {
			t.Fatalf("place and distance disagree by %g", miss)
		}
	}
}

func TestTubeProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	for range 2000 {
		u, s, p := randomTube(r), randomSegment(r, 9), randomVec(r, 9)
		d, _ := u.DistanceSegment(s)
		m := randomMotion(r)
		if got, _ := m.tube(u).DistanceSegment(m.segment(s)); math.Abs(got-d) > 1e-12 {
			t.Fatalf("moved: %g, was %g", got, d)
		}
		thick := Tube{u.Axis, u.RadiusMM + 0.25}
		if got, _ := thick.DistanceSegment(s); math.Abs(got-(d-0.25)) > 1e-14 {
			t.Fatalf("thicker by 0.25: %g, was %g", got, d)
		}
		on := u.ClosestOn(p)
		if dist := u.Distance(p); dist > 0 {
			if math.Abs(u.Distance(on)) > 1e-12 || math.Abs(p.Distance(on)-dist) > 1e-12 {
				t.Fatalf("closest point at %g, %g away; distance %g", u.Distance(on), p.Distance(on), dist)
			}
		}
	}
}
