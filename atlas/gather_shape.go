package atlas

import (
	"errors"
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/ring"
)

// The rim after a repair is found as the stretched rim is: a chain of links with the new lengths, as the line that
// changes its turning least (package ring), the septal segment held by the septum. A link turns from the rim's
// direction at its start to its own, and on to that at its end. The turning of a joint at rest is a sum of two such
// halves, so that what a stretch turned goes with it when it is taken away.
//
// A link keeps its turning, as in stretching, until it is drawn to less than half of what the whole rim is drawn to; then
// it keeps it in proportion, and so bends twice as sharply as on the rim scaled down, and no more. Tissue drawn that far
// together has lost its form; a segment taken away would else leave a corner. That it is the half is an assumption.
//
// What turnings at rest lack to one turn is spread over the joints by their softness h/w. Among chains that make one
// turn, Σ w(turn - rest)²/h changes by a constant only, so this decides nothing: it hands ring a line that turns once.

const (
	// gatherLinks is how many links carry the rim at least, and gatherKnots how many knots its curve: more than a rim
	// at rest takes, for curvature jumps where a stretch that was drawn together ends.
	gatherLinks = 384
	gatherKnots = 480

	// A length on the curve may be wrong by lengthErrorMM until the chain is solved again with chords corrected for it,
	// lengthPasses times at most. One does for most.
	lengthErrorMM = 0.002
	lengthPasses  = 4
)

// drawn is the rim of the parts at their new lengths.
func (r *Rim) drawn(parts []part, former *Former) (*Gathered, error) {
	c := r.chain(parts, former)
	if len(c) < 3 {
		return nil, errors.New("too little of it is left")
	}
	on := c.lie()
	heights := c.heights(on)
	rest, stiffness := c.turnings(on)
	var g *Gathered
	for range lengthPasses {
		joints, err := ring.SolveInSpace(c.chords(), heights, rest, stiffness)
		if err != nil {
			return nil, err
		}
		if g, err = c.through(joints, segmentsAfter(parts)); err != nil {
			return nil, err
		}
		g.OffFormerMM = on.off(c, joints)
		if !g.Rim.lengthen(parts, c) {
			break
		}
	}
	return g, nil
}

// through lays the rim through the joints, the septum where it was.
func (c chain) through(joints []geom.Vec, segmentsMM [3]float64) (*Gathered, error) {
	septum, weight := c.septum()
	plan := make([]geom.Point, len(septum))
	for i, p := range septum {
		plan[i] = geom.Point{X: p.X, Y: p.Y}
	}
	rim, centroid, err := throughJoints(onSeptum(joints, plan, weight), c.ways(), segmentsMM, gatherKnots)
	if err != nil {
		return nil, err
	}
	return &Gathered{Rim: rim, Shift: centroid}, nil
}

// lengthen corrects the chords of each part by what the part has become too short or too long on the curve, and tells
// whether that is worth another pass. Where the rim bends sharply its arcs exceed their chords by more than at rest.
func (r *Rim) lengthen(parts []part, c chain) (again bool) {
	share := make([]float64, len(parts))
	at, whole := 0.0, 0.0
	for i, p := range parts {
		if p.toMM > 0 {
			long := r.arc(at, p.toMM)
			share[i], again = p.toMM/long, again || math.Abs(long-p.toMM) > lengthErrorMM
			at, whole = at+p.toMM, whole+long
		}
	}
	again = again || math.Abs(whole-at) > lengthErrorMM
	for i := range c {
		l := &c[i]
		l.chordMM = max(l.chordMM*share[l.part], math.Abs(l.climbMM)/steepest)
	}
	return again
}

// arc is the length of the curve from a place for so long by its parameter, by the midpoint rule, which errs by less
// than a millionth at these steps.
func (r *Rim) arc(fromMM, forMM float64) (sum float64) {
	n := int(math.Ceil(forMM/0.05)) + 1
	for i := range n {
		sum += r.tangent(fromMM+forMM*(float64(i)+0.5)/float64(n)).Norm() * forMM / float64(n)
	}
	return sum
}

// turnings are the chain's turnings at rest, which make one turn, and the stiffness of its joints. The joint after
// link i lends half of either link to its bending, one after the other, so that their softness adds.
func (c chain) turnings(on *lie) (rest, stiffness []float64) {
	rest, stiffness = make([]float64, len(c)), make([]float64, len(c))
	softness := make([]float64, len(c))
	lacking, whole := -2*math.Pi, 0.0 // clockwise
	for i := range c {
		l, next := &c[i], c.next(i)
		rest[i] = l.turnOut + next.turnIn + on.skipped(l, next)
		softness[i] = l.planMM()/(2*on.stiffness(l)) + next.planMM()/(2*on.stiffness(next))
		stiffness[i] = (l.planMM() + next.planMM()) / 2 / softness[i]
		if on.ends(c, i) {
			rest[i], softness[i] = backByAHair, 0
		}
		lacking, whole = lacking-rest[i], whole+softness[i]
	}
	for i := range rest {
		rest[i] += lacking * softness[i] / whole
	}
	return rest, stiffness
}

func segmentsAfter(parts []part) (segments [3]float64) {
	for _, p := range parts {
		segments[p.segment] += p.toMM
	}
	return segments
}
