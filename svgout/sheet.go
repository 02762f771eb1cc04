package svgout

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas/geom"
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
	apart    float64 // from what is above it, unless it begins a page
	keep     bool    // it stays on the page of the next block: a heading
	layer    string  // the named layer it belongs to
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

// NewSheet lays a plan out on paper. It fails where the heart does not fit the page at any scale.
func NewSheet(report *placement.Report, paper Paper, reader Reader) (*PlanSheet, error) {
	s := &PlanSheet{plate: plate{report: report, page: Box{W: paper.WidthMM, H: paper.HeightMM}, Reader: reader}, paper: paper}
	view, err := s.view()
	if err != nil {
		return nil, err
	}
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
	k.Text("axis-label", s.paper.WidthMM-8, s.paper.HeightMM-sheetFooterMM+5, AnchorEnd, fmt.Sprintf("page %d of %d", page+1, len(s.pages)))
}

func (s *PlanSheet) pageTitle(page int) string {
	return fmt.Sprintf("%s: plan, page %d of %d", s.report.Laid.Plan.Case, page+1, len(s.pages))
}

func (s *PlanSheet) pageDesc(page int) string {
	if page == 0 {
		return s.describe()
	}
	return fmt.Sprintf("Page %d of the plan %s. %s", page+1, s.report.Laid.Plan.Case, s.said(placement.Care()))
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
var writeOn = []string{"Date, theatre", "Present", "Notes"}

func (s *PlanSheet) titleBlock() block {
	const lineMM = 8.0
	plan := s.report.Laid.Plan
	verdict := strings.ToUpper(s.report.Verdict.String())
	room := s.width() - MeasureIn("heading", verdict) - 12
	title := Fit("heading", plan.Case, room, 2)
	said := fmt.Sprintf("Operation: %s.", plan.Operation)
	if whose := s.whose(s.report.Laid.Heart); whose != "" {
		said += " " + whose
	}
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
	heart := s.report.Laid.Heart
	extent := atrialExtent(heart)
	low, high := geom.Vec{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range extent {
		low, high = geom.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, geom.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	scale := 1.0
	if heart.Rim.LengthMM() <= smallRimMM {
		scale = sheetScales[0]
	}
	const columnMM, mostMM, bandMM = 22.0, 150.0, 14.0
	width, height := (high.X-low.X)*scale, (high.Y-low.Y)*scale
	if width > s.width()-2*columnMM-4 || height > mostMM {
		return block{}, errors.New("svgout: this heart is too large for the sheet at true size")
	}
	columns := max(height, s.labelsHeight()) + 2
	return block{heightMM: columns + bandMM, layer: "atrial-view", apart: 3, draw: func(k *Ink, top float64) {
		middle := Point{s.paper.WidthMM / 2, top + columns/2}
		c := camera{gaze: downTheValve, scale: scale, centre: middle, over: low.Lerp(high, 0.5)}
		a := anatomy{Ink: k, Reader: s.Reader, camera: c, heart: heart}
		st := stitches{anatomy: a, bites: s.report.Bites}
		a.draw()
		a.sutureLine(s.report.Line)
		st.draw()
		st.verdicts()
		left := Box{X: middle.X - width/2 - columnMM - 2, Y: top, W: columnMM, H: columns}
		right := left
		right.X = middle.X + width/2 + 2
		s.numbers(k, st, left, right)
		s.scaleBar(k, Point{sheetSideMM, top + columns + 9}, scale)
		k.Text("label", sheetSideMM+scaleBarMM+8, top+columns+9, AnchorStart, s.scaleWords(scale))
		s.compass(k, Point{s.paper.WidthMM - sheetSideMM - 16, top + columns + 5})
	}}, nil
}

func (s *PlanSheet) scaleWords(scale float64) string {
	if scale == 1 {
		return "Atrial view, true size (1 : 1)"
	}
	return fmt.Sprintf("Atrial view, %s : 1, a small heart", mustNumber(scale))
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

// The columns of the table of bites, and how wide they are, mm; the place takes what is left. What is to be done stands
// under a bite, across the page.
var biteColumns = []struct {
	title   string
	widthMM float64
}{{"", 8}, {"bite", 34}, {"level", 22}, {"goes in at", 0}, {"tissue", 17}, {"deep", 18}, {"clear by", 38}}

const (
	nameColumn  = 1
	levelColumn = 2
	placeColumn = 3
)

// biteRows is the table of bites, in the order of sewing.
func (s *PlanSheet) biteRows() (rows []block) {
	if len(s.report.Bites) == 0 {
		return nil
	}
	var titles []string
	for _, c := range biteColumns {
		titles = append(titles, c.title)
	}
	header := s.tableRow("legend-heading", nil, titles, "")
	rows = append(rows, s.subheading("bites-table", "Bites, in the order of sewing"), header)
	rows[1].keep = true
	for i, b := range s.report.Bites {
		row := s.tableRow("label", &b, []string{fmt.Sprint(i + 1), nameBeside(i, b), b.Verdict.String(), b.Where.String(), string(b.Tissue), fmt.Sprintf("%.3g mm", b.DepthMM), string(b.Nearest.Words()) + " mm, " + s.shortName(b.Nearest)}, todo(b))
		row.header = &header
		rows = append(rows, row)
	}
	return rows
}

// nameBeside is a bite's name, where it is not its number.
func nameBeside(i int, b placement.BiteReport) string {
	if b.Name == fmt.Sprint(i+1) {
		return ""
	}
	return b.Name
}

// todo is what to do about a bite: nothing for a clear one.
func todo(b placement.BiteReport) string {
	var said []string
	for _, r := range b.Reasons {
		if r.Level > placement.Clear {
			said = append(said, brief(r.Text.String()))
		}
	}
	for _, r := range b.Reasons {
		if instead := "instead: " + r.Instead.String(); !r.Instead.IsZero() && !slices.Contains(said, instead) {
			said = append(said, instead)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return sentence(strings.Join(said, "; ")) + "."
}

// tableRow is a row whose cells are wrapped in their columns, with a text under it across the page. A row of a bite has
// its level's mark.
func (s *PlanSheet) tableRow(class string, bite *placement.BiteReport, cells []string, under string) block {
	const markRoomMM = 5.0
	cellLines, lines := make([][]string, len(cells)), 1
	f := Lettering(class)
	for i, cell := range cells {
		width := s.columnWidth(i) - 2
		if i == levelColumn {
			width -= markRoomMM
		}
		cellLines[i] = Wrap(cell, width, f.SizeMM, f.Bold)
		lines = max(lines, len(cellLines[i]))
	}
	below := Fit(class, under, s.width()-biteColumns[0].widthMM, 6)
	height := BlockHeight(class, lines) + BlockHeight(class, len(below)) + 1.2
	return block{heightMM: height, layer: "bites-table", draw: func(k *Ink, top float64) {
		x := sheetSideMM
		for i, cell := range cellLines {
			at := x
			if i == levelColumn && bite != nil {
				k.LevelMark(mark(bite.Verdict), Point{x + 1.9, top + 2.3}, 3.4)
				at += markRoomMM
			}
			k.TextBlock(class, at, top, AnchorStart, cell)
			x += s.columnWidth(i)
		}
		k.TextBlock(class, sheetSideMM+biteColumns[0].widthMM, top+BlockHeight(class, lines), AnchorStart, below)
		k.Line("frame", Point{sheetSideMM, top + height - 0.7}, Point{s.paper.WidthMM - sheetSideMM, top + height - 0.7})
	}}
}

func (s *PlanSheet) columnWidth(i int) float64 {
	switch i {
	case nameColumn: // as wide as the names are, and no wider than it may be
		widest := MeasureIn("legend-heading", biteColumns[i].title)
		for j, b := range s.report.Bites {
			widest = max(widest, MeasureIn("label", nameBeside(j, b)))
		}
		return min(widest+3, biteColumns[i].widthMM)
	case placeColumn:
		rest := s.width()
		for j := range biteColumns {
			if j != placeColumn {
				rest -= s.columnWidth(j)
			}
		}
		return rest
	}
	return biteColumns[i].widthMM
}

// findingBlocks letters reasons, worst first.
func (s *PlanSheet) findingBlocks(layer string, reasons []placement.Reason) (blocks []block) {
	for _, f := range foundIn(reasons, s.width()-6, 0) {
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
	blocks = append(blocks, s.subheading("suture", "Suture line of the replacement"))
	say := func(format string, args ...any) {
		blocks = append(blocks, s.text("suture", "label", fmt.Sprintf(format, args...), 0))
	}
	seat := line.Seat
	say("%.1f mm round; seat %.0f mm² spanned, %.1f by %.1f mm; off its best plane %.1f mm at most.", line.LengthMM, seat.AreaMM2, seat.LongestMM, seat.ShortestMM, seat.MaxMM)
	var clear []string
	for _, d := range line.Distances {
		if !d.LeafletOnly {
			clear = append(clear, fmt.Sprintf("%s %.1f mm (%s)", d.Label, math.Floor(10*d.MM())/10, d.Where))
		}
	}
	if line.Lip != nil {
		clear = append(clear, fmt.Sprintf("lip of the coronary sinus ostium %.1f mm (%s)", math.Floor(10*line.Lip.MM)/10, line.Lip.Where))
	}
	if len(clear) > 0 {
		say("Clear by, at the nearest: %s.", strings.Join(clear, "; "))
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
	measured := block{layer: "repair", heightMM: r.sizesHeight() + r.coverHeight() + 3, draw: func(k *Ink, top float64) {
		r := r
		r.Ink = k
		r.cover(r.sizes(top) + 2.5)
		room := Box{X: sheetSideMM + said.W + 4, Y: top, W: s.width() - said.W - 4, H: r.sizesHeight()}
		s.beforeAndAfter(r, room)
	}}
	blocks = append(blocks, s.subheading("repair", "The valve before and after the repair"), measured)
	return append(blocks, s.findingBlocks("repair", o.Reasons)...)
}

// beforeAndAfter draws the rim before and after, at true size, or as large as there is room for.
func (s *PlanSheet) beforeAndAfter(r repairPlate, room Box) {
	heart := s.report.Laid.Heart
	room.H -= 6
	before, fits := cameraFor(heart.Rim.Sample(120), room)
	if !fits {
		return
	}
	before.scale = min(before.scale, 1)
	r.before = anatomy{Ink: r.Ink, Reader: s.Reader, camera: before, heart: heart}
	r.after = r.before
	r.after.heart = repaired(s.report)
	r.after.over = before.over.Sub(r.outcome.Gathered.Shift)
	r.ghost()
	r.valve()
	r.stitchesMoved()
	r.Text("axis-label", room.Centre().X, room.Bottom()+5, AnchorMiddle, fmt.Sprintf("before, broken; after, full; %s : 1", mustNumber(before.scale)))
}

func (s *PlanSheet) patchBlocks() (blocks []block) {
	for i, p := range s.report.Patches {
		if i == 0 {
			blocks = append(blocks, s.subheading("patches", "Patches"))
		}
		blocks = append(blocks, s.text("patches", "label", fmt.Sprintf("%s: %.0f mm², %.1f mm round, laid flat; seam %.3g mm. Its template is a drawing of its own, at true size.", p.Name, p.Sheet.FlatAreaMM2, p.Sheet.FlatPerimeterMM, p.SeamMM), 0))
		blocks = append(blocks, s.findingBlocks("patches", p.Reasons)...)
	}
	return blocks
}

// lookBlocks are the checks at the table, each with a box and room to write.
func (s *PlanSheet) lookBlocks() (blocks []block) {
	for i, look := range s.report.Laid.Plan.Looks {
		if i == 0 {
			blocks = append(blocks, s.subheading("look-at", "At the table"))
		}
		blocks = append(blocks, block{heightMM: lookHeight(look, s.width()), layer: "look-at", draw: func(k *Ink, top float64) {
			k.look(look, Box{sheetSideMM, top, s.width(), lookHeight(look, s.width())})
		}})
	}
	return blocks
}

// basisBlocks tell how well known the rules and figures are that the sheet rests on.
func (s *PlanSheet) basisBlocks() (blocks []block) {
	blocks = append(blocks, s.subheading("basis", "What this rests on"))
	f := s.report.Figures()
	blocks = append(blocks, s.text("basis", "label", fmt.Sprintf("Of the heart's figures %d are published, %d from memory, %d assumed and %d measured in this patient.", f.Published, f.Memory, f.Assumption, f.Measured), 0))
	said := map[string]bool{}
	for _, rule := range s.report.Rules.Rules() {
		if s.speaks(rule.ID) && !said[rule.ID] {
			said[rule.ID] = true
			blocks = append(blocks, s.text("basis", "label-quiet", fmt.Sprintf("%s: %s", sentence(s.said(rule.Called())), rule.Basis()), 0))
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
