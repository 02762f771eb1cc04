package ring

import (
	"errors"
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

// Solve returns the closed line with the given lengths that turns as nearly as it
// did at rest. The lengths are exact but for the rounding of coordinates, and the
// last element ends at the first joint within ClosureTolerance of the perimeter.
//
// Where the line at rest closes with the new lengths too (nothing has changed, or
// all by one factor), it is the answer, and its turnings are handed back to the
// last bit. A line that is convex at rest (see StraightTurn) stays so. A free
// ring has its joints on a circle, whatever its stiffness.
//
// The search is not proved to settle. It settled on all of some thousand random
// convex lines whose lengths differed up to a hundred thousandfold and whose
// stiffness took all its range.
//
// It is an error if a length, a turning or a stiffness is out of its range, if the
// lengths cannot close, if the search does not settle, or if a line that is not
// convex at rest comes to cross itself or to fold over at a joint.
func Solve(p Problem) (Shape, error) {
	if err := p.check(); err != nil {
		return Shape{}, err
	}
	c := newChain(p)
	found, steps, err := c.solve()
	if err != nil {
		return Shape{}, err
	}
	shape := p.shape(c, found, steps)
	if err := shape.check(); err != nil {
		return Shape{}, err
	}
	return shape, nil
}

// newChain puts the problem into its own units and, if it is clockwise, into a
// mirror.
func newChain(p Problem) *chain {
	n := len(p.LengthsMM)
	c := &chain{length: make([]float64, n), rest: make([]float64, n), spring: make([]float64, n)}
	mean := sum(p.LengthsMM) / float64(n)
	for i, l := range p.LengthsMM {
		c.length[i] = l / mean
	}
	p.setRest(c)
	p.setSprings(c)
	return c
}

func (p Problem) setRest(c *chain) {
	switch {
	case p.Rest == nil:
		c.rest = inscribed(c.length)
	case p.clockwise():
		for i, turn := range p.Rest {
			c.rest[i] = -turn
		}
	default:
		copy(c.rest, p.Rest)
	}
}

func (p Problem) setSprings(c *chain) {
	stiffest := 1.0
	if p.Stiffness != nil {
		stiffest = p.Stiffness[indexOfLargest(p.Stiffness)]
	}
	for i := range c.spring {
		w := 1.0
		if p.Stiffness != nil {
			w = max(SoftestJoint, p.Stiffness[i]/stiffest)
		}
		c.spring[i] = w / share(c.length, i)
	}
}

// share is the part of the line that belongs to the joint after element i.
func share(lengths []float64, i int) float64 {
	return (lengths[i] + lengths[(i+1)%len(lengths)]) / 2
}

// solve returns the pose of least energy and the steps taken.
func (c *chain) solve() (*pose, int, error) {
	s := newSearch(c)
	s.here.setTurns(c, c.rest)
	if s.here.gap() <= ClosureTolerance*float64(len(c.length))/10 && c.turnsOnce() {
		copy(s.here.turn, c.rest)
		return s.here, 0, nil
	}
	err := s.fromRest()
	if err == nil && (convex(s.here.turn) || !c.convexAtRest()) {
		return s.here, s.steps, nil
	}
	s.fromCircle()
	if c.convexAtRest() {
		err = s.descendWithin()
	} else {
		err = s.descend()
	}
	return s.here, s.steps, err
}

// turnsOnce reports whether the turnings at rest make one turn to rounding.
func (c *chain) turnsOnce() bool {
	return math.Abs(sum(c.rest)-2*math.Pi) <= ClosureTolerance
}

// fromRest closes the line at rest and goes downhill from there.
func (s *search) fromRest() error {
	if !s.reach() {
		return errUnsettled
	}
	return s.descend()
}

// fromCircle starts over with the polygon inscribed in a circle.
func (s *search) fromCircle() {
	s.here.setTurns(s.chain, inscribed(s.length))
	s.system.fx, s.system.fy = 0, 0
}

// shape puts the pose back into millimetres and out of the mirror.
func (p Problem) shape(c *chain, found *pose, steps int) Shape {
	n := len(p.LengthsMM)
	s := Shape{Points: make([]geom.Point, n), Turns: make([]float64, n), Iterations: steps}
	var at geom.Point
	for i, l := range p.LengthsMM {
		s.Points[i] = at
		at.X += l * found.cos[i]
		at.Y += l * found.sin[i]
		s.Turns[i] = found.turn[i]
	}
	if p.clockwise() {
		s.mirror()
	}
	s.Energy = p.energy(c, found)
	return s
}

// mirror turns the shape over the X axis. Zeros are kept clear of a sign.
func (s Shape) mirror() {
	for i := range s.Points {
		s.Points[i].Y = 0 - s.Points[i].Y
		s.Turns[i] = 0 - s.Turns[i]
	}
}

// energy is the sum that was made least, in rad²/mm.
func (p Problem) energy(c *chain, found *pose) float64 {
	total := 0.0
	for i := range p.LengthsMM {
		w := 1.0
		if p.Stiffness != nil {
			w = p.Stiffness[i]
		}
		bend := found.turn[i] - c.rest[i]
		total += w * bend * bend / share(p.LengthsMM, i)
	}
	return total
}

// check refuses a shape that no line of material could take.
func (s Shape) check() error {
	for i, turn := range s.Turns {
		if !(math.Abs(turn) < math.Pi) {
			return fmt.Errorf("the line folds over at the joint after element %d", i)
		}
	}
	if !s.Convex() && !s.starShaped() && geom.Outline(s.Points).CrossesSelf() {
		return errors.New("the line crosses itself")
	}
	return nil
}

// starShaped reports whether the mean of the joints sees every element pass in the
// sense of the whole turn, by a margin far above rounding. The angle at which the
// line passes a ray from there then stays within 0..π, so the line goes round the
// centre as often as it turns, which is once, and cannot cross itself. This spares
// most lines the search for crossings, which takes O(n²).
func (s Shape) starShaped() bool {
	n := float64(len(s.Points))
	var centre geom.Point
	for _, p := range s.Points {
		centre.X += p.X / n
		centre.Y += p.Y / n
	}
	side := math.Copysign(1, sum(s.Turns))
	margin := 1e-12 * s.PerimeterMM() * s.PerimeterMM()
	for i, p := range s.Points {
		e := edge(s.Points, i)
		if !(side*((p.X-centre.X)*e.Y-(p.Y-centre.Y)*e.X) > margin) {
			return false
		}
	}
	return true
}
