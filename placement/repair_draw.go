package placement

import (
	"math"
	"slices"

	"fairlead/atlas"
)

// drawing is the rim while the steps of a repair draw it together, one after the other. Places are always those of the
// rim before the repair; lengths are what the steps so far have left. Between two cuts the rim is drawn evenly.
type drawing struct {
	roundMM float64
	pieces  []drawnPiece // clockwise from 0, once round
}

type drawnPiece struct {
	fromMM, forMM float64
	ratio         float64 // length left over length before; exactly 1 where nothing was drawn
	onMM, onForMM float64 // where it lies on a rigid device; 0 and 0: not on one
}

// leftMM is how long the piece is now.
func (p drawnPiece) leftMM() float64 { return p.forMM * p.ratio }

func newDrawing(rim *atlas.Rim) *drawing {
	round := rim.LengthMM()
	return &drawing{roundMM: round, pieces: []drawnPiece{{forMM: round, ratio: 1}}}
}

// span is the way clockwise from one place to another, in [0, round).
func (d *drawing) span(fromMM, toMM float64) float64 {
	way := math.Mod(toMM-fromMM, d.roundMM)
	if way < 0 {
		way += d.roundMM
	}
	if way >= d.roundMM {
		return 0
	}
	return way
}

// cut makes a place the border of two pieces.
func (d *drawing) cut(at float64) {
	at = d.span(0, at)
	for i, p := range d.pieces {
		into := at - p.fromMM
		if into <= rounding || into >= p.forMM-rounding {
			continue
		}
		rest := p
		rest.fromMM, rest.forMM = at, p.forMM-into
		d.pieces[i].forMM = into
		d.pieces = slices.Insert(d.pieces, i+1, rest)
		return
	}
}

// within are the pieces of a stretch, clockwise from its start. Its ends become cuts.
func (d *drawing) within(fromMM, forMM float64) (found []*drawnPiece) {
	d.cut(fromMM)
	d.cut(fromMM + forMM)
	first := 0
	for i, p := range d.pieces {
		if middle := p.fromMM + p.forMM/2; d.span(fromMM, middle) < d.span(fromMM, d.pieces[first].fromMM+d.pieces[first].forMM/2) {
			first = i
		}
	}
	for i := range d.pieces {
		p := &d.pieces[(first+i)%len(d.pieces)]
		if d.span(fromMM, p.fromMM+p.forMM/2) < forMM {
			found = append(found, p)
		}
	}
	return found
}

// lengthMM is how long a stretch is now.
func (d *drawing) lengthMM(fromMM, forMM float64) (sum float64) {
	for _, p := range d.within(fromMM, forMM) {
		sum += p.leftMM()
	}
	return sum
}

// draw shortens a stretch evenly to a length, and tells how long it was. It never lengthens.
func (d *drawing) draw(fromMM, forMM, toMM float64) (wasMM float64) {
	wasMM = d.lengthMM(fromMM, forMM)
	if toMM >= wasMM-rounding {
		return wasMM
	}
	for _, p := range d.within(fromMM, forMM) {
		p.ratio *= toMM / wasMM
	}
	return wasMM
}

// layOn notes that a stretch lies on a rigid device, from a place of it for a length of it.
func (d *drawing) layOn(fromMM, forMM, onMM, onForMM float64) {
	left := d.lengthMM(fromMM, forMM)
	for _, p := range d.within(fromMM, forMM) {
		share := p.leftMM() / left
		if left == 0 {
			share = 0
		}
		p.onMM, p.onForMM = onMM, onForMM*share
		onMM += onForMM * share
	}
}

// ahead is the place reached from another by going a length of what is left, clockwise or, negative, anticlockwise.
func (d *drawing) ahead(at, mm float64) float64 {
	d.cut(at)
	pieces := d.within(at, d.roundMM)
	if mm >= 0 {
		for _, p := range pieces {
			if mm <= p.leftMM() && p.ratio > 0 {
				return p.fromMM + mm/p.ratio
			}
			mm -= p.leftMM()
		}
		return at
	}
	for _, p := range slices.Backward(pieces) {
		if -mm <= p.leftMM() && p.ratio > 0 {
			return p.fromMM + p.forMM + mm/p.ratio
		}
		mm += p.leftMM()
	}
	return at
}

// gathers are the stretches that were drawn together, and all that lie on a rigid device.
func (d *drawing) gathers() (all []atlas.Gather) {
	for _, p := range d.pieces {
		if p.ratio == 1 && p.onForMM == 0 {
			continue
		}
		all = append(all, atlas.Gather{FromMM: p.fromMM, ForMM: p.forMM, ToMM: p.leftMM(), OnMM: p.onMM, OnForMM: p.onForMM})
	}
	return all
}

// drawnBeside tells whether something that lies on no rigid device was drawn together and is still there. A former can
// not say what becomes of that.
func (d *drawing) drawnBeside() bool {
	for _, p := range d.pieces {
		if p.onForMM == 0 && p.ratio != 1 && p.ratio > 0 {
			return true
		}
	}
	return false
}
