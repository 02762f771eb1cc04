package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// shadow is a tube seen along the chart's own depth: its outline, and the course of its middle with how deep it lies.
type shadow struct {
	outline, middle []atlas.Spot
}

// shadowOf looks at a tube through the endocardium. The edge at a place of the axis is as far to the side as the tube's
// own skin goes there, and the ends are round.
func (u unrolled) shadowOf(tube geom.Tube) shadow {
	const places = 28 // along the axis; the edge is drawn smooth through them
	middle := u.spots(tube.Axis)
	last := len(middle) - 1
	pieces := min(places, last)
	var left, right []atlas.Spot
	for piece := range pieces + 1 {
		i := piece * last / pieces
		at, before, after := middle[i], middle[max(i-1, 0)], middle[min(i+1, last)]
		course := Point{after.AlongMM - before.AlongMM, after.OffMM - before.OffMM}.unit()
		side := Point{-course.Y, course.X}
		skin := u.skin(tube, i, at)
		left, right = append(left, farthest(skin, at, side)), append(right, farthest(skin, at, side.Times(-1)))
		switch i {
		case 0:
			left = append(u.cap(skin, at, side.Times(-1), course.Times(-1), side), left...)
		case last:
			left = append(left, u.cap(skin, at, side, course, side.Times(-1))...)
		}
	}
	slices.Reverse(right)
	return shadow{append(left, right...), middle}
}

// skin are places on a ball about a place of the axis, as they fall on the chart.
func (u unrolled) skin(tube geom.Tube, i int, at atlas.Spot) []atlas.Spot {
	r := tube.RadiusMM
	return u.onChart(geom.Ellipsoid{Centre: tube.Axis[i], Axes: [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}}, Radii: [3]float64{r, r, r}}, at, 8, 12)
}

// cap rounds an end off: from one side over the way on to the other.
func (u unrolled) cap(skin []atlas.Spot, at atlas.Spot, from, over, to Point) (spots []atlas.Spot) {
	for _, d := range []Point{from.Times(0.87).Plus(over.Times(0.5)), from.Times(0.5).Plus(over.Times(0.87)), over, to.Times(0.5).Plus(over.Times(0.87)), to.Times(0.87).Plus(over.Times(0.5))} {
		spots = append(spots, farthest(skin, at, d))
	}
	return spots
}

// farthest is the place on the edge in a direction, as far out as any of some places goes in it.
func farthest(places []atlas.Spot, from atlas.Spot, direction Point) atlas.Spot {
	reach := 0.0
	for _, p := range places {
		reach = math.Max(reach, Point{p.AlongMM - from.AlongMM, p.OffMM - from.OffMM}.dot(direction))
	}
	return atlas.Spot{AlongMM: from.AlongMM + reach*direction.X, OffMM: from.OffMM + reach*direction.Y}
}

// onChart are places all over an ellipsoid as they fall on the chart, their along near that of its middle.
func (u unrolled) onChart(e geom.Ellipsoid, middle atlas.Spot, rings, around int) []atlas.Spot {
	spots := make([]atlas.Spot, 0, rings*around)
	for i := range rings {
		up, out := math.Sincos(math.Pi * ((float64(i)+0.5)/float64(rings) - 0.5))
		for j := range around {
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(around))
			p := e.Centre
			for k, share := range [3]float64{out * cos, out * sin, up} {
				p = p.Add(e.Axes[k].Scale(share * e.Radii[k]))
			}
			spot, _ := u.heart.Chart.Spot(p)
			spot.AlongMM = middle.AlongMM + math.Remainder(spot.AlongMM-middle.AlongMM, u.rimMM())
			spots = append(spots, spot)
		}
	}
	return spots
}

// ellipsoidShadow is the outline of a small ellipsoid, seen along the chart's depth: the envelope of the lines that its
// skin reaches in each direction.
func (u unrolled) ellipsoidShadow(e geom.Ellipsoid) shadow {
	middle := u.spots([]geom.Vec{e.Centre})
	skin := u.onChart(e, middle[0], 24, 48)
	const corners = 40
	const turn = 2 * math.Pi / corners
	var reach [corners]float64
	direction := func(i int) Point {
		sin, cos := math.Sincos(turn * float64(i))
		return Point{cos, sin}
	}
	for i := range reach {
		far := farthest(skin, middle[0], direction(i))
		reach[i] = math.Hypot(far.AlongMM-middle[0].AlongMM, far.OffMM-middle[0].OffMM)
	}
	outline := make([]atlas.Spot, corners)
	for i := range outline {
		ahead, aside := direction(i), direction(i+corners/4)
		slope := (reach[(i+1)%corners] - reach[(i+corners-1)%corners]) / (2 * turn)
		p := ahead.Times(reach[i]).Plus(aside.Times(slope))
		outline[i] = atlas.Spot{AlongMM: middle[0].AlongMM + p.X, OffMM: middle[0].OffMM + p.Y}
	}
	return shadow{outline, middle}
}

// facing is how deep under the endocardium an ellipsoid's near wall lies at a place of the chart; +Inf where it does
// not lie under it.
func (u unrolled) facing(e geom.Ellipsoid, at atlas.Spot) float64 {
	from, way := u.heart.Chart.Frame(at).Sub(e.Centre), u.heart.Chart.Inward(at)
	var a, b, c float64
	for i, axis := range e.Axes {
		p, d := from.Dot(axis)/e.Radii[i], way.Dot(axis)/e.Radii[i]
		a, b, c = a+d*d, b+p*d, c+p*p
	}
	root := b*b - a*(c-1)
	if root < 0 || -b+math.Sqrt(root) < 0 {
		return math.Inf(1)
	}
	return math.Max(0, (-b-math.Sqrt(root))/a)
}

// level is a line of the same depth.
type level struct {
	depthMM float64
	outline []atlas.Spot
}

// levelsOf are lines of the same depth of an ellipsoid's near wall, mm under the endocardium: every second millimetre
// as far as a needle could be meant to go, the deepest first.
func (u unrolled) levelsOf(e geom.Ellipsoid) (levels []level) {
	const stepMM, deepest, corners = 2.0, 4.0, 72
	middle := u.spots([]geom.Vec{e.Centre})[0]
	middle.DeepMM = 0
	reach := 2 * math.Max(e.Radii[0], math.Max(e.Radii[1], e.Radii[2]))
	for depth := deepest; depth > 0; depth -= stepMM {
		if u.facing(e, middle) >= depth {
			break
		}
		line := level{depthMM: depth}
		for i := range corners {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
			within, beyond := 0.0, reach
			out := func(mm float64) atlas.Spot {
				return atlas.Spot{AlongMM: middle.AlongMM + mm*cos, OffMM: middle.OffMM + mm*sin}
			}
			for range 30 {
				if mm := (within + beyond) / 2; u.facing(e, out(mm)) < depth {
					within = mm
				} else {
					beyond = mm
				}
			}
			line.outline = append(line.outline, out(within))
		}
		levels = append(levels, line)
	}
	return levels
}

// sounding is a depth written on the strip: at a place of a vessel or the axis, and which way across it lies.
type sounding struct {
	at     atlas.Spot
	across Point // on the paper
}

// alikeMM is how little a depth may change for one number to tell it all.
const alikeMM = 0.25

// soundings are the places where the middle of a tube passes even depths, in steps of which it passes so many at most.
func (s strip) soundings(middle []atlas.Spot, most float64) (found []sounding) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, spot := range middle {
		low, high = math.Min(low, spot.DeepMM), math.Max(high, spot.DeepMM)
	}
	points := s.papers(middle)
	if i := len(middle) / 2; high-low < alikeMM && i > 0 {
		course := points[i].Minus(points[i-1]).unit()
		return []sounding{{middle[i], Point{-course.Y, course.X}}}
	}
	step := 0.5
	for (high-low)/step > most {
		step *= 2
	}
	for i := 1; i < len(middle); i++ {
		before, here := middle[i-1].DeepMM/step, middle[i].DeepMM/step
		even := math.Ceil(math.Min(before, here))
		if math.Floor(before) == math.Floor(here) && before != even || before == here {
			continue
		}
		t := (even - before) / (here - before)
		if t < 0 || t > 1 {
			continue
		}
		course := points[i].Minus(points[i-1]).unit()
		at := atlas.Spot{AlongMM: middle[i-1].AlongMM + t*(middle[i].AlongMM-middle[i-1].AlongMM), OffMM: middle[i-1].OffMM + t*(middle[i].OffMM-middle[i-1].OffMM), DeepMM: even * step}
		found = append(found, sounding{at, Point{-course.Y, course.X}})
	}
	return found
}

func (r Reader) depthText(mm float64) string {
	return r.Language.Number(words.Fixed(math.Round(mm*10)/10, 1))
}
