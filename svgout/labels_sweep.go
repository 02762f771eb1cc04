package svgout

import (
	"math"
	"slices"
)

// shortestSweep is the best layout to be had from sweeps: each is settled,
// and the spacing it then has is swept once more, as long as that shortens
// the leaders.
func (s *side) shortestSweep() layout {
	best := layout{length: math.Inf(1)}
	for _, l := range s.sweeps() {
		for length, ok := math.Inf(1), true; ok; l, ok = s.sweep(s.spacingOf(l)) {
			if l, ok = s.settle(l); !ok || l.length >= length {
				break
			}
			if length = l.length; length < best.length {
				best = l
			}
		}
	}
	return best
}

// sweeps are the sweeps that fit, of two to begin with: all the room shared
// evenly before each label, and none of it used.
func (s *side) sweeps() (fitting []layout) {
	n := int64(len(s.items))
	used := s.gap * (n - 1)
	for i := range s.items {
		used += s.reach(i)
	}
	for _, b := range s.blocked {
		used += b[1] - b[0]
	}
	share := max(0, (s.bottom-s.top-used)/(n+1))
	even, packed := make([]int64, n), make([]int64, n)
	for i := range even {
		even[i] = share
	}
	for _, spacing := range [][]int64{even, packed} {
		if l, ok := s.sweep(spacing); ok {
			fitting = append(fitting, l)
		}
	}
	return fitting
}

// sweep fills the column from the top, with the distances given before each
// label. At each port it takes, of the labels left, the one whose leader
// leaves all other targets beneath it.
//
// No two leaders cross. Take a leader and any later one. The later port lies
// straight beneath the earlier port, hence strictly beneath the line through
// the earlier leader; the later target lies beneath that line or on it, by
// the choice made. So the later leader is strictly beneath the line but
// perhaps for its target, and that lies on the earlier leader only if the
// targets coincide, since of several targets on one line the nearest goes
// first. The port must not depend on the label chosen: it is the same depth
// under every top. Where an obstacle leaves no room for the label chosen,
// the port moves beneath the obstacle and the choice is made anew.
func (s *side) sweep(spacing []int64) (layout, bool) {
	left := make([]int, len(s.items))
	for i := range left {
		left[i] = i
	}
	l := layout{}
	y := s.top
	for _, space := range spacing {
		y += space
		k := s.topmost(left, y)
		for {
			lower := s.clearOf(y, s.reach(left[k]))
			if lower == y {
				break
			}
			y = lower
			k = s.topmost(left, y)
		}
		l.order, l.tops = append(l.order, left[k]), append(l.tops, y)
		y += s.reach(left[k]) + s.gap
		left = slices.Delete(left, k, k+1)
	}
	return l, y-s.gap <= s.bottom
}

// topmost is where in left the label stands whose leader, from the port under
// top y, passes above all other targets.
func (s *side) topmost(left []int, y int64) int {
	port, best := spot{s.portX, y + s.drop}, 0
	for k, i := range left {
		target, topmost := s.items[i].target, s.items[left[best]].target
		t := turn(port, topmost, target)
		if s.right {
			t = -t
		}
		if t < 0 || t == 0 && port.to(target) < port.to(topmost) {
			best = k
		}
	}
	return best
}

// spacingOf reads back how much more than the least distance lies before
// each label.
func (s *side) spacingOf(l layout) []int64 {
	spacing := make([]int64, len(l.order))
	y := s.top
	for k, i := range l.order {
		spacing[k] = l.tops[k] - y
		y = l.tops[k] + s.reach(i) + s.gap
	}
	return spacing
}
