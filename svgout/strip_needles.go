package svgout

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/placement"
)

// needle is one pass as the strip shows it.
type needle struct {
	path  []Point // of the needle's arc under the surface, seen from above
	spots []atlas.Spot
}

// needle carries a pass into the strip. It goes in and comes out on the endocardium, where its spots say.
func (s strip) needle(p placement.Pass) needle {
	const pieces = 12
	ends := s.inTurn([]atlas.Spot{p.In, p.Out})
	spots := make([]atlas.Spot, pieces+1)
	for i := range spots {
		share := float64(i) / pieces
		spots[i], _ = s.heart.Chart.Spot(p.Arc.At(share))
		straight := ends[0].AlongMM + share*(ends[1].AlongMM-ends[0].AlongMM)
		spots[i].AlongMM = straight + math.Remainder(spots[i].AlongMM-straight, s.rimMM())
	}
	spots[0], spots[pieces] = ends[0], ends[1]
	return needle{s.papers(spots), spots}
}

func (n needle) in() Point     { return n.path[0] }
func (n needle) out() Point    { return n.path[len(n.path)-1] }
func (n needle) middle() Point { return n.path[len(n.path)/2] }

func (s strip) needles() (needles []needle) {
	for _, b := range s.bites {
		for _, p := range b.Passes {
			needles = append(needles, s.needle(p))
		}
	}
	return needles
}

// needleDotMM is the radius of the dots where a needle goes in and comes out.
const needleDotMM = 0.75

func (s strip) stitch() {
	s.layer("bites", "bites")
	for _, b := range s.bites {
		s.pledget(b)
		s.threadBetween(b)
	}
	for _, n := range s.needles() {
		s.pass(n.path, s.box())
	}
	s.End()
}

// pass draws one passage of the needle from the first point of its path to the last; what runs over one end of a box as
// long as the strip comes in again at the other.
func (s strip) pass(path []Point, box Box) {
	for _, part := range overTheEnds(path, box) {
		s.Path("thread-hidden", new(PathData).SmoothThrough(part, false))
	}
	s.Circle("needle-entry", onTheStrip(path[0], box), needleDotMM)
	s.Circle("needle-exit", onTheStrip(path[len(path)-1], box), needleDotMM)
}

// threadBetween draws the thread where it lies on the surface; straight on the chart, it is straight here.
func (s strip) threadBetween(b placement.BiteReport) {
	for i := 1; i < len(b.Passes); i++ {
		from, to := b.Passes[i-1].Out, b.Passes[i].In
		if b.Kind == placement.Mattress {
			from = b.Passes[i-1].In
		}
		way := s.papers(s.inTurn([]atlas.Spot{from, to}))
		s.threadLine(way[0], way[1])
	}
}

// threadLine draws a thread; what runs over one end of the strip comes in again at the other.
func (s strip) threadLine(from, to Point) {
	b := s.box()
	for _, turns := range []float64{0, -1, 1} {
		a, c := from.Plus(Point{turns * b.W, 0}), to.Plus(Point{turns * b.W, 0})
		if a.X > c.X {
			a, c = c, a
		}
		if c.X <= b.X || a.X >= b.Right() {
			continue
		}
		at := func(x float64) Point { return a.Plus(c.Minus(a).Times((x - a.X) / (c.X - a.X))) }
		start, end := a, c
		if a.X < b.X {
			start = at(b.X)
		}
		if c.X > b.Right() {
			end = at(b.Right())
		}
		s.Line("thread", start, end)
	}
}

func (s strip) pledget(b placement.BiteReport) {
	if b.Kind != placement.Mattress || b.Pledget == placement.NoPledget || len(b.Passes) < 2 {
		return
	}
	arms := s.inTurn([]atlas.Spot{b.Passes[0].In, b.Passes[1].In})
	across := spanOf(arms)
	off := (arms[0].OffMM + arms[1].OffMM) / 2
	corner := s.paper(atlas.Spot{AlongMM: across.from - pledgetBeyondMM, OffMM: off + pledgetHalfMM})
	felt := Box{corner.X, corner.Y, (across.to - across.from + 2*pledgetBeyondMM) * s.scale, 2 * pledgetHalfMM * s.scale}
	if s.mirrored {
		felt.X -= felt.W
	}
	box := s.box()
	for _, turns := range []float64{0, -1, 1} {
		here := felt
		here.X += turns * box.W
		if left, right := math.Max(here.X, box.X), math.Min(here.Right(), box.Right()); left != here.X || right != here.Right() {
			here.X, here.W = left, right-left
		}
		if here.W > 0 {
			s.Rect("pledget", here)
		}
	}
}

// onHinge are the stretches of the paper where a needle runs along on the hinge's line or so near it that the line
// would hide it.
func (s strip) onHinge() (gaps []span) {
	const hiddenMM = 1.0
	for _, n := range s.needles() {
		if math.Abs(n.in().Y-s.at.Y) < hiddenMM && math.Abs(n.out().Y-s.at.Y) < hiddenMM {
			gaps = append(gaps, span{math.Min(n.in().X, n.out().X), math.Max(n.in().X, n.out().X)})
		}
	}
	slices.SortFunc(gaps, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	return gaps
}

// needleBoxes are the places on the paper that needles and threads take.
func (s strip) needleBoxes() (boxes []Box) {
	around := func(p Point) Box { return Box{p.X, p.Y, 0, 0}.Grow(needleDotMM + 0.3) }
	for _, n := range s.needles() {
		for _, p := range n.path {
			boxes = append(boxes, around(p))
		}
	}
	for _, along := range s.borders() {
		boxes = append(boxes, around(s.paper(atlas.Spot{AlongMM: along})).Grow(1))
	}
	return boxes
}
