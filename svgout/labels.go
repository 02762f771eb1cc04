package svgout

import (
	"fmt"
	"math"
	"slices"
)

// Label is a few lines of lettering that belong to a place in the picture.
type Label struct {
	// Lines are set beneath one another; see Fit.
	Lines []string
	// Class is the lettering; empty means "label".
	Class string
	// Target is where the leader ends, in paper millimetres.
	Target Point
	// Mark, if any, is drawn beside the first line, at the leader's start.
	Mark Level
}

// LabelFrame is the room for labels: two columns and the picture between
// them, in paper millimetres.
type LabelFrame struct {
	// Left and Right are the columns. One of them may be the zero Box.
	Left, Right Box
	// MiddleX parts the targets whose labels stand left from those whose
	// labels stand right, as far as there is room.
	MiddleX float64
	// Obstacles are boxes that no label touches.
	Obstacles []Box
	// GapMM is the least distance between labels; zero means 1.2 mm.
	GapMM float64
}

// PlacedLabel is a label with its place.
type PlacedLabel struct {
	Label
	// Box encloses the lettering and the mark.
	Box Box
	// TextX and Anchor place the lettering; MarkAt the mark.
	TextX  float64
	Anchor Anchor
	MarkAt Point
	// Port is where the leader starts; it ends at the target.
	Port Point
	// OnLeft says which column the label stands in.
	OnLeft bool
}

// Placed is a finished layout, in the order the labels were given.
type Placed struct {
	Labels []PlacedLabel
	// SplitX is the x that no left leader exceeds and no right one falls
	// short of.
	SplitX float64
}

const (
	// markMM is the size of a mark beside a label, and padMM the distance
	// between lettering, mark and port.
	markMM = 3.4
	padMM  = 1.0

	defaultGapMM = 1.2
)

// Layout gives every label a place in one of the two columns.
//
// Guaranteed of every layout returned: no label overlaps another or touches
// an obstacle; every label stands within its column; no two leaders cross,
// and they meet only where two targets coincide. What cannot be guaranteed is
// an error. Equal calls give equal layouts; ties go by the order given.
//
// Why no leaders cross: all coordinates are whole thousandths of a
// millimetre, so the decisions are exact. Left leaders keep to the left of a
// vertical line and right ones to its right. On either side the layout comes
// from sweep, which cannot produce a crossing; its comment says why.
func Layout(labels []Label, frame LabelFrame) (Placed, error) {
	items, err := prepare(labels, frame)
	if err != nil {
		return Placed{}, err
	}
	byX := slices.Clone(items)
	slices.SortStableFunc(byX, func(a, b *item) int { return int(a.target.x - b.target.x) })
	natural := 0
	for natural < len(byX) && byX[natural].target.x <= micron(frame.MiddleX) {
		natural++
	}
	for _, k := range nearestFirst(natural, len(byX)) {
		if layoutSide(byX[:k], frame, true) && layoutSide(byX[k:], frame, false) {
			return assemble(items, byX, k, frame), nil
		}
	}
	return Placed{}, fmt.Errorf("svgout: no room for %d labels beside the picture", len(labels))
}

// nearestFirst lists the numbers from 0 to n by their distance from natural,
// so that as few labels as possible change sides.
func nearestFirst(natural, n int) []int {
	order := make([]int, n+1)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return distance(a, natural) - distance(b, natural) })
	return order
}

func distance(a, b int) int { return max(a-b, b-a) }

// item is a label on its way: lengths in whole thousandths of a millimetre.
type item struct {
	Label
	target        spot
	width, height int64
	// drop is the distance from a label's top to its port. It depends on the
	// lettering only, and layoutSide takes the greatest on the side for all,
	// so that a port does not depend on which label is put there.
	drop   int64
	rise   int64
	port   spot
	onLeft bool
}

// spot is a point in whole thousandths of a millimetre.
type spot struct{ x, y int64 }

func micron(mm float64) int64     { return int64(math.Round(mm * 1000)) }
func millimetres(u int64) float64 { return float64(u) / 1000 }
func (s spot) point() Point       { return Point{millimetres(s.x), millimetres(s.y)} }
func spotAt(p Point) spot         { return spot{micron(p.X), micron(p.Y)} }
func (s spot) to(t spot) float64 {
	// No overflow to guard against, so no need for the slower Hypot.
	dx, dy := float64(s.x-t.x), float64(s.y-t.y)
	return math.Sqrt(dx*dx + dy*dy)
}
func roundUpMicron(mm float64) int64 { return int64(math.Ceil(mm*1000 - 1e-6)) }

// turn is positive if the way from a over b to c turns clockwise on the
// paper, negative if it turns the other way, and zero on a straight line.
// Coordinates stay below a million, so the products are exact.
func turn(a, b, c spot) int64 {
	return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
}

// prepare measures the labels and refuses what no layout could hold.
func prepare(labels []Label, frame LabelFrame) ([]*item, error) {
	if err := frame.check(); err != nil {
		return nil, err
	}
	items := make([]*item, len(labels))
	for i, l := range labels {
		if l.Class == "" {
			l.Class = "label"
		}
		if !frame.between(l.Target) {
			return nil, fmt.Errorf("svgout: target %v of label %d does not lie between the columns", l.Target, i+1)
		}
		size := Lettering(l.Class).SizeMM
		if size == 0 || len(l.Lines) == 0 {
			return nil, fmt.Errorf("svgout: label %d has no lettering", i+1)
		}
		items[i] = &item{
			Label: l, target: spotAt(l.Target),
			width: roundUpMicron(l.widthMM()), height: roundUpMicron(l.heightMM()),
			rise: roundUpMicron(l.riseMM()),
		}
	}
	return items, nil
}

const farMM = 900 // keeps the exact products of turn far from overflow

func (f LabelFrame) check() error {
	for _, b := range append([]Box{f.Left, f.Right}, f.Obstacles...) {
		for _, v := range []float64{b.X, b.Y, b.Right(), b.Bottom()} {
			if !(math.Abs(v) <= farMM) {
				return fmt.Errorf("svgout: box %v of the label frame is not on any sheet", b)
			}
		}
		if b.W < 0 || b.H < 0 {
			return fmt.Errorf("svgout: box %v of the label frame has a negative side", b)
		}
	}
	if !(math.Abs(f.MiddleX) <= farMM && f.GapMM >= 0 && f.GapMM <= farMM) {
		return fmt.Errorf("svgout: middle %v or gap %v of the label frame is not a length", f.MiddleX, f.GapMM)
	}
	return nil
}

// between says whether a target lies strictly between the inner edges of the
// columns there are.
func (f LabelFrame) between(t Point) bool {
	s := spotAt(t)
	return math.Abs(t.X) <= farMM && math.Abs(t.Y) <= farMM &&
		(f.Left.W == 0 || s.x > micron(f.Left.Right())) && (f.Right.W == 0 || s.x < micron(f.Right.X))
}

func (l Label) widthMM() float64 {
	w := 0.0
	for _, line := range l.Lines {
		w = math.Max(w, MeasureIn(l.Class, line))
	}
	return w + l.markRoomMM() + padMM
}

// LabelRoomMM is the width in millimetres left for lettering in a column, to
// be used with Fit.
func LabelRoomMM(column Box, mark Level) float64 {
	return column.W - Label{Mark: mark}.markRoomMM() - padMM - 0.002
}

func (l Label) markRoomMM() float64 {
	if l.Mark.known() == NoLevel {
		return 0
	}
	return markMM + padMM
}

// riseMM is the distance from the top of the lettering to the height at
// which the leader starts: the middle of the first line's capitals.
func (l Label) riseMM() float64 {
	size := Lettering(l.Class).SizeMM
	return (ascentEm - capHeightEm/2) * size
}

func (l Label) heightMM() float64 {
	return math.Max(BlockHeight(l.Class, len(l.Lines)), l.riseMM()+markMM/2)
}

// side is one column with what goes in it.
type side struct {
	items       []*item
	portX       int64
	top, bottom int64
	gap, drop   int64
	blocked     [][2]int64 // spans of y that obstacles take, in order
	right       bool       // the column is right of the picture
}

// layoutSide sets the ports of the items and reports whether there was room.
func layoutSide(items []*item, frame LabelFrame, left bool) bool {
	if len(items) == 0 {
		return true
	}
	column := frame.Right
	if left {
		column = frame.Left
	}
	s := newSide(items, column, frame, !left)
	for _, it := range items {
		it.onLeft = left
		if it.width > micron(column.W) {
			return false
		}
	}
	return s.solve()
}

func newSide(items []*item, column Box, frame LabelFrame, right bool) *side {
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
	for _, it := range items {
		it.drop = s.drop
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

// layout is an order of items and the top of each.
type layout struct {
	order []*item
	tops  []int64
}

// solve looks for the layout with the shortest leaders. Every candidate comes
// from sweep, which finds, for any spacing, an order without crossings.
// settle then finds the best heights for that order, and they give the
// spacing for the next sweep; where they would bring a crossing back, because
// labels of unequal height have changed places, sweep changes the order.
func (s *side) solve() bool {
	var best layout
	shortest := math.Inf(1)
	for _, spacing := range s.spacings() {
		for range maxRounds {
			swept, ok := s.sweep(spacing)
			if !ok {
				break
			}
			if d := s.leaderLength(swept); d < shortest {
				best, shortest = swept, d
			}
			settled, ok := s.settle(swept.order)
			if !ok {
				break
			}
			next := s.spacingOf(settled)
			if slices.Equal(next, spacing) {
				break
			}
			spacing = next
		}
	}
	for i, it := range best.order {
		it.port = spot{s.portX, best.tops[i] + s.drop}
	}
	return best.order != nil
}

// maxRounds bounds the improvement; it settles after two or three rounds.
const maxRounds = 8

// spacings are the distances to leave before each label to begin with: all
// the room shared evenly, and none.
func (s *side) spacings() [][]int64 {
	n := int64(len(s.items))
	used := s.gap * (n - 1)
	for _, it := range s.items {
		used += it.reach()
	}
	for _, b := range s.blocked {
		used += b[1] - b[0]
	}
	share := max(0, (s.bottom-s.top-used)/(n+1))
	even, packed := make([]int64, n), make([]int64, n)
	for i := range even {
		even[i] = share
	}
	return [][]int64{even, packed}
}

// reach is the height a label takes, from the common top to its lower end.
// A label in smaller lettering hangs a little lower under its top, so that
// its port stands as deep as all the others.
func (it *item) reach() int64 { return it.height + it.drop - it.rise }

// sweep fills the column from the top. At each port it takes, of the labels
// left, the one whose leader leaves all other targets beneath it.
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
	left := slices.Clone(s.items)
	l := layout{}
	y := s.top
	for i := range s.items {
		y += spacing[i]
		k := s.topmost(left, y)
		for {
			lower := s.clearOf(y, left[k].reach())
			if lower == y {
				break
			}
			y = lower
			k = s.topmost(left, y)
		}
		l.order, l.tops = append(l.order, left[k]), append(l.tops, y)
		y += left[k].reach() + s.gap
		left = slices.Delete(left, k, k+1)
	}
	return l, y-s.gap <= s.bottom
}

// topmost is the index of the label whose leader, from the port under top y,
// passes above all other targets.
func (s *side) topmost(left []*item, y int64) int {
	port, best := spot{s.portX, y + s.drop}, 0
	for i, it := range left {
		t := turn(port, left[best].target, it.target)
		if s.right {
			t = -t
		}
		if t < 0 || t == 0 && port.to(it.target) < port.to(left[best].target) {
			best = i
		}
	}
	return best
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

// settleStep is the pitch of the heights that settle tries.
const settleStep = 500

// settle finds the heights that make the leaders of a given order shortest
// in sum, by dynamic programming over a fine grid of tops: the best way to
// place the first labels with the last of them at or above some height.
func (s *side) settle(order []*item) (layout, bool) {
	grid := int((s.bottom-s.top)/settleStep) + 1
	if grid < 1 {
		return layout{}, false
	}
	cost := make([]float64, grid)
	taken := make([][]int, len(order))
	for i, it := range order {
		cost, taken[i] = s.settleOne(it, s.stepsAbove(order, i), cost)
	}
	if len(order) == 0 || math.IsInf(cost[grid-1], 1) {
		return layout{}, false
	}
	l := layout{order: order, tops: make([]int64, len(order))}
	g := grid - 1
	for i := len(order) - 1; i >= 0; i-- {
		g = taken[i][g]
		l.tops[i] = s.top + int64(g)*settleStep
		g -= s.stepsAbove(order, i)
	}
	s.straighten(l)
	return l, true
}

// straighten moves labels off the grid where that makes a leader level, or
// less steep: a leader a quarter of a millimetre off the level looks like a
// slip of the pen. It goes down the column and up again, because a label
// that moves makes room for its neighbours.
func (s *side) straighten(l layout) {
	for i := range l.order {
		s.straightenOne(l, i)
	}
	for i := range l.order {
		s.straightenOne(l, len(l.order)-1-i)
	}
}

func (s *side) straightenOne(l layout, i int) {
	it := l.order[i]
	low, high := s.top, s.bottom-it.reach()
	if i > 0 {
		low = l.tops[i-1] + l.order[i-1].reach() + s.gap
	}
	if i+1 < len(l.order) {
		high = l.tops[i+1] - s.gap - it.reach()
	}
	level := max(low, min(high, it.target.y-s.drop))
	if s.clearOf(level, it.reach()) == level {
		l.tops[i] = level
	}
}

// stepsAbove is how many grid steps the top of label i keeps from the one
// before.
func (s *side) stepsAbove(order []*item, i int) int {
	if i == 0 {
		return 0
	}
	return int((order[i-1].reach() + s.gap + settleStep - 1) / settleStep)
}

// settleOne adds one label. above[g] is the least cost of the labels before
// with the last top at or above step g; the result is the same with this
// label included, and at which step it then stands.
func (s *side) settleOne(it *item, steps int, above []float64) ([]float64, []int) {
	cost, taken := make([]float64, len(above)), make([]int, len(above))
	best, at := math.Inf(1), 0
	for g := range above {
		top := s.top + int64(g)*settleStep
		if g >= steps && top+it.reach() <= s.bottom && s.clearOf(top, it.reach()) == top {
			if c := above[g-steps] + (spot{s.portX, top + s.drop}).to(it.target); c < best {
				best, at = c, g
			}
		}
		cost[g], taken[g] = best, at
	}
	return cost, taken
}

// spacingOf reads back how much more than the least distance lies before
// each label.
func (s *side) spacingOf(l layout) []int64 {
	spacing := make([]int64, len(l.order))
	y := s.top
	for i, it := range l.order {
		spacing[i] = max(0, l.tops[i]-y)
		y = l.tops[i] + it.reach() + s.gap
	}
	return spacing
}

func (s *side) leaderLength(l layout) float64 {
	d := 0.0
	for i, it := range l.order {
		d += (spot{s.portX, l.tops[i] + s.drop}).to(it.target)
	}
	return d
}

// assemble turns the finished items into places on the paper.
func assemble(items, byX []*item, k int, frame LabelFrame) Placed {
	p := Placed{SplitX: frame.MiddleX}
	switch {
	case k > 0 && byX[k-1].target.x > micron(frame.MiddleX):
		p.SplitX = millimetres(byX[k-1].target.x)
	case k < len(byX) && byX[k].target.x < micron(frame.MiddleX):
		p.SplitX = millimetres(byX[k].target.x)
	}
	for _, it := range items {
		p.Labels = append(p.Labels, it.placed())
	}
	return p
}

func (it *item) placed() PlacedLabel {
	top := millimetres(it.port.y - it.rise)
	p := PlacedLabel{Label: it.Label, Port: it.port.point(), OnLeft: it.onLeft}
	p.Target = it.target.point()
	width, inwards := millimetres(it.width), -1.0
	p.Anchor = AnchorEnd
	p.Box = Box{p.Port.X - width, top, width, millimetres(it.height)}
	if !it.onLeft {
		inwards, p.Anchor, p.Box.X = 1, AnchorStart, p.Port.X
	}
	p.TextX = p.Port.X + inwards*(padMM+it.markRoomMM())
	p.MarkAt = Point{p.Port.X + inwards*(padMM/2+markMM/2), p.Port.Y}
	return p
}

// Labels draws a layout: all leaders first, then marks and lettering.
func (k *Ink) Labels(p Placed) {
	for _, l := range p.Labels {
		k.Line("leader", l.Port, l.Target)
		k.Circle("leader-dot", l.Target, 0.7)
	}
	for _, l := range p.Labels {
		k.LevelMark(l.Mark, l.MarkAt, markMM)
		k.TextBlock(l.Class, l.TextX, l.Box.Y, l.Anchor, l.Lines)
	}
}
