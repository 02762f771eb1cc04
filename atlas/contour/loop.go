package contour

import (
	"math"

	"fairlead/atlas/geom"
)

// Harmonics is how many harmonics a fitted curve may have. Twelve resolve a wave of 9 mm on a rim of 105 mm; how much
// of that is used is the smoothing's decision.
const Harmonics = 12

// loop is a closed curve: a sum of harmonics of the parameter u, which goes once round in 2π.
type loop struct {
	centre   geom.Vec
	cos, sin [Harmonics]geom.Vec // of u, 2u, 3u, …
}

// at is the point at u.
func (l *loop) at(u float64) geom.Vec {
	p := l.centre
	sin1, cos1 := math.Sincos(u)
	sin, cos := sin1, cos1
	for k := range l.cos {
		c, s := &l.cos[k], &l.sin[k]
		p.X += cos*c.X + sin*s.X
		p.Y += cos*c.Y + sin*s.Y
		p.Z += cos*c.Z + sin*s.Z
		sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
	}
	return p
}

// slope is the derivative by u at u.
func (l *loop) slope(u float64) geom.Vec {
	var d geom.Vec
	sin1, cos1 := math.Sincos(u)
	sin, cos := sin1, cos1
	for k := range l.cos {
		c, s, f := &l.cos[k], &l.sin[k], float64(k+1)
		kc, ks := f*cos, f*sin
		d.X += kc*s.X - ks*c.X
		d.Y += kc*s.Y - ks*c.Y
		d.Z += kc*s.Z - ks*c.Z
		sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
	}
	return d
}

// bend is the point and the first two derivatives at u.
func (l *loop) bend(u float64) (p, d, dd geom.Vec) {
	p = l.centre
	sin1, cos1 := math.Sincos(u)
	sin, cos := sin1, cos1
	for k := range l.cos {
		c, s, f := &l.cos[k], &l.sin[k], float64(k+1)
		x, y, z := cos*c.X+sin*s.X, cos*c.Y+sin*s.Y, cos*c.Z+sin*s.Z
		p.X, p.Y, p.Z = p.X+x, p.Y+y, p.Z+z
		dd.X, dd.Y, dd.Z = dd.X-f*f*x, dd.Y-f*f*y, dd.Z-f*f*z
		d.X += f * (cos*s.X - sin*c.X)
		d.Y += f * (cos*s.Y - sin*c.Y)
		d.Z += f * (cos*s.Z - sin*c.Z)
		sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
	}
	return p, d, dd
}

// reversed is the same curve run through the other way, from the same start.
func (l *loop) reversed() loop {
	r := *l
	for k := range r.sin {
		r.sin[k] = r.sin[k].Scale(-1)
	}
	return r
}

// scaled is the curve k times as large about the origin.
func (l *loop) scaled(k float64) loop {
	return l.mapped(func(v geom.Vec) geom.Vec { return v.Scale(k) })
}

// mapped is the curve under a linear map.
func (l *loop) mapped(f func(geom.Vec) geom.Vec) loop {
	m := loop{centre: f(l.centre)}
	for k := range m.cos {
		m.cos[k], m.sin[k] = f(l.cos[k]), f(l.sin[k])
	}
	return m
}

// lengthNodes is how many pieces a curve's length is measured in. With three Gauss points each, the length of a curve of
// 12 harmonics and 105 mm is right to 1e-6 mm: see TestLengthAgainstChords.
const lengthNodes = 128

const nodeStep = 2 * math.Pi / lengthNodes

// ruler measures length along a loop.
type ruler struct {
	loop *loop
	from [lengthNodes + 1]float64 // length from u = 0 to each node
}

func newRuler(l *loop) *ruler {
	r := &ruler{loop: l}
	for i := range lengthNodes {
		r.from[i+1] = r.from[i] + l.piece(float64(i)*nodeStep, nodeStep)
	}
	return r
}

// piece is the length from u to u + step, for a short step, by three Gauss points.
func (l *loop) piece(u, step float64) float64 {
	const away = 0.7745966692414834 // √(3/5)
	middle, half := u+step/2, step/2
	ends := l.slope(middle-away*half).Norm() + l.slope(middle+away*half).Norm()
	return half * (5*ends + 8*l.slope(middle).Norm()) / 9
}

func (r *ruler) length() float64 { return r.from[lengthNodes] }

// to is the length from u = 0 to u. It goes on beyond one turn, and is negative before the start.
func (r *ruler) to(u float64) float64 {
	turns := math.Floor(u / (2 * math.Pi))
	u -= turns * 2 * math.Pi
	node := min(int(u/nodeStep), lengthNodes-1)
	start := float64(node) * nodeStep
	return turns*r.length() + r.from[node] + r.loop.piece(start, u-start)
}

// locate is the u at which a length from u = 0 is reached, the inverse of to.
func (r *ruler) locate(length float64) float64 {
	turns := math.Floor(length / r.length())
	left := length - turns*r.length()
	low, high := 0, lengthNodes
	for high-low > 1 {
		if middle := (low + high) / 2; r.from[middle] <= left {
			low = middle
		} else {
			high = middle
		}
	}
	u := (float64(low) + (left-r.from[low])/(r.from[high]-r.from[low])) * nodeStep
	// The speed hardly changes between two nodes: three steps of Newton's reach rounding.
	for range 3 {
		start := float64(low) * nodeStep
		u += (left - r.from[low] - r.loop.piece(start, u-start)) / r.loop.slope(u).Norm()
	}
	return turns*2*math.Pi + u
}
