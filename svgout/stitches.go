package svgout

import (
	"slices"

	"fairlead/atlas"
	"fairlead/placement"
)

// stitches draws the bites of a report on the anatomy.
type stitches struct {
	anatomy
	bites []placement.BiteReport
	line  *placement.LineReport // nil: none
}

func (s stitches) draw() {
	s.layer("bites", "bites")
	for _, b := range s.bites {
		s.pledget(b)
		s.threadBetween(b)
	}
	for _, b := range s.bites {
		for _, p := range b.Passes {
			s.pass(p)
		}
	}
	s.End()
}

// pass draws one passage of the needle: hidden under the surface from entry to exit.
func (s stitches) pass(p placement.Pass) {
	const points = 9 // enough for the shadow of an arc to within a hundredth of a line's width
	path := make([]Point, points)
	for i := range path {
		path[i] = s.paper(p.Arc.At(float64(i) / (points - 1)))
	}
	s.smooth("thread-hidden", path, false)
	s.Circle("needle-entry", path[0], 0.75)
	s.Circle("needle-exit", path[len(path)-1], 0.75)
}

// threadBetween draws the thread where it lies on the surface: from exit to next entry in a run, across the pledget
// side in a mattress.
func (s stitches) threadBetween(b placement.BiteReport) {
	for i := 1; i < len(b.Passes); i++ {
		from, to := b.Passes[i-1].Out, b.Passes[i].In
		if b.Kind == placement.Mattress {
			from = b.Passes[i-1].In
		}
		s.smooth("thread", s.surface(from, to), false)
	}
}

// surface follows the endocardium straight on the chart from one spot to another.
func (s stitches) surface(from, to atlas.Spot) []Point {
	const pieces = 12
	spots := make([]atlas.Spot, pieces+1)
	for i := range spots {
		t := float64(i) / pieces
		spots[i] = atlas.Spot{AlongMM: from.AlongMM + t*(to.AlongMM-from.AlongMM), OffMM: from.OffMM + t*(to.OffMM-from.OffMM)}
	}
	return s.chartPath(spots)
}

// Half the width of a pledget across its thread, and how far it reaches beyond the arms, mm: a common felt of 3 by
// 7 mm under arms 4 to 5 mm apart. From memory; nobody's maker.
const (
	pledgetHalfMM   = 1.5
	pledgetBeyondMM = 1.2
)

// pledget draws the felt under a mattress: where its arms enter.
func (s stitches) pledget(b placement.BiteReport) {
	if b.Kind != placement.Mattress || b.Pledget == placement.NoPledget || len(b.Passes) < 2 {
		return
	}
	first, last := b.Passes[0].In, b.Passes[1].In
	low, high := min(first.AlongMM, last.AlongMM)-pledgetBeyondMM, max(first.AlongMM, last.AlongMM)+pledgetBeyondMM
	off := (first.OffMM + last.OffMM) / 2
	near := s.surface(atlas.Spot{AlongMM: low, OffMM: off - pledgetHalfMM}, atlas.Spot{AlongMM: high, OffMM: off - pledgetHalfMM})
	far := s.surface(atlas.Spot{AlongMM: high, OffMM: off + pledgetHalfMM}, atlas.Spot{AlongMM: low, OffMM: off + pledgetHalfMM})
	s.Path("pledget", new(PathData).Polyline(append(near, far...), true))
}

// middle is where a bite is pointed at: on its rimward pass's own path, halfway.
func (s stitches) middle(b placement.BiteReport) Point {
	p := b.Passes[len(b.Passes)/2]
	return s.paper(p.Arc.At(0.5))
}

// verdicts draws each bite's level beside it, on the side of the orifice.
func (s stitches) verdicts() {
	s.layer("verdicts", "levels-of-the-bites")
	for i, at := range s.markPlaces() {
		s.LevelMark(mark(s.bites[i].Verdict), at, 3.4)
	}
	s.End()
}

// onWallMM is how far up the wall a bite lies by itself, its mark beside it and not at the hinge.
const onWallMM = 3.0

// marksApartMM is how far the marks of two bites lie apart at least, where a run of passes leaves a choice.
const marksApartMM = 4.4

// markPlaces are where the marks of the bites lie: beside the middle pass, or of a run beside the nearest to that from
// which no mark of a bite before it is in the way.
func (s stitches) markPlaces() (places []Point) {
	for _, b := range s.bites {
		places = append(places, s.markPlace(b, places))
	}
	return places
}

func (s stitches) markPlace(b placement.BiteReport, before []Point) Point {
	middle := len(b.Passes) / 2
	if b.Kind == placement.Running {
		for away := range len(b.Passes) {
			for _, i := range []int{middle + away, middle - away} {
				if i < 0 || i >= len(b.Passes) {
					continue
				}
				at := s.besidePass(b.Passes[i])
				if !slices.ContainsFunc(before, func(p Point) bool { return p.Distance(at) < marksApartMM }) {
					return at
				}
			}
		}
	}
	return s.besidePass(b.Passes[middle])
}

// besidePass lies inward of a pass by enough to clear the thread, between two bites' breadths: of one at the hinge, on
// the leaflet.
func (s stitches) besidePass(p placement.Pass) Point {
	along := (p.In.AlongMM + p.Out.AlongMM) / 2
	low := min(p.In.OffMM, p.Out.OffMM)
	if low < onWallMM {
		low = min(low, 0)
	}
	hinge := s.paper(s.heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: low}))
	inward := s.paper(s.heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: low - 1})).Minus(hinge).unit()
	return hinge.Plus(inward.Times(4.2))
}

func mark(level placement.Level) Level {
	return map[placement.Level]Level{placement.Clear: Clear, placement.Caution: Caution, placement.Avoid: Avoid}[level]
}
