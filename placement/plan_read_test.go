package placement

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"fairlead/atlas/strictyaml"
)

const plansDir = "../testdata/plans"

// inventedParameters stand in for those of the atlas, one of every unit.
var inventedParameters = Words{Methods: []string{"echo", "ct"}, Formulas: []string{"haycock"}, Datasets: []string{"children", "adults"}, Patterns: []string{"classical", "uniform"}, Variants: []string{"septal-defect"}, Parameters: []ParameterName{
	{Name: "rim-length", Unit: "mm", Label: "Length of the rim.", Min: 40, Max: 250},
	{Name: "wall-angle-septal", Unit: "deg", Label: "Slope of the septal wall.", Min: 0, Max: 180},
	{Name: "orifice-area", Unit: "mm2", Label: "Area of the orifice.", Min: 100, Max: 5000},
	{Name: "shortening", Unit: "%", Label: "Shortening of the rim in systole.", Min: 0, Max: 60},
	{Name: "septal-share", Unit: "1", Label: "Share of the rim that is septal.", Min: 0, Max: 1},
}}

func planFiles(t testing.TB, kind string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(plansDir, kind, "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no %s plans: %v", kind, err)
	}
	return files
}

func readFile(t testing.TB, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestReadSoundPlans(t *testing.T) {
	seen := map[any]bool{}
	for _, file := range planFiles(t, "ok") {
		plan, problems := Read(file, readFile(t, file), inventedParameters)
		if problems != nil {
			t.Errorf("%s", problems.Error())
		}
		seen[plan.Operation] = true
		for _, b := range plan.Bites {
			seen[b.Kind], seen[b.Tissue], seen[b.Pledget], seen[b.In.Way], seen[b.HasOut], seen[b.Heading] = true, true, true, true, true, true
		}
	}
	for _, want := range []any{
		Band, Ring, PurseString, Replacement, Rehearsal, Single, Mattress, Running, Wall, Rim, Leaflet, NoPledget, Atrial, Ventricular,
		FromLandmark, OfSegment, AtClock, true, false, Heading{0}, Heading{90}, Heading{180}, Heading{270}, Heading{200.5},
	} {
		if !seen[want] {
			t.Errorf("no sound plan has %T %v", want, want)
		}
	}
}

func TestReadFillsThePlan(t *testing.T) {
	at := func(line, column int) strictyaml.Position {
		return strictyaml.Position{File: "band.yaml", Line: line, Column: column}
	}
	file := readFile(t, plansDir+"/ok/band.yaml")
	want := Plan{
		File: "band.yaml", Digest: fmt.Sprintf("%x", sha256.Sum256(file))[:12], Case: "Example A, invented", Operation: Band, Note: "Every way to say a place, and every kind of stitch.",
		Measured: []Measured{{Name: "rim-length", Value: 118, At: at(7, 15)}, {Name: "wall-angle-septal", Value: 75, At: at(8, 22)}},
		Valve:    Valve{Leaflets: 3},
		Margins:  Margins{2.5, 0.75, 1.5, 1.25},
		Needle:   Needle{0.7, 0.4},
		Spacing:  Spacing{1, 8},
		Bites: []Bite{
			{
				Name: "1", Kind: Single, Tissue: Rim, TravelMM: 6, DepthMM: 2, Pledget: NoPledget, Note: "the first of all", At: at(13, 5),
				In: Place{Way: FromLandmark, From: AnteroseptalCommissure, Toward: Anterior, ByMM: 5, OffMM: 1, At: at(16, 9)},
			},
			{
				Name: "m1", Kind: Mattress, Tissue: Rim, HasOut: true, ApartMM: 5, Pledget: Atrial, DepthMM: 2, At: at(21, 5),
				In:  Place{Way: OfSegment, Segment: Posterior, SharePercent: 40, OffMM: 2, At: at(24, 9)},
				Out: Place{Way: OfSegment, Segment: Posterior, SharePercent: 40, OffMM: -2, At: at(25, 10)},
			},
			{
				Name: "run", Kind: Running, Tissue: Rim, TravelMM: 4, Passes: 6, PitchMM: 7, DepthMM: 2, Pledget: NoPledget, At: at(29, 5),
				In: Place{Way: AtClock, ClockHour: 10.5, OffMM: 1, At: at(29, 50)},
			},
		},
	}
	got, problems := Read("band.yaml", file, inventedParameters)
	if problems != nil {
		t.Fatal(problems)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("\n got %+v\nwant %+v", got, want)
	}
}

func TestReadFillsWhatIsLeftOut(t *testing.T) {
	got, problems := Read("f", []byte("fairlead: 1\ncase: x\noperation: ring\nmargins: { aorta: 0 mm }\nneedle: { thread: 1 mm }\nspacing: { most: 20 mm }\nbites: []\n"), inventedParameters)
	if problems != nil {
		t.Fatal(problems)
	}
	if got.Margins != (Margins{2, 0.5, 0, 1}) || got.Needle != (Needle{0.6, 1}) || got.Spacing != (Spacing{0.5, 20}) {
		t.Errorf("got %+v", got)
	}
}

func TestReadRefusesBrokenPlans(t *testing.T) {
	for _, file := range planFiles(t, "err") {
		t.Run(filepath.Base(file), func(t *testing.T) {
			_, problems := Read(filepath.Base(file), readFile(t, file), inventedParameters)
			if problems == nil {
				t.Fatal("the plan was accepted")
			}
			golden := strings.TrimSuffix(file, ".yaml") + ".txt"
			got := problems.Error() + "\n"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if want := string(readFile(t, golden)); got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

// Left-over messages would go on looking like a test.
func TestEveryMessageHasItsPlan(t *testing.T) {
	messages, err := filepath.Glob(filepath.Join(plansDir, "err", "*.txt"))
	if err != nil || len(messages) != len(planFiles(t, "err")) {
		t.Errorf("%d messages for %d plans: %v", len(messages), len(planFiles(t, "err")), err)
	}
}

func TestRefusedPlanIsEmpty(t *testing.T) {
	plan, problems := Read("f", []byte("fairlead: 2\ncase: x\noperation: ring\nbites: []\n"), inventedParameters)
	if len(problems) != 1 || !reflect.DeepEqual(plan, Plan{File: "f"}) {
		t.Errorf("got %+v with %v", plan, problems)
	}
}

func FuzzRead(f *testing.F) {
	for _, file := range append(planFiles(f, "ok"), planFiles(f, "err")...) {
		f.Add(readFile(f, file))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		plan, problems := Read("f", data, inventedParameters)
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.What == "" || strings.ContainsAny(p.Error(), "\r\n") {
				t.Errorf("a malformed problem: %q", p.Error())
			}
		}
		if problems != nil {
			return
		}
		for _, b := range plan.Bites {
			checkSound(t, b)
		}
	})
}

// checkSound states what later steps rely on in a bite that was accepted.
func checkSound(t *testing.T, b Bite) {
	t.Helper()
	if b.DepthMM <= 0 || b.HasOut == (b.TravelMM > 0) || b.HasOut != (b.Out.Way != "") || b.In.Way == "" {
		t.Errorf("a bite that goes nowhere: %+v", b)
	}
	if (b.Kind == Mattress) != (b.ApartMM > 0) || (b.Kind == Running) != (b.Passes > 1) {
		t.Errorf("a bite that does not fit its kind: %+v", b)
	}
	if b.Tissue == Wall && min(b.In.OffMM, b.Out.OffMM) < 0 || b.Tissue == Leaflet && max(b.In.OffMM, b.Out.OffMM) > 0 {
		t.Errorf("a bite that does not fit its tissue: %+v", b)
	}
}
