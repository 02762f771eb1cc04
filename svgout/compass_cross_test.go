package svgout

import (
	"math"
	"testing"
)

// However a compass is turned or mirrored, its words keep off each other and in the room between text and footer, and each
// stands in the quarter about its arm.
func TestCompassWordsKeepApart(t *testing.T) {
	for name, c := range map[string]struct {
		x     float64
		room  Box
		words [4][]string
	}{
		"section, English": {46, Box{5, 170.2, 87, 21.4}, [4][]string{{"atrium"}, {"ventricle"}, {"orifice", "(head and back)"}, {"outside", "(feet and front)"}}},
		"section, German":  {46, Box{5, 170.2, 87, 21.4}, [4][]string{{"Vorhof"}, {"Kammer"}, {"Öffnung", "(hinten und Füße)"}, {"außen", "(vorn und Kopf)"}}},
		"upright, English": {25, Box{5, 170.2, 47, 21.4}, [4][]string{{"head"}, {"feet"}, {"back", "(right)"}, {"front", "(left)"}}},
		"upright, German":  {25, Box{5, 170.2, 47, 21.4}, [4][]string{{"Kopf"}, {"Füße"}, {"hinten", "(rechts)"}, {"vorn", "(links)"}}},
	} {
		for degrees := 0.0; degrees < 360; degrees += 0.5 {
			for _, mirrored := range []bool{false, true} {
				habit := Habit{TurnDegrees: degrees, Mirrored: mirrored}
				gaze := habit.of(downTheValve)
				var arms [4]crossArm
				for i, way := range [4]Point{gaze.onPaper(front), gaze.onPaper(back), gaze.onPaper(head), gaze.onPaper(feet)} {
					arms[i] = crossArm{way, c.words[i]}
				}
				set := crossWords(compassPlace(c.x, habit, arms), arms)
				for i, a := range set {
					if !c.room.Encloses(a.box()) {
						t.Errorf("%s, %v°: %q stands out of its room: %v", name, degrees, a.text, a.box())
					}
					for _, b := range set[:i] {
						if a.box().Overlaps(b.box()) {
							t.Errorf("%s, %v°, mirrored %v: %q lies over %q", name, degrees, mirrored, a.text, b.text)
						}
					}
				}
			}
		}
	}
}

// box is the room of a word, from the top of its capitals to the foot of its brackets.
func (w crossWord) box() Box {
	size, width := Lettering("axis-label").SizeMM, MeasureIn("axis-label", w.text)
	x := map[Anchor]float64{AnchorStart: w.at.X, AnchorMiddle: w.at.X - width/2, AnchorEnd: w.at.X - width}[w.anchor]
	return Box{x, w.at.Y - capHeightEm*size, width, (capHeightEm + descentEm) * size}
}

// By hand: the four words of a compass that is not turned stand over, under and beside it.
func TestCompassWordsByHand(t *testing.T) {
	set := crossWords(Point{46, 182}, [4]crossArm{{Point{0, -1}, []string{"atrium"}}, {Point{0, 1}, []string{"ventricle"}}, {Point{-1, 0}, []string{"orifice", "(front)"}}, {Point{1, 0}, []string{"outside", "(back)"}}})
	want := []crossWord{
		{Point{46, 176}, AnchorMiddle, "atrium"}, {Point{46, 190.6}, AnchorMiddle, "ventricle"},
		{Point{40, 180.9}, AnchorEnd, "orifice"}, {Point{52, 180.9}, AnchorStart, "outside"},
		{Point{40, 185.5}, AnchorEnd, "(front)"}, {Point{52, 185.5}, AnchorStart, "(back)"},
	}
	for i, w := range want {
		if got := set[i]; got.text != w.text || got.anchor != w.anchor || math.Abs(got.at.X-w.at.X) > 1e-9 || math.Abs(got.at.Y-w.at.Y) > 1e-9 {
			t.Errorf("%+v, want %+v", got, w)
		}
	}
}
