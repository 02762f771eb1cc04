package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// unrolled lays the chart flat on the paper: along to the right, the hinge a straight line, off the hinge upward, both
// at one scale. Lengths along the hinge are true, and those off it; what lies up the wall is wider than it is drawn.
type unrolled struct {
	heart *atlas.Heart
	scale float64 // paper mm for one mm of heart
	cutMM float64 // along where the rim is cut open
	at    Point   // of the cut, on the hinge
}

func (u unrolled) rimMM() float64 { return u.heart.Rim.LengthMM() }

// paper is where a spot falls whose along is in the strip's turn; one beyond it falls beyond the strip's ends.
func (u unrolled) paper(s atlas.Spot) Point {
	return Point{u.at.X + (s.AlongMM-u.cutMM)*u.scale, u.at.Y - s.OffMM*u.scale}
}

func (u unrolled) papers(path []atlas.Spot) []Point {
	points := make([]Point, len(path))
	for i, s := range path {
		points[i] = u.paper(s)
	}
	return points
}

// turned brings a place of the rim into the strip's turn.
func (u unrolled) turned(alongMM float64) float64 {
	return u.cutMM + u.heart.Rim.Span(u.cutMM, alongMM)
}

// spots carries a path of the frame onto the chart, its along without a jump, and then into the turn that holds its
// middle.
func (u unrolled) spots(path []geom.Vec) []atlas.Spot {
	spots := make([]atlas.Spot, len(path))
	for i, p := range path {
		spots[i], _ = u.heart.Chart.Spot(p)
		if i > 0 {
			before := spots[i-1].AlongMM
			spots[i].AlongMM = before + math.Remainder(spots[i].AlongMM-before, u.rimMM())
		}
	}
	return u.inTurn(spots)
}

// inTurn shifts a path by whole turns until its middle lies in the strip.
func (u unrolled) inTurn(path []atlas.Spot) []atlas.Spot {
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range path {
		low, high = math.Min(low, s.AlongMM), math.Max(high, s.AlongMM)
	}
	middle := (low + high) / 2
	return shiftedBy(path, u.turned(middle)-middle)
}

func shiftedBy(path []atlas.Spot, alongMM float64) []atlas.Spot {
	moved := make([]atlas.Spot, len(path))
	for i, s := range path {
		s.AlongMM += alongMM
		moved[i] = s
	}
	return moved
}

// outline is a zone's outline in the strip's turn, its sides as straight as they are on the chart.
func (u unrolled) outline(zone atlas.Zone) []atlas.Spot {
	spots := make([]atlas.Spot, len(zone.Outline))
	for i, p := range zone.Outline {
		spots[i] = atlas.Spot{AlongMM: p.X, OffMM: p.Y}
	}
	return u.inTurn(spots)
}

// copies are the parts of a closed outline that lie in a box of the paper: what runs over one end of the strip comes
// in again at the other.
func (u unrolled) copies(outline []atlas.Spot, within Box) (parts [][]Point) {
	for _, turns := range []float64{0, -1, 1} {
		if part := clippedTo(within, u.papers(shiftedBy(outline, turns*u.rimMM()))); len(part) > 2 {
			parts = append(parts, part)
		}
	}
	return parts
}

// clippedTo is the part of a closed outline within a box: cut along one side of the box after the other. An outline
// that lies in the box is returned as it is.
func clippedTo(box Box, outline []Point) []Point {
	for _, inside := range []func(Point) float64{
		func(p Point) float64 { return p.X - box.X },
		func(p Point) float64 { return box.Right() - p.X },
		func(p Point) float64 { return p.Y - box.Y },
		func(p Point) float64 { return box.Bottom() - p.Y },
	} {
		var kept []Point
		for i, q := range outline {
			p := outline[(i+len(outline)-1)%len(outline)]
			before, here := inside(p), inside(q)
			if (before < 0) != (here < 0) {
				kept = append(kept, p.Plus(q.Minus(p).Times(before/(before-here))))
			}
			if here >= 0 {
				kept = append(kept, q)
			}
		}
		outline = kept
	}
	return outline
}

// span is a stretch of the rim, mm along.
type span struct{ from, to float64 }

func spanOf(path []atlas.Spot) span {
	s := span{math.Inf(1), math.Inf(-1)}
	for _, p := range path {
		s.from, s.to = math.Min(s.from, p.AlongMM), math.Max(s.to, p.AlongMM)
	}
	return s
}

// away is how far a place of the rim lies from the stretch, along the hinge; 0 on it.
func (s span) away(rim *atlas.Rim, alongMM float64) float64 {
	past, length := rim.Span(s.from, alongMM), s.to-s.from
	if past <= length {
		return 0
	}
	return math.Min(past-length, rim.LengthMM()-past)
}

// How far the cut keeps from what it is not to cut, mm of hinge, the first on a rim of 105 mm.
const (
	clearOfZonesMM   = 3.0
	clearOfNeedlesMM = 0.1
)

// cutOf is where the rim is cut open: at the anteroposterior commissure, so that all three segments stay whole and the
// septum lies in the middle, or as near to it as neither a bite nor a zone nor the conduction axis is cut. Where bites
// stand too close for that, a cut between the arms of a mattress will do; with no such place either, within a sixth of
// the rim, the commissure it is.
func cutOf(report *placement.Report) float64 {
	const stepMM = 0.1
	heart := report.Laid.Heart
	rim, commissure, zones := heart.Rim, heart.Segments()[0].ForMM, busySpans(heart)
	clear := func(spans []span, alongMM, keepMM float64) bool {
		return !slices.ContainsFunc(spans, func(s span) bool { return s.away(rim, alongMM) < keepMM })
	}
	for _, bites := range [][]span{append(stitchSpans(report.Bites), needleSpans(report.Bites)...), needleSpans(report.Bites)} {
		for away := 0.0; away < rim.LengthMM()/6; away += stepMM {
			for _, way := range []float64{-1, 1} {
				along := commissure + way*away
				if clear(zones, along, clearOfZonesMM*rim.LengthMM()/usualRimMM) && clear(bites, along, clearOfNeedlesMM) {
					return rim.Wrap(along)
				}
			}
		}
	}
	return commissure
}

func needleSpans(bites []placement.BiteReport) (spans []span) {
	for _, b := range bites {
		for _, p := range b.Passes {
			spans = append(spans, spanOf([]atlas.Spot{p.In, p.Out}))
		}
	}
	return spans
}

// stitchSpans are the stretches that mattress stitches take, with their pledgets.
func stitchSpans(bites []placement.BiteReport) (spans []span) {
	for _, b := range bites {
		if b.Kind != placement.Mattress {
			continue
		}
		var ends []atlas.Spot
		for _, p := range b.Passes {
			ends = append(ends, p.In, p.Out)
		}
		s := spanOf(ends)
		if b.Pledget != placement.NoPledget {
			s = span{s.from - pledgetBeyondMM, s.to + pledgetBeyondMM}
		}
		spans = append(spans, s)
	}
	return spans
}

// busySpans are the stretches of the rim beside what the strip shows whole.
func busySpans(heart *atlas.Heart) (busy []span) {
	u := unrolled{heart: heart}
	for _, zone := range heart.Zones {
		busy = append(busy, spanOf(u.outline(zone)))
	}
	for _, s := range heart.Structures {
		if tube, ok := s.Solid.(geom.Tube); ok && s.Kind == atlas.Conduction {
			busy = append(busy, spanOf(u.spots(tube.Axis)))
		}
	}
	return busy
}
