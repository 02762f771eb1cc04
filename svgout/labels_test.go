package svgout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
)

var testFrame = LabelFrame{Left: Box{10, 20, 60, 170}, Right: Box{227, 20, 60, 170}, MiddleX: 148.5}

// randomLabels are labels of one to three lines with targets scattered in
// the picture, now and then at one place or on one line.
func randomLabels(rng *rand.Rand, n int) []Label {
	classes := []string{"", "label-strong", "label-quiet", "footnote", "caption"}
	labels := make([]Label, n)
	for i := range labels {
		labels[i] = Label{Class: classes[rng.IntN(len(classes))], Mark: Level(rng.IntN(4))}
		for range 1 + rng.IntN(3) {
			labels[i].Lines = append(labels[i].Lines, "Station 17")
		}
		labels[i].Target = Point{80 + 137*rng.Float64(), 15 + 180*rng.Float64()}
		switch {
		case i > 0 && rng.IntN(15) == 0:
			labels[i].Target = labels[rng.IntN(i)].Target
		case rng.IntN(4) == 0:
			labels[i].Target = Point{80 + float64(rng.IntN(14))*10, 20 + float64(rng.IntN(18))*10}
		}
	}
	return labels
}

// stackHeight is what the labels need in one column without any slack. Ports
// stand equally deep, which costs small lettering under large a little.
func stackHeight(labels []Label) float64 {
	h := 0.0
	for _, l := range labels {
		class := l.Class
		if class == "" {
			class = "label"
		}
		h += BlockHeight(class, len(l.Lines)) + defaultGapMM + 0.8
	}
	return h
}

func TestLayoutsOfRandomLabels(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(11, 5))
	placedCount, refused, shortest := 0, 0, 0
	for run := range 2000 {
		labels := randomLabels(rng, 1+rng.IntN(26))
		frame := testFrame
		wasted := 0.0
		for range rng.IntN(3) {
			o := Box{10 + 260*rng.Float64(), 20 + 150*rng.Float64(), 20 * rng.Float64(), 15 * rng.Float64()}
			frame.Obstacles = append(frame.Obstacles, o)
			wasted += o.H + 20
		}
		placed, err := Layout(labels, frame)
		if err != nil {
			refused++
			if stackHeight(labels) < 170-wasted {
				t.Fatalf("run %d: %v, though all labels would fit one column", run, err)
			}
			continue
		}
		placedCount++
		if placed.ExcessMM < 0.1 {
			shortest++
		}
		checkLayout(t, fmt.Sprintf("run %d", run), labels, placed, frame)
		if placed.ExcessMM < -1e-6 {
			t.Errorf("run %d: leaders cannot be too long by %v mm", run, placed.ExcessMM)
		}
		again, _ := Layout(labels, frame)
		if !reflect.DeepEqual(placed, again) {
			t.Fatalf("run %d: the same labels were placed otherwise", run)
		}
		if t.Failed() {
			return
		}
	}
	t.Logf("%d layouts, %d of them the shortest to 0.1 mm, %d refused", placedCount, shortest, refused)
	if placedCount < 1500 {
		t.Errorf("only %d layouts were found", placedCount)
	}
	if shortest < placedCount*95/100 {
		t.Errorf("only %d of %d layouts are the shortest to 0.1 mm", shortest, placedCount)
	}
}

// checkLayout checks all that Layout promises, with predicates of its own.
func checkLayout(t *testing.T, name string, labels []Label, p Placed, frame LabelFrame) {
	t.Helper()
	if len(p.Labels) != len(labels) {
		t.Fatalf("%s: %d of %d labels placed", name, len(p.Labels), len(labels))
	}
	for i, a := range p.Labels {
		if a.Target.Distance(labels[i].Target) > 0.001 || !reflect.DeepEqual(a.Lines, labels[i].Lines) {
			t.Errorf("%s: label %d is not the one given", name, i)
		}
		checkPlace(t, fmt.Sprintf("%s: label %d", name, i), a, p.SplitX, frame)
		for j, b := range p.Labels[:i] {
			if a.Box.Overlaps(b.Box) {
				t.Errorf("%s: labels %d and %d overlap: %v %v", name, i, j, a.Box, b.Box)
			}
			if a.Target != b.Target && segmentsMeet(a.Port, a.Target, b.Port, b.Target) {
				t.Errorf("%s: leaders %d and %d meet: %v-%v %v-%v", name, i, j, a.Port, a.Target, b.Port, b.Target)
			}
			if leaderTouches(a, b.Box) || leaderTouches(b, a.Box) {
				t.Errorf("%s: of labels %d and %d a leader runs into the other label", name, i, j)
			}
		}
	}
}

func checkPlace(t *testing.T, name string, l PlacedLabel, splitX float64, frame LabelFrame) {
	t.Helper()
	column := frame.Right
	if l.OnLeft {
		column = frame.Left
	}
	// A thousandth of a millimetre is the unit of the layout.
	if !column.Grow(0.0011).Encloses(l.Box) {
		t.Errorf("%s leaves its column: %v", name, l.Box)
	}
	if l.OnLeft && l.Target.X > splitX || !l.OnLeft && l.Target.X < splitX {
		t.Errorf("%s: target %v is on the other side of %v", name, l.Target, splitX)
	}
	size := Lettering(l.Class).SizeMM
	if firstLine := l.Box.Y + (ascentEm-capHeightEm/2)*size; math.Abs(l.Port.Y-firstLine) > 0.001 {
		t.Errorf("%s: the leader starts at %v, the first line's middle is at %.3f", name, l.Port, firstLine)
	}
	for _, o := range frame.Obstacles {
		if o.Overlaps(l.Box) {
			t.Errorf("%s lies on the obstacle %v: %v", name, o, l.Box)
		}
	}
	for i, line := range l.Lines {
		if w := MeasureIn(l.Class, line); w > math.Abs(l.TextX-outerEdge(l))+1e-9 {
			t.Errorf("%s: line %d of %.2f mm does not fit its box", name, i, w)
		}
	}
}

// leaderTouches walks round a box and looks for its edges on the leader. The
// box is made smaller by the thousandth of a millimetre that all places are
// rounded to.
func leaderTouches(l PlacedLabel, b Box) bool {
	b = b.Grow(-0.001)
	corners := []Point{{b.X, b.Y}, {b.Right(), b.Y}, {b.Right(), b.Bottom()}, {b.X, b.Bottom()}}
	for i, c := range corners {
		if segmentsMeet(l.Port, l.Target, c, corners[(i+1)%len(corners)]) {
			return true
		}
	}
	return b.Contains(l.Target)
}

func outerEdge(l PlacedLabel) float64 {
	if l.OnLeft {
		return l.Box.X
	}
	return l.Box.Right()
}

// segmentsMeet solves for the common point of two segments in exact whole
// thousandths of a millimetre. It looks at the segments another way than the
// code tested: by how far along both of them the common point is.
func segmentsMeet(a, b, c, d Point) bool {
	u, v, w := way(a, b), way(c, d), way(a, c)
	det := u.x*v.y - u.y*v.x
	if det == 0 {
		return u.x*w.y == u.y*w.x && spansMeet(a, b, c, d)
	}
	alongFirst, alongSecond := w.x*v.y-w.y*v.x, w.x*u.y-w.y*u.x
	if det < 0 {
		det, alongFirst, alongSecond = -det, -alongFirst, -alongSecond
	}
	return alongFirst >= 0 && alongFirst <= det && alongSecond >= 0 && alongSecond <= det
}

func way(p, q Point) spot { return spot{micron(q.X) - micron(p.X), micron(q.Y) - micron(p.Y)} }

func spansMeet(a, b, c, d Point) bool {
	return math.Max(math.Min(a.X, b.X), math.Min(c.X, d.X)) <= math.Min(math.Max(a.X, b.X), math.Max(c.X, d.X)) &&
		math.Max(math.Min(a.Y, b.Y), math.Min(c.Y, d.Y)) <= math.Min(math.Max(a.Y, b.Y), math.Max(c.Y, d.Y))
}

func TestSegmentsMeet(t *testing.T) {
	for _, c := range []struct {
		a, b, c, d Point
		want       bool
	}{
		{Point{0, 0}, Point{10, 10}, Point{0, 10}, Point{10, 0}, true},
		{Point{0, 0}, Point{10, 0}, Point{0, 1}, Point{10, 1}, false},
		{Point{0, 0}, Point{10, 0}, Point{5, 0}, Point{15, 0}, true},
		{Point{0, 0}, Point{10, 0}, Point{11, 0}, Point{15, 0}, false},
		{Point{0, 0}, Point{10, 0}, Point{5, 0}, Point{5, 5}, true},
		{Point{0, 0}, Point{10, 0}, Point{5, 0.001}, Point{5, 5}, false},
	} {
		if segmentsMeet(c.a, c.b, c.c, c.d) != c.want || segmentsMeet(c.c, c.d, c.b, c.a) != c.want {
			t.Errorf("%v: want %v", c, c.want)
		}
	}
}

// TestFarTargetsDoNotCross sets targets so that labels in the order of the
// targets' heights would cross: near the column high, far from it low.
func TestFarTargetsDoNotCross(t *testing.T) {
	var labels []Label
	for i := range 12 {
		f := float64(i)
		labels = append(labels, Label{Lines: make([]string, 1+i%3), Target: Point{80 + 60*math.Mod(f*0.618, 1), 100 + f}})
		for j := range labels[i].Lines {
			labels[i].Lines[j] = "Line"
		}
	}
	frame := testFrame
	frame.Right = Box{}
	placed, err := Layout(labels, frame)
	if err != nil {
		t.Fatal(err)
	}
	checkLayout(t, "bundle", labels, placed, frame)
}

// TestLeadersAreLevelWhereTheyCanBe: targets far enough apart get labels at
// their own heights, on their own sides.
func TestLeadersAreLevelWhereTheyCanBe(t *testing.T) {
	var labels []Label
	for i := range 8 {
		labels = append(labels, Label{Lines: []string{"one", "two"}, Target: Point{100 + 90*float64(i%2), 40.123 + 18*float64(i)}})
	}
	placed, err := Layout(labels, testFrame)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range placed.Labels {
		if l.Port.Y != l.Target.Y {
			t.Errorf("leader %d runs from %v to %v", i, l.Port, l.Target)
		}
		if l.OnLeft != (l.Target.X < testFrame.MiddleX) {
			t.Errorf("label %d is on the wrong side", i)
		}
	}
}

// TestLabelsChangeSidesOnlyInNeed puts more targets on the left than the
// left column holds.
func TestLabelsChangeSidesOnlyInNeed(t *testing.T) {
	var labels []Label
	for i := range 30 {
		labels = append(labels, Label{Lines: []string{"one", "two"}, Target: Point{80 + 2*float64(i), 30 + 5*float64(i)}})
	}
	placed, err := Layout(labels, testFrame)
	if err != nil {
		t.Fatal(err)
	}
	checkLayout(t, "overflow", labels, placed, testFrame)
	left := 0
	for _, l := range placed.Labels {
		if l.OnLeft {
			left++
		}
	}
	// A label of two lines takes 9.52 mm and its gap 1.2 mm: fifteen to a
	// column of 170 mm.
	if left != 15 {
		t.Errorf("%d labels on the left, want 15", left)
	}
}

func TestEqualLabelsGoByTheOrderGiven(t *testing.T) {
	var labels []Label
	for i := range 6 {
		labels = append(labels, Label{Lines: []string{fmt.Sprint(i)}, Target: Point{100, 100}})
	}
	placed, err := Layout(labels, testFrame)
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(placed.Labels); i++ {
		if placed.Labels[i].Port.Y <= placed.Labels[i-1].Port.Y {
			t.Errorf("label %d is not under label %d", i, i-1)
		}
	}
}

func TestLayoutRefuses(t *testing.T) {
	one := []Label{{Lines: []string{"x"}, Target: Point{100, 100}}}
	with := func(change func(*Label)) []Label {
		l := one[0]
		change(&l)
		return []Label{l}
	}
	many := make([]Label, 80)
	for i := range many {
		many[i] = Label{Lines: []string{"x"}, Target: Point{100, 20 + float64(i)}}
	}
	reframed := func(change func(*LabelFrame)) LabelFrame {
		f := testFrame
		change(&f)
		return f
	}
	for name, c := range map[string]struct {
		labels []Label
		frame  LabelFrame
	}{
		"too many":         {many, testFrame},
		"no lines":         {with(func(l *Label) { l.Lines = nil }), testFrame},
		"no lettering":     {with(func(l *Label) { l.Class = "rim" }), testFrame},
		"too wide":         {with(func(l *Label) { l.Lines = []string{hostileNames[3]} }), testFrame},
		"in the column":    {with(func(l *Label) { l.Target.X = 70 }), testFrame},
		"beyond":           {with(func(l *Label) { l.Target.X = 240 }), testFrame},
		"no number":        {with(func(l *Label) { l.Target.Y = math.NaN() }), testFrame},
		"no columns":       {one, LabelFrame{}},
		"column of NaN":    {one, reframed(func(f *LabelFrame) { f.Left.H = math.NaN() })},
		"infinite middle":  {one, reframed(func(f *LabelFrame) { f.MiddleX = math.Inf(1) })},
		"negative gap":     {one, reframed(func(f *LabelFrame) { f.GapMM = -1 })},
		"all in obstacles": {one, reframed(func(f *LabelFrame) { f.Obstacles = []Box{{0, 0, 297, 210}} })},
	} {
		if p, err := Layout(c.labels, c.frame); err == nil {
			t.Errorf("%s: placed %v", name, p)
		}
	}
	// Whoever has too many labels is told how many they were.
	if _, err := Layout(many, testFrame); err == nil || !strings.Contains(err.Error(), "no room for 80 labels") {
		t.Errorf("80 labels: %v", err)
	}
	if p, err := Layout(nil, testFrame); err != nil || len(p.Labels) != 0 {
		t.Errorf("no labels: %v, %v", p, err)
	}
}

func BenchmarkLayout40(b *testing.B) {
	rng := rand.New(rand.NewPCG(4, 4))
	labels := randomLabels(rng, 40)
	for i := range labels {
		labels[i].Lines = labels[i].Lines[:1]
	}
	for b.Loop() {
		if _, err := Layout(labels, testFrame); err != nil {
			b.Fatal(err)
		}
	}
}
