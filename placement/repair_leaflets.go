package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// goneLeafletMM is the hinge below which a leaflet counts as taken away.
const goneLeafletMM = 1.0

// borderRoomMM is how far a new commissure must be from those there are.
const borderRoomMM = 2.0

// closeCleft makes the anterior leaflet whole.
func (r *repairLayer) closeCleft(step RepairStep) {
	if !r.Plan.Valve.Cleft {
		r.problems.Add(step.At, "repair: close-cleft, but this valve has no cleft", "a valve with a cleft", "write valve: { cleft: true }, or leave the step out")
		return
	}
	r.repair.Cleft = false
}

// part parts the leaflet at a place in two.
func (r *repairLayer) part(step RepairStep) {
	wrong := len(*r.problems)
	if checkPlace("repair: the new commissure", step.Border, r.Heart, r.problems); len(*r.problems) > wrong {
		return
	}
	at := resolve(step.Border, r.Heart).AlongMM
	for i, leaflet := range r.repair.Leaflets {
		into := r.Heart.Rim.Span(leaflet.FromMM, at)
		if into < borderRoomMM || into > leaflet.ForMM-borderRoomMM {
			continue
		}
		first, second := leaflet.Parted(into)
		r.repair.Leaflets = append(append(append([]atlas.Leaflet(nil), r.repair.Leaflets[:i]...), first, second), r.repair.Leaflets[i+1:]...)
		return
	}
	r.problems.Add(step.At, fmt.Sprintf("repair: the new commissure lies within %s mm of one there is", exact(borderRoomMM)), "a place within a leaflet", "move it")
}

// dropLeaflets leaves out the leaflets whose hinge was taken away; their neighbours then meet.
func (r *repairLayer) dropLeaflets() {
	var left []atlas.Leaflet
	for _, leaflet := range r.repair.Leaflets {
		if r.drawing.lengthMM(leaflet.FromMM, leaflet.ForMM) >= goneLeafletMM {
			left = append(left, leaflet)
		}
	}
	r.repair.Leaflets = left
}

// CoveringLeaflet is a leaflet of the repaired valve, and whether it can still close its part of the orifice.
//
// The model is plain: every place of the orifice, seen from the atrium, belongs to the leaflet whose hinge is nearest,
// so that leaflets meet where their hinges are equally far; and each must reach the farthest place that belongs to it,
// flat and straight. What is left of its height beyond that can lie against the others. A leaflet that is drawn down by
// its chords, or bulges, reaches less far.
type CoveringLeaflet struct {
	Name          string
	FromMM, ForMM float64 // its hinge on the rim before
	HingeMM       float64 // how long its hinge is after
	HeightMM      float64 // from the middle of its hinge to its free edge
	Measured      bool    // the height was
	ReachMM       float64 // to the farthest place that belongs to it, after
	ReachBeforeMM float64 // the same on the rim before; 0 for a leaflet that was not there
	Cleft         bool
}

// Short is what the leaflet is called, without the noun: anterior.
func (c CoveringLeaflet) Short() words.Said { return atlas.Leaflet{Name: c.Name}.Short() }

// CoverMM is what is left to lie against the other leaflets; negative: it does not reach them.
func (c CoveringLeaflet) CoverMM() float64 { return c.HeightMM - c.ReachMM }

// middleOverMean is the height of half an ellipse in its middle over its mean height. The height that is expected of
// leaflets is their area over their hinge, so a mean; that their outline is half an ellipse is an assumption. What is
// measured, is measured in the middle.
const middleOverMean = 4 / math.Pi

func (l *Laid) leafletHeight() (heightMM float64, measured bool) {
	height, _ := l.Heart.Value("leaflet-height")
	if height.Measured {
		return height.Here, true
	}
	return height.Here * middleOverMean, false
}

// coveringLeaflets measures the leaflets of the repaired valve.
func (l *Laid) coveringLeaflets() []CoveringLeaflet {
	height, measured := l.leafletHeight()
	r := l.Repair
	reach := reaches(hingePoints(r.Gathered.Rim), l.owners(r.Leaflets, r.Gathered.Rim, r.Gathered.Before), len(r.Leaflets))
	valve := l.Heart.Leaflets()
	same := func(along float64) float64 { return along }
	reachBefore := reaches(hingePoints(l.Heart.Rim), l.owners(valve, l.Heart.Rim, same), len(valve))
	covering := make([]CoveringLeaflet, len(r.Leaflets))
	for i, leaflet := range r.Leaflets {
		c := CoveringLeaflet{Name: leaflet.Name, FromMM: leaflet.FromMM, ForMM: leaflet.ForMM, HeightMM: height, Measured: measured, ReachMM: reach[i]}
		c.HingeMM = r.Gathered.Along(leaflet.FromMM+leaflet.ForMM) - r.Gathered.Along(leaflet.FromMM)
		c.Cleft = r.Cleft && leaflet.Name == Anterior
		for j, was := range valve {
			if was.Name == leaflet.Name {
				c.ReachBeforeMM = reachBefore[j]
			}
		}
		covering[i] = c
	}
	return covering
}

// hingeSamples is how many points stand for the hinge. The nearest of them is farther than the nearest place of a rim
// of 105 mm by less than 0.01 mm, from 2 mm off it on.
const hingeSamples = 240

func hingePoints(rim *atlas.Rim) []geom.Point {
	points := make([]geom.Point, hingeSamples)
	for i, p := range rim.Sample(hingeSamples) {
		points[i] = geom.Point{X: p.X, Y: p.Y}
	}
	return points
}

// owners tells for each point of the hinge which leaflet hangs there; -1: none.
func (l *Laid) owners(leaflets []atlas.Leaflet, rim *atlas.Rim, before func(float64) float64) []int {
	owners := make([]int, hingeSamples)
	for i := range owners {
		owners[i] = -1
		at := before(rim.LengthMM() * float64(i) / hingeSamples)
		for j, leaflet := range leaflets {
			if l.Heart.Rim.Span(leaflet.FromMM, at) < leaflet.ForMM {
				owners[i] = j
			}
		}
	}
	return owners
}

// reaches is for each leaflet the distance from its hinge to the farthest place within the hinge line that is nearer to
// its hinge than to another's; 0 for one without hinge. Places between the hinge and its middle find about where that
// is, smaller and smaller steps find it to 0.01 mm.
func reaches(hinge []geom.Point, owner []int, leaflets int) []float64 {
	const shares = 12
	outline := geom.Outline(hinge)
	middle := outline.Centroid()
	reach, farthest := make([]float64, leaflets), make([]geom.Point, leaflets)
	for _, h := range hinge {
		for i := 1; i <= shares; i++ {
			share := float64(i) / shares
			p := geom.Point{X: h.X + share*(middle.X-h.X), Y: h.Y + share*(middle.Y-h.Y)}
			if who, far := nearestHinge(hinge, owner, p); who >= 0 && far > reach[who] && outline.Contains(p) {
				reach[who], farthest[who] = far, p
			}
		}
	}
	step := max(math.Abs(hinge[0].X-middle.X), math.Abs(hinge[0].Y-middle.Y)) / shares
	for who := range reach {
		if reach[who] > 0 {
			reach[who] = climb(hinge, owner, who, farthest[who], step)
		}
	}
	return reach
}

// climb goes on from a place to ever farther ones of the same leaflet, within the hinge line.
func climb(hinge []geom.Point, owner []int, leaflet int, from geom.Point, step float64) float64 {
	_, best := nearestHinge(hinge, owner, from)
	for step > 0.005 {
		moved := false
		for turn := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(turn) / 16)
			p := geom.Point{X: from.X + step*cos, Y: from.Y + step*sin}
			if who, far := nearestHinge(hinge, owner, p); who == leaflet && far > best && geom.Outline(hinge).Contains(p) {
				from, best, moved = p, far, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	return best
}

// nearestHinge is whose hinge is nearest to a place, and how far.
func nearestHinge(hinge []geom.Point, owner []int, p geom.Point) (who int, far float64) {
	who, square := -1, math.Inf(1)
	for i, h := range hinge {
		x, y := h.X-p.X, h.Y-p.Y
		if d := x*x + y*y; d < square && owner[i] >= 0 {
			who, square = owner[i], d
		}
	}
	return who, math.Sqrt(square)
}
