package atlas

import (
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// Landmark is a named place. Its AlongMM is within one turn from the anteroseptal commissure.
type Landmark struct {
	ID      string
	Label   words.Said
	Spot    Spot
	Frame   geom.Vec
	OnHinge bool // it names a place of the rim, from which one can measure along it
	Grade   Grade
	Source  string
}

// Segment is a part of the rim between two commissures, run through clockwise.
type Segment struct {
	Name          string
	FromMM, ForMM float64 // start and length along the rim
}

// Said is what the segment is called: anterior segment.
func (s Segment) Said() words.Said { return words.Of("segment." + s.Name) }

// Short is that without the noun: anterior.
func (s Segment) Short() words.Said { return words.Of("segment-short." + s.Name) }

// Segments lists anterior, posterior and septal segment.
func (h *Heart) Segments() []Segment {
	s := h.Rim.segments
	return []Segment{{"anterior", 0, s[0]}, {"posterior", s[0], s[1]}, {"septal", s[0] + s[1], s[2]}}
}

// SegmentAt is the segment that holds a place of the rim.
func (h *Heart) SegmentAt(alongMM float64) Segment {
	along := h.Rim.Wrap(alongMM)
	segments := h.Segments()
	for _, s := range segments {
		if along < s.FromMM+s.ForMM {
			return s
		}
	}
	return segments[len(segments)-1]
}

func (h *Heart) landmarks(v *values) []Landmark {
	s, t := h.Rim.segments, h.Triangle
	node := h.bisector(v.of("node-from-apex"))
	node.DeepMM = v.of("node-depth")
	list := []Landmark{
		{ID: "anteroseptal-commissure", Label: usualLabel("landmark", "anteroseptal-commissure"), OnHinge: true, Grade: Abstract, Source: "antoniali-2006"},
		{ID: "mid-anterior", Label: usualLabel("landmark", "mid-anterior"), Spot: Spot{AlongMM: s[0] / 2}, OnHinge: true, Grade: Derived, Source: "antoniali-2006"},
		{ID: "anteroposterior-commissure", Label: usualLabel("landmark", "anteroposterior-commissure"), Spot: Spot{AlongMM: s[0]}, OnHinge: true, Grade: Derived, Source: "antoniali-2006"},
		{ID: "mid-posterior", Label: usualLabel("landmark", "mid-posterior"), Spot: Spot{AlongMM: s[0] + s[1]/2}, OnHinge: true, Grade: Derived, Source: "antoniali-2006"},
		{ID: "posteroseptal-commissure", Label: usualLabel("landmark", "posteroseptal-commissure"), Spot: Spot{AlongMM: s[0] + s[1]}, OnHinge: true, Grade: Abstract, Source: "antoniali-2006"},
		{ID: "mid-septal", Label: usualLabel("landmark", "mid-septal"), Spot: Spot{AlongMM: s[0] + s[1] + s[2]/2}, OnHinge: true, Grade: Derived, Source: "antoniali-2006"},
		{ID: "triangle-apex", Label: usualLabel("landmark", "triangle-apex"), Spot: t.Apex, OnHinge: true, Grade: Assumption, Source: "model"},
		{ID: "triangle-base", Label: usualLabel("landmark", "triangle-base"), Spot: t.Hinge, OnHinge: true, Grade: Memory, Source: "klimek-2017"},
		{ID: "triangle-tendon", Label: usualLabel("landmark", "triangle-tendon"), Spot: t.Tendon, Grade: Memory, Source: "klimek-2017"},
		{ID: "coronary-sinus-ostium", Label: usualLabel("landmark", "coronary-sinus-ostium"), Spot: h.centreOf(Ostium), OnHinge: true, Grade: Derived, Source: "rim-neighbours-36"},
		{ID: "fibrous-body", Label: usualLabel("landmark", "fibrous-body"), Spot: h.centreOf(FibrousBody), OnHinge: true, Grade: Assumption, Source: "model"},
		{ID: "oval-fossa", Label: usualLabel("landmark", "oval-fossa"), Spot: h.centreOf(Fossa), Grade: Assumption, Source: "model"},
		{ID: "node", Label: usualLabel("landmark", "node"), Spot: node, Grade: Assumption, Source: "model"},
	}
	for i := range list {
		list[i].Spot.AlongMM = h.Rim.Wrap(list[i].Spot.AlongMM)
		list[i].Frame = h.Chart.Frame(list[i].Spot)
	}
	return list
}

func (h *Heart) centreOf(id ZoneID) Spot {
	zone, _ := h.Zone(id)
	c := zone.Outline.Centroid()
	// What is centred on the commissure must not find itself at the far end of the rim by a rounding error.
	return Spot{AlongMM: math.Round(c.X*1e9) / 1e9, OffMM: c.Y}
}
