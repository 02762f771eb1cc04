package svgout

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// grounds are the areas a drawing is made on. Nothing is lost when the edge
// of one without an outline cannot be seen.
var grounds = append(classesLike(func(class string) bool {
	return strings.HasSuffix(class, "-area") || strings.HasSuffix(class, "-fill")
}), "paper", "wall", "leaflet", "fossa", "banner", "panel", "ostium", "aorta",
	"triangle-apical", "triangle-basal", "fibrous", "ventricular-side")

func classesLike(wanted func(class string) bool) []string {
	return slices.DeleteFunc(Classes(), func(class string) bool { return !wanted(class) })
}

// touching is the table of what may lie on what. A class not in it may be
// drawn anywhere and must show on every ground.
var touching = map[string][]string{
	"triangle-apical-hatch":  {"triangle-apical"},
	"triangle-basal-hatch":   {"triangle-basal"},
	"fibrous-hatch":          {"fibrous"},
	"ventricular-side-hatch": {"ventricular-side"},
	// A white bar within a dark mark.
	"level-avoid-bar": {"level-avoid"},
	// A dark dot within white; see TestLeaderDotShowsOnTheRimToo.
	"leader-dot": {},
}

func under(class string) []string {
	if some, ok := touching[class]; ok {
		return some
	}
	return grounds
}

// TestMarksShowOnEverythingTheyLieOn wants a contrast of 3:1 between the
// line or fill of every class and whatever it may lie on.
func TestMarksShowOnEverythingTheyLieOn(t *testing.T) {
	for _, theme := range Themes() {
		least, pairs := math.Inf(1), 0
		for _, r := range houseStyle {
			if r.Font.SizeMM > 0 || r.Stroke == "" && slices.Contains(grounds, r.Class) {
				continue
			}
			for _, ground := range under(r.Class) {
				if ground == r.Class {
					continue
				}
				c := contrast(parseColour(t, theme.rule(ground).Fill), parseColour(t, theme.of(visiblePart(t, r.Class))))
				least, pairs = math.Min(least, c), pairs+1
				if c < 3 {
					t.Errorf("%s: %s on %s has a contrast of %.2f", theme, r.Class, ground, c)
				}
			}
		}
		t.Logf("%s: least contrast of a mark: %.2f in %d pairs", theme, least, pairs)
	}
}

// visiblePart is the outline of a mark, or its fill if it has no outline.
func visiblePart(t *testing.T, class string) Colour {
	t.Helper()
	r, ok := ruleByClass[class]
	if !ok {
		t.Fatalf("no class %s", class)
	}
	if r.Stroke != "" {
		return r.Stroke
	}
	return r.Fill
}

func TestLetteringIsReadable(t *testing.T) {
	least := math.Inf(1)
	for _, r := range houseStyle {
		if r.Font.SizeMM == 0 {
			continue
		}
		for _, theme := range Themes() {
			for _, under := range grounds {
				c := contrast(parseColour(t, theme.of(r.Fill)), parseColour(t, theme.rule(under).Fill))
				if least = math.Min(least, c); c < 4.5 {
					t.Errorf("%s: %s on %s has a contrast of %.2f", theme, r.Class, under, c)
				}
			}
		}
		if caps := r.Font.SizeMM * capHeightEm; caps < 2.5 {
			t.Errorf("capitals of %s are %.2f mm high", r.Class, caps)
		}
	}
	t.Logf("least contrast of lettering: %.2f; smallest capitals %.2f mm", least, smallLetter*capHeightEm)
}

func TestClassesAreGivenOnce(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range houseStyle {
		if seen[r.Class] {
			t.Errorf("class %s is given twice", r.Class)
		}
		seen[r.Class] = true
	}
	for class, some := range touching {
		for _, name := range append(some, class) {
			if !seen[name] {
				t.Errorf("the table names %s, which is no class", name)
			}
		}
	}
}

// TestLeaderDotShowsOnTheRimToo: the dot is dark within white, so that it
// shows on dark lines as well as on light fills.
func TestLeaderDotShowsOnTheRimToo(t *testing.T) {
	dot := ruleByClass["leader-dot"]
	for _, under := range grounds {
		if c := contrast(parseColour(t, dot.Fill), parseColour(t, ruleByClass[under].Fill)); c < 3 {
			t.Errorf("dot on %s: %.2f", under, c)
		}
	}
	if c := contrast(parseColour(t, dot.Stroke), parseColour(t, ruleByClass["rim"].Stroke)); c < 3 {
		t.Errorf("dot on the rim: %.2f", c)
	}
}

func TestLineWidthsAreOfTheSeries(t *testing.T) {
	series := []float64{0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
	for _, r := range houseStyle {
		if (r.Stroke != "") != (r.WidthMM != 0) || r.Stroke != "" && !slices.Contains(series, r.WidthMM) {
			t.Errorf("%s has a line of %v mm", r.Class, r.WidthMM)
		}
	}
}

// TestTheRimIsDarkestAndHeaviest compares it with what surrounds it.
func TestTheRimIsDarkestAndHeaviest(t *testing.T) {
	rim := ruleByClass["rim"]
	for _, r := range houseStyle {
		if r.Stroke == "" || r.Class == "avoid-line" || strings.HasPrefix(r.Class, "level-avoid") {
			continue
		}
		if parseColour(t, r.Stroke).luminance() < parseColour(t, rim.Stroke).luminance() {
			t.Errorf("%s is darker than the rim", r.Class)
		}
		if r.WidthMM > rim.WidthMM {
			t.Errorf("%s is heavier than the rim", r.Class)
		}
	}
}

func TestZonesAreHatchedDifferently(t *testing.T) {
	zones := []Zone{TriangleApical, TriangleBasal, Fibrous, VentricularSide}
	for i, a := range zones {
		for _, b := range zones[:i] {
			if !hatchesDiffer(zoneHatching[a], zoneHatching[b]) {
				t.Errorf("%s and %s are hatched alike", a, b)
			}
		}
		for _, part := range []string{"", "-hatch"} {
			if _, ok := ruleByClass[string(a)+part]; !ok {
				t.Errorf("no class %s%s", a, part)
			}
		}
	}
}

// hatchesDiffer wants another number of directions, or one turned by 30°.
func hatchesDiffer(a, b hatching) bool {
	if len(a.anglesDeg) != len(b.anglesDeg) {
		return true
	}
	for i := range a.anglesDeg {
		turn := math.Mod(math.Abs(a.anglesDeg[i]-b.anglesDeg[i]), 180)
		if math.Min(turn, 180-turn) >= 30 {
			return true
		}
	}
	return false
}

func TestStyleSheet(t *testing.T) {
	css := StyleSheet(Page{WidthMM: 297, HeightMM: 210})
	for _, want := range []string{
		"@page{size:297mm 210mm;margin:0}",
		"font-family:Arial, Helvetica, 'Liberation Sans', sans-serif",
		".rim{fill:none;stroke:#1d1a17;stroke-width:1;stroke-linecap:round}",
		".label{fill:#1d1a17;font-size:3.9px;font-weight:normal}",
		".extension{fill:none;stroke:#7a5c00;stroke-width:0.5;stroke-dasharray:1.2 0.8}",
	} {
		if !strings.Contains(css, want) {
			t.Errorf("the style sheet lacks %q", want)
		}
	}
	name := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	for _, class := range Classes() {
		if !name.MatchString(class) || strings.Count(css, "\n."+class+"{") != 1 {
			t.Errorf("class %q is not in the style sheet once", class)
		}
	}
}

func TestLevelNames(t *testing.T) {
	for _, l := range []Level{Clear, Caution, Avoid} {
		for _, class := range []string{l.Class(), l.LineClass()} {
			if _, ok := ruleByClass[class]; !ok {
				t.Errorf("level %d has the class %q", l, class)
			}
		}
	}
	for _, l := range []Level{NoLevel, -1, 99} {
		if l.Class() != "" || l.LineClass() != "" {
			t.Errorf("level %d has a class", l)
		}
	}
}
