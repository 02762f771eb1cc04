package svgout

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

func uprightView(t testing.TB, report *placement.Report) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := UprightView(&plate, report); err != nil {
		t.Fatal(err)
	}
	return plate.Bytes()
}

// rightHanded tells whether a gaze's directions have length 1, stand square and turn the right way: right to up is the
// turn whose thumb points at the reader.
func rightHanded(s gaze) bool {
	const close = 1e-12
	for _, v := range []geom.Vec{s.right, s.up, s.toward} {
		if math.Abs(v.Norm()-1) > close {
			return false
		}
	}
	return s.right.Cross(s.up).Distance(s.toward) < close
}

// The way into the body is a rotation, whatever the angles, and its way back undoes it.
func TestAttitudeIsARotation(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	for range 500 {
		a := standing(assumedAngle{degrees: 400 * random.Float64()}, assumedAngle{degrees: 400 * random.Float64()})
		if !rightHanded(gaze{a.x, a.y, a.z}) {
			t.Fatalf("%v is no rotation", a)
		}
		v := geom.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
		if back := a.frame(a.body(v)); back.Distance(v) > 1e-12 {
			t.Fatalf("%v comes back as %v", v, back)
		}
		if s := a.from(assumedAngle{degrees: 400 * random.Float64()}); !rightHanded(s) {
			t.Fatalf("%v is no gaze", s)
		}
	}
}

// By hand: X right, Y front, Z head. Unturned, the frame's x runs to the feet, y to the front and z to the right, as the
// atrial view has it; from straight in front the reader has the patient's left on the right hand.
func TestAttitudeByHand(t *testing.T) {
	plain := standing(assumedAngle{}, assumedAngle{})
	for v, want := range map[geom.Vec]geom.Vec{feet: {Z: -1}, front: {Y: 1}, {Z: 1}: {X: 1}} {
		if got := plain.body(v); got != want {
			t.Errorf("%v runs to %v in the body, want %v", v, got, want)
		}
	}
	s := plain.from(assumedAngle{})
	if s.right != plain.frame(geom.Vec{X: -1}) || s.toward != plain.frame(geom.Vec{Y: 1}) || s.up != plain.frame(geom.Vec{Z: 1}) {
		t.Errorf("from straight in front the reader sees %v", s)
	}
	// Turned back a quarter the atrial side faces the back, and tipped up a quarter it faces the head.
	if got := standing(assumedAngle{degrees: 90}, assumedAngle{}).z; got.Distance(geom.Vec{Y: -1}) > 1e-12 {
		t.Errorf("turned back a quarter, the atrial side faces %v", got)
	}
	if got := standing(assumedAngle{}, assumedAngle{degrees: 90}).z; got.Distance(geom.Vec{Z: 1}) > 1e-12 {
		t.Errorf("tipped up a quarter, the atrial side faces %v", got)
	}
}

// What any textbook shows of the opened right atrium in the standing body: the atrial side of the valve faces right and
// somewhat back; the septum lies behind the valve, the ostium below the apex of the nodal triangle, the fossa above the
// ostium and behind it; the aortic root is at the head end, the right coronary artery in front of the rim.
func TestUprightAnatomy(t *testing.T) {
	heart := exampleReport(t, "band.yaml").Laid.Heart
	body := standing(turnedBack, tippedUp)
	faces := body.body(geom.Vec{Z: 1})
	if !(faces.X > 0.5 && faces.Y < -0.2 && faces.Z > 0 && faces.Z < 0.3) {
		t.Errorf("the atrial side faces %v (right, front, head)", faces)
	}
	place := map[string]geom.Vec{}
	for _, l := range heart.Landmarks {
		place[l.ID] = body.body(l.Frame)
	}
	if !(place["oval-fossa"].Y < place["mid-septal"].Y && place["mid-septal"].Y < place["mid-anterior"].Y) {
		t.Errorf("from back to front: fossa %v, septum %v, anterior rim %v", place["oval-fossa"], place["mid-septal"], place["mid-anterior"])
	}
	if !(place["coronary-sinus-ostium"].Z < place["triangle-apex"].Z && place["coronary-sinus-ostium"].Z < place["oval-fossa"].Z) {
		t.Errorf("the ostium is no lower than apex and fossa: %v, %v, %v", place["coronary-sinus-ostium"], place["triangle-apex"], place["oval-fossa"])
	}
	if !(place["anteroseptal-commissure"].Z > place["posteroseptal-commissure"].Z) {
		t.Error("the anteroseptal commissure is not above the posteroseptal")
	}
	for _, s := range heart.Structures {
		centre, _ := s.Solid.Bound()
		switch at := body.body(centre); s.Kind {
		case atlas.Aorta:
			if at.Z < place["anteroseptal-commissure"].Z {
				t.Errorf("the aortic root lies at %v, not toward the head", at)
			}
		case atlas.Coronary:
			if at.Y < 0 {
				t.Errorf("the right coronary artery lies at %v, not in front", at)
			}
		}
	}
}

// The leaflets meet as far under the rim as they lead down: by hand, at 18° over some 14 mm of leaflet about 4.5 mm, and
// about 1.5 mm more over the turn at the hinge, a saddle of 7 mm apart.
func TestLeafletsMeetUnderTheRim(t *testing.T) {
	if got := sunk(exampleReport(t, "band.yaml").Laid.Heart); math.Abs(got-6) > 1.5 {
		t.Errorf("the leaflets meet %.2f mm under the plane of the rim, want about 6", got)
	}
}

// The view shows the rim open and the septum almost square on: that is what its sight-line was chosen for.
func TestUprightSightLine(t *testing.T) {
	heart := exampleReport(t, "band.yaml").Laid.Heart
	s := standing(turnedBack, tippedUp).from(rightAnteriorOblique)
	if !rightHanded(s) {
		t.Fatal("no gaze")
	}
	if open := s.toward.Z; open < 0.5 {
		t.Errorf("the rim is open by %.2f only", open)
	}
	septum, _ := heart.Landmark("mid-septal")
	if square := -s.toward.Dot(heart.Chart.Inward(atlas.Spot{AlongMM: septum.Spot.AlongMM, OffMM: 5})); square < 0.9 {
		t.Errorf("the septum is seen by %.2f of square on", square)
	}
	up := standing(turnedBack, tippedUp).body(s.up)
	if up.Distance(geom.Vec{Z: 1}) > 1e-12 {
		t.Errorf("up on the paper is %v in the body, not the head", up)
	}
}

// On an ellipsoid's silhouette the surface stands edge-on to the reader: its normal, the gradient of Σ (xᵢ/rᵢ)², is
// square to the sight line; and every point lies on the surface.
func TestSilhouette(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	for range 50 {
		s := standing(assumedAngle{degrees: 360 * random.Float64()}, assumedAngle{degrees: 360 * random.Float64()}).from(rightAnteriorOblique)
		turn := standing(assumedAngle{degrees: 360 * random.Float64()}, assumedAngle{degrees: 360 * random.Float64()})
		e := geom.Ellipsoid{Centre: geom.Vec{X: 3, Y: -2, Z: 5}, Axes: [3]geom.Vec{turn.x, turn.y, turn.z},
			Radii: [3]float64{0.4 + 9*random.Float64(), 0.4 + 9*random.Float64(), 0.4 + 9*random.Float64()}}
		for _, v := range s.silhouette(e) {
			if d := e.Distance(v); math.Abs(d) > 1e-9 {
				t.Fatalf("a point lies %v mm off the surface", d)
			}
			var normal geom.Vec
			for i, axis := range e.Axes {
				normal = normal.Add(axis.Scale(v.Sub(e.Centre).Dot(axis) / (e.Radii[i] * e.Radii[i])))
			}
			if edge := normal.Unit().Dot(s.toward); math.Abs(edge) > 1e-9 {
				t.Fatalf("the surface leans %v toward the reader", edge)
			}
		}
	}
}

// What lies under the septum is hidden, what lies over it is not; nothing beside the heart is.
func TestCurtain(t *testing.T) {
	heart := exampleReport(t, "band.yaml").Laid.Heart
	u := upright{edge: wallEdge(heart)}
	u.heart, u.sunkMM = heart, sunk(heart)
	u.gaze = standing(turnedBack, tippedUp).from(rightAnteriorOblique)
	c := u.anatomy.curtain(u.edge)
	septal := heart.Segments()[2]
	for share := 0.2; share < 0.9; share += 0.1 {
		for off := 2.0; off < 14; off += 3 {
			at := atlas.Spot{AlongMM: septal.FromMM + share*septal.ForMM, OffMM: off}
			for deep, want := range map[float64]bool{2: true, 0.5: true, -0.5: false, -2: false} {
				at.DeepMM = deep
				if got := c.hides(u.seen(heart.Chart.Frame(at)), 0); got != want {
					t.Errorf("%v mm under the septum at %.1f, %.1f: hidden %v", deep, share, off, got)
				}
			}
		}
	}
	for _, off := range []float64{-2, -5} { // under the leaflets as well
		v := heart.Chart.Frame(atlas.Spot{AlongMM: septal.FromMM + septal.ForMM/2, OffMM: off, DeepMM: 4})
		if !c.hides(u.seen(v), 0) {
			t.Errorf("4 mm under the septal leaflet nothing is hidden")
		}
	}
	if c.hides(geom.Vec{X: 300, Z: -300}, 0) {
		t.Error("the curtain hides what lies beside it")
	}
}

// Stretches give back the line they were made of, and change only where the curtain begins or ends.
func TestStretches(t *testing.T) {
	heart := exampleReport(t, "band.yaml").Laid.Heart
	u := upright{edge: wallEdge(heart)}
	u.heart, u.sunkMM = heart, sunk(heart)
	u.gaze = standing(turnedBack, tippedUp).from(rightAnteriorOblique)
	c := u.anatomy.curtain(u.edge)
	for _, s := range heart.Structures {
		tube, ok := s.Solid.(geom.Tube)
		if !ok || s.Kind != atlas.Coronary {
			continue
		}
		parts := u.stretches(tube.Axis, c, 0)
		points, hidden, seen := 1-len(parts), false, false
		for i, p := range parts {
			points += len(p.points)
			hidden, seen = hidden || p.hidden, seen || !p.hidden
			if i > 0 && p.points[0] != parts[i-1].points[len(parts[i-1].points)-1] {
				t.Error("a gap between two stretches")
			}
		}
		if points != len(tube.Axis) || !hidden || !seen {
			t.Errorf("the artery of %d points comes in %d, hidden %v, seen %v", len(tube.Axis), points, hidden, seen)
		}
	}
}

func uprightPlates(t testing.TB) map[string][]byte {
	t.Helper()
	plates := map[string][]byte{}
	for _, file := range examplePlans(t) {
		plates[filepath.Base(file)] = uprightView(t, exampleReport(t, filepath.Base(file)))
	}
	for name, heart := range map[string]string{
		"small":        "heart: { rim-length: 74 mm, triangle-hinge-side: 12 mm, triangle-tendon-side: 13 mm, triangle-base-side: 12 mm }\n",
		"large":        "heart: { rim-length: 150 mm }\n",
		"steep":        "heart: { wall-angle-free: 75 deg }\n",
		"flat":         "heart: { wall-angle-septal: 22 deg, wall-angle-free: 8 deg }\n",
		"four, cleft":  "valve: { leaflets: 4, cleft: true, commissure-width: 6 mm }\n",
		"two leaflets": "valve: { leaflets: 2 }\n",
	} {
		plates[name] = uprightView(t, squareReport(t, heart))
	}
	plates["no bites"] = uprightView(t, reportOf(t, "none", trialPlan("The heart alone (invented)", "")))
	for _, variant := range atlas.VariantNames() {
		if variant != "discordant-connections" { // refused, with its reason
			plates[variant] = uprightView(t, squareReport(t, "variant: "+variant+"\n"))
		}
	}
	report := reportOf(t, "hostile", trialPlan("x", "", strings.Split("abcdefghij", "")[:len(hostileNames)]...))
	for i, name := range hostileNames {
		report.Bites[i].Name = name
	}
	report.Laid.Plan.Case = strings.Join(hostileNames, " ")
	plates["hostile"] = uprightView(t, report)
	return plates
}

func TestUprightPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	plates := uprightPlates(t)
	for name, again := range uprightPlates(t) {
		if !bytes.Equal(plates[name], again) {
			t.Errorf("%s: two drawings of one plan differ", name)
		}
	}
	checkPlates(t, plates)
}

func TestUprightSaysWhatItAssumes(t *testing.T) {
	plate := string(uprightView(t, exampleReport(t, "band-three-mistakes.yaml")))
	for _, words := range []string{
		"right anterior oblique 75°", "How the valve stands in the body is assumed", "by 30° and up by 10°",
		">head<", ">feet<", ">front<", ">back<", ">(left)<", ">(right)<", "not a medical device", "Bite A, septal segment",
	} {
		if !strings.Contains(plate, words) {
			t.Errorf("the plate does not say %q", words)
		}
	}
	for _, id := range []string{"anatomy", "zones", "conduction", "neighbours", "landmarks", "rim", "bites", "verdicts", "labels", "legend", "footer"} {
		if strings.Count(plate, fmt.Sprintf(`id="%s"`, id)) != 1 {
			t.Errorf("the layer %q is not there once", id)
		}
	}
}
