package atlas

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

func variants(t testing.TB) map[string]*Variant {
	t.Helper()
	list, _, err := LoadVariants()
	if err != nil {
		t.Fatal(err)
	}
	found := make(map[string]*Variant, len(list))
	for i := range list {
		found[list[i].ID] = &list[i]
	}
	return found
}

func variant(t testing.TB, id string) *Variant {
	t.Helper()
	x, known := variants(t)[id]
	if !known {
		t.Fatalf("no variant %s", id)
	}
	return x
}

// patients are hearts of every size a variant has to fit.
var patients = map[string]Patient{
	"usual":               {},
	"child":               {Body: Body{SurfaceM2: 0.45}, Measured: []Measured{{Name: "rim-length", Value: 60}}},
	"small rim":           {Measured: []Measured{{Name: "rim-length", Value: 60}}},
	"dilated":             {Measured: []Measured{{Name: "rim-length", Value: 140}}},
	"stretched":           {Measured: []Measured{{Name: "rim-length", Value: 140}}, Stretch: "classical"},
	"thick bundle":        {Measured: []Measured{{Name: "bundle-calibre", Value: 4}, {Name: "extension-calibre", Value: 3}}},
	"ostium low, up high": {Measured: []Measured{{Name: "ostium-to-hinge", Value: 3}, {Name: "saddle-height", Value: 10}}},
	"ostium far":          {Measured: []Measured{{Name: "ostium-to-hinge", Value: 16}}},
}

// shape builds a patient's heart as the variant has it.
func shape(t testing.TB, x *Variant, p Patient) *Heart {
	t.Helper()
	c, err := load(t).varied(x)
	if err != nil {
		t.Fatalf("%s: %v", x.ID, err)
	}
	h, err := c.Fit(p)
	if err != nil {
		t.Fatalf("%s: %v", x.ID, err)
	}
	if err := h.malform(x); err != nil {
		t.Fatalf("%s: %v", x.ID, err)
	}
	return h
}

// eachMalformed runs a test on every variant that is drawn, in every size.
func eachMalformed(t *testing.T, test func(t *testing.T, x *Variant, h *Heart)) {
	for id, x := range variants(t) {
		if x.Refused != "" {
			continue
		}
		for name, p := range patients {
			t.Run(id+"/"+name, func(t *testing.T) { test(t, x, shape(t, x, p)) })
		}
	}
}

func TestVariantsAreThoseAskedFor(t *testing.T) {
	list, sources, err := LoadVariants()
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, x := range list {
		ids = append(ids, x.ID)
	}
	want := []string{
		"atrioventricular-septal-defect", "discordant-connections", "displaced-septal-hinge", "large-ostium",
		"perimembranous-defect-inlet", "perimembranous-defect-outlet", "straddling-valve", "twin-nodes-with-sling",
	}
	if !slices.Equal(ids, want) {
		t.Errorf("variants %v, want %v", ids, want)
	}
	used := map[string]bool{}
	for _, x := range list {
		for _, id := range x.Sources {
			used[id] = true
		}
	}
	for _, s := range sources {
		if !used[s.ID] {
			t.Errorf("no variant rests on %s", s.ID)
		}
	}
}

// What a variant is drawn from must be graded, and stand on a source that its head names; a place in mm that nobody
// published must not borrow the grade of the paper that told the topology.
func TestVariantsAreGraded(t *testing.T) {
	for id, x := range variants(t) {
		if x.TopologyOnly == (x.Refused != "" || id == "displaced-septal-hinge") {
			t.Errorf("%s: topology only is %v", id, x.TopologyOnly)
		}
		if len(x.Published) == 0 {
			t.Errorf("%s tells nothing that was published", id)
		}
		check := func(what string, g Grade, sources ...string) {
			if !words.English().Has("grade." + string(g)) {
				t.Errorf("%s: %s has grade %q", id, what, g)
			}
			for _, s := range sources {
				if !slices.Contains(x.Sources, s) {
					t.Errorf("%s: %s rests on %s, which the head does not name", id, what, s)
				}
			}
		}
		for _, f := range x.Published {
			check(f.Says, f.Grade, f.Source)
		}
		for _, c := range x.Parameters() {
			check(c.Name, c.Grade, c.Source)
		}
		for _, l := range x.landmarks {
			check(l.id, l.grade, l.source)
		}
		for _, s := range x.structures {
			check(s.id, s.grade, s.sources...)
		}
		for _, z := range x.zones {
			check(string(z.id), z.grade, z.sources...)
		}
	}
}

// No figure from memory may come with a source that was read, and none that was read with a source that was not.
func TestVariantsKeepMemoryApart(t *testing.T) {
	c := load(t)
	_, own, err := LoadVariants()
	if err != nil {
		t.Fatal(err)
	}
	read := map[string]string{}
	for _, s := range append(c.Sources(), own...) {
		read[s.ID] = s.Read
	}
	fits := func(g Grade, source string) bool {
		switch g {
		case Memory:
			return read[source] == "memory"
		case Abstract, Derived:
			return read[source] == "abstract"
		case Secondary:
			return read[source] == "secondary"
		}
		return read[source] == "none"
	}
	for id, x := range variants(t) {
		for _, f := range x.Published {
			if !fits(f.Grade, f.Source) {
				t.Errorf("%s: %q is %s by %s (%s)", id, f.Says, f.Grade, f.Source, read[f.Source])
			}
		}
		for _, p := range x.Parameters() {
			if !fits(p.Grade, p.Source) {
				t.Errorf("%s: %s is %s by %s (%s)", id, p.Name, p.Grade, p.Source, read[p.Source])
			}
		}
		for _, l := range x.landmarks {
			if !fits(l.grade, l.source) {
				t.Errorf("%s: %s is %s by %s (%s)", id, l.id, l.grade, l.source, read[l.source])
			}
		}
	}
}

// Where only topology is published the axis may lie farther off than in the usual heart.
func TestMalformedSpreadIsWide(t *testing.T) {
	usual := parameter(t, "conduction-position-spread").Value
	for id, x := range variants(t) {
		for _, s := range x.structures {
			if s.spreadMM <= usual {
				t.Errorf("%s: %s is placed within %g mm, no better than the usual heart's %g", id, s.id, s.spreadMM, usual)
			}
		}
	}
}

func TestMalformedSolidsLieUnderTheEndocardium(t *testing.T) {
	eachMalformed(t, func(t *testing.T, x *Variant, h *Heart) {
		for _, s := range h.Structures {
			laid := slices.ContainsFunc(x.structures, func(v variantStructure) bool { return v.id == s.ID })
			if centre, r := s.Solid.Bound(); !centre.IsFinite() || !(r > 0) || math.IsInf(r, 0) {
				t.Errorf("%s: no finite solid: %v %v", s.ID, centre, r)
			} else if laid {
				if least := shallowest(h, thinned(s)); !(least > 0) {
					t.Errorf("%s stands %.2f mm out of the endocardium", s.ID, -least)
				}
			}
		}
	})
}

// thinned leaves a tube every third place of its axis, and its ends: enough to see it come out.
func thinned(s Structure) Structure {
	tube, ok := s.Solid.(geom.Tube)
	if !ok {
		return s
	}
	var axis []geom.Vec
	for i, p := range tube.Axis {
		if i%3 == 0 || i == len(tube.Axis)-1 {
			axis = append(axis, p)
		}
	}
	tube.Axis, s.Solid = axis, tube
	return s
}

// chains names the solids that must hold together, in the order of the impulse.
var chains = map[string][][]string{
	"atrioventricular-septal-defect": {{"nodal-artery", "node", "bundle"}},
	"perimembranous-defect-inlet":    {{"nodal-artery", "node", "bundle"}},
	"perimembranous-defect-outlet":   {{"nodal-artery", "node", "bundle"}},
	"displaced-septal-hinge":         {{"nodal-artery", "node", "bundle"}, {"right-extension", "node", "bundle-low"}},
	"straddling-valve":               {{"nodal-artery", "node", "bundle"}},
	"large-ostium":                   {{"nodal-artery", "node", "bundle"}, {"right-extension", "node", "bundle-low"}},
	"twin-nodes-with-sling":          {{"nodal-artery", "node", "sling", "anterior-node"}},
}

// gap is the least distance between two solids, of which one at least is a tube.
func gap(a, b geom.Solid) float64 {
	tube, other := asTube(a), b
	if len(tube.Axis) == 0 {
		tube, other = asTube(b), a
	}
	d, _ := geom.PathDistance(tube.Axis, other, math.Inf(1))
	return d - tube.RadiusMM
}

func asTube(s geom.Solid) geom.Tube {
	tube, _ := s.(geom.Tube)
	return tube
}

func TestMalformedAxisIsContinuous(t *testing.T) {
	eachMalformed(t, func(t *testing.T, x *Variant, h *Heart) {
		if len(chains[x.ID]) == 0 {
			t.Fatal("no chain of this variant is known")
		}
		for _, chain := range chains[x.ID] {
			for i := 1; i < len(chain); i++ {
				if d := gap(structure(t, h, chain[i-1]).Solid, structure(t, h, chain[i]).Solid); !(d < 0.5) {
					t.Errorf("%.2f mm between %s and %s", d, chain[i-1], chain[i])
				}
			}
		}
	})
}

// A course must not wander between the places it is led through: no bend tighter than its own calibre.
func TestMalformedCoursesAreSmooth(t *testing.T) {
	eachMalformed(t, func(t *testing.T, x *Variant, h *Heart) {
		for _, s := range x.structures {
			axis := asTube(structure(t, h, s.id).Solid).Axis
			for i := 2; i < len(axis); i++ {
				a, b := axis[i-1].Sub(axis[i-2]), axis[i].Sub(axis[i-1])
				if cos := a.Unit().Dot(b.Unit()); !(cos > 0.75) {
					t.Errorf("%s turns by %.0f degrees at piece %d of %d", s.id, math.Acos(cos)*180/math.Pi, i, len(axis))
				}
			}
		}
	})
}

// spotsOf are the places under which a structure lies, on the chart as the zones are.
func spotsOf(t testing.TB, h *Heart, id string) (spots []Spot) {
	t.Helper()
	solid := structure(t, h, id).Solid
	frame := asTube(solid).Axis
	if len(frame) == 0 {
		centre, _ := solid.Bound()
		frame = []geom.Vec{centre}
	}
	for _, p := range frame {
		s, _ := h.Chart.Spot(p)
		s.AlongMM = h.Unroll(s.AlongMM)
		spots = append(spots, s)
	}
	return spots
}

func covers(h *Heart, ids []ZoneID, s Spot) bool {
	return slices.ContainsFunc(ids, func(id ZoneID) bool {
		z, ok := h.Zone(id)
		return ok && z.Outline.Contains(geom.Point{X: s.AlongMM, Y: s.OffMM})
	})
}

var danger = []ZoneID{ApicalHalf, VentricularSide}

// The zones that rules forbid must lie over every node, rim of the node included, and over the bundle.
func TestMalformedZonesCoverTheAxis(t *testing.T) {
	eachMalformed(t, func(t *testing.T, x *Variant, h *Heart) {
		for _, s := range h.Structures {
			laid := slices.ContainsFunc(x.structures, func(v variantStructure) bool { return v.id == s.ID })
			node, ok := s.Solid.(geom.Ellipsoid)
			if !ok || s.Kind != Conduction {
				continue
			}
			for _, axis := range []geom.Vec{node.Axes[0].Scale(node.Radii[0]), node.Axes[0].Scale(-node.Radii[0]), node.Axes[1].Scale(node.Radii[1]), node.Axes[1].Scale(-node.Radii[1])} {
				spot, _ := h.Chart.Spot(node.Centre.Add(axis))
				spot.AlongMM = h.Unroll(spot.AlongMM)
				if laid && !covers(h, append([]ZoneID{BasalHalf}, danger...), spot) {
					t.Errorf("%s: %.1f, %.1f is in no zone", s.ID, spot.AlongMM, spot.OffMM)
				}
			}
			if centre := spotsOf(t, h, s.ID)[0]; (laid || x.ID == "displaced-septal-hinge") && !covers(h, danger, centre) {
				t.Errorf("the centre of the %s, %.1f, %.1f, may be stitched", s.ID, centre.AlongMM, centre.OffMM)
			}
		}
		for _, s := range x.structures {
			if s.kind != Conduction || len(s.through) == 0 || s.id == "right-extension" {
				continue
			}
			for _, spot := range spotsOf(t, h, s.id) {
				if !covers(h, danger, spot) {
					t.Errorf("%s: %.1f, %.1f may be stitched", s.id, spot.AlongMM, spot.OffMM)
					break
				}
			}
		}
	})
}

func TestMalformedLandmarksFollow(t *testing.T) {
	eachMalformed(t, func(t *testing.T, x *Variant, h *Heart) {
		for _, l := range h.Landmarks {
			if d := l.Frame.Distance(h.Chart.Frame(l.Spot)); d > 1e-9 {
				t.Errorf("%s is drawn %.3g mm from where it is", l.ID, d)
			}
		}
		centre, _ := structure(t, h, "node").Solid.Bound()
		if d := landmark(t, h, "node").Frame.Distance(centre); d > 1e-6 {
			t.Errorf("the landmark lies %.3g mm from the node", d)
		}
		for _, id := range []string{"anteroseptal-commissure", "posteroseptal-commissure", "anteroposterior-commissure"} {
			if l := landmark(t, h, id); l.Spot.OffMM != 0 || !l.OnHinge {
				t.Errorf("%s left the hinge", id)
			}
		}
	})
}

// The same heart half as large is the same malformation half as large: every place keeps its proportions.
func TestMalformedFitsTheSize(t *testing.T) {
	for id, x := range variants(t) {
		if x.Refused != "" {
			continue
		}
		usual, child := shape(t, x, patients["usual"]), shape(t, x, patients["child"])
		by := child.Rim.LengthMM() / usual.Rim.LengthMM()
		for _, l := range x.landmarks {
			a, b := landmark(t, usual, l.id), landmark(t, child, l.id)
			// What hangs on parameters that vary by themselves follows loosely.
			if want := by * usual.Unroll(a.Spot.AlongMM); math.Abs(child.Unroll(b.Spot.AlongMM)-want) > 2.5 {
				t.Errorf("%s: %s at %.1f along the child's rim, want about %.1f", id, l.id, child.Unroll(b.Spot.AlongMM), want)
			}
		}
	}
}

// Seo 1992 (abstract): node in a triangle of its own, the tendon-line triangle unrelated; best landmark where the
// inferior bridging leaflet crosses the crest.
func TestSeptalDefectOfTheJunction(t *testing.T) {
	x := variant(t, "atrioventricular-septal-defect")
	for name, p := range patients {
		h := shape(t, x, p)
		node := landmark(t, h, "node").Frame
		apex, ostium := landmark(t, h, "triangle-apex").Frame, landmark(t, h, "coronary-sinus-ostium").Frame
		crest, commissure := landmark(t, h, "septal-crest").Frame, landmark(t, h, "posteroseptal-commissure").Frame
		if far := node.Distance(apex); node.Distance(ostium) >= far || node.Distance(commissure) >= far || node.Distance(crest) >= node.Distance(ostium) {
			t.Errorf("%s: node %.1f mm from the apex, %.1f from the ostium, %.1f from the crest", name, far, node.Distance(ostium), node.Distance(crest))
		}
		if d := structure(t, h, "bundle").Solid.Distance(crest); d > 1 {
			t.Errorf("%s: the bundle passes %.1f mm from where the leaflet crosses the crest", name, d)
		}
		for i, s := range spotsOf(t, h, "bundle") {
			if i > 20 && s.OffMM >= 0 {
				t.Errorf("%s: the bundle is on the atrial side at %.1f, %.1f", name, s.AlongMM, s.OffMM)
				break
			}
		}
		if covers(h, []ZoneID{ApicalHalf}, h.Triangle.Apex.towards(h.Triangle.foot, 0.1)) {
			t.Errorf("%s: the apex of the tendon-line triangle is still forbidden", name)
		}
	}
}

// onRim checks that a bundle rounds the defect by its posteroinferior rim: never across it, never on its superior and
// anterior side (Circulation 1963, abstract). It gives how near the bundle comes to the rim, on the chart.
func onRim(t testing.TB, h *Heart) float64 {
	t.Helper()
	defect := zone(t, h, "septal-defect").Outline
	middle, least := defect.Centroid(), math.Inf(1)
	behind, below := false, false
	var backmost, lowermost float64
	for _, p := range defect {
		backmost, lowermost = min(backmost, p.X), min(lowermost, p.Y)
	}
	for _, s := range spotsOf(t, h, "bundle") {
		p := geom.Point{X: s.AlongMM, Y: s.OffMM}
		if defect.Contains(p) {
			t.Errorf("the bundle runs through the defect at %.1f, %.1f", p.X, p.Y)
		}
		if p.X > middle.X && p.Y > middle.Y && p.Y < 0 {
			t.Errorf("the bundle is on the anterosuperior side at %.1f, %.1f", p.X, p.Y)
		}
		behind, below = behind || p.X < backmost && p.Y < 0, below || p.Y < lowermost
		for _, c := range outlinePoints(defect) {
			least = min(least, h.Chart.Frame(s).Distance(h.Chart.Frame(Spot{AlongMM: c.X, OffMM: c.Y})))
		}
	}
	if !behind || !below {
		t.Errorf("the bundle passes behind the defect: %v, below it: %v", behind, below)
	}
	return least
}

func outlinePoints(o geom.Outline) (points []geom.Point) {
	for i, p := range o {
		q := o[(i+1)%len(o)]
		for j := range 12 {
			u := float64(j) / 12
			points = append(points, geom.Point{X: p.X + u*(q.X-p.X), Y: p.Y + u*(q.Y-p.Y)})
		}
	}
	return points
}

func TestBundleRoundsTheDefect(t *testing.T) {
	for name, p := range patients {
		t.Run(name, func(t *testing.T) {
			plain, err := load(t).Fit(p)
			if err != nil {
				t.Fatal(err)
			}
			inlet, outlet := shape(t, variant(t, "perimembranous-defect-inlet"), p), shape(t, variant(t, "perimembranous-defect-outlet"), p)
			near, far := onRim(t, inlet), onRim(t, outlet)
			if near >= far {
				t.Errorf("bundle %.1f mm from the rim with inlet, %.1f with outlet extension: the latter keeps farther off", near, far)
			}
			regular := landmark(t, plain, "node")
			if moved := landmark(t, inlet, "node"); inlet.Unroll(moved.Spot.AlongMM) >= plain.Unroll(regular.Spot.AlongMM) {
				t.Error("with inlet extension the node is not displaced posteriorly")
			}
			if stays := landmark(t, outlet, "node"); stays.Frame.Distance(regular.Frame) > 1e-9 {
				t.Error("with outlet extension the node moves")
			}
			deepest := func(h *Heart) (most float64) {
				for _, s := range spotsOf(t, h, "bundle") {
					most = max(most, s.DeepMM)
				}
				return most
			}
			if deepest(outlet) <= deepest(inlet) {
				t.Error("with outlet extension the bundle is no nearer to the left side")
			}
		})
	}
}

// Sanchez-Quintana 2010 (abstract): triangle 31 % smaller; node toward the base, its length unchanged; extensions reach
// the isthmus; bundle before the apex in 91 %.
func TestDisplacedHinge(t *testing.T) {
	x := variant(t, "displaced-septal-hinge")
	for _, name := range []string{"usual", "child", "dilated"} {
		plain, err := load(t).Fit(patients[name])
		if err != nil {
			t.Fatal(err)
		}
		h := shape(t, x, patients[name])
		near(t, name+": area of the triangle over the usual one", h.TriangleAreaMM2()/plain.TriangleAreaMM2(), 0.69, 0.02)
		share := func(h *Heart) float64 {
			from, _ := h.Value("node-from-apex")
			return from.Here / h.surfaceLength(h.Triangle.Apex, h.Triangle.foot)
		}
		if share(h) <= 0.5 || share(plain) >= 0.5 {
			t.Errorf("%s: node at %.2f of the way to the base, usually %.2f", name, share(h), share(plain))
		}
		near(t, name+": length of the node", throughNode(t, h, 0), throughNode(t, plain, 0), 1e-6)
		if low, apical := structure(t, h, "bundle-low").SharePercent, structure(t, h, "bundle").SharePercent; math.Abs(low-91) > 0.5 || math.Abs(low+apical-100) > 1e-9 {
			t.Errorf("%s: bundle before the apex in %.1f %%, at it in %.1f", name, low, apical)
		}
		if end := last(spotsOf(t, h, "right-extension")); end.AlongMM >= h.Triangle.Hinge.AlongMM {
			t.Errorf("%s: the extension ends at %.1f, before the isthmus at %.1f", name, end.AlongMM, h.Triangle.Hinge.AlongMM)
		}
		lowest, highest := 0.0, -math.MaxFloat64
		for _, p := range zone(t, h, "displaced-hinge").Outline {
			lowest, highest = min(lowest, p.Y), max(highest, p.Y)
		}
		scale := h.Rim.LengthMM() / 105
		near(t, name+": lowest attachment", -lowest, 12*scale, 0.01)
		if highest >= 0 {
			t.Errorf("%s: the displaced hinge reaches up to %.1f", name, highest)
		}
	}
	says(t, x.Summary, "true junction", "suture line")
}

// Pessotto 1999 (abstract), Milo 1979 (from memory): the connecting node lies on the posteroinferior rim where the
// septum meets it; nothing connects at the regular place.
func TestStraddlingValve(t *testing.T) {
	x := variant(t, "straddling-valve")
	for name, p := range patients {
		h := shape(t, x, p)
		node, regular := landmark(t, h, "node"), landmark(t, h, "regular-node")
		if segment := h.SegmentAt(node.Spot.AlongMM).Name; segment != "posterior" {
			t.Errorf("%s: the connecting node lies on the %s segment", name, segment)
		}
		apex, commissure := landmark(t, h, "triangle-apex").Frame, landmark(t, h, "posteroseptal-commissure").Frame
		if node.Frame.Distance(apex) < 2*node.Frame.Distance(commissure) {
			t.Errorf("%s: node %.1f mm from the apex and %.1f from the commissure", name, node.Frame.Distance(apex), node.Frame.Distance(commissure))
		}
		scale := h.Rim.LengthMM() / 105
		for _, s := range h.Structures {
			if d := s.Solid.Distance(regular.Frame); s.Kind == Conduction && d < 8*scale {
				t.Errorf("%s: the %s comes within %.1f mm of the regular place of the node", name, s.Label, d)
			}
		}
		if d := structure(t, h, "bundle").Solid.Distance(landmark(t, h, "septum-meets-junction").Frame); d > 2*scale {
			t.Errorf("%s: the bundle passes %.1f mm from where septum and junction meet", name, d)
		}
	}
}

// A wide ostium leaves the node where it is and comes closer to it (inference); above 25 mm it counts as enlarged
// (Weiss 1999, abstract).
func TestLargeOstium(t *testing.T) {
	x := variant(t, "large-ostium")
	plain, h := build(t), shape(t, x, Patient{})
	if wide := widthOnTissue(h, zone(t, h, Ostium)); wide <= 25 || wide > 27 {
		t.Errorf("ostium of %.1f mm", wide)
	}
	gapOf := func(h *Heart) float64 {
		node := spotsOf(t, h, "node")[0]
		return zone(t, h, Ostium).Outline.SignedDistance(geom.Point{X: node.AlongMM, Y: node.OffMM})
	}
	if gapOf(h) <= 0 || gapOf(h) >= gapOf(plain) {
		t.Errorf("%.1f mm from node to ostium, usually %.1f", gapOf(h), gapOf(plain))
	}
	if was, is := arc(plain.onChart(plain.Triangle.Hinge, plain.Triangle.Tendon)), arc(h.onChart(h.Triangle.Hinge, h.Triangle.Tendon)); is >= was {
		t.Errorf("base of %.1f mm, usually %.1f", is, was)
	}
	for name, p := range patients {
		if lip := lowest(zone(t, shape(t, x, p), Ostium)); lip.Y <= 0 {
			t.Errorf("%s: the ostium reaches the hinge", name)
		}
	}
}

// Two nodes, one in front and one behind, and a sling that joins them (record on dextrocardia, abstract).
func TestTwinNodes(t *testing.T) {
	x := variant(t, "twin-nodes-with-sling")
	for name, p := range patients {
		h := shape(t, x, p)
		nodes := 0
		for _, s := range h.Structures {
			if _, ok := s.Solid.(geom.Ellipsoid); ok && s.Kind == Conduction {
				nodes++
			}
			if strings.HasPrefix(s.ID, "bundle") || strings.HasSuffix(s.ID, "extension") {
				t.Errorf("%s: %s is still there", name, s.ID)
			}
		}
		if nodes != 2 {
			t.Errorf("%s: %d nodes", name, nodes)
		}
		front, back := landmark(t, h, "anterior-node"), landmark(t, h, "node")
		if h.Unroll(front.Spot.AlongMM) <= 0 || h.Unroll(back.Spot.AlongMM) >= 0 {
			t.Errorf("%s: nodes at %.1f and %.1f along the rim", name, h.Unroll(front.Spot.AlongMM), h.Unroll(back.Spot.AlongMM))
		}
		sling := tube(t, h, "sling").Axis
		ends := [2]float64{structure(t, h, "node").Solid.Distance(sling[0]), structure(t, h, "anterior-node").Solid.Distance(sling[len(sling)-1])}
		if radius := tube(t, h, "sling").RadiusMM; ends[0] > radius+0.5 || ends[1] > radius+0.5 {
			t.Errorf("%s: the sling ends %.1f and %.1f mm from the nodes", name, ends[0], ends[1])
		}
	}
}

func TestDiscordantConnectionsAreRefused(t *testing.T) {
	x := variant(t, "discordant-connections")
	c := load(t)
	_, varied := c.varied(x)
	for _, err := range []error{varied, build(t).malform(x)} {
		for _, reason := range reasons(t, err) {
			says(t, reason.Error(), "mitral", "anterior", "discordant")
		}
	}
}

// Taking a heart apart must not be felt by another one, nor by the catalogue.
func TestMalformTouchesOneHeartOnly(t *testing.T) {
	c := load(t)
	before := fmt.Sprint(c.Parameters(), build(t).Structures)
	for _, x := range variants(t) {
		if x.Refused == "" {
			other, err := c.varied(x)
			if err != nil {
				t.Fatal(err)
			}
			if other.Digest() == c.Digest() {
				t.Errorf("%s: the digest does not tell it from the usual heart", x.ID)
			}
			shape(t, x, Patient{})
		}
	}
	if after := fmt.Sprint(c.Parameters(), build(t).Structures); after != before {
		t.Error("the usual heart has changed")
	}
}

// What a variant is missing in a heart is said as a *GeometryError with its place in the file.
func TestMalformSaysWhatIsWrong(t *testing.T) {
	head := "id: large-ostium\nsummary: s\nknown: topology\nsources: [model]\n"
	for what, c := range map[string]struct{ body, want string }{
		"landmark unknown":   {"landmarks:\n  - { id: node, at: { from: nowhere }, grade: assumption, source: model }\n", `large-ostium.yaml:6:21: no landmark is called "nowhere"`},
		"other unknown":      {"landmarks:\n  - { id: node, at: { from: node, to: nowhere, share: 5 % }, grade: assumption, source: model }\n", `no landmark is called "nowhere"`},
		"structure not here": {"without: { structures: [tail] }\n", "no tail to take away"},
		"zone not here":      {"without: { zones: [tail] }\n", "no tail to take away"},
		"landmark not here":  {"without: { landmarks: [tail] }\n", "no tail to take away"},
		"node without aim":   {"structures:\n  - { id: node, kind: conduction, node: { at: { from: node }, toward: { from: node } }, spread: 2 mm, share: 100 %, grade: assumption, sources: [model] }\n", "the node points nowhere (large-ostium.yaml:6:5)"},
		"outline crossing":   {"zones:\n  - { id: oval-fossa, outline: [{ from: mid-septal }, { from: mid-septal, off: 5 mm }, { from: triangle-apex }, { from: triangle-apex, off: 5 mm }], grade: assumption, sources: [model] }\n", "outline of the oval fossa does not close"},
		"outline flat":       {"zones:\n  - { id: oval-fossa, outline: [{ from: mid-septal }, { from: triangle-base }, { from: triangle-apex }], grade: assumption, sources: [model] }\n", "outline of the oval fossa does not close"},
		"tube of one place":  {"structures:\n  - { id: node, kind: conduction, tube: { calibre: 1 mm, through: [{ from: node }, { from: node, off: 3 mm }, { from: node }] }, spread: 2 mm, share: 100 %, grade: assumption, sources: [model] }\n", ""},
	} {
		t.Run(what, func(t *testing.T) {
			x := readOne(t, head+c.body)
			err := build(t).malform(&x)
			if c.want == "" {
				if err != nil {
					t.Errorf("refused: %v", err)
				}
				return
			}
			for _, reason := range reasons(t, err) {
				says(t, reason.Error(), "large coronary sinus ostium", c.want)
			}
		})
	}
}

func readOne(t testing.TB, text string) Variant {
	t.Helper()
	list, _, err := readVariants(fstest.MapFS{"data/variants/large-ostium.yaml": {Data: []byte(text)}}, load(t))
	if err != nil {
		t.Fatal(err)
	}
	return list[0]
}

func TestMalformedVariantFiles(t *testing.T) {
	good := "id: large-ostium\nsummary: s\nknown: topology\nsources: [model]\n"
	const node = "  - { id: node, kind: conduction, node: { at: { from: node }, toward: { from: mid-septal } }, spread: 2 mm, share: 100 %, grade: assumption, sources: [model] }\n"
	landmarkAt := func(at string) string {
		return good + "landmarks:\n  - { id: node, at: " + at + ", grade: assumption, source: model }\n"
	}
	change := func(c string) string { return good + "parameters:\n  - { " + c + ", note: n }\n" }
	for what, c := range map[string]struct{ text, want string }{
		"empty":                {"", "large-ostium.yaml:1:1"},
		"not its name":         {strings.Replace(good, "id: large-ostium", "id: y", 1), `large-ostium.yaml:1:5: the id "y" is not the file's name`},
		"known missing":        {strings.Replace(good, "known: topology\n", "", 1), "large-ostium.yaml:1:1: the key known is missing"},
		"known other":          {strings.Replace(good, "topology", "much", 1), "large-ostium.yaml:3:8"},
		"source unknown":       {strings.Replace(good, "[model]", "[model, nobody]", 1), `large-ostium.yaml:4:18: no source is called "nobody"`},
		"key unknown":          {good + "colour: red\n", "large-ostium.yaml:5:1: unknown key"},
		"refused and drawn":    {good + "refused: no\nzones: []\n", "zones describes a heart that is refused"},
		"grade practice":       {good + "published:\n  - { says: a, grade: practice, source: model }\n", "large-ostium.yaml:6:23"},
		"parameter unknown":    {change("name: horn, factor: 2, grade: memory, source: recalled"), `large-ostium.yaml:6:13: no parameter is called "horn"`},
		"parameter two ways":   {change("name: node-length, factor: 2, value: 3, spread: 1, grade: memory, source: recalled"), "large-ostium.yaml:6:5: item 1: factor and (value and spread) exclude each other"},
		"parameter no spread":  {change("name: node-length, value: 3, grade: memory, source: recalled"), "the key spread is missing"},
		"parameter far out":    {change("name: node-length, factor: 9, grade: memory, source: recalled"), "large-ostium.yaml:6:5: node-length would be 45.9 mm"},
		"parameter twice":      {good + "parameters:\n" + strings.Repeat("  - { name: node-length, factor: 1.1, grade: memory, source: recalled, note: n }\n", 2), `large-ostium.yaml:7:13: "node-length" is here twice`},
		"structure twice":      {good + "structures:\n" + node + node, `large-ostium.yaml:7:11: "node" is here twice`},
		"structure no solid":   {good + "structures:\n  - { id: node, kind: conduction, spread: 2 mm, share: 100 %, grade: assumption, sources: [model] }\n", "node or tube is missing"},
		"structure other kind": {good + "structures:\n" + strings.Replace(node, "kind: conduction", "kind: aorta", 1), "large-ostium.yaml:6:23"},
		"spread of nothing":    {good + "structures:\n" + strings.Replace(node, "2 mm", "0 mm", 1), "0 mm"},
		"zone two ways":        {good + "zones:\n  - { id: oval-fossa, outline: [{ from: a }, { from: a }, { from: a }], ellipse: { centre: { from: a }, along: 2 mm, up: 2 mm }, grade: assumption, sources: [model] }\n", "outline and ellipse exclude each other"},
		"place absolute":       {landmarkAt("{ along: 3 mm }"), "the key from is missing"},
		"place two ways":       {landmarkAt("{ from: node, toward: clockwise, to: node, by: 1 mm }"), "toward and to exclude each other"},
		"place two lengths":    {landmarkAt("{ from: node, toward: clockwise, by: 1 mm, share: 5 % }"), "by and share exclude each other"},
		"place no length":      {landmarkAt("{ from: node, toward: clockwise }"), "large-ostium.yaml:6:21: how far is missing"},
		"place no way":         {landmarkAt("{ from: node, by: 1 mm }"), "whereto is missing"},
		"segment of nothing":   {landmarkAt("{ from: node, toward: clockwise, by: 1 mm, of: septal }"), "of tells of which segment"},
		"segment on the way":   {landmarkAt("{ from: node, to: node, share: 5 %, of: septal }"), "of tells of which segment"},
		"depth by a name":      {landmarkAt("{ from: node, deep: node-length }"), "node-length"},
		"unit":                 {landmarkAt("{ from: node, off: 1 cm }"), "another unit"},
	} {
		t.Run(what, func(t *testing.T) {
			_, _, err := readVariants(fstest.MapFS{"data/variants/large-ostium.yaml": {Data: []byte(c.text)}}, load(t))
			if err == nil {
				t.Fatal("read without a word")
			}
			says(t, err.Error(), "large-ostium.yaml:", c.want)
		})
	}
}

func TestVariantSourcesAreHeldApart(t *testing.T) {
	text := "sources:\n  - { id: model, read: none, cite: c, about: a }\n"
	_, _, err := readVariants(fstest.MapFS{"data/variants/sources.yaml": {Data: []byte(text)}}, load(t))
	if err == nil {
		t.Fatal("a source of the usual heart is taken again")
	}
	says(t, err.Error(), `sources.yaml:2:11: a source is already called "model"`)
}

var located = regexp.MustCompile(`(?m)^(atlas data: )?[\w.-]+\.yaml:\d+:\d+: `)

// Whatever a variant file holds, reading it, and laying what could be read onto a heart, ends in a heart or a reason.
func FuzzVariant(f *testing.F) {
	files, err := variantFiles.ReadDir("data/variants")
	if err != nil {
		f.Fatal(err)
	}
	sources, err := variantFiles.ReadFile("data/variants/sources.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := variantFiles.ReadFile("data/variants/" + file.Name())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("id: large-ostium\nsummary: s\nrefused: r\nsources: [model]\n"))
	c, usual := load(f), build(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		list, _, err := readVariants(fstest.MapFS{"data/variants/sources.yaml": {Data: sources}, "data/variants/" + named(data) + ".yaml": {Data: data}}, c)
		if err != nil {
			if !located.MatchString(err.Error()) {
				t.Errorf("no place: %v", err)
			}
			return
		}
		h := *usual
		h.Landmarks, h.Zones, h.Structures = slices.Clone(h.Landmarks), slices.Clone(h.Zones), slices.Clone(h.Structures)
		var reason *GeometryError
		if err := h.malform(&list[0]); err != nil && !errors.As(err, &reason) {
			t.Errorf("%v (%T)", err, err)
		}
	})
}

// named is the id that a variant file gives, which its file must be called by; x where it gives none that is known.
func named(data []byte) string {
	id := regexp.MustCompile(`(?m)^id: ([a-z-]+)$`).FindSubmatch(data)
	if id == nil || !slices.Contains(VariantNames(), string(id[1])) {
		return "x"
	}
	return string(id[1])
}
