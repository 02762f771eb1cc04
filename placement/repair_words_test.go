package placement

import (
	"regexp"
	"strings"
	"testing"

	"fairlead/atlas/words"
)

// eachLanguage runs a check in every language there is.
func eachLanguage(t *testing.T, check func(t *testing.T, language *words.Language)) {
	t.Helper()
	for _, tag := range words.Tags() {
		language, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(tag, func(t *testing.T) { check(t, language) })
	}
}

// englishNumber is a number with the point that only English sets.
var englishNumber = regexp.MustCompile(`[0-9]\.[0-9]`)

// wellSaid tells whether a text lacks nothing: no message, no blank, and no number of another language's.
func wellSaid(language *words.Language, text string) bool {
	return text != "" && !strings.ContainsAny(text, "⟦{}|") && !strings.Contains(text, "mm2") && (language.Tag() == "en" || !englishNumber.MatchString(text))
}

// shortReason is the measurement of an English reason, without its commentary: what stands before the first of these.
func shortReason(text string) string {
	for _, end := range []string{";", " (", ", where", ", little", ", within", ", on the"} {
		text, _, _ = strings.Cut(text, end)
	}
	return text
}

// saidWell holds reasons against every language: each can say them, and their gist begins what they say; in English it
// ends where the commentary begins.
func saidWell(t *testing.T, reasons []Reason) {
	t.Helper()
	eachLanguage(t, func(t *testing.T, language *words.Language) {
		for _, r := range reasons {
			text, gist := language.Say(r.Text), language.Gist(r.Text)
			if !wellSaid(language, text) || gist == "" || !strings.HasPrefix(text, gist) {
				t.Errorf("%s says %q, in short %q", r.Rule, text, gist)
			}
			if language.Tag() == "en" && gist != shortReason(text) {
				t.Errorf("%s says in short %q, want %q", r.Rule, gist, shortReason(text))
			}
			if instead := language.Say(r.Instead); !r.Instead.IsZero() && !wellSaid(language, instead) {
				t.Errorf("%s: instead %q", r.Rule, instead)
			}
		}
	})
}

// What the rules find of the examples' repairs and patches, and what drawings call their parts, is said in every
// language.
func TestRepairsAndPatchesOfTheExamplesAreSaid(t *testing.T) {
	repairs, patches := 0, 0
	for _, file := range exampleFiles(t) {
		report := checkFile(t, file)
		labels := []words.Said{}
		if report.Laid.Heart.Body.SurfaceM2 > 0 {
			labels = append(labels, report.Laid.Heart.Body.Label)
		}
		if o := report.Outcome; o != nil {
			repairs++
			saidWell(t, o.Reasons)
			labels = append(labels, labelsOf(o)...)
		}
		for _, p := range report.Patches {
			patches++
			saidWell(t, p.Reasons)
			for _, side := range p.Sides {
				labels = append(labels, side.Said())
			}
		}
		eachLanguage(t, func(t *testing.T, language *words.Language) {
			for _, label := range labels {
				if text := language.Say(label); !wellSaid(language, text) {
					t.Errorf("%s: %q", file, text)
				}
			}
		})
	}
	if repairs < 3 || patches < 2 {
		t.Errorf("%d repairs and %d patches", repairs, patches)
	}
}

// What a patch that is too large or too hollow is found to be is said, and so are all its sides.
func TestPatchesAreSaid(t *testing.T) {
	laid := checkFile(t, "../examples/patch-template.yaml").Laid
	rules := loadRules(t)
	for figure := range rules.Rule("patch-distortion").Figures {
		rules.Rule("patch-distortion").Figures[figure] = -1 // each patch is worse
	}
	report := Check(laid, rules)
	if got := len(report.Patches[0].Reasons); got < 2 {
		t.Errorf("%d reasons", got)
	}
	saidWell(t, report.Patches[0].Reasons)
	eachLanguage(t, func(t *testing.T, language *words.Language) {
		for _, name := range []string{"edge", "line", hingeSide, "free edge"} {
			if text := language.Say(PatchSide{Name: name}.Said()); !wellSaid(language, text) {
				t.Errorf("side %s is %q", name, text)
			}
		}
	})
}

// labelsOf are what an outcome calls its sizes, leaflets and stretches, and whose figures it is held against.
func labelsOf(o *Outcome) (labels []words.Said) {
	labels = append(labels, o.Predicted.By)
	for _, s := range o.Sizes() {
		labels = append(labels, s.Label)
		if s.ZAfter != nil {
			labels = append(labels, s.ZAfter.By)
		}
	}
	for _, c := range o.Leaflets {
		labels = append(labels, c.Short())
	}
	for _, i := range o.Intervals {
		labels = append(labels, i.Said())
	}
	if o.Mirror != nil {
		labels = append(labels, o.Mirror.said())
	}
	return labels
}

// What no example has is said too: parted leaflets, whole segments and commissures, bodies unknown or without areas.
func TestOutcomesAreSaid(t *testing.T) {
	parted := repairing(nil, RepairStep{Kind: NewCommissure, Border: placeAt(15, 0)}, RepairStep{Kind: NewCommissure, Border: placeAt(7, 0)}, folded(Posterior, 5),
		RepairStep{Kind: FoldRim, Fold: Fold{Commissure: AnteroposteriorCommissure, TakeMM: 2}})
	noArea := repairing([]Bite{row(10, 7, 8)}, tied(45))
	noArea.Patient = Patient{SurfaceM2: 1.2, Dataset: "pettersen-2008"}
	for _, plan := range []Plan{parted, noArea, rigidBandPlan(t)} {
		labels := labelsOf(outcomeFor(t, plan))
		eachLanguage(t, func(t *testing.T, language *words.Language) {
			for _, label := range labels {
				if text := language.Say(label); !wellSaid(language, text) {
					t.Errorf("%q", text)
				}
			}
		})
	}
	for i, want := range []string{"first first anterior", "second first anterior", "second anterior", "posterior"} {
		if c := outcomeFor(t, parted).Leaflets[i]; c.Short().String() != want || c.Name != want {
			t.Errorf("leaflet %d is %q, called %q; want %q", i, c.Name, c.Short(), want)
		}
	}
	for i, want := range []string{"posterior segment", "anteroposterior commissure"} {
		if got := outcomeFor(t, parted).Intervals[i].Said().String(); got != want {
			t.Errorf("interval %d is %q, want %q", i, got, want)
		}
	}
	if by := outcomeFor(t, noArea).Predicted.By.String(); by != "this atlas, as Pettersen 2008 predicts no area" {
		t.Errorf("predicted by %q", by)
	}
	if one := outcomeFor(t, noArea).Intervals[0].Said().String(); one != "1" {
		t.Errorf("the row is called %q", one)
	}
}
