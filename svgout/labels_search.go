package svgout

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

const (
	// mostLabels is how many labels in one column a search can tell apart,
	// mostWays how many ways to place equally many of them it keeps.
	mostLabels = 64
	mostWays   = 40_000

	// coarseStep and fineStep are the pitches of the slacks tried. The fine
	// one is for what the coarse one leaves undecided.
	coarseStep = 500
	fineStep   = 100
)

// search looks for an order with shorter leaders than a known layout's, among
// all orders for which leaders need not cross. It says by how much the layout
// it returns is longer at most than any other.
//
// It fills the column from the top and keeps, for each set of labels placed so
// far and each slack, the best way only: dynamic programming over sets. Slack
// is how much of the column has been left empty so far. With the set it gives
// the place of the next label exactly, so that nothing is lost to rounding
// however tight the column. What tolls show to lead to no shorter leaders is
// dropped, and that is nearly everything.
func (s *side) search(known layout) (best layout, excess float64) {
	t := s.levy(known.length)
	best, floor := known, t.bound
	if len(s.items) > mostLabels {
		return best, best.length - floor
	}
	for _, step := range []int64{coarseStep, fineStep} {
		q := search{side: s, tolls: &t, step: step}
		complete := false
		best, floor, complete = q.narrow(best, floor)
		if !complete || best.length-floor <= 2*s.rounding(coarseStep) {
			break
		}
	}
	return best, best.length - floor
}

// narrow closes the gap between the best layout known and what no layout is
// shorter than.
//
// Slacks are multiples of a step, and all the room there is; rounding says why
// that is fine enough. But it can take a port past the height at which its
// leader would touch another target, or a label against an obstacle. So the
// first search is loose: it lets labels miss their places by a step. No layout
// is shorter than what it finds, but for the rounding; and what it finds,
// settled, is mostly no longer. Where it is, a strict search may find better.
func (q *search) narrow(best layout, floor float64) (_ layout, _ float64, complete bool) {
	q.leeway = q.step
	// The floor is mostly nearer to the truth than the known layout is. To
	// look near the floor first saves most of the work.
	for _, share := range []float64{0.3, 1} {
		q.limit = floor + share*(best.length-floor)
		found, least, all := q.run()
		best, complete = shorter(best, found), all
		if !complete {
			break
		}
		floor = max(floor, least-q.rounding(q.step))
		if least < q.limit {
			break
		}
	}
	if best.length-floor > 2*q.rounding(q.step) {
		q.leeway, q.limit = 0, best.length
		found, _, _ := q.run()
		best = shorter(best, found)
	}
	return best, floor, complete
}

// shorter is the shorter of two layouts, of which the second may be none.
func shorter(known, found layout) layout {
	if found.order != nil && found.length < known.length {
		return found
	}
	return known
}

// rounding is how much longer leaders can become when all slacks of a layout
// are rounded to steps. Round them up or down with one threshold for all, and
// they still do not fall. Over all thresholds, a leader's mean length is that
// of a straight line between the steps next to it, and that lies above the
// curve of its length by no more than the step squared over eight times the
// target's distance from the column, 3 µm at 10 mm, nor ever by more than half
// a step. For some threshold, then, the sum grows by no more than all these.
func (s *side) rounding(step int64) float64 {
	sum := 0.0
	for _, it := range s.items {
		sum += min(float64(step)/2, float64(step*step)/8/float64(s.away(it.target)))
	}
	return sum
}

// search is a search for leaders shorter in sum than a limit.
type search struct {
	*side
	tolls *tolls
	limit float64
	// leeway is by how much a label may miss the places it can have.
	leeway int64
	// step is the pitch of the slacks, and spare the room that remains when
	// all labels are placed.
	step, spare int64
	prospect    []prospect
	partials    map[uint64]*partial
}

// partial is the best of all layouts of one set of labels at the top of the
// column, for each slack they may leave above the next label.
type partial struct {
	set uint64
	// filled is the height that labels and gaps take.
	filled int64
	// length is the length of the leaders by slack, and last how the last
	// label was placed.
	length []float64
	last   []placing
	// rest is what leaders and tolls of all other labels come to at least
	// from each stretch on.
	rest []float64
	// from and to enclose the slacks that may lead below the limit, and
	// bound is the least length that one of them may lead to.
	from, to int
	bound    float64
}

// placing is a label and the index of the slack at which it stands.
type placing struct{ label, slack int16 }

// run is the shortest layout within the limit, settled; it has no order if
// there is none. The least length is that before settling, or the limit. It is
// true of all layouts if the search is complete.
func (q *search) run() (shortest layout, least float64, complete bool) {
	q.spare, q.prospect, q.partials = q.room(), q.prospects(), map[uint64]*partial{}
	for i := range q.items {
		q.spare -= q.share(i)
	}
	layer, complete := []*partial{q.nothing()}, true
	for range q.items {
		layer = q.extendAll(layer)
		if most := mostWays / len(q.partials[0].length); len(layer) > most {
			slices.SortStableFunc(layer, func(a, b *partial) int { return cmp.Compare(a.bound, b.bound) })
			layer, complete = layer[:most], false
		}
	}
	if len(layer) == 0 {
		return layout{}, q.limit, complete
	}
	shortest, _ = q.settle(q.retrace(layer[0]))
	length := layer[0].length
	return shortest, min(q.limit, length[len(length)-1]), complete
}

// slack is the slack of index g.
func (q *search) slack(g int) int64 { return min(int64(g)*q.step, q.spare) }

// nothing is the partial layout of no labels.
func (q *search) nothing() *partial {
	slacks := int((q.spare+q.step-1)/q.step) + 1
	p := &partial{length: make([]float64, slacks), last: make([]placing, slacks)}
	p.rest = make([]float64, len(q.tolls.least[0]))
	for _, least := range q.tolls.least {
		for k := range p.rest {
			p.rest[k] += least[k]
		}
	}
	q.close(p)
	q.partials[0] = p
	return p
}

// with is p with label i as well, but no place for it yet.
func (q *search) with(p *partial, i int) *partial {
	w := &partial{set: p.set | 1<<i, filled: p.filled + q.share(i)}
	w.length, w.last = make([]float64, len(p.length)), make([]placing, len(p.length))
	for g := range w.length {
		w.length[g] = math.Inf(1)
	}
	w.rest = make([]float64, len(p.rest))
	for k := int(w.filled / stretchLength); k < len(w.rest); k++ {
		w.rest[k] = p.rest[k] - q.tolls.least[i][k]
	}
	return w
}

// extendAll puts one more label under each partial layout, in every way that
// may lead below the limit.
func (q *search) extendAll(layer []*partial) (next []*partial) {
	for _, p := range layer {
		for i := range q.items {
			isNext := p.set>>i&1 == 0 && q.prospect[i].above&^p.set == 0
			if isNext && q.extend(p, i) {
				next = append(next, q.partials[p.set|1<<i])
			}
		}
	}
	for _, p := range next {
		q.close(p)
	}
	return next
}

// extend puts label i under a partial layout. It reports whether that made a
// partial layout of a new set.
func (q *search) extend(p *partial, i int) (isNew bool) {
	low, high := q.window(p.set, i)
	extended := q.partials[p.set|1<<i]
	for g := p.from; g <= p.to; g++ {
		y := p.filled + q.slack(g)
		top := q.top + y
		if top < low || top > high || q.clearOf(top-q.leeway, q.reach(i)) > top+q.leeway {
			continue
		}
		length := p.length[g] + q.leader(i, top)
		y += q.share(i)
		k := y / stretchLength
		if length+p.rest[k]-q.tolls.least[i][k]-q.tolls.from(y) >= q.limit {
			continue
		}
		if extended == nil {
			extended, isNew = q.with(p, i), true
			q.partials[extended.set] = extended
		}
		if length < extended.length[g] {
			extended.length[g], extended.last[g] = length, placing{int16(i), int16(g)}
		}
	}
	return isNew
}

// window is between which tops label i may stand under the labels of a set and
// above all others.
func (q *search) window(set uint64, i int) (low, high int64) {
	low, high = q.prospect[i].low, q.prospect[i].high
	for j := range q.items {
		switch sight := q.sights[i][j]; {
		case j == i:
		case set>>j&1 == 1:
			low = max(low, sight.below-q.drop-q.leeway)
		default:
			high = min(high, sight.above-q.drop+q.leeway)
		}
	}
	return low, high
}

// close makes each length that of leaving so much slack or less, and bounds
// what may come of it.
func (q *search) close(p *partial) {
	p.from, p.to, p.bound = len(p.length), -1, math.Inf(1)
	for g := range p.length {
		if g > 0 && p.length[g-1] <= p.length[g] {
			p.length[g], p.last[g] = p.length[g-1], p.last[g-1]
		}
		y := p.filled + q.slack(g)
		bound := p.length[g] + p.rest[y/stretchLength] - q.tolls.from(y)
		if bound < q.limit {
			p.from, p.to = min(p.from, g), g
		}
		p.bound = min(p.bound, bound)
	}
}

// retrace is the shortest layout that ends in a partial layout of all labels.
func (q *search) retrace(p *partial) layout {
	n := bits.OnesCount64(p.set)
	l := layout{order: make([]int, n), tops: make([]int64, n)}
	g := len(p.last) - 1
	for k := n - 1; k >= 0; k-- {
		last := p.last[g]
		p = q.partials[p.set&^(1<<last.label)]
		g = int(last.slack)
		l.order[k], l.tops[k] = int(last.label), q.top+p.filled+q.slack(g)
	}
	return l
}
