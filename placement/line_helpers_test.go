package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// lineText is a plan of a line alone: its places and what else its mapping holds, in flow style.
func lineText(rest string, places ...string) string {
	return "fairlead: 1\ncase: test\noperation: replacement\nbites: []\nline:\n  through:\n    - " + strings.Join(places, "\n    - ") + "\n" + rest
}

// noSample keeps a test that is not about the sample from drawing one.
const noSample = "  sample: { hearts: 0 }\n"

// hingePlaces lead round the hinge, at a height off it.
func hingePlaces(off float64) (places []string) {
	for _, segment := range []string{Anterior, Posterior, Septal} {
		for _, share := range []int{0, 50} {
			places = append(places, fmt.Sprintf("{ segment: %s, share: %d %%, off: %g mm }", segment, share, off))
		}
	}
	return places
}

// septalPlaces lead along the free wall on the hinge, and on the septum through spots of the chart, mm clockwise from
// the anteroseptal commissure and off the hinge.
func septalPlaces(spots ...[2]float64) []string {
	places := []string{
		"{ segment: anterior, share: 20 %, off: 1 mm }", "{ segment: anterior, share: 70 % }", "{ segment: posterior, share: 20 % }", "{ segment: posterior, share: 80 % }",
	}
	for _, s := range spots {
		toward, by := Clockwise, s[0]
		if by < 0 {
			toward, by = Anticlockwise, -by
		}
		places = append(places, fmt.Sprintf("{ from: anteroseptal-commissure, toward: %s, by: %.9f mm, off: %.9f mm }", toward, by, s[1]))
	}
	return places
}

// roundPlaces lead round the nodal triangle of the usual heart, at a distance from the lip.
func roundPlaces(fromLip float64) []string {
	places := septalPlaces([2]float64{-29, 1}, [2]float64{-26, 7})
	return append(places, fmt.Sprintf("{ around: nodal-triangle, from-lip: %g mm }", fromLip), "{ from: anteroseptal-commissure, toward: septal, by: 4 mm, off: 6 mm }", "{ from: anteroseptal-commissure, toward: anterior, by: 2 mm, off: 3 mm }")
}

func checkLineText(t testing.TB, text string) *LineReport {
	t.Helper()
	return mustCheck(t, mustRead(t, text)).Line
}

// courseThrough is a line through spots of the chart, on a heart.
func courseThrough(t testing.TB, heart *atlas.Heart, spots ...[2]float64) *course {
	t.Helper()
	line := &Line{}
	for _, s := range spots {
		line.Through = append(line.Through, Waypoint{Place: placeAt(s[0], s[1])})
	}
	c, resolved := line.courseOn(heart)
	if !resolved {
		t.Fatal("a place is missing")
	}
	return &c
}

// randomSpots lie once round the rim in about even steps, off the hinge by chance, now and then stepping back.
func randomSpots(r *rand.Rand, heart *atlas.Heart) (spots [][2]float64) {
	n, jitter := 6+r.IntN(10), 1.6+1.4*r.Float64()
	for i := range n {
		along := heart.Rim.LengthMM() * (float64(i) + jitter*r.Float64()) / float64(n)
		spots = append(spots, [2]float64{along, -4 + 16*r.Float64()})
	}
	return spots
}

// annulus carries the chart to a plane in which going round the rim is going round a point: clockwise along a circle
// of radius 100 mm, off outward.
func annulus(heart *atlas.Heart, s atlas.Spot) geom.Point {
	sin, cos := math.Sincos(-2 * math.Pi * s.AlongMM / heart.Rim.LengthMM())
	return geom.Point{X: (100 + s.OffMM) * cos, Y: (100 + s.OffMM) * sin}
}

// onAnnulus is a course in that plane, in steps that lie off the spirals they stand for by some thousandths of a
// millimetre.
func onAnnulus(c *course) (outline geom.Outline) {
	for _, l := range c.legs {
		const steps = 60
		for i := range steps {
			outline = append(outline, annulus(c.heart, l.at(float64(i)/steps)))
		}
	}
	return outline
}
