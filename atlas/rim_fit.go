package atlas

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

// target is a size the rim shall have and how closely it is held: the share of itself that counts as one unit of
// misfit. The sizes of one rim bind each other (a closed curve of 105 mm can only hold so much area), so the fit
// weighs them; a measured size is held tighter than one taken from the usual adult.
type target struct{ size, tolerance float64 }

// rimTargets are the sizes the fit is to reach, mm and mm2.
type rimTargets struct {
	length, long, short, area, chord, height target
	anterior, posterior, septal              float64 // laid off in proportion to each other
	septalHeld                               bool    // the septal segment is measured: exactly its length
}

// The shape is sought among curves that mirror themselves in plan across the septal–lateral line and turn over
// across it in height. That puts the saddle's highest point by the anteroseptal and its lowest by the
// posteroseptal commissure:
//
//	x = −a sin t    y = −Σ b_k cos kt    z = Σ c_k sin kt
//
// with t = 0 in the middle of the septal segment, running clockwise. Higher harmonics of x would only change how
// fast t runs. Nothing finer is known of the rim, so nothing finer is drawn.
const (
	planHarmonics   = 4
	heightHarmonics = 5
	firstPlan       = 1
	firstHeight     = firstPlan + planHarmonics
	shapeUnknowns   = firstHeight + heightHarmonics
	shapeSamples    = 64
	shapeResiduals  = 7 + 1 + shapeUnknowns
)

// rimShape holds a, b_1…b_4, c_1…c_5 in mm.
type rimShape [shapeUnknowns]float64

// waves holds sin kt and cos kt at the samples.
type waves [shapeSamples][heightHarmonics]struct{ sin, cos float64 }

func newWaves() *waves {
	var w waves
	for i := range w {
		for k := range w[i] {
			w[i][k].sin, w[i][k].cos = math.Sincos(2 * math.Pi * float64(i*(k+1)) / shapeSamples)
		}
	}
	return &w
}

// at is the shape's point and derivative at t.
func (s *rimShape) at(t float64) (p, d geom.Vec) {
	for k := range heightHarmonics {
		sin, cos := math.Sincos(float64(k+1) * t)
		s.add(k, sin, cos, &p, &d)
	}
	return p, d
}

// add adds the harmonic of index k (that is, the k+1st) to a point and a derivative.
func (s *rimShape) add(k int, sin, cos float64, p, d *geom.Vec) {
	n := float64(k + 1)
	if k == 0 {
		p.X, d.X = -s[0]*sin, -s[0]*cos
	}
	if k < planHarmonics {
		b := s[firstPlan+k]
		p.Y, d.Y = p.Y-b*cos, d.Y+n*b*sin
	}
	c := s[firstHeight+k]
	p.Z, d.Z = p.Z+c*sin, d.Z+n*c*cos
}

// fitRim finds the shape whose sizes come nearest their targets, by damped Newton steps from the ellipse of the two
// axes. Targets may contradict each other, so misfits stay and their curvature matters: Gauss–Newton, which leaves
// it out, needs some hundred steps where this needs ten. The caller compares what came out with what was asked.
func fitRim(g rimTargets) (*Rim, error) {
	w := newWaves()
	shape := firstShape(g)
	cost := shape.cost(g, w)
	slope := shape.slope(g, w)
	damping := 1e-2
	for range 60 {
		step, err := slope.step(damping)
		if err != nil {
			return nil, err
		}
		next := shape.moved(step)
		trial := next.cost(g, w)
		if !(trial < cost) {
			if damping *= 10; damping > 1e8 {
				break
			}
			continue
		}
		gain := cost - trial
		shape, cost, damping = next, trial, damping/20
		if gain < 1e-7*(1+cost) {
			break
		}
		slope = shape.slope(g, w)
	}
	return shape.rim(g)
}

func firstShape(g rimTargets) rimShape {
	var s rimShape
	s[0], s[firstPlan] = g.long.size/2, g.short.size/2
	s[firstHeight+1], s[firstHeight+2] = 0.45*g.height.size, 0.1*g.height.size
	return s
}

func (s *rimShape) moved(step *mat.VecDense) rimShape {
	next := *s
	for j := range next {
		next[j] += step.AtVec(j)
	}
	return next
}

type residuals [shapeResiduals]float64

// cost is the sum of squares of the misfits.
func (s *rimShape) cost(g rimTargets, w *waves) (sum float64) {
	for _, r := range s.misfit(g, w) {
		sum += r * r
	}
	return sum
}

// misfit is what the fit brings near zero: each size's error in units of its tolerance, the tilt of the best
// plane, and a faint preference for low harmonics that settles what the sizes leave open.
func (s *rimShape) misfit(g rimTargets, w *waves) residuals {
	var p, d [shapeSamples]geom.Vec
	for i := range w {
		for k, wave := range w[i] {
			s.add(k, wave.sin, wave.cos, &p[i], &d[i])
		}
	}
	const step = 2 * math.Pi / shapeSamples // the trapezium rule is exact to rounding for such smooth periodic sums
	var length, moment, fan, tilt float64
	for i := range p {
		speed := d[i].Norm() * step
		length += speed
		moment += p[i].Y * speed
		tilt += p[i].X * p[i].Z * speed
	}
	centre := geom.Vec{Y: moment / length}
	for i := range p {
		fan += p[i].Sub(centre).Cross(d[i]).Norm() / 2 * step
	}
	half := reach(d[:], g.septalOn(length)/2)
	anteroseptal, _ := s.at(half)
	posteroseptal, _ := s.at(-half)

	var r residuals
	unit := g.length.size / (2 * math.Pi)
	r[0] = g.length.misfit(length)
	r[1] = g.long.misfit(2 * s[0])
	r[2] = g.short.misfit(extent(p[:], func(v geom.Vec) float64 { return v.Y }))
	r[3] = g.area.misfit(fan)
	r[4] = g.chord.misfit(anteroseptal.Distance(posteroseptal))
	r[5] = g.height.misfit(extent(append(p[:septalQuarter], p[shapeSamples-septalQuarter:]...), func(v geom.Vec) float64 { return v.Z }))
	r[6] = tilt / (unit * unit * length) * tiltWeight
	for k := 2; k <= planHarmonics; k++ {
		r[7+k] = s[firstPlan+k-1] / unit * float64(k*k) * roughnessWeight
	}
	for k := 3; k <= heightHarmonics; k++ {
		r[7+planHarmonics+k] = s[firstHeight+k-1] / unit * float64(k*k) * roughnessWeight
	}
	return r
}

const (
	// septalQuarter is how many samples from the middle of the septal segment the saddle's peak is sought within: the
	// highest point lies at the anteroseptal commissure, not at its lower twin across the valve.
	septalQuarter   = shapeSamples * 5 / 16
	tiltWeight      = 1e3 // a tilt of one milliradian counts as much as one tolerance
	roughnessWeight = 0.2 // small against any size: 1 % of third harmonic costs 0.02 tolerances
)

func (t target) misfit(size float64) float64 {
	if t.size == 0 { // only a saddle may be flat; then a tenth of a millimetre counts
		return size / 0.1
	}
	return (size/t.size - 1) / t.tolerance
}

// extent is the width of the points in one coordinate, each end refined by the parabola through its neighbours.
func extent(p []geom.Vec, of func(geom.Vec) float64) float64 {
	low, high := 0, 0
	for i := range p {
		if of(p[i]) < of(p[low]) {
			low = i
		}
		if of(p[i]) > of(p[high]) {
			high = i
		}
	}
	return vertex(p, high, of) - vertex(p, low, of)
}

func vertex(p []geom.Vec, i int, of func(geom.Vec) float64) float64 {
	n := len(p)
	a, b, c := of(p[(i+n-1)%n]), of(p[i]), of(p[(i+1)%n])
	curve := a - 2*b + c
	if curve == 0 {
		return b
	}
	return b - (a-c)*(a-c)/(8*curve)
}

// septalOn is the septal segment on a rim of a certain length.
func (g *rimTargets) septalOn(lengthMM float64) float64 {
	if g.septalHeld {
		return g.septal
	}
	return g.septal * lengthMM / g.length.size
}

// reach is the parameter at which a length laid off from the middle of the septal segment is used up, from the
// derivatives at the samples.
func reach(d []geom.Vec, lengthMM float64) float64 {
	const step = 2 * math.Pi / shapeSamples
	left, speed := lengthMM, d[0].Norm()
	for i := 1; i <= len(d)/2; i++ {
		next := d[i].Norm()
		piece := (speed + next) / 2 * step
		if piece >= left {
			return step * (float64(i-1) + left/piece)
		}
		left, speed = left-piece, next
	}
	return math.Pi
}

// costSlope is the cost's downhill direction and curvature at a shape.
type costSlope struct {
	downhill  *mat.VecDense
	curvature *mat.SymDense
}

// slope takes the cost's derivatives by differences.
func (s *rimShape) slope(g rimTargets, w *waves) costSlope {
	const h = 1e-3 // mm
	at := func(moves ...int) float64 {
		probe := *s
		for _, j := range moves {
			probe[j] += h
		}
		return probe.cost(g, w)
	}
	here := s.cost(g, w)
	var ahead [shapeUnknowns]float64
	for j := range s {
		ahead[j] = at(j)
	}
	c := costSlope{mat.NewVecDense(shapeUnknowns, nil), mat.NewSymDense(shapeUnknowns, nil)}
	for j := range s {
		for k := range j + 1 {
			c.curvature.SetSym(j, k, (at(j, k)-ahead[j]-ahead[k]+here)/(h*h))
		}
		c.downhill.SetVec(j, c.curvature.At(j, j)*h/2-(ahead[j]-here)/h)
	}
	return c
}

// step is the Newton step, damped where it did not lead down.
func (c costSlope) step(damping float64) (*mat.VecDense, error) {
	damped := mat.NewDense(shapeUnknowns, shapeUnknowns, nil)
	damped.Copy(c.curvature)
	for j := range shapeUnknowns {
		own := c.curvature.At(j, j)
		damped.Set(j, j, own+damping*math.Abs(own)+1e-9)
	}
	var step mat.VecDense
	if err := step.SolveVec(damped, c.downhill); err != nil {
		return nil, fmt.Errorf("fit the rim: %w", err)
	}
	return &step, nil
}

// rim carries the shape onto splines by its own length, from the anteroseptal commissure, with the centroid of the
// curve in the origin.
func (s *rimShape) rim(g rimTargets) (*Rim, error) {
	const panels = 360
	lengths := make([]float64, panels+1) // length from t = 0 to the end of each panel
	var centroid geom.Vec
	for i := range panels {
		t := 2 * math.Pi * float64(i) / panels
		piece, moment := s.panel(t, 2*math.Pi/panels)
		lengths[i+1] = lengths[i] + piece
		centroid = centroid.Add(moment)
	}
	total := lengths[panels]
	centroid = centroid.Scale(1 / total)

	septal := g.septalOn(total)
	knots := make([]float64, rimKnots)
	var xs, ys, zs [rimKnots]float64
	panel := 0
	for i := range knots {
		knots[i] = total * float64(i) / rimKnots
		want := math.Mod(knots[i]+septal/2, total)
		if want < lengths[panel] {
			panel = 0
		}
		for lengths[panel+1] < want {
			panel++
		}
		p := s.pointAfter(2*math.Pi*float64(panel)/panels, want-lengths[panel])
		xs[i], ys[i], zs[i] = p.X-centroid.X, p.Y-centroid.Y, p.Z-centroid.Z
	}
	rim := &Rim{lengthMM: total}
	var err error
	for _, axis := range []struct {
		spline *geom.PeriodicSpline
		values []float64
	}{{&rim.x, xs[:]}, {&rim.y, ys[:]}, {&rim.z, zs[:]}} {
		if *axis.spline, err = geom.NewPeriodicSpline(total, knots, axis.values); err != nil {
			return nil, fmt.Errorf("rim: %w", err)
		}
	}
	free := (total - septal) / (g.anterior + g.posterior)
	rim.segments = [3]float64{free * g.anterior, free * g.posterior, septal}
	return rim, nil
}

// panel is the length of the curve over a short stretch of t and its first moment, by Simpson's rule.
func (s *rimShape) panel(t, dt float64) (length float64, moment geom.Vec) {
	p0, d0 := s.at(t)
	p1, d1 := s.at(t + dt/2)
	p2, d2 := s.at(t + dt)
	w0, w1, w2 := d0.Norm()*dt/6, d1.Norm()*dt*4/6, d2.Norm()*dt/6
	return w0 + w1 + w2, p0.Scale(w0).Add(p1.Scale(w1)).Add(p2.Scale(w2))
}

// pointAfter is the point a short length beyond t.
func (s *rimShape) pointAfter(t, lengthMM float64) geom.Vec {
	_, d := s.at(t)
	dt := lengthMM / d.Norm()
	for range 4 {
		piece, _ := s.panel(t, dt)
		_, d = s.at(t + dt)
		dt += (lengthMM - piece) / d.Norm()
	}
	p, _ := s.at(t + dt)
	return p
}
