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
	f := fitter{samples: samples, tangents: tangents}
	for i := 0; i < len(samples)-1; {
		j, c := f.longestCubic(i)
		p.CurveTo(c[1], c[2], c[3])
		p.deviation = math.Max(p.deviation, f.deviation(c, i, j))
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

// fitter fits cubics to stretches of a sampled curve.
type fitter struct {
	samples, tangents []Point
	ts                []float64 // parameters of the samples of the stretch being fitted
}

// longestCubic finds the cubic that reaches from sample i as far as the
// tolerance lets it, and the sample it reaches. It doubles the reach while
// that works and then halves the step.
func (f *fitter) longestCubic(i int) (int, cubic) {
	fit := func(j int) (cubic, bool) {
		c, ok := f.fit(i, j)
		return c, ok && f.deviation(c, i, j) <= smoothToleranceMM
	}
	reach := i + 1
	best, _ := fit(reach)
	step := 1
	for ; step > 0 && reach+step < len(f.samples); step *= 2 {
		c, ok := fit(reach + step)
		if !ok {
			break
		}
		reach, best = reach+step, c
	}
	for ; step > 0; step /= 2 {
		if reach+step >= len(f.samples) {
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

// power is a cubic by the powers of its parameter: the point at t is
// k[0] + k[1]·t + k[2]·t² + k[3]·t³.
type power [4]Point

func (c cubic) power() power {
	ends, controls := c[3].Minus(c[0]), c[1].Minus(c[2])
	return power{c[0], c[1].Minus(c[0]).Times(3), c[2].Minus(c[1]).Minus(c[1].Minus(c[0])).Times(3), ends.Plus(controls.Times(3))}
}

func (k *power) at(t float64) Point {
	return Point{k[0].X + t*(k[1].X+t*(k[2].X+t*k[3].X)), k[0].Y + t*(k[1].Y+t*(k[2].Y+t*k[3].Y))}
}

// settled is how little a step of the parameter is to be the last: far below
// what moves a point by a thousandth of a millimetre on the largest sheet.
const settled = 1e-9

// nearest improves the parameter t of the curve's point nearest to q by a
// few Newton steps.
func (k *power) nearest(q Point, t float64) float64 {
	for range 4 {
		away := k.at(t).Minus(q)
		v := Point{k[1].X + t*(2*k[2].X+t*3*k[3].X), k[1].Y + t*(2*k[2].Y+t*3*k[3].Y)}
		a := Point{2*k[2].X + t*6*k[3].X, 2*k[2].Y + t*6*k[3].Y}
		slope := v.dot(v) + away.dot(a)
		if slope <= 0 {
			return t
		}
		next := min(max(t-away.dot(v)/slope, 0), 1)
		if step := next - t; step < settled && step > -settled {
			return next
		}
		t = next
	}
	return t
}

// deviation is the greatest distance from the samples i to j to the curve.
func (f *fitter) deviation(c cubic, i, j int) float64 {
	worst, k := 0.0, c.power()
	f.walk(i, j)
	for n, q := range f.samples[i : j+1] {
		away := k.at(k.nearest(q, f.ts[n])).Minus(q)
		worst = max(worst, away.dot(away))
	}
	return math.Sqrt(worst)
}

// fit fits one cubic to the samples i to j by least squares, with its ends
// and the directions there fixed so that neighbouring segments join without
// a corner. It reports whether the fit is a tame one, without loop or cusp.
func (f *fitter) fit(i, j int) (cubic, bool) {
	samples, t0, t1 := f.samples[i:j+1], f.tangents[i], f.tangents[j]
	first, last := samples[0], samples[len(samples)-1]
	c := cubic{first, first.Plus(t0.Times(arcHandle(first, last, t0))), last.Minus(t1.Times(arcHandle(first, last, t1))), last}
	if len(samples) == 2 {
		return c, true
	}
	reach := f.walk(i, j)
	for range 5 {
		a0, a1, ok := bestHandles(samples, f.ts, t0, t1)
		if !ok {
			// Handles in one line with few samples between are not determined;
			// those of an arc will do.
			return c, true
		}
		if a0 <= 0 || a1 <= 0 || a0 > reach || a1 > reach {
			return c, false
		}
		c[1], c[2] = first.Plus(t0.Times(a0)), last.Minus(t1.Times(a1))
		k := c.power()
		for n, q := range samples {
			f.ts[n] = k.nearest(q, f.ts[n])
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

// walk spreads the parameters of the samples i to j over 0 to 1 by the length
// walked, and returns that.
func (f *fitter) walk(i, j int) (length float64) {
	f.ts = append(f.ts[:0], 0)
	for n := i + 1; n <= j; n++ {
		length += f.samples[n].Distance(f.samples[n-1])
		f.ts = append(f.ts, length)
	}
	for n := range f.ts {
		f.ts[n] /= length
	}
	return length
}
