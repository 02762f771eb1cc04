package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// dimension is a length of the plane as it is drawn: from one point to another, with what it measures.
type dimension struct {
	from, to geom.Vec
	mm       float64 // as said
	of       string  // id of the structure; empty for the depth
}

// mostDimensions is how many distances to structures are drawn: more are not read.
const mostDimensions = 3

// shortestDimensionMM is the least length that is drawn, on paper: the ends of a shorter one run together. What is
// farther than longestDimensionMM, of heart, needs none; and two that run within coincidingMM of each other, on paper,
// cannot be told apart.
const (
	shortestDimensionMM = 2.5
	longestDimensionMM  = 6.0
	coincidingMM        = 1.5
)

// drawnDimensions are the lengths the picture shows: the depth, and the distances to the nearest structures it shows.
func (s *section) drawnDimensions() []dimension {
	mid := atlas.Spot{AlongMM: s.cut.alongMM, OffMM: (s.pass.In.OffMM + s.pass.Out.OffMM) / 2}
	deep := mid
	deep.DeepMM = s.pass.DepthMM
	list := []dimension{{from: s.heart.Chart.Frame(mid), to: s.heart.Chart.Frame(deep), mm: s.pass.DepthMM}}
	for _, n := range s.neighbours {
		if len(list) > mostDimensions {
			break
		}
		d, ok := s.distance(n)
		if ok && !slices.ContainsFunc(list, func(o dimension) bool { return s.coincide(o, d) }) {
			list = append(list, d)
		}
	}
	return list
}

// distance is how far the needle is from a structure where the picture can show it: the clearance where both its ends
// lie in the plane, else the shortest way within the plane.
func (s *section) distance(n neighbour) (dimension, bool) {
	d := dimension{from: n.here[0], to: n.here[1], mm: n.hereMM, of: n.ID}
	if n.inPlane(s.cut) {
		d = dimension{from: n.needle, to: n.wall, mm: n.clearance.MM, of: n.ID}
	}
	drawn := d.mm <= longestDimensionMM && s.paper(d.from).Distance(s.paper(d.to)) >= shortestDimensionMM &&
		sectionPicture.Contains(s.paper(d.from)) && sectionPicture.Contains(s.paper(d.to))
	return d, drawn
}

// coincide tells two dimensions that run into one another, or side by side.
func (s *section) coincide(a, b dimension) bool {
	near := func(a, b dimension) bool {
		from, way := s.paper(a.from), s.paper(a.to).Minus(s.paper(a.from))
		middle := s.paper(b.from.Lerp(b.to, 0.5))
		t := min(1, max(0, middle.Minus(from).dot(way)/way.dot(way)))
		return from.Plus(way.Times(t)).Distance(middle) < coincidingMM
	}
	return near(a, b) || near(b, a) || s.paper(a.to).Distance(s.paper(b.to)) < coincidingMM
}

// dimensions draws them, each with a stroke across either end.
func (s *section) dimensions() {
	s.layer("dimensions", "dimensions")
	for _, d := range s.drawnDimensions() {
		from, to := s.paper(d.from), s.paper(d.to)
		across := to.Minus(from).unit()
		across = Point{-across.Y, across.X}.Times(1.1)
		s.Line("measure", from, to)
		s.Line("measure", from.Minus(across), from.Plus(across))
		s.Line("measure", to.Minus(across), to.Plus(across))
	}
	s.End()
}

// downToTenth says a distance in mm to a tenth, never larger than it is.
func downToTenth(mm float64) words.Number { return words.Fixed(math.Floor(mm*10+1e-6)/10, 1) }
