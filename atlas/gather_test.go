package atlas

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"

	"fairlead/atlas/geom"
	"fairlead/atlas/ring"
)

func gathered(t testing.TB, r *Rim, f *Former, gathers ...Gather) *Gathered {
	t.Helper()
	g, err := r.Gathered(gathers, f)
	if err != nil {
		t.Fatalf("%v: %v", gathers, err)
	}
	return g
}

// circle is a flat round rim, run through clockwise from its lower left.
func circle(t testing.TB, lengthMM float64, segments [3]float64) *Rim {
	t.Helper()
	var through [rimKnots]geom.Vec
	for i := range through {
		sin, cos := math.Sincos(-3*math.Pi/4 - 2*math.Pi*float64(i)/rimKnots)
		through[i] = geom.Vec{X: cos, Y: sin}.Scale(lengthMM / (2 * math.Pi))
	}
	r, err := newRim(lengthMM, &through)
	if err != nil {
		t.Fatal(err)
	}
	r.segments = segments
	return r
}

// someRims are rims of many sizes: as they are, dilated, and one that was repaired before.
func someRims(t testing.TB) []*Rim {
	t.Helper()
	rims := []*Rim{build(t).Rim, build(t, size{"rim-length", 84}).Rim, build(t, size{"rim-length", 128}).Rim, build(t, size{"septal-segment", 26}).Rim, circle(t, 100, [3]float64{40, 30, 30})}
	for _, pattern := range []string{"classical", "operative"} {
		_, dilated := stretchedTo(t, pattern, 138)
		rims = append(rims, dilated.Rim)
	}
	again := gathered(t, rims[0], nil, Gather{FromMM: 50, ForMM: 20, ToMM: 9}, Gather{FromMM: 3, ForMM: 8})
	return append(rims, again.Rim)
}

// someGathers are stretches at random, some of a few tenths of a mm, some taken away, some next to each other, and in no
// order.
func someGathers(chance *rand.Rand, lengthMM float64) (gathers []Gather) {
	from := uniform(chance, -lengthMM, lengthMM)
	for end := from + lengthMM; from < end-1 && len(gathers) < 14; {
		g := Gather{FromMM: from, ForMM: min(math.Exp(uniform(chance, math.Log(0.2), math.Log(15))), end-from)}
		if chance.IntN(5) > 0 {
			g.ToMM = g.ForMM * chance.Float64()
		}
		gathers = append(gathers, g)
		from += g.ForMM + uniform(chance, 0, 6)*float64(chance.IntN(2))
	}
	chance.Shuffle(len(gathers), func(i, j int) { gathers[i], gathers[j] = gathers[j], gathers[i] })
	return gathers
}

// sewn are n stretches that lie on a former, all round but for an opening, each as long as its place on it or as before.
func sewn(r *Rim, f *Former, fromMM, openMM float64, n int) (gathers []Gather) {
	forMM := (r.lengthMM - openMM) / float64(n)
	on := f.Facing(r.At(fromMM))
	onForMM := math.Mod(f.Facing(r.At(fromMM-openMM))-on+f.LengthMM(), f.LengthMM())
	if openMM == 0 {
		onForMM = f.LengthMM()
	}
	onForMM /= float64(n)
	for i := range n {
		gathers = append(gathers, Gather{FromMM: fromMM + forMM*float64(i), ForMM: forMM, ToMM: min(forMM, onForMM), OnMM: on + onForMM*float64(i), OnForMM: onForMM})
	}
	return gathers
}

// lengthsHold integrates the curve over each part of the rim and over the whole.
func lengthsHold(t testing.TB, g *Gathered, what any) {
	t.Helper()
	whole := 0.0
	for i := range len(g.after) - 1 {
		from, want := g.after[i], g.after[i+1]-g.after[i]
		got := arcLength(g.Rim, from, want)
		if whole += got; math.Abs(got-want) > 0.01 {
			t.Errorf("%v: %.4f mm on the curve from %.2f mm, %.4f said", what, got, from, want)
		}
	}
	if math.Abs(whole-g.Rim.lengthMM) > 0.01 || math.Abs(sum3(g.Rim.segments)-g.Rim.lengthMM) > 1e-9 {
		t.Errorf("%v: a curve of %.4f mm, segments of %.4f mm, %.4f said", what, whole, sum3(g.Rim.segments), g.Rim.lengthMM)
	}
}

func plan(r *Rim, n int) (outline geom.Outline) {
	for _, p := range r.Sample(n) {
		outline = append(outline, geom.Point{X: p.X, Y: p.Y})
	}
	return outline
}

func TestNothingGatheredIsTheSameRim(t *testing.T) {
	r := build(t).Rim
	f := former(t, 34, 28)
	for _, c := range []struct {
		gathers []Gather
		former  *Former
	}{{nil, nil}, {nil, f}, {[]Gather{{FromMM: 3, ForMM: 10, ToMM: 10}, {FromMM: -9, ForMM: 4, ToMM: 4 + 1e-9}}, nil}} {
		g := gathered(t, r, c.former, c.gathers...)
		if g.Rim != r || g.Shift != (geom.Vec{}) {
			t.Errorf("%v: another rim, moved by %v", c.gathers, g.Shift)
		}
		for _, at := range []float64{0, -3.7, 1e9, math.Pi} {
			if g.Along(at) != at || g.Before(at) != at {
				t.Errorf("%v: %g lies at %g and was at %g", c.gathers, at, g.Along(at), g.Before(at))
			}
		}
	}
}

// A circle drawn together evenly all round is the smaller circle, however many stretches that takes.
func TestCircleGatheredEvenlyIsASmallerCircle(t *testing.T) {
	for _, to := range []float64{0.95, 0.6, 0.5, 0.2} {
		for _, n := range []int{1, 2, 12} {
			r := circle(t, 110, [3]float64{44, 35, 31})
			var gathers []Gather
			for i := range n {
				gathers = append(gathers, Gather{FromMM: 7 + 110/float64(n)*float64(i), ForMM: 110 / float64(n), ToMM: to * 110 / float64(n)})
			}
			g := gathered(t, r, nil, gathers...)
			for _, p := range g.Rim.Sample(500) {
				if want := 110 * to / (2 * math.Pi); math.Abs(p.Norm()-want) > 5e-5 {
					t.Fatalf("%d stretches to %g: a radius of %.5f mm, want %.5f", n, to, p.Norm(), want)
				}
			}
			lengthsHold(t, g, to)
		}
	}
}

// Where no joint is stiffer than another, a circle from which a stretch was taken away is the circle of what is left:
// turnings in proportion to length close, and nothing turns less evenly. Here the septum has no length.
func TestCircleWithAStretchTakenAway(t *testing.T) {
	for _, away := range []float64{0.5, 20, 60, 95} {
		g := gathered(t, circle(t, 100, [3]float64{60, 40, 0}), nil, Gather{FromMM: -8, ForMM: away})
		for _, p := range g.Rim.Sample(500) {
			if want := (100 - away) / (2 * math.Pi); math.Abs(p.Norm()-want) > 1e-3 {
				t.Fatalf("%g mm taken away: a radius of %.5f mm, want %.5f", away, p.Norm(), want)
			}
		}
	}
}

// A real rim drawn together evenly is the same rim on a smaller scale, saddle and all.
func TestRimGatheredEvenlyKeepsItsShape(t *testing.T) {
	for _, r := range someRims(t) {
		const to = 0.8
		g := gathered(t, r, nil, Gather{FromMM: 20, ForMM: r.lengthMM, ToMM: to * r.lengthMM})
		for i := range 100 {
			at := r.lengthMM * float64(i) / 100
			if d := g.Rim.At(to * at).Distance(r.At(at).Scale(to)); d > 0.01 {
				t.Fatalf("%.1f mm: the place at %.1f mm is off by %.4f mm", r.lengthMM, at, d)
			}
		}
	}
}

// On a closed former the rim is the former: its perimeter against gonum's elliptic integral, its axes and its plane. The
// same from a circle and from a saddle, from one stretch and from many.
func TestClosedFormerGivesItsShape(t *testing.T) {
	for i, r := range someRims(t) {
		for _, axes := range [][2]float64{{30, 24}, {26, 26}, {28, 17}} {
			f := former(t, axes[0], axes[1])
			if f.LengthMM() > r.lengthMM {
				continue
			}
			for _, n := range []int{1, 5, 12} {
				g := gathered(t, r, f, sewn(r, f, 11, 0, n)...)
				s := g.Rim.Sizes()
				near(t, "perimeter", g.Rim.LengthMM(), 2*axes[0]*mathext.CompleteE(1-axes[1]*axes[1]/(axes[0]*axes[0])), 1e-12)
				near(t, "long axis", s.LongAxisMM, axes[0], 1e-4)
				near(t, "short axis", s.ShortAxisMM, axes[1], 1e-4)
				near(t, "area", s.ProjectedMM2, math.Pi*axes[0]*axes[1]/4, 1e-4)
				if s.SaddleHeightMM > 1e-9 || math.Abs(g.Shift.Z) > 1e-9 || g.OffFormerMM > 1e-6 {
					t.Errorf("rim %d: a saddle of %g mm, raised by %g, off the former by %g", i, s.SaddleHeightMM, g.Shift.Z, g.OffFormerMM)
				}
				lengthsHold(t, g, axes)
			}
		}
	}
}

// A rigid device keeps every distance, so any two places sewn to it side by side are as far apart in space as on the
// former, tilted or not, and in proportion where all stretches are shorter than their places. All that is sewn to it,
// also beyond a second opening, lies in one plane. What is not sewn keeps its length and, unless the tilt has its limit,
// its climb and the height where it begins.
func TestOpenFormerStaysRigid(t *testing.T) {
	f := former(t, 30, 23)
	const from, n = 3, 8
	for i, r := range someRims(t) {
		for _, c := range []struct {
			openMM, scale float64
			left          int // out, of the stretches sewn
		}{{2, 1, n}, {10, 1, n}, {18, 1, 5}, {30, 1, n}, {18, 0.9, n}} {
			gathers := sewn(r, f, from, c.openMM, n)
			if gathers[0].ToMM != gathers[0].OnForMM {
				continue // the rim is too short to lie on it
			}
			for j := range gathers {
				gathers[j].ToMM *= c.scale
			}
			on := func(i int) geom.Point { return f.At(gathers[0].OnMM + gathers[0].OnForMM*float64(i)/3) }
			g := gathered(t, r, f, append(gathers[:c.left:c.left], gathers[min(c.left+1, n):]...)...)
			at := func(i int) geom.Vec { return g.Rim.At(g.Along(from + (r.lengthMM-c.openMM)*float64(i)/(3*n))) }
			var plane, high []float64
			for i := range 3*n + 1 {
				beyond := func(i int) bool { return i > 3*c.left } // the stretch left out
				loose := func(i int) bool { return beyond(i) && i < 3*c.left+3 }
				if loose(i) {
					continue
				}
				plane, high = append(plane, 1, on(i).X, on(i).Y), append(high, at(i).Z)
				for j := range i {
					want := c.scale * math.Hypot(on(i).X-on(j).X, on(i).Y-on(j).Y)
					if got := at(i).Distance(at(j)); beyond(i) == beyond(j) && !loose(j) && math.Abs(got-want) > 0.05 {
						t.Errorf("rim %d, %+v: places %d and %d are %.3f mm apart, on the former %.3f", i, c, i, j, got, want)
					}
				}
			}
			var fit, off mat.VecDense
			a, z := mat.NewDense(len(high), 3, plane), mat.NewVecDense(len(high), high)
			if err := fit.SolveVec(a, z); err != nil {
				t.Fatal(err)
			}
			off.MulVec(a, &fit)
			off.SubVec(&off, z)
			if d := mat.Norm(&off, math.Inf(1)); d > 0.02 {
				t.Errorf("rim %d, %+v: what is sewn lies off its plane by %.3f mm", i, c, d)
			}
			begin, end := at(3*n).Add(g.Shift), at(0).Add(g.Shift)
			climb, was := end.Z-begin.Z, r.At(from).Z-r.At(from-c.openMM).Z
			limit := mostTilt * c.scale * math.Hypot(on(3*n).X-on(0).X, on(3*n).Y-on(0).Y)
			if math.Abs(climb-was) > 0.01 && math.Abs(math.Abs(climb)-limit) > 0.01 {
				t.Errorf("rim %d, %+v: the opening climbs %.3f mm, before %.3f mm, at the most %.3f mm", i, c, climb, was, limit)
			}
			if math.Abs(climb) > limit+0.01 {
				t.Errorf("rim %d, %+v: the former is tilted by %.3f mm, at the most %.3f mm", i, c, climb, limit)
			}
			if d := begin.Z - r.At(from-c.openMM).Z; math.Abs(d) > 0.01 {
				t.Errorf("rim %d, %+v: the opening begins %.3f mm off its height", i, c, d)
			}
			lengthsHold(t, g, c)
		}
	}
}

// Whatever is drawn together, lengths hold, the rim does not cross itself, nothing stands steeper than it may, and the
// septum keeps its mean place.
func TestGatheredRims(t *testing.T) {
	chance := rand.New(rand.NewPCG(41, 1))
	for i, r := range someRims(t) {
		for range 8 {
			gathers := someGathers(chance, r.lengthMM)
			g := gathered(t, r, nil, gathers...)
			lengthsHold(t, g, gathers)
			want := r.lengthMM
			for _, a := range gathers {
				want -= a.ForMM - a.ToMM
				if got := g.Along(a.FromMM+a.ForMM) - g.Along(a.FromMM); math.Abs(got-a.ToMM) > 2*goneMM {
					t.Errorf("rim %d: %v is %.5f mm long, %.5f asked", i, a, got, a.ToMM)
				}
			}
			if math.Abs(g.Rim.lengthMM-want) > 1e-3 {
				t.Errorf("rim %d: %.5f mm long, the sum is %.5f", i, g.Rim.lengthMM, want)
			}
			if outline := plan(g.Rim, 400); outline.CrossesSelf() || !(g.Rim.Sizes().ProjectedMM2 > 0) {
				t.Errorf("rim %d: %v crosses itself or runs anticlockwise", i, gathers)
			}
			var centroid geom.Vec
			for j, p := range g.Rim.Sample(2000) {
				centroid = centroid.Add(p.Scale(1.0 / 2000))
				if tangent := g.Rim.tangent(g.Rim.lengthMM * float64(j) / 2000); math.Abs(tangent.Z) > 1.02*steepest || tangent.Norm() > 1.2 {
					t.Fatalf("rim %d: %v climbs by %.3f", i, gathers, tangent.Z)
				}
			}
			if centroid.Norm() > 0.01 {
				t.Errorf("rim %d: %v is off centre by %.4f mm", i, gathers, centroid.Norm())
			}
		}
	}
}

func TestAlongAndBefore(t *testing.T) {
	chance := rand.New(rand.NewPCG(43, 1))
	for _, r := range someRims(t) {
		gathers := someGathers(chance, r.lengthMM)
		g := gathered(t, r, nil, gathers...)
		last := math.Inf(-1)
		for i := range 3000 {
			at := r.lengthMM * (float64(i)/1000 - 1.5)
			after := g.Along(at)
			if after < last {
				t.Fatalf("%v: %.4f mm runs back, from %.6f to %.6f", gathers, at, last, after)
			}
			last = after
			if d := g.Along(at+r.lengthMM) - after; math.Abs(d-g.Rim.lengthMM) > 1e-9 {
				t.Fatalf("%v: a turn on, %.4f mm is %.6f mm on", gathers, at, d)
			}
			if back := g.Along(g.Before(after)); math.Abs(back-after) > 1e-9 {
				t.Fatalf("%v: %.6f mm comes back as %.6f", gathers, after, back)
			}
		}
		var at float64
		for i, s := range r.segments[:2] {
			at += s
			if got, want := g.Along(at), g.Rim.segments[0]+float64(i)*g.Rim.segments[1]; math.Abs(got-want) > 1e-9 {
				t.Errorf("%v: commissure %d at %.6f, want %.6f", gathers, i, got, want)
			}
		}
	}
	g := gathered(t, build(t).Rim, nil, Gather{FromMM: 10, ForMM: 20})
	if g.Along(15) != 10 || g.Before(10) != 30 || g.Before(9) != 9 || math.Abs(g.Before(11)-31) > 1e-12 {
		t.Errorf("15 mm is at %g; 10 mm was at %g, 9 at %g, 11 at %g", g.Along(15), g.Before(10), g.Before(9), g.Before(11))
	}
	for _, at := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if a := g.Along(at); a == a {
			t.Errorf("%g is at %g", at, a)
		}
	}
}

// Drawing a segment together is stretching it by less than one: the same method, found by the other code. They differ in
// the stiffness of the two joints at the septum's ends, and in how finely the rim is divided.
func TestGatheredAsRestretched(t *testing.T) {
	r := circle(t, 110, [3]float64{44, 35, 31})
	for _, to := range [][3]float64{{1, 0.6, 1}, {0.8, 0.5, 1}, {0.7, 0.7, 0.9}} {
		var want [3]float64
		var gathers []Gather
		from := 0.0
		for i, s := range r.segments {
			want[i] = s * to[i]
			gathers = append(gathers, Gather{FromMM: from, ForMM: s, ToMM: want[i]})
			from += s
		}
		other, err := r.restretched(want, 1)
		if err != nil {
			t.Fatal(err)
		}
		g := gathered(t, r, nil, gathers...)
		for i := range 200 {
			at := other.lengthMM * float64(i) / 200
			if d := g.Rim.At(at).Distance(other.At(at)); d > 0.1 {
				t.Fatalf("%v: at %.1f mm they are %.4f mm apart", to, at, d)
			}
		}
	}
}

// farthest is how far apart in plan two rims of nearly the same length are at most, once laid over each other.
func farthest(a, b *Rim) (off float64) {
	const places = 300
	onto := plan(b, places)
	for i, p := range (ring.Shape{Points: plan(a, places)}).Aligned(onto, nil) {
		off = max(off, math.Hypot(p.X-onto[i].X, p.Y-onto[i].Y))
	}
	return off
}

// A flat rim that was dilated evenly and is drawn back to the lengths it had has its shape again. Dilated unevenly it
// comes back to 0.6 mm: its turning gives way over long segments on one way and over short ones on the other. A rim with
// a saddle comes back flatter, for the height lost in dilating is not given back; its curve of the same length is then
// wider in plan, by up to 0.85 mm.
func TestDilatedAndGatheredBack(t *testing.T) {
	back := func(dilated *Rim, to [3]float64) *Rim {
		var gathers []Gather
		for _, s := range (&Heart{Rim: dilated}).Segments() {
			gathers = append(gathers, Gather{FromMM: s.FromMM, ForMM: s.ForMM, ToMM: to[len(gathers)]})
		}
		return gathered(t, dilated, nil, gathers...).Rim
	}
	saddle := build(t).Rim
	flat := gathered(t, saddle, former(t, 35, 29), sewn(saddle, former(t, 35, 29), 0, 0, 1)...).Rim
	for _, c := range []struct {
		by     [3]float64
		within float64
	}{{[3]float64{1.4, 1.8, 1.1}, 0.6}, {[3]float64{1.3, 1.3, 1.3}, 0.002}, {[3]float64{1, 1.7, 1}, 0.6}} {
		var longer [3]float64
		for i, s := range flat.segments {
			longer[i] = s * c.by[i]
		}
		dilated, err := flat.restretched(longer, 1)
		if err != nil {
			t.Fatal(err)
		}
		if off := farthest(back(dilated, flat.segments), flat); off > c.within {
			t.Errorf("%v: a flat rim comes back to %.3f mm", c.by, off)
		}
	}
	for _, pattern := range []string{"classical", "operative", "uniform"} {
		rest, dilated := stretchedTo(t, pattern, 135)
		if off := farthest(back(dilated.Rim, rest.Rim.segments), rest.Rim); off > 0.85 {
			t.Errorf("%s: back to %.3f mm", pattern, off)
		}
	}
}

// What is drawn to next to nothing is as good as taken away: the rim is nearly the same, and has no corner there.
func TestDrawnToNothingIsTakenAway(t *testing.T) {
	for _, r := range someRims(t) {
		for _, from := range []float64{5, 40, 80} {
			away := gathered(t, r, nil, Gather{FromMM: from, ForMM: 12})
			tiny := gathered(t, r, nil, Gather{FromMM: from, ForMM: 12, ToMM: 0.002})
			for i := range 200 {
				at := r.lengthMM * float64(i) / 200
				a, b := away.Rim.At(away.Along(at)), tiny.Rim.At(tiny.Along(at))
				if d := a.Distance(b); d > 0.05 {
					t.Fatalf("%.1f mm, from %.0f mm: at %.1f mm they are %.3f mm apart", r.lengthMM, from, at, d)
				}
			}
		}
	}
}

// The free wall is drawn together, or some of it taken away, and the septum stays: in the frame of the rim before, its
// joints hardly move.
func TestSeptumStaysWhereItWas(t *testing.T) {
	for _, r := range someRims(t) {
		free := r.segments[0] + r.segments[1]
		for _, gather := range []Gather{{FromMM: 0, ForMM: free, ToMM: 0.75 * free}, {FromMM: 0.5 * free, ForMM: 0.15 * free}} {
			g := gathered(t, r, nil, gather)
			var moved geom.Vec
			for i := range 101 {
				at := free + r.segments[2]*float64(i)/100
				d := g.Rim.At(g.Along(at)).Add(g.Shift).Sub(r.At(at))
				moved = moved.Add(d.Scale(1.0 / 101))
				if d := math.Hypot(d.X, d.Y); d > 0.8 {
					t.Errorf("%v: the septum at %.1f mm has moved by %.3f mm", gather, at, d)
				}
			}
			if moved.Norm() > 0.02 {
				t.Errorf("%v: the septum as a whole has moved by %.4f mm", gather, moved.Norm())
			}
		}
	}
}

// No link may climb more than its length, however steep a repair would make it: the whole is flattened, and stays closed.
func TestSteepChainIsFlattened(t *testing.T) {
	c := chain{{slope: 1.4, riseOut: -1.4}, {riseOut: -1.4}, {riseOut: 1.4}, {riseOut: 1.4}}
	for i := range c {
		c[i].longMM, c[i].chordMM = float64(1+i%2), float64(1+i%2)
	}
	heights := c.heights(nil)
	steep := 0.0
	for i, l := range c {
		climb := heights[(i+1)%len(heights)] - heights[i]
		steep = max(steep, math.Abs(climb)/l.chordMM)
		if math.Abs(climb-l.climbMM) > 1e-12 {
			t.Errorf("link %d climbs %.4f mm, its joints %.4f", i, l.climbMM, climb)
		}
	}
	near(t, "steepest", steep, steepest, 1e-12)
}

// What the turnings lack to one turn must not favour one shape over another: it has to bend all joints with one and the
// same moment, as calculus says of the least Σ w x²/h whose sum of x is given.
func TestLackingTurnIsOneMoment(t *testing.T) {
	r := build(t).Rim
	parts := r.parts([]Gather{{FromMM: 45, ForMM: 25}})
	c := r.chain(parts, nil)
	c.heights(nil)
	rest, stiffness := c.turnings(nil)
	turn, moment := 0.0, make([]float64, len(c))
	for i, l := range c {
		h := (l.planMM() + c.next(i).planMM()) / 2
		turn += rest[i]
		moment[i] = stiffness[i] * (rest[i] - l.turnOut - c.next(i).turnIn) / h
	}
	near(t, "whole turn", turn, -2*math.Pi, 1e-12)
	for i, m := range moment {
		if math.Abs(m-moment[0]) > 1e-9*math.Abs(moment[0]) || !(m < 0) {
			t.Fatalf("the joint after link %d is bent by a moment of %g, the first by %g", i, m, moment[0])
		}
	}
}

// mirrored is the rim of the mirrored heart. Mirroring turns the way round, so it is run through backwards from the
// posteroseptal commissure, and anterior and posterior change their names.
func mirrored(t testing.TB, r *Rim) *Rim {
	t.Helper()
	through := make([]geom.Vec, len(r.pieces))
	for i := range through {
		p := r.At(r.segments[0] + r.segments[1] - r.lengthMM*float64(i)/float64(len(through)))
		through[i] = geom.Vec{X: -p.X, Y: p.Y, Z: p.Z}
	}
	m, err := rimThrough(r.lengthMM, through)
	if err != nil {
		t.Fatal(err)
	}
	m.segments = [3]float64{r.segments[1], r.segments[0], r.segments[2]}
	return m
}

func TestMirroredRimIsGatheredMirrored(t *testing.T) {
	chance := rand.New(rand.NewPCG(47, 1))
	f := former(t, 31, 25)
	for _, r := range someRims(t) {
		free := r.segments[0] + r.segments[1]
		for _, c := range []struct {
			former  *Former
			gathers []Gather
		}{{nil, someGathers(chance, r.lengthMM)}, {f, sewn(r, f, 3, 16, 7)}} {
			reversed := make([]Gather, len(c.gathers))
			for i, a := range c.gathers {
				reversed[i] = Gather{free - a.FromMM - a.ForMM, a.ForMM, a.ToMM, -a.OnMM - a.OnForMM, a.OnForMM}
			}
			g, m := gathered(t, r, c.former, c.gathers...), gathered(t, mirrored(t, r), c.former, reversed...)
			turn := g.Rim.segments[0] + g.Rim.segments[1]
			for i := range 200 {
				at := g.Rim.lengthMM * float64(i) / 200
				p := g.Rim.At(turn - at)
				if d := m.Rim.At(at).Distance(geom.Vec{X: -p.X, Y: p.Y, Z: p.Z}); d > 0.01 {
					t.Fatalf("%v: mirrored, the place at %.1f mm is off by %.4f mm", c.gathers, at, d)
				}
			}
		}
	}
}

func TestGatheredAlwaysTheSame(t *testing.T) {
	chance := rand.New(rand.NewPCG(53, 1))
	r := build(t).Rim
	gathers := someGathers(chance, r.lengthMM)
	first := gathered(t, r, nil, gathers...)
	chance.Shuffle(len(gathers), func(i, j int) { gathers[i], gathers[j] = gathers[j], gathers[i] })
	if second := gathered(t, r, nil, gathers...); !reflect.DeepEqual(first, second) {
		t.Error("the order of the stretches changes the rim")
	}
}

// A segment may be taken away: its neighbours meet, and the rest of the atlas finds them there.
func TestSegmentTakenAway(t *testing.T) {
	for gone := range 3 {
		r := build(t).Rim
		from := []float64{0, r.segments[0], r.segments[0] + r.segments[1]}[gone]
		g := gathered(t, r, nil, Gather{FromMM: from, ForMM: r.segments[gone]})
		h := &Heart{Rim: g.Rim}
		if s := h.Segments()[gone]; s.ForMM != 0 {
			t.Errorf("the %s segment is %g mm long", s.Name, s.ForMM)
		}
		for i := range 300 {
			if s := h.SegmentAt(g.Rim.lengthMM * float64(i) / 300); s.ForMM == 0 {
				t.Errorf("a place lies on the %s segment, which is gone", s.Name)
			}
		}
		for name, v := range g.Rim.named() {
			if !(v >= 0) || math.IsInf(v, 0) {
				t.Errorf("%s: %g", name, v)
			}
		}
		// A corner would be a peak of the bend where the ends meet, as sharp as the knots allow: some 10 per mm.
		sharpest := func(fromMM, toMM float64) (most float64) {
			for i := range 101 {
				at := fromMM + (toMM-fromMM)*float64(i)/100
				most = max(most, g.Rim.bend(g.Along(from)+at).Norm(), g.Rim.bend(g.Along(from)-at).Norm())
			}
			return most
		}
		if at, beside := sharpest(0, 0.5), sharpest(0.5, 2.5); at > 1.3*beside {
			t.Errorf("without segment %d the rim bends by %.3f per mm where the ends meet, beside it by %.3f", gone, at, beside)
		}
		lengthsHold(t, g, gone)
	}
}

func TestManyTinyStretches(t *testing.T) {
	r := build(t).Rim
	var gathers []Gather
	want := r.lengthMM
	for i := range 1500 {
		g := Gather{FromMM: r.lengthMM * float64(i) / 1500, ForMM: 0.06, ToMM: 0.06 * float64(i%5) / 5}
		want -= g.ForMM - g.ToMM
		gathers = append(gathers, g)
	}
	g := gathered(t, r, nil, gathers...)
	near(t, "length", g.Rim.lengthMM, want, 1e-9)
	near(t, "length on the curve", arcLength(g.Rim, 0, g.Rim.lengthMM), want, 0.01/want)
}

func TestGatheredRefuses(t *testing.T) {
	r := build(t).Rim
	f := former(t, 34, 28)
	for _, c := range []struct {
		gathers []Gather
		former  *Former
		says    []string
	}{
		{[]Gather{{FromMM: 3, ForMM: 0, ToMM: 0}}, nil, []string{"3.00 mm", "more than 0 mm", "leave it out"}},
		{[]Gather{{FromMM: 3, ForMM: -1, ToMM: 0}}, nil, []string{"more than 0 mm"}},
		{[]Gather{{FromMM: 3, ForMM: 5, ToMM: 6}}, nil, []string{"never lengthens", "5.00 mm"}},
		{[]Gather{{FromMM: 3, ForMM: 5, ToMM: -1}}, nil, []string{"0 mm or more"}},
		{[]Gather{{FromMM: 3, ForMM: 500, ToMM: 1}}, nil, []string{"longer than the rim", "at most"}},
		{[]Gather{{FromMM: math.NaN(), ForMM: 5, ToMM: 1}}, nil, []string{"finite"}},
		{[]Gather{{FromMM: 3, ForMM: math.Inf(1), ToMM: 1}}, nil, []string{"finite"}},
		{[]Gather{{FromMM: 3, ForMM: 5, ToMM: math.NaN()}}, nil, []string{"finite"}},
		{[]Gather{{FromMM: 3, ForMM: 5, ToMM: 1}, {FromMM: 7, ForMM: 5, ToMM: 1}}, nil, []string{"1 mm into", "3.00 mm", "7.00 mm", "not overlap"}},
		{[]Gather{{FromMM: 3, ForMM: 5, ToMM: 1}, {FromMM: 3, ForMM: 5, ToMM: 1}}, nil, []string{"not overlap"}},
		{[]Gather{{FromMM: r.lengthMM - 2, ForMM: 6, ToMM: 1}, {FromMM: 3, ForMM: 5, ToMM: 1}}, nil, []string{"not overlap"}},
		{[]Gather{{FromMM: 0, ForMM: r.lengthMM, ToMM: 0}}, nil, []string{"0 mm of a rim", "draw less"}},
		{[]Gather{{FromMM: 0, ForMM: 5, ToMM: 3}}, f, []string{"on the former", "where it is sewn"}},
		{[]Gather{{FromMM: 0, ForMM: 5, ToMM: 3, OnMM: math.NaN(), OnForMM: 3}}, f, []string{"on the former"}},
		{[]Gather{{FromMM: 0, ForMM: 5, ToMM: 3, OnForMM: 300}}, f, []string{"once round"}},
		{[]Gather{{FromMM: 0, ForMM: -5}, {FromMM: 9, ForMM: 5, ToMM: 7}}, nil, []string{"more than 0 mm", "never lengthens"}},
	} {
		g, err := r.Gathered(c.gathers, c.former)
		if err == nil {
			t.Errorf("%v makes a rim of %.2f mm", c.gathers, g.Rim.lengthMM)
			continue
		}
		says(t, err.Error(), c.says...)
	}
}

// Half a turn of a former cannot take a whole rim: what does not fit is told.
func TestOffFormerTellsWhatDoesNotFit(t *testing.T) {
	r := build(t).Rim
	f := former(t, 34, 28)
	g := gathered(t, r, f, Gather{FromMM: 0, ForMM: r.lengthMM, ToMM: 60, OnMM: 0, OnForMM: f.LengthMM() / 2})
	if g.OffFormerMM < 3 {
		t.Errorf("off the former by %.3f mm", g.OffFormerMM)
	}
}

// FuzzGathered looks for numbers that make a rim of no numbers, or none at all without a word.
func FuzzGathered(f *testing.F) {
	f.Add(3.0, 20.0, 9.0, 50.0, 10.0, 0.0, 0.0, 20.0, 32.0, 26.0, true)
	f.Add(-1e300, 1e-300, 0.0, 100.0, 5.7, 5.7, 0.0, 0.0, 10.0, 10.0, false)
	f.Add(0.0, 105.0, 2.0, 105.0, 0.1, 1e-7, 3.0, 1e-9, 40.0, 4.0, true)
	r := build(f).Rim
	f.Fuzz(func(t *testing.T, from, long, to, from2, long2, to2, on, onFor, axis, other float64, rigid bool) {
		var device *Former
		if rigid {
			device, _ = NewFormer(axis, other)
		}
		g, err := r.Gathered([]Gather{{from, long, to, on, onFor}, {from2, long2, to2, on + onFor, onFor}}, device)
		if err != nil {
			if strings.Contains(err.Error(), "%!") || err.Error() == "" {
				t.Errorf("an unreadable error: %q", err)
			}
			return
		}
		for i := range 50 {
			if p := g.Rim.At(g.Along(3 * float64(i))).Add(g.Shift); !p.IsFinite() {
				t.Fatalf("%d: %+v", i, p)
			}
		}
	})
}

// BenchmarkGathered draws a typical band together, 12 stretches of the free wall; and the same on an open former.
func BenchmarkGathered(b *testing.B) {
	r := build(b).Rim
	f := former(b, 32, 26)
	free := r.segments[0] + r.segments[1]
	var band []Gather
	for i := range 12 {
		band = append(band, Gather{FromMM: free / 12 * float64(i), ForMM: free / 12 * 0.8, ToMM: free / 12 * 0.5})
	}
	for _, c := range []struct {
		name    string
		gathers []Gather
		former  *Former
	}{{"band", band, nil}, {"former", sewn(r, f, 3, 20, 12), f}} {
		b.Run(fmt.Sprint(c.name), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				gathered(b, r, c.former, c.gathers...)
			}
		})
	}
}
