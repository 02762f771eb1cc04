package ring

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fairlead/atlas/geom"
)

func negated(values []float64) []float64 { return scaled(values, -1) }

func TestMirroredInputGivesTheMirroredShape(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for _, dent := range []float64{0, 6} {
		rest := ellipse(80, 20, 15, dent)
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		left := mustSolve(t, p)
		right := mustSolve(t, Problem{LengthsMM: p.LengthsMM, Rest: negated(p.Rest)})
		for i, q := range left.Points {
			if right.Points[i] != (geom.Point{X: q.X, Y: -q.Y}) || right.Turns[i] != -left.Turns[i] {
				t.Fatalf("dent %g, joint %d: %v and %v", dent, i, q, right.Points[i])
			}
		}
		if math.Signbit(right.Points[0].Y) || math.Signbit(right.Points[1].Y) {
			t.Error("the mirrored line starts at -0")
		}
		if left.Energy != right.Energy {
			t.Errorf("energies %g and %g", left.Energy, right.Energy)
		}
	}
}

func TestShiftedStartGivesTheSameShape(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	for range 60 {
		rest := convexRest(r, 12+r.IntN(100))
		stiff := make([]float64, len(rest))
		for i := range stiff {
			stiff[i] = 0.5 + r.Float64()
		}
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest), Stiffness: stiff}
		by := r.IntN(len(rest))
		q := Problem{LengthsMM: shifted(p.LengthsMM, by), Rest: shifted(p.Rest, by), Stiffness: shifted(stiff, by)}
		a, b := mustSolve(t, p), mustSolve(t, q)
		// Where the wall stands both are right to what it leaves open.
		if miss := largestDifference(shifted(a.Turns, by), b.Turns); miss > 1e-7 {
			t.Fatalf("n=%d shifted by %d: turnings differ by %g", len(rest), by, miss)
		}
		if math.Abs(a.Energy-b.Energy) > 1e-8*a.Energy {
			t.Fatalf("n=%d shifted by %d: energies %g and %g", len(rest), by, a.Energy, b.Energy)
		}
	}
}

func TestEqualInputGivesEqualOutput(t *testing.T) {
	rest := ellipse(120, 20, 15, 2)
	p := Problem{LengthsMM: cinched(Lengths(rest), 20, 50, 1.9), Rest: Turns(rest)}
	a, b := mustSolve(t, p), mustSolve(t, p)
	if !slices.Equal(a.Points, b.Points) {
		t.Error("two answers to one question")
	}
}

// TestConvexStaysConvex also counts how often the wall was needed, which is where
// the free minimum has a joint turning back.
func TestConvexStaysConvex(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	walled := 0
	for range 1500 {
		rest := convexRest(r, 4+r.IntN(120))
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		s := mustSolve(t, p)
		mustBalance(t, p, s)
		if slices.Min(s.Turns) < 1e-7 {
			walled++
		}
	}
	if walled < 50 {
		t.Errorf("the wall was needed only %d times", walled)
	}
}

// TestStraightSidesStayConvex: a rectangle has next to no room for convexity, as
// almost all its joints are straight at rest.
func TestStraightSidesStayConvex(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 4))
	for range 200 {
		p := rectangle(5+20*r.Float64(), 5+20*r.Float64(), 1+r.IntN(20))
		p.LengthsMM = segmentFactors(r, p.LengthsMM)
		mustBalance(t, p, mustSolve(t, p))
	}
}

// TestHollowShapes: lines that are not convex at rest.
func TestHollowShapes(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 5))
	solved := 0
	for range 300 {
		rest := ellipse(20+r.IntN(150), 20, 15, 3+6*r.Float64())
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		s, err := Solve(p)
		if err != nil {
			continue
		}
		mustFit(t, p, s)
		mustBalance(t, p, s)
		solved++
	}
	if solved < 290 {
		t.Errorf("only %d of 300 have a shape", solved)
	}
}

// mustBalance asks for the conditions of Karush, Kuhn and Tucker. There is a force
// f such that, from one joint to the next, the moment less the push of the wall
// changes by the lever of the element against f; the push is never negative, and
// push times turning is zero. The force is found by least squares from the elements
// between joints that turn well, where the wall is far. The wall leaves over a push
// times turning of about lowestWall, as a fraction of moment times turning; the
// force inherits the push of the joints that just count as turning well.
func mustBalance(t testing.TB, p Problem, s Shape) {
	t.Helper()
	n := len(s.Turns)
	m := moments(p, s)
	bounded := convex(p.Rest)
	const wellTurned = 1e-2
	far := func(i int) bool { return !bounded || s.Turns[i] > wellTurned }
	fx, fy, ok := balancingForce(p, s, m, far)
	if !ok {
		return
	}
	size := max(slices.Max(m), -slices.Min(m))
	start := indexOfLargest(s.Turns)
	carried := m[start]
	for k := 1; k <= n; k++ {
		i := (start + k) % n
		x, y := lever(s, i)
		carried += fx*x + fy*y
		push := m[i] - carried
		if push < -1e-6*size || push*min(max(s.Turns[i], 0), wellTurned) > 1e-9*size || !bounded && push > 1e-9*size {
			t.Fatalf("n=%d: joint %d turns by %g and is pushed by %g of %g", n, i, s.Turns[i], push, size)
		}
	}
}

// lever is the change of the closure with the heading of element i.
func lever(s Shape, i int) (x, y float64) {
	e := edge(s.Points, i)
	return -e.Y, e.X
}

// balancingForce solves m[i] - m[i-1] = f·lever(i) by least squares.
func balancingForce(p Problem, s Shape, m []float64, free func(int) bool) (fx, fy float64, ok bool) {
	var xx, xy, yy, bx, by float64
	n := len(m)
	for i := range m {
		before := (i + n - 1) % n
		if free(i) && free(before) {
			x, y := lever(s, i)
			xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
			bx, by = bx+x*(m[i]-m[before]), by+y*(m[i]-m[before])
		}
	}
	product := xx*yy - xy*xy
	if product < 1e-2*(xx+yy)*(xx+yy) {
		return 0, 0, false
	}
	return (yy*bx - xy*by) / product, (xx*by - xy*bx) / product, true
}

// TestFreeMinimumBalancesToRounding is mustBalance without the wall's allowance.
func TestFreeMinimumBalancesToRounding(t *testing.T) {
	for _, n := range []int{60, 240, 400} {
		for _, factor := range []float64{0.4, 0.9, 1.3} {
			rest := ellipse(n, 20, 15, 0)
			p := Problem{LengthsMM: cinched(Lengths(rest), n/8, n/3, factor), Rest: Turns(rest)}
			s := mustSolve(t, p)
			m := moments(p, s)
			fx, fy, _ := balancingForce(p, s, m, func(int) bool { return true })
			for i := range m {
				x, y := lever(s, i)
				before := m[(i+n-1)%n]
				if miss := math.Abs(m[i] - before - fx*x - fy*y); miss > 1e-12 {
					t.Fatalf("n=%d, factor %g: element %d is out of balance by %g (moments %g)", n, factor, i, miss, m[i])
				}
			}
		}
	}
}

// TestNoNeighbourHasLessEnergy turns the headings of the answer a little, closes
// the chain again by its own means and compares.
func TestNoNeighbourHasLessEnergy(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 6))
	for range 40 {
		rest := convexRest(r, 5+r.IntN(60))
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		s := mustSolve(t, p)
		round := inscribed(p.LengthsMM)
		higher := 0
		for range 200 {
			turns, ok := neighbour(r, p.LengthsMM, s.Turns, round, math.Pow(10, -4+3*r.Float64()))
			if !ok {
				continue
			}
			higher++
			if e := energyOf(p, turns); e < s.Energy*(1-1e-8) {
				t.Fatalf("n=%d: energy %.12g, a neighbour has %.12g", len(rest), s.Energy, e)
			}
		}
		if higher < 100 {
			t.Errorf("n=%d: only %d neighbours to compare with", len(rest), higher)
		}
	}
}

func energyOf(p Problem, turns []float64) float64 {
	total := 0.0
	for i, m := range moments(p, Shape{Turns: turns}) {
		total += m * (turns[i] - p.Rest[i])
	}
	return total
}

// neighbour goes a fraction of the way to the round polygon, which leaves the
// bounds, turns every heading at random by less than that leaves room for, and
// closes the chain by equal and opposite torques (a least-squares correction of
// the headings). It answers false if that is not convex.
func neighbour(r *rand.Rand, lengths, turns, round []float64, fraction float64) ([]float64, bool) {
	n := len(turns)
	heading := make([]float64, n)
	for i := 1; i < n; i++ {
		heading[i] = heading[i-1] + (1-fraction)*turns[i-1] + fraction*round[i-1]
	}
	for i := range heading {
		heading[i] += 0.2 * fraction * (r.Float64() - 0.5) * 2 * math.Pi / float64(n)
	}
	if !closeByLeastSquares(lengths, heading) {
		return nil, false
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = heading[(i+1)%n] - heading[i]
	}
	out[n-1] += 2 * math.Pi
	return out, slices.Min(out) >= 0
}

func closeByLeastSquares(lengths, heading []float64) bool {
	for range 30 {
		var gapX, gapY, xx, xy, yy float64
		for i, h := range heading {
			sin, cos := math.Sincos(h)
			l := lengths[i]
			gapX, gapY = gapX+l*cos, gapY+l*sin
			xx, xy, yy = xx+l*l*sin*sin, xy-l*l*sin*cos, yy+l*l*cos*cos
		}
		if math.Hypot(gapX, gapY) < 1e-13*sum(lengths) {
			return true
		}
		product := xx*yy - xy*xy
		fx, fy := (yy*gapX-xy*gapY)/product, (xx*gapY-xy*gapX)/product
		for i, h := range heading {
			sin, cos := math.Sincos(h)
			heading[i] -= lengths[i] * (cos*fy - sin*fx)
		}
	}
	return false
}

// TestStiffPartKeepsItsTurning: with a part k times as stiff, its turnings change
// by a k-th, in the limit.
func TestStiffPartKeepsItsTurning(t *testing.T) {
	rest := ellipse(120, 20, 15, 0)
	const from, to = 70, 100
	change := func(k float64) float64 {
		stiff := cinched(slices.Repeat([]float64{1}, 120), from, to, k)
		p := Problem{LengthsMM: cinched(Lengths(rest), 10, 40, 0.7), Rest: Turns(rest), Stiffness: stiff}
		s := mustSolve(t, p)
		return largestDifference(s.Turns[from:to], p.Rest[from:to])
	}
	one, thousand, tenThousand := change(1), change(1e3), change(1e4)
	if one < 1e-3 || thousand > one/100 {
		t.Errorf("turnings change by %g, a thousand times as stiff by %g", one, thousand)
	}
	if ratio := thousand / tenThousand; math.Abs(ratio-10) > 0.1 {
		t.Errorf("ten times as stiff, the change is divided by %g", ratio)
	}
}

// TestHingesTakeTheTurning: joints without stiffness give way and the others do
// not have to. Five hinges among 40 joints leave 2 freedoms more than closure
// asks for, so that all other joints keep their turning.
func TestHingesTakeTheTurning(t *testing.T) {
	rest := ellipse(40, 20, 15, 0)
	stiff := slices.Repeat([]float64{1}, 40)
	for _, i := range []int{3, 11, 19, 27, 35} {
		stiff[i] = 0
	}
	p := Problem{LengthsMM: cinched(Lengths(rest), 5, 15, 0.95), Rest: Turns(rest), Stiffness: stiff}
	s := mustSolve(t, p)
	for i, turn := range s.Turns {
		if change := math.Abs(turn - p.Rest[i]); stiff[i] > 0 && change > 1e-8 {
			t.Errorf("joint %d changes by %g beside hinges", i, change)
		}
	}
	if s.Energy > 1e-15 {
		t.Errorf("energy %g", s.Energy)
	}
}

// TestOnlyRatiosOfStiffnessCount, and nil means equal.
func TestOnlyRatiosOfStiffnessCount(t *testing.T) {
	rest := ellipse(60, 20, 15, 0)
	p := Problem{LengthsMM: cinched(Lengths(rest), 10, 30, 0.6), Rest: Turns(rest)}
	plain := mustSolve(t, p)
	p.Stiffness = slices.Repeat([]float64{4}, 60)
	scaledUp := mustSolve(t, p)
	if !slices.Equal(plain.Points, scaledUp.Points) {
		t.Error("four times as stiff all round is another shape")
	}
	if math.Abs(scaledUp.Energy-4*plain.Energy) > 1e-14 {
		t.Errorf("energy %g, want four times %g", scaledUp.Energy, plain.Energy)
	}
}

// TestFinerDivisionChangesLittle: the energy approaches that of a rod, with an
// error that falls by four when the elements are halved.
func TestFinerDivisionChangesLittle(t *testing.T) {
	energy := func(n int) float64 {
		rest := ellipse(n, 20, 15, 0)
		return mustSolve(t, Problem{LengthsMM: cinched(Lengths(rest), 0, n/4, 0.7), Rest: Turns(rest)}).Energy
	}
	a, b, c := energy(60), energy(120), energy(240)
	if ratio := (b - a) / (c - b); math.Abs(ratio-4) > 1.5 {
		t.Errorf("energies %g, %g, %g: differences in the ratio %g", a, b, c, ratio)
	}
}

// TestWildProblemsSettle: lengths that differ a thousandfold from one element to
// the next, and stiffness over all its range.
func TestWildProblemsSettle(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 7))
	for range 400 {
		rest := convexRest(r, 4+r.IntN(100))
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		p.Stiffness = make([]float64, len(rest))
		for i := range rest {
			p.LengthsMM[i] *= math.Pow(10, -3*r.Float64())
			p.Stiffness[i] = math.Pow(10, -9*r.Float64())
		}
		if checkLengths(p.LengthsMM) == nil {
			mustSolve(t, p)
		}
	}
}

// TestFewSteps: that Newton's method converges as it should, which the answer alone
// does not show.
func TestFewSteps(t *testing.T) {
	for _, factor := range []float64{0.2, 0.4, 0.9, 2} {
		rest := ellipse(240, 20, 15, 0)
		p := Problem{LengthsMM: cinched(Lengths(rest), 30, 90, factor), Rest: Turns(rest)}
		if s := mustSolve(t, p); s.Iterations > 9 {
			t.Errorf("factor %g: %d steps", factor, s.Iterations)
		}
	}
	p := rectangle(40, 30, 60)
	p.LengthsMM = cinched(p.LengthsMM, 0, 60, 0.6)
	if s := mustSolve(t, p); s.Iterations > 21 {
		t.Errorf("against the wall: %d steps", s.Iterations)
	}
}

// TestEveryStepIsDownhill goes from the circle to lines that are anything but round.
func TestEveryStepIsDownhill(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	steps := 0
	for range 1500 {
		rest := ellipse(4+r.IntN(30), 20, 15, 12*r.Float64())
		p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
		if p.check() != nil {
			continue
		}
		s := newSearch(newChain(p))
		s.fromCircle()
		for s.aim() && s.system.longestStep() > sureStep {
			if _, ok := s.stride(); !ok {
				break
			}
			if !(s.energy(s.next) < s.energy(s.here)) {
				t.Fatalf("n=%d: energy goes from %g to %g", len(rest), s.energy(s.here), s.energy(s.next))
			}
			s.accept()
			steps++
		}
	}
	if steps < 3000 {
		t.Errorf("only %d steps", steps)
	}
}
