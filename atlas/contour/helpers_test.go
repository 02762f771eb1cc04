package contour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fairlead/atlas/geom"
)

// motion is a rigid motion: a turn and a shift.
type motion struct {
	axes  [3]geom.Vec
	shift geom.Vec
}

func randomMotion(r *rand.Rand) motion {
	direction := func() geom.Vec { return geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit() }
	x := direction()
	y := x.Cross(direction()).Unit()
	return motion{[3]geom.Vec{x, y, x.Cross(y)}, direction().Scale(200)}
}

func (m motion) move(p geom.Vec) geom.Vec {
	return m.shift.Add(m.axes[0].Scale(p.X)).Add(m.axes[1].Scale(p.Y)).Add(m.axes[2].Scale(p.Z))
}

func clone(p Points) Points {
	p.At, p.Line = slices.Clone(p.At), slices.Clone(p.Line)
	if p.Atrium != nil {
		a := *p.Atrium
		p.Atrium = &a
	}
	return p
}

func moved(p Points, m motion) Points {
	q := clone(p)
	for i := range q.At {
		q.At[i] = m.move(q.At[i])
	}
	if q.Atrium != nil {
		*q.Atrium = m.move(*q.Atrium)
	}
	return q
}

// mirrored is the contour as a scan with one axis the wrong way round gives it.
func mirrored(p Points) Points {
	q := clone(p)
	for i := range q.At {
		q.At[i].X = -q.At[i].X
	}
	if q.Atrium != nil {
		q.Atrium.X = -q.Atrium.X
	}
	return q
}

// backwards lists the points the other way round.
func backwards(p Points) Points {
	q := clone(p)
	slices.Reverse(q.At)
	for k := range q.Landmark {
		q.Landmark[k] = len(p.At) - 1 - p.Landmark[k]
	}
	return q
}

// from lists the points from another start.
func from(p Points, start int) Points {
	q := clone(p)
	n := len(p.At)
	for i := range q.At {
		q.At[i] = p.At[(i+start)%n]
	}
	for k := range q.Landmark {
		q.Landmark[k] = (p.Landmark[k] - start + n) % n
	}
	return q
}

func mustFit(t testing.TB, p Points) Fitted {
	t.Helper()
	f, problems := Fit(p)
	if len(problems) > 0 {
		t.Fatalf("a good contour is refused:\n%v", problems)
	}
	return f
}

func sameRim(t *testing.T, what string, a, b Fitted, tolerance float64) {
	t.Helper()
	worst := math.Abs(a.LengthMM - b.LengthMM)
	for i := range a.Samples {
		worst = math.Max(worst, a.Samples[i].Distance(b.Samples[i]))
	}
	for k := range a.SegmentsMM {
		worst = math.Max(worst, math.Abs(a.SegmentsMM[k]-b.SegmentsMM[k]))
	}
	worst = math.Max(worst, math.Abs(a.NoiseMM-b.NoiseMM))
	worst = math.Max(worst, math.Abs(a.SaddleHeightMM-b.SaddleHeightMM))
	if !(worst <= tolerance) {
		t.Errorf("%s: the rim differs by %.3g mm, allowed is %.0g", what, worst, tolerance)
	}
}
