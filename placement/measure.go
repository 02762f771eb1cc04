package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// Clearance is the smallest distance from a bite's needle to one structure, less the half width of needle or
// thread, whichever is wider; negative inside.
type Clearance struct {
	Structure string // id
	Label     words.Said
	MM        float64
	At        geom.Vec // on the needle's path, nearest the structure
}

// Words says the clearance in mm to a tenth, never larger than it is.
func (c Clearance) Words() words.Number { return atMost(c.MM) }

// ball is a ball about something, to tell by one distance that it is far away.
type ball struct {
	centre geom.Vec
	radius float64
}

// gap is how far two balls are from each other at least; negative where they overlap.
func (b ball) gap(o ball) float64 { return b.centre.Distance(o.centre) - b.radius - o.radius }

// ballOf is a ball about a needle's path or a stretch of it. Of a circular arc, no point is farther from the middle
// of its chord than an end or, past the half circle, the arc's own middle; the point of the path nearest to that
// middle is one of its points.
func ballOf(path []geom.Vec) ball {
	first, last := path[0], path[len(path)-1]
	centre := first.Lerp(last, 0.5)
	return ball{centre, max(centre.Distance(first), centre.Distance(path[len(path)/2]), centre.Distance(path[(len(path)-1)/2]))}
}

// obstacle is a structure, taken apart so that most of it can be left out of a measurement.
type obstacle struct {
	atlas.Structure
	parts []part
}

type part struct {
	ball
	solid geom.Solid
}

// partPieces is how many pieces of a tube's axis go into a part.
const partPieces = 6

func newObstacle(s atlas.Structure) obstacle {
	t := obstacle{Structure: s}
	tube, ok := s.Solid.(geom.Tube)
	if !ok || len(tube.Axis) < 2 {
		t.add(s.Solid)
		return t
	}
	for from := 0; from < len(tube.Axis)-1; from += partPieces {
		to := min(from+partPieces, len(tube.Axis)-1)
		t.add(geom.Tube{Axis: tube.Axis[from : to+1], RadiusMM: tube.RadiusMM})
	}
	return t
}

func (t *obstacle) add(s geom.Solid) {
	centre, radius := s.Bound()
	t.parts = append(t.parts, part{ball{centre, radius}, s})
}

// nearest is the smaller of best and the smallest signed distance of a needle's path to the structure, and where on
// the path it is reached.
func (t obstacle) nearest(path []geom.Vec, best float64) (dist float64, at geom.Vec) {
	around, first, least := ballOf(path), 0, math.Inf(1)
	for i, p := range t.parts {
		if gap := p.gap(around); gap < least {
			first, least = i, gap
		}
	}
	if least >= best {
		return best, at
	}
	best, at = closest(path, t.parts[first].solid, best, at)
	for i, p := range t.parts {
		if i != first && p.gap(around) < best {
			best, at = closest(path, p.solid, best, at)
		}
	}
	return best, at
}

// fewPoints is how long a stretch of a path is when its chords are measured one by one.
const fewPoints = 4

// closest halves a path until what is left of it could hold the nearest point. A signed distance changes by no more
// than the way gone, so on a stretch within a ball it is at least that of the ball's centre less the radius.
func closest(path []geom.Vec, s geom.Solid, best float64, at geom.Vec) (float64, geom.Vec) {
	if len(path) <= fewPoints {
		if d, where := geom.PathDistance(path, s, best); d < best {
			return d, where
		}
		return best, at
	}
	near, far := path[:len(path)/2+1], path[len(path)/2:]
	nearLeast, farLeast := leastDistance(near, s), leastDistance(far, s)
	if farLeast < nearLeast {
		near, far, nearLeast, farLeast = far, near, farLeast, nearLeast
	}
	if nearLeast < best {
		best, at = closest(near, s, best, at)
	}
	if farLeast < best {
		best, at = closest(far, s, best, at)
	}
	return best, at
}

func leastDistance(path []geom.Vec, s geom.Solid) float64 {
	b := ballOf(path)
	return s.Distance(b.centre) - b.radius
}

// pathGap is the smaller of best and the smallest distance between two needles' paths.
func pathGap(a, b []geom.Vec, best float64) float64 {
	if ballOf(a).gap(ballOf(b)) >= best {
		return best
	}
	if len(b) > len(a) {
		a, b = b, a
	}
	if len(a) > fewPoints {
		return pathGap(a[len(a)/2:], b, pathGap(a[:len(a)/2+1], b, best))
	}
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			d, _, _ := geom.Segment{A: a[i-1], B: a[i]}.Distance(geom.Segment{A: b[j-1], B: b[j]})
			best = min(best, d)
		}
	}
	return best
}

// box is a box about a needle's path, squared up with its chord and its bow. An arc is flat, so it fits far closer
// than a ball.
type box struct {
	centre geom.Vec
	axes   [3]geom.Vec
	half   [3]float64
}

func boxOf(path []geom.Vec) box {
	first, last := path[0], path[len(path)-1]
	chord := last.Sub(first).Unit()
	bow := path[len(path)/2].Sub(first)
	bow = bow.Sub(chord.Scale(bow.Dot(chord)))
	if bow.Norm() < touchMM {
		bow = geom.Vec{} // a straight path has the chord for its only axis
	}
	bow = bow.Unit()
	b := box{centre: first, axes: [3]geom.Vec{chord, bow, chord.Cross(bow)}}
	for i, axis := range b.axes {
		low, high := 0.0, 0.0
		for _, p := range path {
			along := p.Sub(first).Dot(axis)
			low, high = min(low, along), max(high, along)
		}
		b.half[i] = (high - low) / 2
		b.centre = b.centre.Add(axis.Scale((high + low) / 2))
	}
	return b
}

// gap is how far two boxes are from each other at least: as far as the widest gap between them along an axis of
// either.
func (b box) gap(o box) (apart float64) {
	way := o.centre.Sub(b.centre)
	var across [3][3]float64
	for i, axis := range b.axes {
		for j, other := range o.axes {
			across[i][j] = math.Abs(axis.Dot(other))
		}
	}
	for i := range 3 {
		along, alongOther := math.Abs(way.Dot(b.axes[i]))-b.half[i], math.Abs(way.Dot(o.axes[i]))-o.half[i]
		for j := range 3 {
			along -= o.half[j] * across[i][j]
			alongOther -= b.half[j] * across[j][i]
		}
		apart = max(apart, along, alongOther)
	}
	return apart
}

// flatZone is a zone's outline with its along stretched to mm of tissue, so that distances to it are distances on
// the wall.
type flatZone struct {
	rim     *atlas.Rim
	middle  float64 // along
	spread  float64
	outline geom.Outline
	around  ball
}

func newFlatZone(heart *atlas.Heart, zone atlas.Zone) flatZone {
	centre := zone.Outline.Centroid()
	z := flatZone{rim: heart.Rim, middle: centre.X, spread: heart.Chart.Spread(atlas.Spot{AlongMM: centre.X, OffMM: centre.Y})}
	z.around.centre = geom.Vec{X: centre.X * z.spread, Y: centre.Y}
	for _, p := range zone.Outline {
		flat := geom.Point{X: p.X * z.spread, Y: p.Y}
		z.outline = append(z.outline, flat)
		z.around.radius = max(z.around.radius, z.around.centre.Distance(geom.Vec{X: flat.X, Y: flat.Y}))
	}
	return z
}

// depth is how near a pass comes to the zone, mm of tissue; negative: how far in. Passes that keep farther than
// withinMM are +Inf away. The pass is brought to the turn in which its middle lies nearest to the zone's.
func (z flatZone) depth(p Pass, withinMM float64) float64 {
	middle := z.middle + shorterWay(z.rim, z.middle, (p.In.AlongMM+p.Out.AlongMM)/2)
	half := (p.Out.AlongMM - p.In.AlongMM) / 2
	in := geom.Vec{X: (middle - half) * z.spread, Y: p.In.OffMM}
	out := geom.Vec{X: (middle + half) * z.spread, Y: p.Out.OffMM}
	if ballOf([]geom.Vec{in, out}).gap(z.around) > withinMM {
		return math.Inf(1)
	}
	depth := z.outline.DepthOfPath([]geom.Point{{X: in.X, Y: in.Y}, {X: out.X, Y: out.Y}})
	if math.Abs(depth) < touchMM {
		return 0
	}
	return depth
}

// touchMM is how far arithmetic may carry what lies on an edge, as a bite on the hinge does on that of the nodal
// triangle, to either side.
const touchMM = 1e-6
