package placement

import (
	"math"
	"reflect"
	"testing"

	"fairlead/atlas/geom"
)

func leafletNames(o *Outcome) (names []string) {
	for _, c := range o.Leaflets {
		names = append(names, c.Name)
	}
	return names
}

// ellipseHinge is an ellipse as the samples of a hinge, with the leaflet each belongs to.
func ellipseHinge(a, b float64, owner func(degrees float64) int) (points []geom.Point, owners []int) {
	for i := range hingeSamples {
		degrees := 360 * float64(i) / hingeSamples
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		points, owners = append(points, geom.Point{X: a * cos, Y: b * sin}), append(owners, owner(degrees))
	}
	return points, owners
}

// Where leaflets must reach, by hand: on a circle all meet in the middle; on an ellipse two leaflets across the long
// axis meet along it, farthest in the middle at half the short axis; and a leaflet at one end of a long ellipse reaches
// where a circle touches its hinge and both others', here the middle of the end's own curve, b²/a.
func TestLeafletsReach(t *testing.T) {
	thirds := func(degrees float64) int { return int(degrees / 120) }
	halves := func(degrees float64) int { return int(degrees / 180) }
	for _, c := range []struct {
		name     string
		a, b     float64
		owner    func(float64) int
		leaflets int
		want     []float64
	}{
		{"circle, three", 15, 15, thirds, 3, []float64{15, 15, 15}},
		{"circle, two", 15, 15, halves, 2, []float64{15, 15}},
		{"ellipse, two", 18, 15, halves, 2, []float64{15, 15}},
		{"ellipse, a small one at the end", 30, 12, func(degrees float64) int {
			switch {
			case degrees < 3 || degrees > 357:
				return 2
			default:
				return int(degrees / 180)
			}
		}, 3, []float64{12, 12, 144. / 30}},
		{"ellipse, all one leaflet", 18, 15, func(float64) int { return 0 }, 1, []float64{15}},
		{"one leaflet without hinge", 15, 15, halves, 3, []float64{15, 15, 0}},
	} {
		hinge, owner := ellipseHinge(c.a, c.b, c.owner)
		got := reaches(hinge, owner, c.leaflets)
		mirrored := append([]geom.Point(nil), hinge...)
		for i := range mirrored {
			mirrored[i].X = -mirrored[i].X
		}
		other := reaches(mirrored, owner, c.leaflets)
		for i, want := range c.want {
			near(t, c.name, got[i], want, 0.15)
			near(t, c.name+", mirrored", other[i], got[i], 0.02)
		}
	}
}

// Three leaflets of an equilateral triangle meet in its middle, side/(2√3) from each side.
func TestLeafletsOfATriangle(t *testing.T) {
	const side = 30.0
	corners := []geom.Point{{}, {X: side}, {X: side / 2, Y: side * math.Sqrt(3) / 2}}
	var hinge []geom.Point
	var owner []int
	for i := range hingeSamples {
		s := i * 3 / hingeSamples
		share := float64(i)*3/hingeSamples - float64(s)
		a, b := corners[s], corners[(s+1)%3]
		hinge, owner = append(hinge, geom.Point{X: a.X + share*(b.X-a.X), Y: a.Y + share*(b.Y-a.Y)}), append(owner, s)
	}
	for _, got := range reaches(hinge, owner, 3) {
		near(t, "reach", got, side/(2*math.Sqrt(3)), 0.02)
	}
}

func TestLeafletsOfTheRepairedValve(t *testing.T) {
	cleft := func(plan Plan) Plan { plan.Valve.Cleft = true; return plan }
	border := func(along float64) RepairStep { return RepairStep{Kind: NewCommissure, Border: placeAt(along, 0)} }
	for _, c := range []struct {
		name  string
		plan  Plan
		want  []string
		cleft []bool
	}{
		{"folded in part", repairing(nil, folded(Posterior, 5)), []string{"anterior", "posterior", "septal"}, []bool{false, false, false}},
		{"folded away", repairing(nil, folded(Posterior, 0)), []string{"anterior", "septal"}, []bool{false, false}},
		{"cleft left", cleft(repairing(nil, folded(Posterior, 5))), []string{"anterior", "posterior", "septal"}, []bool{true, false, false}},
		{"cleft closed", cleft(repairing(nil, RepairStep{Kind: CloseCleft})), []string{"anterior", "posterior", "septal"}, []bool{false, false, false}},
		{"parted", repairing(nil, border(15)), []string{"first anterior", "second anterior", "posterior", "septal"}, []bool{false, false, false, false}},
		{"septal parted", repairing(nil, border(-10)), []string{"anterior", "posterior", "first septal", "second septal"}, []bool{false, false, false, false}},
	} {
		o := outcomeFor(t, c.plan)
		if got := leafletNames(o); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: leaflets %v", c.name, got)
			continue
		}
		hinge := 0.0
		for i, leaflet := range o.Leaflets {
			hinge += leaflet.HingeMM
			if leaflet.Cleft != c.cleft[i] || !(leaflet.ReachMM > 0) {
				t.Errorf("%s: %+v", c.name, leaflet)
			}
		}
		near(t, c.name+": hinges together", hinge, o.After.LengthMM, exactMM)
	}
	// A valve whose commissures have a width keeps them.
	plan := repairing(nil, folded(Posterior, 10))
	plan.Valve.CommissureMM = 4
	o := outcomeFor(t, plan)
	near(t, "anterior hinge", o.Leaflets[0].HingeMM, o.Before.AnteriorMM-4, exactMM)
}

// The height that is expected of leaflets is a mean, a measured one is that of the middle.
func TestLeafletHeights(t *testing.T) {
	plan := repairing(nil, folded(Posterior, 20))
	expected, _ := usualHeart(t).Value("leaflet-height")
	c := outcomeFor(t, plan).Leaflets[0]
	near(t, "expected", c.HeightMM, expected.Here*4/math.Pi, 1e-9)
	if c.Measured {
		t.Error("nobody measured it")
	}
	c = outcomeFor(t, measuring(plan, Measured{Name: "leaflet-height", Value: 20})).Leaflets[0]
	near(t, "measured", c.HeightMM, 20, 1e-9)
	near(t, "cover", c.CoverMM(), 20-c.ReachMM, 1e-12)
	if !c.Measured {
		t.Error("it was measured")
	}
}
