package svgout

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// longPlan has bites with names of thirty characters all round the rim, the septum too.
func longPlan(bites int) []byte {
	var p strings.Builder
	p.WriteString("fairlead: 1\ncase: \"Long names (invented)\"\noperation: replacement\nspacing: { least: 0 mm, most: 50 mm }\nbites:\n")
	for i := range bites {
		segment, share := []string{"anterior", "posterior", "septal"}[i%3], 2+94*(i/3)/(bites/3+1)
		fmt.Fprintf(&p, "  - { name: %q, kind: single, tissue: rim, in: { segment: %s, share: %d %%, off: %.1f mm }, travel: 1.5 mm, heading: up-the-wall, depth: %.1f mm }\n",
			fmt.Sprintf("bite with a long name, no. %04d", i+1), segment, share, -2+0.7*float64(i%5), 0.5+0.15*float64(i%4))
	}
	return []byte(p.String())
}

// stripReports are the examples' reports and those of plans at the edges of what can be asked for.
func stripReports(t testing.TB) map[string]*placement.Report {
	t.Helper()
	reports := map[string]*placement.Report{}
	for _, file := range examplePlans(t) {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		reports[filepath.Base(file)] = reportOf(t, filepath.Base(file), data)
	}
	many := make([]string, 24)
	for i := range many {
		many[i] = fmt.Sprint(i + 1)
	}
	for name, plan := range map[string][]byte{
		"no bites":     trialPlan("The heart alone (invented)", ""),
		"many bites":   trialPlan("Many bites (invented)", "", many...),
		"newborn":      trialPlan("A newborn's rim (invented)", "patient: { surface: 0.22 m2 }\n", "1", "2"),
		"small heart":  trialPlan("A small rim (invented)", "heart: { rim-length: 74 mm, triangle-hinge-side: 12 mm, triangle-tendon-side: 13 mm, triangle-base-side: 12 mm }\n", "1", "2"),
		"dilated rim":  trialPlan("A dilated rim (invented)", "heart: { rim-length: 178 mm }\n", "1", "2"),
		"two leaflets": trialPlan("Two leaflets (invented)", "valve: { leaflets: 2 }\n", "1"),
		"four, cleft":  trialPlan("Four leaflets, cleft (invented)", "valve: { leaflets: 4, cleft: true, commissure-width: 6 mm }\n", "1"),
		"large ostium": trialPlan("A large ostium (invented)", "heart: { ostium-craniocaudal: 18 mm, ostium-transverse: 16 mm }\n", "1"),
		"long names":   longPlan(21),
		"very many":    longPlan(120),
		"most bites":   longPlan(400),
	} {
		reports[name] = reportOf(t, name, plan)
	}
	for _, variant := range atlas.VariantNames() {
		if variant != "discordant-connections" { // refused, with its reason
			reports[variant] = reportOf(t, variant, trialPlan(variant+" (invented)", "variant: "+variant+"\n", "1", "2"))
		}
	}
	hostile := reportOf(t, "hostile", trialPlan("x", "", strings.Split("abcdefghij", "")[:len(hostileNames)]...))
	for i, name := range hostileNames {
		hostile.Bites[i].Name = name
	}
	hostile.Laid.Plan.Case = strings.Join(hostileNames, " ")
	reports["hostile"] = hostile
	return reports
}

// stripViews are the two plates that show the strip.
var stripViews = map[string]func(io.Writer, *placement.Report) error{"strip": StripView, "two views": TwoViewPlate}

func stripPlates(t testing.TB, draw func(io.Writer, *placement.Report) error) map[string][]byte {
	t.Helper()
	plates := map[string][]byte{}
	for name, report := range stripReports(t) {
		var plate bytes.Buffer
		if err := draw(&plate, report); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		plates[name] = plate.Bytes()
	}
	return plates
}

func TestStripPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	for view, draw := range stripViews {
		t.Run(view, func(t *testing.T) { checkPlates(t, stripPlates(t, draw)) })
	}
}

func TestStripPlatesAreTheSameBytesEachTime(t *testing.T) {
	for view, draw := range stripViews {
		for _, file := range []string{"band-three-mistakes.yaml", "around-the-triangle.yaml", "straddling.yaml"} {
			_, first := exampleStrip(t, file, draw)
			if _, second := exampleStrip(t, file, draw); first != second {
				t.Errorf("%s of %s: two drawings of one plan differ", view, file)
			}
		}
	}
}

func exampleStrip(t testing.TB, file string, draw func(io.Writer, *placement.Report) error) (*placement.Report, string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../examples", file))
	if err != nil {
		t.Fatal(err)
	}
	report := reportOf(t, file, data)
	var plate bytes.Buffer
	if err := draw(&plate, report); err != nil {
		t.Fatal(err)
	}
	return report, plate.String()
}

// What the strip tells the eye it tells a reader who cannot see it.
func TestStripDescribesItself(t *testing.T) {
	for _, draw := range stripViews {
		_, plate := exampleStrip(t, "band-three-mistakes.yaml", draw)
		for _, words := range []string{
			`role="img"`, "bite A, septal segment", "inside the apical half of the nodal triangle", "not a medical device",
			"No depth is clear from septal 13.3 to anterior 1.4 mm (conduction axis).", "In the middle of the anterior segment it is clear to 5.0 mm, as deep as was looked.",
			"bundle, apical entry (53 %): its middle 1.0 to 3.0 mm deep.",
		} {
			if !strings.Contains(plate, words) {
				t.Errorf("the plate does not say %q", words)
			}
		}
	}
}

func TestStripNamesItsLayers(t *testing.T) {
	layers := []string{"anatomy", "zones", "conduction", "neighbours", "landmarks", "rim", "bites", "verdicts", "labels", "depths", "safe-depth"}
	_, strip := exampleStrip(t, "band.yaml", StripView)
	_, both := exampleStrip(t, "band.yaml", TwoViewPlate)
	for _, id := range layers {
		if strings.Count(strip, fmt.Sprintf(`id="%s"`, id)) != 1 {
			t.Errorf("the strip's layer %q is not there once", id)
		}
		if strings.Count(both, fmt.Sprintf(`id="strip-%s"`, id)) != 1 {
			t.Errorf("the layer %q of the strip in the plate of two views is not there once", id)
		}
	}
}

// layerOf cuts a layer out of a plate, to its own end if it holds no other.
func layerOf(t testing.TB, plate, id string) string {
	t.Helper()
	_, layer, ok := strings.Cut(plate, fmt.Sprintf(`<g id="%s"`, id))
	if !ok {
		t.Fatalf("there is no layer %q", id)
	}
	layer, _, _ = strings.Cut(layer, "</g>")
	return layer
}

// circles are the centres of the circles of a class in a piece of a plate.
func circles(t testing.TB, piece, class string) (centres []Point) {
	t.Helper()
	for _, found := range regexp.MustCompile(`<circle cx="([-0-9.]+)" cy="([-0-9.]+)" r="[0-9.]+" class="`+class+`"`).FindAllStringSubmatch(piece, -1) {
		centres = append(centres, Point{number64(t, found[1]), number64(t, found[2])})
	}
	return centres
}

// scaleOf reads the scale the caption states.
func scaleOf(t testing.TB, plate string) float64 {
	t.Helper()
	found := regexp.MustCompile(`Scale ([0-9.]+) : 1 along the hinge`).FindStringSubmatch(plate)
	if found == nil {
		t.Fatal("the plate states no scale")
	}
	return number64(t, found[1])
}

// writtenMM is half the finest step written, and a rounding.
const writtenMM = 0.000501

// On the finished sheet: the strip is as long as the rim is times the stated scale, every commissure lies as far along as
// the heart has it, by whole turns, and the apex of the nodal triangle lies on the hinge as far before the anteroseptal
// commissure as the atlas has it.
func TestStripIsTrueAlongTheHinge(t *testing.T) {
	for _, file := range []string{"band.yaml", "child.yaml", "dilated.yaml", "purse-string.yaml"} {
		report, plate := exampleStrip(t, file, StripView)
		heart, scale := report.Laid.Heart, scaleOf(t, plate)
		turn := heart.Rim.LengthMM()
		anteroseptal := anteroseptalOf(t, report, plate)
		if rim := boxOfStrip(t, plate); rim.Y != anteroseptal.Y || math.Abs(rim.W-turn*scale) > writtenMM {
			t.Errorf("%s: the strip is %v mm long at %v, want %v at %v", file, rim.W, rim.Y, turn*scale, anteroseptal.Y)
		}
		marks := circles(t, layerOf(t, plate, "landmarks"), "commissure")
		for _, segment := range heart.Segments() {
			if !slices.ContainsFunc(marks, func(p Point) bool {
				return p.Y == anteroseptal.Y && math.Abs(math.Remainder((p.X-anteroseptal.X)/scale-segment.FromMM, turn))*scale < 2*writtenMM
			}) {
				t.Errorf("%s: no commissure is marked %v mm along; marks at %v", file, segment.FromMM, marks)
			}
		}
		offset, _ := heart.Value("triangle-apex-offset")
		apex := firstPoint(t, layerOf(t, plate, "zone-grounds"), "triangle-apical")
		if got := anteroseptal.X - apex.X; apex.Y != anteroseptal.Y || math.Abs(got-offset.Here*scale) > 2*writtenMM {
			t.Errorf("%s: the triangle's apex lies %v mm before the commissure on the paper, want %v", file, got, offset.Here*scale)
		}
	}
}

// rectsOf are the rectangles of a class in a piece of a plate.
func rectsOf(t testing.TB, piece, class string) (boxes []Box) {
	t.Helper()
	for _, found := range regexp.MustCompile(`<rect x="([-0-9.]+)" y="([-0-9.]+)" width="([-0-9.]+)" height="([-0-9.]+)" class="`+class+`"`).FindAllStringSubmatch(piece, -1) {
		boxes = append(boxes, Box{number64(t, found[1]), number64(t, found[2]), number64(t, found[3]), number64(t, found[4])})
	}
	return boxes
}

func number64(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// firstPoint is where the path of a class begins.
func firstPoint(t testing.TB, piece, class string) Point {
	t.Helper()
	found := regexp.MustCompile(`<path d="M([-0-9.]+),([-0-9.]+)[^"]*" class="` + class + `"`).FindStringSubmatch(piece)
	if found == nil {
		t.Fatalf("no path of class %s", class)
	}
	return Point{number64(t, found[1]), number64(t, found[2])}
}

// On the finished sheet every needle goes in and comes out where its spots say: so far along from the anteroseptal
// commissure, by either way round, and so far off the hinge.
func TestNeedlesGoInWhereTheirSpotsSay(t *testing.T) {
	for _, file := range []string{"band-three-mistakes.yaml", "replacement.yaml", "purse-string.yaml", "straddling.yaml"} {
		report, plate := exampleStrip(t, file, StripView)
		scale, turn := scaleOf(t, plate), report.Laid.Heart.Rim.LengthMM()
		commissure := anteroseptalOf(t, report, plate)
		layer := layerOf(t, plate, "bites")
		entries, exits := circles(t, layer, "needle-entry"), circles(t, layer, "needle-exit")
		i := 0
		for _, b := range report.Bites {
			for _, p := range b.Passes {
				for _, end := range []struct {
					drawn Point
					spot  atlas.Spot
				}{{entries[i], p.In}, {exits[i], p.Out}} {
					along := math.Remainder((end.drawn.X-commissure.X)/scale-end.spot.AlongMM, turn)
					off := (commissure.Y-end.drawn.Y)/scale - end.spot.OffMM
					if math.Abs(along) > 2*writtenMM || math.Abs(off) > 2*writtenMM {
						t.Errorf("%s: bite %s is drawn %.4f mm along and %.4f mm off its place", file, b.Name, along, off)
					}
				}
				i++
			}
		}
		if i != len(entries) || i != len(exits) {
			t.Errorf("%s: %d passes, but %d entries and %d exits drawn", file, i, len(entries), len(exits))
		}
	}
}

// anteroseptalOf finds the mark of the anteroseptal commissure: the one a posterior and a septal segment, on the paper,
// from another mark to its left, or a septal one.
func anteroseptalOf(t testing.TB, report *placement.Report, plate string) Point {
	t.Helper()
	scale, septal := scaleOf(t, plate), report.Laid.Heart.Segments()[2].ForMM
	marks := circles(t, layerOf(t, plate, "landmarks"), "commissure")
	for _, a := range marks {
		for _, b := range marks {
			if math.Abs(b.X-a.X-septal*scale) < 0.01 {
				return b
			}
		}
	}
	t.Fatal("no two commissures lie a septal segment apart")
	return Point{}
}

// Nothing worth seeing is cut: no needle, no zone and no piece of the conduction axis lies over the strip's ends.
func TestTheCutIsWhereNothingIsCut(t *testing.T) {
	for name, report := range stripReports(t) {
		if name == "very many" || name == "most bites" { // bites all round, with no gap to cut in
			continue
		}
		s, err := newStrip(report, Reader{}, stripRoom, wholeWallMM)
		if err != nil {
			t.Fatal(err)
		}
		box := s.box()
		for _, n := range s.needles() {
			for _, p := range n.path {
				if !box.Contains(p) {
					t.Errorf("%s: a needle is cut, %v lies outside %v", name, p, box)
				}
			}
		}
		for _, b := range s.bites {
			if b.Kind != placement.Mattress {
				continue
			}
			first, second := s.needle(b.Passes[0]).in(), s.needle(b.Passes[1]).in()
			if got, want := second.X-first.X, b.Passes[1].In.AlongMM-b.Passes[0].In.AlongMM; math.Abs(got-want*s.scale) > 0.001 {
				t.Errorf("%s: the arms of bite %s stand %v mm apart, want %v", name, b.Name, got, want*s.scale)
			}
		}
		for _, zone := range s.heart.Zones {
			if parts := s.copies(s.outline(zone), box); len(parts) != 1 || !parts[0].whole {
				t.Errorf("%s: the %s is cut into %d parts", name, zone.Label, len(parts))
			}
		}
		for _, x := range s.beneath {
			if x.Kind == atlas.Conduction && len(s.copies(x.outline, box)) != 1 {
				t.Errorf("%s: the %s is cut", name, x.Label)
			}
		}
	}
}

// A shadow's edge is where the solid's own skin, carried onto the chart place by place, goes no farther: none of it
// lies outside by more than 0.12 mm of heart, and the edge is reached within as much. Skin is sought on the whole
// solid, away from the places the shadow was found by.
func TestShadowsHoldTheirSolids(t *testing.T) {
	const withinMM = 0.12
	report, _ := exampleStrip(t, "band.yaml", StripView)
	u := unrolled{heart: report.Laid.Heart}
	for _, x := range u.lookBeneath() {
		if len(x.outline) == 0 {
			continue
		}
		var outline geom.Outline
		for _, spot := range x.outline {
			outline = append(outline, geom.Point{X: spot.AlongMM, Y: spot.OffMM})
		}
		reached := make([]float64, len(x.outline))
		for i := range reached {
			reached[i] = math.Inf(1)
		}
		worst := 0.0
		for _, p := range skinOf(x.Solid) {
			spot, _ := u.heart.Chart.Spot(p)
			along := x.middle[0].AlongMM + math.Remainder(spot.AlongMM-x.middle[0].AlongMM, u.rimMM())
			if x.Kind == atlas.Coronary { // it runs over half the rim
				along = u.turned(spot.AlongMM) + math.Round((x.middle[len(x.middle)/2].AlongMM-u.turned(spot.AlongMM))/u.rimMM())*u.rimMM()
			}
			at := geom.Point{X: along, Y: spot.OffMM}
			worst = math.Max(worst, outline.SignedDistance(at))
			for i, edge := range outline {
				reached[i] = math.Min(reached[i], math.Hypot(edge.X-at.X, edge.Y-at.Y))
			}
		}
		if worst > withinMM {
			t.Errorf("%s: skin lies %.3f mm outside its shadow", x.Label, worst)
		}
		if lacking := slices.Max(reached); lacking > 3*withinMM {
			t.Errorf("%s: the shadow's edge lies %.3f mm from any skin", x.Label, lacking)
		}
	}
}

// skinOf are many places on a solid's surface.
func skinOf(solid geom.Solid) (places []geom.Vec) {
	r := rand.New(rand.NewPCG(4, 4))
	centre, radius := solid.Bound()
	for len(places) < 60000 {
		var from geom.Vec
		if tube, ok := solid.(geom.Tube); ok {
			i := r.IntN(len(tube.Axis))
			from = tube.Axis[i].Add(geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Scale(2 * tube.RadiusMM))
		} else {
			from = centre.Add(geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Scale(radius))
		}
		if on := solid.ClosestOn(from); math.Abs(solid.Distance(on)) < 1e-6 {
			places = append(places, on)
		}
	}
	return places
}

// Of the panel: a place is filled as clear, caution or avoid as the band says of it.
func TestThePanelShowsTheBand(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for name, report := range stripReports(t) {
		s, err := newStrip(report, Reader{}, stripRoom, wholeWallMM)
		if err != nil {
			t.Fatal(err)
		}
		band := report.SafeDepth(0)
		p := s.panel(band, 130, 25)
		lines := p.lines()
		for range 60 {
			d := band.Depths[r.IntN(len(band.Depths))]
			depth := 5 * r.Float64()
			want := 0
			if depth > d.ClearMM {
				want = 1
			}
			if depth > d.CautionMM {
				want = 2
			}
			if math.Min(math.Abs(depth-d.ClearMM), math.Abs(depth-d.CautionMM)) < 0.01 {
				continue
			}
			at := Point{s.at.X + report.Laid.Heart.Rim.Span(s.cutMM, d.AlongMM)*s.scale, 130 + depth*25/5}
			for part := range bandParts {
				in := slices.ContainsFunc(parted(lines[part], lines[part+1]), func(outline []Point) bool { return outlineOf(outline).Contains(geom.Point(at)) })
				if in != (part == want) {
					t.Errorf("%s: %.2f mm deep at %.1f mm along is in part %d: %v; clear to %v, caution to %v", name, depth, d.AlongMM, part, in, d.ClearMM, d.CautionMM)
				}
			}
		}
	}
}

// Tags in a row: whatever the targets, none over another, all in the row, no leader across another.
func TestTagsInARow(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	row := Box{17, 120, 212, tagHeightMM}
	placedTags := 0
	for range 300 {
		tags, targets := make([]tag, 1+r.IntN(28)), []Point{}
		for i := range tags {
			tags[i] = tag{number: strings.Repeat("8", 1+r.IntN(3)), bites: []placement.BiteReport{{}}}
			targets = append(targets, Point{17 + 212*r.Float64(), 60 + 55*r.Float64()})
		}
		placed, fits := tagRow(tags, targets, row)
		if !fits {
			continue
		}
		placedTags += len(placed)
		for i, a := range placed {
			left, right := a.port.X-a.widthMM()/2, a.port.X+a.widthMM()/2
			if left < row.X-0.002 || right > row.Right()+0.002 || a.port.Y != row.Y || a.target.Distance(targets[i]) > 0.001 {
				t.Fatalf("tag %v does not stand in its row %v", a, row)
			}
			for _, b := range placed[:i] {
				if math.Abs(a.port.X-b.port.X) < (a.widthMM()+b.widthMM())/2+tagGapMM-0.003 {
					t.Fatalf("tags at %v and %v overlap", a.port, b.port)
				}
				if a.target != b.target && segmentsMeet(a.port, a.target, b.port, b.target) {
					t.Fatalf("leaders %v-%v and %v-%v cross", a.port, a.target, b.port, b.target)
				}
			}
		}
	}
	if placedTags < 1000 {
		t.Errorf("only %d tags were placed: too few to tell", placedTags)
	}
}

// Both pictures of the plate of two views carry the same tags, and the key tells of each.
func TestTwoViewsShareTheirTags(t *testing.T) {
	for _, file := range []string{"band-three-mistakes.yaml", "replacement.yaml", "purse-string.yaml"} {
		_, plate := exampleStrip(t, file, TwoViewPlate)
		numbers := func(layer string) (found []string) {
			for _, m := range regexp.MustCompile(`class="number"[^>]*>([^<]*)<`).FindAllStringSubmatch(layerOf(t, plate, layer), -1) {
				found = append(found, m[1])
			}
			slices.Sort(found)
			return found
		}
		atrial, strip, key := numbers("verdicts"), numbers("strip-verdicts"), numbers("key")
		if len(key) == 0 || !slices.Equal(atrial, strip) || !slices.Equal(strip, key) {
			t.Errorf("%s: tags %v in the atrial view, %v in the strip, %v in the key", file, atrial, strip, key)
		}
	}
}

// Short names are used as they are; where one is long, all are numbered in the order of the plan.
func TestBitesAreNumbered(t *testing.T) {
	bites := func(names ...string) (bites []placement.BiteReport) {
		for _, name := range names {
			var b placement.BiteReport
			b.Name = name
			bites = append(bites, b)
		}
		return bites
	}
	for _, c := range []struct{ names, want []string }{
		{[]string{"1", "2", "A"}, []string{"1", "2", "A"}},
		{[]string{"7", "row 2"}, []string{"1", "2"}},
		{nil, nil},
	} {
		if got := numbered(bites(c.names...)); !slices.Equal(got, c.want) {
			t.Errorf("%q are numbered %q, want %q", c.names, got, c.want)
		}
	}
}

func BenchmarkStripView(b *testing.B) {
	report, _ := exampleStrip(b, "replacement.yaml", StripView)
	for b.Loop() {
		if err := StripView(io.Discard, report); err != nil {
			b.Fatal(err)
		}
	}
}

// The strip's legend names the suture line where there is one, in both plates that show the strip.
func TestStripLegendNamesTheSutureLine(t *testing.T) {
	for name, draw := range map[string]func(*placement.Report, Reader) (*Drawing, error){"strip": StripDrawing, "both": TwoViewDrawing} {
		for _, file := range []string{"around-the-triangle.yaml", "band.yaml"} {
			report := exampleReport(t, file)
			drawing, err := draw(report, Reader{})
			named := strings.Contains(string(drawnFor(t, drawing, err)), ">suture line</text>")
			if named != (report.Line != nil) {
				t.Errorf("%s, %s: the suture line is named: %v", name, file, named)
			}
		}
	}
}
