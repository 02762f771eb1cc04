package svgout

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

func sectionView(t testing.TB, report *placement.Report, bite string) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := SectionView(&plate, report, bite); err != nil {
		t.Fatalf("bite %q: %v", bite, err)
	}
	return plate.Bytes()
}

// squareBites go up the wall, so that their needle lies in the plane across the rim.
const squareBites = `
fairlead: 1
case: "Square bites (invented)"
operation: rehearsal
%sbites:
  - { name: anterior, kind: single, tissue: rim, in: { segment: anterior, share: 45 %%, off: -1 mm }, travel: 3 mm, heading: up-the-wall, depth: 1.2 mm }
  - { name: posterior, kind: single, tissue: rim, in: { segment: posterior, share: 55 %%, off: 2 mm }, travel: 3.5 mm, heading: onto-the-leaflet, depth: 1.4 mm }
  - { name: septal, kind: single, tissue: wall, in: { segment: septal, share: 60 %%, off: 1 mm }, travel: 4 mm, heading: up-the-wall, depth: 1 mm }
  - { name: commissure, kind: mattress, tissue: rim, in: { from: anteroseptal-commissure, toward: anterior, by: 4 mm, off: 2 mm }, travel: 4 mm, heading: onto-the-leaflet, depth: 1.5 mm, apart: 4 mm, pledget: atrial }
  - { name: row, kind: running, tissue: rim, in: { segment: anterior, share: 10 %%, off: -1 mm }, travel: 3 mm, heading: 60 deg, depth: 1 mm, passes: 6, pitch: 4 mm }
`

// allRound has bites up the wall all round the rim.
func allRound(t testing.TB, heart string) *placement.Report {
	t.Helper()
	var p strings.Builder
	fmt.Fprintf(&p, "fairlead: 1\ncase: \"All round (invented)\"\noperation: rehearsal\n%sbites:\n", heart)
	for i, segment := range []string{"anterior", "posterior", "septal"} {
		for share := 4; share < 100; share += 8 {
			fmt.Fprintf(&p, "  - { name: \"%d-%d\", kind: single, tissue: rim, in: { segment: %s, share: %d %%, off: -1.5 mm }, travel: 3 mm, heading: up-the-wall, depth: 1 mm }\n", i, share, segment, share)
		}
	}
	return reportOf(t, "round.yaml", []byte(p.String()))
}

func squareReport(t testing.TB, heart string) *placement.Report {
	t.Helper()
	return reportOf(t, "square.yaml", []byte(fmt.Sprintf(squareBites, heart)))
}

// The plane goes through the hinge, square to the rim's course in plan, its normal toward clockwise; the endocardium of
// the place lies in it.
func TestCutStandsAcrossTheRim(t *testing.T) {
	heart := squareReport(t, "").Laid.Heart
	for along := 0.5; along < heart.Rim.LengthMM(); along += 3.7 {
		c := cutAt(heart, along)
		if !rightHanded(c.gaze) {
			t.Fatalf("at %v the plane's directions are not square and right-handed: %v", along, c.gaze)
		}
		const step = 1e-4
		next := heart.Rim.At(along + step) // the saddle climbs: what a step does not lead ahead it leads up or down
		if ahead := c.aheadMM(next); ahead < 0.7*step || math.Abs(math.Hypot(ahead, next.Z-c.hinge.Z)/step-1) > 1e-3 {
			t.Errorf("at %v a step clockwise leads %v of itself ahead", along, ahead/step)
		}
		if out := c.flat(heart.Rim.At(along + step)); math.Abs(out.X) > 1e-6 {
			t.Errorf("at %v a step clockwise leads %v outward", along, out.X)
		}
		for _, off := range []float64{-9, -4, -1, 0, 2, 11} {
			if ahead := c.aheadMM(c.surface(off, 1)); math.Abs(ahead) > 1e-9 {
				t.Errorf("at %v, %v off the hinge, the endocardium lies %v mm off the plane", along, off, ahead)
			}
		}
	}
}

// A tube cut square is a circle of its radius; cut aslant at an angle to its axis, an ellipse whose long half-axis is the
// radius over the sine of the angle. An ellipsoid is cut in the ellipse of closed form: through the centre in the
// half-axes that lie in the plane, off it in the same shrunk by √(1 − d²/c²).
func TestOutlinesByClosedForm(t *testing.T) {
	heart := squareReport(t, "").Laid.Heart
	random := rand.New(rand.NewPCG(11, 2))
	for range 25 {
		c := cutAt(heart, random.Float64()*heart.Rim.LengthMM())
		x, y, r := 8*random.Float64()-2, 6*random.Float64()-3, 0.4+2*random.Float64()
		middle := c.at(x, y)
		square := geom.Tube{Axis: []geom.Vec{middle.Add(c.toward.Scale(-9)), middle.Add(c.toward.Scale(7))}, RadiusMM: r}
		holdEllipse(t, "square tube", c.outline(square), x, y, r, r, 0)

		slope := 0.4 + 1.1*random.Float64() // radians between axis and plane
		axis := c.toward.Scale(math.Sin(slope)).Add(c.right.Scale(math.Cos(slope)))
		aslant := geom.Tube{Axis: []geom.Vec{middle.Sub(axis.Scale(30)), middle.Add(axis.Scale(30))}, RadiusMM: r}
		holdEllipse(t, "tube aslant", c.outline(aslant), x, y, r/math.Sin(slope), r, 0)

		a, b, d := 0.5+4*random.Float64(), 0.3+3*random.Float64(), 0.5+5*random.Float64()
		turn := random.Float64() * math.Pi
		sin, cos := math.Sincos(turn)
		body := geom.Ellipsoid{Centre: middle, Radii: [3]float64{a, b, d},
			Axes: [3]geom.Vec{c.right.Scale(cos).Add(c.up.Scale(sin)), c.up.Scale(cos).Sub(c.right.Scale(sin)), c.toward}}
		holdEllipse(t, "ellipsoid", c.outline(body), x, y, a, b, turn)
		off := 0.7 * d * random.Float64()
		body.Centre = middle.Add(c.toward.Scale(off))
		shrunk := math.Sqrt(1 - off*off/(d*d))
		holdEllipse(t, "ellipsoid off its centre", c.outline(body), x, y, a*shrunk, b*shrunk, turn)
		body.Centre = middle.Add(c.toward.Scale(d * 1.01))
		if missed := c.outline(body); len(missed) > 0 {
			t.Errorf("an ellipsoid beside the plane has %d outlines in it", len(missed))
		}
	}
}

// holdEllipse wants one outline, every point of it on the ellipse to 1e-6 mm or so, without a gap, and all of its area.
func holdEllipse(t *testing.T, what string, outlines []geom.Outline, x, y, a, b, turn float64) {
	t.Helper()
	if len(outlines) != 1 {
		t.Errorf("%s: %d outlines", what, len(outlines))
		return
	}
	sin, cos := math.Sincos(turn)
	area := 0.0
	for i, p := range outlines[0] {
		u, v := (p.X-x)*cos+(p.Y-y)*sin, (p.Y-y)*cos-(p.X-x)*sin
		// A point off the ellipse by e has u²/a²+v²/b² off 1 by up to 2e/min(a, b).
		if miss := math.Abs(u*u/(a*a)+v*v/(b*b)-1) * min(a, b) / 2; miss > 1e-6 {
			t.Errorf("%s: a point lies about %.2g mm off an ellipse of %.3f by %.3f mm", what, miss, a, b)
			return
		}
		q := outlines[0][(i+1)%len(outlines[0])]
		if gap := math.Hypot(q.X-p.X, q.Y-p.Y); gap > contourFinestMM*math.Sqrt2+1e-9 {
			t.Errorf("%s: a gap of %.3f mm", what, gap)
			return
		}
		area += (p.X*q.Y - q.X*p.Y) / 2
	}
	// Chords of length h along a curve of radius r or more lose h²/12r² of the area, less than 1 % here.
	if want := math.Pi * a * b; math.Abs(area/want-1) > 0.01 {
		t.Errorf("%s: encloses %.4f mm², want %.4f", what, area, want)
	}
}

// A tube beside the plane and along it is cut in a strip with round ends: at a distance d from its axis half as wide as
// √(r² − d²), on either side of the plane.
func TestOutlineOfATubeAlongThePlane(t *testing.T) {
	c := cutAt(squareReport(t, "").Laid.Heart, 70)
	const r, length = 1.4, 5.0
	for _, d := range []float64{-1.1, -0.4, 0, 0.7, 1.2} {
		from := c.at(2, 0).Add(c.toward.Scale(d))
		tube := geom.Tube{Axis: []geom.Vec{from, from.Add(c.right.Scale(length / 2)), from.Add(c.right.Scale(length))}, RadiusMM: r}
		half := math.Sqrt(r*r - d*d)
		outlines := c.outline(tube)
		if len(outlines) != 1 {
			t.Fatalf("%v mm beside it: %d outlines", d, len(outlines))
		}
		if got, want := outlines[0].Area(), 2*half*length+math.Pi*half*half; math.Abs(got/want-1) > 0.003 {
			t.Errorf("%v mm beside it: %.3f mm², want %.3f", d, got, want)
		}
	}
}

// A zone shaped like a horseshoe open to the side is crossed twice; what is flat on the plane is told back as it was.
func TestCrossingsByHand(t *testing.T) {
	c := cutAt(squareReport(t, "").Laid.Heart, 10)
	horseshoe := atlas.Zone{Outline: geom.Outline{{X: 5, Y: 0}, {X: 15, Y: 0}, {X: 15, Y: 2}, {X: 8, Y: 2}, {X: 8, Y: 5}, {X: 15, Y: 5}, {X: 15, Y: 9}, {X: 5, Y: 9}}}
	got := c.crossings(horseshoe)
	if len(got) != 2 || got[0] != [2]float64{0, 2} || got[1] != [2]float64{5, 9} {
		t.Errorf("the horseshoe is crossed over %v, want 0 to 2 and 5 to 9", got)
	}
	if p := c.flat(c.at(3.5, -2.25)); math.Hypot(p.X-3.5, p.Y+2.25) > 1e-12 {
		t.Errorf("(3.5, -2.25) comes back as %v", p)
	}
}

// A tube that comes through the plane, turns and goes back leaves two circles.
func TestOutlineOfWhatIsMetTwice(t *testing.T) {
	c := cutAt(squareReport(t, "").Laid.Heart, 12)
	there, back := c.at(1, 1), c.at(6, 2)
	ahead := c.toward.Scale(10)
	bow := geom.Tube{Axis: []geom.Vec{there.Sub(ahead), there.Add(ahead), back.Add(ahead), back.Sub(ahead)}, RadiusMM: 1.1}
	outlines := c.outline(bow)
	if len(outlines) != 2 {
		t.Fatalf("%d outlines, want 2", len(outlines))
	}
	for _, o := range outlines {
		x, y := 1.0, 1.0
		if o.Centroid().X > 3 {
			x, y = 6, 2
		}
		holdEllipse(t, "a tube's way there or back", []geom.Outline{o}, x, y, 1.1, 1.1, 0)
	}
}

// The crossings of a zone are held against asking, point by point, whether the zone holds it.
func TestCrossingsOfZones(t *testing.T) {
	heart := squareReport(t, "").Laid.Heart
	crossed := 0
	for along := 0.313; along < heart.Rim.LengthMM(); along += 1.17 {
		c := cutAt(heart, along)
		for _, zone := range heart.Zones {
			stretches := c.crossings(zone)
			crossed += len(stretches)
			for off := -12.013; off < 40; off += 0.11 {
				in := false
				for _, s := range stretches {
					in = in || s[0] < off && off < s[1]
				}
				if want := zone.Outline.Contains(geom.Point{X: heart.Unroll(along), Y: off}); in != want {
					near := zone.Outline.DepthOfPath([]geom.Point{{X: heart.Unroll(along), Y: off}})
					if math.Abs(near) > 2*thinnestZoneMM {
						t.Errorf("%s at (%.2f, %.2f): crossed %v, holds it %v", zone.ID, along, off, in, want)
					}
				}
			}
		}
	}
	if crossed < 40 {
		t.Errorf("only %d crossings were looked at", crossed)
	}
}

// measureLines reads the dimension lines of a plate, each without the strokes at its ends, in paper mm.
func measureLines(t testing.TB, plate []byte) (lengths []float64) {
	t.Helper()
	decoder := xml.NewDecoder(bytes.NewReader(plate))
	depth, n := 0, 0
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return lengths
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			at := map[string]string{}
			for _, a := range e.Attr {
				at[a.Name.Local] = a.Value
			}
			if depth > 0 {
				depth++
			}
			if at["id"] == "dimensions" {
				depth = 1
			}
			if depth > 0 && e.Name.Local == "line" {
				if n%3 == 0 {
					lengths = append(lengths, math.Hypot(numberIn(t, at["x2"])-numberIn(t, at["x1"]), numberIn(t, at["y2"])-numberIn(t, at["y1"])))
				}
				n++
			}
		case xml.EndElement:
			if depth > 0 {
				depth--
			}
		}
	}
}

func numberIn(t testing.TB, s string) (v float64) {
	t.Helper()
	if _, err := fmt.Sscan(s, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// What is drawn as a clearance has the length the report gives, to 0.01 mm of heart, read back from the plate by its
// scale; the depth likewise.
func TestDimensionsAreTheReportsClearances(t *testing.T) {
	compared := 0
	for _, report := range []*placement.Report{allRound(t, ""), allRound(t, "heart: { rim-length: 135 mm }\n"), squareReport(t, "")} {
		clearances := clearancesJSON(t, report)
		for _, b := range report.Bites {
			s, err := newSection(report, b, Reader{})
			if err != nil {
				t.Fatal(err)
			}
			drawn := s.drawnDimensions()
			lengths := measureLines(t, sectionView(t, report, b.Name))
			if len(lengths) != len(drawn) {
				t.Fatalf("%s: %d dimensions drawn of %d", b.Name, len(lengths), len(drawn))
			}
			if got := lengths[0] / s.scale; math.Abs(got-b.DepthMM) > 0.01 {
				t.Errorf("%s: the depth is drawn as %.3f mm, planned are %.3f", b.Name, got, b.DepthMM)
			}
			for i, d := range drawn[1:] {
				got, want := lengths[i+1]/s.scale, clearances[b.Name][d.of]
				if n := s.neighbour(d.of); n.inPlane(s.cut) {
					compared++
					if math.Abs(got-want) > 0.01 {
						t.Errorf("%s: %s is drawn %.3f mm away, the report says %.3f", b.Name, d.of, got, want)
					}
				} else if got < want-0.01 {
					t.Errorf("%s: within the plane %s is drawn %.3f mm away, nearer than it is anywhere: %.3f", b.Name, d.of, got, want)
				}
			}
		}
	}
	if t.Logf("%d clearances compared", compared); compared < 10 {
		t.Errorf("only %d clearances lay in a plane", compared)
	}
}

func (s *section) neighbour(id string) neighbour {
	for _, n := range s.neighbours {
		if n.ID == id {
			return n
		}
	}
	return neighbour{}
}

// clearancesJSON reads the clearances as a program does that knows nothing of drawings.
func clearancesJSON(t testing.TB, report *placement.Report) map[string]map[string]float64 {
	t.Helper()
	var out bytes.Buffer
	if err := report.WriteJSON(&out); err != nil {
		t.Fatal(err)
	}
	var read struct {
		Bites []struct {
			Name       string             `json:"name"`
			Clearances map[string]float64 `json:"clearances_mm"`
		} `json:"bites"`
	}
	if err := json.Unmarshal(out.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	clearances := map[string]map[string]float64{}
	for _, b := range read.Bites {
		clearances[b.Name] = b.Clearances
	}
	return clearances
}

// In the plane nothing is nearer than it is in space, and what the plane does not meet is not drawn.
func TestNeighboursInThePlane(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	met, missed := 0, 0
	for _, b := range report.Bites {
		s, err := newSection(report, b, Reader{})
		if err != nil {
			t.Fatal(err)
		}
		plate := string(sectionView(t, report, b.Name))
		for _, n := range s.neighbours {
			if n.hereMM < n.clearance.MM-0.01 {
				t.Errorf("%s: %s is %.3f mm off in the plane, %.3f in space", b.Name, n.ID, n.hereMM, n.clearance.MM)
			}
			if s.shown(n) {
				met++
				continue
			}
			missed++
			if !strings.Contains(plate, sentence(s.structureName(n.Structure))+": "+s.said(s.distanceWords(n))+", not met by this cut") {
				t.Errorf("%s: the description does not name %s, which the cut misses", b.Name, n.ID)
			}
		}
		if nearest := s.neighbours[0]; nearest.ID != b.Nearest.Structure {
			t.Errorf("%s: %s comes first, nearest is %s", b.Name, nearest.ID, b.Nearest.Structure)
		}
	}
	if met < 10 || missed < 10 {
		t.Errorf("%d met and %d missed are too few to tell", met, missed)
	}
}

// By hand: a needle laid from 2 mm anticlockwise of the plane to 2 mm clockwise goes through it once, in the middle; one
// that stays beside it does not; one up the wall lies in it.
func TestThroughThePlane(t *testing.T) {
	heart := squareReport(t, "").Laid.Heart
	c := cutAt(heart, 20)
	across := placement.NewPass(heart, atlas.Spot{AlongMM: 18}, atlas.Spot{AlongMM: 22}, 1.2)
	beside := placement.NewPass(heart, atlas.Spot{AlongMM: 21}, atlas.Spot{AlongMM: 24}, 1.2)
	within := placement.NewPass(heart, atlas.Spot{AlongMM: 20, OffMM: -1}, atlas.Spot{AlongMM: 20, OffMM: 2}, 1.2)
	points := c.through(across)
	if len(points) != 1 || points[0].Distance(heart.Chart.Frame(atlas.Spot{AlongMM: 20, DeepMM: 1.2})) > 0.02 {
		t.Errorf("the needle goes through at %v", points)
	}
	if len(c.through(beside)) != 0 || c.liesIn(across) || c.liesIn(beside) || !c.liesIn(within) {
		t.Error("a needle beside the plane goes through it, or lies in it, or one in it does not")
	}
}

// Wall and leaflet are drawn beyond where the needle goes in and comes out, however high up the wall that is.
func TestSectionShowsTheSurfaceOfTheBite(t *testing.T) {
	highest := 0.0
	for _, name := range []string{"around-the-triangle.yaml", "band-three-mistakes.yaml", "replacement.yaml"} {
		report := exampleReport(t, name)
		for _, b := range report.Bites {
			s, err := newSection(report, b, Reader{})
			if err != nil {
				t.Fatal(err)
			}
			for _, off := range []float64{s.pass.In.OffMM, s.pass.Out.OffMM} {
				highest = max(highest, off)
				if off > s.topMM-1 || off < 1-s.tipMM {
					t.Errorf("%s %s: %.1f mm off the hinge, the surface is drawn from %.1f to %.1f", name, b.Name, off, -s.tipMM, s.topMM)
				}
			}
			for _, off := range []float64{s.topMM, -s.tipMM} {
				if at := s.paper(s.cut.surface(off, 0)); !sectionPicture.Contains(at) {
					t.Errorf("%s %s: the surface is drawn to %v, outside the picture", name, b.Name, at)
				}
			}
		}
	}
	if highest < 8 {
		t.Errorf("no bite is high up the wall: %.1f mm", highest)
	}
}

func TestSectionOfABiteThereIsNot(t *testing.T) {
	var out bytes.Buffer
	err := SectionView(&out, squareReport(t, ""), "Septal")
	for _, want := range []string{`"Septal"`, `"anterior"`, `"posterior"`, `"septal"`, `"commissure"`, `"row"`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("the error does not say %s: %v", want, err)
		}
	}
	if out.Len() > 0 {
		t.Errorf("%d bytes were written", out.Len())
	}
	err = SectionView(&out, reportOf(t, "none", trialPlan("None", "")), "1")
	if err == nil || !strings.Contains(err.Error(), "no bites") {
		t.Errorf("a plan without bites: %v", err)
	}
}

// sectionPlates are sections at the edges of what plans can ask for.
func sectionPlates(t testing.TB) map[string][]byte {
	t.Helper()
	plates := map[string][]byte{}
	add := func(name string, report *placement.Report, most int) {
		for i, b := range report.Bites {
			if i%max(1, len(report.Bites)/most) == 0 && i/max(1, len(report.Bites)/most) < most {
				plates[name+" "+b.Name] = sectionView(t, report, b.Name)
			}
		}
	}
	for _, file := range examplePlans(t) {
		add(filepath.Base(file), exampleReport(t, filepath.Base(file)), 2)
	}
	add("square", squareReport(t, ""), 5)
	add("small", squareReport(t, "heart: { rim-length: 74 mm, triangle-hinge-side: 12 mm, triangle-tendon-side: 13 mm, triangle-base-side: 12 mm }\n"), 3)
	add("large", squareReport(t, "heart: { rim-length: 150 mm }\n"), 3)
	add("two leaflets", squareReport(t, "valve: { leaflets: 2, commissure-width: 6 mm }\n"), 2)
	for _, variant := range atlas.VariantNames() {
		if variant != "discordant-connections" { // refused, with its reason
			add(variant, squareReport(t, "variant: "+variant+"\n"), 1)
		}
	}
	report := reportOf(t, "hostile", trialPlan("x", "", strings.Split("abcdefghij", "")[:len(hostileNames)]...))
	for i, name := range hostileNames {
		report.Bites[i].Name = name
	}
	report.Laid.Plan.Case = strings.Join(hostileNames, " ")
	add("hostile", report, 4)
	return plates
}

func TestSectionPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	plates := sectionPlates(t)
	t.Logf("%d sections", len(plates))
	for name, again := range sectionPlates(t) {
		if !bytes.Equal(plates[name], again) {
			t.Errorf("%s: two drawings of one plan differ", name)
		}
	}
	checkPlates(t, plates)
}

// Verdict, reasons and advice of the bite stand on the plate in words, and the description tells the same.
func TestSectionSaysWhatTheReportSays(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	plate := string(sectionView(t, report, "A"))
	for _, words := range []string{
		`role="img"`, "AVOID", "Bite A", "Runs 1.0 mm inside", "Instead: ", "thickness not", "not a medical device", "looking anticlockwise",
		"runs across the plane", ">atrium<", ">ventricle<", ">orifice<", ">outside<", ">(back)<", ">(front)<",
	} {
		if !strings.Contains(plate, words) {
			t.Errorf("the plate does not say %q", words)
		}
	}
	for _, id := range []string{"anatomy", "zones", "conduction", "neighbours", "rim", "bites", "dimensions", "labels", "words", "legend", "footer"} {
		if strings.Count(plate, fmt.Sprintf(`id="%s"`, id)) != 1 {
			t.Errorf("the layer %q is not there once", id)
		}
	}
}

func BenchmarkSectionView(b *testing.B) {
	report := exampleReport(b, "band-three-mistakes.yaml")
	for b.Loop() {
		sectionView(b, report, "C")
	}
}
