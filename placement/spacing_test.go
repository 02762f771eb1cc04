package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas/geom"
)

// spacingTexts are what the spacing rule says of each bite.
func spacingTexts(t *testing.T, plan Plan) (texts [][]string) {
	t.Helper()
	for _, b := range mustCheck(t, plan).Bites {
		var said []string
		for _, r := range b.Reasons {
			if r.Rule == spacingRule {
				said = append(said, r.Text.String())
			}
		}
		texts = append(texts, said)
	}
	return texts
}

// mattress is a stitch across the hinge with a second arm.
func mattress(along, apart float64) Bite {
	b := fromTo(Rim, along, 2, along, -2, 1.2)
	b.Kind, b.ApartMM = Mattress, apart
	return b
}

// running is a stitch along the hinge.
func running(along, off, travel, pitch float64, passes int) Bite {
	b := going(Rim, along, off, travel, 0, 1)
	b.Kind, b.Passes, b.PitchMM = Running, passes, pitch
	return b
}

func TestSpacing(t *testing.T) {
	const none = ""
	for _, c := range []struct {
		name        string
		least, most float64
		bites       []Bite
		want        []string // what is said of each bite, with `;` between
	}{
		{"too close", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 24.85, 0, 4, 0, 1)}, []string{none, "lies 0.2 mm from bite 1; the bridge wants 0.5 mm"}},
		{"end to end, the needle's width apart", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 24.59, 0, 4, 0, 1)}, []string{none, "lies 0.0 mm from bite 1"}},
		{"overlapping", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 22, 0, 4, 0, 1)}, []string{none, "lies 0.0 mm from bite 1"}},
		{"crossing", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), fromTo(Rim, 22, 2, 22, -2, 1)}, []string{none, "lies 0.0 mm from bite 1"}},
		{"far enough", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 25.2, 0, 4, 0, 1)}, []string{none, none}},
		{"touching, where nothing is asked for", 0, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 22, 0, 4, 0, 1)}, []string{none, none}},
		{"too far", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 34.1, 0, 4, 0, 1)}, []string{none, "lies 10.1 mm along the hinge from the bite before it (1), more than 10.0 mm"}},
		{"as far as may be", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 33.99, 0, 4, 0, 1)}, []string{none, none}},
		{"too far the other way round", 0.5, 10, []Bite{going(Rim, 3, 0, 4, 0, 1), going(Rim, -12, 0, 4, 0, 1)}, []string{none, "lies 11.0 mm along the hinge"}},
		{"across the seam", 0.5, 10, []Bite{going(Rim, -5, 0, 4, 0, 1), going(Rim, 1, 0, 4, 0, 1)}, []string{none, none}},
		{"two rows, one above the other", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 20, 1.2, 4, 0, 1)}, []string{none, none}},
		{"two rows too close", 0.5, 10, []Bite{going(Rim, 20, 0, 4, 0, 1), going(Rim, 20, 0.9, 4, 0, 1)}, []string{none, "lies 0.2 mm from bite 1"}},
		{"one word for a pair, and one for each", 0.5, 20, []Bite{running(20, 0, 3, 6, 3), running(20, 0.4, 3, 6, 3), running(20, 0.8, 3, 6, 3)}, []string{none, "lies 0.0 mm from bite 1", "lies 0.1 mm from bite 1; lies 0.0 mm from bite 2"}},

		{"the arms of a mattress", 5, 6, []Bite{mattress(20, 4)}, []string{none}},
		{"arms far apart", 0.5, 3, []Bite{mattress(20, 8)}, []string{none}},
		{"mattresses clockwise", 0.5, 3, []Bite{mattress(20, 4), mattress(26, 4)}, []string{none, none}},
		{"mattresses anticlockwise", 0.5, 3, []Bite{mattress(26, 4), mattress(20, 4)}, []string{none, none}},
		{"mattresses too far", 0.5, 1.5, []Bite{mattress(26, 4), mattress(20, 4)}, []string{none, "lies 2.0 mm along the hinge from the bite before it (1)"}},
		{"the near arms too close", 2, 10, []Bite{mattress(20, 4), mattress(26, 4)}, []string{none, "lies 1."}},

		{"passes too close", 0.5, 10, []Bite{running(20, 0, 3, 3.85, 4)}, []string{"has passes 0.2 mm from each other; the bridge wants 0.5 mm"}},
		{"passes far enough", 0.5, 10, []Bite{running(20, 0, 3, 4.2, 4)}, []string{none}},
		{"passes too far", 0.5, 5, []Bite{running(20, 0, 3, 8.2, 3)}, []string{"leaves 5.2 mm of hinge between two of its passes, more than 5.0 mm"}},
		{"round and round", 0.5, 10, []Bite{running(0, 0, 3, 5, 60)}, []string{"has passes 0.0 mm from each other"}},
		{"once round, not quite", 0.5, 10, []Bite{running(0, 0, 3, 5.2, 20)}, []string{none}},
		{"a run and the bite after it", 0.5, 5, []Bite{running(20, 0, 3, 6, 3), going(Rim, 41, 0, 3, 0, 1)}, []string{none, "lies 6.0 mm along the hinge from the bite before it (1)"}},
		{"a run back and the bite after it", 0.5, 7, []Bite{running(40, 0, 3, -6, 3), going(Rim, 20, 0, 3, 0, 1)}, []string{none, none}},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan := codePlan(c.bites...)
			plan.Spacing = Spacing{c.least, c.most}
			for i, said := range spacingTexts(t, plan) {
				want := strings.Split(c.want[i], "; lies")
				if c.want[i] == none {
					want = nil
				}
				if len(said) != len(want) {
					t.Errorf("bite %d: %q, want %q", i+1, said, c.want[i])
					continue
				}
				for j := range want {
					if !strings.Contains(said[j], strings.TrimSpace(want[j])) {
						t.Errorf("bite %d: %q, want %q", i+1, said[j], want[j])
					}
				}
			}
		})
	}
}

// A wider needle leaves less bridge: half its growth on either side.
func TestBridgeIsWhatTheNeedlesLeave(t *testing.T) {
	plan := codePlan(going(Rim, 20, 0, 4, 0, 1), going(Rim, 25.2, 0, 4, 0, 1))
	plan.Spacing = Spacing{0.5, 10}
	plan.Needle.NeedleMM = 0.9
	if said := spacingTexts(t, plan)[1]; len(said) != 1 || !strings.Contains(said[0], "lies 0.3 mm") && !strings.Contains(said[0], "lies 0.2 mm") {
		t.Errorf("got %q", said)
	}
	// The same bridge measured from the points: in of the second from out of the first, both on the endocardium.
	passes := [2]Pass{}
	for i, b := range mustLay(t, plan).Bites {
		passes[i] = b.Passes[0]
	}
	gap := passes[0].Arc.At(1).Distance(passes[1].Arc.At(0)) - 0.9
	if want := fmt.Sprintf("lies %s mm", atMost(gap)); !strings.Contains(spacingTexts(t, plan)[1][0], want) {
		t.Errorf("got %q, want %q", spacingTexts(t, plan)[1][0], want)
	}
}

// bruteBridge compares every pair of passes with nothing left out.
func bruteBridge(s, o stitch) float64 {
	least := math.Inf(1)
	for _, p := range s.Passes {
		for _, q := range o.Passes {
			if &p.Path[0] == &q.Path[0] {
				continue
			}
			for i := 1; i < len(p.Path); i++ {
				piece := geom.Segment{A: p.Path[i-1], B: p.Path[i]}
				for j := 1; j < len(q.Path); j++ {
					d, _, _ := piece.Distance(geom.Segment{A: q.Path[j-1], B: q.Path[j]})
					least = min(least, d)
				}
			}
		}
	}
	return least
}

func TestBridgeAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 21))
	heart := usualHeart(t)
	e := newExaminer(laidOn(heart), loadRules(t))
	e.plan.Spacing.MinMM = 3
	width := 2 * e.halfWidth()
	open, touching := 0, 0
	for range 80 {
		stitches := make([]stitch, 2)
		at := heart.Rim.LengthMM() * r.Float64()
		for i := range stitches {
			b := running(heart.Rim.Wrap(at+6*r.Float64()), 5*r.Float64(), 2+2*r.Float64(), 4+2*r.Float64(), 2+r.IntN(4))
			stitches[i] = newStitch(&BiteReport{LaidBite: mustLay(t, codePlan(b)).Bites[0]})
		}
		for _, pair := range [][2]stitch{{stitches[0], stitches[1]}, {stitches[1], stitches[0]}, {stitches[0], stitches[0]}} {
			want := min(max(bruteBridge(pair[0], pair[1])-width, 0), 3)
			near(t, "bridge", e.bridge(pair[0], pair[1]), want, 1e-9)
			if want > 0 && want < 3 {
				open++
			} else if want == 0 {
				touching++
			}
		}
	}
	if open < 30 || touching < 30 {
		t.Errorf("too few to tell: %d apart, %d touching", open, touching)
	}
}

// Long runs are not searched to the last pair, but what is too close in them is found all the same.
func TestLongRunsAreJudged(t *testing.T) {
	for _, c := range []struct {
		name  string
		bites []Bite
		want  int // how many bites something is said of
	}{
		{"apart", []Bite{running(0, 1.5, 3, 5.2, 20), running(0, -1.5, 3, 5.2, 20)}, 0},
		{"the last pass alone too close", []Bite{running(0, 2, 3, 5.2, 20), going(Rim, 98.8, 1, 3, 0, 1)}, 1},
		{"close throughout", []Bite{running(0, 0.2, 3, 5.2, 20), running(0, -0.2, 3, 5.2, 20)}, 1},
	} {
		plan := codePlan(c.bites...)
		plan.Spacing = Spacing{0.5, 20}
		said := 0
		for _, texts := range spacingTexts(t, plan) {
			if len(texts) > 0 {
				said++
			}
		}
		if said != c.want {
			t.Errorf("%s: said of %d bites, want %d: %v", c.name, said, c.want, spacingTexts(t, plan))
		}
	}
}

// Balls and boxes only ever leave out what is farther than they say.
func TestBallsAndBoxesHoldTheirPaths(t *testing.T) {
	r := rand.New(rand.NewPCG(77, 1))
	heart := usualHeart(t)
	for range 300 {
		p, q := randomPass(r, heart), randomPass(r, heart)
		gap := pathGap(p.Path, q.Path, math.Inf(1))
		if ballOf(p.Path).gap(ballOf(q.Path)) > gap+1e-9 || boxOf(p.Path).gap(boxOf(q.Path)) > gap+1e-9 {
			t.Errorf("a gap of %v is taken for larger", gap)
		}
		from := r.IntN(len(p.Path) - 1)
		stretch := p.Path[from : from+2+r.IntN(len(p.Path)-from-1)]
		b, whole := ballOf(stretch), boxOf(stretch)
		for _, v := range stretch {
			if b.centre.Distance(v) > b.radius+1e-9 {
				t.Fatalf("a point lies %v mm off a ball of %v", b.centre.Distance(v), b.radius)
			}
			for i, axis := range whole.axes {
				if math.Abs(v.Sub(whole.centre).Dot(axis)) > whole.half[i]+1e-9 {
					t.Fatal("a point lies off its box")
				}
			}
		}
	}
	straight := []geom.Vec{{X: 1, Y: 2, Z: 3}, {X: 4, Y: 2, Z: 3}}
	beside := []geom.Vec{{X: 1, Y: 4, Z: 3}, {X: 4, Y: 4, Z: 3}}
	if d := boxOf(straight).gap(boxOf(beside)); d > 2 {
		t.Errorf("straight paths 2 mm apart are taken for %v", d)
	}
}

func TestSpacingNamesBothBites(t *testing.T) {
	plan := codePlan(going(Rim, 20, 0, 4, 0, 1), going(Rim, 22, 0, 4, 0, 1), going(Rim, 23, 0, 4, 0, 1))
	plan.Bites[0].Name, plan.Bites[1].Name, plan.Bites[2].Name = "first", "second", "third"
	plan.Spacing = DefaultSpacing
	var names []string
	for _, text := range spacingTexts(t, plan)[2] {
		for _, name := range []string{"first", "second", "third"} {
			if strings.Contains(text, "bite "+name) {
				names = append(names, name)
			}
		}
	}
	if !slices.Equal(names, []string{"first", "second"}) {
		t.Errorf("got %v", names)
	}
}
