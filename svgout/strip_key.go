package svgout

import (
	"fairlead/atlas/words"
	"fairlead/placement"
)

// keyTable lists tags: number, level, name and finding, in one or more columns.
type keyTable struct {
	Reader
	columns []Box
	// freeMM is left white at the right end of each column.
	freeMM float64
}

const (
	keyNumberMM = 6.0 // room for a number
	keyMarkMM   = 5.2 // and for a mark
	keyGapMM    = 1.1 // between entries
)

type keyEntry struct {
	tag
	lines []string
	at    Point // its upper left corner
}

// entries gives tags places in the table, each with at most so many lines, or tells that there is no room.
func (t keyTable) entries(tags []tag, named bool, maxLines int) ([]keyEntry, bool) {
	column, y := 0, t.columns[0].Y
	var entries []keyEntry
	for _, f := range tags {
		room := t.columns[column].W - keyNumberMM - keyMarkMM - t.freeMM
		lines := Fit("legend", t.tagWords(f, named, room), room, maxLines)
		height := BlockHeight("legend", len(lines)) + keyGapMM
		if y+height > t.columns[column].Bottom() {
			if column++; column == len(t.columns) {
				return nil, false
			}
			y = t.columns[column].Y
		}
		entries = append(entries, keyEntry{f, lines, Point{t.columns[column].X, y}})
		y += height
	}
	return entries, true
}

// spareUnder is the room that entries leave in a column of the table.
func spareUnder(entries []keyEntry, column Box) Box {
	const airMM = 3.0
	spare := Box{column.X + keyNumberMM + keyMarkMM, column.Y, column.W - keyNumberMM - keyMarkMM - keyFreeMM, column.H}
	for _, e := range entries {
		if e.at.X == column.X {
			spare.Y = e.at.Y + BlockHeight("legend", len(e.lines)) + airMM
		}
	}
	spare.H = column.Bottom() - spare.Y
	return spare
}

// tagWords say what was found of a tag's bites, after the name where the number is not the name.
func (r Reader) tagWords(f tag, named bool, roomMM float64) string {
	b := f.worst()
	text, called := r.finding(b), f.number
	if named {
		called = Clip(clean(b.Name), roomMM-MeasureIn("legend", ":"), Lettering("legend").SizeMM, false)
	}
	whole := r.say("bite.finding", words.Blanks{"bite": Isolate(called), "finding": text})
	switch n := len(f.bites); {
	case n > 1:
		return r.say("bite.group", words.Blanks{"n": n, "worst": whole})
	case named:
		return whole
	}
	return text
}

// numbersOnly tells that pictures call the bites by their own names.
func numbersOnly(bites []placement.BiteReport) bool {
	for i, number := range numbered(bites) {
		if number != clean(bites[i].Name) {
			return false
		}
	}
	return true
}

func (k *Ink) key(entries []keyEntry) {
	k.layer("key", "key-to-the-bites")
	defer k.End()
	for _, e := range entries {
		first := e.at.Y + ascentEm*Lettering("legend").SizeMM
		k.Text("number", e.at.X+keyNumberMM-1, first, AnchorEnd, e.number)
		k.LevelMark(e.level(), Point{e.at.X + keyNumberMM + keyMarkMM/2 - 0.3, first - Lettering("legend").SizeMM*capHeightEm/2}, markMM)
		k.TextBlock("legend", e.at.X+keyNumberMM+keyMarkMM, e.at.Y, AnchorStart, e.lines)
	}
}
