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
	// ExcessMM is by how much all leaders together are at most longer than
	// they need be; see Layout.
	ExcessMM float64
}

const (
	// markMM is the size of a mark beside a label, and padMM the distance
	// between lettering, mark and port.
	markMM = 3.4
	padMM  = 1.0

	defaultGapMM = 1.2
)

// Layout gives every label a place in one of the two columns: the column its
// target is next to, from the middle, as far as there is room.
//
// Guaranteed of every layout returned: no label overlaps another or touches
// an obstacle; every label stands within its column; no two leaders cross,
// and they meet only where two targets coincide; no leader touches another
// label. What cannot be guaranteed is an error. Equal calls give equal
// layouts; ties go by the order given.
//
// The leaders are the shortest there are, in sum, to within ExcessMM: no
// layout that keeps these promises, with ports as deep under the tops and the
// labels parted between the columns as they are, has leaders shorter by more.
// ExcessMM is proven anew for every layout. Mostly it is what search loses to
// rounding, some 0.003 mm a label. It is more where the shortest leader of
// all would all but touch another target, or a label an obstacle; and in the
// rare case that a search is given up, because there are too many ways to look
// at. Whatever it is, no other heights make the leaders shorter in the order
// drawn, unless a label passes an obstacle.
//
// Why no leaders cross: all coordinates are whole thousandths of a
// millimetre, so the decisions are exact. Left leaders keep to the left of a
// vertical line and right ones to its right. On either side a table of sights
// says from which heights leaders do not cross, and no label is put elsewhere.
// There always is an order without crossings, whatever the places of the
// ports: sweep finds one.
//
// That labels beside a picture can be so placed, by sweeping or by dynamic
// programming, is known as boundary labelling; from memory, it goes back to
// Bekos, Kaufmann, Symvonis and Wolff. With labels of equal height and fixed
// ports the shortest leaders cannot cross, since two that cross can be
// exchanged for shorter ones. With unequal heights exchanging two labels
// moves those between, so crossings have to be forbidden, and finding the
// best order is like scheduling jobs on one machine, each close to its date,
// for which no quick way is known that never fails.
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
		left, right := newSide(byX[:k], frame, false), newSide(byX[k:], frame, true)
		if left.hasRoom(micron(frame.Left.W)) && right.hasRoom(micron(frame.Right.W)) {
			excess := left.solve() + right.solve()
			placed := assemble(items, byX, k, frame)
			placed.ExcessMM = excess / 1000
			return placed, nil
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
	// rise is the distance from a label's upper edge to its port. It depends
	// on the lettering only. The greatest of a side is the drop of all its
	// labels, so that a port does not depend on which label is put there.
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

// assemble turns the finished items into places on the paper.
func assemble(items, byX []*item, k int, frame LabelFrame) Placed {
	p := Placed{SplitX: millimetres(micron(frame.MiddleX))}
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
