package svgout

import (
	"math"
	"slices"

	"fairlead/atlas/geom"
)

// What contour looks through: a square about the hinge, halved until its pieces have the finest side. Of a structure
// that the plane grazes, a sliver narrower than that side may be missed.
const (
	contourReachMM  = 64.0
	contourHalvings = 11
	contourFinestMM = 2 * contourReachMM / (1 << contourHalvings) // 0.0625 mm
)

// outline is where the plane meets a solid's surface: closed lines, X outward and Y up from the hinge, mm of heart,
// with the solid on the left hand. Its points lie on the surface to 1e-6 mm, no farther apart than the diagonal of the
// finest square.
func (c cut) outline(solid geom.Solid) []geom.Outline {
	near := c.reaching(solid)
	if len(near) == 0 {
		return nil
	}
	t := tracer{
		distance: func(x, y float64) float64 {
			least, p := math.Inf(1), c.at(x, y)
			for _, s := range near {
				least = min(least, s.Distance(p))
			}
			return least
		},
		next: map[gridEdge]gridEdge{},
		at:   map[gridEdge]geom.Point{},
	}
	t.search(0, 0, 1<<contourHalvings)
	return t.loops()
}

// reaching is what of a solid can reach the plane: of a tube, the stretches of its axis that come within its radius. The
// rest of it has no part in the outline.
func (c cut) reaching(solid geom.Solid) (parts []geom.Solid) {
	tube, ok := solid.(geom.Tube)
	if !ok || len(tube.Axis) < 2 {
		return []geom.Solid{solid}
	}
	from := -1
	for i := 1; i <= len(tube.Axis); i++ {
		reaches := false
		if i < len(tube.Axis) {
			a, b := c.aheadMM(tube.Axis[i-1]), c.aheadMM(tube.Axis[i])
			reaches = min(a, b) <= tube.RadiusMM && max(a, b) >= -tube.RadiusMM
		}
		switch {
		case reaches && from < 0:
			from = i - 1
		case !reaches && from >= 0:
			parts = append(parts, geom.Tube{Axis: tube.Axis[from:i], RadiusMM: tube.RadiusMM})
			from = -1
		}
	}
	return parts
}

// gridEdge is a side of one of the finest squares: it starts at a corner of the grid and runs right or up.
type gridEdge struct {
	x, y int
	up   bool
}

// tracer follows the line where a signed distance is zero.
type tracer struct {
	distance func(x, y float64) float64
	starts   []gridEdge // in the order found
	next     map[gridEdge]gridEdge
	at       map[gridEdge]geom.Point
}

func gridMM(i int) float64 { return contourFinestMM*float64(i) - contourReachMM }

// search halves a square until its sides are the finest. A signed distance changes by no more than the way gone, so a
// square whose middle is farther from the surface than its corners holds none of it.
func (t *tracer) search(x, y, size int) {
	half := contourFinestMM * float64(size) / 2
	if math.Abs(t.distance(gridMM(x)+half, gridMM(y)+half)) > half*math.Sqrt2*(1+1e-9) {
		return
	}
	if size == 1 {
		t.square(x, y)
		return
	}
	h := size / 2
	t.search(x, y, h)
	t.search(x+h, y, h)
	t.search(x, y+h, h)
	t.search(x+h, y+h, h)
}

// square notes how the line runs through one of the finest squares: in going round it with the square on the left,
// from where the solid is left to where it is entered again. Where it is left twice, the middle tells which belong
// together.
func (t *tracer) square(x, y int) {
	corners := [4][2]int{{x, y}, {x + 1, y}, {x + 1, y + 1}, {x, y + 1}}
	edges := [4]gridEdge{{x, y, false}, {x + 1, y, true}, {x, y + 1, false}, {x, y, true}}
	var values [4]float64
	for i, corner := range corners {
		values[i] = t.distance(gridMM(corner[0]), gridMM(corner[1]))
	}
	var left, entered []int // sides
	for i := range edges {
		j := (i + 1) % 4
		if (values[i] < 0) == (values[j] < 0) {
			continue
		}
		if _, known := t.at[edges[i]]; !known {
			t.at[edges[i]] = t.crossing(corners[i], corners[j], values[i], values[j])
		}
		if values[i] < 0 {
			left = append(left, i)
		} else {
			entered = append(entered, i)
		}
	}
	for _, from := range left {
		to := nextAround(entered, from)
		if len(left) == 2 && t.distance(gridMM(x)+contourFinestMM/2, gridMM(y)+contourFinestMM/2) >= 0 {
			to = entered[0] + entered[1] - to
		}
		t.starts = append(t.starts, edges[from])
		t.next[edges[from]] = edges[to]
	}
}

// nextAround is the first of some sides met in going round from another.
func nextAround(sides []int, from int) int {
	for step := 1; step < 4; step++ {
		if i := (from + step) % 4; slices.Contains(sides, i) {
			return i
		}
	}
	return from
}

// crossing finds where between two corners the distance is zero, by false position that halves the weight of an end
// kept twice.
func (t *tracer) crossing(a, b [2]int, va, vb float64) geom.Point {
	const nearEnough = 1e-9
	p, q := geom.Point{X: gridMM(a[0]), Y: gridMM(a[1])}, geom.Point{X: gridMM(b[0]), Y: gridMM(b[1])}
	low, high := 0.0, 1.0
	kept := 0
	for range 60 {
		s := low + (high-low)*va/(va-vb)
		here := geom.Point{X: p.X + s*(q.X-p.X), Y: p.Y + s*(q.Y-p.Y)}
		v := t.distance(here.X, here.Y)
		if math.Abs(v) < nearEnough || high-low < 1e-12 {
			return here
		}
		if (v < 0) == (va < 0) {
			low, va = s, v
			if kept == 1 {
				vb /= 2
			}
			kept = 1
		} else {
			high, vb = s, v
			if kept == 2 {
				va /= 2
			}
			kept = 2
		}
	}
	s := (low + high) / 2
	return geom.Point{X: p.X + s*(q.X-p.X), Y: p.Y + s*(q.Y-p.Y)}
}

// loops strings the noted pieces together. A line that runs out of the square searched is left out: nothing that far
// away is drawn.
func (t *tracer) loops() (loops []geom.Outline) {
	done := map[gridEdge]bool{}
	for _, start := range t.starts {
		if done[start] {
			continue
		}
		var loop geom.Outline
		edge, closed := start, true
		for !done[edge] {
			done[edge] = true
			loop = append(loop, t.at[edge])
			if edge, closed = t.next[edge]; !closed {
				break
			}
		}
		if closed && edge == start && len(loop) > 2 {
			loops = append(loops, loop)
		}
	}
	return loops
}
