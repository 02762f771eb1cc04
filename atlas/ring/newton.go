package ring

import "math"

// system is one Newton step for the headings θ and the closing force f, the
// multiplier of the closure Σ L cos θ = Σ L sin θ = 0:
//
//	H d + Aᵀ f = -g
//	A d        = -gap
//
// Row i of g is the moment before element i less the moment after it, and row i of
// Aᵀ is the lever (-L sin θ, L cos θ) of the element. H holds the springs of the
// joints, which couple neighbours alone, and on its diagonal the turning of the
// levers under the force, -L (f₁ cos θ + f₂ sin θ). Heading 0 is held, which cuts
// the cycle open: H is tridiagonal in the others, and index 0 of the slices below
// lies idle.
type system struct {
	pivot, ratio []float64 // H = (1 + ratio) diag(pivot) (1 + ratio)ᵀ
	plain        []float64 // -H⁻¹ g
	x, y         []float64 // H⁻¹ Aᵀ, the answers of the chain to a unit force
	step         []float64 // d
	xx, xy, yy   float64   // A H⁻¹ Aᵀ
	fx, fy       float64   // f
}

func newSystem(n int) *system {
	room := make([]float64, 6*n)
	return &system{
		pivot: room[:n:n], ratio: room[n : 2*n : 2*n], plain: room[2*n : 3*n : 3*n],
		x: room[3*n : 4*n : 4*n], y: room[4*n : 5*n : 5*n], step: room[5*n:],
	}
}

// solve finds the step from p with the joints' springs and moments, and reports
// false where it leads to no minimum. Such a step is tried again with less of the
// force's part in H; without it H is positive definite and the step leads downhill.
func (s *system) solve(c *chain, p *pose, spring, moment []float64) bool {
	for _, portion := range [...]float64{1, 0.5, 0} {
		if s.solveWith(portion, c, p, spring, moment) {
			return true
		}
	}
	return false
}

// solveWith is solve with a portion of the force's part in H.
//
// The step leads to a minimum if H is positive on the chains that stay closed.
// That is so if the whole bordered matrix has two negative eigenvalues, one to a
// border, and by Sylvester's law they can be counted in its factors: the negative
// pivots of H, and the positive eigenvalues of A H⁻¹ Aᵀ.
func (s *system) solveWith(portion float64, c *chain, p *pose, spring, moment []float64) bool {
	negative := s.eliminate(portion, c, p, spring, moment)
	s.substitute()
	s.border(c, p)
	return negative+s.positiveBorders() == 2 && s.force(c, p)
}

// eliminate factors H and carries the three right-hand sides along; it counts the
// negative pivots. A pivot of zero makes the step infinite, which force refuses.
func (s *system) eliminate(portion float64, c *chain, p *pose, spring, moment []float64) (negative int) {
	fx, fy := portion*s.fx, portion*s.fy
	for i := 1; i < len(spring); i++ {
		pivot := spring[i-1] + spring[i] - c.length[i]*(fx*p.cos[i]+fy*p.sin[i])
		plain := moment[i] - moment[i-1]
		x, y := -c.length[i]*p.sin[i], c.length[i]*p.cos[i]
		if i > 1 {
			ratio := -spring[i-1] / s.pivot[i-1]
			pivot += ratio * spring[i-1]
			plain -= ratio * s.plain[i-1]
			x -= ratio * s.x[i-1]
			y -= ratio * s.y[i-1]
			s.ratio[i] = ratio
		}
		if pivot < 0 {
			negative++
		}
		s.pivot[i], s.plain[i], s.x[i], s.y[i] = pivot, plain, x, y
	}
	return negative
}

// substitute finishes the three solutions backwards.
func (s *system) substitute() {
	last := len(s.pivot) - 1
	for i := last; i >= 1; i-- {
		inverse := 1 / s.pivot[i]
		s.plain[i] *= inverse
		s.x[i] *= inverse
		s.y[i] *= inverse
		if i < last {
			ratio := s.ratio[i+1]
			s.plain[i] -= ratio * s.plain[i+1]
			s.x[i] -= ratio * s.x[i+1]
			s.y[i] -= ratio * s.y[i+1]
		}
	}
}

// border forms A H⁻¹ Aᵀ.
func (s *system) border(c *chain, p *pose) { s.xx, s.xy, _, s.yy = s.response(c, p) }

// response is how the end of the chain p moves under unit forces: by (xx, yx) when
// the headings change as x says, by (xy, yy) when they change as y says. In the
// pose that x and y were found for it is symmetric.
func (s *system) response(c *chain, p *pose) (xx, xy, yx, yy float64) {
	for i := 1; i < len(s.x); i++ {
		leverX, leverY := -c.length[i]*p.sin[i], c.length[i]*p.cos[i]
		xx += leverX * s.x[i]
		xy += leverX * s.y[i]
		yx += leverY * s.x[i]
		yy += leverY * s.y[i]
	}
	return xx, xy, yx, yy
}

// positiveBorders counts the positive eigenvalues of A H⁻¹ Aᵀ.
func (s *system) positiveBorders() int {
	product := s.xx*s.yy - s.xy*s.xy
	switch {
	case product < 0:
		return 1
	case product > 0 && s.xx+s.yy > 0:
		return 2
	}
	return 0
}

// force finds f and with it the step.
func (s *system) force(c *chain, p *pose) bool {
	missX, missY := p.gapX, p.gapY
	for i := 1; i < len(s.plain); i++ {
		missX -= c.length[i] * p.sin[i] * s.plain[i]
		missY += c.length[i] * p.cos[i] * s.plain[i]
	}
	fx, fy, ok := forces(s.xx, s.xy, s.xy, s.yy, missX, missY)
	if !ok {
		return false
	}
	s.fx, s.fy = fx, fy
	for i := 1; i < len(s.step); i++ {
		s.step[i] = s.plain[i] - fx*s.x[i] - fy*s.y[i]
	}
	return true
}

// forces solves two equations for the forces that make up for a gap.
func forces(xx, xy, yx, yy, gapX, gapY float64) (fx, fy float64, ok bool) {
	product := xx*yy - xy*yx
	fx = (yy*gapX - xy*gapY) / product
	fy = (xx*gapY - yx*gapX) / product
	return fx, fy, finite(fx) && finite(fy)
}

// shut puts p back on the closed chains, and reports whether it arrived. The
// headings move as x and y of the last step say, so that only how far is
// unknown: Newton's method for two equations in two unknowns, with their exact
// derivatives.
func (s *system) shut(c *chain, p *pose) bool {
	before := math.Inf(1)
	for range 30 {
		if p.closes() {
			return true
		}
		gap := p.gap()
		if !(gap < 0.7*before) {
			return false
		}
		before = gap
		xx, xy, yx, yy := s.response(c, p)
		fx, fy, ok := forces(xx, xy, yx, yy, p.gapX, p.gapY)
		if !ok {
			return false
		}
		for i := 1; i < len(p.heading); i++ {
			p.heading[i] -= fx*s.x[i] + fy*s.y[i]
		}
		p.look(c)
	}
	return false
}

// longestStep is the largest change of a heading in the step, in radians.
func (s *system) longestStep() float64 {
	longest := 0.0
	for _, d := range s.step[1:] {
		longest = max(longest, math.Abs(d))
	}
	return longest
}
