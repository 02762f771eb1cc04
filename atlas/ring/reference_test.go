package ring

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas/geom"
)

// linkage is a chain whose first n-3 turnings are given and whose last two elements
// close it, which they can do with the elbow on either side. So n-3 numbers describe
// all closed chains, without multipliers or derivatives, and a grid can be laid over
// them, whose edge is the bound for these turnings. It shares no step with Solve.
type linkage struct {
	p       Problem
	bounded bool
}

// energy is the least of both elbows, +Inf if they do not reach or if the chain is
// out of bounds or does not turn once.
func (l linkage) energy(turns []float64) float64 {
	n := len(l.p.LengthsMM)
	all := make([]float64, n)
	for i, turn := range turns {
		all[i+1] = all[i] + turn
	}
	var x, y float64
	for i := range n - 2 {
		x += l.p.LengthsMM[i] * math.Cos(all[i])
		y += l.p.LengthsMM[i] * math.Sin(all[i])
	}
	a, b, reach := l.p.LengthsMM[n-2], l.p.LengthsMM[n-1], math.Hypot(x, y)
	// The angle at the end of the way back, by the law of cosines.
	cos := (a*a + reach*reach - b*b) / (2 * a * reach)
	if !(math.Abs(cos) <= 1) {
		return math.Inf(1)
	}
	back, least := math.Atan2(-y, -x), math.Inf(1)
	for _, side := range []float64{-1, 1} {
		all[n-2] = back + side*math.Acos(cos)
		ex, ey := x+a*math.Cos(all[n-2]), y+a*math.Sin(all[n-2])
		all[n-1] = math.Atan2(-ey, -ex)
		least = min(least, l.energyOfHeadings(all))
	}
	return least
}

func (l linkage) energyOfHeadings(headings []float64) float64 {
	n := len(headings)
	turns, total := make([]float64, n), 0.0
	for i := range turns {
		turns[i] = math.Remainder(headings[(i+1)%n]-headings[i], 2*math.Pi)
		if l.bounded && turns[i] < 0 {
			return math.Inf(1)
		}
		total += turns[i]
	}
	if math.Abs(total-2*math.Pi) > 1e-6 {
		return math.Inf(1)
	}
	return energyOf(l.p, turns)
}

// least moves a grid to its lowest point, round after round, and makes it finer
// when there is none lower than its centre.
func (l linkage) least(centre []float64, width float64, perSide, rounds int) ([]float64, float64) {
	best := l.energy(centre)
	for range rounds {
		before := best
		at := append([]float64(nil), centre...)
		trial := make([]float64, len(centre))
		var visit func(k int)
		visit = func(k int) {
			if k == len(trial) {
				if e := l.energy(trial); e < best {
					best = e
					copy(centre, trial)
				}
				return
			}
			for i := -perSide; i <= perSide; i++ {
				trial[k] = at[k] + width*float64(i)/float64(perSide)
				if l.bounded {
					trial[k] = max(0, trial[k])
				}
				visit(k + 1)
			}
		}
		visit(0)
		if best == before {
			width *= 0.6
		}
	}
	return centre, best
}

// straightened is a triangle whose first side has straight joints in it.
func straightened(r *rand.Rand, n int) []geom.Point {
	corners := convexRest(r, 3)
	side := edge(corners, 0)
	points := []geom.Point{corners[0]}
	for i := 1; i <= n-3; i++ {
		part := float64(i) / float64(n-2)
		points = append(points, geom.Point{X: points[0].X + part*side.X, Y: points[0].Y + part*side.Y})
	}
	return append(points, corners[1:]...)
}

// TestAgainstAGrid compares small rings with the lowest point of a grid over all
// closed chains, bounds included. Solve must not be higher, and as a grid is no
// more exact than its last width allows, not lower by much.
func TestAgainstAGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	bounded := 0
	for _, c := range []struct{ n, problems, perSide, rounds int }{{4, 40, 40, 50}, {5, 20, 12, 60}, {6, 6, 6, 60}} {
		for k := range c.problems {
			rest := convexRest(r, c.n)
			if k%2 == 0 {
				rest = straightened(r, c.n)
			}
			p := Problem{LengthsMM: segmentFactors(r, Lengths(rest)), Rest: Turns(rest)}
			s := mustSolve(t, p)
			l := linkage{p, true}
			start := make([]float64, c.n-3)
			for i := range start {
				start[i] = 2 * math.Pi / float64(c.n)
			}
			_, lowest := l.least(start, math.Pi, c.perSide, c.rounds)
			if s.Energy > lowest*(1+1e-7) || s.Energy < lowest*(1-1e-6) {
				t.Errorf("n=%d: energy %.10g, on the grid %.10g (lengths %v, rest %v)", c.n, s.Energy, lowest, p.LengthsMM, p.Rest)
			}
			for _, turn := range s.Turns {
				if turn < 1e-8 {
					bounded++
					break
				}
			}
		}
	}
	if bounded < 3 {
		t.Errorf("only %d of the problems meet a bound", bounded)
	}
}

// TestAgainstAGridHollow does it for a line that is hollow at rest, an arrow.
func TestAgainstAGridHollow(t *testing.T) {
	rest := []float64{2.4, -1, 2.4, 2*math.Pi - 3.8}
	for _, lengths := range [][]float64{{3, 1.4, 1.5, 3}, {3, 2, 1.5, 2.8}, {2, 1, 1, 2}} {
		p := Problem{LengthsMM: lengths, Rest: rest}
		s := mustSolve(t, p)
		_, lowest := linkage{p, false}.least([]float64{2.4}, math.Pi, 400, 50)
		if math.Abs(s.Energy-lowest) > 1e-7*lowest {
			t.Errorf("lengths %v: energy %.10g, on the grid %.10g", lengths, s.Energy, lowest)
		}
	}
}
