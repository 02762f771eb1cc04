package svgout

import (
	"bytes"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

// slidesFor are slides for a certain reader.
func slidesFor(t testing.TB, report *placement.Report, reader Reader, quiz bool) *Slides {
	t.Helper()
	slides, err := NewSlides(report, SlideOptions{Quiz: quiz, Reader: reader, Bibliography: slidesOf(t, report, quiz).options.Bibliography})
	if err != nil {
		t.Fatal(err)
	}
	return slides
}

// paragraphs are those of a slide's remark.
func (sl slide) paragraphs() []string {
	if sl.words.remark == nil {
		return nil
	}
	return sl.words.remark.paragraphs
}

// examples are the names of all examples.
func examples(t testing.TB) (names []string) {
	t.Helper()
	files, err := filepath.Glob("../examples/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d examples, %v", len(files), err)
	}
	for _, file := range files {
		names = append(names, strings.TrimSuffix(filepath.Base(file), ".yaml"))
	}
	return names
}

// drawnShape is where something in the picture lies: of a circle its middle, of a path the box about its course.
type drawnShape struct {
	class     string
	low, high Point
}

var (
	shapeElement = regexp.MustCompile(`<(circle|path) [^>]*>`)
	pathStep     = regexp.MustCompile(`([MLCZ])([^MLCZ]*)`)
	coordinate   = regexp.MustCompile(`-?[0-9.]+`)
)

// attributeOf is one attribute of an element; empty where it has none.
func attributeOf(element, name string) string {
	_, after, _ := strings.Cut(element, " "+name+`="`)
	value, _, _ := strings.Cut(after, `"`)
	return value
}

// shapesOf are the circles and paths of a layer in drawing order, but for hatches, which are ruled on the paper, and marks
// of levels, which stay upright.
func shapesOf(t *testing.T, layer string) (shapes []drawnShape) {
	t.Helper()
	for _, e := range shapeElement.FindAllString(layer, -1) {
		class := attributeOf(e, "class")
		if strings.HasSuffix(class, "-hatch") || strings.HasPrefix(class, "level-") && class != "level-clear" {
			continue
		}
		course := courseOf(t, attributeOf(e, "d"))
		if strings.HasPrefix(e, "<circle") {
			course = []Point{{numeral(t, attributeOf(e, "cx")), numeral(t, attributeOf(e, "cy"))}}
		}
		box := boxOf(course)
		shapes = append(shapes, drawnShape{class, Point{box.X, box.Y}, Point{box.Right(), box.Bottom()}})
	}
	return shapes
}

// courseOf are points of a path: its corners, and along its Béziers.
func courseOf(t *testing.T, d string) (course []Point) {
	t.Helper()
	for _, step := range pathStep.FindAllStringSubmatch(d, -1) {
		var to []Point
		numbers := coordinate.FindAllString(step[2], -1)
		for i := 0; i+1 < len(numbers); i += 2 {
			to = append(to, Point{numeral(t, numbers[i]), numeral(t, numbers[i+1])})
		}
		if step[1] != "C" {
			course = append(course, to...)
			continue
		}
		for ; len(to) >= 3; to = to[3:] {
			from := course[len(course)-1]
			for s := 0.05; s < 1.01; s += 0.05 {
				r := 1 - s
				course = append(course, from.Times(r*r*r).Plus(to[0].Times(3*r*r*s)).Plus(to[1].Times(3*r*s*s)).Plus(to[2].Times(s*s*s)))
			}
		}
	}
	return course
}

func numeral(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// A mirrored deck is the same picture, slide by slide, reflected about the upright through its middle: every circle, and
// the box about every path, before and after a repair as well.
func TestMirroredSlidesAreReflected(t *testing.T) {
	// Circles are rounded to a thousandth. Smooth curves begin elsewhere in the mirror, and are drawn as near as a hair.
	// The aortic root's wall is shown as far as its samples go, one in six degrees.
	const circleMM, curveMM, rootMM = 0.0021, 0.05, 3.0
	axis := 2 * slidePicture.Centre().X
	for _, name := range []string{"band-three-mistakes", "asymmetric-band", "around-the-triangle"} {
		report := taughtReport(t, name)
		plain := drawnSlides(t, slidesOf(t, report, false))
		mirrored := drawnSlides(t, slidesFor(t, report, Reader{Habit: Habit{Mirrored: true}}, false))
		if len(plain) != len(mirrored) {
			t.Fatalf("%s: %d slides, mirrored %d", name, len(plain), len(mirrored))
		}
		compared := map[string]int{}
		for i := range plain {
			ids, layers := pictureLayers(plain[i])
			others, reflected := pictureLayers(mirrored[i])
			if !slices.Equal(ids, others) {
				t.Fatalf("%s: slide %d draws %v, mirrored %v", name, i+1, ids, others)
			}
			for _, id := range ids {
				want, got := shapesOf(t, layers[id]), shapesOf(t, reflected[id])
				if len(want) != len(got) {
					t.Errorf("%s: slide %d draws %d shapes in %s, mirrored %d", name, i+1, len(want), id, len(got))
					continue
				}
				for j, w := range want {
					reflect := drawnShape{w.class, Point{axis - w.high.X, w.low.Y}, Point{axis - w.low.X, w.high.Y}}
					mayBeOff := curveMM
					switch {
					case w.low == w.high:
						mayBeOff = circleMM
					case w.class == "aorta-area":
						mayBeOff = rootMM
					}
					if g := got[j]; g.class != reflect.class || g.low.Distance(reflect.low) > mayBeOff || g.high.Distance(reflect.high) > mayBeOff {
						t.Errorf("%s: slide %d, %s: %+v mirrored is %+v, want %+v", name, i+1, id, w, g, reflect)
					}
					compared[w.class]++
				}
			}
		}
		for _, class := range []string{"rim", "commissure", "needle-entry", "ostium", "aorta-area", "thread-hidden"} {
			if compared[class] == 0 {
				t.Errorf("%s: no %s was compared", name, class)
			}
		}
		if name == "asymmetric-band" && compared["reduction"] == 0 {
			t.Errorf("%s: no bar was compared", name)
		}
	}
}

// However a deck is turned, its commissures lie to each other as they do in the valve's frame, mirrored and turned by
// hand: (x, y) up the paper goes to (−x, y), and, turned clockwise by a, to (x cos a + y sin a, y cos a − x sin a). The
// picture fills its place.
func TestTurnedSlidesFollowTheHabit(t *testing.T) {
	report := taughtReport(t, "band-three-mistakes")
	var frame []geom.Vec
	for _, s := range report.Laid.Heart.Segments() {
		frame = append(frame, report.Laid.Heart.Rim.At(s.FromMM))
	}
	for _, h := range []Habit{{}, {TurnDegrees: 90}, {TurnDegrees: -35}, {TurnDegrees: 180}, {TurnDegrees: 90, Mirrored: true}, {TurnDegrees: 200, Mirrored: true}} {
		slides := drawnSlides(t, slidesFor(t, report, Reader{Habit: h}, false))
		_, layers := pictureLayers(slides[1])
		var at []Point
		for _, s := range shapesOf(t, layers["landmarks"]) {
			if s.class == "commissure" {
				at = append(at, s.low)
			}
		}
		if len(at) != len(frame) {
			t.Fatalf("%+v: %d commissures", h, len(at))
		}
		sin, cos := math.Sincos(h.TurnDegrees * math.Pi / 180)
		scale := at[1].Distance(at[0]) / math.Hypot(frame[1].X-frame[0].X, frame[1].Y-frame[0].Y)
		for i := 1; i < len(at); i++ {
			way := frame[i].Sub(frame[0])
			if h.Mirrored {
				way.X = -way.X
			}
			want := at[0].Plus(Point{way.X*cos + way.Y*sin, way.X*sin - way.Y*cos}.Times(scale))
			if at[i].Distance(want) > 0.01 {
				t.Errorf("%+v: commissure %d lies at %v, want %v", h, i+1, at[i], want)
			}
		}
		wall := shapesOf(t, layers["wall"])[0]
		if w, high := wall.high.X-wall.low.X, wall.high.Y-wall.low.Y; w < slidePicture.W*0.97 && high < slidePicture.H*0.97 || w > slidePicture.W*1.01 || high > slidePicture.H*1.01 {
			t.Errorf("%+v: the picture is %.1f by %.1f mm, its place %.0f by %.0f", h, w, high, slidePicture.W, slidePicture.H)
		}
	}
}

var (
	pageDesc = regexp.MustCompile(`<desc[^>]*>([^<]*)</desc>`)
	anyText  = regexp.MustCompile(`<text x="([^"]*)" y="([^"]*)"[^>]*>([^<]*)</text>`)
)

// The first slide and every description say how a deck is turned; a mirrored one says so beside every picture; and the
// compass's words stand where their directions lead.
func TestSlidesSayTheirHabit(t *testing.T) {
	report := taughtReport(t, "around-the-triangle")
	sense := "Mirrored: clockwise runs anticlockwise here."
	for _, c := range []struct {
		habit         Habit
		caption, desc string
	}{
		{Habit{}, "The tricuspid valve in the opened right atrium.", "Atrial view: septum below, front above, head left, feet right."},
		{Habit{TurnDegrees: 90}, "opened right atrium, turned 90° clockwise.", "Atrial view, turned 90° clockwise: septum left, front right, head above, feet below."},
		{Habit{Mirrored: true}, "opened right atrium, mirrored.", "Atrial view, mirrored: septum below, front above, head right, feet left. " + sense},
		{Habit{Mirrored: true, TurnDegrees: 270}, "atrium, mirrored, turned 90° anticlockwise.", "Atrial view, mirrored, turned 90° anticlockwise: septum right, front left, head above, feet below. " + sense},
	} {
		deck := slidesFor(t, report, Reader{Habit: c.habit}, false)
		if !strings.Contains(deck.slides[0].caption, c.caption) || len(deck.slides[0].captionLines()) > 2 {
			t.Errorf("%+v: the first caption is %q", c.habit, deck.slides[0].caption)
		}
		for i, slide := range drawnSlides(t, deck) {
			desc := pageDesc.FindStringSubmatch(string(slide))[1]
			ids, _ := pictureLayers(slide)
			if has := strings.HasSuffix(desc, c.desc); has != (len(ids) > 0) {
				t.Errorf("%+v: slide %d with %d layers is described: %s", c.habit, i+1, len(ids), desc)
			}
			if len(ids) == 0 {
				continue
			}
			saysMirrored := false
			for _, text := range anyText.FindAllStringSubmatch(string(slide), -1) {
				saysMirrored = saysMirrored || text[3] == "mirrored"
				way, named := map[string]geom.Vec{"head": head, "feet": feet, "front": front, "back": back}[text[3]]
				if !named {
					continue
				}
				off := Point{numeral(t, text[1]), numeral(t, text[2]) - 2}.Minus(slideCompass).unit()
				if on := c.habit.of(downTheValve).onPaper(way); off.dot(on) < 0.9 {
					t.Errorf("%+v: slide %d: %q stands %v off the compass, its direction runs %v", c.habit, i+1, text[3], off, on)
				}
			}
			if saysMirrored != c.habit.Mirrored {
				t.Errorf("%+v: slide %d says beside the picture that it is mirrored: %v", c.habit, i+1, saysMirrored)
			}
		}
		var notes bytes.Buffer
		if err := deck.Notes(&notes); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(notes.String(), sense); n > 0 != c.habit.Mirrored || c.habit.Mirrored && n < 3 {
			t.Errorf("%+v: the notes say %d times that the sense is reversed", c.habit, n)
		}
		if desc := pageDesc.FindStringSubmatch(string(drawnBuild(t, deck)))[1]; strings.Contains(desc, c.desc) != (c.habit != Habit{}) {
			t.Errorf("%+v: the build is described: %s", c.habit, desc)
		}
	}
}

func TestSlidesRefuseWhatIsNoAngle(t *testing.T) {
	report := taughtReport(t, "band-three-mistakes")
	for _, degrees := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := NewSlides(report, SlideOptions{Reader: Reader{Habit: Habit{TurnDegrees: degrees}}}); err == nil || !strings.Contains(err.Error(), "cannot be turned") {
			t.Errorf("turned by %v: %v", degrees, err)
		}
	}
}

var (
	cutOff     = regexp.MustCompile(`<text [^>]*>([^<]*…)</text>`)
	germanSign = regexp.MustCompile(`(?m)^- .*: -?[0-9]+,[0-9]+ ± [0-9]+(,[0-9]+)? \S+ \((.*)\)$`)
)

// Every example is taught in German as it is in English: as many slides, their captions in two lines, nothing cut off,
// nothing without its message, and no caption left in English, on the slides or in the notes.
func TestSlidesInGerman(t *testing.T) {
	reader := Reader{Language: german(t)}
	drawn := map[string][]byte{}
	for i, name := range examples(t) {
		report := taughtReport(t, name)
		deck, english := slidesFor(t, report, reader, i%3 == 0), slidesOf(t, report, i%3 == 0)
		if deck.Len() != english.Len() {
			t.Errorf("%s: %d slides, in English %d", name, deck.Len(), english.Len())
		}
		var out bytes.Buffer
		if err := deck.Notes(&out); err != nil {
			t.Fatal(err)
		}
		notes := out.String()
		for j, sl := range deck.slides {
			if lines := sl.captionLines(); len(lines) > 2 || strings.HasSuffix(lines[len(lines)-1], "…") {
				t.Errorf("%s, %d: the caption is cut off: %q", name, j+1, lines)
			}
			for _, p := range sl.paragraphs() {
				if lines := Fit("slide-text", p, slideRight.W, 10); strings.HasSuffix(lines[len(lines)-1], "…") {
					t.Errorf("%s, %d: a remark is cut off: %q", name, j+1, lines)
				}
			}
			if english := english.slides[j].caption; sl.caption == english || strings.Contains(notes, plainMarkdown(english)) {
				t.Errorf("%s, %d: a caption in English: %s", name, j+1, english)
			}
		}
		for _, want := range []string{"\nAuf der Folie: ", "\nZahlen:\n", "\n## Quellen\n", "kein Medizinprodukt"} {
			if !strings.Contains(notes, want) {
				t.Errorf("%s: the notes lack %q", name, want)
			}
		}
		if strings.Contains(notes, "⟦") {
			t.Errorf("%s: the notes lack a message", name)
		}
		if n := len(germanSign.FindAllString(notes, -1)); n < 20 {
			t.Errorf("%s: the notes list %d figures with a comma", name, n)
		}
		for j := i % 3; j < deck.Len(); j += 3 {
			var slide bytes.Buffer
			if err := deck.DrawSlide(&slide, j); err != nil {
				t.Fatal(err)
			}
			drawn[name+", "+strconv.Itoa(j+1)] = slide.Bytes()
		}
		drawn[name+", build"] = drawnBuild(t, deck)
	}
	for _, name := range namesOf(drawn) {
		sheet := drawn[name]
		for _, err := range svgcheck.Strict(sheet) {
			t.Errorf("%s: %v", name, err)
		}
		if words := cutOff.FindSubmatch(sheet); words != nil {
			t.Errorf("%s: words are cut off: %s", name, words[1])
		}
		if bytes.Contains(sheet, []byte("⟦")) {
			t.Errorf("%s lacks a message", name)
		}
		if !bytes.Contains(sheet, []byte(`xml:lang="de"`)) {
			t.Errorf("%s is not said to be in German", name)
		}
	}
	t.Run("lettering in the browser", func(t *testing.T) {
		t.Parallel()
		var names []string
		for i, name := range namesOf(drawn) {
			if i%4 == 0 {
				names = append(names, name)
			}
		}
		var some [][]byte
		for _, name := range names {
			some = append(some, drawn[name])
		}
		lettersApart(t, names, some)
	})
}

// A quiz in German keeps its answers, too.
func TestGermanQuizKeepsItsAnswers(t *testing.T) {
	answers := regexp.MustCompile(`id="(conduction|triangle|zones|neighbours|levels-\d+)"|(?i)\b(frei|Vorsicht|meiden)\b`)
	report := taughtReport(t, "band-three-mistakes")
	slides := drawnSlides(t, slidesFor(t, report, Reader{Language: german(t)}, true))
	asked := slices.IndexFunc(slides, func(slide []byte) bool { return bytes.Contains(slide, []byte("Welche dieser Stiche")) })
	revealed := slices.IndexFunc(slides, func(slide []byte) bool { return answers.Match(styleElement.ReplaceAll(slide, nil)) })
	if asked < 0 || revealed != asked+1 {
		t.Errorf("asked on slide %d, first answered on slide %d", asked+1, revealed+1)
	}
}

// What a slide labels is told whole, however its label had to be broken.
func TestLabelsAreToldUnbroken(t *testing.T) {
	deck := slidesFor(t, taughtReport(t, "band-three-mistakes"), Reader{Language: german(t)}, false)
	i := slices.IndexFunc(deck.slides, func(sl slide) bool {
		return slices.ContainsFunc(sl.words.labels, func(l slideLabel) bool { return strings.Contains(strings.Join(l.Lines, "|"), "-|") })
	})
	if i < 0 {
		t.Fatal("no label is broken at a hyphen")
	}
	var slide bytes.Buffer
	if err := deck.DrawSlide(&slide, i); err != nil {
		t.Fatal(err)
	}
	zone, _ := deck.report.Laid.Heart.Zone(atlas.Ostium)
	want := clean(deck.said(zone.Label))
	if desc := pageDesc.FindStringSubmatch(slide.String())[1]; !strings.Contains(desc, want) {
		t.Errorf("%q is told: %s", want, desc)
	}
}

// What stands on a slide is told in sentences, each with its own mark at the end.
func TestSlidesAreToldInSentences(t *testing.T) {
	for text, want := range map[string]string{"On which side?": "On which side?", "Clear": "Clear.", "Done.": "Done."} {
		if got := ended(text); got != want {
			t.Errorf("%q is told as %q, want %q", text, got, want)
		}
	}
	deck := slidesFor(t, taughtReport(t, "wrong-side"), Reader{}, false)
	asked := 0
	for _, sl := range deck.slides {
		told := deck.slideDesc(sl)
		if strings.Contains(told, "?.") || strings.Contains(told, "..") {
			t.Errorf("a slide is told as %q", told)
		}
		asked += strings.Count(told, "?")
	}
	if asked == 0 {
		t.Error("no slide asks anything: not much of a test")
	}
}
