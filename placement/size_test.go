package placement

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"fairlead/atlas"
)

// laidExample is a plan of the examples on its heart, and its text.
func laidExample(t testing.TB, name string) (*Laid, string) {
	t.Helper()
	file := filepath.Join("../examples", name+".yaml")
	text := string(readFile(t, file))
	plan := mustRead(t, text)
	if plan.Contour != "" {
		plan.ContourCSV = readFile(t, filepath.Join(filepath.Dir(file), plan.Contour))
	}
	return mustLay(t, plan), text
}

// laidText is a plan without bites, with more keys, on its heart.
func laidText(t testing.TB, keys string) *Laid {
	t.Helper()
	return mustLay(t, mustRead(t, planOf(keys)))
}

func planOf(keys string) string {
	return "fairlead: 1\ncase: test\noperation: band\n" + keys + "\nbites: []\n"
}

func mustSize(t testing.TB, laid *Laid, options SizeOptions) *Sizing {
	t.Helper()
	s, err := SizeFor(laid, loadCatalogue(t), loadRules(t), options)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func aimOf(t testing.TB, s *Sizing, aim Aim) *Sized {
	t.Helper()
	for i := range s.Aims {
		if s.Aims[i].Aim == aim {
			return &s.Aims[i]
		}
	}
	t.Fatalf("no aim %s", aim)
	return nil
}

// dilated are hearts with something to take.
var dilated = []string{
	"heart: { rim-length: 125 mm, septal-segment: 30.2 mm }",
	"patient: { height: 172 cm, weight: 74 kg }\nheart: { rim-length: 138 mm }\nrim: { stretch: classical }",
	"patient: { height: 160 cm, weight: 60 kg }\nheart: { rim-length: 128 mm }\nrim: { stretch: operative }",
	"patient: { height: 104 cm, weight: 17 kg }\nheart: { rim-length: 78 mm }\nrim: { stretch: uniform }\nneedle: { width: 0.45 mm, thread: 0.2 mm }\nspacing: { least: 0.4 mm }",
}

// sizingsOnce sizes those hearts for every form: it takes longer than the tests that look at the answers.
var sizingsOnce = sync.OnceValues(func() (map[string]*Sizing, error) {
	catalogue, err := catalogueOnce()
	if err != nil {
		return nil, err
	}
	rules, err := LoadRulebook()
	if err != nil {
		return nil, err
	}
	sizings := map[string]*Sizing{}
	for i, keys := range dilated {
		plan, problems := Read("plan.yaml", []byte(planOf(keys)), WordsOf(catalogue))
		if err := problems.Err(); err != nil {
			return nil, err
		}
		laid, problems := Lay(plan, catalogue)
		if err := problems.Err(); err != nil {
			return nil, err
		}
		for _, form := range SizeForms() {
			if sizings[fmt.Sprintf("%s %d", form, i)], err = SizeFor(laid, catalogue, rules, SizeOptions{Form: form}); err != nil {
				return nil, err
			}
		}
	}
	return sizings, nil
})

// eachSizing looks at every aim of every sizing that takes anything.
func eachSizing(t *testing.T, look func(t *testing.T, s *Sizing, a *Sized)) {
	t.Helper()
	sizings, err := sizingsOnce()
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range sizings {
		reached := 0
		for i := range s.Aims {
			if a := &s.Aims[i]; a.Without == "" {
				t.Run(fmt.Sprintf("%s %s", name, a.Aim), func(t *testing.T) { look(t, s, a) })
				reached++
			}
		}
		if reached < 3 {
			t.Errorf("%s: only %d aims take anything", name, reached)
		}
	}
}

// The ratio of free wall to septal segment of Antoniali 2006 (2.43, doi 10.1590/S0102-76382006000300005) on the septal
// length its own bands imply, 30.2 mm, is the band of Antoniali 2007 (73.4 mm in 11 patients, doi
// 10.1590/S0102-76382007000400004); both read in the abstracts.
func TestRatioGivesThePublishedBand(t *testing.T) {
	s := mustSize(t, laidText(t, dilated[0]), SizeOptions{Aim: ToRatio})
	after := s.Chosen.Report.Outcome.After
	near(t, "septal segment", after.SeptalMM, 30.2, 0.01)
	near(t, "free wall", after.AnteriorMM+after.PosteriorMM, 73.4, 0.15)
	near(t, "ratio", after.FreeToSeptal, 2.43, 0.005)
	if !strings.Contains(s.Chosen.Goal, "73.4") {
		t.Errorf("the goal is %q", s.Chosen.Goal)
	}
	// In intact hearts of the 2006 series a septal segment of 30.6 ± 3.7 mm went with a free wall of 74 ± 9.4 mm.
	near(t, "ratio of the published means", 2.43*30.6, 74, 9.4/math.Sqrt(30))
}

// flatCircle is a circle in a plane as a contour, its septal segment a quarter of it.
func flatCircle(t testing.TB, radiusMM float64) *Laid {
	t.Helper()
	var csv strings.Builder
	csv.WriteString("x,y,z,landmark\n")
	const points = 80
	for i := range points {
		// Clockwise seen from +z, the anteroseptal commissure at the lower left: anterior to the top right, posterior to
		// the lower right.
		angle := math.Pi * (1.25 - 2*float64(i)/points)
		mark := map[int]string{0: "anteroseptal", 32: "anteroposterior", 60: "posteroseptal"}[i]
		fmt.Fprintf(&csv, "%.6f,%.6f,0,%s\n", radiusMM*math.Cos(angle), radiusMM*math.Sin(angle), mark)
	}
	plan := mustRead(t, "fairlead: 1\ncase: test\noperation: band\nrim: { contour: circle.csv }\nbites: []\n")
	plan.ContourCSV = []byte(csv.String())
	return mustLay(t, plan)
}

// No closed line of a length encloses more than the circle (the isoperimetric inequality), and a circle that is drawn
// together evenly but for a quarter stays nearly one: its length for an area is known to a hundredth.
func TestAreaOfACircle(t *testing.T) {
	const radius = 21
	laid := flatCircle(t, radius)
	near(t, "area before", laid.Heart.Rim.Sizes().AreaMM2, math.Pi*radius*radius, 0.5)
	for _, want := range []float64{1250, 1100, 1000, 900} {
		s := mustSize(t, laid, SizeOptions{AreaMM2: want, Aim: ToArea})
		after := s.Chosen.Report.Outcome.After
		near(t, "area", after.AreaMM2, want, 2.5) // marks of 0.1 mm on the device: half of one is 0.05·√(area/π) mm2
		circle := 2 * math.Sqrt(math.Pi*after.AreaMM2)
		if after.LengthMM < circle-0.02 || after.LengthMM > 1.01*circle {
			t.Errorf("area %.1f: the rim is %.2f mm long, a circle would be %.2f mm", after.AreaMM2, after.LengthMM, circle)
		}
	}
}

// What each aim takes it takes: the rim it lays has the length, the ratio or the area that was aimed at, by the marks
// that a device can have.
func TestAimsAreReached(t *testing.T) {
	eachSizing(t, func(t *testing.T, s *Sizing, a *Sized) {
		after := a.Report.Outcome.After
		switch a.Aim {
		case ToBody:
			near(t, "rim", after.LengthMM, s.LengthMM.Value, 0.15)
		case ToRatio:
			near(t, "free wall over septal segment", after.FreeToSeptal, 2.43, 0.01)
		case ToArea:
			near(t, "area", after.AreaMM2, s.AreaMM2.Value, 0.004*s.AreaMM2.Value)
		case ToLeast:
			near(t, "share of the area", 100*after.AreaMM2/s.AreaMM2.Value, 67.2, 0.4)
		}
		near(t, "taken", s.Now.LengthMM-after.LengthMM, a.TakesMM.Sum(), 0.15)
	})
}

// Nothing is lengthened, the septal segment gives nothing, the posterior one gives the largest share by the classical
// pattern, and the proposal is clear of the conduction axis.
func TestProposalsKeepThePromises(t *testing.T) {
	eachSizing(t, func(t *testing.T, s *Sizing, a *Sized) {
		o := a.Report.Outcome
		near(t, "septal", o.After.SeptalMM, o.Before.SeptalMM, 0.011)
		anterior, posterior := percentLess(o.Before.AnteriorMM, o.After.AnteriorMM), percentLess(o.Before.PosteriorMM, o.After.PosteriorMM)
		if anterior < 0 || posterior < 0 || s.Pattern.Name == "classical" && posterior < anterior {
			t.Errorf("%.1f %% anterior, %.1f %% posterior", anterior, posterior)
		}
		for _, i := range o.Intervals {
			if i.AfterMM > i.BeforeMM || i.LessPercent() > 50 {
				t.Errorf("from %.2f to %.2f mm", i.BeforeMM, i.AfterMM)
			}
		}
		for _, b := range a.Bites {
			for _, r := range b.Reasons {
				if r.Rule != "coronary-artery" && r.Level > Clear {
					t.Errorf("bite %s: %s", b.Name, r.Text)
				}
			}
			if low, high := alongRange(b.Passes); low < 0 || high > triangleBegins(s.Laid.Heart)-s.Laid.Plan.Margins.ConductionMM {
				t.Errorf("bite %s lies from %.1f to %.1f mm, the triangle begins at %.1f mm", b.Name, low, high, triangleBegins(s.Laid.Heart))
			}
		}
	})
}

func triangleBegins(heart *atlas.Heart) float64 { return heart.Rim.Wrap(heart.Triangle.Hinge.AlongMM) }

// What is taken follows the pattern the plan says its rim was stretched in, or the classical one.
func TestSizeFollowsThePlansPattern(t *testing.T) {
	for i, want := range []string{"classical", "classical", "operative", "uniform"} {
		s := mustSize(t, laidText(t, dilated[i]), SizeOptions{})
		if s.Pattern.Name != want {
			t.Errorf("%q: %s", dilated[i], s.Pattern.Name)
		}
		a := aimOf(t, s, ToBody)
		// The stretches undone are in the pattern's proportion.
		posterior, anterior := s.Now.PosteriorMM/(s.Now.PosteriorMM-a.TakesMM.Posterior)-1, s.Now.AnteriorMM/(s.Now.AnteriorMM-a.TakesMM.Anterior)-1
		near(t, want, posterior*s.Pattern.Stretch.Anterior, anterior*s.Pattern.Stretch.Posterior, 1e-9)
	}
}

// Smaller areas ask for shorter devices that take no less of any segment.
func TestSmallerAreaShorterDevice(t *testing.T) {
	laid, _ := laidExample(t, "dilated")
	for _, form := range SizeForms() {
		var before *Sized
		for area := 1380.0; area > 700; area -= 80 {
			a := mustSize(t, laid, SizeOptions{AreaMM2: area, Aim: ToArea, Form: form}).Chosen
			if before != nil && (a.TakesMM.Sum() <= before.TakesMM.Sum() || a.TakesMM.Posterior < before.TakesMM.Posterior || a.TakesMM.Anterior < before.TakesMM.Anterior) {
				t.Errorf("%s, %.0f mm2: takes %+v after %+v", form, area, a.TakesMM, before.TakesMM)
			}
			// A band of other bites begins and ends elsewhere by the tenths that places are said to.
			if before != nil && a.DeviceMM > before.DeviceMM+0.1 {
				t.Errorf("%s, %.0f mm2: %.1f mm after %.1f mm", form, area, a.DeviceMM, before.DeviceMM)
			}
			before = a
		}
	}
}

// What is printed to be pasted reads, lays and checks in the plan it was made for, and does there what was said.
func TestProposalsCanBePasted(t *testing.T) {
	for _, name := range []string{"dilated", "child"} {
		laid, text := laidExample(t, name)
		head := text[:strings.Index(text, "\nbites:")+1]
		for _, form := range SizeForms() {
			for _, a := range mustSize(t, laid, SizeOptions{Form: form}).Aims {
				if a.Without != "" {
					t.Errorf("%s: %s", name, a.Without)
					continue
				}
				plan := mustRead(t, head+a.Text)
				plan.ContourCSV = laid.Plan.ContourCSV
				report := mustCheck(t, plan)
				for i, size := range report.Outcome.Sizes() {
					if said := a.Report.Outcome.Sizes()[i]; size.After != said.After {
						t.Errorf("%s, %s: %s becomes %v, not %v", name, a.Aim, size.Name, size.After, said.After)
					}
				}
				if report.Verdict != a.Report.Verdict || report.Verdict == Avoid {
					t.Errorf("%s, %s: %s, said to be %s", name, a.Aim, report.Verdict, a.Report.Verdict)
				}
			}
		}
	}
}

func TestAsManyBitesAsAskedFor(t *testing.T) {
	laid, _ := laidExample(t, "dilated")
	for _, form := range SizeForms() {
		for bites := leastBites; bites <= 12; bites += 2 {
			s := mustSize(t, laid, SizeOptions{Form: form, Bites: bites})
			stitches := 0
			for _, b := range s.Chosen.Bites {
				stitches += len(b.Passes)
			}
			if stitches != bites {
				t.Errorf("%s: %d bites of %d", form, stitches, bites)
			}
		}
	}
}

func TestSizeRefuses(t *testing.T) {
	wide, _ := laidExample(t, "dilated")
	usual := laidText(t, "")
	for _, c := range []struct {
		laid    *Laid
		options SizeOptions
		want    []string
	}{
		{wide, SizeOptions{Aim: "perfect"}, []string{`"perfect"`, "body, ratio, area or least"}},
		{wide, SizeOptions{Form: Replacement}, []string{`"replacement"`, "band, ring or purse-string"}},
		{wide, SizeOptions{AreaMM2: 9}, []string{"9 mm2", "50 to 5000 mm2", "1 cm2 is 100 mm2"}},
		{wide, SizeOptions{AreaMM2: math.NaN()}, []string{"NaN"}},
		{wide, SizeOptions{AreaMM2: -900}, []string{"-900 mm2"}},
		{wide, SizeOptions{Bites: 3}, []string{"3 bites", "4 to 60"}},
		{wide, SizeOptions{Bites: 40}, []string{"40 bites of 5.5 mm", "ask for at most"}},
		{wide, SizeOptions{Aim: ToArea, AreaMM2: 1500}, []string{"nothing to take", "1405.7 mm2", "1500.0 mm2"}},
		{wide, SizeOptions{Aim: ToArea, AreaMM2: 300}, []string{"50 %", "the area is"}},
		{usual, SizeOptions{Aim: ToBody}, []string{"nothing to take: the rim, 105.8 mm, is within 1 % of 105.0 mm"}},
		{usual, SizeOptions{Aim: ToArea}, []string{"nothing to take: the area, 846.8 mm2, is not larger than 860.0 mm2"}},
		{laidText(t, "spacing: { least: 45 mm, most: 50 mm }\nheart: { rim-length: 130 mm }"), SizeOptions{}, []string{"do not fit", "spacing: least"}},
	} {
		_, err := SizeFor(c.laid, loadCatalogue(t), loadRules(t), c.options)
		if err == nil {
			t.Errorf("%+v: no error", c.options)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%+v: %q does not say %q", c.options, err, want)
			}
		}
	}
	if s := mustSize(t, usual, SizeOptions{}); s.Chosen != nil || !strings.Contains(sizeTable(t, s), "There is nothing to take") {
		t.Errorf("the usual heart: %+v", s.Chosen)
	}
}

// Three times the free wall cannot be had by taking half of it.
func TestSizeSaysWhatIsImpossible(t *testing.T) {
	laid := laidText(t, "patient: { height: 172 cm, weight: 74 kg }\nheart: { rim-length: 240 mm }\nrim: { stretch: classical }")
	s := mustSize(t, laid, SizeOptions{})
	a := aimOf(t, s, ToRatio)
	if !a.Impossible || !strings.Contains(a.Without, "mm are to be taken from the free wall, but it can give") || !strings.Contains(a.Without, "bunching, 50 %") {
		t.Errorf("got %q", a.Without)
	}
	if table := sizeTable(t, s); !strings.Contains(table, "ratio  cannot be had") {
		t.Errorf("the table does not say so:\n%s", table)
	}
}

// Where the posterior segment gives all it may, the anterior gives the rest, and no mark on the device asks for more.
func TestSizeKeepsToTheBound(t *testing.T) {
	laid, _ := laidExample(t, "dilated")
	for _, form := range SizeForms() {
		for _, area := range []float64{640, 600} {
			s := mustSize(t, laid, SizeOptions{AreaMM2: area, Aim: ToArea, Form: form})
			if len(s.Chosen.Limited) != 1 || s.Chosen.Limited[0] != Posterior || !strings.Contains(strings.Join(s.costs(s.Chosen), "; "), "the posterior segment gives all that it may") {
				t.Errorf("%s, %g mm2: limited %v", form, area, s.Chosen.Limited)
			}
			for _, i := range s.Chosen.Report.Outcome.Intervals {
				if i.LessPercent() > 50 {
					t.Errorf("%s, %g mm2: from %.3f to %.3f mm", form, area, i.BeforeMM, i.AfterMM)
				}
			}
		}
	}
}

func sizeTable(t testing.TB, s *Sizing) string {
	t.Helper()
	var out bytes.Buffer
	if err := s.WriteTable(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func jsonOfSizing(t testing.TB, s *Sizing) (text string, doc map[string]any) {
	t.Helper()
	var out bytes.Buffer
	if err := s.WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	return out.String(), doc
}

// The table keeps its width, ends with the caution, and names what everything in it rests on.
func TestSizeTable(t *testing.T) {
	for _, name := range []string{"dilated", "child", "band"} {
		laid, _ := laidExample(t, name)
		for _, form := range SizeForms() {
			s := mustSize(t, laid, SizeOptions{Form: form})
			table := sizeTable(t, s)
			for _, line := range strings.Split(table, "\n") {
				if columns(line) > tableWidth || line != strings.TrimRight(line, " ") {
					t.Errorf("%s, %s: %d columns: %q", name, form, columns(line), line)
				}
			}
			words := strings.Join(strings.Fields(table), " ")
			if !strings.HasSuffix(words, Care().String()) {
				t.Errorf("%s: does not end with the caution", name)
			}
			for _, want := range []string{"Antoniali 2006, doi 10.1590/S0102-76382006000300005", "quoted by a secondary text: classical-teaching", "common practice", "[assumption]", s.LengthMM.By, s.AreaMM2.By} {
				if !strings.Contains(words, want) {
					t.Errorf("%s: does not say %q", name, want)
				}
			}
			if z := s.Now.scoreOf("rim-area"); z != nil && !strings.Contains(words, "z: of the area, by "+z.By.String()) {
				t.Errorf("%s: z without its dataset", name)
			}
		}
	}
}

func TestSizeJSON(t *testing.T) {
	laid, _ := laidExample(t, "dilated")
	s := mustSize(t, laid, SizeOptions{Aim: ToRatio, Form: Ring})
	text, doc := jsonOfSizing(t, s)
	if doc["format"] != SizingFormat || doc["device"] != "ring" || doc["care"] != Care().String() || len(doc["aims"].([]any)) != len(Aims()) {
		t.Errorf("got %.300s", text)
	}
	proposal := doc["proposal"].(map[string]any)
	if proposal["aim"] != "ratio" || proposal["text"] != s.Chosen.Text || len(proposal["bites"].([]any)) != len(s.Chosen.Bites) {
		t.Errorf("got %v", proposal)
	}
	sum := 0.0
	for _, bite := range proposal["bites"].([]any) {
		sum += bite.(map[string]any)["next_on_device_mm"].(float64)
	}
	near(t, "round the ring", sum, doc["aims"].([]any)[1].(map[string]any)["device_mm"].(float64), 1e-6)
	if _, doc = jsonOfSizing(t, mustSize(t, laidText(t, ""), SizeOptions{})); doc["proposal"] != nil {
		t.Errorf("nothing to take, but proposed: %v", doc["proposal"])
	}
}

func TestSizeIsDeterministic(t *testing.T) {
	for _, name := range []string{"dilated", "child"} {
		first, _ := laidExample(t, name)
		again, _ := laidExample(t, name)
		one, other := mustSize(t, first, SizeOptions{}), mustSize(t, again, SizeOptions{})
		oneJSON, _ := jsonOfSizing(t, one)
		otherJSON, _ := jsonOfSizing(t, other)
		if sizeTable(t, one) != sizeTable(t, other) || oneJSON != otherJSON {
			t.Errorf("%s: twice the same plan, not the same bytes", name)
		}
	}
}

// Whatever the heart and whatever is asked for: an answer or an error, and what is answered checks as a plan.
func TestSizeOfAnyHeart(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	catalogue := loadCatalogue(t)
	answered := 0
	for range 40 {
		heart := randomHeart(r, catalogue)
		laid := &Laid{Plan: codePlan(), Heart: heart, catalogue: catalogue}
		options := SizeOptions{Form: SizeForms()[r.IntN(3)]}
		if r.IntN(2) == 0 {
			options.Bites = leastBites + r.IntN(20)
		}
		if r.IntN(2) == 0 {
			options.AreaMM2 = 200 + 1000*r.Float64()
		}
		s, err := SizeFor(laid, catalogue, loadRules(t), options)
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without words")
			}
			continue
		}
		for _, a := range s.Aims {
			if a.Without == "" {
				answered++
				near(t, string(a.Aim)+": septal", a.Report.Outcome.After.SeptalMM, s.Now.SeptalMM, 0.011)
			}
		}
	}
	if answered < 20 {
		t.Errorf("only %d answers", answered)
	}
}

// Malformed hearts are sized by the same rules; none of their bites comes near the axis, wherever it runs.
func TestSizeOfMalformedHearts(t *testing.T) {
	for _, variant := range atlas.VariantNames() {
		plan := mustRead(t, "fairlead: 1\ncase: test\noperation: band\nvariant: "+variant+"\nheart: { rim-length: 130 mm }\nrim: { stretch: classical }\nbites: []\n")
		laid, problems := Lay(plan, loadCatalogue(t))
		if problems != nil {
			t.Logf("%s: %v", variant, problems)
			continue
		}
		s, err := SizeFor(laid, loadCatalogue(t), loadRules(t), SizeOptions{})
		if err != nil {
			t.Logf("%s: %v", variant, err)
			continue
		}
		for _, b := range s.Chosen.Bites {
			for _, r := range b.Reasons {
				if r.Level == Avoid {
					t.Errorf("%s: bite %s %s", variant, b.Name, r.Text)
				}
			}
		}
	}
}

func TestSizeFiguresFitTheCode(t *testing.T) {
	good := string(sizeYAML)
	if _, err := readSizeFigures([]byte(good)); err != nil {
		t.Fatal(err)
	}
	for what, bad := range map[string]string{
		`no "worth-taking"`: strings.Replace(good, "name: worth-taking", "name: worth-keeping", 1),
		"but the code asks": good + "  - { name: more, label: more, value: 1, unit: mm, grade: assumption }\n",
		"cites":             strings.Replace(good, "grade: assumption", "grade: abstract", 1),
		"unit":              strings.Replace(good, "unit: mm", "unit: cm", 1),
	} {
		if _, err := readSizeFigures([]byte(bad)); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: got %v", what, err)
		}
	}
}

func ExampleSizeFor() {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		fmt.Println(err)
		return
	}
	rules, err := LoadRulebook()
	if err != nil {
		fmt.Println(err)
		return
	}
	const text = "fairlead: 1\ncase: Example, invented\noperation: band\nheart: { rim-length: 125 mm, septal-segment: 30.2 mm }\nbites: []\n"
	plan, problems := Read("plan.yaml", []byte(text), WordsOf(catalogue))
	if problems != nil {
		fmt.Println(problems)
		return
	}
	laid, problems := Lay(plan, catalogue)
	if problems != nil {
		fmt.Println(problems)
		return
	}
	sizing, err := SizeFor(laid, catalogue, rules, SizeOptions{Aim: ToRatio})
	if err != nil {
		fmt.Println(err)
		return
	}
	a := sizing.Chosen
	fmt.Printf("%s: takes %.0f mm of the posterior and %.0f mm of the anterior segment\n", a.Goal, a.TakesMM.Posterior, a.TakesMM.Anterior)
	// Output: free wall 2.43 times the septal segment: 73.4 mm: takes 13 mm of the posterior and 8 mm of the anterior segment
}
