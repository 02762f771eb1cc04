package placement

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"fairlead/atlas"
)

type lineCase struct {
	rule, name string
	text       string
	want       Level  // of the rule; clear where it does not speak
	says       string // a part of its text
}

// lineCases has for each rule for lines plans in which it speaks, and near misses in which it does not.
func lineCases(t *testing.T) []lineCase {
	around := strings.Join(roundPlaces(1.5), "\n    - ")
	onHinge := hingePlaces(0)
	outside := append(septalPlaces([2]float64{-29, 1}, [2]float64{-27, 12}), "{ around: nodal-triangle, from-lip: 2 mm }", "{ from: anteroseptal-commissure, toward: anterior, by: 3 mm, off: 3 mm }")
	heart := usualHeart(t)
	zone, _ := heart.Zone(atlas.Ostium)
	lip := zone.Outline.Centroid()
	over := septalPlaces([2]float64{-29, 1}, [2]float64{lip.X - 7, lip.Y}, [2]float64{lip.X + 7, lip.Y}, [2]float64{3, 3})
	loop := septalPlaces([2]float64{-25, 15}, [2]float64{-10, 15}, [2]float64{-10, 20}, [2]float64{-18, 20}, [2]float64{-18, 12}, [2]float64{-6, 12}, [2]float64{3, 3})
	beyond := septalPlaces([2]float64{-29, 1}, [2]float64{-27, 12}, [2]float64{-20, 22}, [2]float64{-10, 20}, [2]float64{3, 3})
	below := septalPlaces([2]float64{-20, 1}, [2]float64{-3, 1})
	atrial, ventricular, takes := "  ostium: atrial\n"+noSample, "  ostium: ventricular\n"+noSample, "  takes-in: nodal-triangle\n"
	ring := func(outer string) string { return atrial + "  prosthesis: { outer: " + outer + " }\n" }
	// The line on the usual hinge is 105.8 mm long and 29.9 mm wide; the body leads one to expect 105 mm.
	return []lineCase{
		{"line-closed", "a loop", lineText(ventricular, loop...), Avoid, "meets itself (septal segment"},
		{"line-closed", "the same without it", lineText(ventricular, outside...), Clear, ""},
		{"line-ostium", "cut, wanted above", lineText(atrial, over...), Avoid, "runs across the coronary sinus ostium, which is to lie on the atrial side: 4.4 mm of it"},
		{"line-ostium", "cut, wanted below", lineText(ventricular, over...), Avoid, "which is to lie on the ventricular side"},
		{"line-ostium", "below, wanted above", lineText(atrial, beyond...), Avoid, "leaves the coronary sinus ostium on the ventricular side"},
		{"line-ostium", "above, wanted below", lineText(ventricular, onHinge...), Avoid, "leaves the coronary sinus ostium on the atrial side"},
		{"line-ostium", "below, as chosen", lineText(ventricular, outside...), Caution, "drains below the prosthesis"},
		{"line-ostium", "above, as declared", lineText(atrial, onHinge...), Clear, ""},
		{"line-takes-in", "led round", lineText(atrial+takes, around), Clear, ""},
		{"line-takes-in", "along the hinge", lineText(atrial+takes, below...), Avoid, "of the node"},
		{"line-takes-in", "along the hinge, nothing claimed", lineText(atrial, below...), Clear, ""},
		{"line-takes-in", "through the extension", lineText(atrial+takes, septalPlaces([2]float64{-29, 1}, [2]float64{-13, 1.5}, [2]float64{-12, 9}, [2]float64{-4, 7}, [2]float64{3, 3})...), Caution, "right inferior extension"},
		{"prosthesis-length", "29 mm, 91.1 round", lineText(ring("29 mm"), onHinge...), Caution, "16 % longer than a ring of 29.0 mm is round (91.1 mm)"},
		{"prosthesis-length", "31 mm, 97.4 round", lineText(ring("31 mm"), onHinge...), Clear, ""},
		{"prosthesis-length", "36 mm, 113.1 round", lineText(ring("36 mm"), onHinge...), Caution, "6 % shorter than a ring of 36.0 mm"},
		{"prosthesis-width", "31 mm on 30", lineText(ring("31 mm"), onHinge...), Clear, ""},
		{"prosthesis-width", "33.5 mm on 30", lineText(ring("33.5 mm"), onHinge...), Caution, "wider than the seat at its narrowest"},
		{"prosthesis-body", "36 mm for 33.4", lineText(ring("36 mm"), onHinge...), Clear, ""},
		{"prosthesis-body", "37 mm for 33.4", lineText(ring("37 mm"), onHinge...), Caution, "11 % wider than a circle as long as the rim this body leads one to expect, 33.4 mm"},
		{"prosthesis-size", "31", lineText(ring("31 mm"), onHinge...), Clear, ""},
		{"prosthesis-size", "33", lineText(ring("33 mm"), onHinge...), Clear, ""},
		{"prosthesis-size", "even", lineText(ring("30 mm"), onHinge...), Caution, "no ring of 30.0 mm is among the published sizes"},
		{"prosthesis-size", "21", lineText(ring("21 mm"), onHinge...), Caution, "no ring of 21.0 mm"},
		{"prosthesis-size", "35", lineText(ring("35 mm"), onHinge...), Caution, "no ring of 35.0 mm"},
		{"line-sample", "round the triangle", lineText("  ostium: atrial\n  sample: { hearts: 20 }\n"+takes, around), Caution, "of 20 hearts like this one"},
		{"line-sample", "a hair into the leaflet", lineText("  ostium: atrial\n  depth: 0.1 mm\n  sample: { hearts: 20 }\nmargins: { conduction: 0 mm }\n", hingePlaces(-3)...), Clear, ""},
	}
}

func TestEachLineRule(t *testing.T) {
	spoke, kept := map[string]bool{}, map[string]bool{}
	for _, c := range lineCases(t) {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			line := checkLineText(t, c.text)
			var said []Reason
			for _, r := range line.Reasons {
				if r.Rule == c.rule {
					said = append(said, r)
				}
			}
			if c.want == Clear {
				kept[c.rule] = true
				if len(said) > 0 {
					t.Errorf("got %+v", said)
				}
				return
			}
			spoke[c.rule] = true
			if len(said) != 1 || said[0].Level != c.want || !strings.Contains(said[0].Text.String(), c.says) || said[0].Instead.IsZero() {
				t.Fatalf("got %+v, want %v, saying %q", said, c.want, c.says)
			}
			if line.Verdict < c.want {
				t.Errorf("verdict %v", line.Verdict)
			}
			if rule := loadRules(t).Rule(c.rule); said[0].Basis.String() != rule.Basis().String() {
				t.Errorf("basis %q, want %q", said[0].Basis, rule.Basis())
			}
		})
	}
	for _, rule := range lineRules {
		if !spoke[rule.id] || !kept[rule.id] {
			t.Errorf("rule %s lacks a plan in which it speaks (%v) or a near miss (%v)", rule.id, spoke[rule.id], kept[rule.id])
		}
	}
}

// lineCasesForBites has plans in which the rules for bites judge lines too.
func lineCasesForBites() []lineCase {
	rest := "  ostium: atrial\n" + noSample
	return []lineCase{
		{"ostium", "0.8 mm off", lineText(rest, roundPlaces(1.2)...), Caution, "within 0.8 mm of the lip"},
		{"ostium", "1.5 mm off", lineText(rest, roundPlaces(1.5)...), Clear, ""},
		{"ostium", "upon it", lineText(rest, roundPlaces(0.2)...), Avoid, "needles go through it"},
		{"apical-half", "through the node", lineText(rest, septalPlaces([2]float64{-20, 3}, [2]float64{-3, 3})...), Avoid, "inside the apical half"},
		{"basal-half", "between lip and node", lineText(rest, roundPlaces(1.5)...), Caution, "inside the basal half"},
		{"basal-half", "along the hinge", lineText(rest, hingePlaces(0)...), Clear, ""},
		{"ventricular-side", "leaflet alone", lineText("  depth: 0.8 mm\n"+rest, hingePlaces(-2)...), Caution, "takes leaflet alone"},
		{"ventricular-side", "deeper than the leaflet", lineText("  depth: 1.2 mm\n"+rest, hingePlaces(-2)...), Avoid, "where the bundle runs"},
		{"ventricular-side", "above it", lineText(rest, hingePlaces(1)...), Clear, ""},
		{"conduction-margin", "over the bundle", lineText(rest, hingePlaces(0.5)...), Avoid, "bundle"},
		{"conduction-margin", "leaflet alone", lineText("  depth: 0.8 mm\n"+rest, hingePlaces(-2)...), Clear, ""},
		{"conduction-margin", "within its uncertainty", lineText(rest, roundPlaces(1.4)...), Caution, "uncertainty"},
		{"coronary-artery", "deep", lineText("  depth: 3.5 mm\n"+rest, hingePlaces(1)...), Avoid, "right coronary artery"},
		{"coronary-artery", "shallow", lineText("  depth: 0.5 mm\n"+rest, hingePlaces(-1)...), Clear, ""},
		{"aortic-root", "high above the commissure", lineText(rest, septalPlaces([2]float64{-12, 18}, [2]float64{3, 14})...), Avoid, "aortic root"},
		{"aortic-root", "on the hinge", lineText(rest, hingePlaces(0)...), Clear, ""},
		{"spacing", "wide", lineText(rest+"  bites: { every: 12 mm, rim: { kind: single, lie: along, travel: 1 mm, depth: 0.5 mm } }\n", hingePlaces(0)...), Caution, "of line between its stitches"},
		{"spacing", "near", lineText(rest+"  bites: { every: 9 mm, rim: { kind: single, lie: across, travel: 1 mm, depth: 0.5 mm } }\n", hingePlaces(0)...), Clear, ""},
	}
}

func TestLinesAreJudgedByTheRulesForBites(t *testing.T) {
	for _, c := range lineCasesForBites() {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			level, text := Clear, ""
			for _, r := range checkLineText(t, c.text).Reasons {
				if r.Rule == c.rule {
					level, text = r.Level, r.Text.String()
				}
			}
			if level != c.want || !strings.Contains(text, c.says) {
				t.Errorf("got %v: %q, want %v saying %q", level, text, c.want, c.says)
			}
		})
	}
}

// What the two examples are there to show.
func TestLineExamples(t *testing.T) {
	around, wrong := checkFile(t, "../examples/around-the-triangle.yaml").Line, checkFile(t, "../examples/wrong-side.yaml").Line
	if around.Verdict != Caution || wrong.Verdict != Avoid {
		t.Errorf("verdicts %v and %v, want caution and avoid", around.Verdict, wrong.Verdict)
	}
	for _, s := range around.Sides {
		switch want := "ventricular side"; {
		case s.ID == string(atlas.Ostium):
			want = "atrial side"
			fallthrough
		case s.structure.Kind == atlas.Conduction || s.ID == string(atlas.ApicalHalf):
			if s.Lies() != want {
				t.Errorf("around: the %s lies on the %s", s.Label, s.Lies())
			}
		default: // the ostium lies in the basal half, and part of that with it on the atrial side
			if s.Lies() != "both sides" {
				t.Errorf("around: the %s lies on the %s", s.Label, s.Lies())
			}
		}
	}
	if !(around.Lip.MM >= DefaultMargins.OstiumMM) || !(around.Room.MM >= around.Room.WantedMM) {
		t.Errorf("lip %.2f mm, room %.2f of %.2f mm", around.Lip.MM, around.Room.MM, around.Room.WantedMM)
	}
	for _, d := range around.Distances {
		if isConduction(d.structure) && d.MM() < DefaultMargins.ConductionMM {
			t.Errorf("around: %s at %.2f mm", d.Label, d.MM())
		}
	}
	if node, _ := wrong.side("node"); node.AtrialMM < 2 {
		t.Errorf("wrong side: the node lies on the %s", node.Lies())
	}
}

// A line on other hearts of the program: whatever is malformed, stretched or small, it is judged or refused in words.
func TestLineOnEveryVariant(t *testing.T) {
	for _, variant := range append(atlas.VariantNames(), "") {
		for _, places := range [][]string{roundPlaces(1.5), hingePlaces(0)} {
			text := lineText("  ostium: atrial\n  takes-in: nodal-triangle\n  sample: { hearts: 4 }\n", places...)
			if variant != "" {
				text += "variant: " + variant + "\n"
			}
			laid, problems := Lay(mustRead(t, text), loadCatalogue(t))
			if problems != nil {
				t.Logf("%s: %s", variant, problems.Error())
				continue
			}
			report := Check(laid, loadRules(t))
			var out bytes.Buffer
			if err := report.WriteJSON(&out); err != nil {
				t.Errorf("%s: %v", variant, err)
			}
			for _, line := range strings.Split(tableOf(t, report), "\n") {
				if columns(line) > tableWidth || strings.Contains(line, "Inf") || strings.Contains(line, "NaN") {
					t.Errorf("%s: %s", variant, line)
				}
			}
		}
	}
}

func ExampleLineReport() {
	catalogue, _ := atlas.LoadCatalogue()
	rules, _ := LoadRulebook()
	plan, _ := Read("plan.yaml", []byte(`
fairlead: 1
case: Example, invented
operation: replacement
bites: []
line:
  through:
    - { segment: anterior, share: 20 %, off: 1 mm }
    - { segment: anterior, share: 80 % }
    - { segment: posterior, share: 60 % }
    - { from: triangle-base, toward: posterior, by: 8 mm, off: 1 mm }
    - { from: triangle-base, toward: posterior, by: 5 mm, off: 7 mm }
    - { around: nodal-triangle, from-lip: 1.5 mm }
    - { from: anteroseptal-commissure, toward: septal, by: 4 mm, off: 6 mm }
  ostium: atrial
  takes-in: nodal-triangle
  sample: { hearts: 0 }
`), WordsOf(catalogue))
	laid, _ := Lay(plan, catalogue)
	line := Check(laid, rules).Line
	for _, side := range line.Sides[:4] {
		fmt.Printf("%s: %s\n", side.Label, side.Lies())
	}
	// Output:
	// coronary sinus ostium: atrial side
	// bundle: ventricular side
	// bundle, entering low: ventricular side
	// node: ventricular side
}
