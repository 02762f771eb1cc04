package svgout

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// uprightFor is an upright view as far as its camera and curtain.
func uprightFor(t testing.TB, heart *atlas.Heart, h Habit) upright {
	t.Helper()
	u := upright{edge: wallEdge(heart), standing: standing(turnedBack, tippedUp).from(rightAnteriorOblique)}
	u.heart, u.sunkMM = heart, sunk(heart)
	fits, view := false, h.of(u.standing)
	if u.camera, fits = view.cameraFor(u.extent(view), uprightPicture); !fits {
		t.Fatalf("%+v: it does not fit", h)
	}
	u.curtain = u.anatomy.curtain(u.edge)
	return u
}

// Read back from the sheet, the commissures lie to each other as in the body: a reader 75° to the right of straight in front
// sees sin 75° of what leads to the front and −cos 75° of what leads to the right on the right hand, and all of what leads
// to the head above; then mirrored and turned.
func TestTurnedUprightViewsLieWhereGeometrySays(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	heart, body := report.Laid.Heart, standing(turnedBack, tippedUp)
	sin, cos := math.Sincos(75 * math.Pi / 180)
	for _, h := range append(habitsTried, Habit{}) {
		scale := uprightFor(t, heart, h).scale
		drawing, err := UprightDrawing(report, Reader{Habit: h})
		plate := drawnFor(t, drawing, err)
		marks := marksOf(drawnMarks(t, plate), "landmarks", "commissure")
		segments := heart.Segments()
		if len(marks) != len(segments) {
			t.Fatalf("%+v: %d commissures are drawn", h, len(marks))
		}
		first := body.body(heart.Rim.At(segments[0].FromMM))
		for i, s := range segments {
			way := body.body(heart.Rim.At(s.FromMM)).Sub(first)
			want := onTurnedPaper(h, Point{sin*way.Y - cos*way.X, -way.Z})
			if got := marks[i].Minus(marks[0]).Times(1 / scale); got.Distance(want) > 0.001 {
				t.Errorf("%+v: commissure %d lies %v mm off the first, want %v", h, i, got, want)
			}
		}
		if says := fmt.Sprintf("Scale %s : 1 across the line of sight.", mustNumber(scale)); !strings.Contains(string(plate), says) {
			t.Errorf("%+v: the plate does not say %q", h, says)
		}
	}
}

// What the wall hides does not depend on how the paper is held: at any habit what lies under the septum is hidden and what
// lies over it is not, the same stretches of the artery are broken, and the aortic root is pointed at where it is seen.
func TestCurtainHangsTheSameWhenTurned(t *testing.T) {
	heart := exampleReport(t, "band.yaml").Laid.Heart
	septal := heart.Segments()[2]
	plain := uprightFor(t, heart, Habit{})
	hidden, seen := 0, 0
	for _, h := range habitsTried {
		u := uprightFor(t, heart, h)
		for share := 0.2; share < 0.9; share += 0.1 {
			for deep, want := range map[float64]bool{2: true, 0.5: true, -0.5: false, -2: false} {
				at := atlas.Spot{AlongMM: septal.FromMM + share*septal.ForMM, OffMM: 6, DeepMM: deep}
				if got := u.curtain.hides(u.seen(heart.Chart.Frame(at)), 0); got != want {
					t.Errorf("%+v: %v mm under the septum: hidden %v", h, deep, got)
				}
			}
		}
		for _, s := range heart.Structures {
			tube, ok := s.Solid.(geom.Tube)
			if !ok || s.Kind != atlas.Coronary {
				continue
			}
			for i, v := range tube.Axis {
				want := plain.curtain.hides(plain.seen(v), 0)
				if got := u.curtain.hides(u.seen(v), 0); got != want {
					t.Errorf("%+v: the artery's point %d is hidden %v, on the plain paper %v", h, i, got, want)
				}
				if want {
					hidden++
				} else {
					seen++
				}
			}
		}
		for _, l := range u.anatomyLabels() {
			if strings.HasPrefix(strings.Join(l.Lines, " "), "aortic root") && outlineOf(u.papers(u.edge)).Contains(geom.Point(l.Target)) {
				t.Errorf("%+v: the aortic root is pointed at behind the wall", h)
			}
		}
	}
	if hidden == 0 || seen == 0 {
		t.Errorf("of the artery %d points are hidden and %d seen", hidden, seen)
	}
}

// Caption, description and compass say how the view was turned, and where head, feet, front and back lie then.
func TestTurnedUprightViewsSayWhereThingsLie(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	for _, c := range []struct {
		habit   Habit
		says    []string
		compass map[string]Point
	}{
		{Habit{}, []string{"Upright view, seen from the patient", "head above, feet below, the patient&#39;s front to the right, the back to the left", "The rim stands open on the right of the picture"},
			map[string]Point{"head": {0, -1}, "feet": {0, 1}, "front": {1, 0}, "back": {-1, 0}}},
		{Habit{Mirrored: true}, []string{"Upright view, right anterior oblique 75°, mirrored. Scale", "head above, feet below, the patient&#39;s front left, the back right", "the rim lies open left, the septum with the oval fossa and the coronary sinus ostium right, the anteroseptal commissure above, the posteroseptal below"},
			map[string]Point{"head": {0, -1}, "front": {-1, 0}, "back": {1, 0}}},
		{Habit{TurnDegrees: 90}, []string{"Upright view, right anterior oblique 75°, turned 90° clockwise. Scale", "head right, feet left, the patient&#39;s front below, the back above", "the rim lies open below, the septum with the oval fossa and the coronary sinus ostium above, the anteroseptal commissure right, the posteroseptal left"},
			map[string]Point{"head": {1, 0}, "feet": {-1, 0}, "front (left)": {0, 1}, "back (right)": {0, -1}}},
		{Habit{Mirrored: true, TurnDegrees: 30}, []string{"Upright view, right anterior oblique 75°, mirrored, turned 30° clockwise. Scale", "head above right, feet below left, the patient&#39;s front above left, the back below right"},
			map[string]Point{"head": {0.5, -0.866}, "feet": {-0.5, 0.866}}},
	} {
		drawing, err := UprightDrawing(report, Reader{Habit: c.habit})
		plate := drawnFor(t, drawing, err)
		holdHabitSaid(t, plate, c.habit, "Mirrored: clockwise runs anticlockwise here.", c.says...)
		holdCompass(t, plate, Point{25, compassPlace(25, c.habit, [4]crossArm{}).Y}, c.compass)
	}
}

// What the plain view's description says of directions is where they lead, and what it says of the anatomy is where that
// lies in the usual heart.
func TestUprightDescriptionIsTrue(t *testing.T) {
	u := uprightFor(t, exampleReport(t, "band.yaml").Laid.Heart, Habit{})
	if !(u.onPaper(u.standing.up).Y < -0.99 && u.onPaper(u.standing.right).X > 0.99) {
		t.Error("head is not above, or front not right")
	}
	place := map[string]Point{}
	for _, l := range u.heart.Landmarks {
		place[l.ID] = u.paper(l.Frame)
	}
	rim := u.paper(geom.Vec{})
	for _, left := range []string{"oval-fossa", "coronary-sinus-ostium"} {
		if place[left].X > rim.X-10 {
			t.Errorf("%s lies at %v, the middle of the rim at %v", left, place[left], rim)
		}
	}
	if !(place["anteroseptal-commissure"].Y < rim.Y && rim.Y < place["posteroseptal-commissure"].Y) {
		t.Error("the anteroseptal commissure is not above the middle of the rim, or the posteroseptal not below")
	}
}

// However it is turned, in every language, an upright view of any example has room for its labels and all its messages.
func TestTurnedUprightViewsHaveRoom(t *testing.T) {
	all := readers(t)
	for i, file := range examplePlans(t) {
		report := exampleReport(t, strings.TrimPrefix(file, "../examples/"))
		for j := range 4 {
			reader := all[(i+5*j)%len(all)]
			drawing, err := UprightDrawing(report, reader)
			if plate := drawnFor(t, drawing, err); bytes.Contains(plate, []byte("⟦")) {
				t.Errorf("%s %s: a message is missing", file, reader.Language.Tag())
			}
		}
	}
}

func TestTurnedUprightPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	plates := map[string][]byte{}
	all := readers(t)
	for i, name := range []string{"band-three-mistakes.yaml", "replacement.yaml", "dilated.yaml", "straddling.yaml"} {
		report := exampleReport(t, name)
		for j := range 4 {
			reader := all[(4*i+j)%len(all)]
			drawing, err := UprightDrawing(report, reader)
			plates[fmt.Sprint(name, reader.Habit, reader.Language.Tag())] = drawnFor(t, drawing, err)
		}
	}
	checkPlates(t, plates)
}
