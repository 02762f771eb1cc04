package svgout

import (
	"fmt"
	"slices"
	"strings"

	"fairlead/atlas/words"
	"fairlead/placement"
)

// biteColumn is a column of the table of bites: what its head is called, and how wide it is, mm.
type biteColumn struct {
	title   string
	widthMM float64
}

// The columns of the table of bites. One with a wider word takes more; the place takes what is left. What is to be done
// stands under a bite, across the page.
var biteColumns = []biteColumn{{"", 8}, {"bite", 34}, {"level", 22}, {"place", 0}, {"tissue", 17}, {"deep", 18}, {"clear", 38}}

const (
	nameColumn  = 1 // as wide as the names are, and no wider than it may be
	levelColumn = 2
	placeColumn = 3
)

const (
	columnGapMM = 2.0
	markRoomMM  = 5.0 // of a level's mark, before its word
)

// spareColumnMM is how wide one more narrow column may be, such as of shares: the place has that much to give.
const spareColumnMM = 9.0

// biteTable is the table of bites on a sheet.
type biteTable struct {
	*PlanSheet
	cells  [][]string // row by row, the first the heads
	widths []float64  // of the columns, mm
}

// biteRows is the table of bites, in the order of sewing.
func (s *PlanSheet) biteRows() (rows []block) {
	if len(s.report.Bites) == 0 {
		return nil
	}
	t := s.biteTable(biteColumns)
	header := t.row(0, nil)
	rows = append(rows, s.subheading("bites-table", s.say("sheet.bites")), header)
	rows[1].keep = true
	for i := range s.report.Bites {
		row := t.row(i+1, &s.report.Bites[i])
		row.header = &header
		rows = append(rows, row)
	}
	return rows
}

// biteTable is the table in certain columns; those behind the usual ones stay empty.
func (s *PlanSheet) biteTable(columns []biteColumn) biteTable {
	heads := make([]string, len(biteColumns))
	for i, c := range biteColumns {
		if c.title != "" {
			heads[i] = s.said(words.Of("sheet.column." + c.title))
		}
	}
	t := biteTable{PlanSheet: s, cells: [][]string{heads}}
	for i, b := range s.report.Bites {
		tissue := words.Of("sheet.tissue." + string(b.Tissue))
		clear := s.say("bite.distance", words.Blanks{"mm": b.Nearest.Words(), "what": s.shortName(b.Nearest)})
		t.cells = append(t.cells, []string{fmt.Sprint(i + 1), nameBeside(i, b), s.said(b.Verdict.Said()), s.said(b.Where), s.said(tissue), s.mm(words.Short(b.DepthMM, 3)), clear})
	}
	t.widths = t.columnWidths(columns)
	return t
}

// nameBeside is a bite's name, where it is not its number.
func nameBeside(i int, b placement.BiteReport) string {
	if b.Name == fmt.Sprint(i+1) {
		return ""
	}
	return b.Name
}

// columnWidths is how wide each of certain columns is, mm.
func (t biteTable) columnWidths(columns []biteColumn) []float64 {
	widths, rest := make([]float64, len(columns)), t.width()
	for i, c := range columns {
		switch i {
		case placeColumn:
			continue
		case nameColumn:
			widths[i] = min(t.widest(i, func(cell string) []string { return []string{cell} })+3, c.widthMM)
		default:
			widths[i] = max(c.widthMM, t.widest(i, strings.Fields)+beforeCell(i)+columnGapMM)
		}
		rest -= widths[i]
	}
	widths[placeColumn] = rest
	return widths
}

// widest is how wide the widest part of a column's cells is, mm, which must not be broken.
func (t biteTable) widest(column int, parts func(cell string) []string) (widestMM float64) {
	for i, row := range t.cells {
		if column >= len(row) {
			break
		}
		for _, part := range parts(row[column]) {
			widestMM = max(widestMM, MeasureIn(rowClass(i), part))
		}
	}
	return widestMM
}

// rowClass is the lettering of a row.
func rowClass(row int) string {
	if row == 0 {
		return "legend-heading"
	}
	return "label"
}

// beforeCell is the room before the words of a column's cells.
func beforeCell(column int) float64 {
	if column == levelColumn {
		return markRoomMM
	}
	return 0
}

// row is a row whose cells are wrapped in their columns. A row of a bite has its level's mark, and under it across the page
// what is to be done.
func (t biteTable) row(row int, bite *placement.BiteReport) block {
	class, under := rowClass(row), ""
	if bite != nil {
		under = t.todo(*bite)
	}
	cells, lines := make([][]string, len(t.cells[row])), 1
	f := Lettering(class)
	for i, cell := range t.cells[row] {
		cells[i] = Wrap(cell, t.widths[i]-columnGapMM-beforeCell(i), f.SizeMM, f.Bold)
		lines = max(lines, len(cells[i]))
	}
	indent := t.widths[0]
	below := Fit(class, under, t.width()-indent, 6)
	height := BlockHeight(class, lines) + BlockHeight(class, len(below)) + 1.2
	return block{heightMM: height, layer: "bites-table", draw: func(k *Ink, top float64) {
		x := sheetSideMM
		for i, cell := range cells {
			at := x
			if i == levelColumn && bite != nil {
				k.LevelMark(mark(bite.Verdict), Point{x + 1.9, top + 2.3}, 3.4)
				at += markRoomMM
			}
			k.TextBlock(class, at, top, AnchorStart, cell)
			x += t.widths[i]
		}
		k.TextBlock(class, sheetSideMM+indent, top+BlockHeight(class, lines), AnchorStart, below)
		k.Line("frame", Point{sheetSideMM, top + height - 0.7}, Point{t.paper.WidthMM - sheetSideMM, top + height - 0.7})
	}}
}

// todo is what to do about a bite: nothing for a clear one.
func (s *PlanSheet) todo(b placement.BiteReport) string {
	var said []string
	for _, r := range b.Reasons {
		if r.Level > placement.Clear {
			said = append(said, s.gist(r.Text))
		}
	}
	for _, r := range b.Reasons {
		if r.Instead.IsZero() {
			continue
		}
		if instead := s.say("sheet.instead", words.Blanks{"instead": r.Instead}); !slices.Contains(said, instead) {
			said = append(said, instead)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return sentence(strings.Join(said, "; ")) + "."
}
