package placement

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// BiteMark is where a bite of the plan meets a patch's edge.
type BiteMark struct {
	Bite   string // its name
	Order  int    // its place in the plan, from 1
	At     geom.Point
	Out    geom.Point // the unit normal of the edge there, away from the patch
	EdgeMM float64    // along the sheet's edge from its first point
}

// marks are the bites that pass within reach of a patch's edge, in the order of the edge: of every pass the place of
// the edge nearest to it, and of the passes of one bite that fall within a millimetre of each other the first.
func (p *LaidPatch) marks(l *Laid, reachMM float64) (marks []BiteMark) {
	spread := l.Heart.Chart.Spread(atlas.Spot{AlongMM: p.Chart.Centroid().X, OffMM: max(p.Chart.Centroid().Y, 0)})
	for order, bite := range l.Bites {
		var own []BiteMark
		for _, pass := range bite.Passes {
			at, away := p.nearestEdge(l, pass, spread)
			if away > reachMM {
				continue
			}
			mark := p.markAt(at)
			if !slices.ContainsFunc(own, func(m BiteMark) bool { return math.Abs(m.EdgeMM-mark.EdgeMM) < 1 }) {
				mark.Bite, mark.Order = bite.Name, order+1
				own = append(own, mark)
			}
		}
		marks = append(marks, own...)
	}
	slices.SortStableFunc(marks, func(a, b BiteMark) int { return cmp.Compare(a.EdgeMM, b.EdgeMM) })
	return marks
}

// nearestEdge is the place of the outline that is to be sewn nearest to a needle's pass, in mm of tissue.
func (p *LaidPatch) nearestEdge(l *Laid, pass Pass, spread float64) (at, away float64) {
	// The pass in the turn of the rim the patch lies in.
	shift := p.Chart.Centroid().X
	middle := (pass.In.AlongMM + pass.Out.AlongMM) / 2
	turn := shift + shorterWay(l.Heart.Rim, shift, middle) - middle
	flatten := func(along, off float64) geom.Vec { return geom.Vec{X: along * spread, Y: off} }
	needle := geom.Segment{A: flatten(pass.In.AlongMM+turn, pass.In.OffMM), B: flatten(pass.Out.AlongMM+turn, pass.Out.OffMM)}
	away = math.Inf(1)
	for i := range p.Sheet.Border {
		if !p.sewn(i) {
			continue
		}
		a, b := p.chartAt(p.onto[i]), p.chartAt(p.onto[(i+1)%p.Sheet.Border])
		edge := geom.Segment{A: flatten(a.X, a.Y), B: flatten(b.X, b.Y)}
		if d, share, _ := edge.Distance(needle); d < away {
			at, away = float64(i)+min(share, 1-1e-9), d
		}
	}
	return at, away
}

// chartAt is the place of the outline at a corner and a share of the way on.
func (p *LaidPatch) chartAt(at float64) geom.Point {
	i := int(at) % len(p.Chart)
	share := at - math.Floor(at)
	a, b := p.Chart[i], p.Chart[(i+1)%len(p.Chart)]
	return geom.Point{X: a.X + share*(b.X-a.X), Y: a.Y + share*(b.Y-a.Y)}
}

// sewn tells whether the sheet's edge after a point belongs to a side that is sewn.
func (p *LaidPatch) sewn(point int) bool {
	return slices.ContainsFunc(p.Sides, func(s PatchSide) bool { return s.Sewn && point >= s.From && point < s.To })
}

// markAt is a place of the sheet's edge, by point and share of the way on.
func (p *LaidPatch) markAt(at float64) BiteMark {
	edge := p.Sheet.Edge()
	i := int(at)
	share := at - float64(i)
	a, b := edge[i], edge[(i+1)%len(edge)]
	along := math.Hypot(b.X-a.X, b.Y-a.Y)
	mark := BiteMark{
		At:  geom.Point{X: a.X + share*(b.X-a.X), Y: a.Y + share*(b.Y-a.Y)},
		Out: geom.Point{X: (b.Y - a.Y) / along, Y: (a.X - b.X) / along}, // the edge runs anticlockwise
	}
	for j := range i {
		mark.EdgeMM += math.Hypot(edge[j+1].X-edge[j].X, edge[j+1].Y-edge[j].Y)
	}
	mark.EdgeMM += share * along
	return mark
}
