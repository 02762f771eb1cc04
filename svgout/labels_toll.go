package svgout

import (
	"math"
	"slices"
)

// tolls are a price on the room of a column, so much for each stretch of it.
// They say how short the leaders of labels not yet placed can be at best.
//
// Let every label pay for the room it takes. In any layout each stretch is
// taken once at most, so the leaders come to no less than leaders and tolls
// together, less the tolls of the whole column. And leaders and tolls together
// come to no less than if every label chose its cheapest place by itself, and
// that is quickly found. So there is a lower bound whatever the tolls; levy
// makes it high by raising the tolls where labels crowd. (Lagrangian
// relaxation and subgradient ascent with Polyak's steps; the names are from
// memory.)
type tolls struct {
	// bound is what no layout's leaders are shorter than, in sum.
	bound float64
	// price is the toll of each stretch, and upTo the toll of the column down
	// to where it begins.
	price, upTo []float64
	// costs are, for each label and stretch, the least its leader and tolls can
	// come to with its top in that stretch; least the same in that stretch or
	// beneath, and cheapest in any.
	costs, least [][]float64
	cheapest     []float64
	// sizes are the lengths of column that labels take, each once, and sizeOf
	// says which of them a label takes.
	sizes  []int64
	sizeOf []int
}

// fee is the least toll of a label of some size with its top in some stretch,
// and how far down the stretch the top then is.
type fee struct {
	toll float64
	down int64
}

const (
	// stretchLength is the length of column that has one toll.
	stretchLength = 2000
	// tollRounds is how many times the tolls are raised or lowered.
	tollRounds = 40
	// noPlace is the cost of a place a label cannot have: more than all
	// leaders together, yet small enough to be added and subtracted again.
	noPlace = 1e9
)

// levy finds tolls for a side with a layout whose leaders are so long in sum.
func (s *side) levy(known float64) tolls {
	n := int(s.room()/stretchLength) + 1
	t := tolls{bound: math.Inf(-1), price: make([]float64, n+2), upTo: make([]float64, n+3)}
	leaders := make([][]float64, len(s.items))
	for i := range s.items {
		leaders[i] = s.leaderByStretch(i, n)
		t.sizes = append(t.sizes, s.share(i))
	}
	slices.Sort(t.sizes)
	t.sizes = slices.Compact(t.sizes)
	for i := range s.items {
		t.sizeOf = append(t.sizeOf, slices.Index(t.sizes, s.share(i)))
	}
	t.raise(leaders, known)
	fees := t.fees(n)
	for i := range leaders {
		costs := costs(leaders[i], fees[t.sizeOf[i]])
		least := leastFrom(costs)
		t.costs, t.least, t.cheapest = append(t.costs, costs), append(t.least, least), append(t.cheapest, least[0])
	}
	return t
}

// share is the length of column that label i takes with the gap after it, and
// room what all have to share.
func (s *side) share(i int) int64 { return s.reach(i) + s.gap }
func (s *side) room() int64       { return s.bottom - s.top + s.gap }

// leaderByStretch is the least length of label i's leader with its top in each
// of n stretches, if any place within coarseStep of it is clear of obstacles.
func (s *side) leaderByStretch(i, n int) []float64 {
	leaders := make([]float64, n)
	level := s.items[i].target.y - s.drop
	for k := range leaders {
		from := s.top + int64(k)*stretchLength
		to := from + stretchLength
		leaders[k] = s.leader(i, max(from, min(level, to)))
		if from+s.reach(i) > s.bottom || s.clearOf(from-coarseStep, s.reach(i)) > to+coarseStep {
			leaders[k] = noPlace
		}
	}
	return leaders
}

// raise looks for the tolls with the highest bound.
func (t *tolls) raise(leaders [][]float64, known float64) {
	n := len(leaders[0])
	pace, best := 1.0, slices.Clone(t.price)
	for range tollRounds {
		fees, taken, bound := t.fees(n), make([]float64, n+2), -t.upTo[n]
		for i := range leaders {
			bound += t.choose(i, leaders[i], fees[t.sizeOf[i]], taken)
		}
		if bound > t.bound {
			t.bound = bound
			copy(best, t.price)
		} else {
			pace *= 0.9
		}
		if !t.adjust(taken[:n], pace*(known-bound)) {
			break
		}
	}
	copy(t.price, best)
	t.sum()
}

// choose adds what label i takes of each stretch at its cheapest place, and
// says what leader and tolls come to there.
func (t *tolls) choose(i int, leaders []float64, fees []fee, taken []float64) float64 {
	cheapest, at := math.Inf(1), 0
	for k, leader := range leaders {
		if cost := leader + fees[k].toll; cost < cheapest {
			cheapest, at = cost, k
		}
	}
	top := int64(at)*stretchLength + fees[at].down
	for y, end := top, top+t.sizes[t.sizeOf[i]]; y < end; {
		k := y / stretchLength
		next := min(end, (k+1)*stretchLength)
		taken[k] += float64(next-y) / stretchLength
		y = next
	}
	return cheapest
}

// adjust raises the tolls of stretches taken more than once and lowers those
// of stretches taken less. It reports whether there was anything to do.
func (t *tolls) adjust(taken []float64, by float64) bool {
	norm := 0.0
	for k := range taken {
		taken[k]--
		if t.price[k] == 0 {
			taken[k] = max(0, taken[k])
		}
		norm += taken[k] * taken[k]
	}
	if norm == 0 || by <= 0 {
		return false
	}
	for k := range taken {
		t.price[k] = max(0, t.price[k]+by/norm*taken[k])
	}
	t.sum()
	return true
}

func (t *tolls) sum() {
	for k, price := range t.price {
		t.upTo[k+1] = t.upTo[k] + price
	}
}

// fees are the fees of all sizes in each of n stretches.
func (t *tolls) fees(n int) [][]fee {
	all := make([][]fee, len(t.sizes))
	for i, size := range t.sizes {
		all[i] = make([]fee, n)
		for k := range all[i] {
			all[i][k] = t.fee(size, k)
		}
	}
	return all
}

// fee is the fee of one size in stretch k. The toll changes evenly but where
// the label's lower end enters a new stretch, so three places tell.
func (t *tolls) fee(size int64, k int) fee {
	end, over := k+int(size/stretchLength), size%stretchLength
	if end+1 >= len(t.price) {
		return fee{noPlace, 0}
	}
	share := float64(over) / stretchLength
	f := fee{t.upTo[end] + t.price[end]*share - t.upTo[k], 0}
	if toll := t.upTo[end+1] - t.upTo[k] - t.price[k]*(1-share); toll < f.toll {
		f = fee{toll, stretchLength - over}
	}
	if toll := t.upTo[end+1] + t.price[end+1]*share - t.upTo[k+1]; toll < f.toll {
		f = fee{toll, stretchLength}
	}
	return f
}

// costs are what leader and toll come to in each stretch.
func costs(leaders []float64, fees []fee) []float64 {
	sums := make([]float64, len(leaders))
	for k := range sums {
		sums[k] = leaders[k] + fees[k].toll
	}
	return sums
}

// leastFrom is the least of each cost and all those after it.
func leastFrom(costs []float64) []float64 {
	least := make([]float64, len(costs))
	beneath := noPlace
	for k := len(costs) - 1; k >= 0; k-- {
		beneath = min(beneath, costs[k])
		least[k] = beneath
	}
	return least
}

// from is the toll of the column from so far down to its end.
func (t *tolls) from(y int64) float64 {
	k := y / stretchLength
	return t.upTo[len(t.upTo)-1] - t.upTo[k] - t.price[k]*float64(y%stretchLength)/stretchLength
}
