package contour

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas/geom"
)

const (
	// goodTaken is the chance with which a good point may be taken for a stray one: that of a distance beyond 6 standard
	// deviations in two directions, once in 130,000 contours of 500 points.
	goodTaken = 1.5e-8

	// suspect is the distance, in standard deviations, from which a fit without the point is worth its time.
	suspect = 4.0

	// strayAtLeast is what counts as far off in any case, as a part of the perimeter: 2 mm of 105 mm.
	strayAtLeast = 0.02

	// median2 is the median of the length of two independent standard normal parts, √(2 log 2).
	median2 = 1.1774100225154747

	// medianWorth is how much of the data a median uses, against a mean square: about 0.4 of it.
	medianWorth = 0.4

	mostStrays = 5

	// loneStrays is how many points out of order may be strays. More of them are a part of the contour that crosses back.
	loneStrays = 2
)

// A stray is a point far off the curve through all others.
type stray struct {
	point       int
	off, sigmas float64 // the distance, in the fit's unit and in standard deviations
}

// strays finds the points that lie far off the curve through all others, the farthest first. Where points are few, a
// stray one must lie farther off to be told, since little is known of how far the others scatter.
func (f *fitting) strays() (found []stray) {
	left := make([]int, len(f.at))
	for i := range left {
		left[i] = i
	}
	t := f.trace
	for range mostStrays {
		i, ok := t.oddest()
		if !ok || len(left) < FewestPoints {
			break
		}
		rest := slices.Delete(slices.Clone(left), i, i+1)
		without, ok := f.only(rest)
		if !ok {
			break
		}
		off, sigmas, far := without.farOff(f.at[left[i]])
		if !far {
			break
		}
		found = append(found, stray{left[i], off, sigmas})
		left, t = rest, without
	}
	return found
}

func (f *fitting) reportStrays(found []stray) {
	for _, s := range found {
		f.add(f.points.line(s.point), fmt.Sprintf("the point lies %s off the curve through all others, %s", mm(s.off*f.unit), times(s.sigmas)),
			"points on the rim", "measure it again or take it out")
	}
}

// times says how many standard deviations.
func times(sigmas float64) string {
	if sigmas > 99 {
		return "more than 99 times their scatter"
	}
	return fmt.Sprintf("%.0f times their scatter", sigmas)
}

// only fits a curve to some of the points.
func (f *fitting) only(some []int) (trace, bool) {
	at := make([]geom.Vec, len(some))
	for k, i := range some {
		at[k] = f.at[i]
	}
	u, turns := angles(f.spread.plan(at))
	if turns != 1 {
		return trace{}, false
	}
	return follow(at, u)
}

// standard are the points' distances, each over how far, in units of the noise, it can be expected to be; and the
// standard deviation of the noise that their median tells of, which a few stray points do not move.
func (t *trace) standard() (standard []float64, sigma float64) {
	lever := t.lever(len(t.u))
	for i, u := range t.u {
		// Where the fit meets a point, both its distance and what is left of 1 - lever shrink together.
		standard = append(standard, t.miss[i]/math.Sqrt(math.Max(1-lever(u), 1e-12)))
	}
	return standard, median(standard) / median2
}

func median(of []float64) float64 {
	sorted := slices.Sorted(slices.Values(of))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// oddest is the point with the largest distance for its place, if that is worth a closer look.
func (t *trace) oddest() (int, bool) {
	standard, sigma := t.standard()
	worst := 0
	for i, s := range standard {
		if s > standard[worst] {
			worst = i
		}
	}
	return worst, standard[worst] > suspect*sigma
}

// farOff reports how far a point that was left out lies off the curve, in all and in standard deviations of what could
// be foretold, and whether that is beyond chance. With ν degrees of freedom for the noise, a distance in two
// directions exceeds q standard deviations with the chance (1 + q²/ν)^(-ν/2).
func (t *trace) farOff(p geom.Vec) (off, sigmas float64, far bool) {
	u, off := t.loop.footAnywhere(p)
	_, sigma := t.standard()
	lever := t.lever(len(t.u))
	sigmas = off / (sigma * math.Sqrt(1+lever(u)))
	freedom := medianWorth * 2 * float64(len(t.u))
	limit := math.Sqrt(freedom * (math.Pow(goodTaken, -2/freedom) - 1))
	return off, sigmas, sigmas > limit && off > strayAtLeast*newRuler(&t.loop).length()
}

// footAnywhere is the foot of p on the curve without a first guess.
func (l *loop) footAnywhere(p geom.Vec) (u, distance float64) {
	const tries = 64
	least := math.Inf(1)
	for i := range tries {
		v := 2 * math.Pi * float64(i) / tries
		if d := l.at(v).Distance(p); d < least {
			u, least = v, d
		}
	}
	return l.foot(p, u)
}
