package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestDepthByHand(t *testing.T) {
	bar := Outline{{0, 0}, {10, 0}, {10, 4}, {0, 4}}
	for _, c := range []struct {
		name string
		o    Outline
		path []Point
		want float64
	}{
		{"across, both ends outside", bar, []Point{{5, -3}, {5, 9}}, -2},
		{"along the middle, both ends outside", bar, []Point{{-5, 2}, {15, 2}}, -2},
		{"along an edge's inside", bar, []Point{{-5, 1}, {15, 1}}, -1},
		{"on an edge", bar, []Point{{-5, 0}, {15, 0}}, 0},
		{"cutting a corner", bar, []Point{{-1, 2}, {2, -1}}, -0.5},
		{"ending inside", bar, []Point{{-1, 2}, {0.5, 2}}, -0.5},
		{"all inside", bar, []Point{{1, 1}, {1.5, 1}}, -1},
		{"touching a corner", bar, []Point{{-1, 1}, {1, -1}}, 0},
		{"passing by", bar, []Point{{-3, 7}, {13, 7}}, 3},
		{"passing a corner", bar, []Point{{13, -10}, {13, -4}}, 5},
		{"second segment deeper", bar, []Point{{-1, 2}, {0.5, 2}, {1.5, 2}}, -1.5},
		{"one point", bar, []Point{{5, 1}}, -1},
		{"no point", bar, nil, math.Inf(1)},
		{"a point twice", bar, []Point{{5, 1}, {5, 1}}, -1},
		{"over the channel", channel, []Point{{-9, 5}, {20, 5}}, -1},
		{"down the channel", channel, []Point{{4.5, 9}, {4.5, 4}}, 1},
		{"no outline", nil, []Point{{0, 0}, {1, 1}}, math.Inf(1)},
		{"outline of one point", Outline{{0, 0}}, []Point{{-5, 3}, {5, 3}}, 3},
	} {
		if got := c.o.DepthOfPath(c.path); got != c.want && math.Abs(got-c.want) > DepthToleranceMM {
			t.Errorf("%s: %.12g, want %g", c.name, got, c.want)
		}
	}
}

// TestDepthAgainstSamples reads the signed distance at many points of the path,
// which no answer may exceed, and goes closer about the deepest few.
func TestDepthAgainstSamples(t *testing.T) {
	const steps = 400
	r := rand.New(rand.NewPCG(11, 1))
	worst, deep := 0.0, 0
	for i := range 1200 {
		o := starOutline(r, 3+r.IntN(14))
		if i%4 == 0 {
			r.Shuffle(len(o), func(i, j int) { o[i], o[j] = o[j], o[i] })
		}
		path := make([]Point, 2+r.IntN(3))
		for k := range path {
			path[k] = Point{12 * (2*r.Float64() - 1), 12 * (2*r.Float64() - 1)}
		}
		if i%3 == 0 { // through a corner, or along an edge
			path[0], path[1] = o[0].lerp(o[1], -2*r.Float64()), o[0].lerp(o[1], 1+2*r.Float64())
		}
		got := o.DepthOfPath(path)
		sampled := math.Inf(1)
		for k := 1; k < len(path); k++ {
			sampled = min(sampled, sampledDepth(o, path[k-1], path[k], steps))
		}
		if got > sampled+1e-9 {
			t.Fatalf("case %d: %.12g, but a sample is at %.12g", i, got, sampled)
		}
		if got < -0.5 {
			deep++
		}
		worst = max(worst, sampled-got)
	}
	t.Logf("%d paths deep inside; samples fall short by %.2g mm at most", deep, worst)
	if worst > 1e-7 {
		t.Errorf("samples fall short by %g mm", worst)
	}
	if deep < 400 {
		t.Errorf("only %d paths deep inside", deep)
	}
}

// sampledDepth is the smallest signed distance found on p-q: at even steps, and
// then closer and closer about every sample that could still hide a smaller one,
// the distance being 1-Lipschitz.
func sampledDepth(o Outline, p, q Point, steps int) float64 {
	best := math.Inf(1)
	values := make([]float64, steps+1)
	for k := range values {
		values[k] = o.SignedDistance(p.lerp(q, float64(k)/float64(steps)))
		best = min(best, values[k])
	}
	length := p.distance(q)
	for k, v := range values {
		if v > best+length/float64(steps) {
			continue
		}
		at, step := float64(k)/float64(steps), 1/float64(steps)
		for ; step*length > 1e-10; step /= 2 {
			for _, u := range []float64{at - step, at + step} {
				if u < 0 || u > 1 {
					continue
				}
				if d := o.SignedDistance(p.lerp(q, u)); d < v {
					v, at = d, u
				}
			}
		}
		best = min(best, v)
	}
	return best
}

func TestDepthProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	for range 800 {
		o := starOutline(r, 3+r.IntN(14))
		path := []Point{{10 * (2*r.Float64() - 1), -9}, {3 * r.NormFloat64(), 3 * r.NormFloat64()}, {9, 10 * (2*r.Float64() - 1)}}
		d := o.DepthOfPath(path)
		angle, shift := 7*r.Float64(), Point{30 * r.Float64(), -20 * r.Float64()}
		if got := Outline(movedPoints(o, angle, shift)).DepthOfPath(movedPoints(path, angle, shift)); math.Abs(got-d) > 2*DepthToleranceMM {
			t.Fatalf("moved: %.12g, was %.12g", got, d)
		}
		if got := o.DepthOfPath([]Point{path[2], path[1], path[0]}); math.Abs(got-d) > 2*DepthToleranceMM {
			t.Fatalf("turned round: %.12g, was %.12g", got, d)
		}
		if got := o.DepthOfPath(append(path, Point{20, 20})); got > d+DepthToleranceMM {
			t.Fatalf("longer, and less deep: %.12g, was %.12g", got, d)
		}
	}
}

// TestDepthEndsOnOddInput: far-off coordinates, where rounding is coarser than
// the tolerance, and numbers that are none, must not keep the search going.
func TestDepthEndsOnOddInput(t *testing.T) {
	far := Outline(movedPoints(circleOutline(40, 9), 0.1, Point{9e5, -9e5}))
	if got := far.DepthOfPath([]Point{{9e5 - 20, -9e5}, {9e5 + 20, -9e5 + 0.01}}); math.Abs(got+9*math.Cos(math.Pi/40)) > 0.03 {
		t.Errorf("far off: %g", got)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range []float64{nan, inf, -inf, math.MaxFloat64} {
		for k := range 4 {
			o := append(Outline{}, square...)
			o[k].X = bad
			depth := o.DepthOfPath([]Point{{-1, 1}, {2, 2}, {5, 3}})
			straight := square.DepthOfPath([]Point{{-1, 1}, {bad, 2}, {5, bad}})
			if depth < -20 || straight < -20 {
				t.Errorf("with %g: depths %g and %g", bad, depth, straight)
			}
		}
	}
}

func FuzzDepthOfPath(f *testing.F) {
	f.Add(0.0, 0.0, 4.0, 0.0, 4.0, 4.0, 0.0, 4.0, -1.0, 2.0, 5.0, 2.0)
	f.Add(0.0, 0.0, 1e6, 1e-9, 1e6, 1e6, -1e6, 5e-324, -1e6, 0.0, 1e6, 0.0)
	f.Fuzz(func(t *testing.T, ax, ay, bx, by, cx, cy, dx, dy, px, py, qx, qy float64) {
		if !withinReach(ax, ay, bx, by, cx, cy, dx, dy, px, py, qx, qy) {
			return
		}
		o := Outline{{ax, ay}, {bx, by}, {cx, cy}, {dx, dy}}
		p, q := Point{px, py}, Point{qx, qy}
		depth := o.DepthOfPath([]Point{p, q})
		slack := 1e-9 + 1e-12*max(extent(o), extent([]Point{p, q}))
		for _, u := range []float64{0, 0.25, 0.5, 0.75, 1} {
			if d := o.SignedDistance(p.lerp(q, u)); !(depth <= d+slack) {
				t.Fatalf("depth %g, but %g at %g", depth, d, u)
			}
		}
		o.CrossesSelf()
		if c := o.Centroid(); !finite(c.X) || !finite(c.Y) || !(o.Area() >= 0) {
			t.Fatalf("centroid %v, area %g", c, o.Area())
		}
	})
}
