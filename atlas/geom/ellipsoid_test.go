package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

var worldAxes = [3]Vec{{X: 1}, {Y: 1}, {Z: 1}}

func TestEllipsoidDistanceByHand(t *testing.T) {
	flat := Ellipsoid{Axes: worldAxes, Radii: [3]float64{5, 0.8, 5}}
	long := Ellipsoid{Centre: Vec{1, 2, 3}, Axes: worldAxes, Radii: [3]float64{6, 2, 1}}
	ball := Ellipsoid{Centre: Vec{1, 0, 0}, Axes: worldAxes, Radii: [3]float64{2, 2, 2}}
	for _, c := range []struct {
		name string
		e    Ellipsoid
		p    Vec
		want float64
	}{
		{"flat, centre", flat, Vec{}, -0.8},
		{"flat, above", flat, Vec{0, 3, 0}, 2.2},
		{"flat, on top", flat, Vec{0, 0.8, 0}, 0},
		{"flat, beside", flat, Vec{7, 0, 0}, 2},
		{"flat, on the rim", flat, Vec{0, 0, -5}, 0},
		{"flat, beside, aslant", flat, Vec{3, 0, 4}, 0},
		// Within a²/c of the rim the nearest point is the rim itself.
		{"flat, just inside the rim", flat, Vec{4.9, 0, 0}, -0.1},
		// On the middle plane at ρ the depth is b·√(1 - ρ²/(c²-b²)), with c = 5, b = 0.8.
		{"flat, in the middle plane", flat, Vec{3, 0, 0}, -0.8 * math.Sqrt(1-9/24.36)},
		{"long, centre", long, Vec{1, 2, 3}, -1},
		{"long, before its tip", long, Vec{17, 2, 3}, 10},
		{"long, off its middle axis", long, Vec{1, -2, 3}, 2},
		{"ball, centre", ball, Vec{1, 0, 0}, -2},
		{"ball, inside", ball, Vec{1, 0.5, 0}, -1.5},
		{"ball, outside", ball, Vec{4, 4, 0}, 3},
		{"radius of 0", Ellipsoid{Axes: worldAxes, Radii: [3]float64{0, 3, 3}}, Vec{2, 1, 1}, 2},
		{"all radii 0", Ellipsoid{Axes: worldAxes}, Vec{3, 4, 0}, 5},
		{"negative radii", Ellipsoid{Axes: worldAxes, Radii: [3]float64{-2, -2, -2}}, Vec{5, 0, 0}, 3},
	} {
		got := c.e.Distance(c.p)
		if math.Abs(got-c.want) > ThinnestMM+1e-14 || (c.e.Radii[0] > 0 && math.Abs(got-c.want) > 1e-14) {
			t.Errorf("%s: %.17g, want %.17g", c.name, got, c.want)
		}
	}
}

// equation is the left side of the ellipsoid's equation less 1: negative inside, 0
// on the surface.
func (e Ellipsoid) equation(p Vec) float64 {
	sum := 0.0
	for i, axis := range e.Axes {
		x := axis.Dot(p.Sub(e.Centre)) / e.Radii[i]
		sum += x * x
	}
	return sum - 1
}

// onSurface is the surface point at longitude and latitude.
func (e Ellipsoid) onSurface(longitude, latitude float64) Vec {
	s, c := math.Sincos(longitude)
	sin, cos := math.Sincos(latitude)
	return e.Centre.Add(e.Axes[0].Scale(e.Radii[0] * c * cos)).
		Add(e.Axes[1].Scale(e.Radii[1] * s * cos)).Add(e.Axes[2].Scale(e.Radii[2] * sin))
}

// searchDistance looks over a grid of the surface and then ever closer about the
// best few of its places; the sign comes from the defining inequality.
func searchDistance(e Ellipsoid, p Vec) float64 {
	const n = 48
	best := math.Inf(1)
	var starts [6][3]float64 // distance, longitude, latitude; nearest first
	for i := range starts {
		starts[i][0] = math.Inf(1)
	}
	for i := range n {
		for j := range n/2 + 1 {
			a, b := 2*math.Pi*float64(i)/n, math.Pi*(2*float64(j)/n-0.5)
			d := p.Distance(e.onSurface(a, b))
			for k := range starts {
				if d < starts[k][0] {
					copy(starts[k+1:], starts[k:])
					starts[k] = [3]float64{d, a, b}
					break
				}
			}
		}
	}
	for _, s := range starts {
		d, a, b := s[0], s[1], s[2]
		for step := 2 * math.Pi / n; step > 1e-9; {
			moved := false
			for di := -1.0; di <= 1; di++ {
				for dj := -1.0; dj <= 1; dj++ {
					if v := p.Distance(e.onSurface(a+di*step, b+dj*step)); v < d {
						d, a, b, moved = v, a+di*step, b+dj*step, true
					}
				}
			}
			if !moved {
				step *= 0.6
			}
		}
		best = min(best, d)
	}
	if e.equation(p) < 0 {
		return -best
	}
	return best
}

// TestEllipsoidDistanceAgainstSearch: a search can only find a surface point that
// is too far, never one too near, so the distance may not be larger than the
// searched one at all, beyond its error bound, nor smaller by more than the search
// is likely to fall short in a long flat valley.
func TestEllipsoidDistanceAgainstSearch(t *testing.T) {
	const searchFallsShort = 1e-12
	r := rand.New(rand.NewPCG(5, 1))
	larger, smaller := 0.0, 0.0
	for range 2000 {
		e := randomEllipsoid(r)
		p := e.Centre.Add(randomVec(r, 8))
		if r.IntN(3) == 0 { // well inside
			p = e.Centre.Lerp(e.onSurface(7*r.Float64(), 3*r.Float64()-1.5), r.Float64())
		}
		got, want := e.Distance(p), searchDistance(e, p)
		if (got < 0) != (want < 0) {
			t.Fatalf("%+v at %v: %.17g, searched %.17g", e, p, got, want)
		}
		size := max(e.Radii[0], e.Radii[1], e.Radii[2], p.Distance(e.Centre))
		larger = max(larger, (math.Abs(got)-math.Abs(want))/size)
		smaller = max(smaller, (math.Abs(want)-math.Abs(got))/size)
	}
	t.Logf("of the size: larger by %.2g at most, smaller by %.2g", larger, smaller)
	if larger > EllipsoidErrorPerMM || smaller > searchFallsShort {
		t.Errorf("of the size: larger by %g, allowed %g; smaller by %g, allowed %g", larger, EllipsoidErrorPerMM, smaller, searchFallsShort)
	}
}

// TestEllipsoidFootAndSupportAgree certifies the distance of outside points from
// both sides: no surface point is nearer than the supporting plane n·y - h(n),
// and none is needed farther than ClosestOn's.
func TestEllipsoidFootAndSupportAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 5000 {
		e := randomEllipsoid(r)
		p := e.Centre.Add(randomDirection(r).Scale(math.Pow(10, -3+5*r.Float64())))
		dist, on := e.Distance(p), e.ClosestOn(p)
		if miss := math.Abs(e.equation(on)); miss > 1e-13 {
			t.Fatalf("%+v: closest point %v off the surface by %g", e, on, miss)
		}
		size := max(e.Radii[0], e.Radii[1], e.Radii[2], p.Distance(e.Centre))
		// The foot moves by twice the root of the error allowed to the value
		// at most; in practice the two agree to rounding.
		if miss := math.Abs(p.Distance(on) - math.Abs(dist)); miss > 1e-12*size {
			t.Fatalf("%+v at %v: closest point %.17g away, distance %.17g", e, p, p.Distance(on), dist)
		}
		if (dist < 0) != (e.equation(p) < 0) && math.Abs(dist) > 1e-12 {
			t.Fatalf("%+v at %v: distance %g has the wrong sign", e, p, dist)
		}
	}
}

// TestEllipsoidNearMiddlePlane goes to where the search for τ is hardest: at
// tiny heights above the middle plane, about the edge within which the nearest
// point changes sides. The distance is 1-Lipschitz, so it cannot differ from
// that on the plane, known in closed form, by more than the height.
func TestEllipsoidNearMiddlePlane(t *testing.T) {
	e := Ellipsoid{Axes: worldAxes, Radii: [3]float64{0.8, 5, 5}}
	edge := (25 - 0.64) / 5.0
	for _, height := range []float64{0, 5e-324, 1e-300, 1e-31, 1e-29, 1e-20, 1e-12, 1e-6, 1e-3} {
		for _, off := range []float64{-1, -1e-3, -1e-8, -1e-15, 0, 1e-15, 1e-8, 1e-3, 0.1} {
			rho := edge + off
			want := rho - 5
			if rho < edge {
				want = -0.8 * math.Sqrt(1-rho*rho/24.36)
			}
			if got := e.Distance(Vec{height, rho, 0}); math.Abs(got-want) > height+4e-15 {
				t.Errorf("height %g, %g from the edge: %.17g, want %.17g", height, off, got, want)
			}
		}
	}
}

func TestEllipsoidProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	for range 3000 {
		e, p := randomEllipsoid(r), randomVec(r, 10)
		d := e.Distance(p)
		m := randomMotion(r)
		if got := m.ellipsoid(e).Distance(m.move(p)); math.Abs(got-d) > 1e-12 {
			t.Fatalf("moved: %g, was %g", got, d)
		}
		k := math.Exp(6 * (r.Float64() - 0.5))
		large := Ellipsoid{e.Centre.Scale(k), e.Axes, [3]float64{k * e.Radii[0], k * e.Radii[1], k * e.Radii[2]}}
		if got := large.Distance(p.Scale(k)); math.Abs(got-k*d) > 1e-12*max(1, k) {
			t.Fatalf("scaled by %g: %g, want %g", k, got, k*d)
		}
		if got := e.Distance(e.Centre.Scale(2).Sub(p)); math.Abs(got-d) > 1e-12 {
			t.Fatalf("through the centre: %g, was %g", got, d)
		}
		turned := Ellipsoid{e.Centre, [3]Vec{e.Axes[2], e.Axes[0].Scale(-1), e.Axes[1]}, [3]float64{e.Radii[2], e.Radii[0], e.Radii[1]}}
		if got := turned.Distance(p); math.Abs(got-d) > 1e-12 {
			t.Fatalf("axes renamed: %g, was %g", got, d)
		}
		grown := e
		grown.Radii[r.IntN(3)] += 0.5 * r.Float64()
		if got := grown.Distance(p); got > d+1e-12 {
			t.Fatalf("grown, and farther: %g, was %g", got, d)
		}
		q := p.Add(randomVec(r, 1))
		if got := e.Distance(q); math.Abs(got-d) > p.Distance(q)+1e-12 {
			t.Fatalf("distance changes by %g over %g", got-d, p.Distance(q))
		}
	}
}

func FuzzEllipsoidDistance(f *testing.F) {
	f.Add(0.8, 5.0, 5.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.3, 0.4)
	f.Add(0.0, 0.0, 0.0, 1e6, 1e6, 1e6, -1e6, 0.0, 5e-324, 1.0, 2.0)
	f.Add(1e-9, 1e6, 1e6, 0.0, 1e6, 1e-9, 0.0, -1e6, 0.0, 0.0, 0.0)
	f.Add(2.0, 2.0, 2.0000000000000004, 1e-160, 0.0, 0.0, 0.0, 1e-17, 0.0, 0.0, 0.0)
	// Found by fuzzing: the bracket of τ closes before Newton's step is small.
	f.Add(1e-9, 1e6, 1e6, 48.0, 1e6, 1e-9, 0.0, -1e6, -352.0, 0.0, 42.0)
	f.Fuzz(func(t *testing.T, a, b, c, px, py, pz, qx, qy, qz, turn, tilt float64) {
		if !withinReach(a, b, c, px, py, pz, qx, qy, qz, turn, tilt) {
			return
		}
		s, k := math.Sincos(turn)
		sin, cos := math.Sincos(tilt)
		e := Ellipsoid{Vec{}, [3]Vec{{k, s, 0}, {-s * cos, k * cos, sin}, {s * sin, -k * sin, cos}}, [3]float64{a, b, c}}
		p, q := Vec{px, py, pz}, Vec{qx, qy, qz}
		size := max(math.Abs(a), math.Abs(b), math.Abs(c), p.Norm(), q.Norm(), ThinnestMM)
		dist := e.Distance(p)
		if !e.ClosestOn(p).IsFinite() || !finite(dist) {
			t.Fatalf("distance %g, closest %v", dist, e.ClosestOn(p))
		}
		if least := max(ThinnestMM, min(math.Abs(a), math.Abs(b), math.Abs(c))); dist < -least-1e-12*size {
			t.Fatalf("depth %g, but the least radius is %g", -dist, least)
		}
		along, u := e.DistanceSegment(Segment{p, q})
		if !(u >= 0 && u <= 1) || !(along <= min(dist, e.Distance(q))+1e-12*size) {
			t.Fatalf("%g at %g along the segment, ends at %g and %g", along, u, dist, e.Distance(q))
		}
		if there := e.Distance(p.Lerp(q, u)); math.Abs(there-along) > 1e-12*size {
			t.Fatalf("%g along the segment, but %g at its %g", along, there, u)
		}
	})
}
