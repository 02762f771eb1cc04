package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestSegmentDistanceByHand(t *testing.T) {
	x := Segment{Vec{-1, 0, 0}, Vec{1, 0, 0}}
	point := Segment{Vec{5, 0, 0}, Vec{5, 0, 0}}
	for _, c := range []struct {
		name       string
		s, o       Segment
		dist, t, u float64
	}{
		{"crossed in space", x, Segment{Vec{0, -1, 2}, Vec{0, 3, 2}}, 2, 0.5, 0.25},
		{"crossing", x, Segment{Vec{0.5, -1, 0}, Vec{0.5, 1, 0}}, 0, 0.75, 0.5},
		{"end to end", x, Segment{Vec{4, 0, 4}, Vec{9, 0, 4}}, 5, 1, 0},
		{"end to middle", x, Segment{Vec{3, -2, 0}, Vec{3, 2, 0}}, 2, 1, 0.5},
		{"on one line, apart", x, Segment{Vec{7, 0, 0}, Vec{3, 0, 0}}, 2, 1, 1},
		{"to a point", x, point, 4, 1, 0},
		{"from a point", point, x, 4, 0, 1},
		{"two points", point, Segment{Vec{5, 3, 4}, Vec{5, 3, 4}}, 5, 0, 0},
	} {
		dist, tt, u := c.s.Distance(c.o)
		if dist != c.dist || tt != c.t || u != c.u {
			t.Errorf("%s: %g at %g and %g, want %g at %g and %g", c.name, dist, tt, u, c.dist, c.t, c.u)
		}
	}
}

func TestSegmentDistanceSideBySide(t *testing.T) {
	// Every pair of points opposite each other ties; which one is answered is
	// free, but it must be at the distance.
	s := Segment{Vec{0, 0, 0}, Vec{10, 0, 0}}
	for _, o := range []Segment{{Vec{3, 2, 0}, Vec{7, 2, 0}}, {Vec{12, 2, 0}, Vec{4, 2, 0}}, {Vec{-5, 2, 0}, Vec{20, 2, 0}}} {
		dist, tt, u := s.Distance(o)
		if dist != 2 || math.Abs(s.At(tt).Distance(o.At(u))-2) > 1e-14 {
			t.Errorf("%v: distance %g at %g and %g", o, dist, tt, u)
		}
	}
}

func TestDistancePoint(t *testing.T) {
	s := Segment{Vec{0, 0, 0}, Vec{4, 0, 0}}
	for _, c := range []struct {
		p       Vec
		dist, t float64
	}{
		{Vec{1, 3, 0}, 3, 0.25},
		{Vec{-3, 4, 0}, 5, 0},
		{Vec{7, 0, -4}, 5, 1},
		{Vec{4, 0, 0}, 0, 1},
	} {
		if dist, tt := s.DistancePoint(c.p); dist != c.dist || tt != c.t {
			t.Errorf("%v: %g at %g, want %g at %g", c.p, dist, tt, c.dist, c.t)
		}
	}
	if dist, tt := (Segment{Vec{1, 1, 1}, Vec{1, 1, 1}}).DistancePoint(Vec{1, 1, 3}); dist != 2 || tt != 0 {
		t.Errorf("segment without length: %g at %g, want 2 at 0", dist, tt)
	}
}

// valley finds the smallest value of a convex function on 0..1 by thirds.
func valley(f func(float64) float64) (value, at float64) {
	low, high := 0.0, 1.0
	for range 90 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if f(a) < f(b) {
			high = b
		} else {
			low = a
		}
	}
	value, at = f(low), low
	for _, t := range []float64{0, 1} {
		if v := f(t); v < value {
			value, at = v, t
		}
	}
	return value, at
}

// TestSegmentDistanceAgainstSearch: the distance between two moving points is
// convex in both parameters, so two nested searches find it without a formula.
func TestSegmentDistanceAgainstSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 2))
	worst := 0.0
	for i := range 1500 {
		s, o := randomSegment(r, 10), randomSegment(r, 10)
		if i%5 == 0 {
			o.B = o.A.Add(s.B.Sub(s.A)).Add(randomVec(r, 1e-3))
		}
		want, _ := valley(func(t float64) float64 {
			d, _ := valley(func(u float64) float64 { return s.At(t).Distance(o.At(u)) })
			return d
		})
		got, tt, u := s.Distance(o)
		worst = max(worst, math.Abs(got-want), math.Abs(got-s.At(tt).Distance(o.At(u))))
	}
	t.Logf("largest difference %.2g mm", worst)
	if worst > 1e-7 { // thirds of a valley cannot tell values closer than the root of a rounding
		t.Errorf("largest difference %g mm", worst)
	}
}

func TestSegmentDistanceProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 3000 {
		s, o := randomSegment(r, 10), randomSegment(r, 10)
		d, tt, u := s.Distance(o)
		if back, uu, ttt := o.Distance(s); math.Abs(back-d) > 1e-13 || math.Abs(uu-u) > 1e-9 || math.Abs(ttt-tt) > 1e-9 {
			t.Fatalf("swapped: %g at %g, %g, was %g at %g, %g", back, ttt, uu, d, tt, u)
		}
		if back, _, _ := (Segment{s.B, s.A}).Distance(o); math.Abs(back-d) > 1e-13 {
			t.Fatalf("turned round: %g, was %g", back, d)
		}
		m := randomMotion(r)
		if moved, _, _ := m.segment(s).Distance(m.segment(o)); math.Abs(moved-d) > 1e-12 {
			t.Fatalf("moved: %g, was %g", moved, d)
		}
		k := math.Exp(6 * (r.Float64() - 0.5))
		scaled, _, _ := Segment{s.A.Scale(k), s.B.Scale(k)}.Distance(Segment{o.A.Scale(k), o.B.Scale(k)})
		if math.Abs(scaled-k*d) > 1e-13*max(1, k) {
			t.Fatalf("scaled by %g: %g, want %g", k, scaled, k*d)
		}
		if half, _, _ := (Segment{s.A, s.At(0.5)}).Distance(o); half < d-1e-13 {
			t.Fatalf("half of a segment is nearer, %g, than the whole, %g", half, d)
		}
	}
}

// withinReach reports whether a fuzzer's numbers are what the package promises
// to handle.
func withinReach(numbers ...float64) bool {
	for _, x := range numbers {
		if !(math.Abs(x) <= Reach) {
			return false
		}
	}
	return true
}

func FuzzSegmentDistance(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 1.0, 1e-17)
	f.Add(1e6, 0.0, 0.0, 1e6, 0.0, 0.0, 0.0, 0.0, 0.0, 5e-324, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz float64) {
		if !withinReach(ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz) {
			return
		}
		s, o := Segment{Vec{ax, ay, az}, Vec{bx, by, bz}}, Segment{Vec{cx, cy, cz}, Vec{dx, dy, dz}}
		dist, tt, u := s.Distance(o)
		if !(dist >= 0) || !(tt >= 0 && tt <= 1) || !(u >= 0 && u <= 1) {
			t.Fatalf("distance %g at %g and %g", dist, tt, u)
		}
		for _, end := range []Vec{o.A, o.B} {
			if d, _ := s.DistancePoint(end); dist > d+SegmentErrorPerMM*largestDifference(s, o) {
				t.Fatalf("distance %g, but an end is only %g away", dist, d)
			}
		}
	})
}
