package svgout

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// segmentRow names the segments under the strip and measures them, and under them where front, feet, back and head lie. It
// returns the last baseline.
func (s strip) segmentRow(y float64) float64 {
	s.layer("orientation", "segments-and-orientation-along-the-rim")
	b := s.box()
	s.Line("axis", Point{b.X, y}, Point{b.Right(), y})
	for _, along := range s.borders() {
		x := s.paper(atlas.Spot{AlongMM: along}).X
		s.Line("tick", Point{x, y - 1.4}, Point{x, y + 1.4})
	}
	for _, edge := range []float64{b.X, b.Right()} {
		s.Line("tick", Point{edge, y - 1.4}, Point{edge, y + 1.4})
	}
	for _, segment := range s.heart.Segments() {
		parts := s.partsOf(segment)
		s.letteredIn(parts[0], y+4.4, s.segmentWords(segment)...)
		if s.Habit.turn() != 0 && len(parts) > 1 {
			s.letteredIn(parts[1], y+4.4, s.said(segment.Short()))
		}
	}
	s.quarters(y + 9.2)
	s.End()
	return y + 9.2
}

// segmentWords name a segment and say how long it is, the longest words first.
func (r Reader) segmentWords(segment atlas.Segment) []string {
	mm := words.Fixed(segment.ForMM, 1)
	return []string{
		r.say("strip.segment", words.Blanks{"segment": segment.Said(), "mm": mm}),
		r.say("strip.segment", words.Blanks{"segment": segment.Short(), "mm": mm}),
		r.said(segment.Short()),
	}
}

// letteredIn letters the first of some words that has room in a stretch of the paper, in its middle.
func (s strip) letteredIn(part span, y float64, words ...string) {
	for _, text := range words {
		if MeasureIn("axis-label", text) < part.to-part.from-2 {
			s.Text("axis-label", (part.from+part.to)/2, y, AnchorMiddle, text)
			return
		}
	}
}

// partsOf are the parts of a segment that the strip shows, on the paper, the longest first.
func (s strip) partsOf(segment atlas.Segment) (parts []span) {
	x := func(alongMM float64) float64 { return s.paper(atlas.Spot{AlongMM: alongMM}).X }
	from, end := s.turned(segment.FromMM), s.cutMM+s.rimMM()
	to := from + segment.ForMM
	for _, p := range []span{{from, math.Min(to, end)}, {s.cutMM, to - s.rimMM()}} {
		if a, b := x(p.from), x(p.to); p.to-p.from > 0.01 {
			parts = append(parts, span{math.Min(a, b), math.Max(a, b)})
		}
	}
	slices.SortStableFunc(parts, func(a, b span) int { return cmp.Compare(b.to-b.from, a.to-a.from) })
	return parts
}

// quarters names the places of the rim farthest to the front, feet, back and head.
func (s strip) quarters(y float64) {
	const places = 360
	b := s.box()
	for _, toward := range []struct {
		word string
		x, y float64
	}{{s.say("strip.way.front"), 0, 1}, {s.say("strip.way.feet"), 1, 0}, {s.say("strip.way.back"), 0, -1}, {s.say("strip.way.head"), -1, 0}} {
		best, along := math.Inf(-1), 0.0
		for i := range places {
			here := s.rimMM() * float64(i) / places
			if p := s.heart.Rim.At(here); p.X*toward.x+p.Y*toward.y > best {
				best, along = p.X*toward.x+p.Y*toward.y, here
			}
		}
		half := MeasureIn("axis-label", toward.word) / 2
		x := s.paper(atlas.Spot{AlongMM: s.turned(along)}).X
		if turn := s.rimMM() * s.scale; x-half < b.X || x+half > b.Right() { // at the cut: at both ends
			s.Text("axis-label", b.X, y, AnchorStart, toward.word)
			s.Text("axis-label", b.X+turn, y, AnchorEnd, toward.word)
			continue
		}
		s.Text("axis-label", x, y, AnchorMiddle, toward.word)
	}
}
