package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// course is a suture line on a heart: its corners on the chart with their along unrolled, the way from each to the
// next straight. It is closed: the last corner is the first again, some turns of the rim on.
type course struct {
	heart   *atlas.Heart
	corners []atlas.Spot
	place   []int // the place of the plan each corner comes from
	legs    []leg // from corner to corner
}

// sameMM is how near two corners must be to be one.
const sameMM = 1e-9

// courseOn resolves a line on a heart. Drawn anticlockwise it is turned round, so that the atrium is always on its
// left. It is false where the heart has no ostium to go round, or lacks a landmark.
func (l *Line) courseOn(heart *atlas.Heart) (course, bool) {
	c := course{heart: heart}
	for i, w := range l.Through {
		spots := []atlas.Spot{{}}
		switch {
		case w.Around != "":
			if spots = roundTriangle(heart, l.Ostium, w.FromLipMM); spots == nil {
				return c, false
			}
		case !placeable(w.Place, heart):
			return c, false
		default:
			spots[0] = resolve(w.Place, heart)
		}
		for _, s := range spots {
			c.add(s, i)
		}
	}
	c.close()
	if c.turns() == -1 {
		c.turnRound()
	}
	for i := 1; i < len(c.corners); i++ {
		c.legs = append(c.legs, leg{c.corners[i-1], c.corners[i]})
	}
	return c, true
}

// placeable tells whether a heart has what a place is measured from.
func placeable(p Place, heart *atlas.Heart) bool {
	if p.Way != FromLandmark {
		return true
	}
	_, there := heart.Landmark(p.From)
	return there
}

// add goes on to a spot by the shorter way along the rim.
func (c *course) add(s atlas.Spot, place int) {
	if n := len(c.corners); n > 0 {
		before := c.corners[n-1]
		s.AlongMM = before.AlongMM + shorterWay(c.heart.Rim, before.AlongMM, s.AlongMM)
		if math.Hypot(s.AlongMM-before.AlongMM, s.OffMM-before.OffMM) < sameMM {
			return
		}
	}
	c.corners, c.place = append(c.corners, s), append(c.place, place)
}

// close goes back to the first corner. Its unrolled along is a whole number of turns on, to the last digit.
func (c *course) close() {
	first, last := c.corners[0], c.corners[len(c.corners)-1]
	way := last.AlongMM + shorterWay(c.heart.Rim, last.AlongMM, first.AlongMM) - first.AlongMM
	round := c.heart.Rim.LengthMM()
	first.AlongMM += math.Round(way/round) * round
	if len(c.corners) > 1 && math.Hypot(first.AlongMM-last.AlongMM, first.OffMM-last.OffMM) < sameMM {
		c.corners = c.corners[:len(c.corners)-1]
		c.place = c.place[:len(c.place)-1]
	}
	c.corners, c.place = append(c.corners, first), append(c.place, c.place[0])
}

// turns is how often the course goes round the rim, clockwise positive.
func (c *course) turns() int {
	way := c.corners[len(c.corners)-1].AlongMM - c.corners[0].AlongMM
	return int(math.Round(way / c.heart.Rim.LengthMM()))
}

// turnRound goes the same way the other way round, from the same first corner.
func (c *course) turnRound() {
	n := len(c.corners)
	corners, place := make([]atlas.Spot, n), make([]int, n)
	back := c.corners[0].AlongMM - c.corners[n-1].AlongMM
	for i := range corners {
		corners[i], place[i] = c.corners[n-1-i], c.place[n-1-i]
		corners[i].AlongMM += back
	}
	c.corners, c.place = corners, place
}

// leg is the straight way between two corners.
type leg struct{ from, to atlas.Spot }

// at is the spot a share of the way along the leg.
func (l leg) at(share float64) atlas.Spot {
	return shifted(l.from, share*(l.to.AlongMM-l.from.AlongMM), share*(l.to.OffMM-l.from.OffMM))
}

func (l leg) shifted(alongMM float64) leg {
	return leg{shifted(l.from, alongMM, 0), shifted(l.to, alongMM, 0)}
}

func (l leg) flat() geom.Segment {
	return geom.Segment{A: geom.Vec{X: l.from.AlongMM, Y: l.from.OffMM}, B: geom.Vec{X: l.to.AlongMM, Y: l.to.OffMM}}
}

// below tells whether a spot lies on the ventricular side: whether a ray from it up the wall crosses the line an odd
// number of times.
func (c *course) below(s atlas.Spot) bool {
	odd := false
	round := c.heart.Rim.LengthMM()
	for _, l := range c.legs {
		low, high := min(l.from.AlongMM, l.to.AlongMM), max(l.from.AlongMM, l.to.AlongMM)
		along := s.AlongMM + math.Ceil((low-s.AlongMM)/round)*round
		for ; along < high; along += round { // a leg owns its lower end and not its upper one
			if along < low {
				continue
			}
			share := (along - l.from.AlongMM) / (l.to.AlongMM - l.from.AlongMM)
			if l.from.OffMM+share*(l.to.OffMM-l.from.OffMM) > s.OffMM {
				odd = !odd
			}
		}
	}
	return odd
}

// meetsSelf finds a place where the course crosses or touches itself.
func (c *course) meetsSelf() (atlas.Spot, bool) {
	legs, round := c.legs, c.heart.Rim.LengthMM()
	for i, a := range legs {
		for j := i; j < len(legs); j++ {
			for turn := -1; turn <= 1; turn++ {
				if i == j && turn == 0 {
					continue
				}
				b := legs[j].shifted(float64(turn) * round)
				if share, meets := a.meets(b); meets {
					return a.at(share), true
				}
			}
		}
	}
	return atlas.Spot{}, false
}

// meets tells whether two legs share a point, and where on the first. The corner where one hands over to the other
// does not count. Where a leg folds back over the one before, the next or the one before that touches one of the two.
func (l leg) meets(o leg) (share float64, meets bool) {
	a, b := l.flat(), o.flat()
	if a.B.Distance(b.A) < sameMM || b.B.Distance(a.A) < sameMM {
		return 0, false
	}
	gap, share, _ := a.Distance(b)
	return share, gap < sameMM
}

// shortcuts are the legs for which neither way round the rim is the shorter, so that the plan does not say which is
// meant.
func (c *course) shortcuts() (unclear []int) {
	for i, l := range c.legs {
		if c.heart.Rim.LengthMM()/2-math.Abs(l.to.AlongMM-l.from.AlongMM) < sidesMM {
			unclear = append(unclear, i)
		}
	}
	return unclear
}

// foldedAt is the least by which a mm along the hinge may take a place on the leaflet forward: the leaflets' normals
// converge, and past the middle of the orifice the chart runs backwards. An assumption of the program, with room to
// spare for what lies deep.
const foldedAt = 0.25

// folds finds the first spot of the course, in steps of half a millimetre, where the chart has all but run together.
func (c *course) folds() (atlas.Spot, bool) {
	const step, h = 0.5, 0.05
	for _, l := range c.legs {
		if min(l.from.OffMM, l.to.OffMM) >= -onHingeMM {
			continue
		}
		steps := math.Ceil(math.Hypot(l.to.AlongMM-l.from.AlongMM, l.to.OffMM-l.from.OffMM) / step)
		for i := 0.0; i <= steps; i++ {
			s := l.at(i / max(steps, 1))
			way := c.heart.Chart.Frame(shifted(s, h, 0)).Sub(c.heart.Chart.Frame(shifted(s, -h, 0)))
			hinge := c.heart.Rim.At(s.AlongMM + h).Sub(c.heart.Rim.At(s.AlongMM - h))
			if s.OffMM < 0 && way.Dot(hinge) < foldedAt*hinge.Dot(hinge) {
				return s, true
			}
		}
	}
	return atlas.Spot{}, false
}

// where says a spot of the course in words.
func (c *course) where(s atlas.Spot) words.Said { return inWords(s, c.heart) }

// between says which places of the plan a leg joins.
func (c *course) between(i int) string {
	return fmt.Sprintf("from its place %d to its place %d", c.place[i]+1, c.place[i+1]+1)
}
