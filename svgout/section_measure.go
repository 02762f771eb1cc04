package svgout

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// neighbour is a structure as a section shows it.
type neighbour struct {
	atlas.Structure
	clearance placement.Clearance
	outlines  []geom.Outline // where the plane meets it; none: it does not
	// needle and wall are the nearest points of all: on the edge of needle or thread, and on the structure.
	needle, wall geom.Vec
	furtherMM    float64 // how far along the rim the nearest wall lies: positive clockwise
	// here is the shortest way in the plane itself, from the needle's edge to the outline; none where the needle does
	// not reach the plane or lies in the structure there.
	here   [2]geom.Vec
	hereMM float64
}

func (n neighbour) met() bool { return len(n.outlines) > 0 }

// nearPlaneMM is how far off the plane still counts as in it; a clearance is shown as it is in the report when its
// shadow on the plane is as long to within the 0.01 mm that clearances are exact to.
const (
	nearPlaneMM    = 0.5
	trueDistanceMM = 0.01
)

// inPlane tells that the clearance of the report can be seen in the plane at its length.
func (n neighbour) inPlane(c cut) bool {
	if n.clearance.MM <= 0 || math.Abs(c.aheadMM(n.wall)) > nearPlaneMM || math.Abs(c.aheadMM(n.needle)) > nearPlaneMM {
		return false
	}
	shadow := math.Hypot(c.flat(n.wall).X-c.flat(n.needle).X, c.flat(n.wall).Y-c.flat(n.needle).Y)
	return n.clearance.MM-shadow < trueDistanceMM
}

// neighbours looks at every structure of the heart from the plane, nearest first.
func (c cut) neighbours(bite placement.BiteReport, needle []geom.Vec, halfMM float64) []neighbour {
	list := make([]neighbour, len(c.heart.Structures))
	for i, s := range c.heart.Structures {
		n := neighbour{Structure: s, clearance: bite.Clearances[i], outlines: c.outline(s.Solid), hereMM: math.Inf(1)}
		n.wall = s.Solid.ClosestOn(n.clearance.At)
		n.needle = n.clearance.At.Add(n.wall.Sub(n.clearance.At).Unit().Scale(halfMM))
		n.furtherMM = c.furtherMM(n.wall)
		n.measureHere(c, needle, halfMM)
		list[i] = n
	}
	slices.SortStableFunc(list, func(a, b neighbour) int { return cmp.Compare(a.clearance.MM, b.clearance.MM) })
	return list
}

// measureHere finds the shortest way in the plane, from where the needle lies in it.
func (n *neighbour) measureHere(c cut, needle []geom.Vec, halfMM float64) {
	for _, v := range needle {
		if n.Solid.Distance(v) <= halfMM {
			return
		}
	}
	best := math.Inf(1)
	var from, to geom.Vec
	for _, v := range needle {
		p := c.flat(v)
		for _, outline := range n.outlines {
			for _, q := range outline {
				if d := math.Hypot(q.X-p.X, q.Y-p.Y); d < best {
					best, from, to = d, c.at(p.X, p.Y), c.at(q.X, q.Y)
				}
			}
		}
	}
	if math.IsInf(best, 1) {
		return
	}
	n.here = [2]geom.Vec{from.Add(to.Sub(from).Unit().Scale(halfMM)), to}
	n.hereMM = best - halfMM
}

// inPlaneMM is how far off the plane a needle's path may run and still be drawn as lying in it: no more than a needle's
// width.
const inPlaneMM = 0.6

// liesIn tells whether a pass runs in the plane.
func (c cut) liesIn(p placement.Pass) bool {
	return !slices.ContainsFunc(p.Path, func(v geom.Vec) bool { return math.Abs(c.aheadMM(v)) > inPlaneMM })
}

// through are the points at which a pass goes through the plane.
func (c cut) through(p placement.Pass) (points []geom.Vec) {
	for i := 1; i < len(p.Path); i++ {
		a, b := c.aheadMM(p.Path[i-1]), c.aheadMM(p.Path[i])
		if (a < 0) != (b < 0) {
			points = append(points, p.Path[i-1].Lerp(p.Path[i], a/(a-b)))
		}
	}
	return points
}

// onPlaneMM is how far off the plane a point may lie to be measured from as if in it: at half a millimetre's distance that
// errs by 0.01 mm.
const onPlaneMM = 0.1

// needleIn is where the passes of a bite lie in the plane: the points at which they go through, and those of their paths
// that run in it.
func (c cut) needleIn(passes []placement.Pass) (points []geom.Vec) {
	for _, p := range passes {
		points = append(points, c.through(p)...)
		for _, v := range p.Path {
			if math.Abs(c.aheadMM(v)) <= onPlaneMM {
				points = append(points, v)
			}
		}
	}
	return points
}
