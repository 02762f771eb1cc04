package placement

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// saidOf is all that a report of bites and lines has to say.
func saidOf(r *Report) (all []words.Said) {
	add := func(said ...words.Said) { all = append(all, said...) }
	reasons := func(reasons []Reason) {
		for _, r := range reasons {
			add(r.Text, r.Instead, r.Basis)
		}
	}
	for _, b := range r.Bites {
		add(b.Where, b.Nearest.Label, b.Kind.Said(), b.Tissue.Said(), b.Verdict.Said())
		reasons(b.Reasons)
	}
	if l := r.Line; l != nil {
		reasons(l.Reasons)
		for _, c := range l.Crossings {
			add(c.Of.Said(), c.Where)
		}
		for _, s := range l.Sides {
			add(s.Label, s.LiesSaid())
		}
		for _, d := range l.Distances {
			add(d.Label, d.Where)
		}
		if l.Lip != nil {
			add(l.Lip.Where)
		}
		if l.Room != nil {
			add(l.Room.To)
		}
		if l.Sample != nil {
			add(l.Sample.WhyNone)
			for _, d := range l.Sample.Distances {
				add(d.Label)
			}
		}
	}
	return all
}

// saidInTests is what every case of the rules' tests has to say, and what no plan leads to by itself.
func saidInTests(t *testing.T) (all []words.Said) {
	for _, file := range exampleFiles(t) {
		all = append(all, saidOf(checkFile(t, file))...)
	}
	for _, c := range ruleCases(t) {
		all = append(all, saidOf(mustCheck(t, c.plan))...)
	}
	for _, c := range append(lineCases(t), lineCasesForBites()...) {
		if c.want > Clear {
			all = append(all, saidOf(mustCheck(t, mustRead(t, c.text)))...)
		}
	}
	for _, plan := range []Plan{
		quiet(fromTo(Wall, 1, 2, -1, 2, 1.5)),                                 // anchored in the fibrous body
		keeping(Margins{CoronaryMM: 20}, quiet(going(Rim, 57, 0, 4, 0, 1.2))), // no small change clears it
		spaced(0.5, 10, quiet(running(20, 0, 3, 3.85, 4))),
		spaced(0.5, 5, quiet(running(20, 0, 3, 8.2, 3))),
		spaced(0.5, 10, quiet(going(Rim, 20, 0, 4, 0, 1), going(Rim, 34.1, 0, 4, 0, 1))),
		codePlan(going(Leaflet, 20, -2, 4, 0, 0.9)),
		mustRead(t, lineText("  ostium: atrial\n"+noSample+"  bites: { every: 12 mm, rim: { kind: single, lie: along, travel: 4 mm, depth: 1.5 mm } }\n", hingePlaces(0)...)),
	} {
		all = append(all, saidOf(mustCheck(t, plan))...)
	}
	return append(append(all, saidOfDistances(t)...), saidOfSamples(t)...)
}

// saidOfDistances is what the rules say of distances no plan is at hand for, and of every way to move a bite.
func saidOfDistances(t *testing.T) (all []words.Said) {
	for _, mm := range []float64{-1, 1, 2.5} {
		under := axisAt(t, map[string]float64{"node": mm, "right-coronary": mm, "aortic-root": mm})
		for _, judge := range []func(*examined) (Level, words.Said){conductionMargin, coronaryArtery, aorticRoot} {
			_, text := judge(under)
			all = append(all, text)
		}
		line := &examinedLine{examiner: under.examiner}
		for i := range under.obstacles {
			d := LineDistance{structure: under.obstacles[i].Structure, Label: under.clearances[i].Label, SurfaceMM: mm, DeepMM: mm}
			all = append(all, line.awayFrom(d, Avoid))
		}
	}
	for _, p := range []float64{0, 0.01, 0.5, 1} {
		all = append(all, inHundred(p))
	}
	for _, m := range moves() {
		all = append(all, m.words(&LaidBite{Bite: Bite{DepthMM: 2.5}}))
	}
	return all
}

// saidOfSamples is what is said of every way in which hearts like this one go wrong, and where there are none.
func saidOfSamples(t *testing.T) (all []words.Said) {
	e := newExaminer(laidOn(usualHeart(t)), loadRules(t))
	for _, s := range []SampleReport{
		{Hearts: 100, Wrong: 40, AxisNear: 12, ArteryNear: 13, AxisWrong: 14, OstiumWrong: 15, Unsewable: 16, LittleRoom: 17},
		{Hearts: 100, Wrong: 8, ArteryNear: 8},
	} {
		x := &examinedLine{e, &LineReport{Sample: &s}}
		x.hearts()
		all = append(all, x.Reasons[0].Text, x.Reasons[0].Instead)
	}
	for _, line := range []LaidLine{{Line: Line{Sample: LineSample{Hearts: 9}}}, {population: &atlas.Population{}}} {
		x := &examinedLine{e, &LineReport{Sample: line.sample(e.plan)}}
		x.hearts()
		all = append(all, x.Reasons[0].Text, x.Reasons[0].Instead, x.Sample.WhyNone)
	}
	return all
}

var figures = regexp.MustCompile(`\d+(?:[.,]\d+)?`)

// figuresIn are the figures of a text, in order of their digits and with a point.
func figuresIn(text string) []string {
	found := figures.FindAllString(strings.ReplaceAll(text, ",", "."), -1)
	slices.Sort(found)
	return found
}

func TestFindingsAreSaid(t *testing.T) {
	all := saidInTests(t)
	t.Run("in every language", func(t *testing.T) { saidInEveryLanguage(t, all) })
	t.Run("by every message", func(t *testing.T) { saidByEveryMessage(t, all) })
}

// Whatever the rules find is said in every language, with the figures that English has, and a reason by words of its own.
func saidInEveryLanguage(t *testing.T, all []words.Said) {
	for _, tag := range words.Tags() {
		l, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range all {
			english, said := s.String(), l.Say(s)
			if strings.ContainsAny(said, "⟦⟧{}|") || (said == "") != s.IsZero() {
				t.Errorf("%s: %q for %q", tag, said, english)
			}
			if got, want := figuresIn(said), figuresIn(english); !slices.Equal(got, want) {
				t.Errorf("%s: %q has the figures %v; %q has %v", tag, said, got, english, want)
			}
			if tag != "en" && said == english && (strings.HasPrefix(s.ID(), "reason.") || strings.HasPrefix(s.ID(), "instead.") || strings.HasPrefix(s.ID(), "place.")) {
				t.Errorf("%s: %s is English: %q", tag, s.ID(), said)
			}
			if gist := l.Gist(s); !isWithin(gist, said) || strings.Contains(gist, ";") {
				t.Errorf("%s: the gist of %q is %q", tag, said, gist)
			}
		}
	}
}

// isWithin tells whether a text is another one with some of it left out.
func isWithin(short, whole string) bool {
	rest := []rune(short)
	for _, c := range whole {
		if len(rest) > 0 && rest[0] == c {
			rest = rest[1:]
		}
	}
	return len(rest) == 0
}

// Every message that bites and lines are judged by is said in some test: each is looked for by its words.
func saidByEveryMessage(t *testing.T, all []words.Said) {
	var said []string
	for _, s := range all {
		said = append(said, s.String())
	}
	for id, text := range messagesOfBitesAndLines(t) {
		pattern := regexp.QuoteMeta(strings.Replace(text, "|", "", 1))
		pattern = regexp.MustCompile(`\\\{[a-z]+\\\}`).ReplaceAllString(pattern, `.+`)
		if !slices.ContainsFunc(said, regexp.MustCompile(pattern).MatchString) {
			t.Errorf("%s: no case says %q", id, text)
		}
	}
}

// messagesOfBitesAndLines are the English messages between the headings of this part of the file, by their ids.
func messagesOfBitesAndLines(t *testing.T) map[string]string {
	file := string(readFile(t, "../atlas/words/languages/en.yaml"))
	_, file, _ = strings.Cut(file, "# ---- placement: bites, places, advice ----")
	file, _, _ = strings.Cut(file, "# ---- placement: repair and patches ----")
	var tree map[string]any
	if err := yaml.Unmarshal([]byte(file), &tree); err != nil {
		t.Fatal(err)
	}
	elsewhere := []string{"care", "operation", "rule", "kind"} // said of plans and rulebooks, not of findings
	texts := map[string]string{}
	var walk func(id string, value any)
	walk = func(id string, value any) {
		switch value := value.(type) {
		case string:
			texts[id] = value
		case map[string]any:
			for key, v := range value {
				walk(id+"."+key, v)
			}
		}
	}
	for key, value := range tree {
		if !slices.Contains(elsewhere, key) {
			walk(key, value)
		}
	}
	if len(texts) < 80 {
		t.Fatalf("only %d messages were found", len(texts))
	}
	return texts
}

// What a message keeps behind its bar is commentary: labels have room for the measurement only.
func TestGistsAreTheMeasurement(t *testing.T) {
	e := axisAt(t, map[string]float64{"node": 2.5, "right-coronary": 0.7})
	conduction := func(e *examined) words.Said { _, text := conductionMargin(e); return text }
	coronary := func(e *examined) words.Said { _, text := coronaryArtery(e); return text }
	for _, c := range []struct {
		said words.Said
		want string
	}{
		{conduction(e), "passes 2.5 mm from the node"},
		{coronary(e), "passes 0.7 mm from the right coronary artery"},
		{insideZone(1.23, words.Of("zone.apical-half")), "runs 1.3 mm inside the apical half of the nodal triangle"},
		{overBundle(3, words.Of("zone.ventricular-side")), "reaches 3.0 mm into the ventricular side"},
		{words.Of("instead.line.round-triangle-or", words.Blanks{"round": roundAbout()}), roundAbout().String()},
	} {
		if got := words.English().Gist(c.said); got != c.want {
			t.Errorf("the gist of %q is %q, want %q", c.said, got, c.want)
		}
	}
}

// Programs read on which side something lies, and what is crossed, in the words of the English file.
func TestSidesInWords(t *testing.T) {
	for _, side := range []LineSide{{AtrialMM: 1}, {VentricularMM: 1}, {AtrialMM: 1, VentricularMM: 1}} {
		if got := side.LiesSaid().String(); got != side.Lies() {
			t.Errorf("said %q, for programs %q", got, side.Lies())
		}
	}
	for _, c := range []Crossed{CrossesHinge, CrossesTendon} {
		if got := c.Said().String(); got != string(c) {
			t.Errorf("said %q, for programs %q", got, c)
		}
	}
}
