package placement

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// move is a change to a bite: shifted along the hinge, up the wall, and made shallower or deeper.
type move struct{ alongMM, offMM, depthMM float64 }

func (m move) size() float64 { return math.Abs(m.alongMM) + math.Abs(m.offMM) + math.Abs(m.depthMM) }

// moves are the changes tried, smallest first: one thing or two together, never all three.
func moves() (list []move) {
	for _, along := range []float64{0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8, 10, -10, 12, -12} {
		for _, off := range []float64{0, 1, -1, 2, -2} {
			for _, depth := range []float64{0, -0.5, -1, -1.5, -2, 0.5, 1} {
				m := move{along, off, depth}
				if m != (move{}) && (along == 0 || off == 0 || depth == 0) {
					list = append(list, m)
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b move) int { return cmp.Compare(a.size(), b.size()) })
	return list
}

// shallowestMM is the least depth that is advised.
const shallowestMM = 0.3

// advise finds the smallest change that would make a bite clear, or failing that better, and writes it behind the
// reasons. Neighbouring bites are not looked at: the changed plan is to be checked again.
func (e *examiner) advise(bite *LaidBite, reasons []Reason) {
	if bite.OnLine {
		adviseOnLine(reasons)
		return
	}
	if e.moves == nil {
		e.moves = moves()
	}
	s := search{examiner: e, bite: bite, places: map[[2]float64]place{}}
	best, level := words.Of("instead.bite.another-place"), worst(reasons)
	for _, m := range e.moves {
		if l := s.levelAfter(m, level); l < level {
			best, level = words.Of("instead.bite.move", words.Blanks{"moves": m.words(bite), "level": l.Said()}), l
		}
		if level == Clear {
			break
		}
	}
	for i := range reasons {
		if reasons[i].Level > Clear {
			reasons[i].Instead = best
		}
	}
}

// search is one search for advice.
type search struct {
	*examiner
	bite    *LaidBite
	places  map[[2]float64]place // where a bite moved along and off comes to lie
	hardest int                  // the pass that stood in the way last; it is looked at first
}

type place struct{ in, out atlas.Spot }

// levelAfter is the level the bite would have after a move, or bound when that is not better than bound or the move
// cannot be made.
func (s *search) levelAfter(m move, bound Level) (level Level) {
	changed := LaidBite{Bite: s.bite.Bite}
	changed.DepthMM += m.depthMM
	at := s.placeAfter(m)
	low, high := min(at.in.OffMM, at.out.OffMM), max(at.in.OffMM, at.out.OffMM)
	if changed.DepthMM < shallowestMM || low < -s.leafletMM || high > s.wallMM || !changed.Tissue.allows(low, high) {
		return bound
	}
	shifts := changed.shifts()
	for n := range shifts {
		i := (n + s.hardest) % len(shifts)
		one := s.levelOfPass(changed, shifted(at.in, shifts[i], 0), shifted(at.out, shifts[i], 0), bound)
		if level = max(level, one); level >= bound {
			s.hardest = i
			return bound
		}
	}
	return level
}

// placeAfter lays the first pass anew, as the plan changed by the move would.
func (s *search) placeAfter(m move) place {
	key := [2]float64{m.alongMM, m.offMM}
	if at, known := s.places[key]; known {
		return at
	}
	first := s.bite.Passes[0]
	at := place{in: shifted(first.In, m.alongMM, m.offMM), out: shifted(first.Out, m.alongMM, m.offMM)}
	if !s.bite.HasOut {
		at.out = travelled(s.heart, at.in, s.bite.Heading, s.bite.TravelMM)
	}
	s.places[key] = at
	return at
}

// levelOfPass is the level of a bite of one pass, or bound when it is no better or cannot be sewn. What is quickly
// judged comes first.
func (s *search) levelOfPass(bite LaidBite, in, out atlas.Spot, bound Level) (level Level) {
	bite.Passes = []Pass{{In: in, Out: out, DepthMM: bite.DepthMM}}
	under := &examined{examiner: s.examiner, bite: &bite}
	if level = under.worstOf(true, bound); level >= bound {
		return bound
	}
	bite.Passes[0] = NewPass(s.heart, in, out, bite.DepthMM)
	if _, bad := bite.unsewable(0); bad {
		return bound
	}
	under.clearances = s.heeded(bite.Passes[0])
	return max(level, under.worstOf(false, bound))
}

// worstOf is the worst level of the rules that need no clearances, or of those that do, as far as it is under bound.
func (e *examined) worstOf(flat bool, bound Level) (level Level) {
	for _, j := range judges {
		if j.flat == flat {
			if l, _ := j.judge(e); l > level {
				level = l
			}
			if level >= bound {
				return bound
			}
		}
	}
	return level
}

// heeded measures a pass as far as rules heed it: a structure farther away than caution reaches is +Inf away.
func (e *examiner) heeded(pass Pass) []Clearance {
	clearances := make([]Clearance, len(e.obstacles))
	for i, t := range e.obstacles {
		margin, beyond := e.keep(t.Structure)
		limit := margin + beyond + e.halfWidth()
		clearances[i].MM = math.Inf(1)
		if d, _ := t.nearest(pass.Path, limit); d < limit {
			clearances[i].MM = d - e.halfWidth()
		}
	}
	return clearances
}

// words say a move of a bite.
func (m move) words(bite *LaidBite) words.Said {
	var said []words.Said
	if m.alongMM > 0 {
		said = append(said, words.Of("move.clockwise", words.Blanks{"mm": moved(m.alongMM)}))
	}
	if m.alongMM < 0 {
		said = append(said, words.Of("move.anticlockwise", words.Blanks{"mm": moved(-m.alongMM)}))
	}
	if m.offMM > 0 {
		said = append(said, words.Of("move.up", words.Blanks{"mm": moved(m.offMM)}))
	}
	if m.offMM < 0 {
		said = append(said, words.Of("move.down", words.Blanks{"mm": moved(-m.offMM)}))
	}
	if m.depthMM != 0 {
		said = append(said, words.Of("move.deep", words.Blanks{"mm": exact(bite.DepthMM + m.depthMM)}))
	}
	return words.And(said...)
}

// moved is the length of a move in as few digits as it takes.
func moved(mm float64) words.Number { return words.Short(mm, 3) }
