package svgout

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// stripFor is the strip of the strip's plate.
func stripFor(t testing.TB, report *placement.Report, habit Habit) strip {
	t.Helper()
	s, err := newStrip(report, Reader{Habit: habit}, stripRoom, wholeWallMM)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

type drawing func(*placement.Report, Reader) (*Drawing, error)

// stripDrawings are the two plates that show the strip, and what they call its layers.
var stripDrawings = map[string]struct {
	draw   drawing
	prefix string
}{"strip": {StripDrawing, ""}, "both": {TwoViewDrawing, "strip-"}}

func plateFor(t testing.TB, draw drawing, report *placement.Report, reader Reader) string {
	t.Helper()
	var plate strings.Builder
	made, err := draw(report, reader)
	if err := asSVG(&plate, made, err); err != nil {
		t.Fatalf("%s, %+v: %v", report.Laid.Plan.Case, reader.Habit, err)
	}
	return plate.String()
}

// stripMarks are the marks on a plate's strip in the order they are drawn: where needles go in and out on the strip and
// in the band, the commissures, the dots that tags point at, and the middles of pledgets.
func stripMarks(t testing.TB, plate, prefix string) map[string][]Point {
	t.Helper()
	marks := map[string][]Point{"commissure": circles(t, layerOf(t, plate, prefix+"landmarks"), "commissure"), "leader-dot": circles(t, layerOf(t, plate, prefix+"verdicts"), "leader-dot")}
	for _, layer := range []string{"bites", "safe-depth"} {
		for _, class := range []string{"needle-entry", "needle-exit"} {
			marks[layer+" "+class] = circles(t, layerOf(t, plate, prefix+layer), class)
		}
	}
	for _, felt := range rectsOf(t, layerOf(t, plate, prefix+"bites"), "pledget") {
		marks["pledget"] = append(marks["pledget"], felt.Centre())
	}
	return marks
}

// boxOfStrip is the stretch of a plate the leaflets of its strip take: as long as the rim, from the hinge down.
func boxOfStrip(t testing.TB, plate string) Box {
	t.Helper()
	return rectsOf(t, plate, "leaflet")[0]
}

// In the mirror every mark of the strip lies as far right of the picture's middle as it lay left of it, and as high.
func TestMirroredStripReflects(t *testing.T) {
	for _, file := range []string{"band-three-mistakes.yaml", "around-the-triangle.yaml", "straddling.yaml"} {
		report := exampleReport(t, file)
		for view, v := range stripDrawings {
			plain, mirrored := plateFor(t, v.draw, report, Reader{}), plateFor(t, v.draw, report, Reader{Habit: Habit{Mirrored: true}})
			box := boxOfStrip(t, plain)
			if got := boxOfStrip(t, mirrored); got != box {
				t.Errorf("%s of %s: the strip takes %v, mirrored %v", view, file, box, got)
			}
			before, after := stripMarks(t, plain, v.prefix), stripMarks(t, mirrored, v.prefix)
			for what, marks := range before {
				if len(marks) == 0 || len(marks) != len(after[what]) {
					t.Errorf("%s of %s: %d marks %s, mirrored %d", view, file, len(marks), what, len(after[what]))
					continue
				}
				for _, p := range marks {
					want := Point{2*box.Centre().X - p.X, p.Y}
					if !slices.ContainsFunc(after[what], func(q Point) bool { return q.Distance(want) < 6*writtenMM }) {
						t.Errorf("%s of %s: the %s at %v is not mirrored at %v", view, file, what, p, want)
					}
				}
			}
		}
	}
}

// What is beside the marks is mirrored as well: the wall's edge, zones, shadows, lines of depth, the tendon line, the
// band of safe depths and the segments' measures.
func TestMirroredStripReflectsItsShapes(t *testing.T) {
	for _, file := range []string{"band-three-mistakes.yaml", "straddling.yaml"} {
		report := exampleReport(t, file)
		plain, mirrored := stripFor(t, report, Habit{}), stripFor(t, report, Habit{Mirrored: true})
		band := report.SafeDepth(0)
		shapes := func(s strip) (all [][]Point) {
			all = append(all, s.wallEdge(), s.papers(s.tendon()))
			for _, zone := range s.heart.Zones {
				all = append(all, s.copies(s.outline(zone), s.box())[0].outline)
			}
			for _, x := range s.beneath {
				all = append(all, s.papers(x.outline), s.papers(x.middle))
				for _, level := range x.levels {
					all = append(all, s.papers(level.outline))
				}
			}
			p := s.panel(band, 130, 25)
			all = append(all, p.lines()...)
			for _, structure := range s.heart.Structures {
				all = append(all, p.section(structure.Solid)...)
			}
			for _, segment := range s.heart.Segments() {
				for _, part := range s.partsOf(segment) {
					all = append(all, []Point{{part.from, 0}, {part.to, 0}})
				}
			}
			return all
		}
		before, after := shapes(plain), shapes(mirrored)
		middle := plain.box().Centre().X
		for i, shape := range before {
			for _, p := range shape {
				want := Point{2*middle - p.X, p.Y}
				if !slices.ContainsFunc(after[i], func(q Point) bool { return q.Distance(want) < 1e-6 }) {
					t.Errorf("%s: shape %d of %d has no point at %v, the mirror of %v", file, i, len(before), want, p)
					break
				}
			}
		}
	}
}

// The band lies under the strip in the mirror as well: its places run from left to right, and each is filled as it was.
func TestMirroredPanelRunsFromTheLeft(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	s := stripFor(t, report, Habit{Mirrored: true})
	p := s.panel(report.SafeDepth(0), 130, 25)
	for _, line := range p.lines() {
		if !slices.IsSortedFunc(line, func(a, b Point) int { return int(math.Copysign(1, a.X-b.X)) }) {
			t.Error("a line of the band does not run from left to right")
		}
	}
	runs := p.endings()
	if len(runs) < 3 || runs[0].from > runs[0].to {
		t.Errorf("what ends the depths: %v", runs)
	}
}

// Turned, every mark of the strip moves to the right by the turn's share of the strip's length, what is pushed out at
// the right coming in at the left: mirrored or not, and as high over the hinge as it was. That is where the turn takes
// the cut to no bite.
func TestTurnedStripShifts(t *testing.T) {
	for _, file := range []string{"straddling.yaml", "band-three-mistakes.yaml", "around-the-triangle.yaml"} {
		report := exampleReport(t, file)
		for view, v := range stripDrawings {
			for _, mirror := range []bool{false, true} {
				plain := plateFor(t, v.draw, report, Reader{Habit: Habit{Mirrored: mirror}})
				before, box := stripMarks(t, plain, v.prefix), boxOfStrip(t, plain)
				tried := 0
				for turn := -165.0; turn < 180 && tried < 4; turn += 13 {
					habit := Habit{TurnDegrees: turn, Mirrored: mirror}
					if !clearOfBites(report, turnedTo(report, habit)) {
						continue
					}
					tried++
					turned := plateFor(t, v.draw, report, Reader{Habit: habit})
					after, now := stripMarks(t, turned, v.prefix), boxOfStrip(t, turned)
					if now.X != box.X || now.W != box.W {
						t.Errorf("%s of %s, %+v: the strip runs from %v for %v, was from %v for %v", view, file, habit, now.X, now.W, box.X, box.W)
					}
					for what, p := range strayed(before, after, box, now, turn) {
						t.Errorf("%s of %s, %+v: the %s at %v has not moved by the turn to any of %v", view, file, habit, what, p, after[what])
					}
				}
				if tried < 3 {
					t.Errorf("%s of %s: only %d turns take the cut to no bite: not much of a test", view, file, tried)
				}
			}
		}
	}
}

// turnedTo is where a habit's turn takes the usual cut: as far along the rim as the turn is a share of a revolution, back
// for a turn clockwise, and on in the mirror.
func turnedTo(report *placement.Report, habit Habit) (alongMM float64) {
	turnMM := habit.TurnDegrees / 360 * report.Laid.Heart.Rim.LengthMM()
	if habit.Mirrored {
		return cutOf(report) + turnMM
	}
	return cutOf(report) - turnMM
}

// strayed are marks, one of each kind, that do not lie in a strip where a turn takes them from another.
func strayed(before, after map[string][]Point, box, now Box, turn float64) map[string]Point {
	stray := map[string]Point{}
	for what, marks := range before {
		for _, p := range marks {
			x, above := p.X-box.X+turn/360*box.W, p.Y-box.Y
			if !slices.ContainsFunc(after[what], func(q Point) bool {
				return math.Abs(math.Remainder(q.X-now.X-x, box.W)) < 4*writtenMM && math.Abs(q.Y-now.Y-above) < 3*writtenMM
			}) {
				stray[what] = p
			}
		}
	}
	return stray
}

// The atrial view over the strip is turned and mirrored as it is by itself: seen from the first needle's entry, every
// other mark lies where a mirror about the upright and then a turn of the sheet take it, all at one scale.
func TestAtrialViewOverTheStripFollowsTheHabit(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	marks := func(habit Habit) []Point {
		plate := plateFor(t, TwoViewDrawing, report, Reader{Habit: habit})
		bites := layerOf(t, plate, "bites")
		return slices.Concat(circles(t, bites, "needle-entry"), circles(t, bites, "needle-exit"), circles(t, layerOf(t, plate, "landmarks"), "commissure"))
	}
	plain := marks(Habit{})
	for _, habit := range []Habit{{Mirrored: true}, {TurnDegrees: 90}, {TurnDegrees: 200, Mirrored: true}, {TurnDegrees: -45}} {
		habited := marks(habit)
		if len(habited) != len(plain) || len(plain) < 20 {
			t.Fatalf("%+v: %d marks, were %d", habit, len(habited), len(plain))
		}
		sin, cos := math.Sincos(habit.TurnDegrees * math.Pi / 180)
		ratio := habited[5].Distance(habited[0]) / plain[5].Distance(plain[0])
		for i, p := range plain {
			off := p.Minus(plain[0])
			if habit.Mirrored {
				off.X = -off.X
			}
			want := habited[0].Plus(Point{off.X*cos - off.Y*sin, off.X*sin + off.Y*cos}.Times(ratio))
			if habited[i].Distance(want) > 0.01 {
				t.Errorf("%+v: mark %d lies at %v, want %v", habit, i, habited[i], want)
			}
		}
	}
}

// rimAround is where a place of the rim lies on the paper of the turned atrial view, from the middle of the rim.
func rimAround(heart *atlas.Heart, habit Habit, alongMM float64) Point {
	var middle geom.Vec
	for _, p := range heart.Rim.Sample(360) {
		middle = middle.Add(p.Scale(1.0 / 360))
	}
	return habit.of(downTheValve).onPaper(heart.Rim.At(alongMM).Sub(middle))
}

// A turned strip agrees with the atrial view turned alike: it begins with what lies at the top of that, and runs to the
// right as one goes round that clockwise.
func TestTurnedStripAgreesWithTheAtrialView(t *testing.T) {
	const nearTop = 40.0 // degrees: the usual cut lies 10 to the right of the top, and a rim is not a circle
	for _, name := range []string{"band.yaml", "straddling.yaml"} {
		report := exampleReport(t, name)
		for degrees := 0.0; degrees < 360; degrees += 30 {
			for _, mirror := range []bool{false, true} {
				habit := Habit{TurnDegrees: degrees, Mirrored: mirror}
				s := stripFor(t, report, habit)
				around := func(fromLeftMM float64) (clockwiseDeg float64) {
					along := s.cutMM + fromLeftMM
					if mirror {
						along = s.cutMM - fromLeftMM
					}
					if at := s.paper(atlas.Spot{AlongMM: s.turned(along)}); math.Abs(at.X-s.at.X-fromLeftMM*s.scale) > 1e-6 {
						t.Fatalf("%+v: %v mm from the left is drawn at %v", habit, fromLeftMM, at)
					}
					p := rimAround(s.heart, habit, along)
					return math.Atan2(p.X, -p.Y) * 180 / math.Pi
				}
				if off := around(1e-9); math.Abs(off) > nearTop {
					t.Errorf("%s, %+v: the strip begins %.0f degrees off the top of the atrial view", name, habit, off)
				}
				quarter := around(s.rimMM() / 4)
				if quarter < 90-nearTop || quarter > 90+nearTop {
					t.Errorf("%s, %+v: a quarter along the strip lies %.0f degrees round the atrial view from its top, want about 90", name, habit, quarter)
				}
			}
		}
	}
}

// turnsToTry are turns all the way round, whole and odd.
var turnsToTry = []float64{7.5, 45, 90, 133.7, 180, 225, 270, -1, -45.3}

// No bite is cut however the strip is turned, nor is a mattress parted from its pledget, as long as there is a gap to
// cut in; and the cut is the gap nearest to where the turn takes it.
func TestTurnedCutSparesBites(t *testing.T) {
	for name, report := range stripReports(t) {
		if name == "very many" || name == "most bites" { // bites all round, with no gap to cut in
			continue
		}
		moved := 0
		for i, turn := range turnsToTry {
			habit := Habit{TurnDegrees: turn, Mirrored: i%2 == 1}
			s := stripFor(t, report, habit)
			box := s.box()
			for _, n := range s.needles() {
				for _, p := range n.path {
					if !box.Contains(p) {
						t.Errorf("%s, %+v: a needle is cut, %v lies outside %v", name, habit, p, box)
					}
				}
			}
			want := turnedTo(report, habit)
			away := math.Abs(math.Remainder(s.cutMM-want, s.rimMM()))
			if away > 1e-6 {
				moved++
			}
			for nearer := 0.0; nearer < away-0.1001; nearer += 0.1 {
				for _, along := range []float64{want - nearer, want + nearer} {
					if clearOfBites(report, along) {
						t.Errorf("%s, %+v: cut at %.2f mm, though %.2f is clear and nearer to %.2f", name, habit, s.cutMM, along, want)
					}
				}
			}
		}
		if strings.HasPrefix(name, "around") && moved == 0 {
			t.Errorf("%s: no turn brings the cut to a bite: not much of a test", name)
		}
	}
}

// clearOfBites tells, looking at the needles alone, that a place of the rim lies in no bite and under no pledget.
func clearOfBites(report *placement.Report, alongMM float64) bool {
	const keepMM = 0.1
	length := report.Laid.Heart.Rim.LengthMM()
	in := func(from, to float64) bool {
		middle, half := (from+to)/2, math.Abs(to-from)/2
		return math.Abs(math.Remainder(alongMM-middle, length)) < half+keepMM
	}
	for _, b := range report.Bites {
		first, last := b.Passes[0], b.Passes[len(b.Passes)-1]
		for _, p := range b.Passes {
			if in(p.In.AlongMM, p.Out.AlongMM) {
				return false
			}
		}
		if b.Kind != placement.Mattress {
			continue
		}
		beyond := 0.0
		if b.Pledget != placement.NoPledget {
			beyond = pledgetBeyondMM
		}
		low := min(first.In.AlongMM, first.Out.AlongMM, last.In.AlongMM, last.Out.AlongMM)
		high := max(first.In.AlongMM, first.Out.AlongMM, last.In.AlongMM, last.Out.AlongMM)
		if in(low-beyond, high+beyond) {
			return false
		}
	}
	return true
}

// What a turned cut parts is drawn whole, in parts at both ends: the parts of a zone or a shadow have its area, those of
// a line its length, and all lie on the strip.
func TestTurnedCutPartsAndKeeps(t *testing.T) {
	parted := map[string]int{}
	for _, file := range []string{"band-three-mistakes.yaml", "around-the-triangle.yaml", "straddling.yaml", "septal-defect.yaml"} {
		report := exampleReport(t, file)
		for _, turn := range turnsToTry {
			for _, mirror := range []bool{false, true} {
				s := stripFor(t, report, Habit{TurnDegrees: turn, Mirrored: mirror})
				box := s.box()
				check := func(what string, outline []atlas.Spot) {
					parts, sum := s.copies(outline, box), 0.0
					for _, part := range parts {
						sum += areaOf(part.outline)
						for _, p := range part.outline {
							if !box.Grow(1e-6).Contains(p) {
								t.Errorf("%s turned %v: the %s has %v off the strip", file, turn, what, p)
							}
						}
						if part.whole != (len(parts) == 1) {
							t.Errorf("%s turned %v: the %s is whole: %v, in %d parts", file, turn, what, part.whole, len(parts))
						}
					}
					if want := areaOf(s.papers(outline)); math.Abs(sum-want) > 1e-6*want {
						t.Errorf("%s turned %v: %d parts of the %s have %v mm2, the whole has %v", file, turn, len(parts), what, sum, want)
					}
					parted[what] += len(parts) - 1
				}
				line := func(what string, path []atlas.Spot) {
					sum, parts := 0.0, overTheEnds(s.papers(path), box)
					for _, part := range parts {
						sum += pathLength(part)
					}
					if want := pathLength(s.papers(path)); math.Abs(sum-want) > 1e-6*want+0.01 {
						t.Errorf("%s turned %v: %d parts of the %s are %v mm long, the whole is %v", file, turn, len(parts), what, sum, want)
					}
					parted[what] += len(parts) - 1
				}
				for _, zone := range s.heart.Zones {
					check("zone", s.outline(zone))
				}
				for _, x := range s.beneath {
					if len(x.outline) > 0 && x.Kind != atlas.Coronary { // which runs round half the rim and more
						check("shadow", x.outline)
						line("axis", x.middle)
					}
				}
				line("tendon line", s.tendon())
			}
		}
	}
	for _, what := range []string{"zone", "shadow", "axis", "tendon line"} {
		if parted[what] == 0 {
			t.Errorf("no turn parts a %s: not much of a test", what)
		}
	}
}

func areaOf(outline []Point) (area float64) {
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		area += (p.X*q.Y - q.X*p.Y) / 2
	}
	return math.Abs(area)
}

// By hand: a way of three points over the right end of a box 10 mm long, in again at the left.
func TestWaysOverTheEnds(t *testing.T) {
	box := Box{100, 0, 10, 5}
	for _, c := range []struct {
		name string
		way  []Point
		want [][]Point
	}{
		{"whole", []Point{{101, 1}, {104, 2}, {110, 3}}, [][]Point{{{101, 1}, {104, 2}, {110, 3}}}},
		{"over the right end", []Point{{106, 1}, {108, 1}, {112, 3}}, [][]Point{{{106, 1}, {108, 1}, {110, 2}}, {{100, 2}, {102, 3}}}},
		{"over the left end and back", []Point{{101, 1}, {99, 1}, {99, 2}, {101, 2}}, [][]Point{{{101, 1}, {100, 1}}, {{100, 2}, {101, 2}}, {{110, 1}, {109, 1}, {109, 2}, {110, 2}}}},
		{"a point", []Point{{105, 1}, {105, 1}}, nil},
	} {
		if got := overTheEnds(c.way, box); fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// With no gap anywhere what lies over the cut is drawn in parts at both ends as well: nothing of a bite lies off the
// strip.
func TestBitesWithoutAGapAreParted(t *testing.T) {
	var plan strings.Builder
	plan.WriteString("fairlead: 1\ncase: \"No gap (invented)\"\noperation: rehearsal\nbites:\n")
	for i := range 120 {
		fmt.Fprintf(&plan, "  - { name: \"%d\", kind: single, tissue: rim, in: { segment: %s, share: %d %% }, travel: 3 mm, heading: clockwise, depth: 1 mm }\n", i+1, []string{"anterior", "posterior", "septal"}[i/40], 1+5*(i%40)/2)
	}
	report := reportOf(t, "dense", []byte(plan.String()))
	for _, mirror := range []bool{false, true} {
		parted := 0
		for _, turn := range turnsToTry {
			plate := plateFor(t, StripDrawing, report, Reader{Habit: Habit{TurnDegrees: turn, Mirrored: mirror}})
			box := boxOfStrip(t, plate)
			layer := layerOf(t, plate, "bites")
			for _, class := range []string{"needle-entry", "needle-exit"} {
				for _, p := range circles(t, layer, class) {
					if p.X < box.X-writtenMM || p.X > box.Right()+writtenMM {
						t.Errorf("turned %v: %s at %v, off %v", turn, class, p, box)
					}
				}
			}
			parted += strings.Count(layer, `class="thread-hidden"`) - strings.Count(layer, `class="needle-entry"`)
		}
		if parted == 0 {
			t.Error("no needle is parted: not much of a test")
		}
	}
}

// The plates say how they were turned, where the rim is cut and which way round it runs, in the caption and to a reader
// who cannot see them.
func TestStripSaysItsHabit(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	de := german(t)
	for _, c := range []struct {
		view   string
		reader Reader
		says   []string
		not    []string
	}{
		{"strip", Reader{}, []string{">Rim unrolled, cut at the anteroposterior commissure. Operation: band.", "unrolled: from the left posterior, septal and anterior segment;"}, []string{"turned", "irrored"}},
		{"strip", Reader{Habit: Habit{Mirrored: true}}, []string{">Rim unrolled, mirrored, cut at the anteroposterior commissure.", " Mirrored: clockwise runs from right to left here.<", "unrolled, mirrored: from the left anterior, septal and posterior segment;", ">anterior segment, 40.6 mm<", ">septal segment, 30.8 mm<", "leaflets below. Mirrored: clockwise runs from right to left here. Verdict"}, []string{"turned"}},
		{"strip", Reader{Habit: Habit{TurnDegrees: 90}}, []string{">Rim unrolled, turned 90° clockwise, cut 12.9 mm into the anterior segment.", "unrolled, turned 90° clockwise: from the left", "it begins with what the turn brings to the top of that view, 12.9 mm into the anterior segment."}, []string{"irrored"}},
		{"strip", Reader{Habit: Habit{TurnDegrees: 180, Mirrored: true}}, []string{">Rim unrolled, mirrored, turned 180° clockwise, cut 18.5 mm into the septal segment."}, nil},
		{"strip", Reader{Language: de}, []string{">Ring abgerollt, geschnitten an der anteroposterioren Kommissur. Eingriff: Band.", "von links die Segmente posterior, septal und anterior;"}, []string{"gedreht", "espiegelt"}},
		{"strip", Reader{Habit{TurnDegrees: 90, Mirrored: true}, de}, []string{">Ring abgerollt, gespiegelt, um 90° im Uhrzeigersinn gedreht, geschnitten bei 28,3 mm, posteriores Segment.", "Gespiegelt: Im Uhrzeigersinn geht es hier nach links."}, nil},
		{"both", Reader{}, []string{">Operation: band. Atrial view 1.25 : 1", "Above, the atrial view: septum below, front above, head left, feet right. Below: The rim"}, []string{"turned", "irrored", "Rim cut"}},
		{"both", Reader{Habit: Habit{TurnDegrees: 90, Mirrored: true}}, []string{">Both views, mirrored, turned 90° clockwise. Operation: band.", "Rim cut 28.3 mm into the posterior segment.", "Mirrored: clockwise runs anticlockwise here.", "Above, the atrial view, mirrored, turned 90° clockwise: septum left, front right, head below, feet above.", "Mirrored: clockwise runs from right to left here."}, nil},
		{"both", Reader{Habit{TurnDegrees: 90}, de}, []string{">Beide Ansichten, um 90° im Uhrzeigersinn gedreht. Eingriff: Band.", "Ring geschnitten bei 12,9 mm, anteriores Segment."}, []string{"espiegelt"}},
	} {
		plate := plateFor(t, stripDrawings[c.view].draw, report, c.reader)
		for _, words := range c.says {
			if !strings.Contains(plate, words) {
				t.Errorf("%s, %+v: does not say %q", c.view, c.reader.Habit, words)
			}
		}
		for _, words := range c.not {
			if strings.Contains(plate, words) {
				t.Errorf("%s, %+v: says %q", c.view, c.reader.Habit, words)
			}
		}
		if strings.Contains(plate, "⟦") || strings.Contains(plate, "rotate(") {
			t.Errorf("%s, %+v: something is not said, or does not stand upright", c.view, c.reader.Habit)
		}
	}
}

// The front, the feet, the back and the head are named in their order round the rim, the other way round in the mirror.
func TestQuartersFollowTheHabit(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	for _, c := range []struct {
		habit Habit
		want  []string
	}{
		{Habit{}, []string{"to the front", "to the feet", "to the back", "to the head", "to the front"}},
		{Habit{Mirrored: true}, []string{"to the front", "to the head", "to the back", "to the feet", "to the front"}},
		{Habit{TurnDegrees: 90}, []string{"to the head", "to the front", "to the feet", "to the back", "to the head"}},
		{Habit{TurnDegrees: 180}, []string{"to the back", "to the head", "to the front", "to the feet", "to the back"}},
	} {
		drawing, err := StripDrawing(report, Reader{Habit: c.habit})
		if err != nil {
			t.Fatal(err)
		}
		at := map[float64]string{}
		for _, e := range drawing.entries {
			if strings.HasPrefix(e.text, "to the ") && e.kind == kindText {
				at[e.at.X] = e.text
			}
		}
		var got []string
		for _, x := range slices.Sorted(maps.Keys(at)) {
			got = append(got, at[x])
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%+v: from the left %q, want %q", c.habit, got, c.want)
		}
	}
}

// readersToTry are readers of both languages and of several habits, besides the plain one.
func readersToTry(t testing.TB) []Reader {
	t.Helper()
	de := german(t)
	return []Reader{
		{Habit: Habit{Mirrored: true}}, {Habit: Habit{TurnDegrees: 90}}, {Habit: Habit{TurnDegrees: 180}},
		{Language: de}, {Habit{TurnDegrees: 200, Mirrored: true}, de}, {Habit{TurnDegrees: -45}, de},
	}
}

// A chance of contact is to stand behind what is found of a bite: the right end of the key is left white for it, in both
// plates, in either language, however they are turned. The heading is never cut short.
func TestKeyLeavesItsRightEndWhite(t *testing.T) {
	const freeMM = 9.0
	for name, report := range stripReports(t) {
		if !strings.HasSuffix(name, ".yaml") && name != "long names" {
			continue
		}
		for _, reader := range []Reader{{}, {Language: german(t)}, {Habit: Habit{TurnDegrees: 90}}, {Habit{TurnDegrees: 200, Mirrored: true}, german(t)}} {
			for view, v := range stripDrawings {
				columns := []Box{stripKey}
				if view == "both" {
					columns = twoKey
				}
				drawing, err := v.draw(report, reader)
				if err != nil {
					t.Fatal(err)
				}
				inKey := 0
				for _, e := range drawing.entries {
					if e.kind != kindText {
						continue
					}
					box := letteredBox(e)
					for _, column := range columns {
						white := Box{column.Right() - freeMM, column.Y, freeMM, column.H}
						if white.Overlaps(box) {
							t.Errorf("%s of %s, %+v: %q stands in the white end of the key", view, name, reader.Habit, e.text)
						}
						if column.Overlaps(box) {
							inKey++
						}
					}
					if (e.name == "caption" || e.name == "label-quiet" && e.at.X == 8) && strings.HasSuffix(e.text, ellipsis) {
						t.Errorf("%s of %s, %+v: the heading is cut short: %q", view, name, reader.Habit, e.text)
					}
				}
				if inKey == 0 && len(report.Bites) > 0 {
					t.Errorf("%s of %s: nothing stands in the key", view, name)
				}
			}
		}
	}
}

// letteredBox is the most that a line of lettering takes.
func letteredBox(e entry) Box {
	size, width := Lettering(e.name).SizeMM, MeasureIn(e.name, e.text)
	box := Box{e.at.X, e.at.Y - ascentEm*size, width, BlockHeight(e.name, 1)}
	switch e.anchor {
	case AnchorMiddle:
		box.X -= width / 2
	case AnchorEnd:
		box.X -= width
	}
	return box
}

func TestStripRefusesWhatIsNoAngle(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	for view, v := range stripDrawings {
		for _, degrees := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if drawing, err := v.draw(report, Reader{Habit: Habit{TurnDegrees: degrees}}); err == nil || drawing != nil || !strings.Contains(err.Error(), "cannot be turned") {
				t.Errorf("%s turned by %v: %v", view, degrees, err)
			}
		}
	}
}

// What leads back to where it started leaves every byte as it was.
func TestStripTurnedOnceRoundIsTheSame(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	for view, v := range stripDrawings {
		plain := plateFor(t, v.draw, report, Reader{})
		for _, turn := range []float64{360, -720, -1e-300} {
			if plateFor(t, v.draw, report, Reader{Habit: Habit{TurnDegrees: turn}}) != plain {
				t.Errorf("%s turned by %v: another drawing", view, turn)
			}
		}
	}
}

// The plates of readers of several habits and of both languages are what every plate must be.
func TestStripPlatesForReaders(t *testing.T) {
	t.Parallel() // it waits for outside programs
	plates := map[string][]byte{}
	for _, file := range []string{"band-three-mistakes.yaml", "around-the-triangle.yaml", "straddling.yaml", "dilated.yaml"} {
		report := exampleReport(t, file)
		for i, reader := range readersToTry(t) {
			for view, v := range stripDrawings {
				plates[fmt.Sprintf("%s of %s, %d", view, file, i)] = []byte(plateFor(t, v.draw, report, reader))
			}
		}
	}
	checkPlates(t, plates)
}
