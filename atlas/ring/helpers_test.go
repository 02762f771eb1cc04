package ring

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas/geom"
)

// ellipse samples an ellipse anticlockwise at equal steps of the parameter, dented
// from below by dent·cos 2t; from about a fifth of b on the dent is hollow.
func ellipse(n int, a, b, dent float64) []geom.Point {
	points := make([]geom.Point, n)
	for i := range points {
		t := 2 * math.Pi * float64(i) / float64(n)
		points[i] = geom.Point{X: a * math.Cos(t), Y: b*math.Sin(t) + dent*math.Cos(2*t)}
	}
	return points
}

// cinched multiplies the lengths from..to by a factor.
func cinched(lengths []float64, from, to int, factor float64) []float64 {
	out := append([]float64(nil), lengths...)
	for i := from; i < to; i++ {
		out[i] *= factor
	}
	return out
}

func scaled(values []float64, k float64) []float64 { return cinched(values, 0, len(values), k) }

// shifted starts the values at another element.
func shifted(values []float64, by int) []float64 {
	return append(append([]float64(nil), values[by:]...), values[:by]...)
}

func mustSolve(t testing.TB, p Problem) Shape {
	t.Helper()
	s, err := Solve(p)
	if err != nil {
		t.Fatalf("no shape: %v", err)
	}
	mustFit(t, p, s)
	return s
}

// mustFit asks of a shape what Solve promises of every one.
func mustFit(t testing.TB, p Problem, s Shape) {
	t.Helper()
	perimeter := sum(p.LengthsMM)
	for i, l := range Lengths(s.Points) {
		if math.Abs(l-p.LengthsMM[i]) > ClosureTolerance*perimeter {
			t.Fatalf("element %d of %d is %.17g mm long, want %.17g", i, len(p.LengthsMM), l, p.LengthsMM[i])
		}
	}
	if total := sum(s.Turns); math.Abs(math.Abs(total)-2*math.Pi) > 1e-11 {
		t.Fatalf("the turnings add up to %g", total)
	}
	if geom.Outline(s.Points).CrossesSelf() && !s.Convex() {
		t.Fatal("the line crosses itself")
	}
	if p.Rest == nil || convex(p.Rest) {
		if !s.Convex() {
			t.Fatal("the line was convex and is not")
		}
	}
	if s.Points[0] != (geom.Point{}) {
		t.Fatalf("the line starts at %v", s.Points[0])
	}
	if second := s.Points[1]; second.Y != 0 || second.X <= 0 {
		t.Fatalf("the first element heads for %v", second)
	}
}

func largestDifference(a, b []float64) float64 {
	largest := math.Abs(float64(len(a) - len(b)))
	for i := range min(len(a), len(b)) {
		largest = max(largest, math.Abs(a[i]-b[i]))
	}
	return largest
}

// farthest is the largest distance between joints of the same number.
func farthest(a, b []geom.Point) float64 {
	largest := 0.0
	for i := range a {
		largest = max(largest, math.Hypot(a[i].X-b[i].X, a[i].Y-b[i].Y))
	}
	return largest
}

// convexRest makes a random convex closed polygon, of points on an ellipse at
// uneven distances, or, every other time, of few such points with straight joints
// between.
func convexRest(r *rand.Rand, n int) []geom.Point {
	straight := 1
	if r.IntN(2) == 0 && n >= 9 {
		straight = 3
	}
	corners := make([]geom.Point, n/straight)
	a, b := 10+10*r.Float64(), 10+10*r.Float64()
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.9*r.Float64()) / float64(len(corners)))
		corners[i] = geom.Point{X: a * cos, Y: b * sin}
	}
	var points []geom.Point
	for i, p := range corners {
		e := edge(corners, i)
		for k := range straight {
			part := float64(k) / float64(straight)
			points = append(points, geom.Point{X: p.X + part*e.X, Y: p.Y + part*e.Y})
		}
	}
	return points
}

// segmentFactors multiplies the lengths by factors in 0.4..2, one to each of
// several neighbouring segments, and answers only lengths that close.
func segmentFactors(r *rand.Rand, lengths []float64) []float64 {
	for {
		out := append([]float64(nil), lengths...)
		for i := 0; i < len(out); {
			end := min(len(out), i+1+r.IntN(1+len(out)/4))
			factor := 0.4 + 1.6*r.Float64()
			for ; i < end; i++ {
				out[i] *= factor
			}
		}
		if checkLengths(out) == nil {
			return out
		}
	}
}

// moments are wᵢ (turnᵢ - restᵢ)/hᵢ, half the derivative of the energy by each
// turning.
func moments(p Problem, s Shape) []float64 {
	m := make([]float64, len(s.Turns))
	for i := range m {
		w := 1.0
		if p.Stiffness != nil {
			w = p.Stiffness[i]
		}
		next := (i + 1) % len(m)
		m[i] = w * (s.Turns[i] - p.Rest[i]) / ((p.LengthsMM[i] + p.LengthsMM[next]) / 2)
	}
	return m
}
