package atlas

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

func TestDataAreWhole(t *testing.T) {
	c := load(t)
	factors := map[string]bool{}
	for _, f := range c.factors {
		factors[f.Name] = true
	}
	for _, p := range c.Parameters() {
		if !words.English().Has(p.Label.ID()) || p.Spread < 0 || p.Least > p.Value || p.Value > p.Most {
			t.Errorf("%s: %+v", p.Name, p)
		}
		if len(p.Seen) != 0 && !(len(p.Seen) == 2 && p.Seen[0] < p.Seen[1] && p.Seen[0] >= p.Least && p.Seen[1] <= p.Most) {
			t.Errorf("%s: values of %v were seen, and %v to %v may be given", p.Name, p.Seen, p.Least, p.Most)
		}
		if strings.HasPrefix(p.Grade.String(), "%!") || p.Grade.String() == "" {
			t.Errorf("%s: grade %q is not known", p.Name, string(p.Grade))
		}
		if p.Unit == "%" && (p.Least < 0 || p.Most > 100) {
			t.Errorf("%s: a share of %v to %v %%", p.Name, p.Least, p.Most)
		}
		for f := range p.With {
			if !factors[f] {
				t.Errorf("%s varies with %s, which is no factor", p.Name, f)
			}
		}
	}
	for _, s := range c.Sources() {
		if s.Cite == "" || s.About == "" {
			t.Errorf("source %s says nothing", s.ID)
		}
		if s.DOI != "" && !strings.HasPrefix(s.DOI, "10.") {
			t.Errorf("source %s: %q is no DOI", s.ID, s.DOI)
		}
	}
}

// A figure may be known less well than its source was read, never better: what was recalled cannot be graded as
// published, what nobody published must say so.
func TestNoFigureIsGradedAboveItsSource(t *testing.T) {
	c := load(t)
	may := map[string][]Grade{
		"abstract":  {Abstract, Derived, Secondary, Memory},
		"secondary": {Secondary, Derived, Memory},
		"memory":    {Memory},
		"none":      {Assumption, Practice},
	}
	for _, p := range c.Parameters() {
		s, known := c.Source(p.Source)
		if !known {
			t.Errorf("%s: no source %q", p.Name, p.Source)
		}
		if !slices.Contains(may[s.Read], p.Grade) {
			t.Errorf("%s is graded %s, but of its source %s what was read is: %s", p.Name, p.Grade.String(), s.ID, s.Read)
		}
	}
}

// Whatever the usual heart shows names sources that are there and a grade that is.
func TestHeartNamesKnownSources(t *testing.T) {
	c, h := load(t), build(t)
	check := func(what string, g Grade, sources ...string) {
		if g.String() == "" {
			t.Errorf("%s: grade %q is not known", what, string(g))
		}
		if len(sources) == 0 {
			t.Errorf("%s names no source", what)
		}
		for _, id := range sources {
			if _, known := c.Source(id); !known {
				t.Errorf("%s: no source is called %q", what, id)
			}
		}
	}
	for _, l := range h.Landmarks {
		check(l.ID, l.Grade, l.Source)
	}
	for _, z := range h.Zones {
		check(string(z.ID), z.Grade, z.Sources...)
	}
	for _, s := range h.Structures {
		check(s.ID, s.Grade, s.Sources...)
		if s.SpreadMM <= 0 || s.SharePercent <= 0 || s.SharePercent > 100 {
			t.Errorf("%s: spread %v mm, in %v %% of hearts", s.ID, s.SpreadMM, s.SharePercent)
		}
	}
	both := 0.0
	for _, s := range h.Structures {
		if s.Excludes {
			both += s.SharePercent
		}
	}
	near(t, "ways in that exclude each other, %", both, 100, 1e-12)
}

// elsewhere are the parameters no part of this geometry is built with: those who judge, draw or stretch ask for them.
var elsewhere = []string{"leaflet-height", "leaflet-thickness", "saddle-loss"}

// Taking any one parameter out of the data must be noticed by name: so every name asked for is there, and none is
// there that nobody asks for.
func TestEveryParameterIsAskedFor(t *testing.T) {
	for _, p := range load(t).Parameters() {
		v := plausible(t, nil)
		delete(v.index, p.Name)
		if rim, err := v.rim(); err == nil {
			_, _ = v.heartOn(rim) // what comes of a value that is no number does not matter here
		}
		err := v.complete()
		if wanted := !slices.Contains(elsewhere, p.Name); wanted != (err != nil) {
			t.Errorf("without %s: %v", p.Name, err)
		} else if wanted && !strings.Contains(err.Error(), p.Name) {
			t.Errorf("without %s it is said that %v", p.Name, err)
		}
	}
	v := plausible(t, nil)
	rim, err := v.rim()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := v.heartOn(rim); err != nil {
		t.Fatal(err)
	}
	if err := v.complete(); err != nil {
		t.Errorf("the whole data lack something: %v", err)
	}
}

func TestGradesInWords(t *testing.T) {
	for grade, words := range map[Grade]string{
		Abstract: "published, abstract read", Secondary: "published, quoted by a secondary text", Derived: "derived from published figures",
		Memory: "from memory, not confirmed", Assumption: "assumption", Practice: "common practice, no published source",
	} {
		if grade.String() != words {
			t.Errorf("%s is %q, want %q", string(grade), grade.String(), words)
		}
		if published := strings.Contains(words, "published") && !strings.Contains(words, "no published"); grade.Published() != published {
			t.Errorf("%s counts as published: %v", string(grade), grade.Published())
		}
	}
}

// Each slip in the data is told with file, line and column, several at once.
func TestMalformedDataAreLocated(t *testing.T) {
	swap := func(data []byte, old, new string) []byte {
		if !bytes.Contains(data, []byte(old)) {
			t.Fatalf("the data do not hold %q", old)
		}
		return bytes.Replace(data, []byte(old), []byte(new), 1)
	}
	for _, c := range []struct {
		what                string
		parameters, sources []byte
		says                []string
	}{
		{"an unknown source", swap(parametersYAML, "source: klimek-2017", "source: klimek-1717"), sourcesYAML, []string{`no source is called "klimek-1717"`}},
		{"an unknown grade", swap(parametersYAML, "grade: memory", "grade: hearsay"), sourcesYAML, []string{"hearsay"}},
		{"a negative spread", swap(parametersYAML, "spread: 12.7", "spread: -12.7"), sourcesYAML, []string{"-12.7"}},
		{"a value out of its range", swap(parametersYAML, "value: 105,", "value: 1050,"), sourcesYAML, []string{"rim-length lies outside its own range"}},
		{"a name taken twice", swap(parametersYAML, "name: rim-short-axis", "name: rim-long-axis"), sourcesYAML, []string{`a parameter is already called "rim-long-axis"`}},
		{"a key nobody knows", swap(parametersYAML, "spread: 12.7", "spred: 12.7"), sourcesYAML, []string{"spred", "spread"}},
		{"an unknown factor", swap(parametersYAML, "with: { size: 0.705 }", "with: { seize: 0.705 }"), sourcesYAML, []string{"seize"}},
		{"a source taken twice", parametersYAML, swap(sourcesYAML, "id: antoniali-2006", "id: addetia-2019"), []string{`a source is already called "addetia-2019"`, `no source is called "antoniali-2006"`}},
		{"nothing read of a source", parametersYAML, swap(sourcesYAML, "read: abstract", "read: cover"), []string{"cover"}},
		{"two slips in two files", swap(parametersYAML, "unit: mm2", "unit: acre"), swap(sourcesYAML, "read: memory", "read: dream"), []string{"acre", "dream"}},
		{"no yaml", []byte("parameters: ["), sourcesYAML, []string{"parameters.yaml"}},
	} {
		_, err := readCatalogue(c.parameters, c.sources)
		var problems strictyaml.Problems
		if !errors.As(err, &problems) {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		says(t, err.Error(), c.says...)
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || !strings.HasSuffix(p.File, ".yaml") {
				t.Errorf("%s: %v has no place", c.what, p)
			}
		}
	}
}

// A slip is told where it stands.
func TestSlipStandsWhereItIsTold(t *testing.T) {
	slip := bytes.Replace(parametersYAML, []byte("source: klimek-2017"), []byte("source: klimek-1717"), 1)
	before, _, _ := bytes.Cut(slip, []byte("klimek-1717"))
	line := bytes.Count(before, []byte("\n")) + 1
	column := len([]rune(string(before[bytes.LastIndexByte(before, '\n')+1:]))) + 1
	_, err := readCatalogue(slip, sourcesYAML)
	var problems strictyaml.Problems
	if !errors.As(err, &problems) || len(problems) != 1 {
		t.Fatalf("%v", err)
	}
	if p := problems[0]; p.File != "parameters.yaml" || p.Line != line || p.Column != column {
		t.Errorf("told at %v, stands at %d:%d", p.Position, line, column)
	}
}

func TestDigestTellsDataApart(t *testing.T) {
	c := load(t)
	again, err := LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Digest()) != 12 || c.Digest() != again.Digest() {
		t.Errorf("digest %q, then %q", c.Digest(), again.Digest())
	}
	if other := Digest(append([]byte(nil), append(parametersYAML, '\n')...), sourcesYAML); other == Digest(parametersYAML, sourcesYAML) {
		t.Error("a changed file has the same digest")
	}
}

func TestListsAreCopies(t *testing.T) {
	c := load(t)
	c.Parameters()[0].Value = -1
	c.Sources()[0].ID = "nobody"
	if c.Parameters()[0].Value == -1 || c.Sources()[0].ID == "nobody" {
		t.Error("a caller can change the catalogue")
	}
}
