package placement

import (
	"reflect"
	"strings"
	"testing"

	"fairlead/atlas/strictyaml"
)

func TestReadFillsTheLine(t *testing.T) {
	plan := mustRead(t, `fairlead: 1
case: test
operation: replacement
bites: []
line:
  through:
    - { clock: 10:30, off: -2 mm }
    - { around: nodal-triangle, from-lip: 1.5 mm }
    - { segment: anterior, share: 20 % }
  ostium: ventricular
  takes-in: nodal-triangle
  depth: 0.7 mm
  bites:
    every: 6 mm
    rim: { kind: mattress, lie: across, travel: 3 mm, depth: 1.2 mm, apart: 4 mm, pledget: ventricular }
    leaflet: { kind: single, lie: along, travel: 2 mm, depth: 0.5 mm }
  prosthesis: { outer: 31 mm }
  sample: { hearts: 7, seed: 9 }
`)
	at := func(line, column int) strictyaml.Position {
		return strictyaml.Position{File: "plan.yaml", Line: line, Column: column}
	}
	want := &Line{
		Through: []Waypoint{
			{Place: Place{Way: AtClock, ClockHour: 10.5, OffMM: -2, At: at(7, 7)}, At: at(7, 7)},
			{Around: NodalTriangle, FromLipMM: 1.5, At: at(8, 7)},
			{Place: Place{Way: OfSegment, Segment: Anterior, SharePercent: 20, At: at(9, 7)}, At: at(9, 7)},
		},
		Ostium: VentricularSide, TakesIn: NodalTriangle, DepthMM: 0.7,
		Bites: &LineBites{
			EveryMM: 6,
			Rim:     &LineStitch{Kind: Mattress, Lie: Across, TravelMM: 3, DepthMM: 1.2, ApartMM: 4, Pledget: Ventricular},
			Leaflet: &LineStitch{Kind: Single, Lie: Along, TravelMM: 2, DepthMM: 0.5, Pledget: NoPledget},
		},
		OuterMM: 31, Sample: LineSample{Hearts: 7, Seed: 9}, At: at(6, 3),
	}
	if !reflect.DeepEqual(plan.Line, want) {
		t.Errorf("\n got %+v\nwant %+v", plan.Line, want)
	}
	for tissue, depth := range map[Tissue]float64{Rim: 1.2, Leaflet: 0.5, Wall: 0.7} {
		if got := plan.Line.depthOn(tissue); got != depth {
			t.Errorf("%v mm deep on %s, want %v", got, tissue, depth)
		}
	}
}

func TestReadFillsWhatALineLeavesOut(t *testing.T) {
	line := mustRead(t, lineText("  ostium: atrial\n", hingePlaces(0)...)).Line
	if line.DepthMM != DefaultLineDepthMM || line.Bites != nil || line.OuterMM != 0 || line.TakesIn != "" || line.Sample != (LineSample{unsaidHearts, 1}) {
		t.Errorf("got %+v", line)
	}
	if mustRead(t, planHead+"  []\n").Line != nil {
		t.Error("a plan without a line has one")
	}
	for stretch, want := range map[string]int{"": sampledHearts, "stretch": sampledStretchedHearts} {
		plan := mustRead(t, lineText("  ostium: atrial\n", hingePlaces(0)...))
		if stretch != "" {
			plan.Stretch, plan.Measured = plan.Stretch+WordsOf(loadCatalogue(t)).Patterns[0], []Measured{{Name: "rim-length", Value: 120}}
		}
		if got := mustLay(t, plan).Line.Sample.Hearts; got != want {
			t.Errorf("%d hearts, want %d", got, want)
		}
	}
}

// What only the heart can tell is wrong with a line has its place in the file and says how to mend it.
func TestLayRefusesLines(t *testing.T) {
	atrial := "  ostium: atrial\n" + noSample
	for name, c := range map[string]struct{ text, want string }{
		"beyond the wall":       {lineText(atrial, append(hingePlaces(0), "{ segment: septal, share: 80 %, off: 40 mm }")...) + "heart: { septal-wall-height: 30 mm }\n", "plan.yaml:13:7: line: its place 7 lies 40.0 mm off the hinge, outside this heart's wall and leaflet"},
		"beyond the leaflet":    {lineText(atrial, append(hingePlaces(0), "{ segment: septal, share: 80 %, off: -20 mm }")...), "line: its place 7 lies -20.0 mm off the hinge"},
		"too far along":         {lineText(atrial, append(hingePlaces(0), "{ from: mid-septal, toward: clockwise, by: 120 mm }")...), "line: its place 7 lies 120.0 mm along a rim of 105.8 mm"},
		"not round":             {lineText(atrial, hingePlaces(0)[:3]...), "line: it goes round the rim 0 times"},
		"twice round":           {lineText(atrial, append(hingePlaces(0), hingePlaces(5)...)...), "line: it goes round the rim 2 times"},
		"either way":            {lineText(atrial, "{ from: anteroseptal-commissure, toward: clockwise, by: 0 mm }", "{ from: anteroseptal-commissure, toward: clockwise, by: 52.9 mm }", "{ from: anteroseptal-commissure, toward: clockwise, by: 80 mm }"), "line: from its place 1 to its place 2 neither way round the rim is the shorter"},
		"folded":                {lineText(atrial, hingePlaces(-11)...), "line: it runs 11.0 mm onto the leaflet"},
		"round beyond the wall": {lineText("  ostium: ventricular\n"+noSample, roundPlaces(12)...) + "heart: { septal-wall-height: 25 mm }\n", "outside this heart's wall and leaflet"},
		"bites on no tissue":    {lineText(atrial+"  bites: { every: 6 mm, wall: { kind: single, lie: along, travel: 2 mm, depth: 1 mm } }\n", hingePlaces(0)...), "line: its stitch L1 comes to lie on rim (anterior segment, 0.0 of 40.6 mm clockwise, on the hinge), and `bites` does not say how to stitch there"},
		"too deep to sew":       {lineText(atrial+"  bites: { every: 6 mm, rim: { kind: single, lie: along, travel: 2 mm, depth: 4 mm } }\n", hingePlaces(0)...), `bite "L1" is 4.0 mm deep but only 2.0 mm from in to out`},
		"a name taken":          {strings.Replace(lineText(atrial+"  bites: { every: 6 mm, rim: { kind: single, lie: along, travel: 2 mm, depth: 1 mm } }\n", hingePlaces(0)...), "bites: []", "bites: [{ name: L3, kind: single, tissue: rim, in: { clock: 1:00 }, travel: 3 mm, heading: clockwise, depth: 1 mm }]", 1), `a bite is called "L3" too`},
	} {
		t.Run(name, func(t *testing.T) {
			laid, problems := Lay(mustRead(t, c.text), loadCatalogue(t))
			if laid != nil || problems == nil || !strings.Contains(problems.Error(), c.want) || !strings.Contains(problems.Error(), "; expected ") {
				t.Errorf("got %v, want %q", problems, c.want)
			}
		})
	}
}

func TestLineShapeIsInTheSchema(t *testing.T) {
	schema := string(Schema(inventedParameters))
	for _, word := range []string{`"from-lip"`, `"takes-in"`, `"prosthesis"`, `"nodal-triangle"`} {
		if !strings.Contains(schema, word) {
			t.Errorf("the schema lacks %s", word)
		}
	}
}
