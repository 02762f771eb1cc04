package growth

import (
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"
)

// changed gives the data with one text of one file replaced where it first stands; it must stand there.
func changed(t *testing.T, file, old, new string) fs.FS {
	t.Helper()
	files := fstest.MapFS{}
	for _, name := range []string{"sources", "surface", "datasets", "limits", "methods", "patterns"} {
		path := "data/" + name + ".yaml"
		data, err := embedded.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text := string(data)
		if name == file {
			if !strings.Contains(text, old) {
				t.Fatalf("%s does not hold %q", path, old)
			}
			text = strings.Replace(text, old, new, 1)
		}
		files[path] = &fstest.MapFile{Data: []byte(text)}
	}
	return files
}

// Data that contradict themselves are refused, with the place.
func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ name, file, old, new, want string }{
		{"a recalled figure dressed as read", "sources", "id: lopez-2017\n    read: abstract", "id: lopez-2017\n    read: memory", `graded "abstract", but lopez-2017 was read as "memory"`},
		{"a quoted figure dressed as read", "datasets", "grade: secondary\n    source: pettersen-2008", "grade: abstract\n    source: pettersen-2008", `graded "abstract", but pettersen-2008 was read as "secondary"`},
		{"a rule of thumb with a citation", "limits", "grade: practice, source: practice", "grade: practice, source: addetia-2019", `graded "practice", but addetia-2019 was read as "abstract"`},
		{"an unknown source", "limits", "source: esc-2017", "source: esc-2018", `no source is called "esc-2018"`},
		{"a source twice", "sources", "id: mosteller-1987", "id: du-bois-1916", `a second source is called "du-bois-1916"`},
		{"a formula twice", "surface", "name: boyd", "name: haycock", `a second formula is called "haycock"`},
		{"a formula with two coefficients", "surface", "divisor: 60", "divisor: 60, coefficient: 1", "coefficient"},
		{"an empty range", "datasets", "low: 1.4, high: 2.2", "low: 1.4, high: 1.4", "the range is empty"},
		{"an unknown formula", "datasets", "name: haycock, grade: memory", "name: haycok, grade: memory", `no formula is called "haycok"`},
		{"another form", "datasets", "form: log-cubic", "form: power", "has the coefficients of another form"},
		{"an ellipse of nothing", "datasets", "ellipse: [diameter-major, diameter-minor]", "ellipse: [diameter-major, diameter-mino]", `called "diameter-mino"`},
		{"an unknown method", "datasets", "method: echo-3d", "method: echo-4d", `no method is called "echo-4d"`},
		{"a zero SD", "datasets", "sd: 0.83", "sd: 0", "datasets.yaml:"},
		{"an unknown reference", "methods", "reference: echo-3d", "reference: mri", `no method is called "mri"`},
		{"an offset of an unknown size", "methods", "quantity: septal-segment, here: 32", "quantity: septal, here: 32", `"septal" is not among the quantities`},
		{"an offset that eats the value", "methods", "least: 88", "least: 19", "can leave nothing of a value"},
		{"a pattern twice", "patterns", "name: uniform", "name: classical", `a second pattern is called "classical"`},
		{"a misspelt key", "patterns", "patients: 317", "patient: 317", `did you mean patients?`},
		{"a mean without SD", "patterns", "[33.31, 6.94]", "[33.31]", "patterns.yaml:"},
	} {
		tables, err := readTables(changed(t, c.file, c.old, c.new))
		if err == nil || tables != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q", c.name, err, c.want)
		}
	}
}

func TestReadReportsAMissingFile(t *testing.T) {
	files := changed(t, "", "", "").(fstest.MapFS)
	delete(files, "data/limits.yaml")
	if _, err := readTables(files); err == nil || !strings.Contains(err.Error(), "limits.yaml") {
		t.Errorf("error %v, want limits.yaml named", err)
	}
}

func TestDigestFollowsTheFigures(t *testing.T) {
	here, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	there, err := readTables(changed(t, "datasets", "mean: 4.39", "mean: 4.38"))
	if err != nil {
		t.Fatal(err)
	}
	if here.Digest() == there.Digest() || len(here.Digest()) != 12 {
		t.Errorf("digests %s and %s", here.Digest(), there.Digest())
	}
}

// Every source is used, and every figure has one.
func TestSourcesAreUsed(t *testing.T) {
	tables, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	note := func(what string, e Evidence) {
		used[e.Source.ID] = true
		if e.Source.ID == "" || e.Grade == "" {
			t.Errorf("%s: graded %q on the source %q", what, e.Grade, e.Source.ID)
		}
	}
	for _, f := range tables.Formulas() {
		note(f.Name, f.Evidence)
	}
	for _, d := range tables.Datasets() {
		note(d.ID, d.Evidence)
	}
	for _, l := range tables.Limits() {
		note(l.Name, l.Evidence)
	}
	for _, m := range tables.Methods() {
		for _, o := range m.Offsets {
			note(m.Name+" "+o.Quantity, o.Evidence)
		}
	}
	for _, p := range tables.Patterns() {
		note(p.Name, p.Evidence)
	}
	note("series", tables.OperativeSeries().Evidence)
	for _, s := range tables.Sources() {
		if !used[s.ID] {
			t.Errorf("no figure rests on %s", s.ID)
		}
	}
}

// What a caller does to an answer does not reach the tables.
func TestAnswersAreCopies(t *testing.T) {
	tables, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	tables.Sources()[0].ID = "x"
	tables.Formulas()[0].Name = "x"
	tables.Datasets()[0].Quantities[0].Name = "x"
	tables.Limits()[0].Name = "x"
	tables.Methods()[1].Offsets[0].Quantity = "x"
	tables.Patterns()[0].Name = "x"
	tables.OperativeSeries().Rows[0].Name = "x"
	d, _ := tables.Dataset("phn-2017")
	d.Quantities[1].Name = "x"
	m, _ := tables.Method("ct")
	m.Offsets[0].Quantity = "x"
	got := []string{
		tables.sources[0].ID, tables.formulas[0].Name, tables.datasets[0].Quantities[0].Name, tables.datasets[0].Quantities[1].Name,
		tables.limits[0].Name, tables.methods[1].Offsets[0].Quantity, tables.methods[2].Offsets[0].Quantity, tables.patterns[0].Name, tables.series.Rows[0].Name,
	}
	for i, name := range got {
		if name == "x" {
			t.Errorf("answer %d can be written through", i)
		}
	}
}

func TestRangeContains(t *testing.T) {
	r, open := Range{1, 2}, Range{1, math.Inf(1)}
	for x, want := range map[float64]bool{1: true, 2: true, 0.999: false, 2.001: false, math.Inf(1): false, math.NaN(): false} {
		if r.Contains(x) != want {
			t.Errorf("%v in %v: %t", x, r, !want)
		}
	}
	if !open.Contains(1e9) || open.Contains(math.Inf(1)) {
		t.Error("an open range holds every finite number, and only those")
	}
}
