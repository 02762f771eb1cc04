package svgout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// TestSightsTellCrossings sets pairs of leaders at random and compares what
// the sights say with whether the leaders meet.
func TestSightsTellCrossings(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	near := func(scale int64) spot { return spot{60_000 + 1 + rng.Int64N(scale), 100_000 + rng.Int64N(scale)} }
	crossing := 0
	for run := range 20000 {
		scale := []int64{4, 40, 4000, 90_000}[run%4] // small numbers meet exactly, now and then
		right := run%3 == 0
		s := side{portX: 60_000, right: right}
		a, b := near(scale), near(scale)
		if right {
			a.x, b.x = 120_000-a.x, 120_000-b.x
		}
		if a == b {
			continue
		}
		// Unequal heights, lest the order given matters.
		s.items = []*item{{target: a, height: 1}, {target: b, height: 2}}
		s.lookRound()
		above := 100_000 + rng.Int64N(scale)
		below := above + 1 + rng.Int64N(scale)
		free := above <= s.sights[0][1].above && below >= s.sights[1][0].below
		meet := segmentsMeet(spot{60_000, above}.point(), a.point(), spot{60_000, below}.point(), b.point())
		if free == meet {
			t.Fatalf("targets %v over %v, ports %d and %d: free %v, meet %v", a, b, above, below, free, meet)
		}
		if meet {
			crossing++
		}
	}
	if crossing < 5000 || crossing > 15000 {
		t.Errorf("%d of 20000 pairs cross: not much of a test", crossing)
	}
}

// TestNoOrderIsShorter holds layouts of few labels against every order there
// is, each at its best heights.
func TestNoOrderIsShorter(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 7))
	layouts, binding, proven, worst := 0, 0, 0, math.Inf(-1)
	for run := range 240 {
		n := 2 + run%4
		if run%80 == 79 {
			n = 7
		}
		labels, frame := fewLabels(rng, n, run%2 == 1)
		placed, err := Layout(labels, frame)
		if err != nil {
			continue // all in one column, and too high for it
		}
		checkLayout(t, fmt.Sprintf("run %d", run), labels, placed, frame)
		layouts++
		all := newOrders(labels, frame)
		shortest := all.shortest()
		if all.free() < shortest-1e-3 {
			binding++
		}
		excess := ledLength(placed) - shortest
		worst = math.Max(worst, excess)
		// A thousandth of a millimetre for each place, in all of these.
		places := 0.001 * float64(n)
		if excess > all.roundingMM()+places {
			t.Errorf("run %d: %d labels, leaders of %.4f mm, could be %.4f mm", run, n, ledLength(placed), shortest)
		}
		if placed.ExcessMM < excess-places {
			t.Errorf("run %d: leaders are longer by %.4f mm than need be, not just by %.4f mm", run, excess, placed.ExcessMM)
		}
		if excess < -places {
			t.Errorf("run %d: leaders of %.4f mm, no order should have less than %.4f mm", run, ledLength(placed), shortest)
		}
		if placed.ExcessMM < -1e-6 {
			t.Errorf("run %d: leaders cannot be too long by %v mm", run, placed.ExcessMM)
		}
		if placed.ExcessMM < 2*all.roundingMM()+places {
			proven++
		}
	}
	t.Logf("%d layouts; the worst is longer than the best order by %.4f mm; %d are proven not to be; in %d the shortest leaders would cross", layouts, worst, proven, binding)
	if layouts < 200 || binding < 20 || proven < layouts*9/10 {
		t.Errorf("%d layouts, %d proven, %d whose leaders want to cross: not much of a test", layouts, proven, binding)
	}
}

// fewLabels are labels of very unequal heights in one column, with targets
// that crowd; in a tight column there is hardly room for them.
func fewLabels(rng *rand.Rand, n int, tight bool) ([]Label, LabelFrame) {
	classes := []string{"", "label-strong", "label-quiet", "caption"}
	labels := make([]Label, n)
	high := 0.0
	for i := range labels {
		labels[i] = Label{Class: classes[rng.IntN(len(classes))], Target: Point{72 + 70*rng.Float64(), 95 + 4*float64(n)*rng.Float64()}}
		for range 1 + rng.IntN(4)*rng.IntN(2) {
			labels[i].Lines = append(labels[i].Lines, "x")
		}
		high += BlockHeight(classOf(labels[i]), len(labels[i].Lines)) + defaultGapMM + 0.8
	}
	frame := LabelFrame{Left: Box{10, 20, 60, 170}, MiddleX: 200}
	if tight {
		frame.Left.H = high + 3*rng.Float64()
		frame.Left.Y = 95 - 0.8*frame.Left.H*rng.Float64()
	}
	return labels, frame
}

func classOf(l Label) string {
	if l.Class == "" {
		return "label"
	}
	return l.Class
}

func ledLength(p Placed) float64 {
	d := 0.0
	for _, l := range p.Labels {
		d += l.Port.Distance(l.Target)
	}
	return d
}

// orders is all orders of labels in one column, in millimetres. Heights in an
// order are found by the minimax formula for isotonic regression (from memory:
// the place of the k-th is the greatest, over all beginnings of runs at or
// before it, of the least, over all ends at or after it, of the best place of
// the run), with crossings made dearer than any leader. The code tested pools
// runs, and has bounds instead of a fine.
type orders struct {
	targets     []Point
	takes       []float64 // height of label and gap
	top, spare  float64   // the first port, and how far all may move down
	portX       float64
	above, upto [][]float64 // ports between which i keeps clear of j: i above j, and i beneath
}

func newOrders(labels []Label, frame LabelFrame) *orders {
	o := &orders{portX: frame.Left.Right(), spare: frame.Left.H + defaultGapMM}
	drop := 0.0
	for _, l := range labels {
		l.Class = classOf(l)
		drop = math.Max(drop, l.riseMM())
	}
	for _, l := range labels {
		l.Class = classOf(l)
		o.targets = append(o.targets, spotAt(l.Target).point())
		o.takes = append(o.takes, l.heightMM()+drop-l.riseMM()+defaultGapMM)
		o.spare -= o.takes[len(o.takes)-1]
	}
	o.top = frame.Left.Y + drop
	for i := range labels {
		o.above, o.upto = append(o.above, nil), append(o.upto, nil)
		for j := range labels {
			o.above[i] = append(o.above[i], o.lastClear(i, j, 1))
			o.upto[i] = append(o.upto[i], o.lastClear(i, j, -1))
		}
	}
	return o
}

// lastClear moves the port of label i along the column, down (1) or up (-1),
// with the port of label j just beyond it, and says where they first cross.
// Only the port of the farther target matters, as the test above shows.
func (o *orders) lastClear(i, j int, dir float64) float64 {
	near, far := o.top-1000*dir, o.top+1000*dir
	meet := func(y float64) bool {
		return i != j && segmentsMeet(Point{o.portX, y}, o.targets[i], Point{o.portX, y + 0.002*dir}, o.targets[j])
	}
	if o.targets[i].X < o.targets[j].X {
		return far
	}
	if meet(near) {
		return near
	}
	if !meet(far) {
		return far
	}
	for math.Abs(far-near) > 1e-3 {
		if mid := (near + far) / 2; meet(mid) {
			far = mid
		} else {
			near = mid
		}
	}
	return near
}

// shortest is the least length over all orders without crossings.
func (o *orders) shortest() float64 { return o.try(nil, true) }

// free is the least length over all orders, crossing or not.
func (o *orders) free() float64 { return o.try(nil, false) }

func (o *orders) try(order []int, bounded bool) float64 {
	if len(order) == len(o.targets) {
		return o.lengthOf(order, bounded)
	}
	best := math.Inf(1)
	for i := range o.targets {
		used := false
		for _, j := range order {
			used = used || i == j
		}
		if !used {
			best = math.Min(best, o.try(append(order, i), bounded))
		}
	}
	return best
}

func (o *orders) lengthOf(order []int, bounded bool) float64 {
	n := len(order)
	cost := make([]wish, n)
	y := o.top
	for k, i := range order {
		cost[k] = wish{target: o.targets[i], portX: o.portX, packed: y, low: -1e4, high: 1e4}
		for other, j := range order {
			if bounded && other < k {
				cost[k].low = math.Max(cost[k].low, o.upto[i][j])
			} else if bounded && other > k {
				cost[k].high = math.Min(cost[k].high, o.above[i][j])
			}
		}
		if cost[k].low > cost[k].high || cost[k].low > y+o.spare || cost[k].high < y {
			return math.Inf(1)
		}
		y += o.takes[i]
	}
	best := make([][]float64, n)
	for i := range best {
		best[i] = make([]float64, n)
		for j := i; j < n; j++ {
			best[i][j] = bestOf(cost[i:j+1], o.spare)
		}
	}
	sum := 0.0
	for k := range cost {
		at := math.Inf(-1)
		for i := 0; i <= k; i++ {
			least := math.Inf(1)
			for j := k; j < n; j++ {
				least = math.Min(least, best[i][j])
			}
			at = math.Max(at, least)
		}
		if port := cost[k].packed + at; port < cost[k].low-0.003 || port > cost[k].high+0.003 {
			return math.Inf(1) // the fine had to be paid
		}
		sum += Point{o.portX, cost[k].packed + at}.Distance(o.targets[order[k]])
	}
	return sum
}

// wish is where a label would like its port, which is at packed or beneath.
type wish struct {
	target        Point
	portX, packed float64
	low, high     float64
}

// steepness is how fast leader and fine grow as the port moves down.
func (w wish) steepness(y float64) float64 {
	y += w.packed
	fine := 0.0
	if y < w.low {
		fine = -100
	} else if y > w.high {
		fine = 100
	}
	return fine + (y-w.target.Y)/math.Hypot(w.portX-w.target.X, y-w.target.Y)
}

// bestOf is where a run of labels stands best, between nought and spare.
func bestOf(run []wish, spare float64) float64 {
	low, high := 0.0, spare
	for high-low > 1e-6 {
		mid, steep := (low+high)/2, 0.0
		for _, w := range run {
			steep += w.steepness(mid)
		}
		if steep < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// roundingMM is what a layout may be longer by on account of the steps of its
// slacks: step squared over eight times the distance, but no more than half a
// step.
func (o *orders) roundingMM() float64 {
	const step = coarseStep / 1000.0
	sum := 0.0
	for _, t := range o.targets {
		sum += math.Min(step/2, step*step/8/(t.X-o.portX))
	}
	return sum
}
