package flat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas/geom"
)

// carried triangulates an outline and carries it onto a surface.
func carried(t testing.TB, outline geom.Outline, edgeMM float64, onto func(geom.Point) geom.Vec) Surface {
	t.Helper()
	plan, err := Triangulate(outline, edgeMM)
	if err != nil {
		t.Fatal(err)
	}
	return plan.On(onto)
}

func flattened(t testing.TB, s Surface) Sheet {
	t.Helper()
	sheet, err := Flatten(s)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

func rectangle(w, h float64) geom.Outline { return geom.Outline{{}, {X: w}, {X: w, Y: h}, {Y: h}} }

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v within %g", what, got, want, within)
	}
}

// A cylinder unrolls: arcs become straight, and the sheet is the rectangle it was rolled from. Triangles are chords of
// it, so that lengths across are short by (edge/radius)²/24.
func TestCylinderUnrolls(t *testing.T) {
	const radius, w, h, edge = 15.0, 30.0, 12.0, 1.0
	sheet := flattened(t, carried(t, rectangle(w, h), edge, func(p geom.Point) geom.Vec {
		sin, cos := math.Sincos(p.X / radius)
		return geom.Vec{X: radius * sin, Y: p.Y, Z: radius * cos}
	}))
	chords := edge * edge / (24 * radius * radius)
	near(t, "area", sheet.FlatAreaMM2, w*h, w*h*4*chords)
	near(t, "perimeter", sheet.FlatPerimeterMM, 2*(w+h), 2*(w+h)*4*chords)
	near(t, "stretch", sheet.Distortion(), 0, 8*chords)
	corner := func(i int) geom.Point { return sheet.Points[[]int{0, 30, 42, 72}[i]] }
	near(t, "diagonal", math.Sqrt(sq(corner(0), corner(2))), math.Hypot(w, h), 0.01)
	near(t, "other diagonal", math.Sqrt(sq(corner(1), corner(3))), math.Hypot(w, h), 0.01)
}

// A cone unrolls to a sector: radii stay, and its angle is 2π times the sine of half the opening.
func TestConeUnrolls(t *testing.T) {
	const inner, outer, turn, half = 10.0, 25.0, 2.0, 0.6 // mm, mm, radians about the axis, half the opening
	sector := turn * math.Sin(half)
	outline := geom.Outline{{X: inner}, {X: outer}, {X: outer, Y: outer * sector}, {X: inner, Y: outer * sector}}
	s := carried(t, outline, 1, func(p geom.Point) geom.Vec { // X along the side of the cone, Y the way round at the outer radius
		sin, cos := math.Sincos(p.Y / outer / math.Sin(half))
		return geom.Vec{X: p.X * math.Sin(half) * cos, Y: p.X * math.Sin(half) * sin, Z: p.X * math.Cos(half)}
	})
	sheet := flattened(t, s)
	want := sector / 2 * (outer*outer - inner*inner)
	near(t, "area", sheet.FlatAreaMM2, want, want*1e-3)
	near(t, "perimeter", sheet.FlatPerimeterMM, 2*(outer-inner)+sector*(outer+inner), 0.05)
	near(t, "stretch", sheet.Distortion(), 0, 2e-3)
}

// A cap of a sphere cannot be laid out flat. The elastic disc pressed onto a shallow cap of radius a is pressed together
// at its rim by a²/(8r²) along it, whatever the material: Gauss curvature 1/r² integrated through the stress function of
// a disc with a free rim. Scaled for the least error of area and perimeter, and with corners for a rim, it comes near.
func TestSphereCannotUnroll(t *testing.T) {
	const r = 30.0
	stretchOf := func(cap float64) float64 {
		sheet := flattened(t, carried(t, disc(cap), cap/8, func(p geom.Point) geom.Vec {
			polar, around := math.Hypot(p.X, p.Y)/r, math.Atan2(p.Y, p.X)
			return geom.Vec{X: r * math.Sin(polar) * math.Cos(around), Y: r * math.Sin(polar) * math.Sin(around), Z: r * math.Cos(polar)}
		}))
		near(t, fmt.Sprintf("area of a cap of %g mm", cap), sheet.AreaMM2, 2*math.Pi*r*r*(1-math.Cos(cap/r)), sheet.AreaMM2*0.01)
		return sheet.Distortion()
	}
	small, large := stretchOf(4), stretchOf(8)
	near(t, "growth with the square of the cap", large/small, 4, 0.5)
	shallow := 8.0 * 8.0 / (8 * r * r)
	near(t, "stretch of a shallow cap", large, shallow, shallow*0.25)
	t.Logf("%g of %g", large, shallow)
}

func disc(radius float64) (outline geom.Outline) {
	for i := range 48 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 48)
		outline = append(outline, geom.Point{X: radius * cos, Y: radius * sin})
	}
	return outline
}

// randomOutline is star-shaped about the origin.
func randomOutline(r *rand.Rand, radius float64) (outline geom.Outline) {
	n := 5 + r.IntN(12)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		reach := radius * (0.45 + 0.55*r.Float64())
		outline = append(outline, geom.Point{X: reach * cos, Y: reach * sin})
	}
	return outline
}

func bowl(r *rand.Rand) func(geom.Point) geom.Vec {
	a, b, c := 0.012*r.NormFloat64(), 0.012*r.NormFloat64(), 0.012*r.NormFloat64()
	return func(p geom.Point) geom.Vec {
		return geom.Vec{X: p.X, Y: p.Y, Z: a*p.X*p.X + b*p.X*p.Y + c*p.Y*p.Y}
	}
}

func TestTriangulationCoversTheOutline(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for trial := range 200 {
		outline := randomOutline(r, 6+10*r.Float64())
		if trial%2 == 1 {
			for i, j := 0, len(outline)-1; i < j; i, j = i+1, j-1 {
				outline[i], outline[j] = outline[j], outline[i]
			}
		}
		plan, err := Triangulate(outline, 0.8+r.Float64())
		if err != nil {
			t.Fatalf("trial %d: %v", trial, err)
		}
		sum := 0.0
		for _, c := range plan.Triangles {
			area := cross(plan.Points[c[0]], plan.Points[c[1]], plan.Points[c[2]]) / 2
			if area <= 0 {
				t.Fatalf("trial %d: a triangle of %g mm2", trial, area)
			}
			sum += area
		}
		near(t, fmt.Sprintf("trial %d: area", trial), sum, outline.Area(), 1e-9*outline.Area())
		// Euler: a disc of b border and n points has 2n - b - 2 triangles.
		if want := 2*len(plan.Points) - plan.Border - 2; len(plan.Triangles) != want {
			t.Fatalf("trial %d: %d triangles, want %d", trial, len(plan.Triangles), want)
		}
	}
}

// Moved rigidly a surface gives the same sheet; mirrored, the mirrored one; and its measures do not change when the
// triangles are made smaller.
func TestFlattenInvariances(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for trial := range 12 {
		outline, onto := randomOutline(r, 9), bowl(r)
		s := carried(t, outline, 1.5, onto)
		sheet := flattened(t, s)
		moved := Surface{Triangles: s.Triangles, Border: s.Border}
		mirrored := Surface{Border: s.Border}
		for _, p := range s.Points {
			moved.Points = append(moved.Points, geom.Vec{X: 3 - p.Y, Y: p.Z + 1, Z: -p.X})
			mirrored.Points = append(mirrored.Points, geom.Vec{X: -p.X, Y: p.Y, Z: p.Z})
		}
		for _, c := range s.Triangles {
			mirrored.Triangles = append(mirrored.Triangles, [3]int{c[0], c[2], c[1]})
		}
		for name, other := range map[string]Sheet{"moved": flattened(t, moved), "mirrored": flattened(t, mirrored)} {
			near(t, name+": area", other.FlatAreaMM2, sheet.FlatAreaMM2, 1e-5)
			near(t, name+": perimeter", other.FlatPerimeterMM, sheet.FlatPerimeterMM, 1e-5)
			for i := range s.Border {
				near(t, name+": a chord", math.Sqrt(sq(other.Points[i], other.Points[0])), math.Sqrt(sq(sheet.Points[i], sheet.Points[0])), 1e-4)
			}
		}
		finer := flattened(t, carried(t, outline, 0.8, onto))
		near(t, fmt.Sprintf("trial %d: finer area", trial), finer.FlatAreaMM2, sheet.FlatAreaMM2, 0.005*sheet.FlatAreaMM2)
		near(t, fmt.Sprintf("trial %d: finer perimeter", trial), finer.FlatPerimeterMM, sheet.FlatPerimeterMM, 0.005*sheet.FlatPerimeterMM)
		near(t, fmt.Sprintf("trial %d: both err alike", trial), finer.FlatAreaMM2/finer.AreaMM2+finer.FlatPerimeterMM/finer.PerimeterMM, 2, 1e-9)
		if got := sheet.Edge().SignedArea(); got < 0 {
			t.Errorf("trial %d: the sheet is mirrored", trial)
		}
	}
}

func TestRefusals(t *testing.T) {
	cross := geom.Outline{{}, {X: 5, Y: 5}, {X: 5}, {Y: 5}}
	for name, outline := range map[string]geom.Outline{"none": nil, "a point": {{}}, "a line": {{}, {X: 5}}, "crossing": cross, "not finite": {{}, {X: math.NaN()}, {X: 1, Y: 1}}, "flat": {{}, {X: 5}, {X: 9}}} {
		if _, err := Triangulate(outline, 1); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for _, edge := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-3} {
		if _, err := Triangulate(rectangle(20, 20), edge); err == nil {
			t.Errorf("edge %g: no error", edge)
		}
	}
	tube := carried(t, rectangle(62, 10), 2, func(p geom.Point) geom.Vec { // once round a cylinder and a half again, spiralling outward
		sin, cos := math.Sincos(p.X / 6)
		return geom.Vec{X: 6 * sin, Y: p.Y, Z: 6 * cos}
	})
	if sheet, err := Flatten(tube); err != nil {
		t.Errorf("a roll of more than one turn unrolls all the same: %v", err)
	} else {
		near(t, "the roll's length", sheet.FlatPerimeterMM, 144, 1)
	}
	flatTriangle := Surface{Points: []geom.Vec{{}, {X: 1}, {X: 2}}, Triangles: [][3]int{{0, 1, 2}}, Border: 3}
	loose := Surface{Points: []geom.Vec{{}, {X: 1}, {Y: 1}, {Z: 4}}, Triangles: [][3]int{{0, 1, 2}}, Border: 3}
	astray := Surface{Points: []geom.Vec{{}, {X: 1}, {Y: 1}}, Triangles: [][3]int{{0, 1, 7}}, Border: 3}
	for name, s := range map[string]Surface{"nothing": {}, "no area": flatTriangle, "a loose point": loose, "a corner astray": astray} {
		if _, err := Flatten(s); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func BenchmarkFlatten(b *testing.B) {
	for _, edge := range []float64{2, 1.2} {
		s := carried(b, disc(11), edge, bowl(rand.New(rand.NewPCG(5, 6))))
		b.Run(fmt.Sprintf("points=%d", len(s.Points)), func(b *testing.B) {
			for b.Loop() {
				flattened(b, s)
			}
		})
	}
}
