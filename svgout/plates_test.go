package svgout

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// reportOf goes the whole way from a plan's text to its report.
func reportOf(t testing.TB, file string, data []byte) *placement.Report {
	t.Helper()
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	rules, err := placement.LoadRulebook()
	if err != nil {
		t.Fatal(err)
	}
	plan, problems := placement.Read(file, data, placement.WordsOf(catalogue))
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	if plan.Contour != "" {
		if plan.ContourCSV, err = os.ReadFile(filepath.Join("../examples", plan.Contour)); err != nil {
			t.Fatal(err)
		}
	}
	laid, problems := placement.Lay(plan, catalogue)
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return placement.Check(laid, rules)
}

func atrialView(t testing.TB, report *placement.Report) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := AtrialView(&plate, report); err != nil {
		t.Fatal(err)
	}
	return plate.Bytes()
}

func examplePlans(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob("../examples/*.yaml")
	if err != nil || len(files) < 4 {
		t.Fatalf("examples: %d plans, %v", len(files), err)
	}
	return files
}

func examplePlate(t testing.TB, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return atrialView(t, reportOf(t, filepath.Base(file), data))
}

// exampleDrawings are the drawings of an example: the atrial view, and what else its plan has to show, by file name.
func exampleDrawings(t testing.TB, file string) map[string][]byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	report, name := reportOf(t, filepath.Base(file), data), strings.TrimSuffix(file, ".yaml")
	drawings := map[string][]byte{name + ".svg": atrialView(t, report)}
	if strings.HasSuffix(name, "band-three-mistakes") { // shown in every view
		for view, draw := range map[string]func(*placement.Report, Reader) (*Drawing, error){"strip": StripDrawing, "both": TwoViewDrawing, "upright": UprightDrawing, "section": sectionAtA} {
			drawings[name+"-"+view+".svg"] = drawnBy(t, draw, report, Reader{})
		}
		drawings[name+"-de.svg"] = drawnBy(t, AtrialDrawing, report, Reader{Language: german(t)})
	}
	if report.Outcome != nil {
		drawings[name+"-repair.svg"] = repairView(t, report)
	}
	if len(report.Patches) > 0 {
		drawings[name+"-template.svg"] = templateOf(t, report)
	}
	return drawings
}

func sectionAtA(report *placement.Report, reader Reader) (*Drawing, error) {
	return SectionDrawing(report, "A", reader)
}

func drawnBy(t testing.TB, draw func(*placement.Report, Reader) (*Drawing, error), report *placement.Report, reader Reader) []byte {
	t.Helper()
	drawing, err := draw(report, reader)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := WriteSVG(&out, drawing); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// The drawings beside each example are the ones its plan gives, and there are no others.
func TestExampleDrawingsAreFresh(t *testing.T) {
	drawn := map[string]bool{}
	for _, file := range examplePlans(t) {
		for golden, drawing := range exampleDrawings(t, file) {
			compareGolden(t, golden, drawing)
			drawn[golden] = true
		}
	}
	files, err := filepath.Glob("../examples/*.svg")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if !drawn[file] {
			t.Errorf("%s is the drawing of no example", file)
		}
	}
}

func compareGolden(t *testing.T, golden string, drawn []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(golden, drawn, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatalf("%v; go test ./svgout -update writes it", err)
	}
	if !bytes.Equal(want, drawn) {
		t.Errorf("%s is not what is drawn now, from byte %d on; look at both, then go test ./svgout -update", golden, firstDifference(want, drawn))
	}
}

func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

// trialPlan is a plan with a case label and bites of given names, spread over the free wall.
func trialPlan(label, heart string, names ...string) []byte {
	var p strings.Builder
	fmt.Fprintf(&p, "fairlead: 1\ncase: %q\noperation: rehearsal\n%sbites:", label, heart)
	if len(names) == 0 {
		p.WriteString(" []")
	}
	p.WriteString("\n")
	for i, name := range names {
		fmt.Fprintf(&p, "  - { name: %q, kind: single, tissue: rim, in: { segment: anterior, share: %d %% }, travel: 1 mm, heading: clockwise, depth: 0.7 mm }\n", name, 8+i*90/len(names))
	}
	return []byte(p.String())
}

// trialPlates are drawings at the edges of what plans can ask for.
func trialPlates(t testing.TB) map[string][]byte {
	t.Helper()
	many := make([]string, 24)
	for i := range many {
		many[i] = fmt.Sprint(i + 1)
	}
	plates := map[string][]byte{}
	for name, plan := range map[string][]byte{
		"no bites":     trialPlan("The heart alone (invented)", ""),
		"many bites":   trialPlan("Many bites (invented)", "", many...),
		"small heart":  trialPlan("A small rim (invented)", "heart: { rim-length: 74 mm, triangle-hinge-side: 12 mm, triangle-tendon-side: 13 mm, triangle-base-side: 12 mm }\n", "1", "2"),
		"dilated rim":  trialPlan("A dilated rim (invented)", "heart: { rim-length: 140 mm }\n", "1", "2"),
		"two leaflets": trialPlan("Two leaflets (invented)", "valve: { leaflets: 2 }\n", "1"),
		"four, cleft":  trialPlan("Four leaflets, cleft (invented)", "valve: { leaflets: 4, cleft: true, commissure-width: 6 mm }\n", "1"),
		"stretched":    trialPlan("Stretched rim (invented)", "patient: { height: 150 cm, weight: 50 kg }\nheart: { rim-length: { value: 124 mm, by: echo-3d } }\nrim: { stretch: classical }\n", "1"),
		"large ostium": trialPlan("A large ostium (invented)", "heart: { ostium-craniocaudal: 18 mm, ostium-transverse: 16 mm }\n", "1"),
	} {
		plates[name] = atrialView(t, reportOf(t, name, plan))
	}
	for _, variant := range atlas.VariantNames() {
		if variant != "discordant-connections" { // refused, with its reason
			plates[variant] = atrialView(t, reportOf(t, variant, trialPlan(variant+" (invented)", "variant: "+variant+"\n", "1", "2")))
		}
	}
	plates["hostile"] = hostilePlate(t)
	return plates
}

// hostilePlate is drawn from a report whose names no reader would have let through.
func hostilePlate(t testing.TB) []byte {
	t.Helper()
	report := reportOf(t, "hostile", trialPlan("x", "", strings.Split("abcdefghij", "")[:len(hostileNames)]...))
	for i, name := range hostileNames {
		report.Bites[i].Name = name
	}
	report.Laid.Plan.Case = strings.Join(hostileNames, " ")
	return atrialView(t, report)
}

// allPlates are the examples' and the trial drawings.
func allPlates(t testing.TB) map[string][]byte {
	t.Helper()
	plates := trialPlates(t)
	for _, file := range examplePlans(t) {
		for name, drawing := range exampleDrawings(t, file) {
			plates[name] = drawing
		}
	}
	return plates
}

// platesInkMargin is how far from the paper's edge a plate keeps its ink, mm: what office printers cannot reach.
const platesInkMargin = 5.0

func TestPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkPlates(t, allPlates(t))
}

func TestPlatesAreTheSameBytesEachTime(t *testing.T) {
	first, second := trialPlates(t), trialPlates(t)
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: two drawings of one plan differ", name)
		}
	}
}

// What the plate tells the eye it tells a reader who cannot see it.
func TestPlateDescribesItself(t *testing.T) {
	plate := string(examplePlate(t, "../examples/band-three-mistakes.yaml"))
	for _, words := range []string{`role="img"`, "Bite A, septal segment", "inside the apical half of the nodal triangle", "not a medical device"} {
		if !strings.Contains(plate, words) {
			t.Errorf("the plate does not say %q", words)
		}
	}
	if want := ">" + strings.ReplaceAll(placement.Care().String(), "'", "&#39;") + "</text>"; !strings.Contains(plate, want) {
		t.Errorf("the caution does not stand whole on the plate")
	}
}

func TestPlateNamesItsLayers(t *testing.T) {
	plate := string(examplePlate(t, "../examples/band.yaml"))
	for _, id := range []string{"anatomy", "zones", "conduction", "neighbours", "landmarks", "rim", "bites", "verdicts", "labels", "legend"} {
		if strings.Count(plate, fmt.Sprintf(`id="%s"`, id)) != 1 {
			t.Errorf("the layer %q is not there once", id)
		}
	}
}

func namesOf(plates map[string][]byte) (names []string) {
	for name := range plates {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func sheetsOf(plates map[string][]byte) (sheets [][]byte) {
	for _, name := range namesOf(plates) {
		sheets = append(sheets, plates[name])
	}
	return sheets
}

func BenchmarkAtrialView(b *testing.B) {
	data, err := os.ReadFile("../examples/replacement.yaml")
	if err != nil {
		b.Fatal(err)
	}
	report := reportOf(b, "replacement.yaml", data)
	for b.Loop() {
		atrialView(b, report)
	}
}

// checkPlates holds plates to what every plate must be: sound SVG in the strict checker, no lettering over another, and of
// a spread of them sound SVG in outside validators and the same picture in two engines with clear margins.
func checkPlates(t *testing.T, plates map[string][]byte) {
	t.Helper()
	checkDrawings(t, plates, 0.03)
}

// checkDrawings is checkPlates with the most that the two engines' pictures may differ in the mean.
func checkDrawings(t *testing.T, plates map[string][]byte, mostDifferent float64) {
	t.Helper()
	names, sheets := namesOf(plates), sheetsOf(plates)
	for i, sheet := range sheets {
		t.Run(names[i], func(t *testing.T) { svgcheck.CheckStrict(t, sheet) })
	}
	t.Run("validators", func(t *testing.T) {
		some := spread(sheets, 16)
		svgcheck.CheckXMLLint(t, some...)
		svgcheck.CheckNu(t, some...)
	})
	t.Run("engines", func(t *testing.T) {
		svgcheck.CheckPictures(t, spread(sheets, 8), platesInkMargin, mostDifferent)
	})
	t.Run("lettering", func(t *testing.T) {
		for i, boxes := range svgcheck.TextBoxes(t, sheets...) {
			for j, a := range boxes {
				for _, b := range boxes[:j] {
					if a.Overlaps(b) {
						t.Errorf("%s: %q lies over %q", names[i], a.Text, b.Text)
					}
				}
			}
		}
	})
}

// spread is at most so many sheets of a family, evenly: outside programs are slow, and within a family drawn alike.
func spread(sheets [][]byte, most int) (some [][]byte) {
	for i := 0; i < len(sheets); i += (len(sheets) + most - 1) / most {
		some = append(some, sheets[i])
	}
	return some
}
