package placement

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// The number of turns is held against the winding number of the course about the middle of the annulus: the sum of the
// angles its steps are seen under from there, as in any textbook of plane geometry.
func TestTurnsAreTheWindingNumber(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(1, 1))
	seen := map[int]int{}
	for range 300 {
		spots := randomSpots(r, heart)
		switch r.IntN(4) {
		case 0: // anywhere
			for i := range spots {
				spots[i][0] = heart.Rim.LengthMM() * r.Float64()
			}
		case 1: // twice round
			spots = append(spots, randomSpots(r, heart)...)
		}
		line := &Line{}
		for _, s := range spots {
			line.Through = append(line.Through, Waypoint{Place: placeAt(s[0], s[1])})
		}
		c, _ := line.courseOn(heart)
		angle := 0.0
		outline := onAnnulus(&c)
		for i, p := range outline {
			q := outline[(i+1)%len(outline)]
			angle -= math.Atan2(p.X*q.Y-p.Y*q.X, p.X*q.X+p.Y*q.Y)
		}
		if want := int(math.Round(angle / (2 * math.Pi))); c.turns() != want {
			t.Fatalf("%v: %d turns, want %d", spots, c.turns(), want)
		}
		seen[c.turns()]++
	}
	for _, turns := range []int{0, 1, 2} {
		if seen[turns] == 0 {
			t.Errorf("no course of %d turns was tried: %v", turns, seen)
		}
	}
}

// Sides and crossings are held against the same course laid out on an annulus, where geom's own outline tells by exact
// turns whether it crosses itself, and by its even-odd rule what lies within.
func TestSidesAndCrossingsAgreeWithAnAnnulus(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(2, 1))
	crossed, inside := 0, 0
	for range 140 {
		c := courseThrough(t, heart, randomSpots(r, heart)...)
		if c.turns() != 1 || sharpest(c) > 170 {
			continue // at a sharper corner the steps of the outline could run over each other
		}
		outline := onAnnulus(c)
		at, meets := c.meetsSelf()
		if want := outline.CrossesSelf(); meets != want {
			t.Fatalf("meets itself: %v at %v, want %v: %v", meets, at, want, c.corners)
		}
		if meets {
			crossed++
		}
		for range 60 {
			s := atlas.Spot{AlongMM: heart.Rim.LengthMM() * (3*r.Float64() - 1), OffMM: -10 + 30*r.Float64()}
			p := annulus(heart, s)
			if gap := outline.SignedDistance(p); math.Abs(gap) < 0.02 {
				continue // too near the line for the steps of the outline
			} else if c.below(s) != (gap < 0) {
				t.Fatalf("%v below: %v, but %.3f mm from the outline: %v", s, c.below(s), gap, c.corners)
			}
			if c.below(s) {
				inside++
			}
		}
	}
	if crossed < 10 || inside < 500 {
		t.Errorf("%d courses met themselves, %d spots lay below: too few to tell", crossed, inside)
	}
}

// sharpest is the most a course turns at a corner, degrees.
func sharpest(c *course) (degrees float64) {
	for i, l := range c.legs {
		a, b := l.flat(), c.legs[(i+1)%len(c.legs)].flat()
		degrees = max(degrees, math.Acos(a.B.Sub(a.A).Unit().Dot(b.B.Sub(b.A).Unit()))*180/math.Pi)
	}
	return degrees
}

// Which place comes first, which way round the places are named, and by how many turns they are unrolled does not
// matter.
func TestOrderDoesNotMatter(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(3, 1))
	for range 40 {
		spots := randomSpots(r, heart)
		c := courseThrough(t, heart, spots...)
		if c.turns() != 1 {
			continue
		}
		turned := append(append([][2]float64{}, spots[3:]...), spots[:3]...)
		reversed := make([][2]float64, len(spots))
		for i, s := range spots {
			reversed[len(spots)-1-i] = s
		}
		seat := seatOf(surfaceLine(c))
		_, meets := c.meetsSelf()
		for name, other := range map[string]*course{"turned": courseThrough(t, heart, turned...), "reversed": courseThrough(t, heart, reversed...)} {
			if _, m := other.meetsSelf(); other.turns() != 1 || m != meets {
				t.Fatalf("%s: %d turns, meets itself %v, want once and %v", name, other.turns(), m, meets)
			}
			if got, want := len(other.crossings(40)), len(c.crossings(40)); got != want {
				t.Errorf("%s: %d crossings, want %d", name, got, want)
			}
			for range 30 {
				s := atlas.Spot{AlongMM: heart.Rim.LengthMM() * r.Float64(), OffMM: -6 + 20*r.Float64()}
				if c.tissueDistance(s) > 1e-6 && c.below(s) != other.below(s) {
					t.Fatalf("%s: %v lies on another side", name, s)
				}
				near(t, name+": distance on the tissue", other.tissueDistance(s), c.tissueDistance(s), 1e-9)
			}
			again := seatOf(surfaceLine(other))
			near(t, name+": length", again.LengthMM, seat.LengthMM, 0.01)
			near(t, name+": area", again.AreaMM2, seat.AreaMM2, 0.1)
		}
	}
}

func surfaceLine(c *course) (line []geom.Vec) {
	for _, s := range c.stretches(&Line{DepthMM: 1}, lineSagMM) {
		line = append(line, s.Surface...)
	}
	return line
}

// Every crossing of the hinge lies on it, there are as many upward as downward, and between two of them the line keeps
// to one side.
func TestHingeCrossings(t *testing.T) {
	heart, r := usualHeart(t), rand.New(rand.NewPCG(4, 1))
	for range 60 {
		c := courseThrough(t, heart, randomSpots(r, heart)...)
		count := 0
		for _, crossing := range c.crossings(40) {
			if crossing.Of == CrossesHinge {
				near(t, "off the hinge", crossing.Spot.OffMM, 0, 1e-9)
				nearPoint(t, "place", crossing.At, heart.Rim.At(crossing.Spot.AlongMM), 1e-6)
				count++
			}
		}
		changes, before := 0, c.corners[0].OffMM < 0
		for _, l := range c.legs {
			for i := range 200 {
				if here := l.at((float64(i)+0.5)/200).OffMM < 0; here != before {
					changes, before = changes+1, here
				}
			}
		}
		if before != (c.corners[0].OffMM < 0) {
			changes++
		}
		if count != changes || count%2 != 0 {
			t.Errorf("%d crossings, %d changes of side: %v", count, changes, c.corners)
		}
	}
}

// A line on the hinge does not cross it, nor does one that only touches it; one that changes sides on a place does once.
func TestHingeTouched(t *testing.T) {
	heart := usualHeart(t)
	for name, c := range map[string]struct {
		off  [4]float64
		want int
	}{
		"on it": {[4]float64{0, 0, 0, 0}, 0}, "above": {[4]float64{1, 2, 1, 2}, 0}, "below": {[4]float64{-1, -2, -1, -2}, 0},
		"touched from above": {[4]float64{1, 0, 1, 1}, 0}, "down and up at places": {[4]float64{1, 0, -1, 0}, 2}, "down and up between": {[4]float64{1, -1, -1, 1}, 2},
		"along it, then below": {[4]float64{0, 0, 0, -1}, 2},
	} {
		got := 0
		for _, crossing := range courseThrough(t, heart, [2]float64{10, c.off[0]}, [2]float64{35, c.off[1]}, [2]float64{60, c.off[2]}, [2]float64{80, c.off[3]}).crossings(44) {
			count(&got, crossing.Of == CrossesHinge)
		}
		if got != c.want {
			t.Errorf("%s: %d crossings, want %d", name, got, c.want)
		}
	}
}

// A line that goes over the tendon line and back crosses it twice; one above the triangle crosses its continuation.
func TestTendonCrossings(t *testing.T) {
	heart := usualHeart(t)
	free := [][2]float64{{20, 1}, {45, 1}, {65, 1}}
	for name, c := range map[string]struct {
		septal [][2]float64
		want   int
	}{
		"on the hinge":                  {[][2]float64{{-20, 0}, {-10, -0.5}}, 0},
		"over the side of the triangle": {[][2]float64{{-22, 5}, {-8, 12}, {0, 3}}, 1},
		"above it and the ostium":       {[][2]float64{{-25, 25}, {-8, 25}, {5, 3}}, 1},
		"over it, back, and over it":    {[][2]float64{{-22, 5}, {-8, 12}, {-8, 3}, {-2, 8}, {5, 3}}, 3},
		"over it and back to the hinge": {[][2]float64{{-22, 5}, {-8, 12}, {-8, 3}, {-6, -1}, {5, -1}}, 2},
		"out under the apex":            {[][2]float64{{-22, 5}, {-8, 3}, {-5, -1}, {5, -1}}, 0},
	} {
		got := 0
		for _, crossing := range courseThrough(t, heart, append(free, c.septal...)...).crossings(44) {
			if crossing.Of == CrossesTendon {
				got++
			}
		}
		if got != c.want {
			t.Errorf("%s: %d crossings of the tendon line, want %d", name, got, c.want)
		}
	}
}

// Touches and folds count as meetings; a corner on a corner in a row does not.
func TestMeetsSelf(t *testing.T) {
	heart := usualHeart(t)
	free := [][2]float64{{20, 1}, {45, 1}, {65, 1}}
	for name, c := range map[string]struct {
		septal [][2]float64
		want   bool
	}{
		"plain":                {[][2]float64{{-20, 5}, {-10, 5}}, false},
		"a corner twice":       {[][2]float64{{-20, 5}, {-20, 5}, {-10, 5}}, false},
		"a loop":               {[][2]float64{{-20, 5}, {-10, 5}, {-10, 8}, {-15, 8}, {-15, 2}, {-5, 2}}, true},
		"folded back":          {[][2]float64{{-20, 5}, {-10, 5}, {-15, 5}, {-5, 8}}, true},
		"folded past":          {[][2]float64{{-10, 5}, {-5, 5}, {-20, 5}, {-15, 2}, {0, 1}}, true},
		"touching at a place":  {[][2]float64{{-20, 5}, {-10, 5}, {-5, 8}, {-15, 5}, {-5, 2}}, true},
		"an overhang":          {[][2]float64{{-10, 3}, {-10, 6}, {-20, 6}, {-20, 9}, {0, 9}}, false},
		"over the first place": {[][2]float64{{-20, 5}, {25, 5}, {25, -2}, {10, -2}, {10, 3}}, true},
	} {
		at, meets := courseThrough(t, heart, append(free, c.septal...)...).meetsSelf()
		if meets != c.want {
			t.Errorf("%s: meets itself %v at %v, want %v", name, meets, at, c.want)
		}
	}
}

// Where the program says the chart folds, two places of the leaflet a hair apart along the hinge lie in the frame less
// than a quarter as far forward; where it does not say so, more.
func TestFolds(t *testing.T) {
	heart := usualHeart(t)
	for _, off := range []float64{-2, -5, -7, -8.5, -10, -13} {
		c := courseThrough(t, heart, [2]float64{0, off}, [2]float64{17, off}, [2]float64{35, off}, [2]float64{52, off}, [2]float64{70, off}, [2]float64{88, off})
		least := math.Inf(1)
		for along := 0.0; along < heart.Rim.LengthMM(); along += 0.1 {
			a, b := heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: off}), heart.Chart.Frame(atlas.Spot{AlongMM: along + 0.01, OffMM: off})
			way := heart.Rim.At(along + 0.01).Sub(heart.Rim.At(along))
			least = min(least, b.Sub(a).Dot(way)/way.Dot(way))
		}
		if _, folded := c.folds(); folded != (least < foldedAt) {
			t.Errorf("%g mm onto the leaflet: folded %v, but a mm of hinge goes at least %.3f mm forward", -off, folded, least)
		}
	}
}

// A line led round the triangle keeps the distance asked for from the lip, on the usual heart and on others.
func TestAroundKeepsItsDistance(t *testing.T) {
	population, err := loadCatalogue(t).Population(atlas.Patient{}, 3)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 12 {
		heart, err := population.Heart(i)
		if err != nil {
			t.Fatal(err)
		}
		zone, _ := heart.Zone(atlas.Ostium)
		for _, side := range []Side{AtrialSide, VentricularSide} {
			for _, want := range []float64{0.5, 1.5, 4} {
				spots := roundTriangle(heart, side, want)
				c := &course{heart: heart}
				for j := 1; j < len(spots); j++ {
					c.legs = append(c.legs, leg{spots[j-1], spots[j]})
				}
				got, _ := c.lipDistance(newFlatZone(heart, zone))
				// Between its corners the way cuts what its corners stand out by, both of a circle as large.
				cut := (newFlatZone(heart, zone).around.radius + want) * (1 - math.Cos(aroundStepDegrees/2*math.Pi/180))
				near(t, "distance from the lip", got, want, cut+0.005)
			}
		}
	}
}
