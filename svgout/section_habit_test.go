package svgout

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// habitsTried turn by a quarter, aslant, over the head, and mirrored.
var habitsTried = []Habit{{Mirrored: true}, {TurnDegrees: 30}, {TurnDegrees: 90}, {TurnDegrees: 200}, {Mirrored: true, TurnDegrees: 30}, {Mirrored: true, TurnDegrees: 90}, {Mirrored: true, TurnDegrees: 200}}

// onTurnedPaper is where a place of the plain paper, y downwards, comes to lie: mirrored about the upright, then turned
// clockwise by a, which takes (x, y) to (x cos a − y sin a, x sin a + y cos a).
func onTurnedPaper(h Habit, p Point) Point {
	if h.Mirrored {
		p.X = -p.X
	}
	sin, cos := math.Sincos(h.TurnDegrees * math.Pi / 180)
	return Point{p.X*cos - p.Y*sin, p.X*sin + p.Y*cos}
}

// drawnMark is a circle or a text of a drawing with its place on the paper.
type drawnMark struct {
	layer, class, text string
	at                 Point
}

// drawnMarks reads circles and texts from a drawing, as a program does that knows nothing of it.
func drawnMarks(t testing.TB, plate []byte) (marks []drawnMark) {
	t.Helper()
	decoder := xml.NewDecoder(bytes.NewReader(plate))
	var layers []string
	var text *drawnMark
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return marks
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
			switch e.Name.Local {
			case "g":
				layers = append(layers, at["id"])
			case "circle":
				marks = append(marks, drawnMark{strings.Join(layers, "/"), at["class"], "", Point{numberIn(t, at["cx"]), numberIn(t, at["cy"])}})
			case "text":
				text = &drawnMark{strings.Join(layers, "/"), at["class"], "", Point{numberIn(t, at["x"]), numberIn(t, at["y"])}}
			}
		case xml.CharData:
			if text != nil {
				text.text += string(e)
			}
		case xml.EndElement:
			switch {
			case e.Name.Local == "g":
				layers = layers[:len(layers)-1]
			case e.Name.Local == "text":
				marks, text = append(marks, *text), nil
			}
		}
	}
}

// marksOf are the places of the marks of a class in a layer.
func marksOf(marks []drawnMark, layer, class string) (places []Point) {
	for _, m := range marks {
		if m.layer == layer && m.class == class {
			places = append(places, m.at)
		}
	}
	return places
}

func drawnFor(t testing.TB, drawing *Drawing, err error) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := asSVG(&out, drawing, err); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// Read back from the sheet, the needle's entry and exit lie off the hinge as far outward and up as in the plane, mirrored
// and turned; and so does every other place of it.
func TestTurnedSectionsLieWhereGeometrySays(t *testing.T) {
	for _, report := range []*placement.Report{exampleReport(t, "band-three-mistakes.yaml"), squareReport(t, "")} {
		for _, b := range report.Bites[:5] {
			for _, h := range habitsTried {
				s, err := newSection(report, b, Reader{Habit: h})
				if err != nil {
					t.Fatal(err)
				}
				drawing, err := SectionDrawing(report, b.Name, Reader{Habit: h})
				marks := drawnMarks(t, drawnFor(t, drawing, err))
				hinge := marksOf(marks, "rim", "commissure")
				entries, exits := marksOf(marks, "bites", "needle-entry"), marksOf(marks, "bites", "needle-exit")
				if len(hinge) != 1 || len(entries) == 0 || len(exits) != len(entries) {
					t.Fatalf("%s %+v: %d hinges, %d entries, %d exits", b.Name, h, len(hinge), len(entries), len(exits))
				}
				for what, c := range map[string]struct {
					drawn Point
					is    geom.Vec
				}{"entry": {entries[len(entries)-1], s.pass.Path[0]}, "exit": {exits[len(exits)-1], s.pass.Path[len(s.pass.Path)-1]}} {
					off := c.is.Sub(s.cut.hinge)
					want := onTurnedPaper(h, Point{off.X*s.cut.right.X + off.Y*s.cut.right.Y, -off.Z})
					if got := c.drawn.Minus(hinge[0]).Times(1 / s.scale); got.Distance(want) > 0.001 {
						t.Errorf("%s %+v: the %s lies %v mm off the hinge, want %v", b.Name, h, what, got, want)
					}
				}
				for off := -4.0; off < 6; off++ {
					v := s.cut.surface(off, 0.7)
					p := s.cut.flat(v)
					if got, want := s.paper(v).Minus(s.paper(s.cut.hinge)).Times(1/s.scale), onTurnedPaper(h, Point{p.X, -p.Y}); got.Distance(want) > 1e-9 {
						t.Errorf("%s %+v: %.0f mm off the hinge the surface lies at %v, want %v", b.Name, h, off, got, want)
					}
				}
			}
		}
	}
}

// What is measured in a turned section is as long as in any other, at the scale its caption tells and its bar shows.
func TestTurnedSectionsAreTrueToScale(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	for _, b := range report.Bites {
		for _, h := range habitsTried {
			s, err := newSection(report, b, Reader{Habit: h})
			if err != nil {
				t.Fatal(err)
			}
			drawing, err := SectionDrawing(report, b.Name, Reader{Habit: h})
			plate := drawnFor(t, drawing, err)
			for _, says := range []string{fmt.Sprintf("Scale %s : 1 both ways.", mustNumber(s.scale)), fmt.Sprintf(">%s mm of heart<", words.Short(50/s.scale, 3))} {
				if !strings.Contains(string(plate), says) {
					t.Errorf("%s %+v: the plate does not say %q", b.Name, h, says)
				}
			}
			if got := measureLines(t, plate)[0] / s.scale; math.Abs(got-b.DepthMM) > 0.01 {
				t.Errorf("%s %+v: the depth is drawn as %.3f mm, planned are %.3f", b.Name, h, got, b.DepthMM)
			}
		}
	}
}

// Caption, description and compass say how the section was turned, and what lies where then.
func TestTurnedSectionsSayWhereThingsLie(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	for _, c := range []struct {
		habit       Habit
		caption     string
		description string
		compass     map[string]Point // where each word stands off the middle of the compass
	}{
		{Habit{}, "looking anticlockwise. Scale", "square to the rim: atrium above, ventricle below, outside of the rim right (back), orifice left (front)",
			map[string]Point{"atrium": {0, -1}, "outside": {1, 0}}},
		{Habit{TurnDegrees: 90}, "looking anticlockwise, turned 90° clockwise. Scale", "square to the rim, turned 90° clockwise: atrium right, ventricle left, outside of the rim below (back), orifice above (front)",
			map[string]Point{"atrium": {1, 0}, "outside (back)": {0, 1}, "orifice (front)": {0, -1}}},
		{Habit{Mirrored: true}, "looking anticlockwise, mirrored. Scale", "square to the rim, mirrored: atrium above, ventricle below, outside of the rim left (back), orifice right (front)",
			map[string]Point{"ventricle": {0, 1}, "outside": {-1, 0}, "orifice": {1, 0}}},
		{Habit{Mirrored: true, TurnDegrees: 30}, "looking anticlockwise, mirrored, turned 30° clockwise. Scale", "atrium above right, ventricle below left, outside of the rim above left (back), orifice below right (front)",
			map[string]Point{"atrium": {0.5, -0.866}, "ventricle": {-0.5, 0.866}}},
		{Habit{TurnDegrees: 200}, "turned 160° anticlockwise. Scale", "atrium below, ventricle above, outside of the rim left (back), orifice right (front)",
			map[string]Point{"atrium": {-0.342, 0.94}}},
	} {
		drawing, err := SectionDrawing(report, "A", Reader{Habit: c.habit})
		plate := drawnFor(t, drawing, err)
		holdHabitSaid(t, plate, c.habit, "Mirrored: as seen looking clockwise.", c.caption, c.description)
		holdCompass(t, plate, Point{46, compassPlace(46, c.habit, [4]crossArm{}).Y}, c.compass)
	}
}

// holdHabitSaid wants a plate to say some things, to say in caption and description that it is mirrored where it is, and to
// keep everything upright.
func holdHabitSaid(t *testing.T, plate []byte, habit Habit, mirrored string, says ...string) {
	t.Helper()
	for _, words := range says {
		if !strings.Contains(string(plate), words) {
			t.Errorf("%+v: the plate does not say %q", habit, words)
		}
	}
	if n := strings.Count(string(plate), mirrored); habit.Mirrored && n != 2 || !habit.Mirrored && n != 0 {
		t.Errorf("%+v: that it is mirrored is said %d times", habit, n)
	}
	if strings.Contains(string(plate), "rotate(") || strings.Contains(string(plate), "transform") {
		t.Errorf("%+v: something on the plate does not stand upright", habit)
	}
}

// holdCompass wants words of a compass to stand off its middle in their directions.
func holdCompass(t *testing.T, plate []byte, middle Point, want map[string]Point) {
	t.Helper()
	found := 0
	for _, m := range drawnMarks(t, plate) {
		way, named := want[m.text]
		if !named || m.layer != "orientation" {
			continue
		}
		found++
		if off := m.at.Minus(middle); off.unit().dot(way) < 0.9 {
			t.Errorf("%q stands %v off the middle of the compass, want toward %v", m.text, off, way)
		}
	}
	if found != len(want) {
		t.Errorf("%d of the %d words %v stand at the compass", found, len(want), want)
	}
}

// Mirroring twice or turning once round changes nothing, and what is no angle is refused.
func TestSectionHabitsAtTheirEnds(t *testing.T) {
	report := exampleReport(t, "band-three-mistakes.yaml")
	drawing, err := SectionDrawing(report, "A", Reader{Habit: Habit{TurnDegrees: 360}})
	if got := drawnFor(t, drawing, err); !bytes.Equal(got, sectionView(t, report, "A")) {
		t.Error("turned once round it is another drawing")
	}
	for _, degrees := range []float64{math.NaN(), math.Inf(1)} {
		_, err := SectionDrawing(report, "A", Reader{Habit: Habit{TurnDegrees: degrees}})
		_, also := UprightDrawing(report, Reader{Habit: Habit{TurnDegrees: degrees}})
		for _, err := range []error{err, also} {
			if err == nil || !strings.Contains(err.Error(), "cannot be turned") {
				t.Errorf("turned by %v: %v", degrees, err)
			}
		}
	}
}

// readers are of either language, in every habit tried.
func readers(t testing.TB) (all []Reader) {
	t.Helper()
	for _, tag := range words.Tags() {
		language, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range append(habitsTried, Habit{}) {
			all = append(all, Reader{Habit: h, Language: language})
		}
	}
	return all
}

// However it is turned, in every language, a section of any example has room for its labels, all of wall and leaflet that
// it shows lies in the picture, and every message is there.
func TestTurnedSectionsHaveRoom(t *testing.T) {
	drawn, all := 0, readers(t)
	for i, file := range examplePlans(t) {
		report := exampleReport(t, strings.TrimPrefix(file, "../examples/"))
		for j, b := range report.Bites {
			reader := all[(i+j)%len(all)]
			for _, h := range []Habit{reader.Habit, {TurnDegrees: 60}, {TurnDegrees: 240}} {
				holdSurfaceInPicture(t, report, b, h)
			}
			drawing, err := SectionDrawing(report, b.Name, reader)
			if plate := drawnFor(t, drawing, err); bytes.Contains(plate, []byte("⟦")) {
				t.Errorf("%s %s %s: a message is missing", file, b.Name, reader.Language.Tag())
			}
			drawn++
		}
	}
	if drawn < 50 {
		t.Errorf("only %d sections were drawn", drawn)
	}
}

// holdSurfaceInPicture wants wall and leaflet to end in the picture.
func holdSurfaceInPicture(t *testing.T, report *placement.Report, b placement.BiteReport, h Habit) {
	t.Helper()
	s, err := newSection(report, b, Reader{Habit: h})
	if err != nil {
		t.Fatal(err)
	}
	for what, v := range map[string]geom.Vec{"leaflet": s.cut.surface(-s.tipMM, 0), "leaflet's underside": s.cut.surface(-s.tipMM, s.leafletMM()), "wall": s.cut.surface(s.topMM, 0), "tissue": s.cut.surface(s.topMM, tissueDrawnMM)} {
		if at := s.paper(v); !sectionPicture.Contains(at) {
			t.Errorf("%s %s %+v: the %s ends at %v, outside the picture", report.Laid.Plan.Case, b.Name, h, what, at)
		}
	}
}

// holdFree wants no ink in a box of a drawing.
func holdFree(t *testing.T, what string, drawing *Drawing, box Box) {
	t.Helper()
	const dotsPerMM = 2
	picture := svgcheck.DecodePNG(t, pngOf(t, drawing, 25.4*dotsPerMM))
	for y := int(box.Y * dotsPerMM); y < int(box.Bottom()*dotsPerMM); y++ {
		for x := int(box.X * dotsPerMM); x < int(box.Right()*dotsPerMM); x++ {
			if r, g, b, _ := picture.At(x, y).RGBA(); r < 0xf800 || g < 0xf800 || b < 0xf800 {
				t.Errorf("%s: something is drawn at %d, %d mm, where room is kept", what, x/dotsPerMM, y/dotsPerMM)
				return
			}
		}
	}
}

// The room that sections and upright views keep for how likely a bite is to touch something stays free over all examples,
// in every language and habit.
func TestRoomIsKeptForTheChanceOfContact(t *testing.T) {
	t.Parallel()
	all := readers(t)
	for i, file := range examplePlans(t) {
		report := exampleReport(t, strings.TrimPrefix(file, "../examples/"))
		for _, reader := range []Reader{all[i%len(all)], all[(i+len(all)/2)%len(all)], all[len(all)-1], all[(i+3)%len(all)]} {
			what := fmt.Sprint(file, reader.Habit, reader.Language.Tag())
			drawing, err := UprightDrawing(report, reader)
			if err != nil {
				t.Fatal(err)
			}
			holdFree(t, what, drawing, uprightChance)
			if len(report.Bites) == 0 {
				continue
			}
			drawing, err = SectionDrawing(report, report.Bites[i%len(report.Bites)].Name, reader)
			if err != nil {
				t.Fatal(err)
			}
			holdFree(t, what, drawing, sectionChance)
		}
	}
}

func TestTurnedSectionPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	plates := map[string][]byte{}
	all := readers(t)
	for i, name := range []string{"band-three-mistakes.yaml", "replacement.yaml", "dilated.yaml", "straddling.yaml"} {
		report := exampleReport(t, name)
		for j := range 4 {
			reader, bite := all[(4*i+j)%len(all)], report.Bites[(i+3*j)%len(report.Bites)].Name
			drawing, err := SectionDrawing(report, bite, reader)
			plates[fmt.Sprint(name, bite, reader.Habit, reader.Language.Tag())] = drawnFor(t, drawing, err)
		}
	}
	checkPlates(t, plates)
}
