package placement

import (
	"math/rand/v2"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var adviceParts = []struct {
	said  *regexp.Regexp
	apply func(*Bite, float64)
}{
	{regexp.MustCompile(`([\d.]+) mm further clockwise`), func(b *Bite, mm float64) { b.shift(mm, 0) }},
	{regexp.MustCompile(`([\d.]+) mm further anticlockwise`), func(b *Bite, mm float64) { b.shift(-mm, 0) }},
	{regexp.MustCompile(`([\d.]+) mm further up the wall`), func(b *Bite, mm float64) { b.shift(0, mm) }},
	{regexp.MustCompile(`([\d.]+) mm further down, toward the leaflet`), func(b *Bite, mm float64) { b.shift(0, -mm) }},
	{regexp.MustCompile(`([\d.]+) mm deep`), func(b *Bite, mm float64) { b.DepthMM = mm }},
}

func (b *Bite) shift(alongMM, offMM float64) {
	move := func(p Place) Place {
		along := p.ByMM
		if p.Toward == Anticlockwise {
			along = -along
		}
		return placeAt(along+alongMM, p.OffMM+offMM)
	}
	b.In = move(b.In)
	if b.HasOut {
		b.Out = move(b.Out)
	}
}

// followed is a bite changed as its advice says, by a reader of the words.
func followed(t *testing.T, b Bite, instead string) Bite {
	t.Helper()
	parts := 0
	for _, part := range adviceParts {
		if found := part.said.FindStringSubmatch(instead); found != nil {
			mm, err := strconv.ParseFloat(found[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			part.apply(&b, mm)
			parts++
		}
	}
	if want := 1 + strings.Count(instead, " and "); parts != want {
		t.Fatalf("understood %d of %d parts of %q", parts, want, instead)
	}
	return b
}

// randomBite is a bite of any kind about the septal half of the rim, where most goes wrong.
func randomBite(r *rand.Rand) Bite {
	tissue := []Tissue{Wall, Rim, Leaflet}[r.IntN(3)]
	off := map[Tissue]float64{Wall: 1 + 6*r.Float64(), Rim: 2*r.Float64() - 1, Leaflet: -1 - 4*r.Float64()}[tissue]
	depth := float64(4+r.IntN(22)) / 10
	if tissue == Leaflet {
		depth = 0.3 + float64(r.IntN(12))/10
	}
	b := going(tissue, -34+45*r.Float64(), off, 3+3*r.Float64(), []float64{0, 180, 0, 25}[r.IntN(4)], depth)
	if r.IntN(3) == 0 {
		b = fromTo(tissue, b.In.ByMM, off, b.In.ByMM+3.5, off, depth)
	}
	switch r.IntN(4) {
	case 0:
		b.Kind, b.ApartMM = Mattress, 3+2*r.Float64()
	case 1:
		b.Kind, b.Passes, b.PitchMM = Running, 2+r.IntN(3), -6
	}
	return b
}

// Whoever does what the advice says, and has the plan checked anew, gets the level that was promised.
func TestAdviceKeepsItsPromise(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 23))
	promised := regexp.MustCompile(`^(.+): (clear|caution) by itself$`)
	kept, none := map[string]int{}, 0
	for range 250 {
		bite := randomBite(r)
		laid, problems := Lay(codePlan(bite), loadCatalogue(t))
		if problems != nil {
			continue
		}
		before := Check(laid, loadRules(t))
		for _, reason := range before.Bites[0].Reasons {
			switch found := promised.FindStringSubmatch(reason.Instead.String()); {
			case reason.Rule == spacingRule: // advises by itself, and only in words
			case (reason.Level > Clear) != (!reason.Instead.IsZero()):
				t.Errorf("%v with the advice %q", reason.Level, reason.Instead)
			case found != nil:
				// The changed bite must still be one that a plan may ask for and a heart may have.
				after := mustCheck(t, codePlan(followed(t, bite, found[1])))
				if got := worst(own(after.Bites[0].Reasons)); got.String() != found[2] {
					t.Errorf("%+v\nadvised %q, got %v: %+v", bite, reason.Instead, got, after.Bites[0].Reasons)
				}
				kept[found[2]]++
			case reason.Level > Clear:
				none++
				if reason.Instead.String() != "no small change clears it: choose another place" {
					t.Errorf("advice %q", reason.Instead)
				}
			}
		}
	}
	if kept["clear"] < 50 || kept["caution"] < 3 || none < 3 {
		t.Errorf("too few to tell: %v kept, %d without", kept, none)
	}
}

// own are the reasons a bite has by itself.
func own(reasons []Reason) (some []Reason) {
	for _, r := range reasons {
		if r.Rule != spacingRule {
			some = append(some, r)
		}
	}
	return some
}

// No smaller change than the one advised would do as well: every smaller one is laid and checked from its words.
func TestAdviceIsTheSmallest(t *testing.T) {
	bite := going(Wall, -4.5, 5.5, 3, 0, 1)
	report := mustCheck(t, codePlan(bite))
	advice := report.Bites[0].Reasons[0].Instead
	tried := 0
	for _, m := range moves() {
		words := m.words(&LaidBite{Bite: bite}).String()
		if strings.HasPrefix(advice.String(), words+": clear") {
			if tried == 0 {
				t.Error("the very first change would do: nothing was shown")
			}
			return
		}
		tried++
		changed := followed(t, bite, words)
		if changed.DepthMM < shallowestMM {
			continue
		}
		laid, problems := Lay(codePlan(changed), loadCatalogue(t))
		if problems == nil && Check(laid, loadRules(t)).Verdict == Clear {
			t.Errorf("%q would do, but %q is advised", words, advice)
		}
	}
	t.Errorf("advice %q is none of the changes", advice)
}

func TestClearBitesGetNoAdvice(t *testing.T) {
	for _, b := range mustCheck(t, benchPlan()).Bites {
		if b.Verdict != Clear || len(b.Reasons) > 0 {
			t.Errorf("bite %s: %v, %+v", b.Name, b.Verdict, b.Reasons)
		}
	}
}

func TestMovesAreTriedSmallestFirst(t *testing.T) {
	seen, before := map[move]bool{}, 0.0
	for _, m := range moves() {
		if m == (move{}) || seen[m] || m.alongMM != 0 && m.offMM != 0 && m.depthMM != 0 || m.size() < before {
			t.Errorf("move %+v after one of size %v", m, before)
		}
		seen[m], before = true, m.size()
	}
	// 16 + 4 + 6 single changes and every pair of two kinds.
	if want := 16 + 4 + 6 + 16*4 + 16*6 + 4*6; len(seen) != want {
		t.Errorf("%d moves, want %d", len(seen), want)
	}
}

func TestCheckIsDeterministic(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	catalogue, rules := loadCatalogue(t), loadRules(t)
	var bites []Bite
	for len(bites) < 12 {
		bite := randomBite(r)
		if _, problems := Lay(codePlan(bite), catalogue); problems == nil {
			bite.Name = ""
			bites = append(bites, bite)
		}
	}
	laid := mustLay(t, codePlan(bites...))
	first := Check(laid, rules)
	for range 5 {
		if again := Check(laid, rules); !reflect.DeepEqual(again.Bites, first.Bites) {
			t.Fatal("two checks of one plan differ")
		}
	}
}
