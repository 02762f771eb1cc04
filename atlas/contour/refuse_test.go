package contour

import (
	"math"
	"strings"
	"testing"

	"fairlead/atlas/geom"
)

// TestFitRefuses gives Fit points that no file can hold, and checks place and words. What files can hold is in
// testdata/contours/err.
func TestFitRefuses(t *testing.T) {
	good, _ := truths()[0].draw(20, 0, 0.3, seeded("refuse"))
	good.AtriumLine = 40
	mustFit(t, good)
	for _, c := range []struct {
		name string
		harm func(p *Points)
		want string
	}{
		{"none", func(p *Points) { *p = Points{File: "f"} }, "f:1:1: the contour has 0 points; expected 8 to 500"},
		{"too many", func(p *Points) { p.At = make([]geom.Vec, 501) }, "drawn.csv:2:1: the contour has 501 points; expected 8 to 500"},
		{"NaN", func(p *Points) { p.At[3].Y = math.NaN() }, "drawn.csv:5:1: the point is at "},
		{"infinite", func(p *Points) { p.At[3].Z = math.Inf(-1) }, "drawn.csv:5:1: the point is at "},
		{"a second of two", func(p *Points) { p.At[3].Z, p.At[9].X = math.Inf(1), 1e7 }, "drawn.csv:11:1: the point is at 1e+07, "},
		{"atrium nowhere", func(p *Points) { p.Atrium = &geom.Vec{X: math.NaN()} }, "drawn.csv:40:1: the atrium point is at NaN, 0, 0; expected numbers in mm between -1000000 and 1000000"},
		{"no such landmark", func(p *Points) { p.Landmark[2] = 20 }, "drawn.csv:2:1: the posteroseptal commissure is no point of its own; expected three different points"},
		{"a negative one", func(p *Points) { p.Landmark[0] = -1 }, "drawn.csv:2:1: the anteroseptal commissure is no point of its own"},
		{"one point twice", func(p *Points) { p.Landmark[1] = p.Landmark[2] }, "drawn.csv:2:1: the anteroposterior commissure is no point of its own"},
		{"all in one place", func(p *Points) {
			for i := range p.At {
				p.At[i] = geom.Vec{X: 5, Y: 5, Z: 5}
			}
		}, "drawn.csv:2:1: all points lie in one place; expected points around a rim"},
		{"too small to tell", func(p *Points) {
			for i := range p.At {
				p.At[i] = p.At[i].Scale(1e-9)
			}
		}, "drawn.csv:2:1: all points lie in one place"},
	} {
		p := clone(good)
		c.harm(&p)
		f, problems := Fit(p)
		if !strings.Contains(problems.Error(), c.want) || f.Samples != nil {
			t.Errorf("%s:\n%v\nwant\n%s", c.name, problems, c.want)
		}
	}
}

// TestAllAtOnce checks that independent faults are reported together.
func TestAllAtOnce(t *testing.T) {
	p, _ := truths()[0].draw(20, 0, 0.3, seeded("all"))
	p.Atrium, p.AtriumLine = &geom.Vec{Z: -0.02}, 30
	for i := range p.At {
		p.At[i] = p.At[i].Scale(1e-3)
	}
	_, problems := Fit(p)
	if len(problems) != 2 || problems[0].Line != 2 || problems[1].Line != 30 {
		t.Errorf("metres and a wrong side:\n%v", problems)
	}
}

// TestStray moves one point of good contours farther and farther off: near, it is noise; far, it is named.
func TestStray(t *testing.T) {
	for _, n := range []int{24, 60, 500} {
		for k, tr := range truths() {
			p, exact := tr.draw(n, 0.2, 0.4, seeded("stray", n, k))
			i := (p.Landmark[1] + n/10) % n
			p.At[i] = exact[i].Add(exact[i].Unit().Scale(0.5))
			mustFit(t, p)
			p.At[i] = exact[i].Add(exact[i].Unit().Scale(9))
			_, problems := Fit(p)
			if len(problems) != 1 || problems[0].Line != p.Line[i] || !strings.Contains(problems[0].What, "off the curve") {
				t.Errorf("%s: 9 mm off at line %d of %d:\n%v", tr.name, p.Line[i], n, problems)
			}
		}
	}
}

// TestUnits checks the limits of the perimeter and the factor for every unit.
func TestUnits(t *testing.T) {
	p, _ := truths()[0].draw(20, 0, 0.3, seeded("units"))
	length := mustFit(t, p).LengthMM
	for _, c := range []struct{ factor, want float64 }{{1e-3, 1000}, {0.1, 10}, {10, 0.1}, {1000, 0.001}, {19.9 / length, 10}, {400.1 / length, 0.1}} {
		q := clone(p)
		for i := range q.At {
			q.At[i] = q.At[i].Scale(c.factor)
		}
		_, problems := Fit(q)
		if len(problems) != 1 || !strings.Contains(problems[0].Mend, "multiplied by "+trim(c.want)+" they") {
			t.Errorf("times %g:\n%v", c.factor, problems)
		}
	}
	for _, factor := range []float64{20.1 / length, 399.9 / length} {
		q := clone(p)
		for i := range q.At {
			q.At[i] = q.At[i].Scale(factor)
		}
		mustFit(t, q)
	}
}

func trim(v float64) string {
	return map[float64]string{1000: "1000", 10: "10", 0.1: "0.1", 0.001: "0.001"}[v]
}

// ring is n points of a plane ellipse, 36 by 30 mm, with the commissures where they may be.
func ring(n int) Points {
	p := Points{File: "ring.csv", Landmark: [3]int{n / 2, 4 * n / 5, n / 6}}
	for i := range n {
		sin, cos := math.Sincos(-2 * math.Pi * float64(i) / float64(n))
		p.At, p.Line = append(p.At, geom.Vec{X: 18 * cos, Y: 15 * sin}), append(p.Line, i+2)
	}
	return p
}

// TestRareShapes refuses contours that no other check meets.
func TestRareShapes(t *testing.T) {
	mustFit(t, ring(40))
	crescent := ring(40)
	for i := range crescent.At {
		angle, radius := 5.2*float64(i)/19, 18.0
		if i >= 20 {
			angle, radius = 5.2*float64(39-i)/19, 12
		}
		sin, cos := math.Sincos(angle)
		crescent.At[i] = geom.Vec{X: radius * cos, Y: radius * sin}
	}
	folded := ring(40)
	along := func(share, out float64) geom.Vec {
		sin, cos := math.Sincos(-2 * math.Pi * share / 40)
		return geom.Vec{X: (18 + out) * cos, Y: (15 + out) * sin}
	}
	folded.At[11], folded.At[12], folded.At[13] = along(13, -0.9), along(11.5, 0), along(13.5, 0.9)
	fish := ring(10)
	for i := range fish.At {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.3) / 10)
		fish.At[i] = geom.Vec{X: 20 * cos, Y: 14 * sin * (cos + 0.6) / 1.6}
	}
	// One point that lies both far out and far back is a stray, not a fold.
	astray := ring(60)
	sin, cos := math.Sincos(-2 * math.Pi * 11.0 / 60)
	astray.At[17] = geom.Vec{X: 26 * cos, Y: 23 * sin}
	opposite := ring(40)
	opposite.Landmark = [3]int{21, 30, 1}
	for _, c := range []struct {
		p    Points
		want string
	}{
		{crescent, "ring.csv:2:1: the contour goes 0 times round its own middle; expected once"},
		{folded, "ring.csv:14:1: the contour doubles back on itself: this point lies "},
		{fish, "crosses itself"},
		{astray, "ring.csv:19:1: the point lies "},
		{opposite, "ring.csv:3:1: the straight line from the anteroseptal to the posteroseptal commissure does not leave"},
	} {
		_, problems := Fit(c.p)
		if len(problems) != 1 || !strings.Contains(problems.Error(), c.want) {
			t.Errorf("got\n%v\nwant\n%s", problems, c.want)
		}
	}
}
