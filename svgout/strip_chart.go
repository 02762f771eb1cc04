package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// unrolled lays the chart flat on the paper: along to the right, or mirrored to the left, the hinge a straight line, off
// the hinge upward, both at one scale. Lengths along the hinge are true, and those off it; what lies up the wall is wider
// than it is drawn.
type unrolled struct {
	heart    *atlas.Heart
	scale    float64 // paper mm for one mm of heart
	cutMM    float64 // along where the rim is cut open
	mirrored bool
	at       Point // of the strip's left end, on the hinge
}

func (u unrolled) rimMM() float64 { return u.heart.Rim.LengthMM() }

// paper is where a spot falls whose along is in the strip's turn; one beyond it falls beyond the strip's ends.
func (u unrolled) paper(s atlas.Spot) Point {
	fromLeft := s.AlongMM - u.cutMM
	if u.mirrored {
		fromLeft = u.rimMM() - fromLeft
	}
	return Point{u.at.X + fromLeft*u.scale, u.at.Y - s.OffMM*u.scale}
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

// outlinePart is a part of an outline on the paper, or the whole of it.
type outlinePart struct {
	outline []Point
	whole   bool
}

// copies are the parts of a closed outline that lie in a box of the paper: what runs over one end of the strip comes
// in again at the other.
func (u unrolled) copies(outline []atlas.Spot, within Box) (parts []outlinePart) {
	for _, turns := range []float64{0, -1, 1} {
		points := u.papers(shiftedBy(outline, turns*u.rimMM()))
		if part := clippedTo(within, points); len(part) > 2 {
			parts = append(parts, outlinePart{part, len(part) == len(points) && !overAnEnd(points, within)})
		}
	}
	return parts
}

func overAnEnd(points []Point, box Box) bool {
	return slices.ContainsFunc(points, func(p Point) bool { return p.X < box.X || p.X > box.Right() })
}

// overTheEnds are the parts of an open way on the paper that lie between the ends of a box as long as the strip: what
// runs over one end comes in again at the other.
func overTheEnds(way []Point, box Box) (parts [][]Point) {
	for _, turns := range []float64{0, -1, 1} {
		moved := make([]Point, len(way))
		for i, p := range way {
			moved[i] = p.Plus(Point{turns * box.W, 0})
		}
		parts = append(parts, betweenEnds(moved, box)...)
	}
	return parts
}

// betweenEnds cuts away of an open way what lies beyond the left and the right of a box.
func betweenEnds(way []Point, box Box) (parts [][]Point) {
	const leastMM = 0.002 // shorter is not printed
	var part []Point
	end := func() {
		if len(part) > 1 && pathLength(part) > leastMM {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := 1; i < len(way); i++ {
		a, b := way[i-1], way[i]
		from, to := sharesBetween(a.X, b.X, box.X, box.Right())
		if from > to {
			end()
			continue
		}
		if from > 0 {
			end()
			a = a.Plus(b.Minus(a).Times(from))
		}
		if part == nil {
			part = []Point{a}
		}
		if to < 1 {
			part = append(part, way[i-1].Plus(b.Minus(way[i-1]).Times(to)))
			end()
			continue
		}
		part = append(part, b)
	}
	end()
	return parts
}

// sharesBetween are the shares of the way from a to b between which it lies from low to high; the first is larger than
// the second where none of it does.
func sharesBetween(a, b, low, high float64) (from, to float64) {
	if a == b {
		if a < low || a > high {
			return 1, 0
		}
		return 0, 1
	}
	from, to = (low-a)/(b-a), (high-a)/(b-a)
	if from > to {
		from, to = to, from
	}
	return math.Max(0, from), math.Min(1, to)
}

// onTheStrip brings a point of the paper that lies beyond an end of a box in again at the other.
func onTheStrip(p Point, box Box) Point {
	if p.X < box.X {
		return p.Plus(Point{box.W, 0})
	}
	if p.X > box.Right() {
		return p.Minus(Point{box.W, 0})
	}
	return p
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

// cutFor is where the rim is cut open for a reader: at the usual cut, or where a turn takes it.
//
// The usual strip is the atrial view cut open near its top and laid out, from the left as one goes round the view
// clockwise. The turned strip has to be the same of the turned view: it begins with what the turn brings to the top.
// Turned clockwise by a quarter, that is what was left, a quarter back round the paper. Along the rim it is back as well,
// and on in the mirror, where the rim runs anticlockwise. On the strip every mark then moves to the right by the turn's
// share of the strip's length, as marks at the top of a dial do that is turned clockwise.
//
// A turned cut may part zones and what lies under the surface, but no bite: it gives way to the nearest place where none
// lies. Where bites stand too close for that, a cut between the arms of a mattress will do; with no such place either it
// stays, and the bite is parted.
func cutFor(report *placement.Report, habit Habit) float64 {
	cut, turn := cutOf(report), habit.turn()
	if turn == 0 {
		return cut
	}
	rim := report.Laid.Heart.Rim
	turnMM := turn / 360 * rim.LengthMM()
	if habit.Mirrored {
		turnMM = -turnMM
	}
	for _, bites := range bitesToSpare(report) {
		if along, found := nearestAlong(rim, cut-turnMM, rim.LengthMM()/2, func(along float64) bool { return clearOf(bites, rim, along, clearOfNeedlesMM) }); found {
			return along
		}
	}
	return rim.Wrap(cut - turnMM)
}

// cutOf is where the rim is usually cut open: at the anteroposterior commissure, so that all three segments stay whole and
// the septum lies in the middle, or as near to it as neither a bite nor a zone nor the conduction axis is cut. Where bites
// stand too close for that, a cut between the arms of a mattress will do; with no such place either, within a sixth of
// the rim, the commissure it is.
func cutOf(report *placement.Report) float64 {
	heart := report.Laid.Heart
	rim, commissure, zones := heart.Rim, heart.Segments()[0].ForMM, busySpans(heart)
	for _, bites := range bitesToSpare(report) {
		if along, found := nearestAlong(rim, commissure, rim.LengthMM()/6, func(along float64) bool {
			return clearOf(zones, rim, along, clearOfZonesMM*rim.LengthMM()/usualRimMM) && clearOf(bites, rim, along, clearOfNeedlesMM)
		}); found {
			return along
		}
	}
	return commissure
}

// nearestAlong is the place nearest to one of the rim, less far off than a reach, that will do.
func nearestAlong(rim *atlas.Rim, alongMM, reachMM float64, willDo func(alongMM float64) bool) (foundMM float64, found bool) {
	const stepMM = 0.1
	for away := 0.0; away < reachMM; away += stepMM {
		for _, way := range []float64{-1, 1} {
			if along := alongMM + way*away; willDo(along) {
				return rim.Wrap(along), true
			}
		}
	}
	return 0, false
}

func clearOf(spans []span, rim *atlas.Rim, alongMM, keepMM float64) bool {
	return !slices.ContainsFunc(spans, func(s span) bool { return s.away(rim, alongMM) < keepMM })
}

// bitesToSpare are the stretches that bites take, whole mattresses first and then each pass by itself.
func bitesToSpare(report *placement.Report) [][]span {
	needles := needleSpans(report.Bites)
	return [][]span{append(stitchSpans(report.Bites), needles...), needles}
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
