package svgout

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

func repairView(t testing.TB, report *placement.Report) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := RepairView(&plate, report); err != nil {
		t.Fatal(err)
	}
	return plate.Bytes()
}

// trialRepairs are repairs at the edges of what plans can ask for.
func trialRepairs(t testing.TB) map[string][]byte {
	t.Helper()
	many := make([]string, 40)
	for i := range many {
		many[i] = fmt.Sprintf("a bite with a long name, number %d", i)
	}
	looks := "look-at: [" + strings.Repeat("\"something to look at that takes more words than there are on two lines of the right half of a plate like this one\", ", 19) + "\"the last\"]\n"
	plates := map[string][]byte{}
	for name, plan := range map[string]string{
		"nothing drawn":   string(trialPlan("Nothing drawn (invented)", "", "1", "2", "3")) + "repair:\n  - device: { form: band, holds: flexible, length: 250 mm }\n",
		"many intervals":  string(trialPlan("Many intervals (invented)", "", many...)) + "repair:\n  - device: { form: band, holds: flexible, length: 20 mm }\n" + looks,
		"one commissure":  string(trialPlan("One commissure (invented)", "")) + "repair:\n  - plicate: { commissure: anteroposterior-commissure, take: 12 mm }\n",
		"rigid ring":      string(trialPlan("Rigid ring (invented)", "patient: { surface: 1.8 m2 }\nheart: { rim-length: 130 mm }\n", many[:12]...)) + "repair:\n  - device: { form: band, holds: rigid, long-axis: 36 mm, short-axis: 30 mm, opening: 60 mm }\n",
		"cleft and new":   string(trialPlan("Cleft and new (invented)", "valve: { cleft: true }\n")) + "repair:\n  - close-cleft: {}\n  - new-commissure: { at: { segment: anterior, share: 50 % } }\n",
		"two leaflets":    string(trialPlan("Two leaflets (invented)", "patient: { surface: 0.3 m2 }\n")) + "repair:\n  - plicate: { segment: posterior, to: 0 mm }\n" + looks,
		"almost all away": string(trialPlan("Almost all away (invented)", "")) + "repair:\n  - plicate: { segment: posterior, to: 0 mm }\n  - plicate: { segment: anterior, to: 31.5 mm }\n",
	} {
		plates[name] = repairView(t, reportOf(t, name, []byte(plan)))
	}
	report := exampleReport(t, "asymmetric-band.yaml")
	for name, reader := range map[string]Reader{
		"German":           {Language: languageOf(t, "de")},
		"mirrored, German": {Habit{90, true}, languageOf(t, "de")},
		"turned":           {Habit: Habit{TurnDegrees: 215}},
	} {
		plates[name] = svgOf(t, repairFor(t, report, reader))
	}
	return plates
}

func TestRepairPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkPlates(t, trialRepairs(t))
}

// What is drawn of the rim, before and after, has the lengths that are told, at the plate's scale and seen from above.
func TestRepairIsDrawnToScale(t *testing.T) {
	report := reportOf(t, "plan", []byte(string(trialPlan("Scale (invented)", "heart: { saddle-height: 0 mm }\n"))+"repair:\n  - plicate: { segment: posterior, to: 12 mm }\n"))
	plate := string(repairView(t, report))
	scale, err := strconv.ParseFloat(regexp.MustCompile(`Scale ([0-9.]+) : 1`).FindStringSubmatch(plate)[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	for class, want := range map[string]float64{"ghost": report.Outcome.Before.LengthMM, "rim": report.Outcome.After.LengthMM} {
		d := regexp.MustCompile(`<path d="([^"]*)" class="` + class + `"`).FindStringSubmatch(plate)
		if d == nil {
			t.Fatalf("no path of class %s", class)
		}
		if got := bezierLength(t, d[1]) / scale; math.Abs(got-want) > 0.004*want {
			t.Errorf("%s: drawn %.2f mm long, want %.2f", class, got, want)
		}
	}
}

// bezierLength is the length of a path of cubic pieces, by many straight ones.
func bezierLength(t *testing.T, d string) (length float64) {
	t.Helper()
	var numbers []float64
	for _, word := range regexp.MustCompile(`-?[0-9.]+`).FindAllString(d, -1) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, x)
	}
	at := Point{numbers[0], numbers[1]}
	for i := 2; i+5 < len(numbers); i += 6 {
		c1, c2, to := Point{numbers[i], numbers[i+1]}, Point{numbers[i+2], numbers[i+3]}, Point{numbers[i+4], numbers[i+5]}
		before := at
		for j := 1; j <= 100; j++ {
			u := float64(j) / 100
			v := 1 - u
			p := at.Times(v * v * v).Plus(c1.Times(3 * v * v * u)).Plus(c2.Times(3 * v * u * u)).Plus(to.Times(u * u * u))
			length += p.Distance(before)
			before = p
		}
		at = to
	}
	return length
}

func TestRepairPlateNeedsARepair(t *testing.T) {
	var plate bytes.Buffer
	if err := RepairView(&plate, reportOf(t, "plan", trialPlan("None (invented)", ""))); err == nil || plate.Len() > 0 {
		t.Errorf("%v, %d bytes", err, plate.Len())
	}
}

func TestRepairPlateSaysWhatItShows(t *testing.T) {
	report := reportOf(t, "plan", []byte(string(trialPlan("Words (invented)", ""))+"repair:\n  - plicate: { segment: posterior, to: 0 mm }\n"))
	plate := string(repairView(t, report))
	for _, words := range []string{`role="img"`, "posterior segment", "-100 %", fmt.Sprintf("%.0f", report.Outcome.After.AreaMM2), `id="before"`, `id="reduction"`, "not a medical device"} {
		if !strings.Contains(plate, words) {
			t.Errorf("the plate does not say %q", words)
		}
	}
	for _, r := range report.Outcome.Reasons {
		if r.Level > placement.Clear && !strings.Contains(plate, strings.Fields(sentence(r.Text.String()))[0]) {
			t.Errorf("the plate does not tell that it %s", r.Text)
		}
	}
}

func languageOf(t testing.TB, tag string) *words.Language {
	t.Helper()
	l, err := words.Load(tag)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func repairFor(t testing.TB, report *placement.Report, reader Reader) *Drawing {
	t.Helper()
	d, err := RepairDrawing(report, reader)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// placesOf are the places of all marks of some classes: circles' middles, lines' ends, paths' points, in the order drawn.
func placesOf(d *Drawing, classes ...string) (places []Point) {
	for _, e := range d.entries {
		if !slices.Contains(classes, e.name) {
			continue
		}
		switch e.kind {
		case kindCircle:
			places = append(places, e.at)
		case kindLine:
			places = append(places, e.at, e.to)
		case kindPath:
			places = append(places, e.strokes.points...)
		}
	}
	return places
}

// textsOf are the lines of lettering of a class.
func textsOf(d *Drawing, class string) (texts []entry) {
	for _, e := range d.entries {
		if e.kind == kindText && e.name == class {
			texts = append(texts, e)
		}
	}
	return texts
}

// paperMoved is where a way on the paper leads that is mirrored about the upright and then turned clockwise, y downwards:
// (x, y) goes to (−x, y), and that to (x cos a − y sin a, x sin a + y cos a).
func paperMoved(way Point, h Habit) Point {
	if h.Mirrored {
		way.X = -way.X
	}
	sin, cos := math.Sincos(h.TurnDegrees * math.Pi / 180)
	return Point{way.X*cos - way.Y*sin, way.X*sin + way.Y*cos}
}

// checkMoved holds the places of one drawing to be those of another, turned and mirrored as the paper would be, and so many
// times as large.
func checkMoved(t *testing.T, h Habit, plain, moved []Point, scale float64) {
	t.Helper()
	if len(plain) != len(moved) || len(plain) < 2 {
		t.Fatalf("%+v: %d places, %d of them moved", h, len(plain), len(moved))
	}
	for i := range plain {
		want := paperMoved(plain[i].Minus(plain[0]), h).Times(scale)
		if got := moved[i].Minus(moved[0]); got.Distance(want) > 0.004 { // coordinates are rounded to 0.001
			t.Fatalf("%+v: place %d lies %v from the first, want %v", h, i, got, want)
		}
	}
}

var someHabits = []Habit{{TurnDegrees: 90}, {Mirrored: true}, {TurnDegrees: 90, Mirrored: true}, {TurnDegrees: -35}, {TurnDegrees: 215, Mirrored: true}}

// saidScale is the scale that a plate says.
func saidScale(t *testing.T, d *Drawing) float64 {
	t.Helper()
	said := regexp.MustCompile(`Scale ([0-9.]+) : 1`).FindStringSubmatch(string(svgOf(t, d)))
	if said == nil {
		t.Fatal("no scale is said")
	}
	scale, err := strconv.ParseFloat(said[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return scale
}

// The valve before and the valve after go along together, at the scale that is said.
func TestRepairTurns(t *testing.T) {
	for _, name := range []string{"asymmetric-band.yaml", "two-leaflets.yaml"} {
		report := exampleReport(t, name)
		plain := repairFor(t, report, Reader{})
		classes := []string{"ghost-mark", "commissure", "needle-entry", "guide"}
		for _, h := range someHabits {
			moved := repairFor(t, report, Reader{Habit: h})
			checkMoved(t, h, placesOf(plain, classes...), placesOf(moved, classes...), saidScale(t, moved)/saidScale(t, plain))
		}
		for _, h := range []Habit{{TurnDegrees: 360}, (Habit{Mirrored: true}).Then(Habit{Mirrored: true})} {
			if !bytes.Equal(svgOf(t, plain), svgOf(t, repairFor(t, report, Reader{Habit: h}))) {
				t.Errorf("%s: %+v leads back, and gives another drawing", name, h)
			}
		}
	}
}

// Every bar stands outside the rim before, its foot and its head as far off as they are meant to, whichever way round the
// rim runs.
func TestBarsStandOutside(t *testing.T) {
	report := exampleReport(t, "asymmetric-band.yaml")
	for _, h := range append([]Habit{{}}, someHabits...) {
		d := repairFor(t, report, Reader{Habit: h})
		var rim geom.Outline
		for _, e := range d.entries {
			if e.kind == kindPath && e.name == "ghost" {
				rim = outlineOf(alongCurve(e.strokes))
			}
		}
		off := math.Inf(1)
		for _, p := range placesOf(d, "reduction") {
			off = min(off, rim.SignedDistance(geom.Point(p)))
		}
		if math.Abs(off-barOffMM) > 0.15 { // the curve is a little off the rim between its points
			t.Errorf("%+v: the bars begin %.2f mm outside the rim, want %.1f", h, off, barOffMM)
		}
	}
}

// alongCurve are points of a curve of cubic pieces: their ends, and their middles by de Casteljau's halving.
func alongCurve(strokes penPath) (points []Point) {
	var last Point
	strokes.each(func(move byte, p []Point) {
		if move == 'C' {
			middle := last.Plus(p[2]).Times(1. / 8).Plus(p[0].Plus(p[1]).Times(3. / 8))
			points = append(points, middle, p[2])
		}
		if len(p) > 0 {
			last = p[len(p)-1]
		}
	})
	return points
}

// However the plate is turned, the bars and their numbers keep off caption, compass and words.
func TestBarsHaveRoom(t *testing.T) {
	plans := map[string]*placement.Report{}
	for _, length := range []float64{105, 118, 128, 141} {
		plan := trialPlan("Room (invented)", fmt.Sprintf("heart: { rim-length: %g mm }\n", length))
		plans[fmt.Sprint(length)] = reportOf(t, "plan", []byte(string(plan)+"repair:\n  - plicate: { segment: anterior, to: 0 mm }\n  - plicate: { segment: posterior, to: 0 mm }\n"))
	}
	for name, report := range plans {
		for turn := 0.0; turn < 360; turn += 30 {
			d := repairFor(t, report, Reader{Habit: Habit{TurnDegrees: turn}})
			for _, p := range placesOf(d, "reduction") {
				if inKey := p.Y > 185; !inKey && !repairReach.Grow(0.001).Contains(p) {
					t.Errorf("rim %s mm, turned %g°: a bar reaches to %v", name, turn, p)
				}
			}
			for _, e := range textsOf(d, "number") {
				width := MeasureIn("number", e.text)
				if box := (Box{e.at.X - width/2, e.at.Y - 3.4, width, 4.4}); !repairReach.Grow(0.001).Encloses(box) {
					t.Errorf("rim %s mm, turned %g°: %q stands in %v", name, turn, e.text, box)
				}
			}
		}
	}
}

// The plate says how it is turned, in its caption and to a reader who cannot see it; the compass goes along, and every line
// of lettering stands upright.
func TestRepairSaysHowItIsTurned(t *testing.T) {
	report := exampleReport(t, "asymmetric-band.yaml")
	for _, c := range []struct {
		reader         Reader
		caption, where string
		sense          string
	}{
		{Reader{}, "The repair, before and after. Operation: band. Scale 2.5 : 1 in the plane of the rim.", "", ""},
		{Reader{Habit: Habit{TurnDegrees: 90}}, "before and after, turned 90° clockwise.", "Septum left, front right, head above, feet below.", ""},
		{Reader{Habit: Habit{Mirrored: true}}, "before and after, mirrored.", "Septum below, front above, head right, feet left.", "Mirrored: clockwise runs anticlockwise here."},
		{Reader{Habit{90, true}, languageOf(t, "de")}, "gespiegelt, um 90° im Uhrzeigersinn gedreht. Eingriff: Band. Maßstab 2,5 : 1.", "Septum links, vorn rechts, Kopf unten, Füße oben.", "Gespiegelt: Der Uhrzeigersinn läuft hier andersherum."},
		{Reader{Habit{-90, true}, languageOf(t, "de")}, "gespiegelt, um 90° gegen den Uhrzeigersinn gedreht", "Septum rechts, vorn links, Kopf oben, Füße unten.", "Gespiegelt: Der Uhrzeigersinn läuft hier andersherum."},
	} {
		d := repairFor(t, report, c.reader)
		caption := textsOf(d, "caption")[0].text
		if !strings.Contains(caption, c.caption) || strings.Contains(caption, ellipsis) || !strings.Contains(caption, " : 1") {
			t.Errorf("%+v: the caption says %q", c.reader.Habit, caption)
		}
		if desc := d.page.Desc; c.where != "" && !strings.Contains(desc, c.where) || strings.Contains(desc, "Septum") != (c.where != "") || !strings.Contains(desc, c.sense) {
			t.Errorf("%+v: the description says %q", c.reader.Habit, desc)
		}
		if plate := string(svgOf(t, d)); strings.Contains(plate, "transform") || strings.Contains(plate, "rotate(") {
			t.Errorf("%+v: something does not stand upright", c.reader.Habit)
		}
		checkCompass(t, d, c.reader, Point{22, 176 - (repairPlate{plate: plate{page: repairPage, Reader: c.reader}}).raisedMM()})
	}
}

// checkCompass holds the words of a compass to stand where their directions lead.
func checkCompass(t *testing.T, d *Drawing, reader Reader, middle Point) {
	t.Helper()
	found := 0
	for id, way := range map[string]geom.Vec{"way.head": head, "way.feet": feet, "way.front": front, "way.back": back} {
		on := reader.Habit.of(downTheValve).onPaper(way)
		for _, e := range textsOf(d, "axis-label") {
			if e.text == reader.say(id) {
				found++
				if off := e.at.Minus(middle); off.unit().dot(on) < 0.9 {
					t.Errorf("%+v: %q stands %v off the compass, its direction runs %v", reader.Habit, e.text, off, on)
				}
			}
		}
	}
	if found != 4 {
		t.Errorf("%+v: %d words of the compass", reader.Habit, found)
	}
}

func TestRepairRefusesWhatIsNoAngle(t *testing.T) {
	report := exampleReport(t, "asymmetric-band.yaml")
	if _, err := RepairDrawing(report, Reader{Habit: Habit{TurnDegrees: math.NaN()}}); err == nil || !strings.Contains(err.Error(), "cannot be turned") {
		t.Error(err)
	}
}

// In every language the words of a row of the tables end before its numbers begin, in the font of the PDF.
func TestRepairTablesHoldEveryLanguage(t *testing.T) {
	faces, err := loadTypefaces()
	if err != nil {
		t.Fatal(err)
	}
	for _, tag := range words.Tags() {
		for _, name := range []string{"asymmetric-band.yaml", "purse-string-too-tight.yaml", "two-leaflets.yaml"} {
			d := repairFor(t, exampleReport(t, name), Reader{Language: languageOf(t, tag)})
			rows := map[float64][]entry{}
			for _, class := range []string{"label", "label-quiet", "legend-heading"} {
				for _, e := range textsOf(d, class) {
					if e.at.X >= repairSaid.X {
						rows[e.at.Y] = append(rows[e.at.Y], e)
					}
				}
			}
			tables := 0
			for _, row := range rows {
				if len(row) > 1 {
					tables++
				}
				slices.SortFunc(row, func(a, b entry) int { return cmp.Compare(a.at.X, b.at.X) })
				end := math.Inf(-1)
				for _, e := range row {
					face := faces.of(Lettering(e.name))
					_, widthEm := face.pieces(face.written(e.text))
					from, width := e.at.X, widthEm*Lettering(e.name).SizeMM
					if e.anchor == AnchorEnd {
						from -= width
					}
					if from < end+1 || from+width > repairSaid.Right()+0.01 || strings.Contains(e.text, ellipsis) {
						t.Errorf("%s, %s: %q has no room in its row", tag, name, e.text)
					}
					end = from + width
				}
			}
			if tables < 10 {
				t.Errorf("%s, %s: %d rows of tables", tag, name, tables)
			}
		}
	}
}
