package atlas

import (
	"errors"
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

// Heart is one patient's anatomy: everything a bite is measured against. It does not change once built.
type Heart struct {
	Rim        *Rim
	Chart      *Chart
	Values     []Value
	Landmarks  []Landmark
	Triangle   Triangle
	Zones      []Zone
	Structures []Structure
	Body       Predicted
	Valve      Valve
	Variant    *Variant // nil: none
}

// Heart builds the heart of the catalogue with measured values in place of the usual ones: Fit without more.
func (c *Catalogue) Heart(measured []Measured) (*Heart, error) {
	return c.Fit(Patient{Measured: measured})
}

// heartOn puts the rest of a heart onto its rim.
func (v *values) heartOn(rim *Rim) (*Heart, error) {
	chart, err := v.chart(rim)
	if err != nil {
		return nil, err
	}
	h := &Heart{Rim: rim, Chart: chart, Values: v.list}
	if err := h.furnish(v); err != nil {
		return nil, err
	}
	return h, nil
}

// furnish puts everything else onto rim and chart.
func (h *Heart) furnish(v *values) (err error) {
	if h.Triangle, err = h.nodalTriangle(v); err != nil {
		return err
	}
	ostium, err := h.ostium(v)
	if err != nil {
		return err
	}
	h.Zones = append(h.zones(v), ostium)
	h.Landmarks = h.landmarks(v)
	conduction, err := h.conduction(v)
	if err != nil {
		return err
	}
	neighbours, err := h.neighbours(v)
	if err != nil {
		return err
	}
	h.Structures = append(conduction, neighbours...)
	return h.whole()
}

// whole is the last guard: nothing of a heart may be missing or not a number.
func (h *Heart) whole() error {
	for _, l := range h.Landmarks {
		if !l.Frame.IsFinite() {
			return &GeometryError{Text: fmt.Sprintf("the %s cannot be placed in this heart", l.Label), Mend: "check the measured sizes"}
		}
	}
	for _, s := range h.Structures {
		centre, radius := s.Solid.Bound()
		if !centre.IsFinite() || math.IsNaN(radius) || math.IsInf(radius, 0) {
			return &GeometryError{Text: fmt.Sprintf("the %s cannot be placed in this heart", s.Label), Mend: "check the measured sizes"}
		}
	}
	return nil
}

// Value finds a parameter of this heart by name.
func (h *Heart) Value(name string) (Value, bool) {
	for _, v := range h.Values {
		if v.Name == name {
			return v, true
		}
	}
	return Value{}, false
}

// Zone finds a zone by its id.
func (h *Heart) Zone(id ZoneID) (Zone, bool) {
	for _, z := range h.Zones {
		if z.ID == id {
			return z, true
		}
	}
	return Zone{}, false
}

// Landmark finds a landmark by its id.
func (h *Heart) Landmark(id string) (Landmark, bool) {
	for _, l := range h.Landmarks {
		if l.ID == id {
			return l, true
		}
	}
	return Landmark{}, false
}

// How closely the fit holds a size: unmeasured sizes may give way to each other and to measured ones.
const (
	usualTolerance    = 0.003
	looseTolerance    = 0.1    // of sizes in the plane not measured where the proportions of the rim were
	lengthTolerance   = 0.0015 // the rim's length is the best known of its sizes: two methods agree on it
	areaTolerance     = 0.004  // an area errs twice as much as a length
	measuredTolerance = 0.0005
	// A harmonic of one per cent costs far less than the tolerance of a size, until the sizes tell the proportions:
	// then the smoothest curve of these proportions is wanted.
	usualRoughness, looseRoughness = 0.2, 5.0
	// heldWithin is how far the finished rim may be from a measured size before the plan is told that its sizes
	// contradict each other.
	heldWithin = 0.01
)

func (v *values) target(name string) target {
	tolerance := usualTolerance
	switch {
	case v.measured(name) && name == "rim-area":
		tolerance = 2 * measuredTolerance
	case v.measured(name), name == "rim-length" && v.allMeasured(segmentNames[:]):
		tolerance = measuredTolerance
	case v.proportioned() && name != "saddle-height":
		tolerance = looseTolerance
	case name == "rim-length":
		tolerance = lengthTolerance
	case name == "rim-area":
		tolerance = areaTolerance
	}
	return target{v.of(name), tolerance}
}

// proportioned tells whether the proportions of the rim were measured, not its size alone.
func (v *values) proportioned() bool { return v.measuredCount(wholeRim) > 1 }

func (v *values) rim() (*Rim, error) {
	anterior, posterior, septal := v.of("anterior-segment"), v.of("posterior-segment"), v.of("septal-segment")
	if length := v.of("rim-length"); math.Abs(anterior+posterior+septal-length) > length*heldWithin {
		return nil, &GeometryError{Names: v.measuredAmong("rim-length", "septal-segment", "anterior-segment", "posterior-segment", "septal-chord", "rim-long-axis", "rim-short-axis", "rim-area"),
			Text: fmt.Sprintf("segments of %s anterior, %s posterior and %s septal do not add up to a rim of %s", quantity(anterior, "mm"), quantity(posterior, "mm"), quantity(septal, "mm"), quantity(length, "mm")),
			Mend: "leave out one of them, or correct it"}
	}
	if v.of("septal-chord") >= septal {
		return nil, &GeometryError{Names: v.measuredAmong("septal-chord", "septal-segment"),
			Text: fmt.Sprintf("a straight septal distance of %s is not shorter than the segment it spans, %s", quantity(v.of("septal-chord"), "mm"), quantity(septal, "mm")),
			Mend: "the chord must be shorter than the arc"}
	}
	roughness := usualRoughness
	if v.proportioned() {
		roughness = looseRoughness
	}
	rim, err := fitRim(rimTargets{
		length: v.target("rim-length"), long: v.target("rim-long-axis"), short: v.target("rim-short-axis"), area: v.target("rim-area"),
		chord: v.target("septal-chord"), height: v.target("saddle-height"),
		segments:  [3]float64{anterior, posterior, septal},
		held:      [3]bool{v.measured("anterior-segment"), v.measured("posterior-segment"), v.measured("septal-segment")},
		roughness: roughness,
	})
	if err != nil {
		return nil, err
	}
	if !rim.convex() {
		return nil, &GeometryError{Names: v.measuredAmong(append([]string{"septal-segment", "septal-chord"}, wholeRim...)...),
			Text: "a rim of these sizes would be dented",
			Mend: "leave out or correct one of the measured sizes of the rim"}
	}
	return rim, v.holdMeasured(rim.Sizes())
}

// holdMeasured compares what the rim became with what was measured.
func (v *values) holdMeasured(s RimSizes) error {
	var found []error
	for _, size := range []struct {
		name string
		here float64
	}{
		{"rim-length", s.LengthMM}, {"rim-long-axis", s.LongAxisMM}, {"rim-short-axis", s.ShortAxisMM}, {"rim-area", s.AreaMM2},
		{"septal-chord", s.SeptalChordMM}, {"septal-segment", s.SeptalMM}, {"anterior-segment", s.AnteriorMM}, {"posterior-segment", s.PosteriorMM},
		{"anterior-chord", s.AnteriorChordMM}, {"posterior-chord", s.PosteriorChordMM},
		{"saddle-height", s.SaddleHeightMM},
	} {
		p := v.at(size.name)
		allowed := heldWithin * p.Here
		if p.Unit == "mm2" {
			allowed *= 2
		}
		if size.name == "saddle-height" {
			allowed = max(allowed, 0.05) // mm: a flat rim is measured as 0
		}
		if p.exact && !(math.Abs(size.here-p.Here) <= allowed) {
			found = append(found, &GeometryError{Names: []string{size.name},
				Text: fmt.Sprintf("%s %s cannot belong to one closed rim with the other sizes: the nearest rim has %s", size.name, quantity(p.Here, p.Unit), quantity(size.here, p.Unit)),
				Mend: "leave out or correct one of the measured sizes of the rim"})
		}
		if !p.exact {
			p.Here = size.here // what is reported is what is there
		}
	}
	return errors.Join(found...)
}

func (v *values) measuredAmong(names ...string) (found []string) {
	for _, name := range names {
		if v.measured(name) {
			found = append(found, name)
		}
	}
	if len(found) == 0 {
		return names
	}
	return found
}

// chart lays the angle field along the rim: steep on the septum, flatter on the free wall, halfway at the
// commissures that border the septum.
func (v *values) chart(rim *Rim) (*Chart, error) {
	anterior, posterior, septal := rim.segments[0], rim.segments[1], rim.segments[2]
	at := []float64{0, anterior / 2, anterior, anterior + posterior/2, anterior + posterior, anterior + posterior + septal/2}
	steep, flat := radians(v.of("wall-angle-septal")), radians(v.of("wall-angle-free"))
	between := (steep + flat) / 2
	wall, err := geom.NewPeriodicSpline(rim.lengthMM, at, []float64{between, flat, flat, flat, between, steep})
	if err != nil {
		return nil, fmt.Errorf("wall angle: %w", err)
	}
	return &Chart{rim: rim, wall: wall, leaflet: radians(v.of("leaflet-slope"))}, nil
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }

func length(path []geom.Vec) (sum float64) {
	for i := 1; i < len(path); i++ {
		sum += path[i].Distance(path[i-1])
	}
	return sum
}
