package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// The catalogue does not change once loaded, and loading it takes longer than most tests.
var catalogueOnce = sync.OnceValues(atlas.LoadCatalogue)

func loadCatalogue(t testing.TB) *atlas.Catalogue {
	t.Helper()
	catalogue, err := catalogueOnce()
	if err != nil {
		t.Fatal(err)
	}
	return catalogue
}

func loadRules(t testing.TB) *Rulebook {
	t.Helper()
	rules, err := LoadRulebook()
	if err != nil {
		t.Fatal(err)
	}
	return rules
}

func usualHeart(t testing.TB) *atlas.Heart {
	t.Helper()
	heart, err := loadCatalogue(t).Heart(nil)
	if err != nil {
		t.Fatal(err)
	}
	return heart
}

// planHead is what a plan has before its bites; the first bite stands in line 5, column 5 on.
const planHead = "fairlead: 1\ncase: test\noperation: rehearsal\nbites:\n"

// planText is a plan of bites written in flow style, one a line.
func planText(bites ...string) string {
	var text strings.Builder
	text.WriteString(planHead)
	for _, b := range bites {
		text.WriteString("  - " + b + "\n")
	}
	return text.String()
}

func mustRead(t testing.TB, text string) Plan {
	t.Helper()
	plan, problems := Read("plan.yaml", []byte(text), WordsOf(loadCatalogue(t)))
	if problems != nil {
		t.Fatal(problems)
	}
	return plan
}

func mustLay(t testing.TB, plan Plan) *Laid {
	t.Helper()
	laid, problems := Lay(plan, loadCatalogue(t))
	if problems != nil {
		t.Fatal(problems)
	}
	return laid
}

func mustCheck(t testing.TB, plan Plan) *Report {
	t.Helper()
	return Check(mustLay(t, plan), loadRules(t))
}

// codePlan is a plan with everything left out that may be.
func codePlan(bites ...Bite) Plan {
	for i := range bites {
		bites[i].At = strictyaml.Position{File: "code", Line: i + 1, Column: 1}
		if bites[i].Name == "" {
			bites[i].Name = fmt.Sprint(i + 1)
		}
	}
	return Plan{File: "code", Case: "test", Operation: Rehearsal, Margins: DefaultMargins, Needle: DefaultNeedle, Spacing: Spacing{MinMM: 0, MaxMM: 50}, Bites: bites}
}

// placeAt is the place at a spot of the chart, said from the anteroseptal commissure.
func placeAt(alongMM, offMM float64) Place {
	p := Place{Way: FromLandmark, From: AnteroseptalCommissure, Toward: Clockwise, ByMM: alongMM, OffMM: offMM}
	if alongMM < 0 {
		p.Toward, p.ByMM = Anticlockwise, -alongMM
	}
	return p
}

// fromTo is a single bite from one spot of the chart to another.
func fromTo(tissue Tissue, inAlong, inOff, outAlong, outOff, depth float64) Bite {
	return Bite{Kind: Single, Tissue: tissue, In: placeAt(inAlong, inOff), Out: placeAt(outAlong, outOff), HasOut: true, DepthMM: depth, Pledget: NoPledget}
}

// going is a single bite that travels.
func going(tissue Tissue, along, off, travel, degrees, depth float64) Bite {
	return Bite{Kind: Single, Tissue: tissue, In: placeAt(along, off), TravelMM: travel, Heading: Heading{degrees}, DepthMM: depth, Pledget: NoPledget}
}

// randomHeart is a valid heart with about a third of its parameters off the usual ones.
func randomHeart(r *rand.Rand, catalogue *atlas.Catalogue) *atlas.Heart {
	for {
		var measured []atlas.Measured
		for _, p := range catalogue.Parameters() {
			if r.IntN(3) == 0 {
				value := min(max(p.Value+p.Spread*r.NormFloat64()/2, p.Least), p.Most)
				measured = append(measured, atlas.Measured{Name: p.Name, Value: value})
			}
		}
		if heart, err := catalogue.Heart(measured); err == nil {
			return heart
		}
	}
}

// randomPass is a pass a needle can take anywhere about the rim.
func randomPass(r *rand.Rand, heart *atlas.Heart) Pass {
	for {
		along, heading := heart.Rim.LengthMM()*r.Float64(), 2*math.Pi*r.Float64()
		travel := 1 + 9*r.Float64()
		in := atlas.Spot{AlongMM: along, OffMM: -6 + 16*r.Float64()}
		out := atlas.Spot{AlongMM: along + travel*math.Cos(heading), OffMM: in.OffMM + travel*math.Sin(heading)}
		pass := NewPass(heart, in, out, 0.3+3*r.Float64())
		bite := LaidBite{Passes: []Pass{pass}}
		if _, bad := bite.unsewable(0); !bad {
			return pass
		}
	}
}

// laidOn lays passes on a heart without a plan file, one bite each.
func laidOn(heart *atlas.Heart, passes ...Pass) *Laid {
	laid := &Laid{Plan: codePlan(), Heart: heart}
	for i, p := range passes {
		bite := Bite{Name: fmt.Sprint(i + 1), Kind: Single, Tissue: Rim, DepthMM: p.DepthMM, HasOut: true}
		laid.Bites = append(laid.Bites, LaidBite{Bite: bite, Passes: []Pass{p}})
	}
	return laid
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, within)
	}
}

func nearPoint(t testing.TB, what string, got, want geom.Vec, within float64) {
	t.Helper()
	if !(got.Distance(want) <= within) {
		t.Errorf("%s: got %v, want %v within %v mm", what, got, want, within)
	}
}

// ruleIDs are the rules a bite's reasons above clear name, in their order.
func ruleIDs(reasons []Reason) (ids []string) {
	for _, r := range reasons {
		if r.Level > Clear {
			ids = append(ids, r.Rule)
		}
	}
	return ids
}
