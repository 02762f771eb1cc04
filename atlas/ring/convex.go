package ring

import "math"

// wall keeps turnings above 0, by an interior point method: to the energy is added
// -height Σ log(turnᵢ), which rises to +∞ at the wall, and the height is lowered
// step by step. The force of the wall on a joint is its push,
//
//	pushᵢ · turnᵢ = height,    pushᵢ > 0 ,
//
// and to first order a minimum at some height is within n·height of the least
// energy. The wall couples only what the springs couple, so Newton's matrix keeps
// its form. The pushes are unknowns of their own (a primal-dual method), since with
// height/turn in their place Newton's method would converge only from very near.
//
// The search starts from the polygon inscribed in a circle, which turns to the left
// at every joint.
type wall struct {
	push   []float64
	height float64
}

const (
	// shareOfWay is the part of the way to the wall that a step may take, and the
	// part of a push that it may take away.
	shareOfWay = 0.99

	// lowestWall is the last height of the wall, as a fraction of the first. A
	// joint that the wall keeps straight is left with a turning of about this
	// fraction of a joint's share of the whole turn.
	lowestWall = 1e-10
)

// newWall raises a wall around a chain within it, a tenth as steep as the springs
// are strained on average.
func newWall(c *chain, p *pose) *wall {
	n := len(c.rest)
	w := &wall{push: make([]float64, n)}
	for i, rest := range c.rest {
		w.height += 0.1 / float64(n) * c.spring[i] * math.Abs(p.turn[i]-rest) * p.turn[i]
	}
	for i := range w.push {
		w.push[i] = w.height / p.turn[i]
	}
	return w
}

// price is +Inf outside the wall.
func (w *wall) price(p *pose) float64 {
	total := 0.0
	for _, turn := range p.turn {
		if !(turn > 0) {
			return math.Inf(1)
		}
		total -= math.Log(turn)
	}
	return w.height * total
}

// stiffen adds the wall to the springs and moments of the joints.
func (w *wall) stiffen(p *pose, spring, moment []float64) {
	for i, turn := range p.turn {
		spring[i] += w.push[i] / turn
		moment[i] -= w.height / turn
	}
}

// turnChange is the change of turning i in a step of the headings.
func turnChange(step []float64, i int) float64 { return step[(i+1)%len(step)] - step[i] }

// room is the part of a step that stays within the wall, to first order. Without it
// the step would be closed and priced in vain before it is halved.
func (w *wall) room(p *pose, step []float64) float64 {
	part := 1.0
	for i, turn := range p.turn {
		if change := turnChange(step, i); change < 0 {
			part = min(part, shareOfWay*turn/-change)
		}
	}
	return part
}

// follow moves the pushes by Newton's step for push·turn = height from the pose p,
// no farther than leaves all of them positive.
func (w *wall) follow(p *pose, step []float64) {
	part := 1.0
	for i := range w.push {
		if change := w.pushChange(p, step, i); change < 0 {
			part = min(part, shareOfWay*w.push[i]/-change)
		}
	}
	for i := range w.push {
		w.push[i] += part * w.pushChange(p, step, i)
	}
}

func (w *wall) pushChange(p *pose, step []float64, i int) float64 {
	return (w.height-w.push[i]*turnChange(step, i))/p.turn[i] - w.push[i]
}

// descendWithin goes downhill among the closed convex chains.
func (s *search) descendWithin() error {
	s.wall = newWall(s.chain, s.here)
	lowest := lowestWall * s.wall.height
	for range maxSteps {
		if !s.aim() {
			return errUnsettled
		}
		length := s.system.longestStep()
		part, ok := s.stride()
		if !ok {
			return errUnsettled
		}
		s.wall.follow(s.here, s.system.step)
		s.accept()
		if part > 0.5 {
			if s.wall.height <= lowest && length <= settledStep {
				return nil
			}
			s.wall.height = max(lowest, 0.1*s.wall.height)
		}
	}
	return errUnsettled
}
