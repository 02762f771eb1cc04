package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// LineDistance is how near a suture line comes to a structure, less the half width of needle or thread; negative
// inside.
type LineDistance struct {
	Structure string
	Label     words.Said
	// LeafletOnly: counted where needles stay within the thickness of a leaflet, which hangs free of what lies under
	// the hinge. Such a distance is told and not judged for the conduction axis.
	LeafletOnly bool
	SurfaceMM   float64 // from the line on the endocardium
	DeepMM      float64 // from the line as deep as its needles go
	Spot        atlas.Spot
	At          geom.Vec // on the line, surface or deep, where it is nearest
	Where       words.Said

	structure atlas.Structure
}

// MM is the smaller of the two distances.
func (d LineDistance) MM() float64 { return min(d.SurfaceMM, d.DeepMM) }

// chunkPoints is how many points of a line are told by one ball to be far away.
const chunkPoints = 8

// nearestOn finds the smaller of best and the smallest signed distance of a polyline to an obstacle: where on the
// polyline, as a segment's index and a share of it.
func (t obstacle) nearestOn(path []geom.Vec, best float64) (dist float64, segment int, share float64) {
	segment = -1
	for from := 0; from+1 < len(path); from += chunkPoints {
		to := min(from+chunkPoints, len(path)-1)
		around := ballAbout(path[from : to+1])
		for _, p := range t.parts {
			if p.gap(around) >= best {
				continue
			}
			for i := from; i < to; i++ {
				if d, at := p.solid.DistanceSegment(geom.Segment{A: path[i], B: path[i+1]}); d < best {
					best, segment, share = d, i, at
				}
			}
		}
	}
	return best, segment, share
}

// ballAbout is a ball about any points.
func ballAbout(points []geom.Vec) ball {
	b := ball{centre: points[0].Lerp(points[len(points)-1], 0.5)}
	for _, p := range points {
		b.radius = max(b.radius, b.centre.Distance(p))
	}
	return b
}

// lineDistances measures a line to every structure, apart where needles take leaflet alone.
func lineDistances(stretches []LineStretch, obstacles []obstacle, thicknessMM, halfWidth float64) (all []LineDistance) {
	for _, t := range obstacles {
		for _, leafletOnly := range []bool{false, true} {
			d := LineDistance{Structure: t.ID, Label: t.Label, LeafletOnly: leafletOnly, SurfaceMM: math.Inf(1), DeepMM: math.Inf(1), structure: t.Structure}
			for i := range stretches {
				if s := &stretches[i]; s.leafletOnly(thicknessMM) == leafletOnly {
					d.measure(t, s, s.Surface, &d.SurfaceMM)
					d.measure(t, s, s.Deep, &d.DeepMM)
				}
			}
			if math.IsInf(d.MM(), 1) {
				continue // the line runs on no such tissue
			}
			d.SurfaceMM, d.DeepMM = d.SurfaceMM-halfWidth, d.DeepMM-halfWidth
			all = append(all, d)
		}
	}
	return all
}

func (d *LineDistance) measure(t obstacle, s *LineStretch, path []geom.Vec, best *float64) {
	least := d.MM()
	dist, i, share := t.nearestOn(path, *best)
	if dist >= *best {
		return
	}
	*best = dist
	if dist < least {
		d.Spot, d.At = leg{s.Spots[i], s.Spots[i+1]}.at(share), path[i].Lerp(path[i+1], share)
	}
}

// lipDistance is how near the course comes to the lip of the ostium on the surface, mm of tissue, and where; negative:
// how far in.
func (c *course) lipDistance(zone flatZone) (mm float64, at atlas.Spot) {
	mm, nearest := math.Inf(1), c.legs[0]
	for _, l := range c.legs {
		if d := zone.depth(Pass{In: l.from, Out: l.to}, mm); d < mm {
			mm, nearest = d, l
		}
	}
	return mm, nearest.nearestTo(zone)
}

// nearestTo is the spot of a leg that comes nearest to a zone, or lies deepest in it, to a two-hundredth of its length.
func (l leg) nearestTo(zone flatZone) atlas.Spot {
	const steps = 200
	flat := flatLegOn(zone, l)
	best, least := 0.0, math.Inf(1)
	for i := range steps + 1 {
		share := float64(i) / steps
		s := flat.at(share)
		if d := zone.outline.SignedDistance(geom.Point{X: s.AlongMM, Y: s.OffMM}); d < least {
			best, least = share, d
		}
	}
	return l.at(best)
}

// flatLegOn is a leg in the flat proportions of a zone.
func flatLegOn(z flatZone, l leg) leg {
	middle := l.at(0.5).AlongMM
	l = l.shifted(z.middle + shorterWay(z.rim, z.middle, middle) - middle)
	l.from.AlongMM, l.to.AlongMM = l.from.AlongMM*z.spread, l.to.AlongMM*z.spread
	return l
}
