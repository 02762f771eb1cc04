package atlas

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

// Triangle is the nodal triangle on the endocardium. Its corners are spots with AlongMM unrolled: they do not jump
// where the rim begins. Its sides are straight on the chart and measured along the endocardium.
type Triangle struct {
	Apex   Spot // at the fibrous body, on the septal hinge
	Hinge  Spot // where the base meets the septal hinge
	Tendon Spot // where the base meets the tendon line, at the upper lip of the ostium
}

// nodalTriangle lays the two hinge corners off along the rim and finds the third by its two distances.
func (h *Heart) nodalTriangle(v *values) (Triangle, error) {
	hinge, tendon, base := v.of("triangle-hinge-side"), v.of("triangle-tendon-side"), v.of("triangle-base-side")
	names := v.measuredAmong("triangle-hinge-side", "triangle-tendon-side", "triangle-base-side")
	offset := v.of("triangle-apex-offset")
	if offset+hinge > h.Rim.segments[2] {
		return Triangle{}, &GeometryError{Names: v.measuredAmong("triangle-hinge-side", "triangle-apex-offset", "septal-segment"),
			Text: fmt.Sprintf("the hinge side of the nodal triangle, %.1f mm from %.1f mm beyond the commissure, runs past the septal segment of %.1f mm", hinge, offset, h.Rim.segments[2]),
			Mend: "the triangle lies on the septum: shorten its hinge side or correct the segment"}
	}
	if hinge >= tendon+base || tendon >= hinge+base || base >= hinge+tendon {
		return Triangle{}, &GeometryError{Names: names,
			Text: fmt.Sprintf("triangle sides of %.1f, %.1f and %.1f mm cannot close", hinge, tendon, base),
			Mend: "the longest side must be shorter than the other two together"}
	}
	t := Triangle{Apex: Spot{AlongMM: -offset}, Hinge: Spot{AlongMM: -offset - hinge}}
	// First guess: the flat triangle with these sides.
	back := (hinge*hinge + tendon*tendon - base*base) / (2 * hinge)
	t.Tendon = Spot{AlongMM: -offset - back, OffMM: math.Sqrt(max(tendon*tendon-back*back, 1e-6))}
	miss := func(s Spot) (float64, float64) {
		return h.surfaceLength(t.Apex, s) - tendon, h.surfaceLength(t.Hinge, s) - base
	}
	for range 40 {
		m1, m2 := miss(t.Tendon)
		if math.Abs(m1)+math.Abs(m2) < 1e-7 {
			break
		}
		const d = 1e-4
		a1, a2 := miss(Spot{t.Tendon.AlongMM + d, t.Tendon.OffMM, 0})
		o1, o2 := miss(Spot{t.Tendon.AlongMM, t.Tendon.OffMM + d, 0})
		jacobian := mat.NewDense(2, 2, []float64{(a1 - m1) / d, (o1 - m1) / d, (a2 - m2) / d, (o2 - m2) / d})
		var step mat.VecDense
		if err := step.SolveVec(jacobian, mat.NewVecDense(2, []float64{-m1, -m2})); err != nil {
			break
		}
		shorten := min(1, 3/math.Hypot(step.AtVec(0), step.AtVec(1)))
		t.Tendon.AlongMM += shorten * step.AtVec(0)
		t.Tendon.OffMM = max(t.Tendon.OffMM+shorten*step.AtVec(1), 0.1)
	}
	if m1, m2 := miss(t.Tendon); !(math.Abs(m1)+math.Abs(m2) < 1e-3) || t.Tendon.OffMM > v.of("septal-wall-height") {
		return Triangle{}, &GeometryError{Names: names,
			Text: fmt.Sprintf("triangle sides of %.1f, %.1f and %.1f mm do not close on this septal wall", hinge, tendon, base),
			Mend: "check the three sides against each other"}
	}
	return t, nil
}

// surfaceLength is the length, along the endocardium, of the chart's straight line between two spots.
func (h *Heart) surfaceLength(a, b Spot) float64 {
	const pieces = 24
	var path [pieces + 1]geom.Vec
	for i := range path {
		path[i] = h.Chart.Frame(a.towards(b, float64(i)/pieces))
	}
	return length(path[:])
}

// towards is the spot a share of the chart's straight way to another.
func (s Spot) towards(o Spot, share float64) Spot {
	return Spot{
		AlongMM: s.AlongMM + share*(o.AlongMM-s.AlongMM),
		OffMM:   s.OffMM + share*(o.OffMM-s.OffMM),
		DeepMM:  s.DeepMM + share*(o.DeepMM-s.DeepMM),
	}
}

// Bisector is the spot on the bisector of the apex a distance from it, measured along the endocardium.
func (h *Heart) bisector(fromApexMM float64) Spot {
	t := h.Triangle
	hinge, tendon := h.surfaceLength(t.Apex, t.Hinge), h.surfaceLength(t.Apex, t.Tendon)
	// The bisector of an angle divides the opposite side as the sides that enclose it.
	foot := t.Hinge.towards(t.Tendon, hinge/(hinge+tendon))
	share := fromApexMM / h.surfaceLength(t.Apex, foot)
	for range 3 {
		share *= fromApexMM / h.surfaceLength(t.Apex, t.Apex.towards(foot, share))
	}
	return t.Apex.towards(foot, share)
}

// AreaMM2 is the area of the triangle on the endocardium.
func (h *Heart) TriangleAreaMM2() float64 {
	const rows = 24
	t := h.Triangle
	at := func(i, j int) geom.Vec {
		a := t.Apex.towards(t.Hinge, float64(i)/rows)
		b := t.Apex.towards(t.Tendon, float64(i)/rows)
		if i == 0 {
			return h.Chart.Frame(a)
		}
		return h.Chart.Frame(a.towards(b, float64(j)/float64(i)))
	}
	var area float64
	for i := range rows {
		for j := range i + 1 {
			p, q, r := at(i, j), at(i+1, j), at(i+1, j+1)
			area += q.Sub(p).Cross(r.Sub(p)).Norm() / 2
			if j < i {
				s := at(i, j+1)
				area += r.Sub(p).Cross(s.Sub(p)).Norm() / 2
			}
		}
	}
	return area
}
