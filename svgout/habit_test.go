package svgout

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"fairlead/atlas/geom"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

func turned(t testing.TB, report *placement.Report, habit Habit) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := AtrialViewTurned(&plate, report, habit); err != nil {
		t.Fatal(err)
	}
	return plate.Bytes()
}

func exampleReport(t testing.TB, name string) *placement.Report {
	t.Helper()
	data, err := os.ReadFile("../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return reportOf(t, name, data)
}

// What leads back to where it started leaves every byte as it was.
func TestHabitsThatLeadBackChangeNothing(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	mirror := Habit{Mirrored: true}
	plain, mirrored := atrialView(t, report), turned(t, report, mirror)
	if bytes.Equal(plain, mirrored) {
		t.Error("the mirrored view is the plain one")
	}
	for name, c := range map[string]struct {
		habit Habit
		want  []byte
	}{
		"nothing":                       {Habit{}, plain},
		"once round":                    {Habit{TurnDegrees: 360}, plain},
		"twice round, backwards":        {Habit{TurnDegrees: -720}, plain},
		"mirrored twice":                {mirror.Then(mirror), plain},
		"there and back":                {Habit{TurnDegrees: 40}.Then(Habit{TurnDegrees: -40}), plain},
		"four quarters":                 {Habit{TurnDegrees: 90}.Then(Habit{TurnDegrees: 90}).Then(Habit{TurnDegrees: 180}), plain},
		"turned, mirrored, turned":      {Habit{TurnDegrees: 30}.Then(mirror).Then(Habit{TurnDegrees: 30}), mirrored},
		"mirrored thrice":               {mirror.Then(mirror).Then(mirror), mirrored},
		"turned by less than it prints": {Habit{TurnDegrees: -1e-300}, plain},
	} {
		if got := turned(t, report, c.habit); !bytes.Equal(got, c.want) {
			t.Errorf("%s: another drawing, from byte %d on", name, firstDifference(got, c.want))
		}
	}
}

// A habit moves directions on the paper as a mirror about the upright and a turn of the sheet do: (x, y) with y
// downwards goes to (−x, y), and, turned clockwise by a, to (x cos a − y sin a, x sin a + y cos a).
func TestHabitMovesThePaper(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	for range 2000 {
		first := Habit{TurnDegrees: 2000 * (random.Float64() - 0.5), Mirrored: random.IntN(2) == 0}
		second := Habit{TurnDegrees: float64(random.IntN(9)-4) * 90, Mirrored: random.IntN(2) == 0}
		v := geom.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()}
		want := downTheValve.onPaper(v)
		for _, h := range []Habit{first, second} {
			if h.Mirrored {
				want.X = -want.X
			}
			sin, cos := math.Sincos(h.TurnDegrees * math.Pi / 180)
			want = Point{want.X*cos - want.Y*sin, want.X*sin + want.Y*cos}
		}
		got := first.Then(second).of(downTheValve).onPaper(v)
		if got.Distance(want) > 1e-9 {
			t.Fatalf("%+v then %+v brings %v to %v, want %v", first, second, v, got, want)
		}
		if stepwise := second.of(first.of(downTheValve)).onPaper(v); stepwise.Distance(want) > 1e-9 {
			t.Fatalf("%+v after %+v brings %v to %v, want %v", second, first, v, stepwise, want)
		}
	}
}

// Turned a quarter clockwise what was above is right; in the mirror what was left is right.
func TestHabitByHand(t *testing.T) {
	for _, c := range []struct {
		habit Habit
		way   geom.Vec
		want  Point
	}{
		{Habit{TurnDegrees: 90}, front, Point{1, 0}},
		{Habit{TurnDegrees: 90}, feet, Point{0, 1}},
		{Habit{TurnDegrees: -90}, front, Point{-1, 0}},
		{Habit{Mirrored: true}, head, Point{1, 0}},
		{Habit{Mirrored: true}, front, Point{0, -1}},
		{Habit{Mirrored: true, TurnDegrees: 90}, head, Point{0, 1}},
	} {
		if got := c.habit.of(downTheValve).onPaper(c.way); got != c.want {
			t.Errorf("%+v: %v runs to %v, want %v", c.habit, c.way, got, c.want)
		}
	}
}

// However it is turned, the whole heart fits the picture, at a scale of the series.
func TestTurnedHeartsFit(t *testing.T) {
	heart := exampleReport(t, "dilated.yaml").Laid.Heart
	for degrees := 0.0; degrees < 360; degrees += 7.5 {
		camera, fits := Habit{TurnDegrees: degrees, Mirrored: int(degrees)%2 == 0}.of(downTheValve).cameraFor(atrialExtent(heart), atrialPicture)
		if !fits {
			t.Fatalf("turned by %v° it does not fit", degrees)
		}
		for _, p := range camera.papers(atrialExtent(heart)) {
			if !atrialPicture.Grow(1e-9).Contains(p) {
				t.Fatalf("turned by %v° a point falls on %v", degrees, p)
			}
		}
	}
}

// The caption and the description say how the view was turned, and the compass's words go along: read from the sheet as
// anybody's eye would, the word for a direction stands on the side of the compass where it leads.
func TestHabitIsSaid(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	for _, c := range []struct {
		habit       Habit
		caption     string
		description string
	}{
		{Habit{}, "Atrial view. Operation", "septum below, front above, head left, feet right"},
		{Habit{TurnDegrees: 90}, "Atrial view, turned 90° clockwise.", "septum left, front right, head above, feet below"},
		{Habit{TurnDegrees: 270}, "Atrial view, turned 90° anticlockwise.", "septum right, front left, head below, feet above"},
		{Habit{TurnDegrees: 180}, "turned 180° clockwise", "septum above, front below, head right, feet left"},
		{Habit{Mirrored: true}, "Atrial view, mirrored.", "septum below, front above, head right, feet left"},
		{Habit{TurnDegrees: -0.04}, "Atrial view.", "septum below, front above, head left, feet right"},
		{Habit{Mirrored: true, TurnDegrees: 359.96}, "Atrial view, mirrored.", "septum below, front above, head right, feet left"},
		{Habit{Mirrored: true, TurnDegrees: 44.96}, "mirrored, turned 45° clockwise", "front above right, head below right"},
	} {
		plate := string(turned(t, report, c.habit))
		for _, words := range []string{c.caption, c.description} {
			if !strings.Contains(plate, words) {
				t.Errorf("%+v: the plate does not say %q", c.habit, words)
			}
		}
		if says := strings.Contains(plate, "Mirrored: clockwise runs anticlockwise here."); says != c.habit.Mirrored {
			t.Errorf("%+v: says that the sense is reversed: %v", c.habit, says)
		}
		if strings.Contains(plate, "rotate(") || strings.Contains(plate, "transform") {
			t.Errorf("%+v: something on the plate does not stand upright", c.habit)
		}
	}
}

func TestCompassGoesAlong(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	var sheets [][]byte
	habits := []Habit{{}, {TurnDegrees: 90}, {TurnDegrees: 135}, {Mirrored: true}, {Mirrored: true, TurnDegrees: 300}}
	for _, h := range habits {
		sheets = append(sheets, turned(t, report, h))
	}
	for i, boxes := range svgcheck.TextBoxes(t, sheets...) {
		for _, b := range boxes {
			way, named := map[string]geom.Vec{"head": head, "feet": feet, "front": front, "back": back}[b.Text]
			if !named || b.Class != "axis-label" {
				continue
			}
			on := habits[i].of(downTheValve).onPaper(way)
			off := Point{b.X + b.W/2 - 22, b.Y + b.H/2 - 182}
			if off.unit().dot(on) < 0.9 {
				t.Errorf("%+v: %q stands %v off the compass, its direction runs %v", habits[i], b.Text, off, on)
			}
		}
	}
}

func TestHabitRefusesWhatIsNoAngle(t *testing.T) {
	report := exampleReport(t, "band.yaml")
	for _, degrees := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		var out bytes.Buffer
		if err := AtrialViewTurned(&out, report, Habit{TurnDegrees: degrees}); err == nil || !strings.Contains(err.Error(), "cannot be turned") || out.Len() > 0 {
			t.Errorf("turned by %v: %v, %d bytes written", degrees, err, out.Len())
		}
	}
	if len(turned(t, report, Habit{TurnDegrees: 1e18})) == 0 {
		t.Error("nothing was drawn")
	}
}

// turnedPlates are examples in several habits.
func turnedPlates(t testing.TB) map[string][]byte {
	t.Helper()
	plates := map[string][]byte{}
	for _, name := range []string{"band-three-mistakes.yaml", "replacement.yaml", "straddling.yaml", "dilated.yaml"} {
		report := exampleReport(t, name)
		for _, h := range []Habit{{TurnDegrees: 90}, {TurnDegrees: 200, Mirrored: true}, {TurnDegrees: -35}} {
			plates[fmt.Sprint(name, h)] = turned(t, report, h)
		}
	}
	return plates
}

func TestTurnedPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkPlates(t, turnedPlates(t))
}
