package atlas

import (
	"math"
	"slices"
	"testing"
)

// What cannot be is refused with what, with the figures, and with the way out, and names what to look at: the measured
// first.
func TestImpossibleGeometryIsRefused(t *testing.T) {
	for _, c := range []struct {
		what  string
		given []size
		names []string // all of them, in order
		says  []string
	}{
		{"a triangle that cannot close", []size{{"triangle-hinge-side", 10}, {"triangle-tendon-side", 30}, {"triangle-base-side", 12}},
			[]string{"triangle-hinge-side", "triangle-tendon-side", "triangle-base-side"},
			[]string{"sides of 10 mm, 30 mm and 12 mm cannot close", "longest side must be shorter than the other two together"}},
		{"a triangle that just cannot close, one side measured", []size{{"triangle-tendon-side", 36.5}}, []string{"triangle-tendon-side"}, []string{"36.5 mm", "cannot close"}},
		{"a triangle higher than the wall", []size{{"triangle-tendon-side", 30}, {"triangle-base-side", 30}, {"septal-wall-height", 20}},
			[]string{"triangle-tendon-side", "triangle-base-side"}, []string{"do not close on this septal wall"}},
		{"apex and hinge side longer than the septum", []size{{"triangle-apex-offset", 14}}, []string{"triangle-apex-offset"},
			[]string{"18 mm from 14 mm beyond the commissure", "runs past the septal segment of 30.", "at most 16."}},
		{"a hinge side longer than the septum", []size{{"triangle-hinge-side", 35}}, []string{"triangle-hinge-side"}, []string{"35 mm from 3 mm", "give a triangle-hinge-side of at most 27."}},
		{"an ostium off the wall", []size{{"ostium-to-hinge", 40}}, []string{"ostium-to-hinge"},
			[]string{"the ostium, 8.8 mm wide and 40 mm off the hinge", "beyond the septal wall of 44 mm", "must lie on the atrial wall"}},
		{"a wall too low for the ostium", []size{{"septal-wall-height", 17}}, []string{"septal-wall-height"}, []string{"septal wall of 17 mm"}},
		{"an ostium over the free wall", []size{{"ostium-craniocaudal", 40}, {"triangle-apex-offset", 10}, {"posterior-segment", 14}}, []string{"ostium-craniocaudal"}, []string{"40 mm along", "on the free wall"}},
		{"a node out of the endocardium", []size{{"node-depth", 0.3}}, []string{"node-depth"}, []string{"0.8 mm thick, centred 0.3 mm deep", "half its thickness deep"}},
		{"a node beyond the triangle", []size{{"node-from-apex", 20}}, []string{"node-from-apex"}, []string{"20 mm from the apex", "beyond its base"}},
		{"an artery that leaps", []size{{"coronary-crux", 40}, {"coronary-mid-posterior", 0.5}}, []string{"coronary-mid-posterior", "coronary-crux"}, []string{"0.5 mm on the free wall and 40 mm at its end"}},
		{"a chord longer than its arc", []size{{"septal-chord", 33}, {"septal-segment", 31}}, []string{"septal-chord", "septal-segment"}, []string{"33 mm", "31 mm"}},
		{"segments that leave nothing", []size{{"rim-length", 105}, {"anterior-segment", 60}, {"posterior-segment", 50}}, []string{"rim-length", "anterior-segment", "posterior-segment"}, []string{"do not add up to a rim of 105 mm"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			found := refused(t, c.given...)
			if len(found) != 1 || !slices.Equal(found[0].Names, c.names) {
				t.Fatalf("%d refusals, the first names %v, want %v: %v", len(found), found[0].Names, c.names, found[0])
			}
			says(t, found[0].Error(), c.says...)
			if found[0].Mend == "" {
				t.Error("no way out")
			}
		})
	}
}

// Nothing is refused that is just possible.
func TestBarelyPossibleGeometryIsNotRefused(t *testing.T) {
	for _, given := range [][]size{
		{{"triangle-apex-offset", 12.5}},
		{{"triangle-hinge-side", 27}, {"triangle-tendon-side", 27}, {"triangle-base-side", 27}},
		{{"ostium-to-hinge", 35}},
		{{"node-depth", 0.4}},
		{{"triangle-apex-offset", 0}},
		{{"saddle-height", 0}},
		{{"coronary-mid-posterior", 8}, {"coronary-anteroposterior", 3}},
		// The head of the bundle then leaves the node at the apex itself, and beyond it.
		{{"node-from-apex", 5.1 / 2 * 0.9}}, {{"node-from-apex", 1}},
	} {
		sound(t, "barely possible", build(t, given...))
	}
}

// Slips of the pen, through the front door: no heart comes with an error.
func TestAbsurdValuesAreRefused(t *testing.T) {
	for _, c := range []struct {
		given []size
		says  []string
	}{
		{[]size{{"rim-length", -105}}, []string{"rim-length -105 mm is out of range", "give 30 mm to 250 mm"}},
		{[]size{{"rim-length", 10.5}}, []string{"rim-length 10.5 mm"}},
		{[]size{{"rim-length", 1050}}, []string{"rim-length 1050 mm"}},
		{[]size{{"node-depth", 0}}, []string{"node-depth 0 mm", "give 0.1 mm"}},
		{[]size{{"rim-area", math.NaN()}}, []string{"NaN"}},
		{[]size{{"rim-area", math.Inf(1)}}, []string{"Inf"}},
		{[]size{{"bundle-apical-share", 101}}, []string{"101 %"}},
		{[]size{{"rim-lenght", 105}}, []string{`no parameter is called "rim-lenght"`, "fairlead landmarks"}},
		{[]size{{"", 1}}, []string{`no parameter is called ""`}},
		{[]size{{"node-depth", 1}, {"node-depth", 2}}, []string{"node-depth is given twice"}},
	} {
		h, err := load(t).Heart(exactly(c.given))
		if err == nil || h != nil {
			t.Errorf("%v makes a heart", c.given)
			continue
		}
		found := reasons(t, err)
		says(t, found[0].Error(), c.says...)
		if len(found[0].Names) == 0 || found[0].Names[0] != c.given[0].Name {
			t.Errorf("%v: it names %v", c.given, found[0].Names)
		}
	}
	_, err := load(t).Heart(exactly([]size{{"rim-length", -1}, {"node-depth", 99}, {"nothing", 1}}))
	if found := reasons(t, err); len(found) != 3 {
		t.Errorf("of three slips %d are reported: %v", len(found), err)
	}
}

func TestAtLengthAndBisector(t *testing.T) {
	h := build(t)
	apex := h.Triangle.Apex
	for _, from := range []float64{-2, -1e-3, 1e-3, 1, 6.5, 15} {
		s := h.bisector(from)
		near(t, "along the bisector", arc(h.onChart(apex, s)), math.Abs(from), 1e-4)
		if (s.OffMM > 0) != (from > 0) {
			t.Errorf("%.3f mm from the apex lies at %+v", from, s)
		}
	}
	if s := h.bisector(0); s != apex {
		t.Errorf("no way from the apex leads to %+v", s)
	}
}

func TestCourseSkipsRepeatedSpots(t *testing.T) {
	h := build(t)
	a, b, c := Spot{-3, 2, 1}, Spot{-6, 4, 1}, Spot{-9, 3, 2}
	once, twice := h.course(10, a, b, c), h.course(10, a, a, b, b, c)
	for i := range once {
		if once[i] != twice[i] {
			t.Fatalf("repeated spots bend the course at %d: %+v, %+v", i, once[i], twice[i])
		}
	}
	for _, p := range h.course(4, a, a) {
		if p != h.Chart.Frame(a) {
			t.Errorf("a course of one spot leads to %+v", p)
		}
	}
	if y := natural([]float64{0, 2, 1}, []float64{1, 2, 3})(0.5); !math.IsNaN(y) {
		t.Errorf("a spline over unordered knots gives %v", y)
	}
}

// An end of the artery that nobody measured gives way to what was published between; a measured one does not.
func TestEndOfArteryGivesWayUnlessMeasured(t *testing.T) {
	v := plausible(t, nil)
	v.set("coronary-crux", 18)
	v.set("coronary-mid-posterior", 1.5)
	rim, err := v.rim()
	if err != nil {
		t.Fatal(err)
	}
	h, err := v.heartOn(rim)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mid posterior", toArtery(t, h, "mid-posterior"), 1.5, lengthShare)
	near(t, "anteroposterior commissure", toArtery(t, h, "anteroposterior-commissure"), 3.1, lengthShare)
	refused(t, size{"coronary-crux", 18}, size{"coronary-mid-posterior", 1.5})
}
