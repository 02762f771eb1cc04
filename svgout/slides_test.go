package svgout

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/placement"
	"fairlead/svgout/svgcheck"
)

func slidesOf(t testing.TB, report *placement.Report, quiz bool) *Slides {
	t.Helper()
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	bibliography, err := catalogue.Bibliography()
	if err != nil {
		t.Fatal(err)
	}
	slides, err := NewSlides(report, SlideOptions{Quiz: quiz, Bibliography: bibliography})
	if err != nil {
		t.Fatal(err)
	}
	return slides
}

func taughtReport(t testing.TB, name string) *placement.Report {
	t.Helper()
	file := filepath.Join("../examples", name+".yaml")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return reportOf(t, filepath.Base(file), data)
}

// taught are the examples whose slides are looked at closely: mistakes of bites, of a repair, a suture line, a child, a
// malformed heart.
var taught = []string{"band-three-mistakes", "purse-string-too-tight", "around-the-triangle", "child", "straddling"}

// trialSlides are decks of examples, of a device, of a quiz and of a plan whose names no reader would have let through.
func trialSlides(t testing.TB) map[string]*Slides {
	t.Helper()
	decks := map[string]*Slides{"quiz": slidesOf(t, taughtReport(t, "band-three-mistakes"), true)}
	for _, name := range append([]string{"asymmetric-band"}, taught...) {
		decks[name] = slidesOf(t, taughtReport(t, name), false)
	}
	decks["mirrored, turned"] = slidesFor(t, taughtReport(t, "asymmetric-band"), Reader{Habit: Habit{TurnDegrees: 90, Mirrored: true}}, false)
	report := reportOf(t, "hostile", trialPlan("x", "", strings.Split("abcdefghij", "")[:len(hostileNames)]...))
	for i, name := range hostileNames {
		report.Bites[i].Name = name
	}
	report.Laid.Plan.Case = strings.Join(hostileNames, " ")
	decks["hostile"] = slidesOf(t, report, false)
	decks["no bites"] = slidesOf(t, reportOf(t, "plan", trialPlan("The heart alone (invented)", "")), true)
	return decks
}

func drawnSlides(t testing.TB, s *Slides) (slides [][]byte) {
	t.Helper()
	for i := range s.Len() {
		var slide bytes.Buffer
		if err := s.DrawSlide(&slide, i); err != nil {
			t.Fatal(err)
		}
		slides = append(slides, slide.Bytes())
	}
	return slides
}

func drawnBuild(t testing.TB, s *Slides) []byte {
	t.Helper()
	var build bytes.Buffer
	if err := s.DrawBuild(&build); err != nil {
		t.Fatal(err)
	}
	return build.Bytes()
}

// decksDrawn are all slides and builds of the trial decks, by name.
func decksDrawn(t testing.TB) map[string][]byte {
	t.Helper()
	sheets := map[string][]byte{}
	for name, deck := range trialSlides(t) {
		for i, slide := range drawnSlides(t, deck) {
			sheets[fmt.Sprintf("%s, %02d", name, i+1)] = slide
		}
		sheets[name+", build"] = drawnBuild(t, deck)
	}
	return sheets
}

func TestSlidesAreSound(t *testing.T) {
	t.Parallel() // it waits for outside programs
	sheets := decksDrawn(t)
	for _, name := range namesOf(sheets) {
		for _, err := range svgcheck.Strict(sheets[name]) {
			t.Errorf("%s: %v", name, err)
		}
		lettersLarge(t, name, sheets[name])
	}
	t.Run("validators", func(t *testing.T) {
		some := spread(sheetsOf(sheets), 24)
		svgcheck.CheckXMLLint(t, some...)
		svgcheck.CheckNu(t, some...)
	})
	t.Run("lettering in the browser", func(t *testing.T) { lettersApart(t, namesOf(sheets), sheetsOf(sheets)) })
}

// lettersApart wants nothing on a slide lettered over anything else, or in its margin. The captions of a build lie where
// they follow one another, and are never seen together.
func lettersApart(t *testing.T, names []string, sheets [][]byte) {
	const marginMM = 4.0
	for i, boxes := range svgcheck.TextBoxes(t, sheets...) {
		passing := strings.HasSuffix(names[i], "build")
		for j, a := range boxes {
			if a.X < marginMM || a.Y < marginMM || a.X+a.W > slidePage.W-marginMM || a.Y+a.H > slidePage.H-marginMM {
				t.Errorf("%s: %q lies in the margin", names[i], a.Text)
			}
			for _, b := range boxes[:j] {
				if a.Overlaps(b) && !(passing && a.Class == "slide-caption" && b.Class == "slide-caption") {
					t.Errorf("%s: %q lies over %q", names[i], a.Text, b.Text)
				}
			}
		}
	}
}

var textClass = regexp.MustCompile(`<text [^>]*class="([^"]*)"`)

// lettersLarge wants a slide of 16 : 9 with no capital lower than 1/40 of its height.
func lettersLarge(t *testing.T, name string, sheet []byte) {
	w, h := svgcheck.Size(t, sheet)
	if 9*w != 16*h {
		t.Errorf("%s is %g by %g mm", name, w, h)
	}
	classes := textClass.FindAllStringSubmatch(string(sheet), -1)
	if len(classes) == 0 {
		t.Errorf("%s has no lettering", name)
	}
	for _, class := range classes {
		if capital := Lettering(class[1]).SizeMM * capHeightEm; capital < h/40 {
			t.Errorf("%s: capitals of %s are %.2f mm high, of a slide of %g mm", name, class[1], capital, h)
		}
	}
}

// pictureLayers are the layers of a slide's picture, each with all it holds, in drawing order.
func pictureLayers(sheet []byte) (ids []string, layers map[string]string) {
	layers = map[string]string{}
	depth, start, id := 0, 0, ""
	at := 0
	for _, line := range strings.SplitAfter(string(sheet), "\n") {
		switch {
		case strings.HasPrefix(line, "<g "):
			if depth == 0 {
				start, id = at, regexp.MustCompile(`id="([^"]*)"`).FindStringSubmatch(line)[1]
			}
			depth++
		case strings.HasPrefix(line, "</g>"):
			if depth--; depth == 0 && !slices.Contains([]string{"caption", "words", "number"}, id) {
				ids, layers[id] = append(ids, id), string(sheet[start:at+len(line)])
			}
		}
		at += len(line)
	}
	return ids, layers
}

// Turning a slide takes nothing of the picture away and changes nothing in it, but where the repair is compared and where
// the sources stand, which begin anew.
func TestTurningASlideOnlyAdds(t *testing.T) {
	for name, deck := range trialSlides(t) {
		var before []string
		var had map[string]string
		anew := 0
		for i, slide := range drawnSlides(t, deck) {
			ids, layers := pictureLayers(slide)
			if i > 0 && (len(ids) == 0 && len(before) > 0 || slices.Contains(ids, "after") && !slices.Contains(before, "after")) {
				anew++
				before, had = ids, layers
				continue
			}
			for _, id := range before {
				if layers[id] != had[id] {
					t.Errorf("%s: slide %d draws %s otherwise than the one before, or not at all", name, i+1, id)
				}
			}
			if kept := slices.DeleteFunc(slices.Clone(ids), func(id string) bool { return !slices.Contains(before, id) }); !slices.Equal(kept, before) {
				t.Errorf("%s: slide %d draws what was there in another order: %v, before %v", name, i+1, kept, before)
			}
			before, had = ids, layers
		}
		want := 1
		if deck.report.Outcome != nil {
			want = 2
		}
		if anew != want {
			t.Errorf("%s begins anew %d times, want %d", name, anew, want)
		}
	}
}

// A deck for a dark room differs in its colours alone.
func TestSlidesForADarkRoom(t *testing.T) {
	report := taughtReport(t, "band-three-mistakes")
	dark, err := NewSlides(report, SlideOptions{Theme: ThemeDark})
	if err != nil {
		t.Fatal(err)
	}
	light, err := NewSlides(report, SlideOptions{})
	if err != nil {
		t.Fatal(err)
	}
	colours := regexp.MustCompile(`#[0-9a-f]{6}`)
	others := append(drawnSlides(t, light), drawnBuild(t, light))
	for i, slide := range append(drawnSlides(t, dark), drawnBuild(t, dark)) {
		other := others[i]
		if bytes.Equal(slide, other) || !bytes.Equal(colours.ReplaceAll(slide, nil), colours.ReplaceAll(other, nil)) {
			t.Errorf("dark sheet %d is the light one, or differs in more than colours", i+1)
		}
	}
}

func TestSlidesTeachInOrder(t *testing.T) {
	deck := slidesOf(t, taughtReport(t, "band-three-mistakes"), false)
	var firsts []string
	seen := map[string]bool{}
	for _, slide := range drawnSlides(t, deck) {
		ids, _ := pictureLayers(slide)
		for _, id := range ids {
			if !seen[id] && slices.Contains([]string{"rim", "landmarks", "triangle", "conduction", "zones", "bites-1", "bites-2", "bites-4", "bites-6"}, id) {
				firsts = append(firsts, id)
			}
			seen[id] = true
		}
	}
	if got, want := strings.Join(firsts, " "), "rim landmarks triangle conduction zones bites-1 bites-2 bites-4 bites-6"; got != want {
		t.Errorf("taught in the order %s, want %s", got, want)
	}
	all := string(bytes.Join(drawnSlides(t, deck), nil))
	for _, words := range []string{", to avoid: apical half of the nodal triangle.", ", to avoid: ventricular side of the anteroseptal commissure.", ", to avoid: fibrous body as an anchor.", "Instead: 10 mm further", "What this rests on"} {
		if !strings.Contains(all, words) {
			t.Errorf("the slides do not say %q", words)
		}
	}
}

func TestCaptionsAreShort(t *testing.T) {
	for _, name := range taught {
		for i, sl := range slidesOf(t, taughtReport(t, name), false).slides {
			if words := len(strings.Fields(sl.caption)); words > 12 {
				t.Errorf("%s, %d: a caption of %d words: %s", name, i+1, words, sl.caption)
			}
		}
	}
}

var (
	styleElement = regexp.MustCompile(`(?s)<style.*?</style>`)
	answers      = regexp.MustCompile(`id="(conduction|triangle|triangle-ground|zones|zone-grounds|neighbours|levels-\d+)"|class="(level-|node|bundle|nodal|extension|triangle|fibrous|ventricular|coronary|aorta)|\b(avoid|caution|clear)\b`)
)

// Before its answers a quiz tells nothing of the axis, the zones and the levels, neither to the eye nor to a reader who
// cannot see; afterwards it has told everything.
func TestQuizKeepsItsAnswers(t *testing.T) {
	report := taughtReport(t, "band-three-mistakes")
	slides := drawnSlides(t, slidesOf(t, report, true))
	revealed := slices.IndexFunc(slides, func(slide []byte) bool { return answers.Match(styleElement.ReplaceAll(slide, nil)) })
	asked := slices.IndexFunc(slides, func(slide []byte) bool { return bytes.Contains(slide, []byte("Which of these bites")) })
	if asked < 0 || revealed != asked+1 {
		t.Fatalf("asked on slide %d, first answered on slide %d", asked+1, revealed+1)
	}
	for i, slide := range slides[:revealed] {
		if strings.Contains(string(slide), report.Laid.Plan.Case) {
			t.Errorf("slide %d tells the case, whose label may hold the answer", i+1)
		}
	}
	groups := len(slidesOf(t, report, false).biteGroups())
	if got := bytes.Count(slides[asked], []byte(`<g id="bites-`)); got != groups {
		t.Errorf("%d groups of bites are asked about, of %d", got, groups)
	}
	ids := func(deck [][]byte) map[string]string {
		all := map[string]string{}
		for _, slide := range deck {
			_, layers := pictureLayers(slide)
			maps.Copy(all, layers)
		}
		return all
	}
	if got, want := ids(slides), ids(drawnSlides(t, slidesOf(t, report, false))); !maps.Equal(got, want) {
		t.Errorf("the quiz draws %d layers in the end, the slides %d, or they differ", len(got), len(want))
	}
}

func TestSlidesCarryTheCaution(t *testing.T) {
	for name, deck := range trialSlides(t) {
		slides := drawnSlides(t, deck)
		for _, i := range []int{0, len(slides) - 1} {
			if !strings.Contains(string(slides[i]), "not a medical device") {
				t.Errorf("%s: slide %d lacks the caution", name, i+1)
			}
		}
		for i, slide := range slides {
			if want := fmt.Sprintf(">%d / %d</text>", i+1, len(slides)); !strings.Contains(string(slide), want) {
				t.Errorf("%s: slide %d does not number itself %s", name, i+1, want)
			}
		}
	}
}

func TestSlidesAreTheSameBytesEachTime(t *testing.T) {
	first, second := decksDrawn(t), decksDrawn(t)
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: two drawings of one plan differ", name)
		}
	}
}

// unescaped is a tag that Markdown would hand on as HTML.
var unescaped = regexp.MustCompile(`(^|[^\\])<`)

// The notes have every slide with its number and caption, every bite, and every figure with its grade.
func TestNotesSpeakOfEverySlide(t *testing.T) {
	for name, deck := range trialSlides(t) {
		var out bytes.Buffer
		if err := deck.Notes(&out); err != nil {
			t.Fatal(err)
		}
		notes := out.String()
		if unescaped.MatchString(notes) {
			t.Errorf("%s: somebody's words are read as HTML", name)
		}
		for i, sl := range deck.slides {
			if want := fmt.Sprintf("\n## %d / %d\n\n**%s**\n\n", i+1, deck.Len(), plainMarkdown(sl.caption)); !strings.Contains(notes, want) {
				t.Errorf("%s: the notes lack %q", name, want)
			}
		}
		for _, b := range deck.report.Bites {
			if !strings.Contains(notes, "\nBite "+plainMarkdown(b.Name)+", ") {
				t.Errorf("%s: the notes lack bite %s", name, b.Name)
			}
			for _, r := range b.Reasons {
				if !strings.Contains(notes, plainMarkdown(r.Basis.String())) {
					t.Errorf("%s: the notes lack the basis %s", name, r.Basis)
				}
			}
		}
	}
	var out bytes.Buffer
	if err := slidesOf(t, taughtReport(t, "band-three-mistakes"), false).Notes(&out); err != nil {
		t.Fatal(err)
	}
	figures := regexp.MustCompile(`(?m)^- [^:\n]+: -?[0-9.]+ ± [0-9.]+ \S+ \((.*)\)$`).FindAllStringSubmatch(out.String(), -1)
	graded := regexp.MustCompile(`^(published|derived|from memory|assumption|common practice|measured)`)
	for _, figure := range figures {
		if !graded.MatchString(figure[1]) {
			t.Errorf("a figure without its grade: %s", figure[0])
		}
	}
	if len(figures) < 30 {
		t.Errorf("the notes list %d figures", len(figures))
	}
	if !strings.Contains(out.String(), "- antoniali-2006: ") {
		t.Error("a source is named and not listed")
	}
}

// Small and large hearts, valves with other leaflets and every malformation make sound slides and builds.
func TestSlidesOfEveryHeart(t *testing.T) {
	hearts := map[string]string{
		"newborn":     "patient: { surface: 0.22 m2 }\n",
		"large":       "heart: { rim-length: 190 mm }\n",
		"two":         "valve: { leaflets: 2 }\n",
		"four, cleft": "valve: { leaflets: 4, cleft: true, commissure-width: 6 mm }\n",
	}
	for _, variant := range atlas.VariantNames() {
		if variant != "discordant-connections" { // refused, with its reason
			hearts[variant] = "variant: " + variant + "\n"
		}
	}
	for name, heart := range hearts {
		deck := slidesOf(t, reportOf(t, name, trialPlan(name+" (invented)", heart, "1", "2")), true)
		for i, sheet := range append(drawnSlides(t, deck), drawnBuild(t, deck)) {
			for _, err := range svgcheck.Strict(sheet) {
				t.Errorf("%s, %d: %v", name, i+1, err)
			}
			words := regexp.MustCompile(`<text [^>]*>([^<]*…)</text>`).FindSubmatch(sheet)
			if words != nil {
				t.Errorf("%s, %d: words are cut off: %s", name, i+1, words[1])
			}
		}
	}
}

func TestSlidesThatCannotBeDrawn(t *testing.T) {
	deck := slidesOf(t, reportOf(t, "plan", trialPlan("Slides (invented)", "")), false)
	for _, i := range []int{-1, deck.Len()} {
		if err := deck.DrawSlide(&bytes.Buffer{}, i); err == nil {
			t.Errorf("slide %d is not there, and no error", i)
		}
	}
}
