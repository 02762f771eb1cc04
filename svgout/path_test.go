package svgout

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// strokes reads path data back: the points of every command by themselves.
func strokes(t *testing.T, p *PathData) (commands []string, points [][]Point) {
	t.Helper()
	d, err := p.data()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`([MLCZ])([^MLCZ]*)`).FindAllStringSubmatch(d, -1) {
		commands = append(commands, m[1])
		var read []Point
		for _, pair := range strings.Fields(m[2]) {
			xs, ys, _ := strings.Cut(pair, ",")
			x, errX := strconv.ParseFloat(xs, 64)
			y, errY := strconv.ParseFloat(ys, 64)
			if errX != nil || errY != nil {
				t.Fatalf("path data %q", m[0])
			}
			read = append(read, Point{x, y})
		}
		points = append(points, read)
	}
	return commands, points
}

// cubics reads a smooth path back as its segments.
func cubics(t *testing.T, p *PathData) []cubic {
	t.Helper()
	commands, points := strokes(t, p)
	var segments []cubic
	var at Point
	for i, c := range commands {
		if c == "C" {
			segments = append(segments, cubic{at, points[i][0], points[i][1], points[i][2]})
		}
		if n := len(points[i]); n > 0 {
			at = points[i][n-1]
		}
	}
	return segments
}

func wavyRim(angle float64) Point {
	sin, cos := math.Sincos(angle)
	r := 1 + 0.08*math.Cos(3*angle) + 0.03*math.Sin(5*angle)
	return Point{150 + 60*r*cos, 100 + 45*r*sin}
}

// TestSmoothCurvesStayTrue compares the curve drawn with the true curve, far
// more finely than it was sampled.
func TestSmoothCurvesStayTrue(t *testing.T) {
	for name, c := range map[string]struct {
		at       func(float64) Point
		samples  int
		segments int
	}{
		"circle":       {ellipse(100, 100, 40, 40), 120, 8},
		"flat ellipse": {ellipse(100, 100, 60, 12), 240, 16},
		"rim":          {sampleRim, 180, 16},
		"wavy rim":     {wavyRim, 240, 32},
		"few samples":  {ellipse(100, 100, 20, 15), 24, 24},
	} {
		var p PathData
		p.SmoothThrough(sampled(c.samples, c.at), true)
		segments := cubics(t, &p)
		worst := 0.0
		for i := range 5000 {
			worst = math.Max(worst, distanceToCubics(segments, c.at(2*math.Pi*float64(i)/5000)))
		}
		t.Logf("%s: %d samples, %d segments, deviation %.4f mm from the samples, %.4f mm from the curve",
			name, c.samples, len(segments), p.Deviation(), worst)
		if p.Deviation() > smoothToleranceMM || worst > 0.03 {
			t.Errorf("%s: off by %.4f mm from the samples, %.4f mm from the curve", name, p.Deviation(), worst)
		}
		if len(segments) > c.segments {
			t.Errorf("%s: %d segments, more than %d", name, len(segments), c.segments)
		}
		noCorners(t, name, segments)
	}
}

// distanceToCubics is by plain search, to owe nothing to the code tested.
func distanceToCubics(segments []cubic, q Point) float64 {
	best := math.Inf(1)
	for _, c := range segments {
		if box := enclosing(c[:]).Grow(1); box.Contains(q) {
			for i := range 200 {
				a, b := c.at(float64(i)/200), c.at(float64(i+1)/200)
				best = math.Min(best, distanceToSegment(q, a, b))
			}
		}
	}
	return best
}

func distanceToSegment(q, a, b Point) float64 {
	ab := b.Minus(a)
	t := math.Max(0, math.Min(1, q.Minus(a).dot(ab)/ab.dot(ab)))
	return q.Distance(a.Plus(ab.Times(t)))
}

func enclosing(points []Point) Box {
	b := Box{X: points[0].X, Y: points[0].Y}
	for _, q := range points {
		right, bottom := math.Max(b.Right(), q.X), math.Max(b.Bottom(), q.Y)
		b.X, b.Y = math.Min(b.X, q.X), math.Min(b.Y, q.Y)
		b.W, b.H = right-b.X, bottom-b.Y
	}
	return b
}

// noCorners compares the directions on both sides of every joint of a closed
// curve. Coordinates are written to 0.001 mm, which turns a short handle a
// little.
func noCorners(t *testing.T, name string, segments []cubic) {
	t.Helper()
	for i, c := range segments {
		next := segments[(i+1)%len(segments)]
		in, out := c[3].Minus(c[2]), next[1].Minus(next[0])
		turn := math.Abs(math.Atan2(in.cross(out), in.dot(out))) * 180 / math.Pi
		if turn > 0.2 || c[3] != next[0] {
			t.Errorf("%s: corner of %.2f° or gap behind segment %d", name, turn, i)
		}
	}
}

func TestSmoothThroughOddInput(t *testing.T) {
	for name, c := range map[string]struct {
		points []Point
		closed bool
		want   string
	}{
		"nothing":         {nil, true, ""},
		"one point":       {[]Point{{1, 2}}, true, "M1,2"},
		"two points":      {[]Point{{1, 2}, {3, 4}}, true, "M1,2L3,4"},
		"repeated points": {[]Point{{1, 2}, {1, 2}, {3, 4}, {3, 4}, {1, 2}}, true, "M1,2L3,4"},
	} {
		var p PathData
		if got, err := p.SmoothThrough(c.points, c.closed).data(); err != nil || got != c.want {
			t.Errorf("%s: %q, %v; want %q", name, got, err, c.want)
		}
	}
	var p PathData
	if _, err := p.SmoothThrough([]Point{{0, 0}, {math.NaN(), 1}, {2, 0}, {3, 3}}, false).data(); err == nil {
		t.Error("a point that is none was drawn")
	}
	var open PathData
	segments := cubics(t, open.SmoothThrough([]Point{{0, 0}, {10, 5}, {20, 0}}, false))
	if n := len(segments); n == 0 || segments[n-1][3] != (Point{20, 0}) {
		t.Errorf("an open curve ends elsewhere: %v", segments)
	}
}

func TestStraightSamplesStayStraight(t *testing.T) {
	var p PathData
	points := []Point{{0, 0}, {1, 2}, {3, 6}, {4, 8}, {10, 20}}
	segments := cubics(t, p.SmoothThrough(points, false))
	if len(segments) != 1 || p.Deviation() > 1e-9 {
		t.Errorf("%d segments, off by %v", len(segments), p.Deviation())
	}
}

func TestHatchOfARectangle(t *testing.T) {
	commands, points := strokes(t, Hatch([]Point{{10, 9.5}, {20, 9.5}, {20, 14.5}, {10, 14.5}}, 0, 1))
	if got := strings.Join(commands, ""); got != "MLMLMLMLML" {
		t.Fatalf("commands %s", got)
	}
	for i := range 5 {
		y := 10 + float64(i)
		from, to := points[2*i][0], points[2*i+1][0]
		if from != (Point{10, y}) || to != (Point{20, y}) {
			t.Errorf("line %d from %v to %v", i, from, to)
		}
	}
}

func TestHatchLeavesHolesFree(t *testing.T) {
	square := []Point{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	hole := []Point{{4, 4}, {6, 4}, {6, 6}, {4, 6}}
	_, points := strokes(t, Hatch(square, 0, 5, hole))
	want := []Point{{0, 5}, {4, 5}, {6, 5}, {10, 5}}
	middle := points[len(points)-4:]
	for i := range want {
		if middle[i][0] != want[i] {
			t.Errorf("the middle line is drawn %v, want %v", middle, want)
			break
		}
	}
}

// TestHatchFillsExactlyTheInside draws hatches over random stars and asks a
// winding count of its own for points on the lines and between them.
func TestHatchFillsExactlyTheInside(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	for range 80 {
		outline := randomStar(rng)
		angle, pitch := rng.Float64()*180, 0.8+2*rng.Float64()
		_, points := strokes(t, Hatch(outline, angle, pitch))
		drawn := 0.0
		for i := 0; i < len(points); i += 2 {
			a, b := points[i][0], points[i+1][0]
			drawn += a.Distance(b)
			for _, f := range []float64{0.02, 0.3, 0.5, 0.7, 0.98} {
				q := a.Plus(b.Minus(a).Times(f))
				if !windsAround(outline, q) && outlineDistance(outline, q) > 0.002 {
					t.Fatalf("hatch at %v lies outside %v", q, outline)
				}
			}
			if d := math.Max(outlineDistance(outline, a), outlineDistance(outline, b)); d > 0.002 {
				t.Fatalf("a hatch line ends %.3f mm from the outline", d)
			}
		}
		if want := insideLength(outline, angle, pitch); math.Abs(drawn-want) > 0.02*want+1 {
			t.Fatalf("%.2f mm of hatch drawn, %.2f mm of line lie inside", drawn, want)
		}
	}
}

func randomStar(rng *rand.Rand) []Point {
	return sampled(5+rng.IntN(12), func(angle float64) Point {
		sin, cos := math.Sincos(angle)
		r := 4 + 20*rng.Float64()
		return Point{100 + r*cos, 80 + r*sin}
	})
}

// windsAround sums the angles under which the edges are seen from q.
func windsAround(outline []Point, q Point) bool {
	sum := 0.0
	for i, a := range outline {
		u, v := a.Minus(q), outline[(i+1)%len(outline)].Minus(q)
		sum += math.Atan2(u.cross(v), u.dot(v))
	}
	return math.Abs(sum) > math.Pi
}

func outlineDistance(outline []Point, q Point) float64 {
	best := math.Inf(1)
	for i, a := range outline {
		best = math.Min(best, distanceToSegment(q, a, outline[(i+1)%len(outline)]))
	}
	return best
}

// insideLength walks every hatch line in steps and counts those inside.
func insideLength(outline []Point, angleDeg, pitch float64) float64 {
	const step = 0.04
	sin, cos := math.Sincos(angleDeg * math.Pi / 180)
	along, across := Point{cos, sin}, Point{-sin, cos}
	centre := Point{100, 80}
	length := 0.0
	for k := math.Ceil((centre.dot(across) - 25) / pitch); k*pitch <= centre.dot(across)+25; k++ {
		for u := centre.dot(along) - 25; u < centre.dot(along)+25; u += step {
			if windsAround(outline, across.Times(k*pitch).Plus(along.Times(u+step/2))) {
				length += step
			}
		}
	}
	return length
}

func TestHatchesOfOneKindJoinUp(t *testing.T) {
	left := Hatch([]Point{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, 90, 1.7)
	lower := Hatch([]Point{{0, 10}, {10, 10}, {10, 20}, {0, 20}}, 90, 1.7)
	_, a := strokes(t, left)
	_, b := strokes(t, lower)
	if len(a) == 0 || len(a) != len(b) {
		t.Fatalf("%d and %d strokes", len(a), len(b))
	}
	for i := range a {
		if a[i][0].X != b[i][0].X {
			t.Errorf("lines at %v and %v do not join", a[i][0].X, b[i][0].X)
		}
	}
}

func TestHatchOfNothing(t *testing.T) {
	for _, outline := range [][]Point{nil, {{1, 1}}, {{1, 1}, {5, 5}}} {
		if p := Hatch(outline, 30, 1); !p.Empty() || p.err != nil {
			t.Errorf("hatch of %v: %v, %v", outline, p.strokes, p.err)
		}
	}
}

// at is the point of a cubic by its Bernstein form: another way than the code's own.
func (c cubic) at(t float64) Point {
	s := 1 - t
	return c[0].Times(s * s * s).Plus(c[1].Times(3 * s * s * t)).Plus(c[2].Times(3 * s * t * t)).Plus(c[3].Times(t * t * t))
}
