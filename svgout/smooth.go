package svgout

import "math"

// smoothToleranceMM is how far a drawn curve may pass from a sample. It is a
// tenth of the thinnest line of the house style, so it cannot be seen.
const smoothToleranceMM = 0.018

// SmoothThrough draws a sampled smooth curve as few cubic Bézier segments
// that join without a corner. Every sample is met within 0.018 mm; Deviation
// tells how closely. A closed curve comes back to its first sample, which
// need not be given twice.
func (p *PathData) SmoothThrough(points []Point, closed bool) *PathData {
	samples := withoutRepeats(points, closed)
	if len(samples) < 3 {
		return p.Polyline(samples, false)
	}
	tangents := sampleTangents(samples, closed)
	if closed {
		samples = append(samples, samples[0])
		tangents = append(tangents, tangents[0])
	}
	p.MoveTo(samples[0])
	for i := 0; i < len(samples)-1; {
		j, c := longestCubic(samples, tangents, i)
		p.CurveTo(c[1], c[2], c[3])
		p.deviation = math.Max(p.deviation, c.deviation(samples[i:j+1]))
		i = j
	}
	if closed {
		p.Close()
	}
	return p
}

// withoutRepeats drops samples that print at the same place as the one
// before: they have no direction. Numbers that are none are kept, to be
// refused when drawn.
func withoutRepeats(points []Point, closed bool) []Point {
	var kept []Point
	for _, q := range points {
		if n := len(kept); n == 0 || !samePlace(kept[n-1], q) {
			kept = append(kept, q)
		}
	}
	if closed && len(kept) > 1 && samePlace(kept[0], kept[len(kept)-1]) {
		kept = kept[:len(kept)-1]
	}
	return kept
}

func samePlace(a, b Point) bool { return a.Distance(b) < 0.001 }

// sampleTangents gives each sample the direction of the circle through it
// and its two neighbours; an end takes the circle of the first or last three.
func sampleTangents(samples []Point, closed bool) []Point {
	n := len(samples)
	tangents := make([]Point, n)
	for i := range samples {
		before, after := i-1, i+1
		if closed {
			before, after = (i+n-1)%n, (i+1)%n
		}
		switch {
		case before < 0:
			tangents[i] = endTangent(samples[0], samples[1], samples[2])
		case after == n:
			tangents[i] = endTangent(samples[n-1], samples[n-2], samples[n-3]).Times(-1)
		default:
			tangents[i] = middleTangent(samples[before], samples[i], samples[after])
		}
	}
	return tangents
}

// middleTangent is the direction at b of the circle through a, b and c: the
// two chords' directions, each weighted by the length of the other chord.
func middleTangent(a, b, c Point) Point {
	in, out := b.Minus(a), c.Minus(b)
	lin, lout := a.Distance(b), b.Distance(c)
	return in.unit().Times(lout).Plus(out.unit().Times(lin)).unit()
}

// endTangent is the direction at a of the circle through a, b and c: the
// direction at b mirrored in the chord.
func endTangent(a, b, c Point) Point {
	chord, t := b.Minus(a).unit(), middleTangent(a, b, c)
	return chord.Times(2 * t.dot(chord)).Minus(t)
}

// longestCubic finds the cubic that reaches from sample i as far as the
// tolerance lets it, and the sample it reaches. It doubles the reach while
// that works and then halves the step.
func longestCubic(samples, tangents []Point, i int) (int, cubic) {
	fit := func(j int) (cubic, bool) {
		c, ok := fitCubic(samples[i:j+1], tangents[i], tangents[j])
		return c, ok && c.deviation(samples[i:j+1]) <= smoothToleranceMM
	}
	reach := i + 1
	best, _ := fit(reach)
	step := 1
	for ; step > 0 && reach+step < len(samples); step *= 2 {
		c, ok := fit(reach + step)
		if !ok {
			break
		}
		reach, best = reach+step, c
	}
	for ; step > 0; step /= 2 {
		if reach+step >= len(samples) {
			continue
		}
		if c, ok := fit(reach + step); ok {
			reach, best = reach+step, c
		}
	}
	return reach, best
}

// cubic is one Bézier segment: its two ends and, between, its controls.
type cubic [4]Point

func (c cubic) at(t float64) Point {
	s := 1 - t
	return c[0].Times(s * s * s).Plus(c[1].Times(3 * s * s * t)).Plus(c[2].Times(3 * s * t * t)).Plus(c[3].Times(t * t * t))
}

func (c cubic) velocity(t float64) Point {
	s := 1 - t
	return c[1].Minus(c[0]).Times(3 * s * s).Plus(c[2].Minus(c[1]).Times(6 * s * t)).Plus(c[3].Minus(c[2]).Times(3 * t * t))
}

func (c cubic) acceleration(t float64) Point {
	a := c[2].Minus(c[1].Times(2)).Plus(c[0])
	b := c[3].Minus(c[2].Times(2)).Plus(c[1])
	return a.Times(6 * (1 - t)).Plus(b.Times(6 * t))
}

// nearest improves the parameter t of the curve's point nearest to q by a
// few Newton steps.
func (c cubic) nearest(q Point, t float64) float64 {
	for range 4 {
		away, v := c.at(t).Minus(q), c.velocity(t)
		slope := v.dot(v) + away.dot(c.acceleration(t))
		if slope <= 0 {
			return t
		}
		t = math.Max(0, math.Min(1, t-away.dot(v)/slope))
	}
	return t
}

// deviation is the greatest distance from a sample to the curve.
func (c cubic) deviation(samples []Point) float64 {
	worst := 0.0
	ts := chordParameters(samples)
	for i, q := range samples {
		worst = math.Max(worst, c.at(c.nearest(q, ts[i])).Distance(q))
	}
	return worst
}

// fitCubic fits one cubic to samples by least squares, with its ends and the
// directions there fixed so that neighbouring segments join without a
// corner. It reports whether the fit is a tame one, without loop or cusp.
func fitCubic(samples []Point, t0, t1 Point) (cubic, bool) {
	first, last := samples[0], samples[len(samples)-1]
	c := cubic{first, first.Plus(t0.Times(arcHandle(first, last, t0))), last.Minus(t1.Times(arcHandle(first, last, t1))), last}
	if len(samples) == 2 {
		return c, true
	}
	ts := chordParameters(samples)
	for range 5 {
		a0, a1, ok := bestHandles(samples, ts, t0, t1)
		if !ok {
			// Handles in one line with few samples between are not determined;
			// those of an arc will do.
			return c, true
		}
		if reach := pathLength(samples); a0 <= 0 || a1 <= 0 || a0 > reach || a1 > reach {
			return c, false
		}
		c[1], c[2] = first.Plus(t0.Times(a0)), last.Minus(t1.Times(a1))
		for i, q := range samples {
			ts[i] = c.nearest(q, ts[i])
		}
	}
	return c, true
}

// arcHandle is the control handle that draws a circular arc over a chord,
// left or met in the direction t: a third of the chord for a flat arc, more
// for a bent one.
func arcHandle(first, last, t Point) float64 {
	cos := math.Max(0, last.Minus(first).unit().dot(t))
	return first.Distance(last) * 2 / 3 / (1 + cos)
}

// bestHandles solves for the lengths of the two control handles.
func bestHandles(samples []Point, ts []float64, t0, t1 Point) (a0, a1 float64, ok bool) {
	first, last := samples[0], samples[len(samples)-1]
	var m00, m01, m11, r0, r1 float64
	for i, q := range samples {
		t, s := ts[i], 1-ts[i]
		u, w := t0.Times(3*s*s*t), t1.Times(-3*s*t*t)
		rest := q.Minus(first.Times(s*s*s + 3*s*s*t)).Minus(last.Times(3*s*t*t + t*t*t))
		m00, m01, m11 = m00+u.dot(u), m01+u.dot(w), m11+w.dot(w)
		r0, r1 = r0+u.dot(rest), r1+w.dot(rest)
	}
	det := m00*m11 - m01*m01
	if det <= 1e-12*m00*m11 {
		return 0, 0, false
	}
	return (r0*m11 - r1*m01) / det, (m00*r1 - m01*r0) / det, true
}

// chordParameters spreads the samples over 0 to 1 by the length walked.
func chordParameters(samples []Point) []float64 {
	ts := make([]float64, len(samples))
	for i := 1; i < len(samples); i++ {
		ts[i] = ts[i-1] + samples[i].Distance(samples[i-1])
	}
	total := ts[len(ts)-1]
	for i := range ts {
		ts[i] /= total
	}
	return ts
}

func pathLength(samples []Point) float64 {
	l := 0.0
	for i := 1; i < len(samples); i++ {
		l += samples[i].Distance(samples[i-1])
	}
	return l
}
