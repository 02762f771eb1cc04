package atlas

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas/geom"
)

// Apply gives the parameter as the variant has it. With a factor its spread keeps its share of the value.
func (c ParameterChange) Apply(p Parameter) Parameter {
	if c.Factor != 0 {
		p.Value, p.Spread = p.Value*c.Factor, p.Spread*c.Factor
	} else {
		p.Value, p.Spread = c.Value, c.Spread
	}
	p.Seen = nil // the range seen was that of usual hearts
	p.Grade, p.Source, p.Note = c.Grade, c.Source, c.Note
	return p
}

// varied gives the parameters as the variant has them. What is measured in the patient goes before them, as it goes
// before those of the usual heart.
func (x *Variant) varied(usual []Parameter) ([]Parameter, error) {
	if err := x.refuses(); err != nil {
		return nil, err
	}
	list := slices.Clone(usual)
	for _, c := range x.parameters {
		i := slices.IndexFunc(list, func(p Parameter) bool { return p.Name == c.Name })
		if i < 0 {
			return nil, &GeometryError{Names: []string{c.Name}, Text: fmt.Sprintf("%s changes %s, which no heart has", x.ID, c.Name), Mend: "a fault of the atlas's data: see parameters.yaml"}
		}
		list[i] = c.Apply(list[i])
	}
	return list, nil
}

// varied is the catalogue of hearts of a variant: what is believed of a patient starts from it.
func (c *Catalogue) varied(x *Variant) (*Catalogue, error) {
	list, err := x.varied(c.parameters)
	if err != nil {
		return nil, err
	}
	other := *c
	other.parameters, other.digest = list, Digest([]byte(c.digest+x.Digest))
	return &other, nil
}

func (x *Variant) refuses() error {
	if x.Refused == "" {
		return nil
	}
	return &GeometryError{Text: fmt.Sprintf("no heart with %s: %s", x.Label, x.Refused), Mend: "the atlas knows the right-sided valve only where it is the tricuspid one"}
}

// usualRimMM is the rim on which the millimetres of the variants' files are said (antoniali-2006).
const usualRimMM = 105

// malform turns a finished heart into one of the variant: what is not there is taken away, what lies elsewhere is
// moved, what is more is added.
func (h *Heart) malform(x *Variant) error {
	if err := x.refuses(); err != nil {
		return err
	}
	m := &malformation{heart: h, variant: x, scale: h.Rim.lengthMM / usualRimMM}
	if err := m.crux(); err != nil {
		return err
	}
	for _, step := range []func() error{m.landmarks, m.structures, m.zones, m.takeAway, h.whole} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// malformation is a heart while a variant is laid onto it.
type malformation struct {
	heart   *Heart
	variant *Variant
	scale   float64
	end     Spot // of the right coronary artery
}

func (m *malformation) fault(text string) error {
	return &GeometryError{Text: fmt.Sprintf("%s: %s", m.variant.Label, text), Mend: "check the measured sizes, or leave them out"}
}

// inData is what is wrong with the variant in every heart.
func (m *malformation) inData(text string) error {
	return &GeometryError{Text: fmt.Sprintf("%s: %s", m.variant.Label, text), Mend: "a fault of the atlas's data: see data/variants/" + m.variant.ID + ".yaml"}
}

// crux finds the end of the right coronary artery, from which the artery of the node comes.
func (m *malformation) crux() error {
	for _, s := range m.heart.Structures {
		if tube, ok := s.Solid.(geom.Tube); ok && s.Kind == Coronary && len(tube.Axis) > 0 {
			m.end, _ = m.heart.Chart.Spot(tube.Axis[len(tube.Axis)-1])
			m.end.AlongMM = m.heart.Unroll(m.end.AlongMM)
			return nil
		}
	}
	return m.fault("there is no right coronary artery")
}

func (m *malformation) landmarks() error {
	for _, l := range m.variant.landmarks {
		spot, err := m.spot(l.at)
		if err != nil {
			return err
		}
		spot.AlongMM = m.heart.Rim.Wrap(spot.AlongMM)
		put(&m.heart.Landmarks, Landmark{
			ID: l.id, Label: l.label, Spot: spot, Frame: m.heart.Chart.Frame(spot), OnHinge: l.onHinge, Grade: l.grade, Source: l.source,
		}, func(o Landmark) bool { return o.ID == l.id })
	}
	return nil
}

// put takes the place of the first item that is the same, or comes last.
func put[T any](list *[]T, item T, same func(T) bool) {
	if i := slices.IndexFunc(*list, same); i >= 0 {
		(*list)[i] = item
		return
	}
	*list = append(*list, item)
}

func (m *malformation) structures() error {
	for _, s := range m.variant.structures {
		solid, err := m.solid(s)
		if err != nil {
			return err
		}
		put(&m.heart.Structures, Structure{
			ID: s.id, Label: s.label, Kind: s.kind, Solid: solid, SpreadMM: s.spreadMM, SharePercent: s.share, Grade: s.grade, Sources: s.sources,
		}, func(o Structure) bool { return o.ID == s.id })
	}
	return nil
}

func (m *malformation) solid(s variantStructure) (geom.Solid, error) {
	if len(s.through) == 0 {
		return m.node(s)
	}
	radius := m.length(s.calibre) / 2
	spots, err := m.spots(s.through)
	if err != nil {
		return nil, err
	}
	return geom.Tube{Axis: m.under(radius, spots), RadiusMM: radius}, nil
}

// under is a smooth line in the frame through spots of the chart, so deep that a tube about it stays under the
// endocardium, however thick this heart has it.
func (m *malformation) under(radiusMM float64, through []Spot) []geom.Vec {
	const cover, pieces = 0.25, 60 // mm of tissue over the tube: an assumption of the model
	var knots, along, off, deep []float64
	for i, s := range through {
		s.DeepMM = max(s.DeepMM, radiusMM+cover)
		knot := 0.0
		if i > 0 {
			last := Spot{along[len(along)-1], off[len(off)-1], deep[len(deep)-1]}
			step := s.chartDistance(last)
			if step == 0 { // the same spot once more tells nothing of the way
				continue
			}
			knot = knots[len(knots)-1] + step
		}
		knots, along, off, deep = append(knots, knot), append(along, s.AlongMM), append(off, s.OffMM), append(deep, s.DeepMM)
	}
	a, o, d := natural(knots, along), natural(knots, off), natural(knots, deep)
	path := make([]geom.Vec, pieces+1)
	for i := range path {
		u := knots[len(knots)-1] * float64(i) / pieces
		// Between its knots a spline may rise above them.
		path[i] = m.heart.Chart.Frame(Spot{a(u), o(u), max(d(u), radiusMM+cover)})
	}
	return path
}

// node lies flat under the endocardium, its long axis towards another place.
func (m *malformation) node(s variantStructure) (geom.Solid, error) {
	spots, err := m.spots([]place{s.centre, s.toward})
	if err != nil {
		return nil, err
	}
	centre, ahead := spots[0], spots[1]
	ahead.DeepMM = centre.DeepMM
	chart := m.heart.Chart
	at, thin := chart.Frame(centre), chart.perpendicular(centre)
	long := chart.Frame(centre.towards(ahead, 0.01)).Sub(at)
	long = long.Sub(thin.Scale(long.Dot(thin)))
	if !(long.Norm() > 1e-6) {
		return nil, m.inData(fmt.Sprintf("the %s points nowhere (%s)", s.label, s.at))
	}
	long = long.Unit()
	return geom.Ellipsoid{
		Centre: at,
		Axes:   [3]geom.Vec{long, thin.Cross(long), thin},
		Radii:  [3]float64{m.of("node-length") / 2, m.of("node-width") / 2, m.of("node-thickness") / 2},
	}, nil
}

func (m *malformation) zones() error {
	for _, z := range m.variant.zones {
		outline, err := m.outline(z)
		if err != nil {
			return err
		}
		put(&m.heart.Zones, Zone{ID: z.id, Label: z.label, Outline: outline, Grade: z.grade, Sources: z.sources}, func(o Zone) bool { return o.ID == z.id })
	}
	return nil
}

func (m *malformation) outline(z variantZone) (geom.Outline, error) {
	var outline geom.Outline
	if len(z.outline) > 0 {
		spots, err := m.spots(z.outline)
		if err != nil {
			return nil, err
		}
		outline = corners(spots...)
	} else {
		centre, err := m.spot(z.centre)
		if err != nil {
			return nil, err
		}
		outline = m.heart.ellipse(centre, m.length(z.along)/2, m.length(z.up)/2)
	}
	if !(outline.Area() > 0) || math.IsInf(outline.Area(), 0) || outline.CrossesSelf() {
		return nil, m.fault(fmt.Sprintf("the outline of the %s does not close in this heart", z.label))
	}
	return outline, nil
}

// takeAway comes after the rest was laid down, for that may be told from what is taken away.
func (m *malformation) takeAway() error {
	h, gone := m.heart, m.variant.without
	for _, id := range gone.structures {
		if !drop(&h.Structures, func(s Structure) bool { return s.ID == id }) {
			return m.inData("there is no " + id + " to take away")
		}
	}
	for _, id := range gone.zones {
		if !drop(&h.Zones, func(z Zone) bool { return z.ID == ZoneID(id) }) {
			return m.inData("there is no " + id + " to take away")
		}
	}
	for _, id := range gone.landmarks {
		if !drop(&h.Landmarks, func(l Landmark) bool { return l.ID == id }) {
			return m.inData("there is no " + id + " to take away")
		}
	}
	return nil
}

func drop[T any](list *[]T, that func(T) bool) bool {
	before := len(*list)
	*list = slices.DeleteFunc(*list, that)
	return len(*list) < before
}

// spots finds places one after the other, none of them more than half a turn along the rim from the last.
func (m *malformation) spots(places []place) ([]Spot, error) {
	found := make([]Spot, len(places))
	for i, p := range places {
		spot, err := m.spot(p)
		if err != nil {
			return nil, err
		}
		if i > 0 {
			spot = m.near(spot, found[i-1])
		}
		found[i] = spot
	}
	return found, nil
}

// near says a spot in the turn in which it lies nearest along the rim to another.
func (m *malformation) near(s, other Spot) Spot {
	turn := m.heart.Rim.lengthMM
	s.AlongMM -= turn * math.Round((s.AlongMM-other.AlongMM)/turn)
	return s
}

func (m *malformation) spot(p place) (Spot, error) {
	s, err := m.named(p, p.from)
	if err != nil {
		return s, err
	}
	switch {
	case p.to != "":
		to, err := m.named(p, p.to)
		if err != nil {
			return s, err
		}
		s = m.between(p, s, m.near(to, s))
	case p.share > 0:
		s.AlongMM += p.turn * p.share * m.segment(p.segment)
	default:
		s.AlongMM += p.turn * p.by * m.scale
	}
	if p.off != nil {
		s.OffMM = m.length(*p.off)
	}
	if p.deep != nil {
		s.DeepMM = m.length(*p.deep)
	}
	return s, nil
}

func (m *malformation) between(p place, from, to Spot) Spot {
	if p.by == 0 || m.heart.surfaceLength(from, to) == 0 {
		return from.towards(to, p.share)
	}
	return m.heart.atLength(from, to, p.by*m.scale)
}

func (m *malformation) segment(name string) float64 {
	for _, s := range m.heart.Segments() {
		if s.Name == name {
			return s.ForMM
		}
	}
	return math.NaN()
}

// named finds a landmark, unrolled about the anteroseptal commissure as the zones are.
func (m *malformation) named(p place, id string) (Spot, error) {
	if id == "crux" {
		return m.end, nil
	}
	l, known := m.heart.Landmark(id)
	if !known {
		return Spot{}, m.inData(fmt.Sprintf("%s: no landmark is called %q", p.at, id))
	}
	spot := l.Spot
	spot.AlongMM = m.heart.Unroll(spot.AlongMM)
	return spot, nil
}

// length is a size said in this heart.
func (m *malformation) length(e sizeSaid) float64 {
	switch e.name {
	case "":
		return e.mm * m.scale
	case underNode:
		return m.of("node-depth") + m.of("node-thickness")/2 + m.of("nodal-artery-calibre")/2
	}
	return m.of(e.name)
}

// of is a parameter of this heart; not a number where it has none, which Heart.whole finds.
func (m *malformation) of(name string) float64 {
	if v, known := m.heart.Value(name); known {
		return v.Here
	}
	return math.NaN()
}
