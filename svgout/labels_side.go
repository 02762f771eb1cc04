package svgout

import "slices"

// side is one column with what goes in it.
type side struct {
	items       []*item
	portX       int64
	top, bottom int64
	gap, drop   int64
	blocked     [][2]int64 // spans of y that obstacles take, in order
	right       bool       // the column is right of the picture
	sights      [][]sight  // by the one who looks and the one seen
}

// layout is an order of items and the top of each, with the sum of the
// leaders' lengths.
type layout struct {
	order  []int
	tops   []int64
	length float64
}

func newSide(items []*item, frame LabelFrame, right bool) *side {
	column := frame.Left
	if right {
		column = frame.Right
	}
	s := &side{items: items, top: micron(column.Y), bottom: micron(column.Bottom()), right: right}
	s.portX = micron(column.Right())
	if right {
		s.portX = micron(column.X)
	}
	if s.gap = roundUpMicron(frame.GapMM); s.gap == 0 {
		s.gap = micron(defaultGapMM)
	}
	for _, it := range items {
		s.drop = max(s.drop, it.rise)
	}
	for _, o := range frame.Obstacles {
		// A label that touches an obstacle is as bad as one that overlaps it.
		if o.X <= column.Right() && column.X <= o.Right() {
			s.blocked = append(s.blocked, [2]int64{micron(o.Y) - 1, micron(o.Bottom()) + 1})
		}
	}
	slices.SortFunc(s.blocked, func(a, b [2]int64) int { return int(a[0] - b[0]) })
	return s
}

// hasRoom reports whether some sweep fits the column. Without obstacles one
// does whenever the labels are together no higher than the column.
func (s *side) hasRoom(width int64) bool {
	for _, it := range s.items {
		if it.width > width {
			return false
		}
	}
	return len(s.items) == 0 || len(s.sweeps()) > 0
}

// solve sets the ports of the items for the shortest leaders. It says by how
// many thousandths of a millimetre another layout can be shorter at most.
func (s *side) solve() (excess float64) {
	if len(s.items) == 0 {
		return 0
	}
	s.lookRound()
	best, excess := s.search(s.shortestSweep())
	for k, i := range best.order {
		s.items[i].port = spot{s.portX, best.tops[k] + s.drop}
		s.items[i].onLeft = !s.right
	}
	return excess
}

// reach is the height label i takes, from the common top to its lower end. A
// label in smaller lettering hangs a little lower under its top, so that its
// port stands as deep as all the others.
func (s *side) reach(i int) int64 { return s.items[i].height + s.drop - s.items[i].rise }

// leader is the length of label i's leader with the label's top at y.
func (s *side) leader(i int, y int64) float64 {
	return spot{s.portX, y + s.drop}.to(s.items[i].target)
}

func (s *side) lengthOf(l layout) float64 {
	d := 0.0
	for k, i := range l.order {
		d += s.leader(i, l.tops[k])
	}
	return d
}

// clearOf is the first top at or beneath y from which a label of the given
// height touches no obstacle.
func (s *side) clearOf(y, height int64) int64 {
	for _, b := range s.blocked {
		if y < b[1] && b[0] < y+height {
			y = b[1]
		}
	}
	return y
}
