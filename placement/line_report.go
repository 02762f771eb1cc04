package placement

import (
	"fairlead/atlas"
	"fairlead/atlas/words"
)

// LineReport is a suture line, measured and judged. The line itself, to be drawn, is in LaidLine: its Corners on the
// chart, and its Stretches with their points on the chart, on the surface and at depth.
type LineReport struct {
	*LaidLine
	Verdict   Level
	Crossings []LineCrossing // of the hinge and the tendon line, in the order the line comes to them
	Sides     []LineSide     // of the ostium, each structure of the conduction axis and each half of the nodal triangle
	Distances []LineDistance // to each structure
	Lip       *LipDistance   // nil: the heart has no ostium
	Room      *Room          // nil: the line is not to run between lip and axis
	Sample    *SampleReport  // nil: none asked for
	Seat      Seat
	Reasons   []Reason
}

// LipDistance is how near a line comes to the lip of the ostium: mm of tissue on the surface, less the half width of
// needle or thread; negative inside.
type LipDistance struct {
	MM    float64
	Spot  atlas.Spot
	Where words.Said
}

// Room is the smallest distance from the lip of the ostium to the conduction axis, through the tissue.
type Room struct {
	MM, WantedMM float64
	To           words.Said // label of the nearest structure
}

// examineLine measures a laid line.
func (e *examiner) examineLine(l *LaidLine) *LineReport {
	c := l.course
	r := &LineReport{LaidLine: l, Crossings: c.crossings(e.wallMM), Seat: l.seat()}
	r.Distances = lineDistances(l.Stretches, e.obstacles, e.thicknessMM, e.halfWidth())
	for i := range r.Distances {
		r.Distances[i].Where = c.where(r.Distances[i].Spot)
	}
	if zone, there := e.heart.Zone(atlas.Ostium); there {
		mm, at := c.lipDistance(e.zones[atlas.Ostium])
		r.Lip = &LipDistance{mm - e.halfWidth(), at, c.where(at)}
		r.Sides = append(r.Sides, c.sideOfLip(zone))
		if l.between() {
			mm, to := roomBetween(e.heart, zone)
			r.Room = &Room{mm, roomWanted(e.plan), to.Label}
		}
	}
	for _, s := range e.heart.Structures {
		if s.Kind == atlas.Conduction {
			r.Sides = append(r.Sides, c.sideOfSolid(s))
		}
	}
	for _, id := range []atlas.ZoneID{atlas.ApicalHalf, atlas.BasalHalf} {
		if zone, there := e.heart.Zone(id); there {
			r.Sides = append(r.Sides, c.sideOfZone(zone))
		}
	}
	if l.Line.Sample.Hearts > 0 {
		r.Sample = l.sample(e.plan)
	}
	return r
}

// side finds where something lies.
func (r *LineReport) side(id string) (LineSide, bool) {
	for _, s := range r.Sides {
		if s.ID == id {
			return s, true
		}
	}
	return LineSide{}, false
}
