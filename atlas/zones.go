package atlas

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// ZoneID names a zone.
type ZoneID string

// The zones of the usual heart.
const (
	ApicalHalf      ZoneID = "apical-half"
	BasalHalf       ZoneID = "basal-half"
	FibrousBody     ZoneID = "fibrous-body"
	VentricularSide ZoneID = "ventricular-side"
	Membranous      ZoneID = "membranous-septum"
	Fossa           ZoneID = "oval-fossa"
	Ostium          ZoneID = "coronary-sinus-ostium"
)

// Zone is an outline on the chart, X along and Y off, mm. Its along is unrolled about the anteroseptal commissure:
// a septal place lies at a negative X.
type Zone struct {
	ID      ZoneID
	Label   words.Said
	Outline geom.Outline
	Grade   Grade
	Sources []string
}

// Unroll brings a distance along the rim to the turn in which the zones lie.
func (h *Heart) Unroll(alongMM float64) float64 {
	along := h.Rim.Wrap(alongMM)
	if along > h.Rim.lengthMM+h.cut() {
		along -= h.Rim.lengthMM
	}
	return along
}

// cut is where the zones' turn of the rim begins: in the middle of the posterior segment, as far as can be from what
// has a zone.
func (h *Heart) cut() float64 { return -h.Rim.segments[2] - h.Rim.segments[1]/2 }

func (h *Heart) zones(v *values) []Zone {
	t := h.Triangle
	midHinge, midTendon := t.Apex.towards(t.Hinge, 0.5), t.Apex.towards(t.Tendon, 0.5)
	// Above the triangle and a little nearer the ostium than its middle; the shape is that of the published mean.
	fossa := Spot{AlongMM: t.Apex.AlongMM - 0.6*v.of("triangle-hinge-side"), OffMM: v.of("fossa-from-hinge")}
	const fossaShape = 26.8 / 24.2 // vertical over transverse, kishve-2021
	fossaAlong := math.Sqrt(v.of("fossa-floor") / math.Pi / fossaShape)
	return []Zone{
		{ApicalHalf, usualLabel("zone", string(ApicalHalf)), corners(t.Apex, midHinge, midTendon), Memory, []string{"klimek-2017"}},
		{BasalHalf, usualLabel("zone", string(BasalHalf)), corners(midHinge, t.Hinge, t.Tendon, midTendon), Memory, []string{"klimek-2017"}},
		{FibrousBody, usualLabel("zone", string(FibrousBody)), h.ellipse(Spot{OffMM: v.of("fibrous-body-up")/2 - 0.5}, v.of("fibrous-body-along")/2, v.of("fibrous-body-up")/2), Assumption, []string{"model"}},
		{VentricularSide, usualLabel("zone", string(VentricularSide)), h.below(v.of("ventricular-side-along")/2, v.of("ventricular-side-down")), Assumption, []string{"model", "common-practice"}},
		{Membranous, usualLabel("zone", string(Membranous)), h.ellipse(Spot{OffMM: v.of("membranous-above-hinge") - v.of("membranous-height")/2}, v.of("membranous-width")/2, v.of("membranous-height")/2), Abstract, []string{"membranous-ct-2018", "cabrera-2019"}},
		{Fossa, usualLabel("zone", string(Fossa)), h.ellipse(fossa, fossaAlong, fossaAlong*fossaShape), Derived, []string{"honnegowda-2021", "kishve-2021"}},
	}
}

func (h *Heart) ostium(v *values) (Zone, error) {
	along, up, lip := v.of("ostium-craniocaudal")/2, v.of("ostium-transverse")/2, v.of("ostium-to-hinge")
	names := v.measuredAmong("ostium-to-hinge", "ostium-craniocaudal", "ostium-transverse", "septal-wall-height")
	if wall := v.of("septal-wall-height"); lip+2*up > wall {
		return Zone{}, &GeometryError{Names: names,
			Text: fmt.Sprintf("the ostium, %s wide and %s off the hinge, would reach beyond the septal wall of %s", quantity(2*up, "mm"), quantity(lip, "mm"), quantity(wall, "mm")),
			Mend: "the ostium must lie on the atrial wall"}
	}
	t := h.Triangle
	centre := t.Hinge.towards(t.Tendon, (lip+up)/t.Tendon.OffMM) // on the base of the triangle, which runs through it
	outline := h.ellipse(centre, along, up)
	for _, p := range outline {
		if p.X < h.cut() {
			return Zone{}, &GeometryError{Names: names,
				Text: fmt.Sprintf("the ostium, %s along and %s off the hinge, would lie on the free wall", quantity(2*along, "mm"), quantity(lip, "mm")),
				Mend: "check its size and its distance from the hinge"}
		}
	}
	return Zone{Ostium, usualLabel("zone", string(Ostium)), outline, Derived, []string{"zhivadinovik-2016", "rim-neighbours-36"}}, nil
}

func corners(spots ...Spot) geom.Outline {
	outline := make(geom.Outline, len(spots))
	for i, s := range spots {
		outline[i] = geom.Point{X: s.AlongMM, Y: s.OffMM}
	}
	return outline
}

const ellipseCorners = 72

// ellipse is the outline of what is an ellipse on the tissue, half-axes in mm of tissue: the chart is narrower than
// the wall, which fans out as it rises.
func (h *Heart) ellipse(centre Spot, alongMM, upMM float64) geom.Outline {
	outline := make(geom.Outline, ellipseCorners)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / ellipseCorners)
		off := centre.OffMM + upMM*sin
		outline[i] = geom.Point{X: centre.AlongMM + alongMM*cos/h.Chart.Spread(Spot{AlongMM: centre.AlongMM, OffMM: off}), Y: off}
	}
	return outline
}

// below is the half ellipse under the hinge at the anteroseptal commissure.
func (h *Heart) below(alongMM, downMM float64) geom.Outline {
	outline := make(geom.Outline, 0, ellipseCorners/2+1)
	for i := range ellipseCorners/2 + 1 {
		sin, cos := math.Sincos(math.Pi * float64(i) / (ellipseCorners / 2))
		outline = append(outline, geom.Point{X: alongMM * cos, Y: -downMM * sin})
	}
	return outline
}
