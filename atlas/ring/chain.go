package ring

import "math"

// chain is the problem in its own units: lengths are fractions of the mean
// element, the stiffest joint has the stiffness 1, and the line turns to the left.
type chain struct {
	length []float64
	rest   []float64 // turning at rest at the joint after each element
	spring []float64 // wᵢ/hᵢ: moment per radian at that joint
}

// pose is one set of headings, with what follows from them.
type pose struct {
	heading    []float64 // heading[0] stays 0: turning the whole chain changes nothing
	cos, sin   []float64
	turn       []float64
	gapX, gapY float64 // from where the chain starts to where it ends
}

func newPose(n int) *pose {
	room := make([]float64, 4*n)
	return &pose{
		heading: room[:n:n], cos: room[n : 2*n : 2*n],
		sin: room[2*n : 3*n : 3*n], turn: room[3*n:],
	}
}

// setTurns gives the pose the headings that follow from the turnings.
func (p *pose) setTurns(c *chain, turns []float64) {
	p.heading[0] = 0
	for i := 1; i < len(p.heading); i++ {
		p.heading[i] = p.heading[i-1] + turns[i-1]
	}
	p.look(c)
}

// look works out all that follows from the headings. The last turning closes the
// turn of 2π, whatever the headings.
func (p *pose) look(c *chain) {
	p.gapX, p.gapY = 0, 0
	for i, heading := range p.heading {
		p.sin[i], p.cos[i] = math.Sincos(heading)
		p.gapX += c.length[i] * p.cos[i]
		p.gapY += c.length[i] * p.sin[i]
	}
	last := len(p.heading) - 1
	for i := range last {
		p.turn[i] = p.heading[i+1] - p.heading[i]
	}
	p.turn[last] = 2*math.Pi - p.heading[last]
}

// gap is the distance by which the chain fails to close.
func (p *pose) gap() float64 { return math.Hypot(p.gapX, p.gapY) }

// closes reports whether the gap is within the rounding of n lengths: a hundredth
// of what ClosureTolerance allows.
func (p *pose) closes() bool {
	return p.gap() <= 0.01*ClosureTolerance*float64(len(p.heading))
}

// energy is half of Σ wᵢ (turnᵢ - restᵢ)²/hᵢ; the half spares a factor 2 in every
// derivative.
func (c *chain) energy(p *pose) float64 {
	total := 0.0
	for i, k := range c.spring {
		bend := p.turn[i] - c.rest[i]
		total += k * bend * bend
	}
	return total / 2
}

// convexAtRest reports whether the line at rest turned one way throughout.
func (c *chain) convexAtRest() bool { return convex(c.rest) }
