package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// LineSide tells on which side of a suture line something lies: how much of it on the ventricular side, and how far it
// reaches from the line into either side, mm of tissue; 0 where nothing of it lies there.
type LineSide struct {
	ID                 string
	Label              words.Said
	VentricularPercent float64
	AtrialMM           float64
	VentricularMM      float64

	structure atlas.Structure // empty of a zone
}

// On is the side it lies on.
func (s LineSide) On() Side {
	switch {
	case s.AtrialMM == 0:
		return VentricularSide
	case s.VentricularMM == 0:
		return AtrialSide
	default:
		return BothSides
	}
}

// Lies says in English on which side: a word for programs.
func (s LineSide) Lies() string {
	if s.On() == BothSides {
		return "both sides"
	}
	return string(s.On()) + " side"
}

// LiesSaid says on which side.
func (s LineSide) LiesSaid() words.Said { return s.On().Said() }

// sideOf looks at places that make something up, each with its weight.
func (c *course) sideOf(id string, label words.Said, places []weighed) LineSide {
	side := LineSide{ID: id, Label: label}
	var below, all float64
	for _, p := range places {
		far := c.tissueDistance(p.spot)
		all += p.weight
		if c.below(p.spot) {
			below += p.weight
			side.VentricularMM = max(side.VentricularMM, far)
		} else {
			side.AtrialMM = max(side.AtrialMM, far)
		}
	}
	if all > 0 {
		side.VentricularPercent = 100 * below / all
	}
	return side
}

type weighed struct {
	spot   atlas.Spot
	weight float64
}

// sideOfSolid looks at the shadow a solid casts on the chart.
func (c *course) sideOfSolid(s atlas.Structure) LineSide {
	var places []weighed
	for _, p := range surfaceOf(s.Solid) {
		spot, _ := c.heart.Chart.Spot(p)
		places = append(places, weighed{spot, 1})
	}
	side := c.sideOf(s.ID, s.Label, places)
	side.structure = s
	return side
}

// takesIn tells whether the whole of a solid lies on the ventricular side.
func (c *course) takesIn(solid geom.Solid) bool {
	for _, p := range surfaceOf(solid) {
		if spot, _ := c.heart.Chart.Spot(p); !c.below(spot) {
			return false
		}
	}
	return true
}

// sideOfLip looks at a zone's outline; the share is that of the outline's corners.
func (c *course) sideOfLip(zone atlas.Zone) LineSide {
	var places []weighed
	for _, p := range zone.Outline {
		places = append(places, weighed{atlas.Spot{AlongMM: p.X, OffMM: p.Y}, 1})
	}
	return c.sideOf(string(zone.ID), zone.Label, places)
}

// zoneRows is how many rows and columns a zone's area is weighed by: its share is good to about a hundredth.
const zoneRows = 40

// sideOfZone looks at a zone's area on the tissue.
func (c *course) sideOfZone(zone atlas.Zone) LineSide {
	low, high := zone.Outline[0], zone.Outline[0]
	for _, p := range zone.Outline {
		low, high = geom.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, geom.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	var places []weighed
	for i := range zoneRows {
		off := low.Y + (high.Y-low.Y)*(float64(i)+0.5)/zoneRows
		for j := range zoneRows {
			along := low.X + (high.X-low.X)*(float64(j)+0.5)/zoneRows
			if zone.Outline.Contains(geom.Point{X: along, Y: off}) {
				spot := atlas.Spot{AlongMM: along, OffMM: off}
				places = append(places, weighed{spot, c.heart.Chart.Spread(spot)})
			}
		}
	}
	return c.sideOf(string(zone.ID), zone.Label, places)
}

// surfaceOf samples the surface of a solid: an ellipsoid every 15 degrees, which misses its widest place by less than
// a hundredth of its half-axis; a tube by rings about its axis, which miss its widest place by a thirtieth of its radius,
// and the half balls at its ends.
func surfaceOf(solid geom.Solid) (points []geom.Vec) {
	switch s := solid.(type) {
	case geom.Ellipsoid:
		const rings, meridians = 12, 24
		for i := range rings + 1 {
			up, across := math.Sincos(math.Pi * (float64(i)/rings - 0.5))
			for j := range meridians {
				sin, cos := math.Sincos(2 * math.Pi * float64(j) / meridians)
				points = append(points, s.Centre.Add(s.Axes[0].Scale(s.Radii[0]*across*cos)).Add(s.Axes[1].Scale(s.Radii[1]*across*sin)).Add(s.Axes[2].Scale(s.Radii[2]*up)))
				if across < 1e-9 {
					break // a pole
				}
			}
		}
	case geom.Tube:
		const meridians = 12
		for i, p := range s.Axis {
			way := s.Axis[min(i+1, len(s.Axis)-1)].Sub(s.Axis[max(i-1, 0)]).Unit()
			aside, across := squareTo(way)
			tilts := []float64{0}
			switch i { // the ends are half balls
			case 0:
				tilts = []float64{0, -30, -60, -90}
			case len(s.Axis) - 1:
				tilts = []float64{0, 30, 60, 90}
			}
			for _, tilt := range tilts {
				up, out := math.Sincos(tilt * math.Pi / 180)
				for j := range meridians {
					sin, cos := math.Sincos(2 * math.Pi * float64(j) / meridians)
					points = append(points, p.Add(aside.Scale(out*cos).Add(across.Scale(out*sin)).Add(way.Scale(up)).Scale(s.RadiusMM)))
				}
			}
		}
	}
	return points
}

// squareTo gives two unit vectors at right angles to a direction and to each other.
func squareTo(way geom.Vec) (aside, across geom.Vec) {
	away := geom.Vec{X: 1}
	if math.Abs(way.X) > 0.7 {
		away = geom.Vec{Y: 1}
	}
	aside = way.Cross(away).Unit()
	return aside, way.Cross(aside)
}

// LineCrossing is where a line crosses the hinge or the tendon line.
type LineCrossing struct {
	Of    Crossed
	Spot  atlas.Spot
	At    geom.Vec
	Where words.Said
}

// Crossed is what a line can cross.
type Crossed string

// What a line can cross.
const (
	CrossesHinge  Crossed = "hinge"
	CrossesTendon Crossed = "tendon line"
)

// Said is what it is called.
func (c Crossed) Said() words.Said { return words.Of("crossed." + string(c)) }

// crossings lists where the course crosses the hinge and the tendon line, in the order they are come to. The tendon
// line is the triangle's side, carried straight on toward the inferior caval valve as far as the wall reaches.
func (c *course) crossings(wallMM float64) (found []LineCrossing) {
	note := func(of Crossed, s atlas.Spot) {
		found = append(found, LineCrossing{of, s, c.heart.Chart.Frame(s), c.where(s)})
	}
	for _, l := range c.legs {
		type met struct {
			share float64
			of    Crossed
		}
		var on []met
		// A leg owns its beginning: one that begins on the hinge crosses there if it comes from the other side.
		if (l.from.OffMM < 0) != (l.to.OffMM < 0) {
			on = append(on, met{l.from.OffMM / (l.from.OffMM - l.to.OffMM), CrossesHinge})
		}
		if share, meets := l.crosses(c.tendonLine(l, wallMM)); meets {
			on = append(on, met{share, CrossesTendon})
		}
		if len(on) == 2 && on[1].share < on[0].share {
			on[0], on[1] = on[1], on[0]
		}
		for _, m := range on {
			note(m.of, l.at(m.share))
		}
	}
	return found
}

// tendonLine is the tendon line in the turn of a leg.
func (c *course) tendonLine(l leg, wallMM float64) leg {
	t := c.heart.Triangle
	line := leg{t.Apex, t.Tendon}
	line.to = line.at((wallMM - t.Apex.OffMM) / (t.Tendon.OffMM - t.Apex.OffMM))
	middle, goal := t.Tendon.AlongMM, l.at(0.5).AlongMM
	return line.shifted(goal + shorterWay(c.heart.Rim, goal, middle) - middle)
}

// crosses tells whether a leg goes over from one side of another to the other, and where on itself.
func (l leg) crosses(o leg) (share float64, crosses bool) {
	side := func(of leg, s atlas.Spot) float64 {
		return (of.to.AlongMM-of.from.AlongMM)*(s.OffMM-of.from.OffMM) - (of.to.OffMM-of.from.OffMM)*(s.AlongMM-of.from.AlongMM)
	}
	from, to := side(o, l.from), side(o, l.to)
	if (from < 0) == (to < 0) || (side(l, o.from) < 0) == (side(l, o.to) < 0) {
		return 0, false
	}
	return from / (from - to), true
}
