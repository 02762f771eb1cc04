package placement

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fairlead/atlas"
)

// stitchedAt are single bites of the rim with their middles at places of the hinge, each taking 4 mm of it.
func stitchedAt(places ...float64) []Bite {
	bites := make([]Bite, len(places))
	for i, at := range places {
		bites[i] = fromTo(Rim, at-2, 0, at+2, 0, 1.2)
	}
	return bites
}

// evenly are n places from one to another, both included.
func evenly(n int, from, to float64) []float64 {
	places := make([]float64, n)
	for i := range places {
		places[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return places
}

// repairing is a plan of bites and the steps of a repair.
func repairing(bites []Bite, steps ...RepairStep) Plan {
	plan := codePlan(bites...)
	plan.Repair = steps
	return plan
}

func flexible(form string, lengthMM float64, gapsMM ...float64) RepairStep {
	return RepairStep{Kind: SewDevice, Device: Device{Form: form, Holds: Flexible, LengthMM: lengthMM, GapsMM: gapsMM}}
}

func rigid(form string, longMM, shortMM, openingMM float64) RepairStep {
	return RepairStep{Kind: SewDevice, Device: Device{Form: form, Holds: Rigid, LongMM: longMM, ShortMM: shortMM, OpeningMM: openingMM}}
}

func tied(toMM float64) RepairStep {
	return RepairStep{Kind: TieThread, Thread: Thread{ToMM: toMM}}
}

func folded(segment string, toMM float64) RepairStep {
	return RepairStep{Kind: FoldRim, Fold: Fold{Segment: segment, ToMM: toMM}}
}

// row is a run of passes of 4 mm each.
func row(alongMM, pitchMM float64, passes int) Bite {
	b := fromTo(Rim, alongMM, 0, alongMM+4, 0, 1)
	b.Kind, b.Passes, b.PitchMM = Running, passes, pitchMM
	return b
}

// measuring is a plan on a heart with sizes of its own, taken to the letter.
func measuring(plan Plan, sizes ...Measured) Plan {
	plan.Measured = append(plan.Measured, sizes...)
	return plan
}

// withSegments is a plan on a rim stretched until its segments are as given, mm.
func withSegments(plan Plan, anterior, posterior, septal float64) Plan {
	plan.Stretch = atlas.Free
	return measuring(plan, Measured{Name: "anterior-segment", Value: anterior}, Measured{Name: "posterior-segment", Value: posterior}, Measured{Name: "septal-segment", Value: septal})
}

// flatRound is a plan on a flat rim as round as may be, so many mm across.
func flatRound(plan Plan, across float64) Plan {
	return measuring(plan, Measured{Name: "rim-long-axis", Value: across}, Measured{Name: "rim-short-axis", Value: across}, Measured{Name: "saddle-height", Value: 0})
}

// rigidBandPlan is a sound plan of a rigid band on the usual adult's heart.
func rigidBandPlan(t testing.TB) Plan {
	t.Helper()
	segments := usualHeart(t).Segments()
	free := segments[0].ForMM + segments[1].ForMM
	step := rigid(BandForm, 34, 26, 22)
	step.Device.OpeningAt, step.Device.HasOpeningAt = placeAt(-12, 0), true
	return repairing(stitchedAt(evenly(9, 8, free+2)...), step)
}

func outcomeFor(t testing.TB, plan Plan) *Outcome {
	t.Helper()
	o := mustCheck(t, plan).Outcome
	if o == nil {
		t.Fatal("no outcome")
	}
	return o
}

// refusedRepair is what is wrong with a plan's repair on its heart.
func refusedRepair(t testing.TB, plan Plan) string {
	t.Helper()
	_, problems := Lay(plan, loadCatalogue(t))
	if problems == nil {
		t.Fatal("the plan was laid")
	}
	return problems.Error()
}

func TestRepairStepsAreRead(t *testing.T) {
	plan, problems := Read("repair.yaml", readFile(t, plansDir+"/ok/repair.yaml"), inventedParameters)
	if problems != nil {
		t.Fatal(problems)
	}
	var said []string
	for _, s := range plan.Repair {
		switch s.Kind {
		case FoldRim:
			f := s.Fold
			var names []string
			for _, n := range f.Between {
				names = append(names, n.Name)
			}
			said = append(said, fmt.Sprint("fold ", f.Segment, names, f.Commissure, " to ", f.ToMM, " take ", f.TakeMM))
		case TieThread:
			said = append(said, fmt.Sprint("tie ", len(s.Thread.Bites), " to ", s.Thread.ToMM, " over ", s.Thread.OverMM))
		case NewCommissure:
			said = append(said, fmt.Sprint("part ", s.Border.Segment, s.Border.SharePercent))
		case SewDevice:
			d := s.Device
			said = append(said, fmt.Sprint("sew ", d.called(), d.LengthMM, " ", d.LongMM, d.ShortMM, d.OpeningMM, " ", d.OpeningAt.From, d.GapsMM, len(d.Bites)))
		default:
			said = append(said, string(s.Kind))
		}
	}
	want := []string{
		"fold []anteroposterior-commissure to 0 take 4", "fold [a b] to 20.5 take 0", "fold posterior[] to 0 take 0",
		"tie 0 to 30 over 0", "tie 1 to 0 over 29", "close-cleft", "part septal50",
		"sew rigid band74.6 34 26 20 posteroseptal-commissure[30 30] 3",
	}
	if got := strings.Join(said, "\n"); got != strings.Join(want, "\n") {
		t.Errorf("got\n%s", got)
	}
	for i, s := range plan.Repair {
		if s.At.Line != 11+i || s.At.Column != 5 {
			t.Errorf("step %d is said to stand at %v", i+1, s.At)
		}
	}
}

// What only the heart can tell is wrong with a repair is told with its place and its mending.
func TestRepairsThatCannotBeLaid(t *testing.T) {
	named := func(step RepairStep, names ...string) RepairStep {
		for _, n := range names {
			step.Device.Bites, step.Thread.Bites = append(step.Device.Bites, Named{Name: n}), append(step.Thread.Bites, Named{Name: n})
		}
		return step
	}
	four := stitchedAt(10, 20, 30, 40)
	for name, c := range map[string]struct {
		plan Plan
		want string
	}{
		"no such bite":       {repairing(four, named(flexible(BandForm, 20), "1", "9", "3")), `no bite is called "9"`},
		"a bite twice":       {repairing(four, named(flexible(BandForm, 20), "1", "3", "1")), `bite "1" is named twice`},
		"too few for a band": {repairing(four[:1], flexible(BandForm, 20)), "is held by 1 bites"},
		"too few for a ring": {repairing(four[:2], flexible(RingForm, 20)), "is held by 2 bites"},
		"out of order":       {repairing(stitchedAt(10, 30, 20, 40), flexible(BandForm, 20)), `do not run one way round the rim: "3" does not follow on "2"`},
		"one place":          {repairing(stitchedAt(10, 20, 20.01, 40), flexible(BandForm, 20)), `bites "2" and "3" have their middles at one place`},
		"gaps too many":      {repairing(four, flexible(BandForm, 20, 5, 5, 5, 5)), "4 gaps in spacing for 4 stitches; expected 3 gaps"},
		"gaps too long":      {repairing(four, flexible(BandForm, 20, 7, 7, 7)), "gaps of 21.0 mm together on a flexible band of 20.0 mm; expected at most 20.0 mm"},
		"gaps of a ring":     {repairing(four, flexible(RingForm, 80, 19)), "gaps of 76.0 mm together on a flexible ring of 80.0 mm; expected 80.0 mm"},
		"no running bite":    {repairing(four, tied(20)), "no running bite"},
		"a small sizer":      {repairing([]Bite{row(10, 6, 6)}, RepairStep{Kind: TieThread, Thread: Thread{OverMM: 10}}), "a sizer of 10.0 mm is 31.4 mm round, but the rim left outside"},
		"no cleft":           {repairing(nil, RepairStep{Kind: CloseCleft}), "this valve has no cleft"},
		"at a commissure":    {repairing(nil, RepairStep{Kind: NewCommissure, Border: placeAt(1, 0)}), "within 2.0 mm of one there is"},
		"nowhere":            {repairing(nil, RepairStep{Kind: NewCommissure, Border: placeAt(300, 0)}), "the new commissure lies 300.0 mm along a rim of"},
		"take too much":      {repairing(nil, RepairStep{Kind: FoldRim, Fold: Fold{Commissure: AnteroposteriorCommissure, TakeMM: 200}}), "200.0 mm are to be taken from a rim of"},
		"beside a rigid band": {func() Plan {
			plan := rigidBandPlan(t)
			plan.Repair = append([]RepairStep{{Kind: FoldRim, Fold: Fold{Between: []Named{{Name: "1"}, {Name: "10"}}, ToMM: 6}}}, plan.Repair...)
			plan.Repair[1].Device.Bites = []Named{{Name: "2"}, {Name: "3"}, {Name: "4"}}
			plan.Bites = append(plan.Bites, codePlan(append(make([]Bite, 9), stitchedAt(-3)...)...).Bites[9])
			return plan
		}(), "rim beside the rigid device was drawn together"},
		"all of it": {repairing(nil, folded(Anterior, 0), folded(Posterior, 0), folded(Septal, 0)), "must be left"},
	} {
		if got := refusedRepair(t, c.plan); !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// Bites on the device's far side of the rim's start, or listed the other way round, are the same bites.
func TestBitesRunEitherWayRound(t *testing.T) {
	places := []float64{-20, -8, 5, 18, 33}
	there := outcomeFor(t, repairing(stitchedAt(places...), flexible(BandForm, 60, 9, 10, 11, 12)))
	back := outcomeFor(t, repairing(stitchedAt(33, 18, 5, -8, -20), flexible(BandForm, 60, 12, 11, 10, 9)))
	for i, a := range there.Intervals {
		b := back.Intervals[i]
		if a.HoldsMM != 9+float64(i) || math.Abs(a.ForMM-(places[i+1]-places[i])) > 1e-9 {
			t.Errorf("interval %d holds %v for %v mm", i+1, a.HoldsMM, a.ForMM)
		}
		if math.Abs(a.FromMM-b.FromMM) > 1e-9 || math.Abs(a.AfterMM-b.AfterMM) > 1e-9 {
			t.Errorf("listed the other way round, interval %d is %+v, not %+v", i+1, b, a)
		}
	}
	near(t, "area", back.After.AreaMM2, there.After.AreaMM2, 1e-6)
}
