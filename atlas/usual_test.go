package atlas

import (
	"math"
	"testing"

	"fairlead/atlas/geom"
)

// The usual adult heart, row by row: measured on the heart that was built, by other means than those that built it, and
// never read back from the parameters. Lengths are to be met within 1 %, areas within 2 %.
const (
	lengthShare = 0.01
	areaShare   = 0.02
)

// row is one figure of the table. The grade is that of the figure itself; a figure taken over from a source of a lower
// grade would be no better than its source.
type row struct {
	what    string
	want    float64
	share   float64
	grade   Grade
	source  string
	measure func(t *testing.T, h *Heart) float64
}

var usualRows = []row{
	{"rim length, mm", 105, lengthShare, Abstract, "antoniali-2006", func(t *testing.T, h *Heart) float64 {
		return arc(h.onChart(Spot{}, Spot{AlongMM: h.Rim.LengthMM()}))
	}},
	{"rim, long axis, mm", 36, lengthShare, Abstract, "addetia-2019", func(t *testing.T, h *Heart) float64 { return diameter(closed(h, 720)) }},
	{"rim, short axis, mm", 30, lengthShare, Abstract, "addetia-2019", func(t *testing.T, h *Heart) float64 { return leastWidth(closed(h, 2000)) }},
	{"rim area, spanned, mm2", 860, areaShare, Abstract, "addetia-2019", func(t *testing.T, h *Heart) float64 { return spanned(closed(h, 4000)) }},
	{"septal segment, mm", 30.6, lengthShare, Abstract, "antoniali-2006", func(t *testing.T, h *Heart) float64 {
		return wayAlong(t, h, "posteroseptal-commissure", "anteroseptal-commissure")
	}},
	{"septal chord, mm", 28.9, lengthShare, Abstract, "antoniali-2006", func(t *testing.T, h *Heart) float64 {
		return landmark(t, h, "posteroseptal-commissure").Frame.Distance(landmark(t, h, "anteroseptal-commissure").Frame)
	}},
	{"anterior segment, mm", 40.3, lengthShare, Derived, "antoniali-2006", func(t *testing.T, h *Heart) float64 {
		return wayAlong(t, h, "anteroseptal-commissure", "anteroposterior-commissure")
	}},
	{"posterior segment, mm", 34.1, lengthShare, Derived, "antoniali-2006", func(t *testing.T, h *Heart) float64 {
		return wayAlong(t, h, "anteroposterior-commissure", "posteroseptal-commissure")
	}},
	{"saddle height, mm", 7, lengthShare, Memory, "saddle-2006", func(t *testing.T, h *Heart) float64 {
		low, high := lowHigh(h)
		return h.Rim.At(high).Z - h.Rim.At(low).Z
	}},
	{"nodal triangle, hinge side, mm", 18.0, lengthShare, Memory, "klimek-2017", func(t *testing.T, h *Heart) float64 { return arc(h.onChart(h.Triangle.Apex, h.Triangle.Hinge)) }},
	{"nodal triangle, tendon side, mm", 20.3, lengthShare, Memory, "klimek-2017", func(t *testing.T, h *Heart) float64 { return arc(h.onChart(h.Triangle.Apex, h.Triangle.Tendon)) }},
	{"nodal triangle, base side, mm", 18.5, lengthShare, Memory, "klimek-2017", func(t *testing.T, h *Heart) float64 { return arc(h.onChart(h.Triangle.Hinge, h.Triangle.Tendon)) }},
	{"nodal triangle, apex from the commissure, mm", 3, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 {
		return wayAlong(t, h, "triangle-apex", "anteroseptal-commissure")
	}},
	// The sides are as published, so the area Heron's formula gives must be as published as well.
	{"nodal triangle, area by Heron from the sides on the wall, mm2", 151.5, areaShare, Memory, "klimek-2017", func(t *testing.T, h *Heart) float64 {
		a, b, c := triangleSides(h)
		s := (a + b + c) / 2
		return math.Sqrt(s * (s - a) * (s - b) * (s - c))
	}},
	{"ostium along the wall, mm", 9.2, lengthShare, Derived, "zhivadinovik-2016", func(t *testing.T, h *Heart) float64 { return widthOnTissue(h, zone(t, h, Ostium)) }},
	{"ostium up the wall, mm", 8.8, lengthShare, Derived, "zhivadinovik-2016", func(t *testing.T, h *Heart) float64 { return heightOnTissue(h, zone(t, h, Ostium)) }},
	{"ostium, near lip to the hinge, mm", 8.6, lengthShare, Abstract, "rim-neighbours-36", func(t *testing.T, h *Heart) float64 {
		lip := lowest(zone(t, h, Ostium))
		return arc(h.onChart(Spot{AlongMM: lip.X}, Spot{AlongMM: lip.X, OffMM: lip.Y}))
	}},
	{"node, length, mm", 5.1, lengthShare, Secondary, "sanchez-quintana-2001", func(t *testing.T, h *Heart) float64 { return throughNode(t, h, 0) }},
	{"node, width, mm", 5.2, lengthShare, Secondary, "sanchez-quintana-2001", func(t *testing.T, h *Heart) float64 { return throughNode(t, h, 1) }},
	{"node, thickness, mm", 0.8, lengthShare, Secondary, "sanchez-quintana-2001", func(t *testing.T, h *Heart) float64 { return throughNode(t, h, 2) }},
	{"node centre from the apex, mm", 6.5, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 {
		node := nodeSpot(t, h)
		return arc(h.onChart(h.Triangle.Apex, Spot{AlongMM: node.AlongMM, OffMM: node.OffMM}))
	}},
	{"node centre under the endocardium, mm", 1, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 { return nodeSpot(t, h).DeepMM }},
	{"hearts in which the bundle enters at the apex, %", 53, lengthShare, Abstract, "cabrera-2019", func(t *testing.T, h *Heart) float64 { return structure(t, h, "bundle").SharePercent }},
	{"hearts in which the bundle enters lower, %", 47, lengthShare, Abstract, "cabrera-2019", func(t *testing.T, h *Heart) float64 { return structure(t, h, "bundle-low").SharePercent }},
	{"bundle, calibre, mm", 2, lengthShare, Memory, "recalled", func(t *testing.T, h *Heart) float64 {
		u := tube(t, h, "bundle")
		return -2 * u.Distance(u.Axis[len(u.Axis)/2])
	}},
	{"bundle under the endocardium at the node, mm", 1, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 { return courseOf(t, h, "bundle")[0].DeepMM }},
	{"bundle under the surface at its end, mm", 3, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 { return last(courseOf(t, h, "bundle")).DeepMM }},
	{"bundle, end below the hinge, mm", 5, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 { return -last(courseOf(t, h, "bundle")).OffMM }},
	{"right inferior extension, mm", 4.4, lengthShare, Abstract, "inoue-1998", func(t *testing.T, h *Heart) float64 { return axisLength(tube(t, h, "right-extension")) }},
	{"left inferior extension, mm", 1.8, lengthShare, Abstract, "inoue-1998", func(t *testing.T, h *Heart) float64 { return axisLength(tube(t, h, "left-extension")) }},
	{"right inferior extension, end off the hinge, mm", 2, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 { return last(courseOf(t, h, "right-extension")).OffMM }},
	{"membranous septum, height, mm", 6.6, lengthShare, Abstract, "membranous-ct-2018", func(t *testing.T, h *Heart) float64 { return heightOnTissue(h, zone(t, h, Membranous)) }},
	{"membranous septum, width, mm", 10.2, lengthShare, Abstract, "membranous-ct-2018", func(t *testing.T, h *Heart) float64 { return widthOnTissue(h, zone(t, h, Membranous)) }},
	{"membranous septum above the hinge, mm", 4.6, lengthShare, Abstract, "cabrera-2019", func(t *testing.T, h *Heart) float64 { return highest(zone(t, h, Membranous)).Y }},
	{"right coronary artery to the hinge, mid anterior, mm", 5.3, lengthShare, Abstract, "rim-neighbours-36", func(t *testing.T, h *Heart) float64 { return toArtery(t, h, "mid-anterior") }},
	{"right coronary artery to the hinge, anteroposterior commissure, mm", 3.1, lengthShare, Abstract, "rim-neighbours-36", func(t *testing.T, h *Heart) float64 { return toArtery(t, h, "anteroposterior-commissure") }},
	{"right coronary artery to the hinge, mid posterior, mm", 2.5, lengthShare, Abstract, "rim-neighbours-36", func(t *testing.T, h *Heart) float64 { return toArtery(t, h, "mid-posterior") }},
	{"nodal artery under the base of the triangle, mm", 3.5, lengthShare, Abstract, "inferior-pyramidal-2001", func(t *testing.T, h *Heart) float64 {
		return depthOnLine(h, courseOf(t, h, "nodal-artery"), h.Triangle.Hinge, h.Triangle.Tendon)
	}},
	{"aortic root to the anteroseptal commissure, mm", 5, lengthShare, Assumption, "model", func(t *testing.T, h *Heart) float64 {
		return structure(t, h, "aortic-root").Solid.Distance(landmark(t, h, "anteroseptal-commissure").Frame)
	}},
	// Nothing is built with this thickness: it is handed to those who judge bites, so handing over is what can be checked.
	{"leaflet thickness, mm", 0.9, lengthShare, Abstract, "chida-1994", func(t *testing.T, h *Heart) float64 {
		v, _ := h.Value("leaflet-thickness")
		return v.Here
	}},
}

func TestUsualAdultHeart(t *testing.T) {
	catalogue := load(t)
	h, err := catalogue.Heart(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range usualRows {
		t.Run(r.what, func(t *testing.T) {
			got := r.measure(t, h)
			near(t, r.what+" ("+r.source+", "+r.grade.String()+")", got, r.want, r.share)
			if _, known := catalogue.Source(r.source); !known {
				t.Errorf("no source is called %s", r.source)
			}
		})
	}
}

// A published area of 8.6 cm2 (addetia-2019) must be that of the fan spanned from the middle. A fan can span no more
// than a disc of the same rim: length²/4π, for the rim has to go all round the middle. But what the rim spends on
// climbing and falling is lost to its shadow: the pieces of shadow and of climb are the legs of right triangles over the
// pieces of rim, so that shadow² ≤ length² − climb². A saddle of 7 mm (saddle-2006, from memory) with two peaks and two
// hollows climbs and falls some 24 mm all told, and the shadow of a rim of 105 mm (antoniali-2006) cannot enclose 8.6 cm2.
func TestPublishedAreaIsSpannedNotProjected(t *testing.T) {
	h := build(t)
	points := closed(h, 4000)
	var length, climb, shadow float64
	for i, p := range points {
		q := points[(i+1)%len(points)]
		length += p.Distance(q)
		climb += math.Abs(q.Z - p.Z)
		shadow -= (p.X*q.Y - p.Y*q.X) / 2
	}
	if bound, got := length*length/(4*math.Pi), spanned(points); got > bound {
		t.Errorf("the fan spans %.1f mm2, more than the disc's %.1f", got, bound)
	}
	bound := (length*length - climb*climb) / (4 * math.Pi)
	if shadow > bound {
		t.Errorf("the shadow encloses %.1f mm2, more than its bound of %.1f", shadow, bound)
	}
	const asked, rim, saddle = 860, 105, 7 // addetia-2019, antoniali-2006, saddle-2006
	climb *= saddle / h.Rim.Sizes().SaddleHeightMM
	if most := (rim*rim - climb*climb) / (4 * math.Pi); most > asked*(1-areaShare) {
		t.Errorf("a shadow of %.1f mm2 is possible: then the published area may be the projected one", most)
	}
	if disc := rim * rim / (4 * math.Pi); disc < asked {
		t.Errorf("not even a disc has %d mm2", asked)
	}
}

func TestSaddleIsHighAtAnteroseptalAndLowAtPosteroseptal(t *testing.T) {
	h := build(t)
	low, high := lowHigh(h)
	// saddle-2006 (secondary): at the commissures, which a review names without mm; 1 mm is a commissure's own width
	// (assumption).
	for _, side := range []struct {
		commissure string
		at         float64
	}{{"anteroseptal-commissure", high}, {"posteroseptal-commissure", low}} {
		place := landmark(t, h, side.commissure).Spot.AlongMM
		if away := min(h.Rim.Span(place, side.at), h.Rim.Span(side.at, place)); away > 1 {
			t.Errorf("the saddle turns %.2f mm from the %s", away, side.commissure)
		}
	}
}

// klimek-2017, from memory: apex angle 58.0 ± 14.4°, area 151.5 ± 55.8 mm2. The model is to lie within one standard
// deviation with the figures it does not use.
func TestTriangleFitsPublishedAngleAndArea(t *testing.T) {
	h := build(t)
	a, b, c := triangleSides(h)
	flat := math.Acos((a*a+b*b-c*c)/(2*a*b)) * 180 / math.Pi
	toHinge, toTendon := heading(h, h.Triangle.Apex, h.Triangle.Hinge), heading(h, h.Triangle.Apex, h.Triangle.Tendon)
	onWall := math.Acos(toHinge.Dot(toTendon)) * 180 / math.Pi
	for name, angle := range map[string]float64{"by the law of cosines": flat, "on the wall": onWall} {
		if math.Abs(angle-58.0) > 14.4 {
			t.Errorf("apex angle %s %.1f°, published 58.0 ± 14.4°", name, angle)
		}
	}
	if area := h.TriangleAreaMM2(); math.Abs(area-151.5) > 55.8 {
		t.Errorf("area %.1f mm2, published 151.5 ± 55.8", area)
	}
	near(t, "area of the triangle on the wall, mm2", h.TriangleAreaMM2(), areaByStrips(h), 0.002)
}

// areaByStrips integrates the triangle's area over the chart: how much wall lies on each small piece of it.
func areaByStrips(h *Heart) (area float64) {
	t := h.Triangle
	const n = 200
	for i := range n {
		for j := range n {
			u, w := (float64(i)+0.5)/n, (float64(j)+0.5)/n // u from the apex to the base, w along the base
			at := func(u, w float64) geom.Vec {
				base := t.Hinge.towards(t.Tendon, w)
				return h.onChart(t.Apex, base)(u)
			}
			const e = 1e-4
			du := at(u+e, w).Sub(at(u-e, w)).Scale(1 / (2 * e))
			dw := at(u, w+e).Sub(at(u, w-e)).Scale(1 / (2 * e))
			area += du.Cross(dw).Norm() / (n * n)
		}
	}
	return area
}

func TestNodeLiesOnBisectorInsideTriangleUnderEndocardium(t *testing.T) {
	h := build(t)
	node := nodeSpot(t, h)
	toNode := heading(h, h.Triangle.Apex, Spot{AlongMM: node.AlongMM, OffMM: node.OffMM})
	hinge := math.Acos(toNode.Dot(heading(h, h.Triangle.Apex, h.Triangle.Hinge)))
	tendon := math.Acos(toNode.Dot(heading(h, h.Triangle.Apex, h.Triangle.Tendon)))
	if math.Abs(hinge-tendon) > radians(3) { // the wall is curved: the flat rule that lays the bisector is a little off
		t.Errorf("the node lies %.1f° from the hinge and %.1f° from the tendon line", hinge*180/math.Pi, tendon*180/math.Pi)
	}
	outline := corners(h.Triangle.Apex, h.Triangle.Hinge, h.Triangle.Tendon)
	for _, p := range skin(structure(t, h, "node")) {
		s, ok := h.Chart.Spot(p)
		if s.AlongMM = h.Unroll(s.AlongMM); !ok || !outline.Contains(geom.Point{X: s.AlongMM, Y: s.OffMM}) {
			t.Fatalf("the node's %+v lies outside the nodal triangle", s)
		}
	}
	// 0.4 mm is endocardium and a little muscle: assumption.
	if d := shallowest(h, structure(t, h, "node")); d < 0.4 {
		t.Errorf("the node comes within %.2f mm of the endocardium", d)
	}
}

func TestBundlePassesUnderHingeAndEndsOnVentricularSide(t *testing.T) {
	h := build(t)
	for id, entry := range map[string]float64{
		"bundle":     3,     // at the triangle's apex: cabrera-2019, and an assumption of where the apex is
		"bundle-low": 3 + 5, // lower: cabrera-2019, how much lower is an assumption
	} {
		course := courseOf(t, h, id)
		near(t, id+": passes under the hinge, mm from the commissure", -crossesHinge(t, course).AlongMM, entry, 0.02)
		if under := crossesHinge(t, course).DeepMM; under < 1 || under > 3 {
			t.Errorf("%s runs %.2f mm deep under the hinge, not between 1 and 3", id, under)
		}
		for i := 1; i < len(course); i++ {
			if course[i].DeepMM < course[i-1].DeepMM-0.02 {
				t.Fatalf("%s rises from %.3f to %.3f mm", id, course[i-1].DeepMM, course[i].DeepMM)
			}
			if course[i].OffMM > course[i-1].OffMM+0.02 {
				t.Fatalf("%s turns back up the wall", id)
			}
		}
		end := last(course)
		if !zone(t, h, VentricularSide).Outline.Contains(geom.Point{X: end.AlongMM, Y: end.OffMM}) {
			t.Errorf("%s ends at %+v, not on the ventricular side of the commissure", id, end)
		}
		if math.Abs(end.AlongMM) > 1e-6 {
			t.Errorf("%s ends %.3f mm from the commissure", id, end.AlongMM)
		}
	}
}

// What is not conduction tissue must not come through the endocardium, in the usual heart and in others.
func TestVesselsLieUnderEndocardium(t *testing.T) {
	for _, measured := range [][]size{
		nil,
		{{"saddle-height", 0}}, {{"saddle-height", 12}},
		{{"rim-length", 140}}, {{"rim-length", 85}},
		{{"wall-angle-free", 20}}, {{"wall-angle-free", 60}, {"wall-angle-septal", 75}},
		{{"aortic-root-distance", 1.5}}, {{"aortic-root-radius", 20}},
		{{"coronary-mid-posterior", 0.5}}, {{"coronary-mid-anterior", 1}}, {{"coronary-mid-anterior", 11}}, {{"coronary-elevation", 40}},
	} {
		h := build(t, measured...)
		for _, id := range []string{"right-coronary", "aortic-root", "nodal-artery", "node"} {
			if d := shallowest(h, structure(t, h, id)); !(d > 0) {
				t.Errorf("%v: the %s stands %.2f mm out of the endocardium", measured, id, -d)
			}
		}
	}
}

func TestArteryKeepsDistancesGiven(t *testing.T) {
	for _, measured := range []size{
		{"coronary-mid-anterior", 1}, {"coronary-mid-anterior", 11}, // the published range: rim-neighbours-36
		{"coronary-anteroposterior", 0.5}, {"coronary-anteroposterior", 7},
		{"coronary-mid-posterior", 0.5}, {"coronary-mid-posterior", 8},
	} {
		h := build(t, measured)
		place := map[string]string{"coronary-mid-anterior": "mid-anterior", "coronary-anteroposterior": "anteroposterior-commissure", "coronary-mid-posterior": "mid-posterior"}[measured.Name]
		near(t, measured.Name, toArtery(t, h, place), measured.Value, lengthShare)
	}
}

// What is centred on the commissure lies at the rim's beginning, not a rounding error before its end.
func TestFibrousBodyLiesAtTheRimsBeginning(t *testing.T) {
	for name, h := range charts(t) {
		if at := landmark(t, h, "fibrous-body").Spot.AlongMM; at != 0 {
			t.Errorf("%s: the fibrous body is centred at %v mm", name, at)
		}
	}
}

// diameter is the largest distance of two points in plan: of a closed curve, its largest width.
func diameter(points []geom.Vec) (most float64) {
	for i, p := range points {
		for _, q := range points[:i] {
			most = max(most, math.Hypot(p.X-q.X, p.Y-q.Y))
		}
	}
	return most
}

// leastWidth looks at the curve's width in every half degree.
func leastWidth(points []geom.Vec) float64 {
	least := math.Inf(1)
	for d := range 360 {
		sin, cos := math.Sincos(math.Pi * float64(d) / 360)
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			low, high = min(low, p.X*cos+p.Y*sin), max(high, p.X*cos+p.Y*sin)
		}
		least = min(least, high-low)
	}
	return least
}

// spanned is the area of the triangles between the origin, the rim's centroid, and its pieces.
func spanned(points []geom.Vec) (area float64) {
	for i, p := range points {
		area += p.Cross(points[(i+1)%len(points)]).Norm() / 2
	}
	return area
}

// lowHigh are the places of the rim's lowest and highest points.
func lowHigh(h *Heart) (low, high float64) {
	for i := range 8000 {
		along := h.Rim.LengthMM() * float64(i) / 8000
		if h.Rim.At(along).Z < h.Rim.At(low).Z {
			low = along
		}
		if h.Rim.At(along).Z > h.Rim.At(high).Z {
			high = along
		}
	}
	return low, high
}

func triangleSides(h *Heart) (hinge, tendon, base float64) {
	t := h.Triangle
	return arc(h.onChart(t.Apex, t.Hinge)), arc(h.onChart(t.Apex, t.Tendon)), arc(h.onChart(t.Hinge, t.Tendon))
}

// heading is the unit vector in which the chart's straight way leaves a spot.
func heading(h *Heart, from, to Spot) geom.Vec {
	way := h.onChart(from, to)
	return way(1e-4).Sub(way(0)).Unit()
}

func lowest(z Zone) geom.Point {
	p := z.Outline[0]
	for _, q := range z.Outline {
		if q.Y < p.Y {
			p = q
		}
	}
	return p
}

func highest(z Zone) geom.Point {
	p := z.Outline[0]
	for _, q := range z.Outline {
		if q.Y > p.Y {
			p = q
		}
	}
	return p
}

// heightOnTissue is the way up the endocardium from an outline's lowest to its highest point.
func heightOnTissue(h *Heart, z Zone) float64 {
	a, b := lowest(z), highest(z)
	return arc(h.onChart(Spot{AlongMM: a.X, OffMM: a.Y}, Spot{AlongMM: b.X, OffMM: b.Y}))
}

// widthOnTissue is the widest an outline is along the hinge, measured on the endocardium.
func widthOnTissue(h *Heart, z Zone) (most float64) {
	n := len(z.Outline)
	for i := range n / 2 { // the outline's corners i and n/2−i are level
		a, b := z.Outline[i], z.Outline[(n/2-i+n)%n]
		if math.Abs(a.Y-b.Y) < 1e-9 {
			most = max(most, arc(h.onChart(Spot{AlongMM: a.X, OffMM: a.Y}, Spot{AlongMM: b.X, OffMM: b.Y})))
		}
	}
	return most
}

func nodeSpot(t *testing.T, h *Heart) Spot {
	node, ok := structure(t, h, "node").Solid.(geom.Ellipsoid)
	if !ok {
		t.Fatal("the node is no ellipsoid")
	}
	s, ok := h.Chart.Spot(node.Centre)
	if !ok {
		t.Fatal("the node has no spot")
	}
	s.AlongMM = h.Unroll(s.AlongMM)
	return s
}

// throughNode is how thick the node is along one of its axes: surface to surface.
func throughNode(t *testing.T, h *Heart, axis int) float64 {
	node, ok := structure(t, h, "node").Solid.(geom.Ellipsoid)
	if !ok {
		t.Fatal("the node is no ellipsoid")
	}
	far := node.Axes[axis].Scale(50)
	return node.ClosestOn(node.Centre.Add(far)).Distance(node.ClosestOn(node.Centre.Sub(far)))
}

// courseOf is a tube's axis as the chart sees it.
func courseOf(t *testing.T, h *Heart, id string) (course []Spot) {
	for _, p := range tube(t, h, id).Axis {
		s, ok := h.Chart.Spot(p)
		if !ok {
			t.Fatalf("%s: %+v has no spot", id, p)
		}
		s.AlongMM = h.Unroll(s.AlongMM)
		course = append(course, s)
	}
	return course
}

func last(course []Spot) Spot { return course[len(course)-1] }

func crossesHinge(t *testing.T, course []Spot) Spot {
	for i := 1; i < len(course); i++ {
		if a, b := course[i-1], course[i]; a.OffMM > 0 && b.OffMM <= 0 {
			return a.towards(b, a.OffMM/(a.OffMM-b.OffMM))
		}
	}
	t.Fatal("it does not pass under the hinge")
	return Spot{}
}

// axisLength is a tube's own length, mm: that of its axis.
func axisLength(u geom.Tube) (sum float64) {
	for i := 1; i < len(u.Axis); i++ {
		sum += u.Axis[i].Distance(u.Axis[i-1])
	}
	return sum
}

// depthOnLine is the depth of a course where it passes under the line between two spots.
func depthOnLine(h *Heart, course []Spot, from, to Spot) float64 {
	side := func(s Spot) float64 {
		return (to.AlongMM-from.AlongMM)*(s.OffMM-from.OffMM) - (to.OffMM-from.OffMM)*(s.AlongMM-from.AlongMM)
	}
	for i := 1; i < len(course); i++ {
		if a, b := side(course[i-1]), side(course[i]); a*b < 0 {
			return course[i-1].towards(course[i], a/(a-b)).DeepMM
		}
	}
	return math.NaN()
}

// toArtery is the distance of a landmark from the wall of the right coronary artery, over points close along its axis.
func toArtery(t *testing.T, h *Heart, id string) float64 {
	place, artery := landmark(t, h, id).Frame, tube(t, h, "right-coronary")
	least := math.Inf(1)
	for i := 1; i < len(artery.Axis); i++ {
		for k := range 50 {
			least = min(least, place.Distance(artery.Axis[i-1].Lerp(artery.Axis[i], float64(k)/50)))
		}
	}
	return least - artery.RadiusMM
}
