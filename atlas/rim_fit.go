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
	segments                                 [3]float64 // anterior, posterior, septal
	held                                     [3]bool    // measured: laid off at exactly its length
	roughness                                float64    // tolerances that a harmonic as large as the rim's radius costs, over k²
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
	shapeSamples    = 64                 // in a whole turn
	halfSamples     = shapeSamples/2 + 1 // from the middle of the septum to the middle of the free wall, both counted
	shapeResiduals  = 7 + 1 + shapeUnknowns
)

// rimShape holds a, b_1…b_4, c_1…c_5 in mm.
type rimShape [shapeUnknowns]float64

// waves holds sin kt and cos kt at the samples of half a turn, by k−1. Turning the shape by half a turn about y
// brings it onto itself, t onto −t, so that the other half measures the same.
type waves struct {
	sin, cos [heightHarmonics][halfSamples]float64
}

func newWaves() *waves {
	var w waves
	for k := range heightHarmonics {
		for i := range halfSamples {
			w.sin[k][i], w.cos[k][i] = math.Sincos(2 * math.Pi * float64(i*(k+1)) / shapeSamples)
		}
	}
	return &w
}

// halfTurn is a shape at the samples of half a turn: points, derivatives by t, and their sizes.
type halfTurn struct {
	x, y, z, dx, dy, dz, speed [halfSamples]float64
}

func (s *rimShape) trace(w *waves) *halfTurn {
	var h halfTurn
	for j, size := range s {
		h.move(w, j, size)
	}
	h.hasten()
	return &h
}

// move adds to one unknown of the shape.
func (h *halfTurn) move(w *waves, unknown int, by float64) {
	switch k := unknown - firstPlan; {
	case unknown < firstPlan:
		mix(&h.x, -by, &w.sin[0])
		mix(&h.dx, -by, &w.cos[0])
	case unknown < firstHeight:
		mix(&h.y, -by, &w.cos[k])
		mix(&h.dy, by*float64(k+1), &w.sin[k])
	default:
		k = unknown - firstHeight
		mix(&h.z, by, &w.sin[k])
		mix(&h.dz, by*float64(k+1), &w.cos[k])
	}
}

func mix(sum *[halfSamples]float64, share float64, of *[halfSamples]float64) {
	for i := range sum {
		sum[i] += share * of[i]
	}
}

// hasten brings the speeds up to date.
func (h *halfTurn) hasten() {
	for i := range halfSamples {
		h.speed[i] = math.Sqrt(h.dx[i]*h.dx[i] + h.dy[i]*h.dy[i] + h.dz[i]*h.dz[i])
	}
}

// at is the shape's point and derivative at t. Each harmonic's sine and cosine follow from the one before.
func (s *rimShape) at(t float64) (p, d geom.Vec) {
	sin1, cos1 := math.Sincos(t)
	sin, cos := sin1, cos1
	p.X, d.X = -s[0]*sin1, -s[0]*cos1
	for k := range heightHarmonics {
		n, c := float64(k+1), s[firstHeight+k]
		if k < planHarmonics {
			b := s[firstPlan+k]
			p.Y, d.Y = p.Y-b*cos, d.Y+n*b*sin
		}
		p.Z, d.Z = p.Z+c*sin, d.Z+n*c*cos
		sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
	}
	return p, d
}

// fitRim finds the shape whose sizes come nearest their targets, by damped Newton steps from the ellipse of the two
// axes. Targets may contradict each other, so misfits stay and their curvature matters: Gauss–Newton, which leaves
// it out, needs some hundred steps where this needs ten. The caller compares what came out with what was asked.
func fitRim(g rimTargets) (*Rim, error) {
	w := newWaves()
	shape := firstShape(g)
	cost := shape.cost(&g, shape.trace(w))
	slope := shape.slope(&g, w)
	damping := 1e-2
	for range 60 {
		step, err := slope.step(damping)
		if err != nil {
			return nil, err
		}
		next := shape.moved(step)
		trial := next.cost(&g, next.trace(w))
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
		slope = shape.slope(&g, w)
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
func (s *rimShape) cost(g *rimTargets, h *halfTurn) (sum float64) {
	for _, r := range s.misfit(g, h) {
		sum += r * r
	}
	return sum
}

// misfit is what the fit brings near zero: each size's error in units of its tolerance, the tilt of the best
// plane, and a faint preference for low harmonics that settles what the sizes leave open.
func (s *rimShape) misfit(g *rimTargets, h *halfTurn) (r residuals) {
	length, fan, tilt := h.sums()
	half := reach(h.speed[:], g.layOff(length)[2]/2)
	anteroseptal, _ := s.at(half)
	// Its mirror image, the posteroseptal commissure, differs in x and z only.
	chord := 2 * math.Hypot(anteroseptal.X, anteroseptal.Z)

	unit := g.length.size / (2 * math.Pi)
	r[0] = g.length.misfit(length)
	r[1] = g.long.misfit(2 * s[0])
	r[2] = g.short.misfit(h.width())
	r[3] = g.area.misfit(fan)
	r[4] = g.chord.misfit(chord)
	saddle := h.saddle(septalQuarter)
	r[5] = g.height.misfit(saddle)
	r[7] = (h.saddle(halfSamples-1) - saddle) / unit / usualTolerance // no peak higher than the anteroseptal
	r[6] = tilt / (unit * unit * length) * tiltWeight
	for k := 2; k <= planHarmonics; k++ {
		r[7+k] = s[firstPlan+k-1] / unit * float64(k*k) * g.roughness
	}
	for k := 3; k <= heightHarmonics; k++ {
		r[7+planHarmonics+k] = s[firstHeight+k-1] / unit * float64(k*k) * g.roughness
	}
	return r
}

// sums are the length of the whole turn, the area of the fan from its centroid, and the moment of x and z that tilts
// its plane. The trapezium rule is exact to rounding for such smooth periodic sums.
func (h *halfTurn) sums() (length, fan, tilt float64) {
	var moment float64
	for i, speed := range h.speed {
		ds := speed * halfWeight(i)
		length += ds
		moment += h.y[i] * ds
		tilt += h.x[i] * h.z[i] * ds
	}
	centre := moment / length
	for i := range halfSamples {
		y := h.y[i] - centre
		cx, cy, cz := y*h.dz[i]-h.z[i]*h.dy[i], h.z[i]*h.dx[i]-h.x[i]*h.dz[i], h.x[i]*h.dy[i]-y*h.dx[i]
		fan += math.Sqrt(cx*cx+cy*cy+cz*cz) / 2 * halfWeight(i)
	}
	return length, fan, tilt
}

// halfWeight is a sample's share of t in a sum over the whole turn: all but the two ends stand for their mirror image.
func halfWeight(i int) float64 {
	const step = 2 * math.Pi / shapeSamples
	if i == 0 || i == halfSamples-1 {
		return step
	}
	return 2 * step
}

// width is the extent of the shape in y.
func (h *halfTurn) width() float64 {
	low, high := extremes(h.y[:])
	at := func(i int) float64 {
		return parabola(h.y[max(i-1, 1-i)], h.y[i], h.y[min(i+1, 2*halfSamples-3-i)])
	}
	return at(high) - at(low)
}

// saddle is the height of the highest peak over its twin's hollow, among so many samples from the middle of the septum.
func (h *halfTurn) saddle(within int) float64 {
	top := 0
	for i := range within {
		if math.Abs(h.z[i]) > math.Abs(h.z[top]) {
			top = i
		}
	}
	if top == 0 {
		return 0
	}
	return 2 * math.Abs(parabola(h.z[top-1], h.z[top], h.z[top+1]))
}

const (
	// septalQuarter is how many samples from the middle of the septal segment the saddle's peak is sought within: the
	// highest point lies at the anteroseptal commissure, not at its lower twin across the valve.
	septalQuarter = shapeSamples * 5 / 16
	tiltWeight    = 1e3 // a tilt of one milliradian counts as much as one tolerance
)

func (t target) misfit(size float64) float64 {
	if t.size == 0 { // only a saddle may be flat; then a tenth of a millimetre counts
		return size / 0.1
	}
	return (size/t.size - 1) / t.tolerance
}

// layOff shares a rim of a certain length out to its segments: what is measured as it is, the others what is left in
// proportion. Where all are measured, all bear what the fit could not bring together.
func (g *rimTargets) layOff(lengthMM float64) (segments [3]float64) {
	var held, rest float64
	for i, s := range g.segments {
		if g.held[i] {
			held += s
		} else {
			rest += s
		}
	}
	for i, s := range g.segments {
		switch {
		case rest == 0:
			segments[i] = s * lengthMM / held
		case g.held[i]:
			segments[i] = s
		default:
			segments[i] = s * (lengthMM - held) / rest
		}
	}
	return segments
}

// reach is the parameter at which a length laid off from the middle of the septal segment is used up, from the speeds
// at the samples.
func reach(speed []float64, lengthMM float64) float64 {
	const step = 2 * math.Pi / shapeSamples
	left := lengthMM
	for i := 1; i < len(speed); i++ {
		piece := (speed[i-1] + speed[i]) / 2 * step
		if piece >= left {
			return step * (float64(i-1) + left/piece)
		}
		left -= piece
	}
	return math.Pi
}

// costSlope is the cost's downhill direction and curvature at a shape.
type costSlope struct {
	downhill  *mat.VecDense
	curvature *mat.SymDense
}

// slope takes the cost's derivatives by differences.
func (s *rimShape) slope(g *rimTargets, w *waves) costSlope {
	const h = 1e-3 // mm
	turn := s.trace(w)
	at := func(moves ...int) float64 {
		probe, moved := *s, *turn
		for _, j := range moves {
			probe[j] += h
			moved.move(w, j, h)
		}
		moved.hasten()
		return probe.cost(g, &moved)
	}
	here := s.cost(g, turn)
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
	var lengths [panels + 1]float64 // length from t = 0 to the end of each panel
	var centroid geom.Vec
	for i := range panels {
		piece, moment := s.panel(2*math.Pi*float64(i)/panels, 2*math.Pi/panels)
		lengths[i+1] = lengths[i] + piece
		centroid = centroid.Add(moment)
	}
	total := lengths[panels]
	centroid = centroid.Scale(1 / total)

	segments := g.layOff(total)
	var through [rimKnots]geom.Vec
	panel := 0
	for i := range through {
		want := math.Mod(total*float64(i)/rimKnots+segments[2]/2, total)
		if want < lengths[panel] {
			panel = 0
		}
		for lengths[panel+1] < want {
			panel++
		}
		through[i] = s.pointAfter(2*math.Pi*float64(panel)/panels, want-lengths[panel]).Sub(centroid)
	}
	rim, err := newRim(total, &through)
	if err != nil {
		return nil, err
	}
	rim.segments = segments
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

// pointAfter is the point a short length beyond t. Two corrections bring it there to 1e-9 mm.
func (s *rimShape) pointAfter(t, lengthMM float64) geom.Vec {
	_, d := s.at(t)
	dt := lengthMM / d.Norm()
	for range 2 {
		piece, _ := s.panel(t, dt)
		dt += (lengthMM - piece) / d.Norm()
		_, d = s.at(t + dt)
	}
	p, _ := s.at(t + dt)
	return p
}
