package placement

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"fairlead/atlas"
)

// Exact in length means within this.
const exactMM = 0.01

// The published operative means (Teng 2022, doi 10.3389/fcvm.2022.889163, abstract): what takes a rim from severe back
// to mild takes 14.5 % of the posterior, 11.8 % of the anterior and 10.2 % of the septal segment, 123.1 to 108.1 mm.
func TestReductionOfPublishedSegments(t *testing.T) {
	o := outcomeFor(t, withSegments(repairing(nil, folded(Posterior, 33.31), folded(Anterior, 36.71), folded(Septal, 38.11)), 41.63, 38.98, 42.46))
	for _, c := range []struct {
		size                 string
		before, after, share float64
	}{
		{"posterior-segment", 38.98, 33.31, 14.55}, {"anterior-segment", 41.63, 36.71, 11.82}, {"septal-segment", 42.46, 38.11, 10.24}, {"rim-length", 123.07, 108.13, 12.14},
	} {
		size, _ := o.Size(c.size)
		near(t, c.size+" before", size.Before, c.before, exactMM)
		near(t, c.size+" after", size.After, c.after, exactMM)
		near(t, c.size+" less", size.Less(), c.before-c.after, 2*exactMM)
		near(t, c.size+" reduced, %", size.LessPercent(), c.share, 0.02)
	}
}

// A posterior segment folded away, by arithmetic on published segments: flattened normal rims 117.4 - 39.1 = 78.3 mm
// (Antoniali 2006, abstract), severe regurgitation 123.1 - 39.0 = 84.1 mm (Teng 2022, abstract); as circles 24.9 and
// 26.8 mm across.
func TestPosteriorSegmentFoldedAway(t *testing.T) {
	for _, c := range []struct{ anterior, posterior, septal, left, across float64 }{
		{46.3, 39.1, 32, 78.3, 24.9}, {41.63, 38.98, 42.46, 84.09, 26.8},
	} {
		o := outcomeFor(t, withSegments(repairing(nil, folded(Posterior, 0)), c.anterior, c.posterior, c.septal))
		near(t, "rim", o.After.LengthMM, c.left, exactMM)
		near(t, "posterior", o.After.PosteriorMM, 0, 0)
		near(t, "anterior", o.After.AnteriorMM, c.anterior, exactMM)
		near(t, "septal", o.After.SeptalMM, c.septal, exactMM)
		near(t, "as a circle", o.After.LengthMM/math.Pi, c.across, 0.05)
		if got := leafletNames(o); !reflect.DeepEqual(got, []string{"anterior", "septal"}) {
			t.Errorf("leaflets %v", got)
		}
		// No closed line encloses more than a circle.
		if circle := o.After.LengthMM * o.After.LengthMM / (4 * math.Pi); o.After.AreaMM2 > circle || o.After.AreaMM2 < circle/2 {
			t.Errorf("area %v of at most %v mm2", o.After.AreaMM2, circle)
		}
	}
}

// The band of the published proportion: 2.43 times the septal segment (2.43 ± 0.212 in intact hearts, Antoniali 2006;
// bands of 73.4 ± 6.5 mm in life, Antoniali 2007, so a septal segment of 30.2 mm; abstracts).
func TestBandOfThePublishedProportion(t *testing.T) {
	const anterior, posterior, septal = 52.0, 48.0, 30.2
	plan := withSegments(repairing(stitchedAt(evenly(10, 0, anterior+posterior)...), flexible(BandForm, 73.4)), anterior, posterior, septal)
	o := outcomeFor(t, plan)
	near(t, "free wall", o.After.AnteriorMM+o.After.PosteriorMM, 73.4, exactMM)
	near(t, "septal", o.After.SeptalMM, septal, exactMM)
	near(t, "ratio", o.After.FreeToSeptal, 2.43, 0.005)
	near(t, "ratio before", o.Before.FreeToSeptal, 100/30.2, 0.005)
}

// A closed rigid ring gives the rim its own shape: length and area of an ellipse, by gonum's complete elliptic integral
// and π·a·b. Where it is round, that of a circle.
func TestRigidRingGivesTheRimItsShape(t *testing.T) {
	for _, c := range []struct{ long, short float64 }{{30, 30}, {33, 28}} {
		plan := flatRound(repairing(stitchedAt(evenly(16, 0, 15./16*math.Pi*40)...), rigid(RingForm, c.long, c.short, 0)), 40)
		o := outcomeFor(t, plan)
		e := 1 - c.short*c.short/(c.long*c.long)
		near(t, "length", o.After.LengthMM, 2*c.long*mathext.CompleteE(e), exactMM)
		near(t, "long axis", o.After.LongAxisMM, c.long, 0.05)
		near(t, "short axis", o.After.ShortAxisMM, c.short, 0.05)
		near(t, "area", o.After.AreaMM2, math.Pi*c.long*c.short/4, 0.5)
		near(t, "circularity", o.After.Circularity, c.short/c.long, 0.002)
		if o.Former == nil || o.Ends != nil {
			t.Error("a closed rigid ring has a former and no ends")
		}
	}
}

// Drawn together by one ratio all round, a rim only becomes smaller: lengths by the ratio, areas by its square.
func TestEvenReductionKeepsTheShape(t *testing.T) {
	const stitches = 12
	round := usualHeart(t).Rim.LengthMM()
	places := evenly(stitches, 3, 3+round*(stitches-1)/stitches)
	o := outcomeFor(t, repairing(stitchedAt(places...), flexible(RingForm, 0.8*round)))
	for _, s := range o.Sizes() {
		by := map[string]float64{"mm": 0.8, "mm2": 0.64, "1": 1}[s.Unit]
		near(t, s.Name, s.After/s.Before, by, 2e-4)
	}
	for _, i := range o.Intervals {
		near(t, "interval", i.AfterMM, 0.8*i.BeforeMM, exactMM)
	}
}

// An equilateral chain: a flat round rim of which an open band draws its intervals to one length each has them all
// that long, and what is outside it as long as it was.
func TestChainOfEqualIntervals(t *testing.T) {
	plan := flatRound(repairing(stitchedAt(5, 14, 21, 33, 41, 50), flexible(BandForm, 33, 6)), 36)
	o := outcomeFor(t, plan)
	rim := o.Gathered
	for _, i := range o.Intervals {
		near(t, "interval on the curve", rim.Along(i.FromMM+i.ForMM)-rim.Along(i.FromMM), 6, exactMM)
	}
	near(t, "outside", o.After.LengthMM-30, o.Before.LengthMM-45, exactMM)
}

// A thread tied over a round sizer leaves the whole rim as long as the sizer is round: 29.5, 31.5 and 33.5 mm across are
// 92.7, 99.0 and 105.2 mm round (sizers of Hwang 2013, doi 10.3346/jkms.2013.28.12.1756, abstract).
func TestThreadTiedOverASizer(t *testing.T) {
	for across, round := range map[float64]float64{29.5: 92.7, 31.5: 99.0, 33.5: 105.2} {
		plan := withSegments(repairing([]Bite{row(8, 7, 11)}, RepairStep{Kind: TieThread, Thread: Thread{OverMM: across}}), 48, 42, 32)
		near(t, "rim", outcomeFor(t, plan).After.LengthMM, round, 0.05+exactMM)
	}
}

// Two rows beside each other are one stretch, from where the thread first goes through the rim to where it last does.
func TestTwoRowsAreOneStretch(t *testing.T) {
	back := row(66, -7, 8)
	back.In.OffMM, back.Out.OffMM = 2, 2
	one, two := outcomeFor(t, repairing([]Bite{row(10, 7, 9)}, tied(40))), outcomeFor(t, repairing([]Bite{row(10, 7, 9), back}, tied(40)))
	near(t, "one row", one.Intervals[0].ForMM, 60, 1e-9)
	near(t, "two rows", two.Intervals[0].ForMM, 60, 1e-9)
	near(t, "drawn", two.Before.LengthMM-two.After.LengthMM, 20, exactMM)
	near(t, "area", two.After.AreaMM2, one.After.AreaMM2, 1e-6)
}

// Steps are applied in their order: a device over a fold sees what the fold left.
func TestDeviceSeesWhatTheFoldLeft(t *testing.T) {
	segments := usualHeart(t).Segments()
	border := segments[0].ForMM
	fold := RepairStep{Kind: FoldRim, Fold: Fold{Commissure: AnteroposteriorCommissure, TakeMM: 6}}
	bites := stitchedAt(border-20, border-10, border+10, border+20)
	o := outcomeFor(t, repairing(bites, fold, flexible(BandForm, 30, 8, 12, 10)))
	near(t, "folded", o.Intervals[0].BeforeMM, 6, 1e-9)
	near(t, "left of it", o.Intervals[0].AfterMM, 0, 1e-9)
	for i, want := range [][3]float64{{10, 8, 8}, {14, 12, 12}, {10, 10, 10}} {
		got := o.Intervals[i+1]
		near(t, "before", got.BeforeMM, want[0], 1e-9)
		near(t, "held", got.HoldsMM, want[1], 1e-9)
		near(t, "after", got.AfterMM, want[2], 1e-9)
	}
	near(t, "rim", o.Before.LengthMM-o.After.LengthMM, 6+2+2, exactMM)
	twice := outcomeFor(t, repairing(nil, fold, fold))
	near(t, "twice", twice.Before.LengthMM-twice.After.LengthMM, 12, exactMM)
}

// Where the device holds more than there is of the rim, the rim keeps its length, and the slack is said.
func TestSlackIsSaidAndLengthensNothing(t *testing.T) {
	o := outcomeFor(t, repairing(stitchedAt(10, 20, 30), flexible(BandForm, 24, 8, 12.5)))
	near(t, "first", o.Intervals[0].AfterMM, 8, 1e-9)
	near(t, "second", o.Intervals[1].AfterMM, 10, 1e-9)
	near(t, "slack", o.Intervals[1].SlackMM(), 2.5, 1e-9)
	near(t, "no slack", o.Intervals[0].SlackMM(), 0, 0)
}

// randomRepair is a repair that has room on any heart: folds, threads and flexible devices.
func randomRepair(r *rand.Rand, heart *atlas.Heart) ([]Bite, []RepairStep) {
	round := heart.Rim.LengthMM()
	n := 4 + r.IntN(7)
	start, span := round*r.Float64(), round*(0.4+0.4*r.Float64())
	bites := stitchedAt(evenly(n, start, start+span)...)
	var steps []RepairStep
	if r.IntN(2) == 0 {
		steps = append(steps, RepairStep{Kind: FoldRim, Fold: Fold{Commissure: Commissures()[r.IntN(3)], TakeMM: 1 + 8*r.Float64()}})
	}
	switch r.IntN(3) {
	case 0:
		bites = []Bite{row(start, span/8, 8)}
		steps = append(steps, tied(span*(0.4+0.8*r.Float64())))
	case 1:
		steps = append(steps, flexible(BandForm, span*(0.5+0.7*r.Float64())))
	default:
		steps = append(steps, flexible(RingForm, round*(0.6+0.5*r.Float64())))
	}
	return bites, steps
}

func layOn(heart *atlas.Heart, catalogue *atlas.Catalogue, bites []Bite, steps []RepairStep) (*Laid, error) {
	laid := &Laid{Plan: repairing(bites, steps...), Heart: heart, catalogue: catalogue}
	var problems, ignored = Plan{}.fitContour(nil), Plan{}.fitContour(nil)
	for _, b := range laid.Plan.Bites {
		laid.Bites = append(laid.Bites, layBite(b, heart, &ignored)) // where they lie is all that counts
	}
	laid.layRepair(&problems)
	return laid, problems.Err()
}

// Over random hearts and repairs: nothing lengthens, areas are never negative, what the intervals say is what the curve
// has, and the same again gives the same.
func TestRepairsOnRandomHearts(t *testing.T) {
	r, catalogue := rand.New(rand.NewPCG(12, 45)), loadCatalogue(t)
	laidAt, refused := 0, 0
	for range 60 {
		heart := randomHeart(r, catalogue)
		bites, steps := randomRepair(r, heart)
		laid, err := layOn(heart, catalogue, bites, steps)
		if err != nil {
			if refused++; refused > 6 { // a rim may find no shape
				t.Fatal(err)
			}
			continue
		}
		laidAt++
		o := laid.outcome()
		for _, name := range []string{"rim-length", "anterior-segment", "posterior-segment", "septal-segment"} {
			if s, _ := o.Size(name); s.Less() < -exactMM {
				t.Errorf("%s lengthens from %v to %v", name, s.Before, s.After)
			}
		}
		if !(o.After.AreaMM2 > 0) || !(o.After.ShortAxisMM > 0) {
			t.Errorf("area %v, short axis %v", o.After.AreaMM2, o.After.ShortAxisMM)
		}
		near(t, "rim less the intervals", o.Before.LengthMM-o.After.LengthMM, taken(o.Intervals), exactMM)
		again, err := layOn(heart, catalogue, bites, steps)
		if err != nil || !reflect.DeepEqual(again.outcome(), o) {
			t.Errorf("not the same again: %v", err)
		}
	}
	t.Logf("%d laid, %d found no shape", laidAt, refused)
}

func taken(intervals []Interval) (sum float64) {
	for _, i := range intervals {
		sum += i.BeforeMM - i.AfterMM
	}
	return sum
}

// A repair that draws nothing together hands back the rim itself, bit for bit.
func TestNothingDrawnIsTheSameRim(t *testing.T) {
	r, catalogue := rand.New(rand.NewPCG(12, 46)), loadCatalogue(t)
	for range 10 {
		heart := randomHeart(r, catalogue)
		round := heart.Rim.LengthMM()
		for _, c := range []struct {
			bites []Bite
			steps []RepairStep
		}{
			{stitchedAt(evenly(7, 4, 0.7*round)...), []RepairStep{flexible(BandForm, round)}},
			{stitchedAt(evenly(7, 0.4*round, 1.2*round)...), []RepairStep{flexible(RingForm, 2*round)}},
			{[]Bite{row(0.5*round, 7, 8)}, []RepairStep{tied(53)}}, // 7 pitches and a pass of 4 mm
			{nil, []RepairStep{folded(Posterior, 199)}},
		} {
			laid, err := layOn(heart, catalogue, c.bites, c.steps)
			if err != nil {
				t.Fatal(err)
			}
			o := laid.outcome()
			if o.Gathered.Rim != heart.Rim || !reflect.DeepEqual(o.Before, o.After) || taken(o.Intervals) != 0 {
				t.Errorf("%+v changed the rim: %+v", c.steps[0], o.Intervals)
			}
		}
	}
}

// The sizes are those of the heart, and what a body predicts is the dataset's own figure.
func TestOutcomeKnowsTheBody(t *testing.T) {
	plan := repairing(nil, folded(Posterior, 20))
	without := outcomeFor(t, plan)
	area, _ := usualHeart(t).Value("rim-area")
	near(t, "usual adult", without.Predicted.MM2, area.Expected, 0)
	if without.SurfaceM2 != 0 || !math.IsNaN(without.Indexed(100)) || len(without.Before.Z) != 0 {
		t.Errorf("a body came from nowhere: %+v", without.Before.Z)
	}
	plan.Patient = Patient{SurfaceM2: 1.8}
	with := outcomeFor(t, plan)
	near(t, "adults, 5.5 cm2 per m2", with.Predicted.MM2, 990, 1e-9) // adult-index-abstract
	near(t, "per m2", with.Indexed(with.After.AreaMM2), with.After.AreaMM2/1.8, 1e-9)
	near(t, "share", with.SharePercent(), 100*with.After.AreaMM2/990, 1e-9)
	z := with.After.Z["rim-area"]
	near(t, "z of the area", z.Z, (with.After.AreaMM2/1.8/100-5.5)/1.1, 1e-9) // 5.5 ± 1.1 cm2 per m2
	if z.By.String() != "healthy adults, 3-D echo" {
		t.Errorf("z by %q", z.By)
	}
	plan.Patient = Patient{SurfaceM2: 1.2, Dataset: "pettersen-2008"}
	heart := mustLay(t, plan).Heart
	area, _ = heart.Value("rim-area")
	o := outcomeFor(t, plan)
	near(t, "a dataset without areas", o.Predicted.MM2, area.Expected, 0)
	if _, scored := o.After.Z["rim-short-axis"]; !scored || len(o.After.Z) != 1 {
		t.Errorf("a dataset of one diameter scores %v", o.After.Z)
	}
}

// outcomeAfter measures any stretches drawn together, as the repair would.
func TestOutcomeAfterMeasuresWithoutJudging(t *testing.T) {
	laid := mustLay(t, repairing(stitchedAt(10, 20, 30, 45), flexible(BandForm, 27)))
	o, err := laid.outcomeAfter(laid.Repair.Gathers, nil)
	if err != nil {
		t.Fatal(err)
	}
	whole := laid.outcome()
	if !reflect.DeepEqual(o.After, whole.After) || !reflect.DeepEqual(o.Before, whole.Before) || o.Reasons != nil {
		t.Errorf("got %+v", o.After)
	}
	if _, err := laid.outcomeAfter([]atlas.Gather{{FromMM: 1, ForMM: 5, ToMM: 9}}, nil); err == nil {
		t.Error("a rim was lengthened")
	}
}

// The septum is held: what no step touches on it hardly moves, and what a step draws moves more.
func TestSeptumIsHeld(t *testing.T) {
	laid := mustLay(t, repairing(nil, folded(Posterior, 15)))
	segments := laid.Heart.Segments()
	septum := laid.moved(segments[2].FromMM + segments[2].ForMM/2)
	wall := laid.moved(segments[1].FromMM)
	if septum > 1.5 || wall < 3*septum {
		t.Errorf("the middle of the septum moves %v mm, the end of the posterior segment %v mm", septum, wall)
	}
}
