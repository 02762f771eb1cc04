package ring

import (
	"errors"
	"math"
)

const (
	// settledStep is the Newton step, in radians, after which the next would be
	// lost in the rounding: errors are squared from one step to the next.
	settledStep = 1e-9

	// sureStep is the Newton step, in radians, below which energy no longer judges
	// it. Near a minimum the energy changes by the square of a step, which is then
	// no more than rounding makes of it.
	sureStep = 1e-6

	// gentleStep is the most, in radians, that a heading turns in one step while
	// the chain is being closed.
	gentleStep = 0.3

	// A chain that is not closed after this many gentle steps goes astray; half a
	// turn takes eleven.
	maxGentleSteps = 30

	maxSteps = 200
)

var errUnsettled = errors.New("no shape was found: the search did not settle")

// search holds the chain where it is, where it might go, and the way there.
type search struct {
	*chain
	here, next     *pose
	system         *system
	spring, moment []float64 // as Newton's step sees them
	wall           *wall     // nil: turnings are free
	steps          int
}

func newSearch(c *chain) *search {
	n := len(c.length)
	room := make([]float64, 2*n)
	return &search{
		chain: c, here: newPose(n), next: newPose(n), system: newSystem(n),
		spring: room[:n:n], moment: room[n:],
	}
}

// merit is what a step has to make less: half the energy, and the price of coming
// near the wall if there is one.
func (s *search) merit(p *pose) float64 {
	if s.wall == nil {
		return s.energy(p)
	}
	return s.energy(p) + s.wall.price(p)
}

// aim works out the Newton step from here.
func (s *search) aim() bool {
	for i, k := range s.chain.spring {
		s.spring[i] = k
		s.moment[i] = k * (s.here.turn[i] - s.rest[i])
	}
	if s.wall != nil {
		s.wall.stiffen(s.here, s.spring, s.moment)
	}
	return s.system.solve(s.chain, s.here, s.spring, s.moment)
}

// slope is how fast the merit changes along the step.
func (s *search) slope() float64 {
	total := 0.0
	for i := 1; i < len(s.moment); i++ {
		total += (s.moment[i-1] - s.moment[i]) * s.system.step[i]
	}
	return total
}

// move sets next a part of the step away from here.
func (s *search) move(part float64) {
	for i, d := range s.system.step {
		s.next.heading[i] = s.here.heading[i] + part*d
	}
	s.next.look(s.chain)
}

func (s *search) accept() {
	s.here, s.next = s.next, s.here
	s.steps++
}

// reach closes the chain, going from where it is in gentle steps, each of which
// takes back a part of the gap at the least energy to first order. This is a
// continuation in the gap: at rest the chain has no energy and a gap, and in
// between it has some of both.
func (s *search) reach() bool {
	for range maxGentleSteps {
		if s.here.closes() {
			return true
		}
		s.system.fx, s.system.fy = 0, 0
		if !s.aim() {
			return false
		}
		part := min(1, gentleStep/s.system.longestStep())
		s.move(part)
		if part == 1 && s.system.shut(s.chain, s.next) {
			s.accept()
			return true
		}
		s.move(part)
		s.accept()
	}
	return false
}

// descend goes downhill among the closed chains until the Newton step vanishes.
func (s *search) descend() error {
	for range maxSteps {
		if !s.aim() {
			return errUnsettled
		}
		length := s.system.longestStep()
		part, ok := s.stride()
		if !ok {
			return errUnsettled
		}
		s.accept()
		if part == 1 && length <= settledStep {
			return nil
		}
	}
	return errUnsettled
}

// stride finds the part of the step that, closed again, lowers the merit by a fair
// share of what the slope promises, and leaves the chain there in next.
func (s *search) stride() (part float64, ok bool) {
	before, slope := s.merit(s.here), s.slope()
	part = 1.0
	if s.wall != nil {
		part = s.wall.room(s.here, s.system.step)
	}
	if s.system.longestStep() <= sureStep {
		before, slope = math.MaxFloat64, 0
	}
	for range 40 {
		s.move(part)
		if s.system.shut(s.chain, s.next) && s.merit(s.next) <= before+1e-4*part*slope {
			return part, true
		}
		part /= 2
	}
	return 0, false
}
