package ring

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"fairlead/atlas/geom"
)

// TestFreeRingIsRegular: n equal elements make the regular n-gon, which lacks
// π²/3n² of the area of the circle with the same perimeter, to the next order.
func TestFreeRingIsRegular(t *testing.T) {
	for _, n := range []int{3, 4, 5, 7, 60, 240, 401} {
		s := mustSolve(t, Problem{LengthsMM: slices.Repeat([]float64{1.5}, n)})
		side := math.Pi / float64(n)
		if area := float64(n) * 1.5 * 1.5 / 4 / math.Tan(side); math.Abs(s.AreaMM2()-area) > 1e-12*area {
			t.Errorf("n=%d: area %.15g, want %.15g", n, s.AreaMM2(), area)
		}
		if perimeter := 1.5 * float64(n); math.Abs(s.PerimeterMM()-perimeter) > 1e-12*perimeter {
			t.Errorf("n=%d: perimeter %.15g, want %.15g", n, s.PerimeterMM(), perimeter)
		}
		circle := 1.5 * float64(n) * 1.5 * float64(n) / (4 * math.Pi)
		if lack := 1 - s.AreaMM2()/circle; math.Abs(lack-side*side/3) > side*side*side*side/20 {
			t.Errorf("n=%d: lacks %g of the circle, want about %g", n, lack, side*side/3)
		}
		for i, turn := range s.Turns {
			if math.Abs(turn-2*side) > 1e-13 {
				t.Fatalf("n=%d: turns %g at joint %d, want %g", n, turn, i, 2*side)
			}
		}
	}
}

// circumcircle is the centre and radius of the circle through three points.
func circumcircle(a, b, c geom.Point) (geom.Point, float64) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
	twice := 2 * (ux*vy - uy*vx)
	x := (vy*(ux*ux+uy*uy) - uy*(vx*vx+vy*vy)) / twice
	y := (ux*(vx*vx+vy*vy) - vx*(ux*ux+uy*uy)) / twice
	return geom.Point{X: a.X + x, Y: a.Y + y}, math.Hypot(x, y)
}

// TestFreeRingIsOnACircle: with uneven lengths all joints still are on one circle,
// also where the longest element has the centre beyond it.
func TestFreeRingIsOnACircle(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	outside := 0
	for range 500 {
		n := 3 + r.IntN(80)
		lengths := make([]float64, n)
		for i := range lengths {
			lengths[i] = 0.1 + 2*r.Float64()
		}
		if r.IntN(2) == 0 {
			lengths[r.IntN(n)] = sum(lengths) * (0.3 + 0.6*r.Float64())
		}
		if checkLengths(lengths) != nil {
			continue
		}
		s := mustSolve(t, Problem{LengthsMM: lengths, Stiffness: scaled(lengths, 3)})
		centre, radius := circumcircle(s.Points[0], s.Points[n/3], s.Points[2*n/3])
		for i, p := range s.Points {
			if off := math.Abs(math.Hypot(p.X-centre.X, p.Y-centre.Y) - radius); off > 1e-9*radius {
				t.Fatalf("joint %d of %d is %g off the circle of radius %g", i, n, off, radius)
			}
		}
		if !geom.Outline(s.Points).Contains(centre) {
			outside++
		}
		if s.Energy > 1e-20 {
			t.Fatalf("energy %g", s.Energy)
		}
	}
	if outside < 20 {
		t.Errorf("the centre was outside only %d times", outside)
	}
}

// TestScaledRestIsTheScaledShape: the line scaled by k is the scaled line.
func TestScaledRestIsTheScaledShape(t *testing.T) {
	for _, dent := range []float64{0, 2, 6} {
		rest := ellipse(240, 20, 15, dent)
		for _, k := range []float64{0.4, 1, 1.3, 7} {
			p := Problem{LengthsMM: scaled(Lengths(rest), k), Rest: Turns(rest)}
			s := mustSolve(t, p)
			if !slices.Equal(s.Turns, p.Rest) || s.Energy != 0 || s.Iterations != 0 {
				t.Errorf("dent %g, scale %g: turnings changed by %g", dent, k, largestDifference(s.Turns, p.Rest))
			}
			want := make([]geom.Point, len(rest))
			for i, q := range rest {
				want[i] = geom.Point{X: k * q.X, Y: k * q.Y}
			}
			if miss := farthest(s.Aligned(want, nil), want); miss > 1e-12*k*20*10 {
				t.Errorf("dent %g, scale %g: %g mm off", dent, k, miss)
			}
		}
	}
}

// TestEllipsePerimeter: the perimeter of an ellipse is 4a E(e²). A chord of an arc
// of length s is shorter by at most κ²s³/24, and the curvature κ of an ellipse
// is at most a/b².
func TestEllipsePerimeter(t *testing.T) {
	const a, b, k = 20.0, 14.0, 0.8
	for _, n := range []int{60, 240, 400} {
		rest := ellipse(n, a, b, 0)
		s := mustSolve(t, Problem{LengthsMM: scaled(Lengths(rest), k), Rest: Turns(rest)})
		want := k * 4 * a * mathext.CompleteE(1-b*b/(a*a))
		longest := 2 * math.Pi * a * k / float64(n)
		curvature := a / (b * b) / k
		lack := want - s.PerimeterMM()
		if lack <= 0 || lack > want*curvature*curvature*longest*longest/24 {
			t.Errorf("n=%d: perimeter %.9g, that of the ellipse %.9g", n, s.PerimeterMM(), want)
		}
		area := math.Pi * a * b * k * k * math.Sin(2*math.Pi/float64(n)) * float64(n) / (2 * math.Pi)
		if math.Abs(s.AreaMM2()-area) > 1e-10*area {
			t.Errorf("n=%d: area %.12g, want %.12g", n, s.AreaMM2(), area)
		}
	}
}

// TestNearlyRestComesBack: the turnings rounded to 9 digits do not close, and the
// search has to bring the line back.
func TestNearlyRestComesBack(t *testing.T) {
	rest := ellipse(240, 20, 15, 6)
	rounded := Turns(rest)
	for i := range rounded {
		rounded[i] = math.Round(rounded[i]*1e9) / 1e9
	}
	s := mustSolve(t, Problem{LengthsMM: Lengths(rest), Rest: rounded})
	if miss := farthest(s.Aligned(rest, nil), rest); miss > 1e-6 || s.Iterations == 0 {
		t.Errorf("%g mm off after %d steps", miss, s.Iterations)
	}
}

// TestTurnAmissIsSpread: a square whose last turning is too large by a little closes
// by its other three, but its turnings have to add up to one turn.
func TestTurnAmissIsSpread(t *testing.T) {
	rest := slices.Repeat([]float64{math.Pi / 2}, 4)
	rest[3] += 0.5 * TurnTolerance
	s := mustSolve(t, Problem{LengthsMM: []float64{1, 1, 1, 1}, Rest: rest})
	if miss := largestDifference(s.Turns, rest); miss > TurnTolerance {
		t.Errorf("turnings %v", s.Turns)
	}
}

func TestEquilateral(t *testing.T) {
	for _, c := range []struct {
		n    int
		area float64
	}{{3, 9 * math.Sqrt(3) / 4}, {4, 9}, {6, 9 * 3 * math.Sqrt(3) / 2}} {
		turn := 2 * math.Pi / float64(c.n)
		p := Problem{LengthsMM: slices.Repeat([]float64{3}, c.n), Rest: slices.Repeat([]float64{turn}, c.n)}
		if s := mustSolve(t, p); math.Abs(s.AreaMM2()-c.area) > 1e-13*c.area {
			t.Errorf("n=%d: area %.15g, want %.15g", c.n, s.AreaMM2(), c.area)
		}
	}
}

// TestTriangleHasNoChoice: three lengths fix a triangle, whatever it was at rest.
func TestTriangleHasNoChoice(t *testing.T) {
	third := 2 * math.Pi / 3
	for _, rest := range [][]float64{{third, third, third}, {3, 3, 2*math.Pi - 6}, {0.2, 3, 2*math.Pi - 3.2}, nil} {
		s := mustSolve(t, Problem{LengthsMM: []float64{3, 4, 5}, Rest: rest})
		if math.Abs(s.AreaMM2()-6) > 1e-12 {
			t.Errorf("rest %v: area %.15g, want 6", rest, s.AreaMM2())
		}
		if math.Abs(s.Turns[0]-math.Pi/2) > 1e-12 {
			t.Errorf("rest %v: turns %g, want a right angle", rest, s.Turns[0])
		}
	}
}

// rectangle has sides divided into a number of elements each; turnings are zero
// but for the corners.
func rectangle(width, height float64, each int) Problem {
	var p Problem
	for _, side := range []float64{width, height, width, height} {
		for i := range each {
			p.LengthsMM = append(p.LengthsMM, side/float64(each))
			turn := 0.0
			if i == each-1 {
				turn = math.Pi / 2
			}
			p.Rest = append(p.Rest, turn)
		}
	}
	return p
}

func TestRectangleStaysRectangle(t *testing.T) {
	for _, each := range []int{1, 2, 15} {
		p := rectangle(13, 7, each)
		s := mustSolve(t, Problem{LengthsMM: rectangle(29, 7, each).LengthsMM, Rest: p.Rest})
		if !slices.Equal(s.Turns, p.Rest) || math.Abs(s.AreaMM2()-29*7) > 1e-11 {
			t.Errorf("%d elements a side: area %.15g, turnings %v", each, s.AreaMM2(), s.Turns)
		}
	}
}

// TestKiteByHand: a square whose two elements at one corner grow to length 2 while
// the others stay 1 must be a kite by symmetry. Its turnings α at the corner of the
// long sides, β at that of the short ones and γ at the others, α+β+2γ = 2π, leave
// one freedom, and the diagonal ties them: 2 cos(α/2) = cos(β/2), from
// 2 sin(inner/2) = half the diagonal. The least of the energy on that curve is
// sought by golden section.
func TestKiteByHand(t *testing.T) {
	square := slices.Repeat([]float64{math.Pi / 2}, 4)
	s := mustSolve(t, Problem{LengthsMM: []float64{1, 2, 2, 1}, Rest: square})
	turns := func(beta float64) (alpha, gamma float64) {
		alpha = 2 * math.Acos(math.Cos(beta/2)/2)
		return alpha, math.Pi - (alpha+beta)/2
	}
	energy := func(beta float64) float64 {
		alpha, gamma := turns(beta)
		bend := func(turn, share float64) float64 { return (turn - math.Pi/2) * (turn - math.Pi/2) / share }
		return bend(alpha, 2) + bend(beta, 1) + 2*bend(gamma, 1.5)
	}
	low, high := 0.0, math.Pi
	for range 200 {
		a, b := high-(high-low)/math.Phi, low+(high-low)/math.Phi
		if energy(a) < energy(b) {
			high = b
		} else {
			low = a
		}
	}
	alpha, gamma := turns(low)
	// Golden section finds the place to the root of the rounding.
	if miss := largestDifference(s.Turns, []float64{gamma, alpha, gamma, low}); miss > 1e-7 {
		t.Errorf("turnings %v, want %v %v %v", s.Turns, gamma, alpha, low)
	}
	if math.Abs(s.Energy-energy(low)) > 1e-14 {
		t.Errorf("energy %.16g, want %.16g", s.Energy, energy(low))
	}
}
