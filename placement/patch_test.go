package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// patchPlan is a plan of one patch and some bites.
func patchPlan(patch string, bites ...string) string {
	return planText(bites...) + "patches:\n  - " + patch + "\n"
}

func onePatch(t testing.TB, text string) PatchReport {
	t.Helper()
	report := mustCheck(t, mustRead(t, text))
	if len(report.Patches) != 1 {
		t.Fatalf("%d patches", len(report.Patches))
	}
	return report.Patches[0]
}

const noBites = "fairlead: 1\ncase: test\noperation: rehearsal\nbites: []\n"

// A leaflet hung from the hinge is a cylinder over it: its threads are parallel and of their own length, so its area is
// the integral of height times the hinge's course across the threads, and its free edge is a cut through the cylinder.
func TestLeafletPatchUnrollsExactly(t *testing.T) {
	const leafPlan = noBites + "patches:\n  - { name: leaf, from: { segment: septal, share: 10 % }, to: { segment: septal, share: 90 % }, heights: [12 mm, 16 mm, 12 mm], seam: 2 mm }\n"
	patch := onePatch(t, leafPlan)
	heart := usualHeart(t)
	septal := heart.Segments()[2]
	from, width := septal.FromMM+0.1*septal.ForMM, 0.8*septal.ForMM
	laid := mustLay(t, mustRead(t, leafPlan))
	down := laid.hangs(from, width)
	area, free := 0.0, 0.0
	const n = 20000
	height := laid.Plan.Patches[0].heightAt
	for share, want := range map[float64]float64{0: 12, 0.5: 16, 1: 12} {
		near(t, "height", height(share), want, 1e-12)
	}
	var before geom.Vec
	for i := range n + 1 {
		share := float64(i) / n
		p := heart.Rim.At(from + share*width)
		edge := p.Add(down.Scale(height(share)))
		if i > 0 {
			area += heart.Rim.At(from+(share-0.5/n)*width+1e-4).Sub(heart.Rim.At(from+(share-0.5/n)*width-1e-4)).Scale(1/2e-4).Cross(down).Norm() * height(share-0.5/n) * width / n
			free += edge.Distance(before)
		}
		before = edge
	}
	near(t, "area on the tissue", patch.Sheet.AreaMM2, area, 1e-3*area)
	near(t, "area laid flat", patch.Sheet.FlatAreaMM2, area, 1e-3*area)
	near(t, "perimeter laid flat", patch.Sheet.FlatPerimeterMM, width+free+12+12, 1e-3*(width+free+24))
	near(t, "stretch", patch.Sheet.Distortion(), 0, 1e-3)
	if patch.Verdict != Clear {
		t.Errorf("%v", patch.Reasons)
	}
	// Seen from the atrium with the hinge up: the hinge's points lie above the free edge's.
	mean := func(s PatchSide) (y float64) {
		for i := s.From; i < s.To; i++ {
			y += patch.Sheet.Points[i].Y / float64(s.To-s.From)
		}
		return y
	}
	for _, s := range patch.Sides {
		if s.Name == "hinge" && mean(s) < 4 || s.Name == "free edge" && mean(s) > 0 {
			t.Errorf("%s lies at %g", s.Name, mean(s))
		}
	}
	if patch.Sheet.Edge().SignedArea() < 0 {
		t.Error("the sheet is mirrored")
	}
}

// A patch on the wall has the area of the surface it lies on, by brute force over the chart.
func TestWallPatchAgainstBruteForce(t *testing.T) {
	patch := onePatch(t, noBites+`patches:
  - name: wall
    edge:
      - { from: mid-septal, toward: anticlockwise, by: 6 mm, off: 3 mm }
      - { from: mid-septal, toward: clockwise, by: 6 mm, off: 3 mm }
      - { from: mid-septal, toward: clockwise, by: 4 mm, off: 13 mm }
      - { from: mid-septal, toward: anticlockwise, by: 5 mm, off: 15 mm }
`)
	heart := usualHeart(t)
	low, high := patch.Chart[0], patch.Chart[0]
	for _, p := range patch.Chart {
		low, high = geom.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, geom.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	const step, h = 0.05, 1e-3
	area := 0.0
	frame := func(x, y float64) geom.Vec { return heart.Chart.Frame(atlas.Spot{AlongMM: x, OffMM: y}) }
	for x := low.X + step/2; x < high.X; x += step {
		for y := low.Y + step/2; y < high.Y; y += step {
			if patch.Chart.Contains(geom.Point{X: x, Y: y}) {
				area += frame(x+h, y).Sub(frame(x-h, y)).Cross(frame(x, y+h).Sub(frame(x, y-h))).Norm() / (4 * h * h) * step * step
			}
		}
	}
	near(t, "area", patch.Sheet.AreaMM2, area, 0.01*area)
	if math.Abs(patch.AreaError()) > 0.01 || math.Abs(patch.PerimeterError()) > 0.01 {
		t.Errorf("area %+.4f, perimeter %+.4f off", patch.AreaError(), patch.PerimeterError())
	}
}

// Area and perimeter are conserved within 1 %, whatever patch a plan of reasonable size asks for.
func TestPatchesKeepTheirSize(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	laid := mustLay(t, mustRead(t, noBites))
	for trial := range 25 {
		laid.Heart = randomHeart(r, loadCatalogue(t))
		patch := Patch{Name: "random", SeamMM: 3}
		along, off := 0.8*laid.Heart.Rim.LengthMM()*r.Float64(), 8+6*r.Float64()
		for i := range 7 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 7)
			reach := 3 + 4*r.Float64()
			patch.Edge = append(patch.Edge, placeAt(along+reach*cos, off+reach*sin))
		}
		if err := laidPatchProblems(laid, patch); err != nil {
			t.Fatalf("trial %d: %v", trial, err)
		}
		report := PatchReport{LaidPatch: laid.Patches[0]}
		if math.Abs(report.AreaError()) > 0.01 || math.Abs(report.PerimeterError()) > 0.01 {
			t.Errorf("trial %d: area %+.4f, perimeter %+.4f off", trial, report.AreaError(), report.PerimeterError())
		}
	}
}

func laidPatchProblems(laid *Laid, patch Patch) error {
	var problems strictyaml.Problems
	laid.Patches, laid.Plan.Patches = nil, []Patch{patch}
	laid.layPatches(&problems)
	return problems.Err()
}

// The cutting line of a convex outline encloses A + P·s + π·s² and is P + 2π·s long (Steiner); of any outline, it is
// nowhere nearer than the seam, and nowhere a step farther.
func TestSeam(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for trial := range 60 {
		var outline geom.Outline
		n := 3 + r.IntN(9)
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			reach := 12.0
			if trial%2 == 1 {
				reach = 6 + 8*r.Float64()
			}
			outline = append(outline, geom.Point{X: reach * cos, Y: reach * sin})
		}
		seam := 0.5 + 4*r.Float64()
		cut := seamed(outline, seam)
		if trial%2 == 0 {
			a, p := outline.Area(), outline.Perimeter()
			near(t, fmt.Sprintf("trial %d: area", trial), cut.Area(), a+p*seam+math.Pi*seam*seam, 2e-3*a)
			near(t, fmt.Sprintf("trial %d: length", trial), cut.Perimeter(), p+2*math.Pi*seam, 0.02)
		}
		if cut.CrossesSelf() {
			t.Errorf("trial %d: the cutting line crosses itself", trial)
		}
		for i, q := range cut {
			next := cut[(i+1)%len(cut)]
			for _, p := range []geom.Point{q, {X: (q.X + next.X) / 2, Y: (q.Y + next.Y) / 2}} {
				if d := outline.SignedDistance(p); d < seam-0.02 || d > seam+seamStepMM {
					t.Fatalf("trial %d: the seam of %g mm is %g mm wide", trial, seam, d)
				}
			}
		}
	}
	if got := seamed(geom.Outline{{}, {X: 1}, {Y: 1}}, 0); len(got) != 3 {
		t.Errorf("no seam: %v", got)
	}
}

const hingeLeaf = "{ name: leaf, from: { segment: septal, share: 5 % }, to: { segment: septal, share: 95 % }, heights: [10 mm, 14 mm, 10 mm] }"

func septalBite(name string, share int, off float64) string {
	return fmt.Sprintf("{ name: %q, kind: single, tissue: leaflet, in: { segment: septal, share: %d %%, off: %g mm }, travel: 2 mm, heading: onto-the-leaflet, depth: 0.6 mm }", name, share, off)
}

// Bites along the hinge are marked on the leaflet's hinge side, in its order and where they are along it.
func TestBiteMarks(t *testing.T) {
	patch := onePatch(t, patchPlan(hingeLeaf, septalBite("c", 80, -0.5), septalBite("a", 20, -0.5), septalBite("b", 50, -0.5), septalBite("far", 60, -6)))
	septal := usualHeart(t).Segments()[2]
	want := map[string]float64{"a": 0.15, "b": 0.45, "c": 0.75} // of the septal segment from the leaflet's beginning
	var hinge PatchSide
	for _, s := range patch.Sides {
		if s.Name == "hinge" {
			hinge = s
		}
	}
	end := patch.edgeLengths()[hinge.To] // the edge runs anticlockwise, so along the hinge toward where the leaflet begins
	if len(patch.Marks) != 3 {
		t.Fatalf("marks %v", patch.Marks)
	}
	for i, m := range patch.Marks {
		if i > 0 && m.EdgeMM <= patch.Marks[i-1].EdgeMM {
			t.Error("marks are not in the order of the edge")
		}
		near(t, "mark "+m.Bite, end-m.EdgeMM, want[m.Bite]*septal.ForMM, 0.3)
		near(t, "its normal", math.Hypot(m.Out.X, m.Out.Y), 1, 1e-9)
		if m.Out.Y < 0.5 {
			t.Errorf("mark %s does not point away from the leaflet: %v", m.Bite, m.Out)
		}
		if d := patch.Sheet.Edge().SignedDistance(geom.Point{X: m.At.X + m.Out.X, Y: m.At.Y + m.Out.Y}); d < 0.9 {
			t.Errorf("mark %s points %g mm off the sheet", m.Bite, d)
		}
	}
	if orders := [3]int{patch.Marks[0].Order, patch.Marks[1].Order, patch.Marks[2].Order}; orders != [3]int{1, 3, 2} {
		t.Errorf("numbers %v", orders)
	}
}

func TestPatchRules(t *testing.T) {
	sparse := []string{septalBite("a", 20, -0.5), septalBite("b", 80, -0.5)}
	close := []string{septalBite("a", 20, -0.5), septalBite("b", 45, -0.5), septalBite("c", 75, -0.5)}
	wide := `{ name: wide, edge: [%s] }`
	corners := func(alongMM, lowMM, highMM float64) string {
		return fmt.Sprintf("{ from: anteroseptal-commissure, toward: clockwise, by: %g mm, off: %g mm }, { from: anteroseptal-commissure, toward: anticlockwise, by: %g mm, off: %g mm }, { from: anteroseptal-commissure, toward: anticlockwise, by: %g mm, off: %g mm }, { from: anteroseptal-commissure, toward: clockwise, by: %g mm, off: %g mm }",
			alongMM, lowMM, alongMM, lowMM, alongMM, highMM, alongMM, highMM)
	}
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"held", patchPlan(hingeLeaf, close...), nil},
		{"a gap", patchPlan(hingeLeaf, sparse...), []string{"patch-edge"}},
		{"no bites", noBites + "patches:\n  - " + hingeLeaf + "\n", nil},
		{"over the hinge, where wall and leaflet make a hollow", noBites + "patches:\n  - " + fmt.Sprintf(wide, corners(14, -6, 24)) + "\n", []string{"patch-distortion"}},
		{"on the wall", noBites + "patches:\n  - " + fmt.Sprintf(wide, corners(4, 2, 10)) + "\n", nil},
	} {
		patch := onePatch(t, c.text)
		saidWell(t, patch.Reasons)
		if got := ruleIDs(patch.Reasons); fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %v, want %v; distortion %.4f", c.name, patch.Reasons, c.want, patch.Sheet.Distortion())
		}
		if patch.Verdict != worst(patch.Reasons) {
			t.Errorf("%s: verdict %s", c.name, patch.Verdict)
		}
	}
}

func TestPatchesThatCannotBe(t *testing.T) {
	catalogue := loadCatalogue(t)
	for name, c := range map[string]struct{ patch, want string }{
		"one place":     {"{ name: x, from: { segment: septal, share: 50 % }, to: { segment: septal, share: 50 % }, heights: [9 mm, 9 mm] }", "begins and ends in one place"},
		"crossing":      {"{ name: x, edge: [ { segment: septal, share: 20 %, off: 2 mm }, { segment: septal, share: 80 %, off: 9 mm }, { segment: septal, share: 80 %, off: 2 mm }, { segment: septal, share: 20 %, off: 9 mm } ] }", "crosses itself"},
		"no inside":     {"{ name: x, edge: [ { segment: septal, share: 20 %, off: 2 mm }, { segment: septal, share: 40 %, off: 2 mm }, { segment: septal, share: 80 %, off: 2 mm } ] }", "cannot be laid out flat"},
		"a folded leaf": {"{ name: x, edge: [ { segment: septal, share: 2 % }, { segment: septal, share: 30 % }, { segment: septal, share: 2 %, off: -17 mm } ] }", "run into each other"},
		"no line":       {"{ name: x, covers: nodal-triangle }", "the plan has no line"},
	} {
		plan, problems := Read("plan.yaml", []byte(noBites+"patches:\n  - "+c.patch+"\n"), WordsOf(catalogue))
		if problems == nil {
			_, problems = Lay(plan, catalogue)
		}
		if err := problems.Err(); err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "plan.yaml:6:5") && name != "a folded leaf" {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}
