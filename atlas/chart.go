package atlas

import (
	"math"

	"fairlead/atlas/geom"
)

// Spot is a place as a surgeon says it, mm: along the rim clockwise from the anteroseptal commissure, off the hinge
// (up the atrial wall, or onto the leaflet when negative), and deep under the endocardium.
type Spot struct{ AlongMM, OffMM, DeepMM float64 }

// Chart carries spots into the frame and back. At the rim's point C with the outward normal n in the plane of the
// rim, the wall rises at an angle w:
//
//	P = C + off·(cos w·n + sin w·z) + deep·(sin w·n − cos w·z)
//
// The leaflet falls inward at a slope of its own. Between the two the surface turns smoothly over the first
// FilletMM of leaflet, so that a curve carried across the hinge has no kink. w and the slope are smooth periodic
// fields along the rim.
type Chart struct {
	rim     *Rim
	wall    geom.PeriodicSpline // radians
	leaflet geom.PeriodicSpline // radians
}

// FilletMM is the stretch of leaflet over which the surface turns from the leaflet's slope to the wall's angle.
const FilletMM = 4.0

// Frame carries a spot into the frame.
func (c *Chart) Frame(s Spot) geom.Vec {
	n := c.rim.outward(s.AlongMM)
	across, up, angle := c.profile(s.AlongMM, s.OffMM)
	sin, cos := math.Sincos(angle)
	across, up = across+s.DeepMM*sin, up-s.DeepMM*cos
	p := c.rim.At(s.AlongMM)
	return geom.Vec{X: p.X + across*n.X, Y: p.Y + across*n.Y, Z: p.Z + up}
}

// Inward is the unit vector that points from the endocardium into the tissue at a spot.
func (c *Chart) Inward(s Spot) geom.Vec {
	n := c.rim.outward(s.AlongMM)
	sin, cos := math.Sincos(c.angle(s.AlongMM, s.OffMM))
	return geom.Vec{X: sin * n.X, Y: sin * n.Y, Z: -cos}
}

// Up is the unit vector that points along the endocardium away from the hinge, up the wall, at a spot.
func (c *Chart) Up(s Spot) geom.Vec {
	n := c.rim.outward(s.AlongMM)
	sin, cos := math.Sincos(c.angle(s.AlongMM, s.OffMM))
	return geom.Vec{X: cos * n.X, Y: cos * n.Y, Z: sin}
}

// Spread is how many mm of tissue one mm along the rim becomes at a spot: the wall fans out as it rises.
func (c *Chart) Spread(s Spot) float64 {
	const h = 0.01
	a := c.Frame(Spot{s.AlongMM - h, s.OffMM, s.DeepMM})
	b := c.Frame(Spot{s.AlongMM + h, s.OffMM, s.DeepMM})
	return a.Distance(b) / (2 * h)
}

// angle is the direction of the endocardium above the plane of the rim, radians.
func (c *Chart) angle(alongMM, offMM float64) float64 {
	wall := c.wall.At(alongMM)
	if offMM >= 0 {
		return wall
	}
	leaflet := c.leaflet.At(alongMM)
	return leaflet + (wall-leaflet)*turned(1+offMM/FilletMM)
}

// turned goes smoothly from 0 at or below 0 to 1 at or above 1.
func turned(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * x * (10 + x*(6*x-15))
}

// profile follows the endocardium from the hinge: how far outward and how far up it leads, and its angle there.
func (c *Chart) profile(alongMM, offMM float64) (across, up, angle float64) {
	angle = c.angle(alongMM, offMM)
	sin, cos := math.Sincos(angle)
	if offMM >= 0 {
		return offMM * cos, offMM * sin, angle
	}
	across, up = c.fillet(alongMM, max(offMM, -FilletMM))
	if beyond := offMM + FilletMM; beyond < 0 {
		across, up = across+beyond*cos, up+beyond*sin
	}
	return across, up, angle
}

// Gauss–Legendre abscissae and weights of order 8 on [0, 1]. On a fillet that turns by less than a right angle the
// rule errs by under 1e-9 mm; what matters more, it errs the same way in both directions of the chart.
var (
	gaussAt     = [8]float64{0.0198550717512319, 0.1016667612931866, 0.2372337950418355, 0.4082826787521751, 0.5917173212478249, 0.7627662049581645, 0.8983332387068134, 0.9801449282487681}
	gaussWeight = [8]float64{0.0506142681451881, 0.1111905172266872, 0.1568533229389436, 0.1813418916891810, 0.1813418916891810, 0.1568533229389436, 0.1111905172266872, 0.0506142681451881}
)

// fillet integrates the turning stretch from the hinge to offMM in [−FilletMM, 0].
func (c *Chart) fillet(alongMM, offMM float64) (across, up float64) {
	wall, leaflet := c.wall.At(alongMM), c.leaflet.At(alongMM)
	for i, at := range gaussAt {
		sin, cos := math.Sincos(leaflet + (wall-leaflet)*turned(1+at*offMM/FilletMM))
		across, up = across+gaussWeight[i]*offMM*cos, up+gaussWeight[i]*offMM*sin
	}
	return across, up
}

// Spot finds the spot that Frame carries to p: of several, near the middle of the orifice where normals of the rim
// meet, the one closest to the hinge. It is false on the atrial side of the hinge's hollow, where the normals of the
// endocardium meet.
func (c *Chart) Spot(p geom.Vec) (Spot, bool) {
	along := c.foot(p)
	base, n := c.rim.At(along), c.rim.outward(along)
	across, up := p.Sub(base).Dot(n), p.Z-base.Z
	off, deep, ok := c.unprofile(along, across, up)
	return Spot{c.rim.Wrap(along), off, deep}, ok
}

// foot is the place of the rim whose normal plane holds p: in plan, the closest point of the rim's shadow.
func (c *Chart) foot(p geom.Vec) (alongMM float64) {
	const probes = 48
	best, bestSquared := 0.0, math.Inf(1)
	for i := range probes {
		along := c.rim.lengthMM * float64(i) / probes
		q := c.rim.At(along)
		if d := (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y); d < bestSquared {
			best, bestSquared = along, d
		}
	}
	return bisect(best-c.rim.lengthMM/probes, best+c.rim.lengthMM/probes, func(along float64) bool { return c.miss(p, along) > 0 })
}

// bisect finds where ahead turns from true at low to false at high, to the last bit that matters.
func bisect(low, high float64, ahead func(float64) bool) float64 {
	for range 60 {
		mid := (low + high) / 2
		if ahead(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// miss is how far p still lies ahead along the rim's shadow, seen from a place on it.
func (c *Chart) miss(p geom.Vec, alongMM float64) float64 {
	q, t := c.rim.At(alongMM), c.rim.tangent(alongMM)
	return ((p.X-q.X)*t.X + (p.Y-q.Y)*t.Y) / math.Hypot(t.X, t.Y)
}

// unprofile finds off and deep from the place in the normal plane.
func (c *Chart) unprofile(alongMM, across, up float64) (off, deep float64, ok bool) {
	sin, cos := math.Sincos(c.wall.At(alongMM))
	if off = across*cos + up*sin; off >= 0 {
		return off, across*sin - up*cos, true
	}
	// ahead falls as off grows towards the foot on the leaflet's profile; the surface is hollow towards the atrium,
	// so from inside the tissue there is exactly one foot.
	ahead := func(off float64) (along, under float64) {
		a, u, angle := c.profile(alongMM, off)
		sin, cos := math.Sincos(angle)
		return (across-a)*cos + (up-u)*sin, (across-a)*sin - (up-u)*cos
	}
	off = bisect(-math.Hypot(across, up)-FilletMM, 0, func(off float64) bool {
		m, _ := ahead(off)
		return m > 0
	})
	_, deep = ahead(off)
	return off, deep, deep > -c.hollow(alongMM)
}

// hollow is how far the atrial side of the fillet may be left before normals of the surface meet, mm.
func (c *Chart) hollow(alongMM float64) float64 {
	turn := c.wall.At(alongMM) - c.leaflet.At(alongMM)
	if turn <= 0 {
		return math.Inf(1)
	}
	const steepest = 1.875 // largest slope of turned
	return FilletMM / (turn * steepest)
}
