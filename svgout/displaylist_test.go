package svgout

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func recordedExample(t testing.TB, file string) *Drawing {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	drawing, err := AtrialDrawing(reportOf(t, filepath.Base(file), data), Reader{})
	if err != nil {
		t.Fatal(err)
	}
	return drawing
}

// drawingOf records one drawing on a page of its own.
func drawingOf(t testing.TB, page Page, draw func(k *Ink)) *Drawing {
	t.Helper()
	k := NewDrawing(page)
	draw(k)
	drawing, err := k.Finish()
	if err != nil {
		t.Fatal(err)
	}
	return drawing
}

func svgOf(t testing.TB, drawing *Drawing) []byte {
	t.Helper()
	return writtenBy(t, func(w io.Writer) error { return WriteSVG(w, drawing) })
}

func writtenBy(t testing.TB, write func(w io.Writer) error) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := write(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// everyKind draws one of each mark there is.
func everyKind(k *Ink) {
	k.Group("marks", "Marks & more")
	k.Circle("rim", Point{20, 20}, 8)
	k.Line("tendon", Point{5, 35}, Point{90, 36})
	k.Rect("pledget", Box{40, 10, 20, 12})
	k.Path("leaflet", new(PathData).MoveTo(Point{70, 10}).CurveTo(Point{80, 5}, Point{90, 25}, Point{95, 12}).LineTo(Point{80, 30}).Close())
	k.Band("node-area", new(PathData).Polyline([]Point{{10, 50}, {50, 45}, {90, 55}}, false), 6)
	k.End()
	k.Text("label", 50, 70, AnchorMiddle, "all kinds")
}

var smallPage = Page{WidthMM: 100, HeightMM: 80, Title: "Small", Desc: "For tests."}

func TestFinishedAndClosedDrawingsAreTheSame(t *testing.T) {
	closed := writtenBy(t, func(w io.Writer) error {
		k := NewInk(w, smallPage)
		everyKind(k)
		return k.Close()
	})
	drawing := drawingOf(t, smallPage, everyKind)
	if drawing.Page() != smallPage {
		t.Errorf("the drawing's page is %+v", drawing.Page())
	}
	for range 2 {
		if !bytes.Equal(closed, svgOf(t, drawing)) {
			t.Error("a drawing written twice, or by Close, differs")
		}
	}
}

func TestFinishReportsEveryFault(t *testing.T) {
	for name, f := range faults {
		k := NewDrawing(samplePage)
		f.draw(k)
		if drawing, err := k.Finish(); drawing != nil || err == nil || !matchesAny(err.Error(), f.want) {
			t.Errorf("%s: Finish gave %v, %v; want %q", name, drawing, err, f.want)
		}
	}
}

func TestFinishedDrawingsStayAsTheyAre(t *testing.T) {
	way := new(PathData).MoveTo(Point{10, 10}).LineTo(Point{20, 20}).LineTo(Point{25, 15})
	k := NewDrawing(smallPage)
	k.Path("rim", way)
	// Taken back and drawn on elsewhere: the same memory, other strokes.
	back := *way
	way.LineTo(Point{30, 10})
	k.Path("rim", way)
	back.LineTo(Point{99, 79})
	drawing, err := k.Finish()
	if err != nil {
		t.Fatal(err)
	}
	before := svgOf(t, drawing)
	k.Circle("rim", Point{50, 50}, 5)
	if !bytes.Equal(before, svgOf(t, drawing)) {
		t.Error("a finished drawing changed")
	}
	if want := `d="M10,10L20,20L25,15L30,10"`; !bytes.Contains(before, []byte(want)) {
		t.Errorf("the drawing has no %s", want)
	}
	if _, err := k.Finish(); err == nil {
		t.Error("a drawing could be finished twice")
	}
	if err := NewDrawing(smallPage).Close(); err == nil {
		t.Error("a drawing with nowhere to go could be closed")
	}
}

// A circle's outline comes as near to it as its constant says: 0.03 %.
func TestCircleOutlineIsRound(t *testing.T) {
	centre, r, worst := Point{30, 40}, 25.0, 0.0
	outline := circleOutline(centre, r)
	at := outline.points[0]
	for i := 1; i < len(outline.points); i += 3 {
		c := cubic{at, outline.points[i], outline.points[i+1], outline.points[i+2]}
		for step := range 101 {
			worst = max(worst, centre.Distance(c.at(float64(step)/100))-r, r-centre.Distance(c.at(float64(step)/100)))
		}
		at = c[3]
	}
	if worst > 0.0003*r || at != outline.points[0] {
		t.Errorf("the outline leaves the circle by %.5f of its radius and ends at %v", worst/r, at)
	}
}
