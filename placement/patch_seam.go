package placement

import (
	"math"

	"fairlead/atlas/geom"
)

// How finely a cutting line is followed.
const (
	seamStepMM = 0.25
	seamTurn   = 0.1 // radians, round a corner
)

// seamed is the line to cut along: everywhere as far outside an outline, which runs anticlockwise, as the seam is wide,
// with round corners. Where the outline is hollow the lines of two sides meet; their ends are joined across the last
// step, so that the seam is there never narrower than asked and by less than a step wider.
func seamed(outline geom.Outline, seamMM float64) geom.Outline {
	if seamMM == 0 {
		return append(geom.Outline{}, outline...)
	}
	var cut geom.Outline
	keep := func(p geom.Point) {
		if outline.SignedDistance(p) > seamMM-1e-9 {
			cut = append(cut, p)
		}
	}
	n := len(outline)
	for i, p := range outline {
		before, after := outline[(i+n-1)%n], outline[(i+1)%n]
		from, to := heading(before, p), heading(p, after)
		turn := math.Remainder(to-from, 2*math.Pi)
		if turn > 0 { // round about the corner
			pieces := int(math.Ceil(max(turn*seamMM/seamStepMM, turn/seamTurn)))
			for j := range pieces {
				keep(outside(p, from+turn*float64(j)/float64(pieces), seamMM))
			}
		}
		pieces := max(1, int(math.Ceil(math.Hypot(after.X-p.X, after.Y-p.Y)/seamStepMM)))
		for j := range pieces {
			share := float64(j) / float64(pieces)
			keep(outside(geom.Point{X: p.X + share*(after.X-p.X), Y: p.Y + share*(after.Y-p.Y)}, to, seamMM))
		}
	}
	return cut
}

func heading(from, to geom.Point) float64 { return math.Atan2(to.Y-from.Y, to.X-from.X) }

// outside is the point beside an edge of a heading, on its right hand.
func outside(p geom.Point, heading, byMM float64) geom.Point {
	sin, cos := math.Sincos(heading)
	return geom.Point{X: p.X + byMM*sin, Y: p.Y - byMM*cos}
}
