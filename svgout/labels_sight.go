package svgout

// sight says from which ports one target is seen above or beneath another.
//
// Two leaders from one column cross or not according to one port alone, that
// of the target farther from the column. Where the line through both targets
// meets the column's edge, the farther target is seen exactly behind the
// nearer one. From a port above that height the far leader passes above the
// near target, and so the near one's port must be beneath; from a port
// beneath it passes beneath, and the near one's port must be above.
type sight struct {
	// above is the lowest port from which the leader may pass above the
	// other target, below the highest from which it may pass beneath.
	above, below int64
}

// beyond is a height farther down than any port or target.
const beyond = int64(1) << 40

// lookRound fills the table of sights.
func (s *side) lookRound() {
	s.sights = make([][]sight, len(s.items))
	for i := range s.items {
		s.sights[i] = make([]sight, len(s.items))
		for j := range s.items {
			s.sights[i][j] = s.look(i, j)
		}
	}
}

// look is how the target of label i is seen against the target of label j.
func (s *side) look(i, j int) sight {
	a, b := s.items[i].target, s.items[j].target
	farA, farB := s.away(a), s.away(b)
	switch {
	case a == b && s.reach(i) == s.reach(j):
		return always(i < j) // nothing tells them apart but the order given
	case farA < farB || a == b:
		return sight{above: beyond, below: -beyond}
	case farA == farB:
		return always(a.y < b.y)
	}
	// The height h of the line at the column's edge: h (farA - farB) = n.
	n, d := farA*b.y-farB*a.y, farA-farB
	h := floorDiv(n, d)
	if h*d == n {
		return sight{above: h - 1, below: h + 1}
	}
	return sight{above: h, below: h + 1}
}

// always is the sight of a leader that must be above the other, or beneath.
func always(above bool) sight {
	if above {
		return sight{above: beyond, below: beyond}
	}
	return sight{above: -beyond, below: -beyond}
}

// away is how far a place is from the column.
func (s *side) away(p spot) int64 {
	if s.right {
		return s.portX - p.x
	}
	return p.x - s.portX
}

// floorDiv divides and rounds down; the divisor is positive.
func floorDiv(n, d int64) int64 {
	q := n / d
	if q*d > n {
		q--
	}
	return q
}
