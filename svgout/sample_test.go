package svgout

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// hostileNames are labels as a careless or malicious file may hold them.
var hostileNames = []string{
	`<script>alert("1")</script>`,
	`He said "it's" & left]]>`,
	"bell\x07 null\x00 escape\x1b \ufffe\uffff broken\xff\xed\xa0\x80 end",
	strings.Repeat("Unbreakable", 46)[:500],
	"صمام ثلاثي الشرفات",
	"המסתם הצניפי 12 מ״מ",
	"\u202eoverride \u2067unclosed",
	"🫀 stitch 👩‍⚕️ 7",
	"Ærøskøbing — Ångström ½ µm ≤ 2.5 mm",
	"url(http://example.org/x) style=\"x\" onload=1",
}

// sampleLabels are labels round the ellipse of the sample plate.
func sampleLabels(frame LabelFrame) []Label {
	levels := []Level{Clear, Caution, Avoid, NoLevel}
	var labels []Label
	for i, name := range hostileNames {
		angle := 2 * math.Pi * (float64(i) + 0.3) / float64(len(hostileNames))
		mark := levels[i%len(levels)]
		class := "label"
		if mark == Avoid {
			class = "label-avoid"
		}
		labels = append(labels, Label{
			Lines: Fit(class, name, LabelRoomMM(frame.Left, mark), 3), Class: class, Mark: mark,
			Target: sampleRim(angle),
		})
	}
	return labels
}

func sampleRim(angle float64) Point {
	sin, cos := math.Sincos(angle)
	return Point{148.5 + 50*cos + 3*math.Cos(3*angle), 92 + 38*sin}
}

func sampled(n int, at func(angle float64) Point) []Point {
	points := make([]Point, n)
	for i := range points {
		points[i] = at(2 * math.Pi * float64(i) / float64(n))
	}
	return points
}

func ellipse(cx, cy, rx, ry float64) func(float64) Point {
	return func(angle float64) Point {
		sin, cos := math.Sincos(angle)
		return Point{cx + rx*cos, cy + ry*sin}
	}
}

var samplePage = Page{WidthMM: 297, HeightMM: 210, Title: "Sample <plate> & \"title\"", Desc: "A sheet for tests."}

var sampleFrame = LabelFrame{Left: Box{10, 30, 62, 125}, Right: Box{225, 30, 62, 125}, MiddleX: 148.5}

func samplePlate(t testing.TB) ([]byte, Placed) {
	t.Helper()
	placed, err := Layout(sampleLabels(sampleFrame), sampleFrame)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	k := NewInk(&out, samplePage)
	k.Text("heading", 10, 16, AnchorStart, "Sample plate")
	k.Text("caption", 10, 23, AnchorStart, "A made-up outline with every zone, mark and line of the house style.")
	samplePicture(k)
	k.Group("labels", "Labels")
	k.Labels(placed)
	k.End()
	sampleLegend(k)
	k.Text("footnote", 287, 202, AnchorEnd, Isolate("המסתם")+" — names keep their own direction; "+Isolate("\u202ereversed")+".")
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), placed
}

func samplePicture(k *Ink) {
	k.Group("picture", "Picture")
	var wall, leaflet, rim, fossa, ostium, aorta PathData
	k.Path("wall", wall.SmoothThrough(sampled(90, ellipse(148.5, 92, 70, 54)), true))
	k.Path("fossa", fossa.SmoothThrough(sampled(60, ellipse(100, 70, 8, 6)), true))
	k.Path("ostium", ostium.SmoothThrough(sampled(60, ellipse(98, 112, 7, 5)), true))
	k.Path("aorta", aorta.SmoothThrough(sampled(60, ellipse(130, 48, 10, 8)), true))
	k.Path("leaflet", leaflet.SmoothThrough(sampled(180, sampleRim), true))
	for i, zone := range []Zone{TriangleApical, TriangleBasal, Fibrous, VentricularSide} {
		at := Point{118 + 20*float64(i), 84}
		k.Zone(zone, []Point{at, at.Plus(Point{17, 4}), at.Plus(Point{13, 18}), at.Plus(Point{4, 12})}, false)
	}
	k.Path("rim", rim.SmoothThrough(sampled(180, sampleRim), true))
	sampleLines(k)
	for i, level := range []Level{Clear, Caution, Avoid} {
		k.LevelMark(level, Point{132 + 16*float64(i), 70}, 4)
		k.LevelMark(level, Point{125 + 20*float64(i), 92}, 4)
	}
	k.End()
}

func sampleLines(k *Ink) {
	for i, class := range []string{"bundle", "extension", "nodal-artery", "coronary", "thread", "needle-hidden", "tendon", "measure", "guide"} {
		y := 108 + 2.4*float64(i)
		var line PathData
		var points []Point
		for x := 125.0; x <= 172; x++ {
			points = append(points, Point{x, y + math.Sin(x/5)})
		}
		k.Path(class, line.SmoothThrough(points, false))
	}
	k.Circle("node", Point{121, 106}, 2)
	k.Rect("pledget", Box{174, 106, 6, 3})
}

func sampleLegend(k *Ink) {
	k.Group("legend", "Legend")
	k.Text("legend-heading", 10, 168, AnchorStart, "Zones and levels")
	for i, zone := range []Zone{TriangleApical, TriangleBasal, Fibrous, VentricularSide} {
		x := 10 + 62*float64(i)
		k.Zone(zone, []Point{{x, 172}, {x + 10, 172}, {x + 10, 178}, {x, 178}}, false)
		k.Text("legend", x+12, 176.5, AnchorStart, strings.ReplaceAll(string(zone), "-", " "))
	}
	for i, level := range []Level{Clear, Caution, Avoid} {
		x := 10 + 62*float64(i)
		k.LevelMark(level, Point{x + 5, 186}, 4)
		k.Text("legend", x+12, 187.3, AnchorStart, []string{"clear", "caution", "avoid"}[i])
	}
	k.End()
}
