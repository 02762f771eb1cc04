package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/placement"
)

var update = flag.Bool("update", false, "rewrite the schema beside the examples")

const examples = "../../examples/"

// called is what a call of the command did.
type called struct {
	code     int
	out, err string
}

func call(stdin string, args ...string) called {
	var out, errs bytes.Buffer
	code := run(args, strings.NewReader(stdin), &out, &errs)
	return called{code, out.String(), errs.String()}
}

func read(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func parsed(t *testing.T, text string) map[string]any {
	t.Helper()
	var doc map[string]any
	if err := json.Unmarshal([]byte(text), &doc); err != nil {
		t.Fatalf("%v in %q", err, text)
	}
	return doc
}

// oneBite is a plan of one bite with a depth to choose.
func oneBite(depth string) string {
	return "fairlead: 1\ncase: test\noperation: rehearsal\nbites:\n  - { name: a, kind: single, tissue: rim, in: { segment: anterior, share: 50 % }, travel: 4 mm, heading: clockwise, depth: " + depth + " }\n"
}

// A failed call says why and what to do, writes nothing else, and ends with 2.
func TestWrongCalls(t *testing.T) {
	band, emptyDir := examples+"band.yaml", t.TempDir()
	for _, c := range []struct {
		args string
		want []string
	}{
		{"", []string{"no verb given", "fairlead help", "fairlead check examples/band.yaml"}},
		{"--nonsense", []string{"unknown flag: --nonsense", "fairlead help"}},
		{"chekc " + band, []string{`no verb "chekc"`, "Did you mean check?"}},
		{"draww " + band, []string{`no verb "draww"`, "Did you mean draw?"}},
		{"landmark", []string{"Did you mean landmarks?"}},
		{"frobnicate", []string{`no verb "frobnicate"`, "draw, sheet, slides, check, size, landmarks, rules, sources, schema"}},
		{"help frobnicate", []string{`no verb "frobnicate"`}},
		{"check", []string{"fairlead check: which plan?", "- for standard input", "fairlead help check"}},
		{"draw", []string{"fairlead draw: which plan?"}},
		{"check - -", []string{"standard input is given twice"}},
		{"draw " + band + " " + examples + "child.yaml", []string{"2 plans, but -o - is no directory", "Give -o a directory"}},
		{"sheet", []string{"fairlead sheet: which plan?"}},
		{"sheet " + band, []string{"where to?", "ends in .pdf, or a directory, with -o"}},
		{"slides", []string{"fairlead slides: which plan?"}},
		{"slides " + band, []string{"where to?", "Give a directory with -o"}},
		{"sheet --paper a5 -o x " + band, []string{`--paper "a5" is not known`, "a4 or letter"}},
		{"draw --view template " + band, []string{"no `patches` to cut"}},
		{"draw --view template --patch other " + examples + "patch-template.yaml", []string{`no patch is called "other"`, "septal leaflet"}},
		{"draw --view repair " + band, []string{"no `repair` to draw"}},
		{"draw --theme neon " + band, []string{`--theme "neon" is not known`, "paper, dark, grey"}},
		{"draw --as gif " + band, []string{`--as "gif" is not known`, "svg, pdf, png"}},
		{"draw --as png --dpi 5 " + band, []string{"5 dots per inch", "from 10 to 2400"}},
		{"draw --turn NaN " + band, []string{"--turn NaN is no angle"}},
		{"draw --language xx " + band, []string{`--language "xx" is not known`, "de, en"}},
		{"draw --view section --bite none " + band, []string{`no bite "none"`}},
		{"sheet --as png -o x " + band, []string{"not as png"}},
		{"draw --view stripp " + band, []string{`--view "stripp" is not known`, "atrial"}},
		{"landmarks " + band + " " + band, []string{"takes one plan, but 2 were given"}},
		{"rules " + band, []string{"fairlead rules: takes no plan", "fairlead help rules"}},
		{"sources x", []string{"takes no plan"}},
		{"schema x", []string{"takes no plan"}},
		{"check --format yaml " + band, []string{`--format "yaml" is not known`, "table or json"}},
		{"check --form json " + band, []string{"unknown flag: --form", "fairlead help check"}},
		{"check " + band + " --format", []string{"needs an argument"}},
		{"check -o x.svg " + band, []string{"unknown shorthand flag: 'o'"}},
		{"schema --format json", []string{"unknown flag: --format"}},
		{"draw " + band + " -o", []string{"needs an argument: 'o'"}},
		{"check nowhere.yaml", []string{"nowhere.yaml", "no such file"}},
		{"draw nowhere.yaml", []string{"nowhere.yaml", "no such file"}},
		{"landmarks nowhere.yaml", []string{"nowhere.yaml", "no such file"}},
		{"check " + emptyDir, []string{emptyDir + " holds no plan", ".yaml"}},
	} {
		got := call("", strings.Fields(c.args)...)
		if got.code != exitWrong || got.out != "" {
			t.Errorf("fairlead %s: exit %d, output %q", c.args, got.code, got.out)
		}
		for _, want := range c.want {
			if !strings.Contains(got.err, want) {
				t.Errorf("fairlead %s: %q does not say %q", c.args, got.err, want)
			}
		}
	}
}

func TestNearestVerb(t *testing.T) {
	words := []string{"draw", "check", "landmarks", "rules", "sources", "schema"}
	for mistaken, want := range map[string]string{
		"chekc": "check", "drwa": "draw", "darw": "draw", "raw": "draw", "rule": "rules", "source": "sources", "shcema": "schema", "ladnmrks": "landmarks",
		"": "", "x": "", "plan": "", "version": "", "räw": "",
	} {
		if got := nearest(mistaken, words); got != want {
			t.Errorf("%q: %q, want %q", mistaken, got, want)
		}
	}
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"abc", "abc", 0}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "acb", 1}, {"abc", "abd", 1}, {"abc", "ab", 1}, {"kitten", "sitting", 3}} {
		if got := slips(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d slips, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestHelp(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"--help"}, {"-h"}, {"help", "help"}} {
		got := call("", args...)
		if got.code != exitClear || got.err != "" {
			t.Errorf("%v: exit %d, %q", args, got.code, got.err)
		}
		for _, v := range verbs() {
			if !strings.Contains(got.out, "\n  "+v.name) || !strings.Contains(got.out, v.does) {
				t.Errorf("%v does not tell of %s", args, v.name)
			}
		}
	}
	for _, v := range verbs() {
		asked, flagged := call("", "help", v.name), call("", v.name, "--help")
		if asked.code != exitClear || asked != flagged || !strings.Contains(asked.out, strings.TrimSpace("fairlead "+v.name+" "+v.takes)) || !strings.Contains(asked.out, v.does) {
			t.Errorf("help of %s: %+v and %+v", v.name, asked, flagged)
		}
		if (v.flags != nil) != strings.Contains(asked.out, "--") {
			t.Errorf("help of %s tells of flags it lacks, or lacks them: %q", v.name, asked.out)
		}
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		plan, verdict string
		code          int
	}{{"band.yaml", "CLEAR", exitClear}, {"band-three-mistakes.yaml", "AVOID", exitAvoid}} {
		file := examples + c.plan
		table := call("", "check", file)
		if table.code != c.code || table.err != "" || !strings.Contains(strings.SplitN(table.out, "\n", 2)[0], ": "+c.verdict) || !strings.Contains(strings.Join(strings.Fields(table.out), " "), placement.Care().String()) {
			t.Errorf("%s: %+v", c.plan, table)
		}
		asJSON := call("", "check", "--format", "json", file)
		doc := parsed(t, asJSON.out)
		if asJSON.code != c.code || asJSON.err != "" || doc["verdict"] != strings.ToLower(c.verdict) || doc["format"] != placement.ReportFormat {
			t.Errorf("%s: exit %d, %v", c.plan, asJSON.code, doc["verdict"])
		}
		for _, args := range [][]string{{"check", "-"}, {"check", "--format", "table", "-"}, {"check", "-", "--format=table"}} {
			if got := call(read(t, file), args...); got != table {
				t.Errorf("%v of %s: %+v", args, c.plan, got)
			}
		}
	}
}

// Caution alone is nothing to be avoided.
func TestCautionEndsWithZero(t *testing.T) {
	got := call(oneBite("0.9 mm"), "check", "-")
	if got.code != exitClear || !strings.Contains(got.out, "CAUTION") {
		t.Errorf("got %+v", got)
	}
}

func TestRefusedPlanListsEveryProblem(t *testing.T) {
	broken := strings.Replace(strings.Replace(oneBite("2 cm"), "rehearsal", "rehearsel", 1), "clockwise", "sideways", 1)
	laidWrong := oneBite("5 mm")
	for _, c := range []struct {
		plan string
		want []string
	}{
		{broken, []string{"standard input:3:12: ", "standard input:5:106: ", "standard input:5:123: "}},
		{laidWrong, []string{"standard input:5:5: "}},
		{"", []string{"standard input:1:1: the file is empty"}},
		{"#" + strings.Repeat("x", 5<<20), []string{"standard input:1:1: the file is "}},
	} {
		old := filepath.Join(t.TempDir(), "old.svg")
		if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"check", "-"}, {"check", "-", "--format", "json"}, {"draw", "-"}, {"draw", "-", "-o", old}, {"landmarks", "-"}} {
			got := call(c.plan, args...)
			lines := strings.Split(strings.TrimSuffix(got.err, "\n"), "\n")
			if got.code != exitWrong || got.out != "" || len(lines) != len(c.want) {
				t.Errorf("%v: exit %d, output %q, %d problems: %.300s", args, got.code, got.out, len(lines), got.err)
				continue
			}
			for i, line := range lines {
				if !strings.HasPrefix(line, c.want[i]) {
					t.Errorf("%v: %.200s, want %s", args, line, c.want[i])
				}
			}
		}
		if read(t, old) != "old" {
			t.Error("a refused plan was drawn")
		}
		onlyFile(t, filepath.Dir(old), "old.svg")
	}
}

// onlyFile: nothing else is left in a folder, hidden or not.
func onlyFile(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, e := range entries {
		found = append(found, e.Name())
	}
	if !slices.Equal(found, names) {
		t.Errorf("in the folder: %q, want %q", found, names)
	}
}

func wellFormed(text string) error {
	decoder := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestDraw(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "plate.svg")
	printed := call("", "draw", examples+"band.yaml")
	if err := wellFormed(printed.out); err != nil || printed.code != exitClear || printed.err != "" || !strings.Contains(printed.out, "<svg") {
		t.Fatalf("exit %d, %q, %v", printed.code, printed.err, err)
	}
	for _, args := range [][]string{{"draw", examples + "band.yaml", "-o", file}, {"draw", "--output=" + file, examples + "band.yaml"}} {
		if got := call("", args...); got != (called{exitClear, "", ""}) {
			t.Errorf("%v: %+v", args, got)
		}
		if read(t, file) != printed.out {
			t.Errorf("%v: the file differs from what is printed", args)
		}
	}
	if got := call("", "draw", examples+"band-three-mistakes.yaml", "-o", file); got.code != exitAvoid || got.out != "" || got.err != "" {
		t.Errorf("got %+v", got)
	}
	if read(t, file) == printed.out {
		t.Error("the old drawing was left")
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o644 {
		t.Errorf("the file is %v, %v", info.Mode(), err)
	}
	onlyFile(t, dir, "plate.svg")
}

func TestDrawWhereItCannot(t *testing.T) {
	dir := t.TempDir()
	plain := filepath.Join(dir, "plain")
	if err := os.WriteFile(plain, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ target, want string }{
		{filepath.Join(dir, "none", "x.svg"), "no such file or directory"},
		{filepath.Join(plain, "x.svg"), "not a directory"},
	} {
		got := call("", "draw", examples+"band.yaml", "-o", c.target)
		if got.code != exitWrong || got.out != "" || got.err != "fairlead: cannot write "+c.target+": "+c.want+"\n" {
			t.Errorf("%s: %+v", c.target, got)
		}
	}
	if read(t, plain) != "old" {
		t.Error("a file in the way was written to")
	}
	onlyFile(t, dir, "plain")
}

// A folder that nothing can be added to keeps the drawing it has. The superuser may add to any folder, so for him the
// failure is put at the last step instead: the temporary file cannot take a name that is a folder's.
func TestFailedWriteLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, "old.svg")
	if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if os.Getuid() != 0 {
		if err := os.Chmod(dir, 0o555); err != nil {
			t.Fatal(err)
		}
		defer os.Chmod(dir, 0o755)
		if got := call("", "draw", examples+"band.yaml", "-o", old); got.code != exitWrong || !strings.Contains(got.err, "permission denied") {
			t.Errorf("got %+v", got)
		}
	}
	folder := filepath.Join(dir, "folder")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := replace(folder, []byte("new")); err == nil {
		t.Error("a folder was replaced")
	}
	if read(t, old) != "old" {
		t.Error("the old file was touched")
	}
	onlyFile(t, dir, "folder", "old.svg")
}

// What is not a plain file stays what it is, and a link goes on leading where it led.
func TestDrawIntoSpecialFiles(t *testing.T) {
	if got := call("", "draw", examples+"band.yaml", "-o", os.DevNull); got != (called{exitClear, "", ""}) {
		t.Errorf("got %+v", got)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Fatalf("%s is no longer a device", os.DevNull)
	}
	dir := t.TempDir()
	target, link := filepath.Join(dir, "a-target.svg"), filepath.Join(dir, "link.svg")
	if err := os.WriteFile(target, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, link); err != nil {
		t.Fatal(err)
	}
	if got := call("", "draw", examples+"band.yaml", "-o", link); got.code != exitClear {
		t.Errorf("got %+v", got)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced")
	}
	if read(t, target) == "old" {
		t.Error("what the link leads to was not")
	}
	onlyFile(t, dir, "a-target.svg", "link.svg")
}

type failing struct{}

var errFull = errors.New("no room")

func (failing) Write([]byte) (int, error) { return 0, errFull }
func (failing) Read([]byte) (int, error)  { return 0, errFull }

func TestOutputThatCannotBeWritten(t *testing.T) {
	for _, args := range []string{"help", "help check", "check " + examples + "band.yaml", "check --format json " + examples + "band-three-mistakes.yaml", "draw " + examples + "band.yaml", "draw " + examples + "band-three-mistakes.yaml", "landmarks", "landmarks --format json", "rules", "rules --format json", "sources", "sources --format json", "schema"} {
		var errs bytes.Buffer
		if code := run(strings.Fields(args), strings.NewReader(""), failing{}, &errs); code != exitWrong || errs.String() != "fairlead: cannot write to standard output: no room\n" {
			t.Errorf("fairlead %s: exit %d, %q", args, code, errs.String())
		}
	}
}

// A contour is a file beside the plan, whatever its name: standard input holds the plan.
func TestContourThatCannotBeRead(t *testing.T) {
	for _, name := range []string{"nowhere.csv", "-", "../fairlead"} {
		plan := strings.Replace(oneBite("1 mm"), "bites:", "rim: { contour: \""+name+"\" }\nbites:", 1)
		got := call(plan, "check", "-")
		if got.code != exitWrong || got.out != "" || !strings.HasPrefix(got.err, "standard input:4:17: contour: ") || strings.Count(got.err, "\n") != 1 {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

func TestInputThatCannotBeRead(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run([]string{"check", "-"}, failing{}, &out, &errs); code != exitWrong || out.Len() > 0 || errs.String() != "fairlead: the plan cannot be read: no room\n" {
		t.Errorf("exit %d, %q, %q", code, out.String(), errs.String())
	}
}

// The examples name this file for editors; it has to be what the command prints.
func TestSchemaBesideTheExamples(t *testing.T) {
	got := call("", "schema")
	if got.code != exitClear || got.err != "" || parsed(t, got.out)["$schema"] == nil {
		t.Errorf("got %.200q, %+v", got.out, got.code)
	}
	file := examples + placement.SchemaName
	if *update {
		if err := os.WriteFile(file, []byte(got.out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if read(t, file) != got.out {
		t.Errorf("%s is not what is printed now; go test ./cmd/fairlead -update", file)
	}
	plans, err := filepath.Glob(examples + "*.yaml")
	if err != nil || len(plans) == 0 {
		t.Fatal(plans, err)
	}
	for _, plan := range plans {
		if first := strings.SplitN(read(t, plan), "\n", 2)[0]; first != "# yaml-language-server: $schema="+placement.SchemaName {
			t.Errorf("%s begins %q", plan, first)
		}
	}
}

func TestLandmarks(t *testing.T) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	table, doc := call("", "landmarks"), parsed(t, call("", "landmarks", "--format", "json").out)
	if table.code != exitClear || table.err != "" || !strings.Contains(table.out, placement.Care().String()) {
		t.Errorf("exit %d, %q", table.code, table.err)
	}
	listed := ids(t, doc["parameters"], "name")
	for _, p := range catalogue.Parameters() {
		if !strings.Contains(table.out, "\n"+p.Name+" ") || !slices.Contains(listed, p.Name) {
			t.Errorf("parameter %s is not listed", p.Name)
		}
	}
	listed = ids(t, doc["landmarks"], "id")
	for _, name := range placement.Landmarks() {
		if !strings.Contains(table.out, "\n"+name+" ") || !slices.Contains(listed, name) {
			t.Errorf("landmark %s is not listed", name)
		}
	}
	measured := strings.Replace(oneBite("1 mm"), "bites:", "heart: { rim-length: 118 mm }\nbites:", 1)
	if got := call(measured, "landmarks", "-"); got.code != exitClear || got.out == table.out || !strings.Contains(got.out, "118.0") {
		t.Errorf("a measured rim: exit %d\n%s", got.code, got.out)
	}
}

// ids are one key's values down a list.
func ids(t *testing.T, list any, key string) (found []string) {
	t.Helper()
	items, ok := list.([]any)
	if !ok {
		t.Fatalf("no list but %T", list)
	}
	for _, item := range items {
		id, ok := item.(map[string]any)[key].(string)
		if !ok {
			t.Fatalf("no %s in %v", key, item)
		}
		found = append(found, id)
	}
	return found
}

func TestRules(t *testing.T) {
	book, err := placement.LoadRulebook()
	if err != nil {
		t.Fatal(err)
	}
	table, doc := call("", "rules"), parsed(t, call("", "rules", "--format", "json").out)
	var want []string
	for _, r := range book.Rules() {
		want = append(want, r.ID)
		if !strings.Contains("\n"+table.out, "\n"+r.ID+": "+titleOf(r)+"\n") || !strings.Contains(table.out, r.Says) || !strings.Contains(table.out, r.Basis().String()) {
			t.Errorf("rule %s is not told whole", r.ID)
		}
	}
	if got := ids(t, doc["rules"], "id"); !slices.Equal(got, want) || table.code != exitClear {
		t.Errorf("listed %v, want %v", got, want)
	}
	if !strings.Contains(table.out, "\nhold: Too shallow to hold\n") {
		t.Error("a rule is not called as it is where a sentence begins")
	}
	for _, item := range doc["rules"].([]any) {
		rule := item.(map[string]any)
		if (rule["figures"] == nil) != (rule["figures_grade"] == nil) {
			t.Errorf("rule %v: figures %v known %v", rule["id"], rule["figures"], rule["figures_grade"])
		}
	}
}

func TestSources(t *testing.T) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	table, doc := call("", "sources"), parsed(t, call("", "sources", "--format", "json").out)
	listed := ids(t, doc["sources"], "id")
	for _, s := range catalogue.Sources() {
		if !strings.Contains(table.out, s.ID+"  (") || !strings.Contains(table.out, s.Cite) || s.DOI != "" && !strings.Contains(table.out, "doi "+s.DOI+"\n") || !slices.Contains(listed, s.ID) {
			t.Errorf("source %s is not told whole", s.ID)
		}
	}
	if table.code != exitClear || table.err != "" {
		t.Errorf("got exit %d, %q", table.code, table.err)
	}
}

func TestSameCallSameBytes(t *testing.T) {
	for _, args := range []string{"check " + examples + "band-three-mistakes.yaml", "check --format json " + examples + "replacement.yaml", "draw " + examples + "purse-string.yaml", "landmarks --format json", "rules --format json", "schema"} {
		if first, again := call("", strings.Fields(args)...), call("", strings.Fields(args)...); first != again {
			t.Errorf("fairlead %s differs from call to call", args)
		}
	}
}

func BenchmarkRun(b *testing.B) {
	for _, args := range []string{"check " + examples + "band.yaml", "check " + examples + "band-three-mistakes.yaml", "draw " + examples + "band.yaml"} {
		b.Run(args[:5], func(b *testing.B) {
			for b.Loop() {
				run(strings.Fields(args), strings.NewReader(""), io.Discard, io.Discard)
			}
		})
	}
}

// A drawing is written as what its file's name says, or what is asked for.
func TestDrawAs(t *testing.T) {
	dir := t.TempDir()
	for name, start := range map[string]string{"a.svg": "<?xml", "a.pdf": "%PDF-", "a.png": "\x89PNG", "a.txt": "<?xml"} {
		file := filepath.Join(dir, name)
		if got := call("", "draw", examples+"band.yaml", "-o", file, "--dpi", "30"); got.code != exitClear || !strings.HasPrefix(read(t, file), start) {
			t.Errorf("%s: %+v begins %q", name, got, read(t, file)[:8])
		}
	}
	if got := call("", "draw", examples+"band.yaml", "--as", "pdf", "--theme", "dark"); !strings.HasPrefix(got.out, "%PDF-") {
		t.Errorf("%.20q", got.out)
	}
	if got := call("", "draw", examples+"band.yaml", "--theme", "dark"); !strings.Contains(got.out, "#181818") {
		t.Error("a dark drawing has no dark paper")
	}
	for _, v := range views() {
		plan := map[string]string{"repair": "asymmetric-band.yaml", "template": "patch-template.yaml"}[v.name]
		if plan == "" {
			plan = "band.yaml"
		}
		if got := call("", "draw", "--view", v.name, examples+plan); got.code != exitClear || wellFormed(got.out) != nil {
			t.Errorf("%s: exit %d, %s", v.name, got.code, got.err)
		}
	}
}
