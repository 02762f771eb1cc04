package svgout

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// The repair's plate: A4 across, mm. The valve before and after stands left, what there is to say of it right.
var (
	repairPage    = Box{W: 297, H: 210}
	repairPicture = Box{X: 24, Y: 42, W: 116, H: 112}
	repairSaid    = Box{X: 166, Y: 27, W: 123, H: 162}
)

// RepairDrawing draws what the repair makes of the valve: the rim before, ghosted, behind the rim after, at one scale and
// with the septum in place, turned or mirrored to the reader's habit, and what each stretch of rim gives up.
func RepairDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	if report.Outcome == nil {
		return nil, errors.New("svgout: the plan has no `repair` to draw")
	}
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	camera, fits := reader.Habit.of(downTheValve).cameraFor(report.Laid.Heart.Rim.Sample(120), repairPicture)
	if !fits {
		return nil, errors.New("svgout: this heart is too large for the plate")
	}
	r := repairPlate{plate: plate{report: report, page: repairPage, gaze: camera.gaze, Reader: reader}, outcome: report.Outcome, wordsIn: repairSaid}
	k := NewDrawing(Page{WidthMM: repairPage.W, HeightMM: repairPage.H, Language: reader.Language, Title: r.title(), Desc: r.describe()})
	r.onWithBars(k, camera)

	r.heading()
	r.ghost()
	r.valve()
	r.stitchesMoved()
	r.drawReductions()
	k.layer("orientation", "orientation-and-scale")
	r.compass(k, Point{22, 176 - r.raisedMM()})
	r.scaleBar(k, Point{60, 178 - r.raisedMM()}, r.before.scale)
	k.End()
	r.key()
	r.words()
	r.footer(k)
	return k.Finish()
}

// onWithBars is on, at the largest scale up to the camera's at which the bars have room too, or else the smallest.
func (r *repairPlate) onWithBars(k *Ink, before camera) {
	for _, scale := range scales {
		if scale > before.scale {
			continue
		}
		before.scale = scale
		if r.on(k, before); r.barsFit() {
			return
		}
	}
}

// on has the plate drawn on a page, through a camera for the valve before; the one for the valve after keeps the septum
// where it is.
func (r *repairPlate) on(k *Ink, before camera) {
	r.Ink = k
	r.before = anatomy{Ink: k, Reader: r.Reader, camera: before, heart: r.report.Laid.Heart}
	r.after = r.before
	r.after.heart = repaired(r.report)
	r.after.over = before.over.Sub(before.seen(r.outcome.Gathered.Shift))
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

func (r repairPlate) heading() {
	r.headedWith(r.Ink, mark(r.outcome.Verdict), r.caption(), sentences(r.said(r.Habit.sense()), r.whose(r.report.Laid.Heart)))
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
		name := r.said(l.Short())
		width := MeasureIn("label-quiet", name)
		for _, in := range []float64{0.45, 0.55, 0.35, 0.65, 0.25} {
			hinge := r.after.paper(r.after.heart.Rim.At(l.FromMM + l.ForMM/2))
			at := hinge.Plus(meet.Minus(hinge).Times(in)).Plus(Point{0, 1.3})
			if box := (Box{at.X - width/2, at.Y - 3.6, width, 4.6}); !crowded(box.Grow(0.8), lines) {
				r.Text("label-quiet", at.X, at.Y, AnchorMiddle, name)
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

// repairReach is what the bars and their numbers keep to: between caption and compass, and off the words.
var repairReach = Box{X: 6, Y: 27, W: 156, H: 140.5}

// reduction is the bar of an interval, and its number beside it.
type reduction struct {
	outline []Point
	number  string
	at      Point // of the number, its middle on the baseline
	box     Box   // of the number
}

// reductions are bars along the intervals, outside the rim before, as high as each gives up of its length.
func (r repairPlate) reductions() (bars []reduction) {
	for _, i := range r.outcome.Intervals {
		less := i.LessPercent()
		if less < 0.5 {
			continue
		}
		high := barFullMM * less / 100
		b := reduction{outline: r.bar(i, high), number: r.percent(words.Fixed(less, 0))}
		middle, out := r.besideRim(i.FromMM+i.ForMM/2, 0)
		width := MeasureIn("number", b.number)
		b.at = middle.Plus(out.Times(barOffMM + high + 1.6 + math.Abs(out.X)*width/2 + math.Abs(out.Y)*1.6)).Plus(Point{0, 1.3})
		b.box = Box{b.at.X - width/2, b.at.Y - 3.4, width, 4.4}
		bars = append(bars, b)
	}
	return bars
}

// barsFit tells whether there is room for every bar.
func (r repairPlate) barsFit() bool {
	return !slices.ContainsFunc(r.reductions(), func(b reduction) bool {
		return !repairReach.Encloses(boxOf(b.outline)) || !repairReach.Encloses(b.box)
	})
}

// drawReductions draws the bars, and a number beside each that has room for it.
func (r repairPlate) drawReductions() {
	r.layer("reduction", "what-each-stretch-of-the-rim-gives-up")
	var taken []Box
	for _, b := range r.reductions() {
		r.Path("reduction", new(PathData).Polyline(b.outline, true))
		if !slices.ContainsFunc(taken, func(t Box) bool { return t.Grow(0.6).Overlaps(b.box) }) {
			r.Text("number", b.at.X, b.at.Y, AnchorMiddle, b.number)
			taken = append(taken, b.box)
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
	out = Point{way.Y, -way.X}
	if r.Habit.Mirrored { // the rim runs the other way round
		out = Point{-way.Y, way.X}
	}
	return at.Plus(out.Times(offMM)), out
}

// raisedMM is how much higher than usual key, compass and scale bar stand, where the caution takes a second line.
func (r repairPlate) raisedMM() float64 {
	if MeasureIn("footnote", r.said(placement.Care())) > r.page.W-16 {
		return 1.6
	}
	return 0
}

// key says what the lines mean.
func (r repairPlate) key() {
	r.layer("legend", "legend")
	x, y := 8.0, 189.5-r.raisedMM()
	next := func(draw func(at Point), text string) {
		draw(Point{x + 3, y - 1.2})
		r.Text("legend", x+8, y, AnchorStart, text)
		x += 13 + MeasureIn("legend", text)
	}
	line := func(class string) func(Point) {
		return func(at Point) { r.Line(class, at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})) }
	}
	next(line("ghost"), r.say("repair.key.before"))
	next(line("rim"), r.say("repair.key.after"))
	if _, _, _, there := r.held(); there {
		next(func(at Point) {
			r.Band("device", new(PathData).Polyline([]Point{at.Plus(Point{-2, 0}), at.Plus(Point{2, 0})}, false), 3)
		}, r.say("repair.key.device"))
	}
	next(func(at Point) { r.Rect("reduction", Box{at.X - 3, at.Y - 1.6, 6, 3.2}) }, r.say("repair.key.given-up"))
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
	r.row("legend-heading", y, sizeColumns, "", r.say("repair.column.before"), r.say("repair.column.after"), r.say("repair.column.change"), r.say("repair.column.z"))
	for _, s := range r.outcome.Sizes() {
		y += rowMM
		z := words.Number("")
		if s.ZAfter != nil {
			z = signed(s.ZAfter.Z, 1)
		}
		r.row("label", y, sizeColumns, r.said(words.Of("repair.size."+s.Unit, words.Blanks{"size": s.Label})), r.number(sized(s.Before, s.Unit)), r.number(sized(s.After, s.Unit)), r.change(s), r.number(z))
		if s.Name == "rim-area" && r.outcome.SurfaceM2 > 0 {
			y += rowMM
			r.row("label-quiet", y, sizeColumns, r.say("repair.indexed"), r.number(sized(r.outcome.Indexed(s.Before), "mm2")), r.number(sized(r.outcome.Indexed(s.After), "mm2")))
		}
	}
	y = r.TextBlock("label", r.wordsIn.X, y+2.2, AnchorStart, Fit("label", r.leftWords(), r.wordsIn.W, 2))
	if by := r.zBy(); !by.IsZero() {
		y = r.TextBlock("label-quiet", r.wordsIn.X, y, AnchorStart, Fit("label-quiet", r.say("repair.z-by", words.Blanks{"by": by}), r.wordsIn.W, 1))
	}
	r.End()
	return y
}

func (r repairPlate) sizesHeight() float64 {
	rows := len(r.outcome.Sizes())
	if r.outcome.SurfaceM2 > 0 {
		rows++
	}
	height := 4 + rowMM*float64(rows) + 2.2 + BlockHeight("label", len(Fit("label", r.leftWords(), r.wordsIn.W, 2)))
	if !r.zBy().IsZero() {
		height += BlockHeight("label-quiet", 1)
	}
	return height
}

func (r repairPlate) coverHeight() float64 { return 5 + rowMM*float64(len(r.outcome.Leaflets)) }

// zBy is the dataset the z-scores belong to.
func (r repairPlate) zBy() words.Said {
	for _, s := range r.outcome.Sizes() {
		if s.ZAfter != nil {
			return s.ZAfter.By
		}
	}
	return words.Said{}
}

func (r repairPlate) cover(top float64) (bottom float64) {
	r.layer("cover", "leaflets-over-the-orifice")
	y := top + 4
	r.row("legend-heading", y, coverColumns, r.say("repair.column.leaflet"), r.say("repair.column.height"), r.say("repair.column.reach"), r.say("repair.column.left"))
	for _, l := range r.outcome.Leaflets {
		y += rowMM
		r.row("label", y, coverColumns, Fit("label", r.said(l.Short()), 48, 1)[0], r.number(words.Fixed(l.HeightMM, 1)), r.number(words.Fixed(l.ReachMM, 1)), r.number(words.Fixed(l.CoverMM(), 1)))
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
	return r.foundIn(r.outcome.Reasons, r.wordsIn.W-6, 5)
}

// foundIn is what the rules found, worst first, each in at most so many lines; 0 sets no bound.
func (r Reader) foundIn(reasons []placement.Reason, widthMM float64, most int) (found []findingLines) {
	reasons = slices.Clone(reasons)
	slices.SortStableFunc(reasons, func(a, b placement.Reason) int { return cmp.Compare(b.Level, a.Level) })
	for _, reason := range reasons {
		class := map[placement.Level]string{placement.Clear: "label-quiet", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[reason.Level]
		text := sentences(sentence(r.said(reason.Text))+".", r.instead(reason))
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
		return r.TextBlock("label", r.wordsIn.X, y, AnchorStart, []string{r.say("repair.nothing-found")})
	}
	for i, f := range found {
		end, more := y+BlockHeight(f.class, len(f.lines)), len(found)-i
		if end > bottom || more > 1 && end > bottom-5 {
			return r.TextBlock("label-quiet", r.wordsIn.X, y, AnchorStart, []string{r.say("repair.more", words.Blanks{"n": more})})
		}
		if f.level > placement.Clear {
			r.LevelMark(mark(f.level), Point{r.wordsIn.X + 1.9, y + 2.2}, 3.4)
		}
		y = r.TextBlock(f.class, r.wordsIn.X+6, y, AnchorStart, f.lines) + 1
	}
	return y
}
