package contour

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

// Rounds is how often the feet of the points and the curve are found again, each from the other.
const Rounds = 2

// trace is a curve fitted to points. Its parameter is length, but for what the last round moved.
type trace struct {
	smoothing
	u    []float64 // the feet of the points; not wrapped, so that the last is less than a turn or so after the first
	miss []float64 // the points' distances from the curve
}

// follow fits a curve to points that have rough parameters.
func follow(at []geom.Vec, rough []float64) (trace, bool) {
	t := trace{u: append([]float64(nil), rough...), miss: make([]float64, len(at))}
	for range Rounds {
		var ok bool
		if t.smoothing, ok = smooth(at, t.u); !ok {
			return t, false
		}
		t.findFeet(at)
		along := newRuler(&t.loop)
		for i, u := range t.u {
			t.u[i] = 2 * math.Pi * along.to(u) / along.length()
		}
	}
	var ok bool
	if t.smoothing, ok = smooth(at, t.u); !ok {
		return t, false
	}
	t.findFeet(at)
	return t, true
}

func (t *trace) findFeet(at []geom.Vec) {
	for i, p := range at {
		t.u[i], t.miss[i] = t.loop.foot(p, t.u[i])
	}
}

// foot is the parameter at which the curve comes closest to p, near a first guess, and how close.
func (l *loop) foot(p geom.Vec, u float64) (at, distance float64) {
	const (
		longest  = 0.3  // of a step, in radians: a twentieth of the way round
		settled  = 1e-7 // of a step: Newton squares it, so that the next would be rounding
		patience = 20
	)
	for range patience {
		c, d, dd := l.bend(u)
		off := c.Sub(p)
		speed := d.Dot(d)
		curved := speed + dd.Dot(off)
		// Beyond the centre of curvature the foot is a maximum; speed alone still leads downhill.
		curved = math.Max(curved, speed/4)
		if !(curved > 0) {
			break
		}
		step := math.Max(-longest, math.Min(longest, -d.Dot(off)/curved))
		u += step
		if math.Abs(step) < settled {
			break
		}
	}
	return u, l.at(u).Distance(p)
}

// squares is the sum of the squared distances.
func (t *trace) squares() float64 {
	var sum float64
	for _, m := range t.miss {
		sum += m * m
	}
	return sum
}

// freedom is how many independent parts of the noise the distances hold: two of each point's three, since its foot takes
// the one along the curve, less those that the curve has followed.
func (t *trace) freedom() float64 { return 2 * (float64(len(t.u)) - t.effective) }

// noise is the estimated standard deviation of each coordinate.
func (t *trace) noise() float64 { return math.Sqrt(t.squares() / t.freedom()) }

// spread is how points lie about their mean: the principal axes and the standard deviations along them, longest first.
type spread struct {
	mean geom.Vec
	axis [3]geom.Vec
	size [3]float64
}

func spreadOf(at []geom.Vec, weight func(i int) float64) (spread, bool) {
	var s spread
	var total float64
	for i, p := range at {
		s.mean = s.mean.Add(p.Scale(weight(i)))
		total += weight(i)
	}
	s.mean = s.mean.Scale(1 / total)
	var sums [9]float64
	for i, p := range at {
		d, w := p.Sub(s.mean), weight(i)/total
		for k, v := range [9]float64{d.X * d.X, d.X * d.Y, d.X * d.Z, 0, d.Y * d.Y, d.Y * d.Z, 0, 0, d.Z * d.Z} {
			sums[k] += w * v
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(mat.NewSymDense(3, sums[:]), true) {
		return s, false
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for k, v := range eigen.Values(nil) {
		s.size[2-k] = math.Sqrt(math.Max(0, v))
		s.axis[2-k] = geom.Vec{X: vectors.At(0, k), Y: vectors.At(1, k), Z: vectors.At(2, k)}
	}
	return s, true
}

func alike(int) float64 { return 1 }

// plan is the points seen along the normal of their plane, about their mean.
func (s spread) plan(at []geom.Vec) []geom.Point {
	points := make([]geom.Point, len(at))
	for i, p := range at {
		d := p.Sub(s.mean)
		points[i] = geom.Point{X: d.Dot(s.axis[0]), Y: d.Dot(s.axis[1])}
	}
	return points
}

// angles are the directions of the points of a plan from its origin, followed without a jump and made to increase on
// the whole, and how often they go round.
func angles(plan []geom.Point) (u []float64, turns int) {
	u = make([]float64, len(plan))
	var sum float64
	for i, p := range plan {
		u[i] = sum
		q := plan[(i+1)%len(plan)]
		sum += math.Atan2(p.X*q.Y-p.Y*q.X, p.X*q.X+p.Y*q.Y)
	}
	turns = int(math.Round(sum / (2 * math.Pi)))
	if turns < 0 {
		turns = -turns
		for i := range u {
			u[i] = -u[i]
		}
	}
	return u, turns
}
