package ring

import (
	"errors"
	"fmt"
	"math"
)

// Problem is a closed line whose shape is sought. Element i runs from joint i to
// joint i+1, the last back to joint 0; "the joint after element i" is joint i+1.
type Problem struct {
	// LengthsMM are the lengths of the elements, at least three, each within
	// ShortestMM..LongestMM. The longest must be shorter than the others together
	// by the fraction Slack, or they do not close.
	LengthsMM []float64

	// Rest are the turnings at rest, in radians, positive to the left: Rest[i] at
	// the joint after element i, each strictly between -π and π. They add up to
	// one turn, 2π or -2π (clockwise), within TurnTolerance. Nil asks for the free
	// ring, which is round and runs anticlockwise.
	Rest []float64

	// Stiffness says how much each joint minds a change of its turning, in the
	// order of Rest; only ratios count. Nil makes all equal. A stiffness below
	// SoftestJoint times the largest, zero included, counts as that much: a ring
	// with several hinges that mind nothing would have no one shape.
	Stiffness []float64
}

const (
	// ShortestMM and LongestMM bound the length of an element.
	ShortestMM = 1e-6
	LongestMM  = 1e6

	// Slack is the least fraction by which the other elements together must be
	// longer than the longest. A ring with less is flat for all purposes, and its
	// width, about √Slack of its length, is lost in the rounding.
	Slack = 1e-6

	// TurnTolerance is how far, in radians, the turnings at rest may add up to
	// something else than one turn. What is amiss is spread over the joints by
	// their softness.
	TurnTolerance = 1e-6

	// StraightTurn is the largest turning, in radians, that may go the wrong way
	// in a line that counts as convex. It is there for lines with straight parts,
	// measured from points with rounded coordinates.
	StraightTurn = 1e-9

	// SoftestJoint is the smallest stiffness that is told from zero, as a fraction
	// of the largest.
	SoftestJoint = 1e-9

	// ClosureTolerance bounds the distance by which a line that Solve returns
	// fails to close, as a fraction of its perimeter: 1e-9 mm for a line one metre
	// long.
	ClosureTolerance = 1e-12
)

// check refuses what Solve cannot answer.
func (p Problem) check() error {
	if err := checkLengths(p.LengthsMM); err != nil {
		return err
	}
	if err := p.checkStiffness(); err != nil {
		return err
	}
	if p.Rest == nil {
		return nil
	}
	return p.checkRest()
}

func checkLengths(lengths []float64) error {
	if len(lengths) < 3 {
		return fmt.Errorf("a ring needs three elements or more, not %d", len(lengths))
	}
	longest, total := 0, 0.0
	for i, l := range lengths {
		if !(l >= ShortestMM && l <= LongestMM) {
			return fmt.Errorf("element %d is %g mm long; lengths are within %g and %g mm", i, l, ShortestMM, LongestMM)
		}
		if l > lengths[longest] {
			longest = i
		}
		total += l
	}
	if others := total - lengths[longest]; !(lengths[longest]*(1+Slack) <= others) {
		return fmt.Errorf("the ring cannot close: element %d is %g mm long, the others %g mm together",
			longest, lengths[longest], others)
	}
	return nil
}

func (p Problem) checkStiffness() error {
	if p.Stiffness == nil {
		return nil
	}
	if len(p.Stiffness) != len(p.LengthsMM) {
		return fmt.Errorf("%d stiffnesses for %d joints", len(p.Stiffness), len(p.LengthsMM))
	}
	stiffest := 0.0
	for i, w := range p.Stiffness {
		if !(w >= 0) || math.IsInf(w, 1) {
			return fmt.Errorf("the stiffness after element %d is %g; it must be finite and not negative", i, w)
		}
		stiffest = max(stiffest, w)
	}
	if stiffest == 0 {
		return errors.New("no joint has any stiffness, so that no shape is preferred")
	}
	return nil
}

func (p Problem) checkRest() error {
	if len(p.Rest) != len(p.LengthsMM) {
		return fmt.Errorf("%d turnings at rest for %d joints", len(p.Rest), len(p.LengthsMM))
	}
	total := 0.0
	for i, turn := range p.Rest {
		if !(math.Abs(turn) < math.Pi) {
			return fmt.Errorf("the turning at rest after element %d is %g; it must lie between -π and π", i, turn)
		}
		total += turn
	}
	if !(math.Abs(math.Abs(total)-2*math.Pi) <= TurnTolerance) {
		return fmt.Errorf("the turnings at rest add up to %g and not to one turn, ±2π", total)
	}
	return nil
}

// clockwise reports whether the line at rest turns to the right.
func (p Problem) clockwise() bool {
	total := 0.0
	for _, turn := range p.Rest {
		total += turn
	}
	return total < 0
}

// convex reports whether no turning goes the other way than the sum of all by
// more than StraightTurn.
func convex(turns []float64) bool {
	low, high := 0.0, 0.0
	for _, turn := range turns {
		low, high = min(low, turn), max(high, turn)
	}
	return low >= -StraightTurn || high <= StraightTurn
}
