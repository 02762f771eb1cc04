package svgout

import (
	"fmt"
	"math"

	"fairlead/atlas"
)

// segmentRow names the segments under the strip and measures them, and under them where front, feet, back and head lie.
func (s strip) segmentRow(y float64) {
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
		from, to := s.widestPart(segment)
		for _, text := range []string{fmt.Sprintf("%s segment, %.1f mm", segment.Name, segment.ForMM), fmt.Sprintf("%s, %.1f mm", segment.Name, segment.ForMM), segment.Name} {
			if MeasureIn("axis-label", text) < to-from-2 {
				s.Text("axis-label", (from+to)/2, y+4.4, AnchorMiddle, text)
				break
			}
		}
	}
	s.quarters(y + 9.2)
	s.End()
}

// widestPart is the longer of the parts of a segment that the strip shows, on the paper.
func (s strip) widestPart(segment atlas.Segment) (from, to float64) {
	b := s.box()
	start := s.paper(atlas.Spot{AlongMM: s.turned(segment.FromMM)}).X
	end := start + segment.ForMM*s.scale
	if end <= b.Right()+0.01 {
		return start, end
	}
	if rest := end - b.Right(); rest > b.Right()-start {
		return b.X, b.X + rest
	}
	return start, b.Right()
}

// quarters names the places of the rim farthest to the front, feet, back and head.
func (s strip) quarters(y float64) {
	const places = 360
	b := s.box()
	for _, toward := range []struct {
		word string
		x, y float64
	}{{"to the front", 0, 1}, {"to the feet", 1, 0}, {"to the back", 0, -1}, {"to the head", -1, 0}} {
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
