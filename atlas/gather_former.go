package atlas

import (
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/ring"
)

// mostTilt is the sine of the most that the ends of an opening may tilt a former. A narrow opening at a steep place
// would else set it on its edge; the opening then climbs what is missing. Assumption.
const mostTilt = 0.2

// formerStiffness is how much more a link on a rigid former minds being bent than one of the free wall. What the former
// gives way where its lengths fit, a few thousandths of a mm, shrinks in proportion; from 1e9 on the search could not
// tell the softest joint from none (ring.SoftestJoint).
const formerStiffness = 1e7

// lie is how a former lies under the rim. It is flat, so what is sewn to it lies in one plane: level at the rim's mean
// height where all of the rim is sewn; where some is not, through the two ends of the longest opening, which keeps its
// climb, and level along the line at right angles to that between the ends.
type lie struct {
	across   geom.Vec // in plan, from one end of the longest opening to the other
	slope    float64  // the sine of the tilt along it
	openings []run
	longest  run
}

// lie is how the former lies under the links that are on it, which take its turning and its plane. It is nil where there
// are none.
func (c chain) lie() *lie {
	on, held := &lie{}, false
	if on.openings, held = c.openings(); !held {
		return nil
	}
	for _, o := range on.openings {
		c.slopes(o, false)
	}
	if len(on.openings) > 0 {
		on.tilt(c)
	}
	for i := range c {
		if l := &c[i]; l.onFormer {
			on.take(l)
		}
	}
	on.bridge(c)
	return on
}

// openings are the runs of links that are off the former, and whether any is on it.
func (c chain) openings() (open []run, held bool) {
	start, n := 0, len(c)
	for start < n && !c[start].onFormer {
		start++
	}
	if start == n {
		return nil, false
	}
	var o run
	for i := range n + 1 { // back to the first, which closes the last opening
		at := (start + i) % n
		switch l := &c[at]; {
		case l.onFormer && o.count > 0:
			open, o = append(open, o), run{}
		case !l.onFormer && o.count == 0:
			o = run{at, 1, l.longMM}
		case !l.onFormer:
			o.count, o.longMM = o.count+1, o.longMM+l.longMM
		}
	}
	return open, true
}

// over is the way along the former, straight and before it is tilted, that a run off it leaves open.
func (c chain) over(o run) geom.Vec {
	return c.next(o.first + o.count - 1).on.at.Sub(c.previous(o.first).toOn.at)
}

// alongFormer is the link's straight way along the former before that is tilted.
func (l *link) alongFormer() geom.Vec { return l.toOn.at.Sub(l.on.at) }

// tilt finds the slope at which the longest opening keeps its climb.
func (on *lie) tilt(c chain) {
	on.longest = on.openings[0]
	for _, o := range on.openings {
		if o.longMM > on.longest.longMM {
			on.longest = o
		}
	}
	on.across = c.over(on.longest).Unit()
	rest := 0.0 // what all but the longest opening climb at a slope of 1
	for i := range c {
		if l := &c[i]; l.onFormer {
			rest += l.stretched * on.across.Dot(l.alongFormer())
		}
	}
	for _, o := range on.openings {
		if o != on.longest {
			rest += on.across.Dot(c.over(o))
		}
	}
	if rest < 0 {
		on.slope = min(max(-c.climbs(on.longest)/rest, -mostTilt), mostTilt)
	}
}

// seen is a way along the former once it is tilted: in plan, and what it climbs.
func (on *lie) seen(way geom.Vec) geom.Vec {
	along := on.across.Dot(way)
	seen := way.Sub(on.across.Scale(along * (1 - math.Sqrt(1-on.slope*on.slope))))
	seen.Z = along * on.slope
	return seen
}

// stiffness is how much a link minds being bent. Where a former holds the rim, what is not sewn to it bends alike all
// along: it is the former, then, that holds the rim against the free wall's pull, and not the septum, which would else
// crease the rim at the end of an opening.
func (on *lie) stiffness(l *link) float64 {
	switch {
	case l.onFormer:
		return formerStiffness
	case l.septal && on == nil:
		return septalStiffness
	}
	return 1
}

// take gives a link the former's turning and climb.
func (on *lie) take(l *link) {
	seen := on.seen(l.alongFormer())
	l.chordMM, l.climbMM = l.stretched*l.alongFormer().Norm(), l.stretched*seen.Z
	l.turnIn, l.turnOut = angle(on.seen(l.on.direction), seen), angle(seen, on.seen(l.toOn.direction))
}

// mostSkipped is the most, in radians, that a joint takes of a former's turning that no link lies on. More would fold
// the rim over; the rest is left to be spread.
const mostSkipped = 1

// skipped is the turning of the former between two links next to each other on the rim, where they are not next to each
// other on the former.
func (on *lie) skipped(l, next *link) float64 {
	if on == nil || !l.onFormer || !next.onFormer {
		return 0
	}
	return min(max(angle(on.seen(l.toOn.direction), on.seen(next.on.direction)), -mostSkipped), mostSkipped)
}

// backByAHair is the turning at rest, the wrong way round, at either end of the longest opening. A line that is convex at
// rest is kept so; the rim must be free to bulge out of an opening that is too narrow for it, or the former, which is
// rigid, would give way instead.
const backByAHair = 2 * ring.StraightTurn

// ends tells whether the joint after link i is an end of the longest opening.
func (on *lie) ends(c chain, i int) bool {
	if on == nil || on.longest.count == 0 {
		return false
	}
	return (i+1)%len(c) == on.longest.first || i == (on.longest.first+on.longest.count-1)%len(c)
}

// bridge makes each opening climb from one of its ends to the other. The longest takes what is left, which is its own
// climb unless the former would have to be tilted too far.
func (on *lie) bridge(c chain) {
	for _, o := range on.openings {
		if o != on.longest {
			c.climb(o, on.seen(c.over(o)).Z)
		}
	}
	if on.longest.count > 0 {
		c.climb(on.longest, c.climbs(on.longest)-c.climbs(c.whole()))
	}
}

// level is what to add to heights so that the longest opening begins as high as it did, or so that the former lies at
// the rim's mean height.
func (on *lie) level(c chain, heights []float64) float64 {
	if on.longest.count == 0 {
		return 0
	}
	return c[on.longest.first].from.Z - heights[on.longest.first]
}

// off is how far in plan the joints that lie on the former are from it at most, laid over them as well as can be.
func (on *lie) off(c chain, joints []geom.Vec) (farthest float64) {
	if on == nil {
		return 0
	}
	shape := ring.Shape{Points: make([]geom.Point, len(joints))}
	places, weight := make([]geom.Point, len(joints)), make([]float64, len(joints))
	for i, p := range joints {
		shape.Points[i] = geom.Point{X: p.X, Y: p.Y}
		place := c[i].on
		if last := c.previous(i); !c[i].onFormer {
			if !last.onFormer {
				continue
			}
			place = last.toOn
		}
		seen := on.seen(place.at)
		places[i], weight[i] = geom.Point{X: seen.X, Y: seen.Y}, 1
	}
	for i, p := range shape.Aligned(places, weight) {
		farthest = max(farthest, weight[i]*math.Hypot(p.X-places[i].X, p.Y-places[i].Y))
	}
	return farthest
}
