package placement

import (
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"gonum.org/v1/gonum/stat/distuv"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// deepAxis puts the conduction axis so deep, and so surely there, that no needle near the surface comes near it: the
// other rules can then be seen alone.
var deepAxis = []Measured{
	{Name: "node-depth", Value: 5}, {Name: "bundle-depth-entry", Value: 6}, {Name: "bundle-depth-end", Value: 9},
	{Name: "nodal-artery-depth", Value: 10}, {Name: "conduction-position-spread", Value: 0.1},
}

// quiet is a plan that keeps no distances, on a heart with a deep axis.
func quiet(bites ...Bite) Plan {
	plan := codePlan(bites...)
	plan.Measured, plan.Margins = deepAxis, Margins{}
	return plan
}

// keeping is a plan with margins of its own.
func keeping(margins Margins, plan Plan) Plan {
	plan.Margins = margins
	return plan
}

// spaced is a plan with a spacing of its own.
func spaced(least, most float64, plan Plan) Plan {
	plan.Spacing = Spacing{least, most}
	return plan
}

type ruleCase struct {
	rule, name string
	plan       Plan
	want       Level  // of the rule, which speaks alone; clear where none speaks
	says       string // a part of its text
}

// ruleCases has for each rule plans in which it alone speaks, and near misses.
func ruleCases(t *testing.T) []ruleCase {
	heart := mustLay(t, quiet()).Heart
	// Where the sides of the nodal triangle and the line between its halves lie, a height up the wall.
	alongAt := func(from, to atlas.Spot, off float64) float64 {
		return from.AlongMM + (to.AlongMM-from.AlongMM)*(off-from.OffMM)/(to.OffMM-from.OffMM)
	}
	apex, hinge, tendon := heart.Triangle.Apex, heart.Triangle.Hinge, heart.Triangle.Tendon
	midHinge := atlas.Spot{AlongMM: (apex.AlongMM + hinge.AlongMM) / 2}
	midTendon := atlas.Spot{AlongMM: (apex.AlongMM + tendon.AlongMM) / 2, OffMM: tendon.OffMM / 2}
	tendonSide, baseSide, halfLine := alongAt(apex, tendon, 5), alongAt(hinge, tendon, 3), alongAt(midHinge, midTendon, 3)
	lip, _ := heart.Zone(atlas.Ostium)
	highest := slices.MaxFunc(lip.Outline, func(a, b geom.Point) int { return int(math.Copysign(1, a.Y-b.Y)) })
	aboveLip := func(mm float64) Plan {
		return keeping(Margins{OstiumMM: 1}, quiet(fromTo(Wall, highest.X-0.6, highest.Y+mm, highest.X+0.6, highest.Y+mm, 1)))
	}
	level := func(tissue Tissue, along, off, depth float64) Plan {
		return quiet(fromTo(tissue, along-1.2, off, along+1.2, off, depth))
	}
	return []ruleCase{
		{"apical-half", "from the halfway line to the tendon line", quiet(fromTo(Wall, alongAt(midHinge, midTendon, 5)+0.1, 5, tendonSide-0.1, 5, 1)), Avoid, "mm inside the apical half"},
		{"apical-half", "just over the tendon line", quiet(fromTo(Wall, tendonSide-0.1, 5, tendonSide+2, 5, 1)), Avoid, "runs 0.1 mm inside"},
		{"apical-half", "just short of it", quiet(fromTo(Wall, tendonSide+0.1, 5, tendonSide+2, 5, 1)), Clear, ""},
		{"apical-half", "just above the hinge", level(Rim, apex.AlongMM-4, 0.1, 1), Avoid, "runs 0.1 mm inside"},
		{"apical-half", "on the hinge", level(Rim, apex.AlongMM-4, 0, 1), Clear, ""},

		{"basal-half", "from the base to the halfway line", quiet(fromTo(Wall, baseSide+0.1, 3, halfLine-0.1, 3, 1)), Caution, "mm inside the basal half"},
		{"basal-half", "just above the hinge", level(Rim, hinge.AlongMM+4, 0.1, 1), Caution, "runs 0.1 mm inside"},
		{"basal-half", "on the hinge", level(Rim, hinge.AlongMM+4, 0, 1), Clear, ""},
		{"basal-half", "just beyond the base", quiet(fromTo(Wall, baseSide-0.1, 3, baseSide-2, 3, 1)), Clear, ""},

		{"ventricular-side", "rim", level(Rim, 0, -3, 1), Avoid, "reaches 3.0 mm into the ventricular side"},
		{"ventricular-side", "leaflet alone", level(Leaflet, 0, -3, 0.9), Caution, "takes leaflet alone, 0.9 mm deep"},
		{"ventricular-side", "through the leaflet", level(Leaflet, 0, -3, 1), Avoid, "reaches 3.0 mm"},
		{"ventricular-side", "just inside", level(Rim, 0, -6.95, 1), Avoid, "reaches 0.1 mm"},
		{"ventricular-side", "below it", level(Rim, 0, -7.1, 1), Clear, ""},
		{"ventricular-side", "beside it", level(Rim, 6.3, -0.3, 1), Clear, ""},

		{"fibrous-body", "1.6 mm", level(Wall, 0, 2, 1.6), Avoid, "goes 1.6 mm deep into the fibrous body; the bundle runs immediately behind it, so 1.5 mm at most"},
		{"fibrous-body", "1.5 mm", level(Wall, 0, 2, 1.5), Clear, ""},
		{"fibrous-body", "beside it", level(Wall, 4.8, 2, 1.6), Clear, ""},

		{"conduction-margin", "under the margin", keeping(Margins{ConductionMM: 2}, codePlan(fromTo(Wall, tendonSide+0.1, 5, tendonSide+2.1, 5, 1))), Avoid, "; keep 2.0 mm (under 2.0 mm in about "},
		{"conduction-margin", "on the free wall", codePlan(going(Rim, 22, 0, 4, 0, 1.2)), Clear, ""},

		{"coronary-artery", "deep beside it", keeping(Margins{CoronaryMM: 2}, quiet(going(Rim, 57, 0, 4, 0, 1.2))), Avoid, "from the right coronary artery; keep 2.0 mm"},
		{"coronary-artery", "a smaller margin", keeping(Margins{CoronaryMM: 0.5}, quiet(going(Rim, 57, 0, 4, 0, 1.2))), Clear, ""},

		{"aortic-root", "a large margin", keeping(Margins{AortaMM: 6}, quiet(going(Rim, 6, 0.5, 5, 0, 1.5))), Avoid, "from the aortic root; keep 6.0 mm"},
		{"aortic-root", "the usual margin", keeping(Margins{AortaMM: 1}, quiet(going(Rim, 6, 0.5, 5, 0, 1.5))), Clear, ""},

		{"ostium", "the needle's edge over the lip", aboveLip(0.2), Avoid, "0.1 mm inside, and narrows it"},
		{"ostium", "the needle touching the lip", aboveLip(0.3 + 1e-9), Caution, "comes within 0.0 mm"},
		{"ostium", "within the margin", aboveLip(0.3 + 0.75), Caution, "comes within 0.7 mm of the lip of the coronary sinus ostium; keep 1.0 mm"},
		{"ostium", "just within the margin", aboveLip(1.3 - 1e-6), Caution, "comes within 0.9 mm"},
		{"ostium", "at the margin", aboveLip(1.3 + 1e-9), Clear, ""},

		{"hold", "wall, 0.9 mm", level(Wall, 57, 5, 0.9), Caution, "only 0.9 mm deep: too shallow to hold in wall, which wants 1.0 mm"},
		{"hold", "wall, 1 mm", level(Wall, 57, 5, 1), Clear, ""},
		{"hold", "rim, 0.95 mm", level(Rim, 57, 0, 0.95), Caution, "only 0.95 mm deep: too shallow to hold in rim"},
		{"hold", "leaflet, 0.3 mm", level(Leaflet, 57, -5, 0.3), Caution, "only 0.3 mm deep: too shallow to hold in leaflet, which wants 0.4 mm"},
		{"hold", "leaflet, 0.4 mm", level(Leaflet, 57, -5, 0.4), Clear, ""},

		{"spacing", "too close", spaced(0.5, 20, quiet(going(Rim, 20, 0, 4, 0, 1), going(Rim, 24.9, 0, 4, 0, 1))), Caution, "mm from bite 1; the bridge wants 0.5 mm"},
		{"spacing", "far enough", spaced(0.5, 20, quiet(going(Rim, 20, 0, 4, 0, 1), going(Rim, 25.3, 0, 4, 0, 1))), Clear, ""},
	}
}

func TestEachRuleAlone(t *testing.T) {
	rules := loadRules(t)
	spoke, kept := map[string]bool{}, map[string]bool{}
	for _, c := range ruleCases(t) {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			report := mustCheck(t, c.plan)
			var reasons []Reason
			for _, b := range report.Bites {
				for _, r := range b.Reasons {
					if r.Level > Clear {
						reasons = append(reasons, r)
					}
				}
			}
			if report.Verdict != c.want {
				t.Errorf("verdict %v, want %v: %+v", report.Verdict, c.want, reasons)
			}
			if c.want == Clear {
				kept[c.rule] = true
				if len(reasons) > 0 {
					t.Errorf("got %+v", reasons)
				}
				return
			}
			spoke[c.rule] = true
			if len(reasons) != 1 || reasons[0].Rule != c.rule {
				t.Fatalf("got %+v", reasons)
			}
			r, rule := reasons[0], rules.Rule(c.rule)
			if !strings.Contains(r.Text.String(), c.says) || !regexp.MustCompile(`\d mm`).MatchString(r.Text.String()) {
				t.Errorf("it says %q, want %q", r.Text, c.says)
			}
			if !strings.Contains(r.Basis.String(), rule.Grade.String()) || rule.Grade.Published() && !strings.Contains(r.Basis.String(), rule.Source) {
				t.Errorf("basis %q of a rule that rests on %s, %s", r.Basis, rule.Grade, rule.Source)
			}
			if r.Instead.IsZero() {
				t.Error("it does not say what to do instead")
			}
		})
	}
	for _, j := range append([]judge{{id: spacingRule}}, judges...) { // those of lines, patches and repairs have tests of their own
		if !spoke[j.id] || !kept[j.id] {
			t.Errorf("rule %s lacks a plan in which it speaks (%v) or a near miss (%v)", j.id, spoke[j.id], kept[j.id])
		}
	}
}

// A bite that keeps a margin exactly keeps it; the least bit more to keep and it does not.
func TestMarginsAreMetExactly(t *testing.T) {
	for _, c := range []struct {
		rule, structure string
		bite            Bite
		margin          func(*Margins) *float64
		beyond          float64
	}{
		{"conduction-margin", "bundle", going(Rim, 3, 0, 4, 0, 1.2), func(m *Margins) *float64 { return &m.ConductionMM }, 1.5},
		{"coronary-artery", "right-coronary", going(Rim, 57, 0, 4, 0, 1.2), func(m *Margins) *float64 { return &m.CoronaryMM }, 0.5},
		{"aortic-root", "aortic-root", going(Rim, 6, 0.5, 5, 0, 1.5), func(m *Margins) *float64 { return &m.AortaMM }, 1},
	} {
		levelAt := func(mm float64) Level {
			plan := codePlan(c.bite)
			plan.Margins = Margins{}
			*c.margin(&plan.Margins) = mm
			for _, r := range mustCheck(t, plan).Bites[0].Reasons {
				if r.Rule == c.rule {
					return r.Level
				}
			}
			return Clear
		}
		clear := clearanceTo(t, codePlan(c.bite), c.structure)
		for _, step := range []struct {
			margin float64
			want   Level
		}{
			{math.Nextafter(clear, 99), Avoid}, {clear, Caution}, {clear - c.beyond + 1e-9, Caution}, {clear - c.beyond - 1e-9, Clear},
		} {
			if got := levelAt(step.margin); got != step.want {
				t.Errorf("%s: %v mm away, keeping %v mm: %v, want %v", c.rule, clear, step.margin, got, step.want)
			}
		}
	}
}

func clearanceTo(t testing.TB, plan Plan, structure string) float64 {
	t.Helper()
	for _, c := range mustCheck(t, plan).Bites[0].Clearances {
		if c.Structure == structure {
			return c.MM
		}
	}
	t.Fatal("no structure", structure)
	return 0
}

// Where a farther structure is less surely in its place than a nearer one, it is the one to be careful of.
func TestCautionLooksAtEverySpread(t *testing.T) {
	heart := usualHeart(t)
	under := &examined{examiner: newExaminer(laidOn(heart), loadRules(t)), clearances: make([]Clearance, len(heart.Structures))}
	for i, s := range heart.Structures {
		under.clearances[i] = Clearance{Structure: s.ID, MM: 20}
		under.obstacles[i].SpreadMM = 0.2
	}
	node, artery := 2, 5
	if heart.Structures[node].ID != "node" || heart.Structures[artery].ID != "nodal-artery" {
		t.Fatal("the structures have another order")
	}
	under.clearances[node].MM, under.clearances[artery].MM = 2.5, 3
	if level, _ := under.nearness(isConduction); level != Clear {
		t.Errorf("both surely in place: %v", level)
	}
	under.obstacles[artery].SpreadMM = 1.5
	if level, c := under.nearness(isConduction); level != Caution || c.Structure != "nodal-artery" {
		t.Errorf("got %v for %s", level, c.Structure)
	}
	under.clearances[node].MM = 1.9
	if level, c := under.nearness(isConduction); level != Avoid || c.Structure != "node" {
		t.Errorf("got %v for %s", level, c.Structure)
	}
}

// Leaflet alone hangs free of the septum, so that the bundle's distance does not count; the same needle a little
// deeper is in the septum.
func TestLeafletAloneIsJudgedApart(t *testing.T) {
	alone, deeper := fromTo(Leaflet, -4, -2, -4.5, -5, 0.9), fromTo(Leaflet, -4, -2, -4.5, -5, 0.91)
	if got := ruleIDs(mustCheck(t, codePlan(alone)).Bites[0].Reasons); !slices.Equal(got, []string{"ventricular-side"}) {
		t.Errorf("leaflet alone: %v", got)
	}
	report := mustCheck(t, codePlan(deeper))
	if got := ruleIDs(report.Bites[0].Reasons); !slices.Equal(got, []string{"ventricular-side", "conduction-margin"}) || report.Verdict != Avoid {
		t.Errorf("through the leaflet: %v", got)
	}
	plan := codePlan(deeper)
	plan.Measured = []Measured{{Name: "leaflet-thickness", Value: 1.5}}
	if got := ruleIDs(mustCheck(t, plan).Bites[0].Reasons); !slices.Equal(got, []string{"ventricular-side"}) {
		t.Errorf("a thicker leaflet: %v", got)
	}
}

// A bite that is anchored in the fibrous body is told so, at no cost to its level.
func TestFibrousBodyAnchors(t *testing.T) {
	b := mustCheck(t, quiet(fromTo(Wall, 1, 2, -1, 2, 1.5))).Bites[0]
	if b.Verdict != Clear || len(b.Reasons) != 1 || b.Reasons[0].Level != Clear || !b.Reasons[0].Instead.IsZero() || b.Reasons[0].Text.String() != "anchors in the fibrous body, 1.5 mm deep of at most 1.5 mm" {
		t.Errorf("got %+v", b)
	}
	if b := mustCheck(t, quiet(fromTo(Leaflet, 1, -0.3, -1, -0.3, 0.9))).Bites[0]; slices.ContainsFunc(b.Reasons, func(r Reason) bool { return r.Rule == "fibrous-body" }) {
		t.Errorf("a leaflet anchors nothing: %+v", b.Reasons)
	}
}

// A zone is met wherever round the rim a pass is said to be, and a bite far from every zone meets none.
func TestZonesKnowNoSeam(t *testing.T) {
	heart := usualHeart(t)
	round := heart.Rim.LengthMM()
	e := newExaminer(laidOn(heart), loadRules(t))
	for _, turns := range []float64{-2, -1, 0, 1, 3} {
		across := Pass{In: atlas.Spot{AlongMM: turns*round + 1, OffMM: -2}, Out: atlas.Spot{AlongMM: turns*round - 1, OffMM: -2}}
		near(t, "ventricular side", e.zones[atlas.VentricularSide].depth(across, 0), -2, 1e-9)
		apical := Pass{In: atlas.Spot{AlongMM: turns*round - 7, OffMM: 0.5}, Out: atlas.Spot{AlongMM: turns*round - 8, OffMM: 0.5}}
		near(t, "apical half", e.zones[atlas.ApicalHalf].depth(apical, 0), -0.5, 1e-9)
		free := Pass{In: atlas.Spot{AlongMM: turns*round + 40}, Out: atlas.Spot{AlongMM: turns*round + 45}}
		for id, z := range e.zones {
			if d := z.depth(free, 2); d < 2 {
				t.Errorf("%s reaches to %v mm of the free wall", id, d)
			}
		}
	}
}

func TestVerdictIsTheWorst(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 7))
	rules, seen := loadRules(t), map[Level]int{}
	for range 60 {
		heart := usualHeart(t)
		var passes []Pass
		for range r.IntN(4) {
			passes = append(passes, randomPass(r, heart))
		}
		laid := laidOn(heart, passes...)
		laid.Plan.Spacing = DefaultSpacing
		report := Check(laid, rules)
		plan := Clear
		for _, b := range report.Bites {
			bite := Clear
			for _, reason := range b.Reasons {
				bite = max(bite, reason.Level)
			}
			if b.Verdict != bite {
				t.Errorf("bite %v with reasons up to %v", b.Verdict, bite)
			}
			plan = max(plan, bite)
		}
		if report.Verdict != plan {
			t.Errorf("plan %v with bites up to %v", report.Verdict, plan)
		}
		seen[report.Verdict]++
	}
	if seen[Clear] == 0 || seen[Caution] == 0 || seen[Avoid] == 0 {
		t.Errorf("not every verdict came up: %v", seen)
	}
}

// axisAt is a bite with made-up distances from the conduction axis.
func axisAt(t testing.TB, mm map[string]float64) *examined {
	heart := usualHeart(t)
	under := &examined{examiner: newExaminer(laidOn(heart), loadRules(t)), bite: &LaidBite{Bite: Bite{Tissue: Rim}}}
	for _, s := range heart.Structures {
		c := Clearance{Structure: s.ID, Label: s.Label, MM: 50}
		if here, given := mm[s.ID]; given {
			c.MM = here
		}
		under.clearances = append(under.clearances, c)
	}
	return under
}

// The published share of hearts whose bundle enters at the apex: 30 of 57, said as 53 % (cabrera-2019).
const apicalShare = 0.53

func TestOddsFollowTheNormalDistribution(t *testing.T) {
	spread := distuv.Normal{Mu: 0, Sigma: 1.5} // conduction-position-spread, an assumption of the atlas
	for _, c := range []struct {
		mm   map[string]float64
		want float64
	}{
		{map[string]float64{"node": 2}, 0.5},
		{map[string]float64{"node": 3.5}, spread.CDF(-1.5)},
		{map[string]float64{"node": -1}, spread.CDF(3)},
		{map[string]float64{"bundle": 2.4}, apicalShare * spread.CDF(-0.4)},
		{map[string]float64{"bundle-low": 1.2}, (1 - apicalShare) * spread.CDF(0.8)},
		{map[string]float64{"bundle": 2.4, "bundle-low": 1.2}, apicalShare*spread.CDF(-0.4) + (1-apicalShare)*spread.CDF(0.8)},
		// What lies side by side varies together: the likeliest counts, not the sum.
		{map[string]float64{"node": 1, "nodal-artery": 1, "bundle": 3}, spread.CDF(1)},
		{map[string]float64{"right-extension": 0}, 20. / 21 * spread.CDF(2)}, // present in 20 of 21 hearts (inoue-1998)
		{map[string]float64{"right-coronary": -3}, 0},
	} {
		near(t, fmt.Sprint(c.mm), axisAt(t, c.mm).likelyUnder(2), c.want, 1e-12)
	}
}

// The same by drawing hearts: first which way the bundle enters, then how far it lies off its place.
func TestOddsBySimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(53, 47))
	for _, c := range []struct{ apical, low float64 }{{2.4, 1.2}, {-0.5, 6}, {4, 3.1}, {5, 0.2}} {
		const hearts = 200000
		under := 0
		for range hearts {
			clear := c.low
			if r.Float64() < apicalShare {
				clear = c.apical
			}
			if clear+1.5*r.NormFloat64() < 2 {
				under++
			}
		}
		got := axisAt(t, map[string]float64{"bundle": c.apical, "bundle-low": c.low}).likelyUnder(2)
		// Four standard errors of a share of 200,000 drawn.
		near(t, fmt.Sprint(c), got, float64(under)/hearts, 4*math.Sqrt(got*(1-got)/hearts))
	}
}

func TestOddsInWords(t *testing.T) {
	said := regexp.MustCompile(`under 2\.0 mm in about (\d+) in 100 hearts`)
	for _, mm := range []float64{-1, 0, 1, 1.99, 2, 2.5, 3.4} {
		under := axisAt(t, map[string]float64{"node": mm})
		_, reason := conductionMargin(under)
		text := reason.String()
		found := said.FindStringSubmatch(text)
		if found == nil {
			t.Fatalf("at %v mm: %q", mm, text)
		}
		n, _ := strconv.Atoi(found[1])
		near(t, text, float64(n)/100, under.likelyUnder(2), 0.005)
	}
	for p, want := range map[float64]string{0: "fewer than 1 in 100", 0.004: "fewer than 1 in 100", 0.01: "1 in 100", 0.5: "50 in 100", 0.994: "99 in 100", 0.996: "more than 99 in 100"} {
		if got := inHundred(p).String(); got != want {
			t.Errorf("%v: %q", p, got)
		}
	}
}

// No length is said to leave more room than there is, nor to go less far than it does.
func TestLengthsInWords(t *testing.T) {
	for _, c := range []struct {
		got, want words.Number
	}{
		{atMost(1.99), "1.9"}, {atMost(2), "2.0"}, {atMost(0.3 - 0.1), "0.2"}, {atMost(0.04), "0.0"}, {atMost(-0.04), "-0.1"}, {atMost(-1.3), "-1.3"},
		{atLeast(1.01), "1.1"}, {atLeast(1), "1.0"}, {atLeast(0.1 + 0.2), "0.3"}, {atLeast(1e-6), "0.1"},
		{exact(2), "2.0"}, {exact(0.75), "0.75"}, {exact(1.2 - 0.5), "0.7"}, {exact(1.25), "1.25"},
		{Clearance{MM: 1.99}.Words(), "1.9"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
	for mm, want := range map[float64]string{-0.02: "passes 0.1 mm inside the node", 1.99: "passes 1.9 mm from the node", 2.06: "passes 2.0 mm from the node"} {
		_, reason := conductionMargin(axisAt(t, map[string]float64{"node": mm}))
		if got := words.English().Gist(reason); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestRulebookStandsOnSources(t *testing.T) {
	all, err := loadCatalogue(t).Bibliography()
	if err != nil {
		t.Fatal(err)
	}
	bibliography := map[string]atlas.Source{}
	for _, s := range all {
		bibliography[s.ID] = s
	}
	for _, r := range loadRules(t).Rules() {
		source, known := bibliography[r.Source]
		if !known {
			t.Errorf("rule %s: no source %q", r.ID, r.Source)
		}
		if r.Grade.Published() == (source.Read == "none" || source.Read == "memory") {
			t.Errorf("rule %s is %s, but its source %s is read: %s", r.ID, r.Grade, r.Source, source.Read)
		}
		if (len(r.Figures) > 0) != (r.FiguresGrade != "") {
			t.Errorf("rule %s: figures %v graded %q", r.ID, r.Figures, r.FiguresGrade)
		}
		for _, figure := range []float64{r.Figures["deepest"], r.Figures["beyond"], r.Figures["tissue"], r.Figures["leaflet"]} {
			if figure > 0 && strings.Contains(r.Says, " mm") && !strings.Contains(r.Says, fmt.Sprintf("%g mm", figure)) {
				t.Errorf("rule %s says %q, but judges by %g mm", r.ID, r.Says, figure)
			}
		}
	}
	if r := loadRules(t).Rule("no-such-rule"); r.ID != "" || r.Figures != nil {
		t.Errorf("an unknown rule is %+v", r)
	}
}

func TestRulebookMustFitTheCode(t *testing.T) {
	data, err := ruleFiles.ReadFile("data/rules/bite.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sound, total := string(data), len(loadRules(t).Rules())
	block := func(id string) string {
		from := strings.Index(sound, "  - id: "+id+"\n")
		if from < 0 {
			t.Fatal("no rule", id)
		}
		if to := strings.Index(sound[from+1:], "  - id: "); to >= 0 {
			return sound[from : from+1+to]
		}
		return sound[from:]
	}
	for name, c := range map[string]struct{ data, want string }{
		"a rule missing":    {strings.Replace(sound, block("hold"), "", 1), `no rule is called "hold"`},
		"spacing missing":   {strings.Replace(sound, block("spacing"), "", 1), `no rule is called "spacing"`},
		"a stranger":        {sound + strings.Replace(block("basal-half"), "basal-half", "stranger", 1), fmt.Sprintf("%d rules, but the code judges by %d", total+1, total)},
		"a double":          {sound + block("basal-half"), fmt.Sprintf("%d rules", total+1)},
		"a figure missing":  {strings.Replace(sound, "deepest: 1.5", "beyond: 1.5", 1), `"fibrous-body" lacks the figure "deepest"`},
		"an unknown figure": {strings.Replace(sound, "deepest: 1.5", "deeep: 1.5", 1), "deeep"},
		"an unknown grade":  {strings.Replace(sound, "grade: practice", "grade: hearsay", 1), "hearsay"},
		"no rules":          {"rules: []\n", "rules"},
	} {
		files := soundRules(t)
		files["data/rules/bite.yaml"] = &fstest.MapFile{Data: []byte(c.data)}
		if _, err := readRulebook(files); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
}

// soundRules are the files of rules as they are.
func soundRules(t *testing.T) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	names, err := fs.Glob(ruleFiles, "data/rules/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		data, err := ruleFiles.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: data}
	}
	return files
}
