package atlas

import "math"

// Heights are treated as the turning in plan is. A link keeps its slope, and so climbs by as much less as it was drawn
// together; but where a stretch lost its turning, or was taken away, the slope of what follows is moved by as much as
// changed in it, for the rim would else have a kink there. What the slopes then lack to come back to where they began,
// and the heights, is spread over the links in proportion to their length: a bend that is the same everywhere, and a
// tilt. The septum keeps its mean height. How a former lies is told in gather_former.go.

// steepest is the most a link may climb, as a share of its length. A rim climbs by less than half; should a repair make
// a link steeper, the whole is flattened until none is.
const steepest = 0.9

// heights is the height of each joint after the repair. It settles what the links climb.
func (c chain) heights(on *lie) []float64 {
	if on == nil {
		c.slopes(c.whole(), true)
		c.climb(c.whole(), 0)
	}
	c.flatten()
	heights := make([]float64, len(c))
	for i := range len(c) - 1 {
		heights[i+1] = heights[i] + c[i].climbMM
	}
	level := 0.0
	if on != nil {
		level = on.level(c, heights)
	} else {
		level = c.septumFell(heights)
	}
	for i := range heights {
		heights[i] += level
	}
	return heights
}

// slopes settles what the links of a run climb from the slope of its first and how the slope changes from link to link.
// In a run that is closed the slope comes back to where it began.
func (c chain) slopes(over run, closed bool) {
	if over.count == 0 {
		return
	}
	changes, back, long := make([]float64, over.count), 0.0, 0.0
	for i := range changes {
		l, next := c.in(over, i), c.in(over, i+1)
		changes[i] = l.riseOut + next.riseIn
		back, long = back-changes[i], long+l.longMM
	}
	slope := c.in(over, 0).slope
	for i, change := range changes {
		l, next := c.in(over, i), c.in(over, i+1)
		l.climbMM = slope * l.longMM
		if slope += change; closed {
			slope += back * (l.longMM + next.longMM) / 2 / long
		}
	}
}

// climb makes a run climb so much, by adding to each of its links in proportion to its length.
func (c chain) climb(over run, climbMM float64) {
	lacking, long := climbMM-c.climbs(over), 0.0
	for i := range over.count {
		long += c.in(over, i).longMM
	}
	for i := range over.count {
		l := c.in(over, i)
		l.climbMM += lacking * l.longMM / long
	}
}

// flatten scales all climbs until no link climbs more than it may.
func (c chain) flatten() {
	most := 0.0
	for _, l := range c {
		most = max(most, math.Abs(l.climbMM)/l.chordMM)
	}
	if most > steepest {
		for i := range c {
			c[i].climbMM *= steepest / most
		}
	}
}

// septumFell is how much lower the septum lies in these heights than it did, on average.
func (c chain) septumFell(heights []float64) float64 {
	places, weight := c.septum()
	fell, whole := 0.0, 0.0
	for i, w := range weight {
		fell, whole = fell+w*(places[i].Z-heights[i]), whole+w
	}
	return fell / whole
}
