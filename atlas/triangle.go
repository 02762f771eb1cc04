package atlas

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

// Triangle is the nodal triangle on the endocardium. Its corners are spots with AlongMM unrolled: they do not jump
// where the rim begins. Its sides are straight on the chart and measured along the endocardium.
type Triangle struct {
	Apex   Spot // at the fibrous body, on the septal hinge
	Hinge  Spot // where the base meets the septal hinge
	Tendon Spot // where the base meets the tendon line, at the upper lip of the ostium

	foot Spot // where the bisector of the apex meets the base
}

// nodalTriangle lays the two hinge corners off along the rim and finds the third by its two distances.
func (h *Heart) nodalTriangle(v *values) (Triangle, error) {
	hinge, tendon, base := v.of("triangle-hinge-side"), v.of("triangle-tendon-side"), v.of("triangle-base-side")
	names := v.measuredAmong("triangle-hinge-side", "triangle-tendon-side", "triangle-base-side")
	offset, septal := v.of("triangle-apex-offset"), h.Rim.segments[2]
	if offset+hinge > septal {
		return Triangle{}, &GeometryError{Names: v.measuredAmong("triangle-hinge-side", "triangle-apex-offset", "septal-segment", "septal-chord", "rim-length", "rim-long-axis", "rim-short-axis", "rim-area", "anterior-segment", "posterior-segment"),
			Text: fmt.Sprintf("the hinge side of the nodal triangle, %s from %s beyond the commissure, runs past the septal segment of %s", quantity(hinge, "mm"), quantity(offset, "mm"), quantity(septal, "mm")),
			Mend: fmt.Sprintf("the triangle lies on the septum: give a triangle-hinge-side of at most %s with its two other sides, or correct the rim", quantity(math.Floor(10*(septal-offset))/10, "mm"))}
	}
	if hinge >= tendon+base || tendon >= hinge+base || base >= hinge+tendon {
		return Triangle{}, &GeometryError{Names: names,
			Text: fmt.Sprintf("triangle sides of %s, %s and %s cannot close", quantity(hinge, "mm"), quantity(tendon, "mm"), quantity(base, "mm")),
			Mend: "the longest side must be shorter than the other two together"}
	}
	t := Triangle{Apex: Spot{AlongMM: -offset}, Hinge: Spot{AlongMM: -offset - hinge}}
	if !h.close(&t, tendon, base) || t.Tendon.OffMM > v.of("septal-wall-height") {
		return Triangle{}, &GeometryError{Names: names,
			Text: fmt.Sprintf("triangle sides of %s, %s and %s do not close on this septal wall", quantity(hinge, "mm"), quantity(tendon, "mm"), quantity(base, "mm")),
			Mend: "check the three sides against each other"}
	}
	// The bisector of an angle divides the opposite side as the sides that enclose it.
	t.foot = t.Hinge.towards(t.Tendon, hinge/(hinge+tendon))
	return t, nil
}

// close finds the corner at the tendon line by Newton's steps, to 1e-7 mm, from where it would be on a flat wall.
func (h *Heart) close(t *Triangle, tendon, base float64) bool {
	hinge := t.Apex.AlongMM - t.Hinge.AlongMM
	back := (hinge*hinge + tendon*tendon - base*base) / (2 * hinge)
	t.Tendon = Spot{AlongMM: t.Apex.AlongMM - back, OffMM: math.Sqrt(max(tendon*tendon-back*back, 1e-6))}
	miss := func(s Spot) (float64, float64) {
		return h.surfaceLength(t.Apex, s) - tendon, h.surfaceLength(t.Hinge, s) - base
	}
	for range 40 {
		m1, m2 := miss(t.Tendon)
		if math.Abs(m1)+math.Abs(m2) < 1e-7 {
			return true
		}
		const d = 1e-4
		a1, a2 := miss(Spot{t.Tendon.AlongMM + d, t.Tendon.OffMM, 0})
		o1, o2 := miss(Spot{t.Tendon.AlongMM, t.Tendon.OffMM + d, 0})
		a1, a2, o1, o2 = (a1-m1)/d, (a2-m2)/d, (o1-m1)/d, (o2-m2)/d
		det := a1*o2 - a2*o1
		along, off := (o1*m2-o2*m1)/det, (a2*m1-a1*m2)/det
		shorten := min(1, 3/math.Hypot(along, off))
		t.Tendon.AlongMM += shorten * along
		t.Tendon.OffMM = max(t.Tendon.OffMM+shorten*off, 0.1)
	}
	return false
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

// bisector is the spot on the bisector of the apex a distance from it, measured along the endocardium; beyond the apex
// when negative.
func (h *Heart) bisector(fromApexMM float64) Spot {
	return h.atLength(h.Triangle.Apex, h.Triangle.foot, fromApexMM)
}

// atLength is the spot in the direction of another, at a length along the endocardium, to 1e-6 mm.
func (h *Heart) atLength(from, toward Spot, lengthMM float64) Spot {
	share := lengthMM / h.surfaceLength(from, toward)
	for range 3 {
		if got := h.surfaceLength(from, from.towards(toward, share)); got > 0 {
			share *= math.Abs(lengthMM) / got
		}
	}
	return from.towards(toward, share)
}

// TriangleAreaMM2 is the area of the triangle on the endocardium.
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
