package placement

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas/words"
)

const reportDir = "../testdata/report"

func exampleFiles(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob("../examples/*.yaml")
	if err != nil || len(files) < 4 {
		t.Fatalf("examples: %v, %v", files, err)
	}
	return files
}

func checkFile(t testing.TB, file string) *Report {
	t.Helper()
	plan := mustRead(t, string(readFile(t, file)))
	if plan.Contour != "" {
		plan.ContourCSV = readFile(t, filepath.Join(filepath.Dir(file), plan.Contour))
	}
	return mustCheck(t, plan)
}

func tableOf(t testing.TB, r *Report) string {
	t.Helper()
	var out bytes.Buffer
	if err := r.WriteTable(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func jsonOfReport(t testing.TB, r *Report) map[string]any {
	t.Helper()
	var out bytes.Buffer
	if err := r.WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestTablesOfTheExamples(t *testing.T) {
	for _, file := range exampleFiles(t) {
		golden := filepath.Join(reportDir, strings.TrimSuffix(filepath.Base(file), ".yaml")+".txt")
		got := tableOf(t, checkFile(t, file))
		if *update {
			if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if want := string(readFile(t, golden)); got != want {
			t.Errorf("%s is not what is written now; look at both, then go test ./placement -update\ngot\n%s", golden, got)
		}
	}
}

func TestEveryTableHasItsExample(t *testing.T) {
	golden, err := filepath.Glob(filepath.Join(reportDir, "*.txt"))
	if err != nil || len(golden) != len(exampleFiles(t)) {
		t.Errorf("%d tables for %d examples: %v", len(golden), len(exampleFiles(t)), err)
	}
}

// keyPaths are the paths of all keys of a JSON value, with [] for the items of a list. What clearances_mm holds is
// keyed by the heart's structures, not by the format; reasons are documented once, for bites.
func keyPaths(v any, path string, into map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			into[path+key] = true
			if key != "clearances_mm" && (key != "reasons" || path == "bites.") {
				keyPaths(value, path+key+".", into)
			}
		}
	case []any:
		for _, item := range v {
			keyPaths(item, path, into)
		}
	}
}

// documentedKeys reads the keys out of the documentation of WriteJSON.
func documentedKeys(t *testing.T) map[string]bool {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "report.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	var doc string
	for _, d := range file.Decls {
		if f, ok := d.(*ast.FuncDecl); ok && f.Name.Name == "WriteJSON" {
			doc = f.Doc.Text()
		}
	}
	line := regexp.MustCompile(`^\t( *)((?:\.?[a-z0-9_]+(?:\[\])?,? )+) +\S`)
	keys, above := map[string]bool{}, []string{}
	for _, text := range strings.Split(doc, "\n") {
		found := line.FindStringSubmatch(text)
		if found == nil {
			continue
		}
		above = above[:len(found[1])/2]
		prefix := strings.Join(above, "")
		for _, key := range strings.Fields(found[2]) {
			key = strings.Trim(key, ".,[]")
			keys[prefix+key] = true
			if len(above) == len(found[1])/2 {
				above = append(above, key+".")
			}
		}
	}
	return keys
}

func TestJSONHasTheKeysDocumented(t *testing.T) {
	got := map[string]bool{}
	for _, file := range exampleFiles(t) {
		keyPaths(jsonOfReport(t, checkFile(t, file)), "", got)
	}
	keyPaths(jsonOfReport(t, mustCheck(t, rigidBandPlan(t))), "", got)
	want := documentedKeys(t)
	if !maps.Equal(got, want) {
		t.Errorf("written    %v\ndocumented %v", slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
	}
	// What programs were promised by name.
	for _, key := range []string{"plan", "verdict", "bites.name", "bites.verdict", "bites.clearance_mm", "bites.nearest", "bites.reasons.rule", "bites.reasons.basis", "bites.reasons.text"} {
		if !got[key] {
			t.Errorf("no key %s", key)
		}
	}
}

func TestJSONHoldsTheReport(t *testing.T) {
	report := checkFile(t, "../examples/band-three-mistakes.yaml")
	doc := jsonOfReport(t, report)
	if doc["plan"] != report.Laid.Plan.Case || doc["verdict"] != "avoid" || doc["format"] != ReportFormat || doc["care"] != Care().String() {
		t.Errorf("got %v", doc)
	}
	for i, item := range doc["bites"].([]any) {
		bite, want := item.(map[string]any), report.Bites[i]
		if bite["name"] != want.Name || bite["verdict"] != want.Verdict.String() || bite["nearest"] != want.Nearest.Structure || bite["place"] != want.Where.String() {
			t.Errorf("bite %d: %v", i+1, bite)
		}
		near(t, "clearance", bite["clearance_mm"].(float64), want.Nearest.MM, 0.0005000001)
		near(t, "nearest of all", bite["clearance_mm"].(float64), least(bite["clearances_mm"].(map[string]any)), 0)
		reasons := bite["reasons"].([]any)
		if len(reasons) != len(want.Reasons) {
			t.Fatalf("bite %d: %d reasons", i+1, len(reasons))
		}
		for j, r := range reasons {
			reason := r.(map[string]any)
			if w := want.Reasons[j]; reason["rule"] != w.Rule || reason["basis"] != w.Basis.String() || reason["text"] != w.Text.String() || reason["level"] != w.Level.String() {
				t.Errorf("bite %d: %v", i+1, reason)
			}
		}
	}
}

func least(clearances map[string]any) float64 {
	smallest := math.Inf(1)
	for _, mm := range clearances {
		smallest = min(smallest, mm.(float64))
	}
	return smallest
}

// Lists are lists and never null, and a negative zero is a zero.
func TestJSONOfLittle(t *testing.T) {
	var out bytes.Buffer
	if err := mustCheck(t, codePlan()).WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), `"bites": []`) || !strings.Contains(out.String(), `"verdict": "clear"`) {
		t.Errorf("got %s", out.String())
	}
	out.Reset()
	report := mustCheck(t, codePlan(going(Rim, 22, 0, 4, 0, 1.2)))
	report.Bites[0].Nearest.MM = -0.0001
	if err := report.WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), `"reasons": []`) || strings.Contains(out.String(), "null") || strings.Contains(out.String(), "-0,") {
		t.Errorf("got %s", out.String())
	}
}

func TestTableOfNoBites(t *testing.T) {
	if got := tableOf(t, mustCheck(t, codePlan())); !strings.HasPrefix(got, "test: CLEAR\n\nNo bites: the heart alone.\n") {
		t.Errorf("got\n%s", got)
	}
}

// Every column of every row stands under its heading: words begin where it begins, lengths end where it ends.
func TestTableColumnsStandInLine(t *testing.T) {
	plan := codePlan(going(Rim, 6, 0.5, 5, 0, 1.5), going(Leaflet, -14, -3.5, 3, 0, 0.75), going(Wall, -4, 12, 5, 90, 1), mattress(60, 4))
	plan.Bites[1].Name, plan.Bites[3].Name = "å second", "a name too long for its column"
	plan.Spacing = Spacing{0, 50}
	plan.Margins = Margins{}
	var rows [][]rune
	for _, line := range strings.Split(tableOf(t, mustCheck(t, plan)), "\n") {
		if strings.Contains(line, " mm  ") || strings.HasPrefix(line, "bite ") {
			rows = append(rows, []rune(line))
		}
	}
	if len(rows) != 5 {
		t.Fatalf("%d rows", len(rows))
	}
	head := string(rows[0])
	begins := func(title string) int { return strings.Index(head, title) }
	ends := func(title string) int { return strings.Index(head, title) + len(title) }
	for _, row := range rows[1:] {
		line := string(row)
		for _, column := range []int{begins("level"), begins("of the"), begins("tissue"), begins("goes in at")} {
			if row[column] == ' ' || row[column-1] != ' ' {
				t.Errorf("no word begins at column %d of\n%s\n%s", column, head, line)
			}
		}
		for _, column := range []int{ends("clear by"), ends("deep"), ends("off")} {
			if row[column-1] == ' ' || column < len(row) && row[column] != ' ' {
				t.Errorf("no length ends at column %d of\n%s\n%s", column, head, line)
			}
		}
	}
}

// A plan's own words neither steer the terminal nor tear the table.
func TestTableOfHostileWords(t *testing.T) {
	long := strings.Repeat("ab ", 160) + strings.Repeat("x", 20)
	one := strings.Repeat("y", 500)
	plan := codePlan(going(Rim, 20, 0, 4, 0, 1.2), going(Rim, 22, 0, 4, 0, 1.2), going(Rim, 23, 0, 4, 0, 1.2), going(Rim, 24, 0, 4, 0, 0.9))
	plan.Case = "\x1b[2J case\r\nwith\tlines \u202e and turns"
	plan.Bites[0].Name, plan.Bites[1].Name, plan.Bites[2].Name, plan.Bites[3].Name = long, one, "\x1b]0;title\x07", "\u2067م\u2028"
	plan.Spacing = DefaultSpacing
	got := tableOf(t, mustCheck(t, plan))
	for _, c := range got {
		if c != '\n' && (c < 0x20 || c == 0x7f || c >= 0x80 && c < 0xa0 || c >= 0x2028 && c <= 0x202e || c >= 0x2066 && c <= 0x2069) {
			t.Fatalf("the table holds %U", c)
		}
	}
	if !strings.Contains(got, one) || strings.Count(got, "\uFFFD") < 6 {
		t.Errorf("a name got lost in\n%s", got)
	}
	checkWidth(t, got)
}

// checkWidth: no line over 110 columns unless it is one word, indented.
func checkWidth(t *testing.T, table string) {
	t.Helper()
	for _, line := range strings.Split(table, "\n") {
		if n := len([]rune(line)); n > 110 && len(strings.Fields(line)) > 1 {
			t.Errorf("%d columns: %s", n, line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("blanks at the end of %q", line)
		}
	}
}

func TestTablesAreNotTooWide(t *testing.T) {
	for _, file := range exampleFiles(t) {
		checkWidth(t, tableOf(t, checkFile(t, file)))
	}
	// The widest of every column at once.
	plan := codePlan(going(Leaflet, -20.5, -12.5, 3, 180, 0.75))
	plan.Bites[0].Name = "fourteen runes"
	plan.Measured = []Measured{{Name: "rim-length", Value: 250}}
	table := tableOf(t, mustCheck(t, plan))
	checkWidth(t, table)
	if !strings.Contains(table, "fourteen runes  ") {
		t.Errorf("the name does not stand in its column:\n%s", table)
	}
}

// Of reasons that advise the same, the table says the advice once; advice that is part of another is still said.
func TestAdviceIsSaidOnce(t *testing.T) {
	advice := func(texts ...string) (reasons []Reason) {
		for _, text := range texts {
			reasons = append(reasons, Reason{Instead: words.Text(text)})
		}
		return reasons
	}
	for _, c := range []struct {
		reasons []Reason
		want    string
	}{
		{advice("a", "a"), "a"}, {advice("11 mm deep", "1 mm deep", "", "11 mm deep"), "11 mm deep; 1 mm deep"}, {advice("", ""), ""}, {nil, ""},
	} {
		if got := insteadOf(c.reasons); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

type failing struct{ after int }

var errFull = errors.New("no room")

func (f *failing) Write(p []byte) (int, error) {
	if f.after -= len(p); f.after < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestReportSaysWhenItCannotBeWritten(t *testing.T) {
	report := mustCheck(t, codePlan(going(Rim, 22, 0, 4, 0, 1.2)))
	for _, after := range []int{0, 10} {
		if err := report.WriteTable(&failing{after}); !errors.Is(err, errFull) {
			t.Errorf("table: %v", err)
		}
		if err := report.WriteJSON(&failing{after}); !errors.Is(err, errFull) {
			t.Errorf("JSON: %v", err)
		}
	}
}

// Every figure of the heart is counted once.
func TestFiguresAreCounted(t *testing.T) {
	plan := codePlan()
	plan.Measured = []Measured{{Name: "rim-length", Value: 110}, {Name: "node-depth", Value: 1.2}}
	measured, usual := mustCheck(t, plan).Figures(), mustCheck(t, codePlan()).Figures()
	total := len(loadCatalogue(t).Parameters())
	for _, f := range []Figures{measured, usual} {
		if f.Published+f.Memory+f.Assumption+f.Measured != total {
			t.Errorf("%+v of %d", f, total)
		}
	}
	want := usual
	want.Published, want.Assumption, want.Measured = usual.Published-1, usual.Assumption-1, 2 // rim-length is published, node-depth assumed
	if measured != want {
		t.Errorf("got %+v, want %+v", measured, want)
	}
}

func TestPlacesInWords(t *testing.T) {
	heart := usualHeart(t)
	segments := heart.Segments()
	for _, c := range []struct {
		along, off float64
		want       string
	}{
		{6, 0.5, fmt.Sprintf("anterior segment, 6.0 of %.1f mm clockwise, 0.5 mm up the wall", segments[0].ForMM)},
		{segments[0].ForMM + 3, 0.02, fmt.Sprintf("posterior segment, 3.0 of %.1f mm clockwise, on the hinge", segments[1].ForMM)},
		{-1, -2, fmt.Sprintf("septal segment, %.1f of %.1f mm clockwise, 2.0 mm onto the leaflet", segments[2].ForMM-1, segments[2].ForMM)},
	} {
		if got := mustCheck(t, codePlan(going(Rim, c.along, c.off, 3, 0, 1))).Bites[0].Where.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// The examples are what they say: a clear band, and three mistakes each caught for a reason of its own.
func TestExamplesAreJudgedAsTheySay(t *testing.T) {
	if r := checkFile(t, "../examples/band.yaml"); r.Verdict != Clear {
		t.Errorf("the band: %v\n%s", r.Verdict, tableOf(t, r))
	}
	mistakes := map[string]string{"A": "apical-half", "B": "ventricular-side", "C": "fibrous-body"}
	for _, b := range checkFile(t, "../examples/band-three-mistakes.yaml").Bites {
		rule, mistaken := mistakes[b.Name]
		if mistaken != (b.Verdict == Avoid) || mistaken && !slices.Contains(ruleIDs(b.Reasons), rule) {
			t.Errorf("bite %s: %v, %v", b.Name, b.Verdict, ruleIDs(b.Reasons))
		}
	}
	caught := map[string]string{"septal-defect": "1", "displaced-hinge": "1", "straddling": "1"} // by the axis of a malformed heart
	for _, file := range exampleFiles(t) {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		for _, b := range checkFile(t, file).Bites {
			if name == "wrong-side" { // a whole line where it must not run: see the next test
				continue
			}
			if mistaken := b.Name == caught[name] || name == "band-three-mistakes" && mistakes[b.Name] != ""; mistaken != (b.Verdict == Avoid) {
				t.Errorf("%s: bite %s is %v", name, b.Name, b.Verdict)
			}
		}
	}
}

// The examples of what stitches do together are judged as they say: two sound repairs and a purse-string tied too tight,
// a line round the triangle with its uncertainty, and the same line on the wrong side of the node.
func TestExamplesOfRepairsAndLines(t *testing.T) {
	for name, want := range map[string]Level{"asymmetric-band": Clear, "two-leaflets": Clear, "purse-string-too-tight": Avoid} {
		if o := checkFile(t, "../examples/"+name+".yaml").Outcome; o == nil || o.Verdict != want {
			t.Errorf("%s: %+v, want %s", name, o, want)
		}
	}
	tight := checkFile(t, "../examples/purse-string-too-tight.yaml").Outcome
	if ids := ruleIDs(tight.Reasons); !slices.Contains(ids, "orifice-area") {
		t.Errorf("purse-string-too-tight is caught by %v", ids)
	}
	around, wrong := checkFile(t, "../examples/around-the-triangle.yaml").Line, checkFile(t, "../examples/wrong-side.yaml").Line
	if around == nil || around.Verdict != Caution || !slices.Contains(ruleIDs(around.Reasons), "line-sample") || slices.Contains(ruleIDs(around.Reasons), "line-takes-in") {
		t.Errorf("around-the-triangle: %+v", around)
	}
	if wrong == nil || wrong.Verdict != Avoid || !slices.Contains(ruleIDs(wrong.Reasons), "line-takes-in") {
		t.Errorf("wrong-side: %+v", wrong)
	}
	if template := checkFile(t, "../examples/patch-template.yaml"); len(template.Patches) != 1 || len(template.Patches[0].Marks) != 7 || template.Patches[0].Verdict != Clear {
		t.Errorf("patch-template: %+v", template.Patches)
	}
}
