package svgout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

// The repair's plate: A4 across, mm. The valve before and after stands left, what there is to say of it right.
var (
	repairPage    = Box{W: 297, H: 210}
	repairPicture = Box{X: 24, Y: 42, W: 116, H: 112}
	repairSaid    = Box{X: 166, Y: 27, W: 123, H: 162}
)

// RepairDrawing draws what the repair makes of the valve: the rim before, ghosted, behind the rim after, at one scale and
// with the septum in place, and what each stretch of rim gives up.
func RepairDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	if report.Outcome == nil {
		return nil, errors.New("svgout: the plan has no `repair` to draw")
	}
	r := repairPlate{plate: plate{report: report, page: repairPage, Reader: reader}, outcome: report.Outcome, wordsIn: repairSaid}
	before, fits := cameraFor(report.Laid.Heart.Rim.Sample(120), repairPicture)
	if !fits {
		return nil, errors.New("svgout: this heart is too large for the plate")
	}
	k := NewDrawing(Page{WidthMM: repairPage.W, HeightMM: repairPage.H, Language: reader.Language, Title: r.title(), Desc: r.describe()})
	r.Ink = k
	r.before = anatomy{Ink: k, Reader: reader, camera: before, heart: report.Laid.Heart}
	r.after = r.before
	r.after.heart = repaired(report)
	r.after.over = before.over.Sub(r.outcome.Gathered.Shift)

	r.heading()
	r.ghost()
	r.valve()
	r.stitchesMoved()
	r.reductions()
	k.layer("orientation", "orientation-and-scale")
	r.compass(k, Point{22, 176})
	r.scaleBar(k, Point{60, 178}, before.scale)
	k.End()
	r.key()
	r.words()
	r.footer(k)
	return k.Finish()
}

// repaired is the heart with the rim after, for drawing.
func repaired(report *placement.Report) *atlas.Heart {
	heart := *report.Laid.Heart
	heart.Rim = report.Outcome.Gathered.Rim
	heart.Valve.Cleft = report.Laid.Repair.Cleft
	return &heart
}

type repairPlate struct {
	*Ink
	plate
	outcome       *placement.Outcome
	before, after anatomy
	wordsIn       Box // where the words stand
}

func (r repairPlate) title() string {
	return fmt.Sprintf("%s: the valve before and after the repair", r.report.Laid.Plan.Case)
}

func (r repairPlate) describe() string {
	var t strings.Builder
	fmt.Fprintf(&t, "Atrial view of the rim before and after the repair, the septum in place. Verdict of the repair: %s.", r.outcome.Verdict)
	for _, s := range r.outcome.Sizes() {
		fmt.Fprintf(&t, " %s %s, after %s%s.", s.Label, sized(s.Before, s.Unit), sized(s.After, s.Unit), unitWord(s.Unit))
	}
	for _, reason := range r.outcome.Reasons {
		fmt.Fprintf(&t, " %s: it %s.", reason.Level, reason.Text)
	}
	return t.String() + " " + r.said(placement.Care())
}

func (r repairPlate) heading() {
	r.layer("heading", "heading")
	verdict := strings.ToUpper(r.outcome.Verdict.String())
	r.Text("heading", r.page.W-8, 12, AnchorEnd, verdict)
	r.LevelMark(mark(r.outcome.Verdict), Point{r.page.W - 12 - MeasureIn("heading", verdict), 9.8}, 5)
	room := r.page.W - 30 - MeasureIn("heading", verdict)
	r.Text("heading", 8, 12, AnchorStart, Fit("heading", r.report.Laid.Plan.Case, room, 1)[0])
	r.Text("caption", 8, 19, AnchorStart, fmt.Sprintf("The repair, before and after. Operation: %s. Scale %s : 1 in the plane of the rim.", r.report.Laid.Plan.Operation, mustNumber(r.before.scale)))
	if whose := r.whose(r.report.Laid.Heart); whose != "" {
		r.Text("label-quiet", 8, 24.6, AnchorStart, Fit("label-quiet", whose, r.page.W-16, 1)[0])
	}
	r.End()
}

// ghost draws the rim before.
func (r repairPlate) ghost() {
	r.layer("before", "the-rim-before")
	r.smooth("ghost", r.before.papers(r.before.heart.Rim.Sample(80)), true)
	for _, s := range r.before.heart.Segments() {
		r.Circle("ghost-mark", r.before.paper(r.before.heart.Rim.At(s.FromMM)), 0.8)
	}
	r.End()
}

func (r repairPlate) smooth(class string, points []Point, closed bool) {
	r.before.smooth(class, points, closed)
}

// valve draws leaflets, device and rim after, one upon the other.
func (r repairPlate) valve() {
	var leaflets []atlas.Leaflet
	for _, l := range r.outcome.Leaflets {
		from := r.outcome.Gathered.Along(l.FromMM)
		leaflets = append(leaflets, atlas.Leaflet{Name: l.Name, FromMM: from, ForMM: r.outcome.Gathered.Along(l.FromMM+l.ForMM) - from})
	}
	r.layer("anatomy", "the-valve-after")
	r.after.drawLeaflets(leaflets)
	r.leafletNames(leaflets)
	r.End()
	r.device()
	r.after.rim()
	r.layer("landmarks", "commissures-after")
	for _, l := range leaflets {
		r.Circle("commissure", r.after.paper(r.after.heart.Rim.At(l.FromMM)), 1.1)
	}
	r.End()
}

// leafletNames letters each leaflet halfway between its hinge and where the leaflets meet, where that leaves it clear of
// the closing lines.
func (r repairPlate) leafletNames(leaflets []atlas.Leaflet) {
	meet := r.after.paper(r.after.meeting())
	var lines []Point
	for _, l := range leaflets {
		lines = append(lines, r.after.closing(l.FromMM, r.after.meeting())...)
		lines = append(lines, r.after.hinge(l.FromMM, l.ForMM)...)
	}
	for _, l := range leaflets {
		width := MeasureIn("label-quiet", l.Name)
		for _, in := range []float64{0.45, 0.55, 0.35, 0.65, 0.25} {
			hinge := r.after.paper(r.after.heart.Rim.At(l.FromMM + l.ForMM/2))
			at := hinge.Plus(meet.Minus(hinge).Times(in)).Plus(Point{0, 1.3})
			if box := (Box{at.X - width/2, at.Y - 3.6, width, 4.6}); !crowded(box.Grow(0.8), lines) {
				r.Text("label-quiet", at.X, at.Y, AnchorMiddle, l.Name)
				break
			}
		}
	}
}

// Half the breadth a device is drawn with, mm of heart: a convention of the drawing.
const deviceHalfMM = 1.1

// device draws a ring or band along the rim it holds, on its atrial side.
func (r repairPlate) device() {
	first, last, closed, there := r.held()
	if !there {
		return
	}
	r.layer("device", "device")
	from, span := r.outcome.Gathered.Along(first), r.outcome.Gathered.Along(last)-r.outcome.Gathered.Along(first)
	if former := r.outcome.Former; former != nil && closed {
		span = r.after.heart.Rim.LengthMM()
	}
	const pieces = 60
	points := make([]Point, pieces+1)
	for i := range points {
		points[i] = r.after.paper(r.after.heart.Rim.At(from + span*float64(i)/pieces))
	}
	if closed {
		points = points[:pieces]
	}
	r.Band("device", new(PathData).SmoothThrough(thinned(points, closed), closed), 2*deviceHalfMM*r.after.scale)
	r.End()
}

// held is the stretch of rim before that a device holds.
func (r repairPlate) held() (firstMM, lastMM float64, closed, there bool) {
	var covered float64
	for _, i := range r.outcome.Intervals {
		if i.Step != placement.SewDevice {
			continue
		}
		if !there {
			firstMM, there = i.FromMM, true
		}
		covered += i.ForMM
	}
	return firstMM, firstMM + covered, covered > r.before.heart.Rim.LengthMM()-1e-6, there
}

// stitchesMoved draws the stitches on the rim after, and the way each was drawn.
func (r repairPlate) stitchesMoved() {
	r.layer("bites", "stitches-and-how-far-each-is-drawn")
	for _, at := range r.stitchPlaces() {
		from := r.before.paper(r.before.heart.Rim.At(at))
		to := r.after.paper(r.after.heart.Rim.At(r.outcome.Gathered.Along(at)))
		if from.Distance(to) > 1.2 {
			r.Line("guide", from, to)
		}
		r.Circle("needle-entry", to, 0.6)
	}
	r.End()
}

// stitchPlaces are where intervals begin and end on the rim before.
func (r repairPlate) stitchPlaces() (places []float64) {
	for _, i := range r.outcome.Intervals {
		for _, at := range []float64{i.FromMM, i.FromMM + i.ForMM} {
			at = r.before.heart.Rim.Wrap(at)
			if !slices.ContainsFunc(places, func(p float64) bool { return math.Abs(math.Remainder(p-at, r.before.heart.Rim.LengthMM())) < 1e-6 }) {
				places = append(places, at)
			}
		}
	}
	return places
}

// The bars that show what a stretch of rim gives up: how far off the rim they stand, and how high a bar of 100 % is,
// paper mm.
const (
	barOffMM  = 3.0
	barFullMM = 12.0
)

// reductions draws, outside the rim before, a bar along each interval, as high as the interval gives up of its length.
func (r repairPlate) reductions() {
	r.layer("reduction", "what-each-stretch-of-the-rim-gives-up")
	var taken []Box
	for _, i := range r.outcome.Intervals {
		less := i.LessPercent()
		if less < 0.5 {
			continue
		}
		r.Path("reduction", new(PathData).Polyline(r.bar(i, barFullMM*less/100), true))
		text := fmt.Sprintf("%.0f %%", less)
		middle, out := r.besideRim(i.FromMM+i.ForMM/2, 0)
		width := MeasureIn("number", text)
		at := middle.Plus(out.Times(barOffMM + barFullMM*less/100 + 1.6 + math.Abs(out.X)*width/2 + math.Abs(out.Y)*1.6)).Plus(Point{0, 1.3})
		box := Box{at.X - width/2, at.Y - 3.4, width, 4.4}
		if !slices.ContainsFunc(taken, func(b Box) bool { return b.Grow(0.6).Overlaps(box) }) {
			r.Text("number", at.X, at.Y, AnchorMiddle, text)
			taken = append(taken, box)
		}
	}
	r.End()
}

// bar is a strip along an interval of the rim before.
func (r repairPlate) bar(i placement.Interval, highMM float64) (outline []Point) {
	pieces := max(2, int(i.ForMM/1.5))
	gap := min(0.4/r.before.scale, i.ForMM/4) // between neighbouring bars
	for _, off := range []float64{barOffMM, barOffMM + highMM} {
		var edge []Point
		for j := range pieces + 1 {
			at, out := r.besideRim(i.FromMM+gap+(i.ForMM-2*gap)*float64(j)/float64(pieces), 0)
			edge = append(edge, at.Plus(out.Times(off)))
		}
		if off > barOffMM {
			slices.Reverse(edge)
		}
		outline = append(outline, edge...)
	}
	return outline
}

// besideRim is a place of the rim before on the paper, and the way outward there.
func (r repairPlate) besideRim(alongMM, offMM float64) (at, out Point) {
	rim := r.before.heart.Rim
	at = r.before.paper(rim.At(alongMM))
	way := r.before.paper(rim.At(alongMM + 0.05)).Minus(r.before.paper(rim.At(alongMM - 0.05))).unit()
	return at.Plus(Point{way.Y, -way.X}.Times(offMM)), Point{way.Y, -way.X}
}

// key says what the lines mean.
func (r repairPlate) key() {
	r.layer("legend", "legend")
	x, y := 8.0, 189.5
	next := func(draw func(at Point), text string) {
		draw(Point{x + 3, y - 1.2})
		r.Text("legend", x+8, y, AnchorStart, text)
		x += 13 + MeasureIn("legend", text)
	}
	line := func(class string) func(Point) {
		return func(at Point) { r.Line(class, at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})) }
	}
	next(line("ghost"), "rim before")
	next(line("rim"), "rim after")
	if _, _, _, there := r.held(); there {
		next(func(at Point) {
			r.Band("device", new(PathData).Polyline([]Point{at.Plus(Point{-2, 0}), at.Plus(Point{2, 0})}, false), 3)
		}, "device")
	}
	next(func(at Point) { r.Rect("reduction", Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }, "length given up by a stretch")
	r.End()
}

// words is the right half of the plate: sizes, leaflets, findings, and what to look at.
func (r repairPlate) words() {
	y := r.sizes(r.wordsIn.Y)
	y = r.cover(y + 2.5)
	looks := r.report.Laid.Plan.Looks
	free := r.wordsIn.Bottom() - y - 2.5
	room := min(looksHeight(looks, r.wordsIn.W), max(free-r.findingsHeight(), leastLooksMM)) // findings come first
	bottom := r.findings(y+2.5, r.wordsIn.Bottom()-room)
	r.looks(looks, Box{r.wordsIn.X, bottom + 2, r.wordsIn.W, r.wordsIn.Bottom() - bottom - 2}, r.say("looks.heading"))
}

// Where the columns of the two tables end, mm from their left.
var (
	sizeColumns  = []float64{66, 86, 107, 123}
	coverColumns = []float64{66, 93, 123}
)

// row letters a line of a table: words to the left, numbers to the right of their columns.
func (r repairPlate) row(class string, y float64, ends []float64, first string, cells ...string) {
	r.Text(class, r.wordsIn.X, y, AnchorStart, first)
	for i, cell := range cells {
		r.Text(class, r.wordsIn.X+ends[i], y, AnchorEnd, cell)
	}
}

const rowMM = 4.9

func (r repairPlate) sizes(top float64) (bottom float64) {
	r.layer("sizes", "sizes-before-and-after")
	y := top + 4
	r.row("legend-heading", y, sizeColumns, "", "before", "after", "change", "z after")
	for _, s := range r.outcome.Sizes() {
		y += rowMM
		z := ""
		if s.ZAfter != nil {
			z = fmt.Sprintf("%+.1f", s.ZAfter.Z)
		}
		r.row("label", y, sizeColumns, r.said(s.Label)+unitWord(s.Unit), sized(s.Before, s.Unit), sized(s.After, s.Unit), change(s), z)
		if s.Name == "rim-area" && r.outcome.SurfaceM2 > 0 {
			y += rowMM
			r.row("label-quiet", y, sizeColumns, "per m² of body", sized(r.outcome.Indexed(s.Before), "mm2"), sized(r.outcome.Indexed(s.After), "mm2"))
		}
	}
	y = r.TextBlock("label", r.wordsIn.X, y+2.2, AnchorStart, Fit("label", r.leftWords(), r.wordsIn.W, 2))
	if by := r.zBy(); by != "" {
		y = r.TextBlock("label-quiet", r.wordsIn.X, y, AnchorStart, Fit("label-quiet", "z by "+by+".", r.wordsIn.W, 1))
	}
	r.End()
	return y
}

// leftWords says how much of the predicted area is left.
func (r repairPlate) leftWords() string {
	return fmt.Sprintf("Left: %.0f %% of the %.0f mm² expected (%s).", math.Floor(r.outcome.SharePercent()), r.outcome.Predicted.MM2, r.outcome.Predicted.By)
}

func (r repairPlate) sizesHeight() float64 {
	rows := len(r.outcome.Sizes())
	if r.outcome.SurfaceM2 > 0 {
		rows++
	}
	height := 4 + rowMM*float64(rows) + 2.2 + BlockHeight("label", len(Fit("label", r.leftWords(), r.wordsIn.W, 2)))
	if r.zBy() != "" {
		height += BlockHeight("label-quiet", 1)
	}
	return height
}

func (r repairPlate) coverHeight() float64 { return 5 + rowMM*float64(len(r.outcome.Leaflets)) }

// zBy is the dataset the z-scores belong to.
func (r repairPlate) zBy() string {
	for _, s := range r.outcome.Sizes() {
		if s.ZAfter != nil {
			return s.ZAfter.By.String()
		}
	}
	return ""
}

func (r repairPlate) cover(top float64) (bottom float64) {
	r.layer("cover", "leaflets-over-the-orifice")
	y := top + 4
	r.row("legend-heading", y, coverColumns, "leaflet, mm", "height", "must reach", "left to meet")
	for _, l := range r.outcome.Leaflets {
		y += rowMM
		r.row("label", y, coverColumns, Fit("label", l.Name, 48, 1)[0], fmt.Sprintf("%.1f", l.HeightMM), fmt.Sprintf("%.1f", l.ReachMM), fmt.Sprintf("%.1f", l.CoverMM()))
	}
	r.End()
	return y + 1
}

// leastLooksMM is the room that is left for what will be looked at, however much was found: the first of it.
const leastLooksMM = 24.0

// findingLines is what a rule found, in lines.
type findingLines struct {
	class string
	level placement.Level
	lines []string
}

func (r repairPlate) found() []findingLines {
	return foundIn(r.outcome.Reasons, r.wordsIn.W-6, 5)
}

// foundIn is what the rules found, worst first, each in at most so many lines; 0 sets no bound.
func foundIn(reasons []placement.Reason, widthMM float64, most int) (found []findingLines) {
	reasons = slices.Clone(reasons)
	slices.SortStableFunc(reasons, func(a, b placement.Reason) int { return cmp.Compare(b.Level, a.Level) })
	for _, reason := range reasons {
		class := map[placement.Level]string{placement.Clear: "label-quiet", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[reason.Level]
		text := strings.ReplaceAll(sentence(reason.Text.String()), " mm2", " mm²") + "."
		if !reason.Instead.IsZero() {
			text += " Instead: " + reason.Instead.String() + "."
		}
		found = append(found, findingLines{class, reason.Level, Fit(class, text, widthMM, most)})
	}
	return found
}

func (r repairPlate) findingsHeight() (height float64) {
	for _, f := range r.found() {
		height += BlockHeight(f.class, len(f.lines)) + 1
	}
	return height + 2
}

// findings letters what the rules found, worst first, and returns where the next thing may begin.
func (r repairPlate) findings(top, bottom float64) float64 {
	r.layer("findings", "what-the-rules-found")
	defer r.End()
	y, found := top, r.found()
	if len(found) == 0 {
		return r.TextBlock("label", r.wordsIn.X, y, AnchorStart, []string{"The rules find nothing against it."})
	}
	for i, f := range found {
		end, more := y+BlockHeight(f.class, len(f.lines)), len(found)-i
		if end > bottom || more > 1 && end > bottom-5 {
			return r.TextBlock("label-quiet", r.wordsIn.X, y, AnchorStart, []string{fmt.Sprintf("And %d more: see the table.", more)})
		}
		if f.level > placement.Clear {
			r.LevelMark(mark(f.level), Point{r.wordsIn.X + 1.9, y + 2.2}, 3.4)
		}
		y = r.TextBlock(f.class, r.wordsIn.X+6, y, AnchorStart, f.lines) + 1
	}
	return y
}

// sized says a size in its unit, without it.
func sized(value float64, unit string) string {
	switch {
	case math.IsInf(value, 0) || math.IsNaN(value):
		return "-"
	case unit == "mm2":
		return fmt.Sprintf("%.0f", value)
	case unit == "1":
		return fmt.Sprintf("%.2f", value)
	}
	return fmt.Sprintf("%.1f", value)
}

func unitWord(unit string) string {
	return map[string]string{"mm": ", mm", "mm2": ", mm²", "1": ""}[unit]
}

// change says by how much a size is less or more, as a share of what it was.
func change(s placement.Size) string {
	if math.IsInf(s.Before, 0) || math.IsInf(s.After, 0) {
		return ""
	}
	if less := s.LessPercent(); math.Abs(less) >= 0.5 {
		return fmt.Sprintf("%+.0f %%", -less)
	}
	return "0 %"
}
