package placement

import (
	"strings"
	"testing"

	"fairlead/atlas"
)

// byRule are the reasons of an outcome that a rule gave.
func byRule(o *Outcome, rule string) (found []Reason) {
	for _, r := range o.Reasons {
		if r.Rule == rule {
			found = append(found, r)
		}
	}
	return found
}

// silent: the rule says nothing at all. A remark has the level clear, and a text.
const silent = Level(-1)

type repairCase struct {
	rule, name string
	plan       Plan
	change     func(*Outcome) // what the rule is shown in place of what was measured, if it is to be exact
	want       Level
	says       string
}

// repairCases has for each rule a repair of which it speaks, and a near miss of which it does not.
func repairCases(t *testing.T) []repairCase {
	heart := usualHeart(t)
	segments := heart.Segments()
	anterior, posterior, septal := segments[0].ForMM, segments[1].ForMM, segments[2].ForMM
	free := anterior + posterior
	fold := repairing(nil, folded(Posterior, posterior-4))
	area := func(mm2 float64) func(*Outcome) {
		return func(o *Outcome) { o.After.AreaMM2, o.Predicted.MM2 = mm2, 900 }
	}
	reduced := func(percent float64) func(*Outcome) {
		return func(o *Outcome) { o.Before.AreaMM2, o.After.AreaMM2 = 1000, 1000-10*percent }
	}
	round := func(acrossPerM2 float64) func(*Outcome) {
		return func(o *Outcome) { o.SurfaceM2, o.After.LengthMM = 1.5, 1.5*acrossPerM2*3.141592653589793 }
	}
	ofBody := func(m2 float64) func(*Outcome) { return func(o *Outcome) { o.SurfaceM2 = m2 } }
	threads := repairing([]Bite{row(10, 7, 8)}, tied(45))
	gap := func(gapMM float64) Plan { // stitches of 4 mm, 10 mm apart
		return repairing(stitchedAt(10, 20, 30), flexible(BandForm, 80, gapMM))
	}
	spacing := func(most float64, plan Plan) Plan { plan.Spacing.MaxMM = most; return plan }
	tight := func(last float64) Plan { // eleven intervals about 6 mm long to 3 mm past the posteroseptal commissure
		places := append(evenly(10, 8, free-7), free+3)
		gaps := []float64{7, 7, 7, 7, 7, 7, 7, 7, 7, last}
		return repairing(stitchedAt(places...), flexible(BandForm, 80, gaps...))
	}
	measuredToLeave := func(mm float64) func(*Outcome) {
		return func(o *Outcome) {
			for i, c := range o.Leaflets {
				o.Leaflets[i].HeightMM, o.Leaflets[i].Measured = c.ReachMM+mm+float64(i), true
			}
		}
	}
	opened := func(tooSmall float64) Plan { // the stitches leave the septal segment and 10 mm
		return repairing(stitchedAt(evenly(9, 4, free-6)...), rigid(BandForm, 32, 28, septal+10-tooSmall))
	}
	cleft := fold
	cleft.Valve.Cleft = true
	return []repairCase{
		{"reduction-pattern", "septal by 5.1 %", repairing(nil, folded(Posterior, 20), folded(Septal, 0.949*septal)), nil, Caution, "5 % of the septal segment, which stretches least; 5 % at most"},
		{"reduction-pattern", "septal by 4.9 %", repairing(nil, folded(Posterior, 20), folded(Septal, 0.951*septal)), nil, silent, ""},
		{"reduction-pattern", "anterior by 5.1 % more", repairing(nil, folded(Posterior, 0.9*posterior), folded(Anterior, 0.849*anterior)), nil, Caution, "takes 15 % of the anterior segment (6.1 mm) but 10 % of the posterior (3.4 mm)"},
		{"reduction-pattern", "anterior by 4.9 % more", repairing(nil, folded(Posterior, 0.9*posterior), folded(Anterior, 0.851*anterior)), nil, silent, ""},
		{"reduction-pattern", "anterior of a rim that was too long", withSegments(repairing(nil, folded(Anterior, 40)), 55, 51, 35), nil, Caution, "which as a rule gives up most; over the expected lengths were anterior"},

		{"orifice-area", "49.99 %", fold, area(449.9), Avoid, "leaves 449 mm², 49 % of the 900 mm² expected"},
		{"orifice-area", "50 %", fold, area(450), Caution, "under 66.7 % is to be thought over"},
		{"orifice-area", "66.6 %", fold, area(600), Caution, "leaves 600 mm², 66 %"},
		{"orifice-area", "two stretches", repairing(nil, folded(Posterior, 20), folded(Anterior, 30)), area(449.9), Avoid, "leaves 449 mm²"},
		{"orifice-area", "a rim of itself too small", fold, func(o *Outcome) { area(449.9)(o); o.Before.AreaMM2 = 500 }, Avoid, "leaves 449 mm²"},
		{"orifice-area", "a rigid device", rigidBandPlan(t), area(449.9), Avoid, "leaves 449 mm²"},
		{"orifice-area", "66.7 %", fold, area(600.4), silent, ""},

		{"stenosis", "1.0 cm2", fold, area(100), Avoid, "leaves 100 mm², where 100 mm² or less is a significant stenosis"}, // EAE/ASE 2009: 1.0 cm2 or less
		{"stenosis", "just more", fold, area(100.01), silent, ""},

		{"animal-reduction", "60 %", fold, reduced(60), Clear, "60 % or more harmed"},
		{"animal-reduction", "59.9 %", fold, reduced(59.9), Clear, "about 50 % suited"},
		{"animal-reduction", "50 %", fold, reduced(50), silent, ""},

		{"recurrence-index", "just above", threads, round(22.51), Clear, "22.5 mm per m²: above 22.5 mm per m²"},
		{"recurrence-index", "at it", threads, round(22.4999), silent, ""},
		{"recurrence-index", "in a child", threads, func(o *Outcome) { round(30)(o); o.SurfaceM2 = 1.49 }, silent, ""},
		{"recurrence-index", "no thread", fold, round(30), silent, ""},
		{"recurrence-index", "no body", threads, nil, silent, ""},

		{"ring-index", "at it", rigidBandPlan(t), ofBody(34 / 18.9), Clear, "a device 34.0 mm wide is 18.9 mm per m²"},
		{"ring-index", "under it", rigidBandPlan(t), ofBody(34 / 18.8), silent, ""},
		{"ring-index", "in a child", rigidBandPlan(t), ofBody(1.2), silent, ""},
		{"ring-index", "no body", rigidBandPlan(t), nil, silent, ""},
		{"ring-index", "flexible", gap(8), ofBody(0.5), silent, ""},

		{"bunching", "51 %", gap(4.9), nil, Caution, "draws 1 to 2 from 10.0 to 4.9 mm, 51 % less"},
		{"bunching", "49 %", gap(5.1), nil, silent, ""},
		{"bunching", "a thread", repairing([]Bite{row(10, 7, 8)}, tied(26)), nil, Caution, "draws 1 from 53.0 to 26.0 mm"},
		{"bunching", "a fold is meant", repairing(nil, folded(Posterior, 5)), nil, silent, ""},

		{"device-gap", "overlapping", gap(3.9), nil, Caution, "bites 1 and 2 overlap on the device by 0.1 mm: 3.9 mm of it for 4.0 mm of stitches"},
		{"device-gap", "touching", gap(4), nil, silent, ""},
		{"device-gap", "too wide", spacing(4, gap(8.1)), nil, Caution, "leave 4.1 mm of the device between them, more than 4.0 mm"},
		{"device-gap", "wide enough", spacing(4, gap(8)), nil, silent, ""},

		{"device-opening", "7 mm too little", opened(7), nil, Caution, "7.1 mm too much, which buckles"},
		{"device-opening", "5 mm too little", opened(5), nil, silent, ""},
		{"device-opening", "7 mm too much", opened(-7), nil, Caution, "7.0 mm too little, which pulls"},
		{"device-opening", "5 mm too much", opened(-5), nil, silent, ""},
		{"device-opening", "flexible", gap(8), nil, silent, ""},

		{"septal-end", "an interval of 10 mm drawn to 6.9", tight(6.9), nil, Caution, "the rim from it to bite 10 is made 3.1 mm shorter (31 %)"},
		{"septal-end", "drawn to 7.1", tight(7.1), nil, silent, ""},
		{"septal-end", "a ring has no ends", repairing(stitchedAt(evenly(9, 0, 93)...), flexible(RingForm, 70)), nil, silent, ""},

		{"leaflet-cover", "measured, 4.9 mm left", fold, measuredToLeave(4.9), Caution, "4.9 mm are left to lie against the others, of 5.0 mm wanted"},
		{"leaflet-cover", "two of three", fold, measuredToLeave(3.95), Caution, "the anterior and the posterior leaflet, "},
		{"leaflet-cover", "measured, too short", fold, measuredToLeave(-0.35), Avoid, "that falls short by 0.4 mm, where 5.0 mm more are wanted"},
		{"leaflet-cover", "measured, enough", fold, measuredToLeave(5.001), silent, ""},
		{"leaflet-cover", "expected, on a wide rim", withSegments(repairing(nil, folded(Posterior, 50)), 60, 51, 35), nil, Caution, "(expected), must reach"},
		{"leaflet-cover", "the usual adult's", fold, nil, silent, ""},
		{"leaflet-cover", "cleft left open", cleft, nil, Clear, "stays cleft in two"},
	}
}

// judgedBy is what one rule says of a laid repair whose outcome may have been changed.
func judgedBy(t *testing.T, laid *Laid, rule string, change func(*Outcome)) []Reason {
	t.Helper()
	e := &repairExamined{Laid: laid, rules: loadRules(t), outcome: laid.outcome(), rule: loadRules(t).Rule(rule)}
	if change != nil {
		change(e.outcome)
	}
	for _, j := range repairJudges {
		if j.id == rule {
			return j.judge(e)
		}
	}
	t.Fatal("no rule", rule)
	return nil
}

func TestEachRepairRule(t *testing.T) {
	rules := loadRules(t)
	spoke, kept := map[string]bool{}, map[string]bool{}
	for _, c := range repairCases(t) {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			reasons := judgedBy(t, mustLay(t, c.plan), c.rule, c.change)
			if c.want == silent {
				kept[c.rule] = true
				if len(reasons) > 0 {
					t.Errorf("got %+v", reasons)
				}
				return
			}
			spoke[c.rule] = true
			if len(reasons) == 0 || worst(reasons) != c.want {
				t.Fatalf("want %v, got %+v", c.want, reasons)
			}
			r, rule := reasons[0], rules.Rule(c.rule)
			if !strings.Contains(r.Text.String(), c.says) || r.Rule != c.rule || r.Basis.String() != rule.Basis().String() {
				t.Errorf("it says %+v, want %q", r, c.says)
			}
			if (r.Level > Clear) != (!r.Instead.IsZero()) {
				t.Errorf("a reason of level %v, and what to do instead is %q", r.Level, r.Instead)
			}
			saidWell(t, reasons)
			if c.change == nil { // the report says it too
				if report := mustCheck(t, c.plan); len(byRule(report.Outcome, c.rule)) != len(reasons) || report.Verdict < c.want {
					t.Errorf("the report is %v: %+v", report.Verdict, report.Outcome.Reasons)
				}
			}
		})
	}
	for _, j := range repairJudges {
		if !spoke[j.id] || !kept[j.id] {
			t.Errorf("rule %s lacks a repair of which it speaks (%v) or a near miss (%v)", j.id, spoke[j.id], kept[j.id])
		}
	}
}

// The limits are those that were published or are common practice, and stand in one place only.
func TestLimitsOfTheRepairAreThoseOfTheAtlas(t *testing.T) {
	e := &repairExamined{Laid: mustLay(t, repairing(nil, folded(Posterior, 20)))}
	for name, want := range map[string]float64{"stenosis-area": 100, "orifice-half": 50, "orifice-two-thirds": 66.7, "reduction-best": 50, "reduction-harm": 60, "recurrence-index": 22.5, "ring-index": 18.9} {
		if limit, known := e.limit(name); !known || limit.Value != want {
			t.Errorf("%s: %v", name, limit.Value)
		}
	}
}

// The verdict is the worst of all; reasons come worst first.
func TestVerdictOfTheRepairCounts(t *testing.T) {
	plan := repairing([]Bite{row(10, 7, 8)}, tied(12))
	plan.Spacing = Spacing{0, 50}
	report := mustCheck(t, plan)
	o := report.Outcome
	if o.Verdict != Avoid || report.Verdict != Avoid || worst(o.Reasons) != Avoid {
		t.Errorf("outcome %v, report %v", o.Verdict, report.Verdict)
	}
	for i := 1; i < len(o.Reasons); i++ {
		if o.Reasons[i].Level > o.Reasons[i-1].Level {
			t.Errorf("reasons in the order %+v", o.Reasons)
		}
	}
	if report := mustCheck(t, codePlan()); report.Outcome != nil {
		t.Error("an outcome of no repair")
	}
}

// What is advised instead leaves what it says it leaves.
func TestLessTakenLeavesWhatItSays(t *testing.T) {
	e := &repairExamined{Laid: mustLay(t, repairing([]Bite{row(10, 7, 8)}, tied(12))), rules: loadRules(t)}
	e.outcome = e.Laid.outcome()
	said := e.lessTaken(66.7).String()
	before := e.outcome
	e.Laid = mustLay(t, repairing([]Bite{row(10, 7, 8)}, tied(heldAt(t, said))))
	if share := e.Laid.outcome().SharePercent(); share < 66.7 || share > 69 {
		t.Errorf("%q leaves %v %%", said, share)
	}
	e.outcome = before
	e.outcome.Before.AreaMM2 = 500
	if got := e.lessTaken(66.7).String(); got != "take nothing of this rim: it has less by itself" {
		t.Errorf("got %q", got)
	}
	ring := mustLay(t, rigidBandPlan(t))
	e = &repairExamined{Laid: ring, rules: loadRules(t), outcome: ring.outcome()}
	e.outcome.After.AreaMM2, e.outcome.Predicted.MM2 = 300, 1000
	if got := e.lessTaken(66.7).String(); !strings.Contains(got, "a device about 50 % wider each way") { // √(66.7/30) is 1.491
		t.Errorf("got %q", got)
	}
}

// heldAt reads what a stretch is to be held at out of advice.
func heldAt(t *testing.T, said string) (mm float64) {
	t.Helper()
	_, rest, found := strings.Cut(said, "(hold it at ")
	if !found {
		t.Fatalf("%q says no length", said)
	}
	for _, c := range rest {
		if c < '0' || c > '9' {
			break
		}
		mm = 10*mm + float64(c-'0')
	}
	return mm
}

// How the reduction mirrors the stretch: what is taken in the proportions of the excess mirrors it whole, what is taken
// elsewhere not at all.
func TestReductionMirrorsTheStretch(t *testing.T) {
	expected := func(name string) float64 {
		value, _ := usualHeart(t).Value(name)
		return value.Expected
	}
	anterior, posterior, septal := expected("anterior-segment")+6, expected("posterior-segment")+12, expected("septal-segment")
	share := func(steps ...RepairStep) float64 {
		o := outcomeFor(t, withSegments(repairing(nil, steps...), anterior, posterior, septal))
		if o.Mirror == nil {
			return -1
		}
		near(t, "posterior over expected", o.Mirror.PosteriorMM, 12, 0.3)
		return o.Mirror.Percent
	}
	near(t, "as stretched", share(folded(Anterior, anterior-3), folded(Posterior, posterior-6)), 100, 1)
	near(t, "posterior alone", share(folded(Posterior, posterior-6)), 100*12./18, 1)
	near(t, "septal alone", share(folded(Septal, septal-3)), 0, 1)
	if percent := share(RepairStep{Kind: NewCommissure, Border: placeAt(20, 0)}); percent >= 0 {
		t.Errorf("nothing taken mirrors %v %%", percent)
	}
}

// Without a catalogue, as on a heart that came from elsewhere, what needs its figures is not judged.
func TestRepairWithoutCatalogue(t *testing.T) {
	laid := mustLay(t, repairing(nil, folded(Posterior, 0), folded(Anterior, 5)))
	laid.catalogue = nil
	report := Check(laid, loadRules(t))
	for _, rule := range []string{"orifice-area", "stenosis", "animal-reduction"} {
		if got := byRule(report.Outcome, rule); got != nil {
			t.Errorf("%s: %+v", rule, got)
		}
	}
	var area atlas.Value
	area, _ = laid.Heart.Value("rim-area")
	near(t, "predicted", report.Outcome.Predicted.MM2, area.Expected, 0)
}
