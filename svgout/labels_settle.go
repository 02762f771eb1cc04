package svgout

import "sort"

// settle moves the labels of a layout, without changing their order or taking
// any past an obstacle, to where the leaders are shortest in sum; no other
// whole thousandths of a millimetre give a smaller sum, but for rounding in
// its last digits. The layout given need not be free of overlaps and
// crossings. If with its order none is, settle reports that.
//
// Measure each top from where it would be with the labels packed tight. In
// this measure labels that must not overlap are numbers that must not fall,
// each with a convex cost and bounds of its own: isotonic regression. Pooling
// adjacent violators solves it exactly: go down the column, let each label
// stand where it would like to, and where that is above its predecessor join
// the two into a pool that moves as one.
func (s *side) settle(l layout) (settled layout, ok bool) {
	packed, low, high := s.packed(l.order), make([]int64, len(l.order)), make([]int64, len(l.order))
	for k := range l.order {
		low[k], high[k] = s.bounds(l, k)
		low[k], high[k] = low[k]-packed[k], high[k]-packed[k]
	}
	// What bounds one label bounds those beneath it, or above it, too.
	for k := 1; k < len(low); k++ {
		low[k] = max(low[k], low[k-1])
	}
	for k := len(high) - 1; k > 0; k-- {
		high[k-1] = min(high[k-1], high[k])
	}
	for k := range low {
		if low[k] > high[k] {
			return layout{}, false
		}
	}
	var pools []pool
	for k := range l.order {
		p := s.rest(pool{from: k, to: k + 1, low: low[k], high: high[k]}, l.order, packed)
		for len(pools) > 0 && pools[len(pools)-1].at > p.at {
			p = s.rest(pools[len(pools)-1].join(p), l.order, packed)
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, p)
	}
	settled = layout{order: l.order, tops: packed}
	for _, p := range pools {
		for k := p.from; k < p.to; k++ {
			settled.tops[k] += p.at
		}
	}
	settled.length = s.lengthOf(settled)
	return settled, true
}

// pool is a stretch of an order that moves as one, at so much beneath its
// packed place.
type pool struct {
	from, to      int
	low, high, at int64
}

func (p pool) join(next pool) pool {
	return pool{from: p.from, to: next.to, low: max(p.low, next.low), high: min(p.high, next.high)}
}

// rest lets a pool stand where its leaders are shortest: at the first place
// from which going on lengthens them.
func (s *side) rest(p pool, order []int, packed []int64) pool {
	p.at = p.low + int64(sort.Search(int(p.high-p.low), func(n int) bool {
		step := 0.0
		for k := p.from; k < p.to; k++ {
			y := packed[k] + p.low + int64(n)
			step += s.leader(order[k], y+1) - s.leader(order[k], y)
		}
		return step >= 0
	}))
	return p
}

// packed are the tops of labels set as tight as they may be.
func (s *side) packed(order []int) []int64 {
	tops := make([]int64, len(order))
	y := s.top
	for k, i := range order {
		tops[k] = y
		y += s.reach(i) + s.gap
	}
	return tops
}

// bounds are the highest and the lowest top that label k of a layout may have
// on account of the column, of the obstacles, which it may not pass, and of
// its sights.
func (s *side) bounds(l layout, k int) (low, high int64) {
	i := l.order[k]
	low, high = s.top, s.bottom-s.reach(i)
	for _, b := range s.blocked {
		if b[0]+b[1] < 2*l.tops[k]+s.reach(i) {
			low = max(low, b[1])
		} else {
			high = min(high, b[0]-s.reach(i))
		}
	}
	for other, j := range l.order {
		if other < k {
			low = max(low, s.sights[i][j].below-s.drop)
		} else if other > k {
			high = min(high, s.sights[i][j].above-s.drop)
		}
	}
	return low, high
}
