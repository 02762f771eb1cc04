package geom

import "math"

// Ellipsoid is a solid ellipsoid: Centre, three orthonormal Axes and the Radii
// along them, in mm. A radius is read without its sign, and one below
// ThinnestMM as ThinnestMM.
type Ellipsoid struct {
	Centre Vec
	Axes   [3]Vec
	Radii  [3]float64
}

// ThinnestMM is the smallest radius that an Ellipsoid has. Lifting a radius of 0
// to it moves the surface, and so the distance, by at most as much.
const ThinnestMM = 1e-9

// EllipsoidErrorPerMM bounds the error of Ellipsoid.Distance as a fraction of the
// larger of the largest radius and the distance from the centre. See
// localEllipsoid.foot: the answer is n·y - h(n), which is at its largest at the
// true normal, so an error δ of the normal costs only δ²; the search for it
// stops at δ below 1e-10, which leaves the rounding of some thirty operations.
const EllipsoidErrorPerMM = 1.0 / (1 << 47)

// Distance returns the signed distance of p in mm, negative inside. It is right
// to EllipsoidErrorPerMM, at the centre, on the axes and for flat shapes too.
func (e Ellipsoid) Distance(p Vec) float64 {
	l := e.local()
	dist, _, _ := l.foot(l.in(p.Sub(e.Centre)))
	return dist
}

// ClosestOn returns the point of the surface closest to p. Where several tie, as
// they do about the centre, it answers one of them.
func (e Ellipsoid) ClosestOn(p Vec) Vec {
	l := e.local()
	_, _, on := l.foot(l.in(p.Sub(e.Centre)))
	return e.Centre.Add(l.out(on))
}

// Bound returns the ball about the centre with the largest radius.
func (e Ellipsoid) Bound() (centre Vec, radius float64) {
	return e.Centre, e.local().r.Z
}

// localEllipsoid is the ellipsoid in its own frame: centre at the origin, axes
// x, y, z in the order of their radii, smallest first.
type localEllipsoid struct {
	x, y, z Vec // the axes, in the world
	r       Vec // the radii: r.X ≤ r.Y ≤ r.Z
	// dy and dz are r.Y² - r.X² and r.Z² - r.X².
	dy, dz float64
}

// local puts the axes in order.
func (e *Ellipsoid) local() (l localEllipsoid) {
	a, b, c := thickness(e.Radii[0]), thickness(e.Radii[1]), thickness(e.Radii[2])
	i, j, k := 0, 1, 2
	if a > b {
		a, b, i, j = b, a, j, i
	}
	if b > c {
		b, c, j, k = c, b, k, j
	}
	if a > b {
		a, b, i, j = b, a, j, i
	}
	l.x, l.y, l.z = e.Axes[i], e.Axes[j], e.Axes[k]
	l.r = Vec{a, b, c}
	l.dy, l.dz = (b-a)*(b+a), (c-a)*(c+a)
	return l
}

// thickness is a radius as the Ellipsoid's doc comment has it read.
func thickness(radius float64) float64 { return max(math.Abs(radius), ThinnestMM) }

// in turns a direction of the world into the frame.
func (l *localEllipsoid) in(v Vec) Vec { return Vec{l.x.Dot(v), l.y.Dot(v), l.z.Dot(v)} }

// out turns a direction of the frame into the world.
func (l *localEllipsoid) out(v Vec) Vec {
	return l.x.Scale(v.X).Add(l.y.Scale(v.Y)).Add(l.z.Scale(v.Z))
}

// negligible is the coordinate, in mm, below which a point counts as lying on
// the plane through the centre. The distance changes by no more than that, and
// squares keep clear of underflow. Arcs take points this close for one.
const negligible = 1e-30

// settle is x, or 0 where it is negligible.
func settle(x float64) float64 {
	if math.Abs(x) < negligible {
		return 0
	}
	return x
}

// foot finds the signed distance of y, the outward unit normal where it is
// taken, and the surface point.
//
// The surface point is x = r²·y/(τ+δ) by components, with δ = r² - r.X² and the
// one τ ≥ 0 that puts x on the surface: |v| = 1 with v = r·m, m = y/(τ+δ), while
// m points along the normal. The signed distance of a convex body is the largest
// value of n·y - h(n) over unit normals n, where the support h(n) is |r·n|
// (standard). That form is used for the answer because it does not feel a small
// error of n, inside as well as outside.
func (l *localEllipsoid) foot(y Vec) (dist float64, n, on Vec) {
	m, _ := l.normal(y)
	v := Vec{l.r.X * m.X, l.r.Y * m.Y, l.r.Z * m.Z}
	support, size := math.Sqrt(v.Dot(v)), 1/math.Sqrt(m.Dot(m))
	n = m.Scale(size)
	on = Vec{l.r.X * v.X, l.r.Y * v.Y, l.r.Z * v.Z}.Scale(1 / support)
	return (m.Dot(y) - support) * size, n, on
}

// normal finds m, the outward normal at the foot of y, at such a length that
// |r·m| is 1, and share, the factors 1/(τ+δ) that turn y into m. Where the foot
// is one of two (see normalOnPlane) there are no such factors and share is zero.
func (l *localEllipsoid) normal(y Vec) (m, share Vec) {
	y = Vec{settle(y.X), settle(y.Y), settle(y.Z)}
	c := Vec{l.r.X * math.Abs(y.X), l.r.Y * math.Abs(y.Y), l.r.Z * math.Abs(y.Z)}
	// Each group of components alone, with the group's largest δ for all, makes
	// |v| too small, so the τ that brings it to 1 is too small as well.
	xy := c.X*c.X + c.Y*c.Y
	all := math.Sqrt(xy + c.Z*c.Z)
	low := max(c.X, math.Sqrt(xy)-l.dy, all-l.dz)
	if low <= 0 {
		if m, ok := l.normalOnPlane(y); ok {
			return m, Vec{}
		}
		low = negligible
	}
	tau := l.solve(c, low, all)
	share = Vec{1 / tau, 1 / (tau + l.dy), 1 / (tau + l.dz)}
	return Vec{y.X * share.X, y.Y * share.Y, y.Z * share.Z}, share
}

// normalOnPlane is the normal for a point on the plane square to the shortest
// axis and near enough to the centre that the closest surface points lie off the
// plane, one on either side; it takes the upper one. τ is 0 there, and what the
// other two components lack to |v| = 1 the first makes up.
func (l *localEllipsoid) normalOnPlane(y Vec) (m Vec, ok bool) {
	if l.dy > 0 {
		m.Y = y.Y / l.dy
	}
	if l.dz > 0 {
		m.Z = y.Z / l.dz
	}
	v, w := l.r.Y*m.Y, l.r.Z*m.Z
	rest := 1 - v*v - w*w
	m.X = math.Sqrt(max(0, rest)) / l.r.X
	return m, rest >= 0
}

// The search for τ: newtonRounds steps of Newton's method, and bisection of the
// exponent between further ones. A step below settled, relative to τ, leaves an
// error of its square.
const (
	newtonRounds = 8
	searchRounds = 120
	settled      = 1e-7
)

// solve finds the τ in low..high with |c/(τ+δ)| = 1. 1/|v| is increasing and
// concave in τ and nearly straight, so Newton's method on it climbs from below
// without overshooting (standard; it is the secular equation of trust-region
// methods, as Moré and Sorensen treat it). Near the edge of the region where τ
// is 0 the climb is slow, a factor of 1.5 a step; there, halving the range of
// exponents helps.
func (l *localEllipsoid) solve(c Vec, low, high float64) float64 {
	tau := low
	for round := range searchRounds {
		ix, iy, iz := 1/tau, 1/(tau+l.dy), 1/(tau+l.dz)
		vx, vy, vz := c.X*ix, c.Y*iy, c.Z*iz
		x, y, z := vx*vx, vy*vy, vz*vz
		square := x + y + z
		// With φ = 1/|v| - 1 and φ' = Σ v²/(τ+δ) / |v|³.
		step := square * (math.Sqrt(square) - 1) / (x*ix + y*iy + z*iz)
		if square >= 1 {
			low = tau
		} else {
			high = tau
		}
		next := tau + step
		if math.Abs(step) <= settled*tau {
			return next
		}
		if round >= newtonRounds && round%2 == 0 {
			next = math.Sqrt(low) * math.Sqrt(high)
		}
		tau = max(low, min(high, next))
	}
	return tau
}
