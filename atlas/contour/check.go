package contour

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas/geom"
)

// What a contour must be, to be a rim.
const (
	ShortestMM = 20.0  // round the smallest rim
	LongestMM  = 400.0 // round the largest
	usualMM    = 105.0

	// MostGap is the largest part of the perimeter without a point.
	MostGap = 1.0 / 3

	// MostNoiseMM is the largest scatter of the points: three times what imaging is expected to bring.
	MostNoiseMM = 3.0

	samePlace  = 1e-6 // of the spread, between neighbours that are one point
	narrowest  = 0.2  // of the spread across to the spread along: an ellipse five times as long as wide
	tallest    = 0.6  // of the spread out of the plane to the spread across
	planPoints = 120  // that stand for the curve in the search for crossings
	smallLoop  = 0.03 // of the perimeter: a loop that noise ties between close points
)

// wellFormed checks what must hold before anything can be reckoned.
func (f *fitting) wellFormed() bool {
	p := &f.points
	if n := len(p.At); n < FewestPoints || n > MostPoints {
		f.add(p.line(0), fmt.Sprintf("the contour has %s", count(n, "point")), fmt.Sprintf("%d to %d", FewestPoints, MostPoints), "")
		return false
	}
	for i, v := range p.At {
		if !within(v) {
			f.add(p.line(i), fmt.Sprintf("the point is at %g, %g, %g", v.X, v.Y, v.Z), fmt.Sprintf("numbers in mm between %.0f and %.0f", -geom.Reach, geom.Reach), "")
		}
	}
	if p.Atrium != nil && !within(*p.Atrium) {
		f.add(p.atriumLine(), fmt.Sprintf("the atrium point is at %g, %g, %g", p.Atrium.X, p.Atrium.Y, p.Atrium.Z), fmt.Sprintf("numbers in mm between %.0f and %.0f", -geom.Reach, geom.Reach), "")
	}
	for k, i := range p.Landmark {
		if i < 0 || i >= len(p.At) || i == p.Landmark[(k+1)%3] {
			f.add(p.line(0), "the "+commissures[k]+" commissure is no point of its own", "three different points", "")
		}
	}
	return len(f.problems) == 0 && f.spreadOut()
}

func within(v geom.Vec) bool {
	return math.Abs(v.X) <= geom.Reach && math.Abs(v.Y) <= geom.Reach && math.Abs(v.Z) <= geom.Reach
}

// spreadOut brings the points to one scale and refuses those that are one point, one line or no plane.
func (f *fitting) spreadOut() bool {
	p := &f.points
	s, ok := spreadOf(p.At, alike)
	f.unit = math.Sqrt(s.size[0]*s.size[0] + s.size[1]*s.size[1] + s.size[2]*s.size[2])
	if !ok || !(f.unit > 1e-6) {
		f.add(p.line(0), "all points lie in one place", "points around a rim", "")
		return false
	}
	f.spread = s
	for _, v := range p.At {
		f.at = append(f.at, v.Sub(s.mean).Scale(1/f.unit))
	}
	f.mean, f.spread.mean = s.mean, geom.Vec{}
	distinct := f.distinct()
	if s.size[1] < narrowest*s.size[0] {
		f.add(p.line(0), fmt.Sprintf("the points lie almost on one line: they spread %.0f times as far along it as across", s.size[0]/math.Max(s.size[1], s.size[0]/999)),
			"points all around a rim", "take points on the opposite side too")
		return false
	}
	if s.size[2] > tallest*s.size[1] {
		f.add(p.line(0), "the points lie in no plane: they spread nearly as far out of it as across", "a rim, which is nearly flat", "look for points of another structure among them")
		return false
	}
	return distinct
}

// distinct refuses points that repeat the one before.
func (f *fitting) distinct() bool {
	ok := true
	n := len(f.at)
	for i := range f.at {
		next := (i + 1) % n
		if f.at[i].Distance(f.at[next]) > samePlace {
			continue
		}
		ok = false
		if next == 0 {
			f.add(f.points.line(i), "the last point is the first once more", "each point once", "take the last row out: the contour closes by itself")
			continue
		}
		f.add(f.points.line(next), "the point is the one before once more", "each point once", "take one of the two rows out")
	}
	return ok
}

// roundOnce refuses points that do not go once round their own middle.
func (f *fitting) roundOnce() bool {
	plan := f.spread.plan(f.at)
	_, turns := angles(plan)
	if turns == 1 {
		return true
	}
	if i, j, ok := crossing(plan); ok {
		f.crossed(i, j)
		return false
	}
	f.add(f.points.line(0), fmt.Sprintf("the contour goes %d times round its own middle", turns), "once", "give the points in order around the rim")
	return false
}

func (f *fitting) crossed(i, j int) {
	n := len(f.at)
	f.add(f.points.line(j), fmt.Sprintf("the contour crosses itself: the way from line %d to line %d crosses the way from line %d to line %d",
		f.points.line(i).Line, f.points.line((i+1)%n).Line, f.points.line(j).Line, f.points.line((j+1)%n).Line),
		"a curve that seen along its axis does not cross itself", "give the points in order around the rim")
}

func (f *fitting) gap(i int, wide, perimeter float64) {
	n := len(f.at)
	f.add(f.points.line((i+1)%n), fmt.Sprintf("there is no point for %s from line %d to here", mm(wide), f.points.line(i).Line),
		fmt.Sprintf("no gap above a third of the perimeter of %s", mm(perimeter)), "add points in between")
}

// crossing finds two edges of a polygon that cross, those farthest from each other along it: noise makes neighbours cross.
func crossing(plan []geom.Point) (i, j int, ok bool) {
	n := len(plan)
	left := func(a int) float64 { return min(plan[a].X, plan[(a+1)%n].X) }
	right := func(a int) float64 { return max(plan[a].X, plan[(a+1)%n].X) }
	edges := make([]int, n)
	for a := range edges {
		edges[a] = a
	}
	slices.SortFunc(edges, func(a, b int) int { return cmp.Or(cmp.Compare(left(a), left(b)), cmp.Compare(a, b)) })
	most := 1
	for k, a := range edges {
		for _, b := range edges[k+1:] {
			if left(b) > right(a) {
				break // as do all that follow
			}
			apart := min(max(a-b, b-a), n-max(a-b, b-a))
			if apart > most && cross(plan[a], plan[(a+1)%n], plan[b], plan[(b+1)%n]) {
				i, j, ok, most = min(a, b), max(a, b), true, apart
			}
		}
	}
	return i, j, ok
}

// cross reports whether two segments cross in their inside.
func cross(a, b, c, d geom.Point) bool {
	side := func(a, b, p geom.Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// ordered checks that the points follow one another round a curve that does not cross itself, without strays and wide
// gaps between them. What comes after is not believed otherwise.
func (f *fitting) ordered() bool {
	before := len(f.problems)
	length := f.lengthMM()
	if !f.uncrossed() {
		return false
	}
	back, strays := f.backSteps(length), f.strays()
	switch {
	case len(back) > 0 && (len(strays) == 0 || len(strays) > loneStrays):
		f.reportBack(back, length)
	case len(strays) > 0:
		f.reportStrays(strays)
	default:
		f.checkGaps(length)
	}
	return len(f.problems) == before
}

// plausible checks the size of the curve and the scatter of the points.
func (f *fitting) plausible() {
	length := f.lengthMM()
	if length < ShortestMM || length > LongestMM {
		f.wrongUnits(length)
	} else if noise := f.unit * f.trace.noise(); noise > MostNoiseMM {
		f.add(f.points.line(0), fmt.Sprintf("the points scatter by %s about any smooth rim", mm(noise)), "at most "+mm(MostNoiseMM), "look for points out of order or off the rim")
	}
}

// wrongUnits names the unit that would make the length that of a rim.
func (f *fitting) wrongUnits(length float64) {
	best, unit := 0.0, ""
	for _, u := range []struct {
		name   string
		factor float64
	}{{"metres", 1000}, {"centimetres", 10}, {"tenths of a millimetre", 0.1}, {"micrometres", 0.001}} {
		l := length * u.factor
		if l < ShortestMM || l > LongestMM {
			continue
		}
		if best == 0 || math.Abs(math.Log(l/usualMM)) < math.Abs(math.Log(length*best/usualMM)) {
			best, unit = u.factor, u.name
		}
	}
	mend := "give the coordinates in mm"
	if best != 0 {
		mend = fmt.Sprintf("are these %s? multiplied by %g they would make %s", unit, best, mm(length*best))
	}
	f.add(f.points.line(0), fmt.Sprintf("the perimeter is %s", mm(length)), fmt.Sprintf("%.0f to %.0f mm", ShortestMM, LongestMM), mend)
}

func (f *fitting) checkGaps(length float64) {
	u := f.trace.u
	for i := range u {
		if gap := f.step(i) / (2 * math.Pi); gap > MostGap {
			f.gap(i, gap*length, length)
		}
	}
}

// step is the parameter from a point to the next.
func (f *fitting) step(i int) float64 {
	u := f.trace.u
	if i+1 < len(u) {
		return u[i+1] - u[i]
	}
	return u[0] + 2*math.Pi - u[i]
}

// backSteps are the points after which the next one lies farther back than noise brings about. The difference of two
// noises is √2 times as wide as one; five times that is met once in three million steps.
func (f *fitting) backSteps(length float64) (back []int) {
	allowed := 0.005*length + 5*math.Sqrt2*f.unit*f.trace.noise()
	for i := range f.trace.u {
		if -f.step(i)/(2*math.Pi)*length > allowed {
			back = append(back, i)
		}
	}
	return back
}

// reportBack says that the contour crosses itself, or where it steps back if it does not quite cross.
func (f *fitting) reportBack(back []int, length float64) {
	if i, j, ok := crossing(f.spread.plan(f.at)); ok {
		f.crossed(i, j)
		return
	}
	for _, i := range back {
		f.add(f.points.line((i+1)%len(f.at)), fmt.Sprintf("the contour doubles back on itself: this point lies %s behind the one in line %d", mm(-f.step(i)/(2*math.Pi)*length), f.points.line(i).Line),
			"points in order around the rim", "put the rows in order")
	}
}

// uncrossed refuses a curve that crosses itself seen along its axis.
//
// The fit begins with the directions of the points from their middle, which takes a small loop, run through beside the
// rim, for scatter. So where the polygon of the points closes such a loop, a fit that begins with chords is asked too.
// The loops that noise ties disappear in that fit as in the other.
func (f *fitting) uncrossed() bool {
	plan := f.spread.plan(f.at)
	i, j, looped := crossing(plan)
	if looped && loopShare(plan, i, j) > smallLoop {
		if t, ok := follow(f.at, chordParameters(f.at)); ok && f.crosses(&t.loop) {
			f.crossed(i, j)
			return false
		}
	}
	if !f.crosses(&f.trace.loop) {
		return true
	}
	f.add(f.points.line(0), "the curve through the points crosses itself", "a curve that seen along its axis does not cross itself", "look for points out of order or off the rim")
	return false
}

// crosses reports whether a curve crosses itself seen along the axis of the points.
func (f *fitting) crosses(l *loop) bool {
	at := make([]geom.Vec, planPoints)
	for i := range at {
		at[i] = l.at(2 * math.Pi * float64(i) / planPoints)
	}
	return geom.Outline(f.spread.plan(at)).CrossesSelf()
}

// loopShare is the part of a polygon's perimeter in the smaller of the two loops that two crossing edges close.
func loopShare(plan []geom.Point, i, j int) float64 {
	var inside, total float64
	for k, p := range plan {
		q := plan[(k+1)%len(plan)]
		step := math.Hypot(q.X-p.X, q.Y-p.Y)
		total += step
		if k >= i && k < j {
			inside += step
		}
	}
	return math.Min(inside, total-inside) / total
}

// chordParameters are the points' places along the polygon through them.
func chordParameters(at []geom.Vec) []float64 {
	u := make([]float64, len(at))
	var sum float64
	for i, p := range at {
		u[i] = sum
		sum += p.Distance(at[(i+1)%len(at)])
	}
	for i := range u {
		u[i] *= 2 * math.Pi / sum
	}
	return u
}
