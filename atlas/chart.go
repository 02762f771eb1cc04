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
// FilletMM of leaflet, so that a curve carried across the hinge has no kink. w is a smooth
// periodic field along the rim; the slope is the same all round.
type Chart struct {
	rim     *Rim
	wall    geom.PeriodicSpline // radians above the plane of the rim
	leaflet float64             // radians, the same all round
}

// FilletMM is the stretch of leaflet over which the surface turns from the leaflet's slope to the wall's angle.
const FilletMM = 4.0

// Frame carries a spot into the frame.
func (c *Chart) Frame(s Spot) geom.Vec {
	p, u := c.rim.piece(s.AlongMM)
	n := outwardOf(p.tangent(u))
	across, up, angle := c.slant(s.AlongMM).profile(s.OffMM)
	sin, cos := math.Sincos(angle)
	across, up = across+s.DeepMM*sin, up-s.DeepMM*cos
	return p.at(u).Add(geom.Vec{X: across * n.X, Y: across * n.Y, Z: up})
}

// Inward is the unit vector in which DeepMM is counted at a spot. It stands at right angles to Up and to the rim's
// course in plan; where the saddle climbs, the perpendicular to the endocardium leans off it, along the rim, by less
// than the saddle climbs.
func (c *Chart) Inward(s Spot) geom.Vec {
	n := c.rim.outward(s.AlongMM)
	sin, cos := math.Sincos(c.slant(s.AlongMM).angle(s.OffMM))
	return geom.Vec{X: sin * n.X, Y: sin * n.Y, Z: -cos}
}

// perpendicular is the unit vector at right angles to the endocardium, into the tissue, at a spot.
func (c *Chart) perpendicular(s Spot) geom.Vec {
	const h = 0.01
	ahead := c.Frame(Spot{s.AlongMM + h, s.OffMM, 0}).Sub(c.Frame(Spot{s.AlongMM - h, s.OffMM, 0}))
	return c.Up(s).Cross(ahead).Unit()
}

// Up is the unit vector that points along the endocardium away from the hinge, up the wall, at a spot.
func (c *Chart) Up(s Spot) geom.Vec {
	n := c.rim.outward(s.AlongMM)
	sin, cos := math.Sincos(c.slant(s.AlongMM).angle(s.OffMM))
	return geom.Vec{X: cos * n.X, Y: cos * n.Y, Z: sin}
}

// Spread is how many mm of tissue one mm along the rim becomes at a spot: the wall fans out as it rises.
func (c *Chart) Spread(s Spot) float64 {
	const h = 0.01
	a := c.Frame(Spot{s.AlongMM - h, s.OffMM, s.DeepMM})
	b := c.Frame(Spot{s.AlongMM + h, s.OffMM, s.DeepMM})
	return a.Distance(b) / (2 * h)
}

// slant is how the endocardium leaves the plane of the rim at one place along it, radians: up the wall, and down the
// leaflet.
type slant struct{ wall, leaflet float64 }

func (c *Chart) slant(alongMM float64) slant {
	return slant{c.wall.At(alongMM), c.leaflet}
}

// angle is the direction of the endocardium above the plane of the rim, radians.
func (l slant) angle(offMM float64) float64 {
	if offMM >= 0 {
		return l.wall
	}
	return l.leaflet + (l.wall-l.leaflet)*turned(1+offMM/FilletMM)
}

// bend is by how much the angle grows with off, radians per mm.
func (l slant) bend(offMM float64) float64 {
	x := min(max(1+offMM/FilletMM, 0), 1)
	return (l.wall - l.leaflet) * 30 * x * x * (1 - x) * (1 - x) / FilletMM
}

// turned goes smoothly from 0 at or below 0 to 1 at or above 1.
func turned(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * x * (10 + x*(6*x-15))
}

// steepestTurn is the largest slope of turned.
const steepestTurn = 1.875

// profile follows the endocardium from the hinge: how far outward and how far up it leads, and its angle there.
func (l slant) profile(offMM float64) (across, up, angle float64) {
	angle = l.angle(offMM)
	sin, cos := math.Sincos(angle)
	if offMM >= 0 {
		return offMM * cos, offMM * sin, angle
	}
	across, up = l.fillet(max(offMM, -FilletMM))
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
func (l slant) fillet(offMM float64) (across, up float64) {
	for i, at := range gaussAt {
		sin, cos := math.Sincos(l.angle(at * offMM))
		across, up = across+gaussWeight[i]*offMM*cos, up+gaussWeight[i]*offMM*sin
	}
	return across, up
}

// Spot finds the spot that Frame carries to p: of several, near the middle of the orifice where normals of the rim
// meet, the one closest to the hinge. It is false where normals of the endocardium may meet, far out in the hollow
// that wall and leaflet make at the hinge.
func (c *Chart) Spot(p geom.Vec) (Spot, bool) {
	along := c.foot(p)
	base, n := c.rim.At(along), c.rim.outward(along)
	across, up := p.Sub(base).Dot(n), p.Z-base.Z
	l := c.slant(along)
	off, deep := l.unprofile(across, up)
	return Spot{c.rim.Wrap(along), off, deep}, l.apart(off, deep)
}

// foot is the place of the rim whose normal plane holds p: in plan, the closest point of the rim's shadow.
func (c *Chart) foot(p geom.Vec) (alongMM float64) {
	best, bestSquared := 0, math.Inf(1)
	for i := range c.rim.pieces {
		q := &c.rim.pieces[i].value
		if d := (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y); d < bestSquared {
			best, bestSquared = i, d
		}
	}
	width := c.rim.lengthMM / float64(len(c.rim.pieces))
	along := float64(best) * width
	// Ahead of the foot p lies behind, and the other way round.
	return falls(along-width, along, along+width, func(along float64) (ahead, slope float64) {
		piece, u := c.rim.piece(along)
		q, t, bend := piece.at(u), piece.tangent(u), piece.bend(u)
		x, y := p.X-q.X, p.Y-q.Y
		return x*t.X + y*t.Y, x*bend.X + y*bend.Y - t.X*t.X - t.Y*t.Y
	})
}

// falls finds where a function falls through 0 between low and high, to 1e-12: by Newton's steps from a first guess,
// by halving where they lead out of what is left or do not get shorter fast enough to be sure of an end.
func falls(low, guess, high float64, f func(float64) (value, slope float64)) float64 {
	x, stride := guess, high-low
	for range 200 {
		value, slope := f(x)
		if value > 0 {
			low = x
		} else {
			high = x
		}
		next := x - value/slope
		if !(next >= low && next <= high && math.Abs(next-x) <= stride/2) {
			next = (low + high) / 2
		}
		stride = math.Abs(next - x)
		if stride < 1e-12 {
			return next
		}
		x = next
	}
	return x
}

// unprofile finds off and deep from the place in the normal plane.
func (l slant) unprofile(across, up float64) (off, deep float64) {
	sin, cos := math.Sincos(l.wall)
	if off = across*cos + up*sin; off >= 0 {
		return off, across*sin - up*cos
	}
	low := -math.Hypot(across, up) - FilletMM
	off = falls(low, max(off, low), 0, func(off float64) (ahead, slope float64) {
		ahead, deep = l.beside(off, across, up)
		return ahead, -1 - deep*l.bend(off)
	})
	_, deep = l.beside(off, across, up)
	return off, deep
}

// beside is where a place in the normal plane lies, seen from the endocardium at off: ahead up it, and under it.
func (l slant) beside(offMM, across, up float64) (ahead, under float64) {
	a, u, angle := l.profile(offMM)
	sin, cos := math.Sincos(angle)
	return (across-a)*cos + (up-u)*sin, (across-a)*sin - (up-u)*cos
}

// apart tells whether a place is so near the endocardium that no other normal of it can run there. On the side where
// the fillet is hollow, they meet at the soonest at its smallest radius, and later the farther off it they start: the
// two bounds hold both, the second grows.
func (l slant) apart(offMM, deepMM float64) bool {
	turn := math.Abs(l.wall - l.leaflet)
	beyond := max(offMM, -offMM-FilletMM, 0)
	room := max(FilletMM/(steepestTurn*turn), (FilletMM/steepestTurn+beyond)/math.Tan(turn))
	if l.wall > l.leaflet { // hollow towards the atrium
		return deepMM > -room
	}
	return deepMM < room
}
