package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomSolid is an ellipsoid or a tube.
func randomSolid(r *rand.Rand) Solid {
	if r.IntN(2) == 0 {
		return randomEllipsoid(r)
	}
	return randomTube(r)
}

func randomPath(r *rand.Rand, n int, size float64) []Vec {
	path := make([]Vec, n)
	for i := range path {
		path[i] = randomVec(r, size)
	}
	return path
}

// TestPathDistanceSkipsNothingThatMatters compares with every segment measured.
func TestPathDistanceSkipsNothingThatMatters(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	improved := 0
	for range 3000 {
		solid, path := randomSolid(r), randomPath(r, 2+r.IntN(12), 25)
		want := math.Inf(1)
		for i := 1; i < len(path); i++ {
			d, _ := solid.DistanceSegment(Segment{path[i-1], path[i]})
			want = min(want, d)
		}
		got, at := PathDistance(path, solid, math.Inf(1))
		if got != want {
			t.Fatalf("distance %.17g, want %.17g", got, want)
		}
		if miss := math.Abs(solid.Distance(at) - got); miss > 1e-12 {
			t.Fatalf("the point answered is %g off its distance", miss)
		}
		best := 20*r.Float64() - 4
		got, at = PathDistance(path, solid, best)
		if got != min(best, want) {
			t.Fatalf("with best %g: %g, want %g", best, got, min(best, want))
		}
		if got == best && at != (Vec{}) {
			t.Fatalf("nothing nearer than %g, but a point: %v", best, at)
		}
		if got < best {
			improved++
		}
	}
	if improved < 300 || improved > 2700 {
		t.Errorf("best was beaten %d times of 3000", improved)
	}
}

func TestPathDistanceOfShortPaths(t *testing.T) {
	ball := Ellipsoid{Axes: worldAxes, Radii: [3]float64{1, 1, 1}}
	if got, at := PathDistance(nil, ball, math.Inf(1)); !math.IsInf(got, 1) || at != (Vec{}) {
		t.Errorf("empty path: %g at %v", got, at)
	}
	if got, at := PathDistance([]Vec{{X: 3}}, ball, math.Inf(1)); got != 2 || at != (Vec{X: 3}) {
		t.Errorf("one point: %g at %v", got, at)
	}
	if got, at := PathDistance([]Vec{{X: 3}}, ball, 1.5); got != 1.5 || at != (Vec{}) {
		t.Errorf("one point, something nearer known: %g at %v", got, at)
	}
}

func TestBoundHoldsTheSolid(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	for range 2000 {
		solid := randomSolid(r)
		centre, radius := solid.Bound()
		p := centre.Add(randomVec(r, 20))
		if away := p.Distance(centre) - radius; solid.Distance(p) < away-1e-12 {
			t.Fatalf("%g away from the bound, %g from the solid", away, solid.Distance(p))
		}
		if on := solid.ClosestOn(p); on.Distance(centre) > radius+1e-12 {
			t.Fatalf("surface point %v lies outside the bound", on)
		}
	}
}

// TestDistanceRoutinesDoNotAllocate holds the package to its promise.
func TestDistanceRoutinesDoNotAllocate(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	e, u, s, o := randomEllipsoid(r), randomTube(r), randomSegment(r, 8), randomSegment(r, 8)
	outline, way := starOutline(r, 20), []Point{{-9, 1}, {1, 2}, {9, -3}}
	path := randomPath(r, 5, 9)
	var ellipsoid, tube Solid = e, u
	for name, call := range map[string]func(){
		"segment-segment":   func() { sink, _, _ = s.Distance(o) },
		"point-ellipsoid":   func() { sink = e.Distance(s.A) },
		"segment-ellipsoid": func() { sink, _ = e.DistanceSegment(s) },
		"point-tube":        func() { sink = u.Distance(s.A) },
		"segment-tube":      func() { sink, _ = u.DistanceSegment(s) },
		"path-ellipsoid":    func() { sink, _ = PathDistance(path, ellipsoid, 9) },
		"path-tube":         func() { sink, _ = PathDistance(path, tube, 9) },
		"depth":             func() { sink = outline.DepthOfPath(way) },
	} {
		if n := testing.AllocsPerRun(20, call); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}
