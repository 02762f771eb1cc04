package svgout

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// Paper is a size of paper, upright.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
}

// Papers are the sizes a sheet can have: A4 of ISO 216, and Letter, size A of ANSI/ASME Y14.1.
func Papers() []Paper {
	return []Paper{{"a4", 210, 297}, {"letter", 215.9, 279.4}}
}

// PlanSheet is a plan on paper, in as many pages as it takes.
type PlanSheet struct {
	plate
	paper Paper
	pages [][]placedBlock
}

// block is a part of a sheet that is not broken: how high it is, and how it is drawn from a top downward.
type block struct {
	heightMM float64
	draw     func(k *Ink, top float64)
	header   *block  // repeated where a page begins with the block
	apart    float64 // from what is above it, unless it begins a page; +Inf: it always begins one
	keep     bool    // it stays on the page of the next block: a heading
	layer    string  // the named layer it belongs to
	pictured bool    // it has the picture of the repair
}

type placedBlock struct {
	block
	top float64
}

// The margins of a sheet, mm, and the room its footer takes.
const (
	sheetSideMM   = 12.0
	sheetTopMM    = 12.0
	sheetFooterMM = 27.0
)

// NewSheet lays a plan out on paper, its pictures turned or mirrored to the reader's habit. It fails where the heart does
// not fit the page at any scale.
func NewSheet(report *placement.Report, paper Paper, reader Reader) (*PlanSheet, error) {
	if err := reader.Habit.check(); err != nil {
		return nil, err
	}
	s := &PlanSheet{plate: plate{report: report, page: Box{W: paper.WidthMM, H: paper.HeightMM}, gaze: reader.Habit.of(downTheValve), Reader: reader}, paper: paper}
	view, err := s.view()
	if err != nil {
		return nil, err
	}
	// A page of another kind, such as one to rehearse on, is one more run of blocks behind these, its first infinitely apart.
	blocks := slices.Concat([]block{s.titleBlock(), view, s.legendBlock()}, s.biteRows(), s.lineBlocks(), s.repairBlocks(), s.patchBlocks(), s.lookBlocks(), s.basisBlocks())
	return s, s.paginate(blocks)
}

// left and width are the column that is lettered.
func (s *PlanSheet) width() float64 { return s.paper.WidthMM - 2*sheetSideMM }

// paginate puts blocks under each other, and begins a page where one does not fit.
func (s *PlanSheet) paginate(blocks []block) error {
	bottom := s.paper.HeightMM - sheetFooterMM
	y := math.Inf(1)
	for i, b := range blocks {
		needs := b.heightMM
		for j := i; blocks[j].keep && j+1 < len(blocks); j++ {
			needs += blocks[j+1].apart + blocks[j+1].heightMM
		}
		if y+b.apart+needs > bottom {
			s.pages = append(s.pages, nil)
			y = sheetTopMM
			if len(s.pages) > 1 {
				y = s.onto(s.runningHead(), y)
			}
			if b.header != nil {
				y = s.onto(*b.header, y)
			}
			if y+b.heightMM > bottom {
				return fmt.Errorf("svgout: a part of the sheet is %.0f mm high and fits no %s page", b.heightMM, s.paper.Name)
			}
		} else {
			y += b.apart
		}
		y = s.onto(b, y)
	}
	return nil
}

// onto puts a block on the last page and returns where it ends.
func (s *PlanSheet) onto(b block, top float64) float64 {
	last := len(s.pages) - 1
	s.pages[last] = append(s.pages[last], placedBlock{b, top})
	return top + b.heightMM
}

// Pages is how many pages the sheet takes.
func (s *PlanSheet) Pages() int { return len(s.pages) }

// Page draws a page, counted from 0.
func (s *PlanSheet) Page(page int) (*Drawing, error) {
	if page < 0 || page >= len(s.pages) {
		return nil, fmt.Errorf("svgout: page %d of a sheet of %d", page+1, len(s.pages))
	}
	k := NewDrawing(Page{WidthMM: s.paper.WidthMM, HeightMM: s.paper.HeightMM, Language: s.Language, Title: s.pageTitle(page), Desc: s.pageDesc(page)})
	s.drawPage(k, page)
	return k.Finish()
}

func (s *PlanSheet) drawPage(k *Ink, page int) {
	layer, count := "", map[string]int{}
	for _, b := range s.pages[page] {
		if b.layer != layer {
			if layer != "" {
				k.End()
			}
			layer = b.layer
			count[layer]++
			id := layer
			if count[layer] > 1 {
				id = fmt.Sprintf("%s-%d", layer, count[layer])
			}
			k.Group(id, "")
		}
		b.draw(k, b.top)
	}
	k.End()
	s.footer(k)
	k.Text("axis-label", s.paper.WidthMM-8, s.paper.HeightMM-sheetFooterMM+5, AnchorEnd, s.say("sheet.page", words.Blanks{"page": page + 1, "pages": len(s.pages)}))
}

func (s *PlanSheet) pageTitle(page int) string {
	return s.say("sheet.title", words.Blanks{"case": s.report.Laid.Plan.Case, "page": page + 1, "pages": len(s.pages)})
}

func (s *PlanSheet) pageDesc(page int) string {
	if page == 0 {
		return s.describe()
	}
	said := s.say("sheet.described", words.Blanks{"case": s.report.Laid.Plan.Case, "page": page + 1})
	return sentences(said, s.turnedPicture(page), s.said(placement.Care()))
}

// turnedPicture says that the picture of the repair on a page is not as usual: nothing where it is, or there is none.
func (s *PlanSheet) turnedPicture(page int) string {
	if s.Habit.said().IsZero() || !slices.ContainsFunc(s.pages[page], func(b placedBlock) bool { return b.pictured }) {
		return ""
	}
	said := s.say("sheet.picture-described", words.Blanks{"habit": s.Habit.said()})
	return sentences(said, repairPlate{plate: s.plate}.turnedWords())
}

// text is a block of lettering across the page.
func (s *PlanSheet) text(layer, class, text string, indent float64) block {
	lines := Wrap(text, s.width()-indent, Lettering(class).SizeMM, Lettering(class).Bold)
	return block{heightMM: BlockHeight(class, len(lines)), layer: layer, draw: func(k *Ink, top float64) {
		k.TextBlock(class, sheetSideMM+indent, top, AnchorStart, lines)
	}}
}

func (s *PlanSheet) subheading(layer, text string) block {
	b := s.text(layer, "subheading", text, 0)
	b.heightMM += 1
	b.apart, b.keep = 4, true
	return b
}

// runningHead is the case label at the top of the pages after the first.
func (s *PlanSheet) runningHead() block {
	b := s.text("heading", "subheading", Clip(clean(s.report.Laid.Plan.Case), s.width(), Lettering("subheading").SizeMM, true), 0)
	b.heightMM += 3
	return b
}

// writeOn are the lines of the title block that are filled in by hand. A plan names no patient; what is written on paper
// is its owner's.
func (s *PlanSheet) writeOn() []string {
	return []string{s.say("sheet.write-on.date"), s.say("sheet.write-on.present"), s.say("sheet.write-on.notes")}
}

func (s *PlanSheet) titleBlock() block {
	const lineMM = 8.0
	plan := s.report.Laid.Plan
	verdict := strings.ToUpper(s.said(s.report.Verdict.Said()))
	writeOn := s.writeOn()
	room := s.width() - MeasureIn("heading", verdict) - 12
	title := Fit("heading", plan.Case, room, 2)
	said := sentences(s.say("sheet.operation", words.Blanks{"operation": plan.Operation.Said()}), s.whose(s.report.Laid.Heart))
	lines := Fit("label", said, s.width(), 3)
	note := Fit("label-quiet", plan.Note, s.width(), 3)
	head := BlockHeight("heading", len(title)) + 1 + BlockHeight("label", len(lines)) + BlockHeight("label-quiet", len(note))
	return block{heightMM: head + 2 + lineMM*float64(len(writeOn)), layer: "heading", draw: func(k *Ink, top float64) {
		k.TextBlock("heading", sheetSideMM, top, AnchorStart, title)
		if len(s.report.Bites) > 0 || s.report.Outcome != nil {
			right := s.paper.WidthMM - sheetSideMM
			k.Text("heading", right, top+6, AnchorEnd, verdict)
			k.LevelMark(mark(s.report.Verdict), Point{right - 4 - MeasureIn("heading", verdict), top + 3.8}, 5)
		}
		y := k.TextBlock("label", sheetSideMM, top+BlockHeight("heading", len(title))+1, AnchorStart, lines)
		y = k.TextBlock("label-quiet", sheetSideMM, y, AnchorStart, note) + 2
		for i, label := range writeOn {
			base := y + lineMM*float64(i+1) - 2
			k.Text("label-quiet", sheetSideMM, base-0.6, AnchorStart, label)
			k.Line("write-on", Point{sheetSideMM + 28, base}, Point{s.paper.WidthMM - sheetSideMM, base})
		}
	}}
}

// sheetScales are the scales of the picture: true size, or twice that where a small heart leaves room for it.
var sheetScales = []float64{2, 1}

// smallRimMM is the rim up to which a heart is drawn at twice its size.
const smallRimMM = 75.0

// view is the atrial view at true size, or twice that for a small heart, its bites numbered as in the table.
func (s *PlanSheet) view() (block, error) {
	const columnMM, mostMM, bandMM = 22.0, 150.0, 14.0
	scale := 1.0
	if s.report.Laid.Heart.Rim.LengthMM() <= smallRimMM {
		scale = sheetScales[0]
	}
	low, high := s.extent(s.gaze)
	width, height := (high.X-low.X)*scale, (high.Y-low.Y)*scale
	mostWideMM := s.width() - 2*columnMM - 4
	if width > mostWideMM || height > mostMM {
		return block{}, s.tooLarge(scale, mostWideMM, mostMM)
	}
	caption := s.viewCaption(scale)
	further := lineEm * Lettering("label").SizeMM * float64(len(caption)-1)
	columns := max(height, s.labelsHeight()) + 2
	return block{heightMM: columns + bandMM + further, layer: "atrial-view", apart: 3, draw: func(k *Ink, top float64) {
		middle := Point{s.paper.WidthMM / 2, top + columns/2}
		c := camera{gaze: s.gaze, scale: scale, centre: middle, over: low.Lerp(high, 0.5)}
		a := anatomy{Ink: k, Reader: s.Reader, camera: c, heart: s.report.Laid.Heart}
		st := stitches{anatomy: a, bites: s.report.Bites}
		a.draw()
		a.sutureLine(s.report.Line)
		st.draw()
		st.verdicts()
		left := Box{X: middle.X - width/2 - columnMM - 2, Y: top, W: columnMM, H: columns}
		right := left
		right.X = middle.X + width/2 + 2
		s.numbers(k, st, left, right)
		base := top + columns + 9 + further
		s.scaleBar(k, Point{sheetSideMM, base}, scale)
		for i, line := range caption {
			k.Text("label", captionX, base-further+float64(i)*LineHeight(Lettering("label").SizeMM), AnchorStart, line)
		}
		s.compass(k, Point{s.paper.WidthMM - sheetSideMM - 16, base - 4})
	}}, nil
}

// extent is the least and the greatest that the atrial view shows, as seen.
func (s *PlanSheet) extent(g gaze) (low, high geom.Vec) {
	low, high = geom.Vec{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, v := range atrialExtent(s.report.Laid.Heart) {
		p := g.seen(v)
		low, high = geom.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, geom.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	return low, high
}

// tooLarge says that the view does not fit, and whether its turn is to blame.
func (s *PlanSheet) tooLarge(scale, mostWideMM, mostHighMM float64) error {
	low, high := s.extent(downTheValve)
	if (high.X-low.X)*scale <= mostWideMM && (high.Y-low.Y)*scale <= mostHighMM {
		return fmt.Errorf("svgout: this heart%s, is too large for the sheet at true size; draw it without the turn", s.Habit.said())
	}
	return errors.New("svgout: this heart is too large for the sheet at true size")
}

// captionX is where what the view is stands, beside its scale bar.
const captionX = sheetSideMM + scaleBarMM + 8

// viewCaption says what the view is, how it is scaled and turned, in the lines it takes up to the compass.
func (s *PlanSheet) viewCaption(scale float64) []string {
	caption := s.say("sheet.view-small", words.Blanks{"habit": s.Habit.said(), "scale": decimal(scale)})
	if scale == 1 {
		caption = s.say("sheet.view", words.Blanks{"habit": s.Habit.said()})
	}
	if sense := s.Habit.sense(); !sense.IsZero() {
		caption = sentences(caption+".", s.said(sense))
	}
	const compassMM = 34.0 // from the margin to the left of its words
	return Fit("label", caption, s.paper.WidthMM-sheetSideMM-compassMM-captionX, 0)
}

// numberedGapMM is how high a numbered label is, with the gap to the next.
const numberedGapMM = 5.9

// labelsHeight is the height that the numbers of half the bites take.
func (s *PlanSheet) labelsHeight() float64 {
	return math.Ceil(float64(len(s.report.Bites))/2) * numberedGapMM
}

// numbers letters the number of each bite beside the picture, or where there is no room of every second, third ...
func (s *PlanSheet) numbers(k *Ink, st stitches, left, right Box) {
	for each := 1; each <= len(st.bites); each++ {
		var labels []Label
		for i, b := range st.bites {
			if i%each == 0 {
				labels = append(labels, Label{Lines: []string{fmt.Sprint(i + 1)}, Class: "number", Target: st.middle(b), Mark: mark(b.Verdict)})
			}
		}
		placed, err := Layout(labels, LabelFrame{Left: left, Right: right, MiddleX: middleTarget(labels)})
		if err == nil {
			k.Labels(placed)
			return
		}
	}
}

func (s *PlanSheet) legendBlock() block {
	draw := func(k *Ink, top float64) (bottom float64) {
		return s.legendFrom(k, Point{sheetSideMM, top + 5}, s.paper.WidthMM-sheetSideMM) + 2
	}
	// How many lines it takes is known once it is drawn: here, on scrap paper.
	scrap := NewDrawing(Page{WidthMM: s.paper.WidthMM, HeightMM: s.paper.HeightMM, Language: s.Language, Title: "scrap"})
	return block{heightMM: draw(scrap, 0), layer: "key", apart: 1, draw: func(k *Ink, top float64) { draw(k, top) }}
}

// findingBlocks letters reasons, worst first.
func (s *PlanSheet) findingBlocks(layer string, reasons []placement.Reason) (blocks []block) {
	for _, f := range s.foundIn(reasons, s.width()-6, 0) {
		blocks = append(blocks, block{heightMM: BlockHeight(f.class, len(f.lines)) + 1, layer: layer, draw: func(k *Ink, top float64) {
			if f.level > placement.Clear {
				k.LevelMark(mark(f.level), Point{sheetSideMM + 1.9, top + 2.2}, 3.4)
			}
			k.TextBlock(f.class, sheetSideMM+6, top, AnchorStart, f.lines)
		}})
	}
	return blocks
}

// lineBlocks are the figures of a replacement's line, and what was found.
func (s *PlanSheet) lineBlocks() (blocks []block) {
	line := s.report.Line
	if line == nil {
		return nil
	}
	seat := line.Seat
	blocks = append(blocks, s.subheading("suture", s.say("sheet.line")), s.text("suture", "label", s.say("sheet.seat", words.Blanks{
		"round": words.Fixed(line.LengthMM, 1), "area": words.Fixed(seat.AreaMM2, 0), "longest": words.Fixed(seat.LongestMM, 1), "shortest": words.Fixed(seat.ShortestMM, 1), "off": words.Fixed(seat.MaxMM, 1),
	}), 0))
	var clear []words.Said
	for _, d := range line.Distances {
		if !d.LeafletOnly {
			clear = append(clear, words.Of("sheet.line-clear", words.Blanks{"what": d.Label, "mm": words.Fixed(math.Floor(10*d.MM())/10, 1), "where": d.Where}))
		}
	}
	if line.Lip != nil {
		clear = append(clear, words.Of("sheet.line-lip", words.Blanks{"mm": words.Fixed(math.Floor(10*line.Lip.MM)/10, 1), "where": line.Lip.Where}))
	}
	if len(clear) > 0 {
		blocks = append(blocks, s.text("suture", "label", s.say("sheet.line-clears", words.Blanks{"clearances": words.Semicolons(clear...)}), 0))
	}
	return append(blocks, s.findingBlocks("suture", line.Reasons)...)
}

// repairBlocks are the figures before and after.
func (s *PlanSheet) repairBlocks() (blocks []block) {
	o := s.report.Outcome
	if o == nil {
		return nil
	}
	r := repairPlate{plate: s.plate, outcome: o}
	said := repairSaid
	said.X = sheetSideMM
	r.wordsIn = said
	measured := block{layer: "repair", pictured: true, heightMM: r.sizesHeight() + r.coverHeight() + 3, draw: func(k *Ink, top float64) {
		r := r
		r.Ink = k
		r.cover(r.sizes(top) + 2.5)
		room := Box{X: sheetSideMM + said.W + 4, Y: top, W: s.width() - said.W - 4, H: r.sizesHeight()}
		s.beforeAndAfter(r, room)
	}}
	blocks = append(blocks, s.subheading("repair", s.say("sheet.repair")), measured)
	return append(blocks, s.findingBlocks("repair", o.Reasons)...)
}

// beforeAndAfter draws the rim before and after, at true size, or as large as there is room for.
func (s *PlanSheet) beforeAndAfter(r repairPlate, room Box) {
	room.H -= 6
	before, fits := s.gaze.cameraFor(s.report.Laid.Heart.Rim.Sample(120), room)
	if !fits {
		return
	}
	before.scale = min(before.scale, 1)
	r.on(r.Ink, before)
	r.ghost()
	r.valve()
	r.stitchesMoved()
	caption := s.say("sheet.picture", words.Blanks{"habit": s.Habit.said(), "scale": decimal(before.scale)})
	for i, line := range Fit("axis-label", caption, room.W, 0) {
		r.Text("axis-label", room.Centre().X, room.Bottom()+5+float64(i)*LineHeight(Lettering("axis-label").SizeMM), AnchorMiddle, line)
	}
}

func (s *PlanSheet) patchBlocks() (blocks []block) {
	for i, p := range s.report.Patches {
		if i == 0 {
			blocks = append(blocks, s.subheading("patches", s.say("sheet.patches")))
		}
		blocks = append(blocks, s.text("patches", "label", s.say("sheet.patch", words.Blanks{"patch": p.Name, "area": words.Fixed(p.Sheet.FlatAreaMM2, 0), "round": words.Fixed(p.Sheet.FlatPerimeterMM, 1), "seam": words.Short(p.SeamMM, 3)}), 0))
		blocks = append(blocks, s.findingBlocks("patches", p.Reasons)...)
	}
	return blocks
}

// lookBlocks are the checks at the table, each with a box and room to write.
func (s *PlanSheet) lookBlocks() (blocks []block) {
	for i, look := range s.report.Laid.Plan.Looks {
		if i == 0 {
			blocks = append(blocks, s.subheading("look-at", s.say("looks.heading")))
		}
		blocks = append(blocks, block{heightMM: lookHeight(look, s.width()), layer: "look-at", draw: func(k *Ink, top float64) {
			k.look(look, Box{sheetSideMM, top, s.width(), lookHeight(look, s.width())})
		}})
	}
	return blocks
}

// basisBlocks tell how well known the rules and figures are that the sheet rests on.
func (s *PlanSheet) basisBlocks() (blocks []block) {
	blocks = append(blocks, s.subheading("basis", s.say("sheet.basis")))
	f := s.report.Figures()
	blocks = append(blocks, s.text("basis", "label", s.say("sheet.figures", words.Blanks{"published": f.Published, "memory": f.Memory, "assumed": f.Assumption, "measured": f.Measured}), 0))
	said := map[string]bool{}
	for _, rule := range s.report.Rules.Rules() {
		if s.speaks(rule.ID) && !said[rule.ID] {
			said[rule.ID] = true
			blocks = append(blocks, s.text("basis", "label-quiet", s.say("sheet.rule", words.Blanks{"rule": sentence(s.said(rule.Called())), "basis": rule.Basis()}), 0))
		}
	}
	return blocks
}

// speaks tells whether a rule found something in this plan.
func (s *PlanSheet) speaks(rule string) bool {
	names := func(reasons []placement.Reason) bool {
		return slices.ContainsFunc(reasons, func(r placement.Reason) bool { return r.Rule == rule })
	}
	if slices.ContainsFunc(s.report.Bites, func(b placement.BiteReport) bool { return names(b.Reasons) }) {
		return true
	}
	if slices.ContainsFunc(s.report.Patches, func(p placement.PatchReport) bool { return names(p.Reasons) }) {
		return true
	}
	if s.report.Line != nil && names(s.report.Line.Reasons) {
		return true
	}
	return s.report.Outcome != nil && names(s.report.Outcome.Reasons)
}
