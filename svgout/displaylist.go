package svgout

import (
	"slices"
	"strconv"
)

// Drawing is one finished page: every mark on it, in the order of drawing.
// WriteSVG, WritePDF and WritePNG write it; nothing changes it any more.
type Drawing struct {
	page    Page
	entries []entry
}

// Page is the paper that the drawing is drawn on.
func (d *Drawing) Page() Page { return d.page }

// In is the same drawing in a theme.
func (d *Drawing) In(theme Theme) *Drawing {
	themed := *d
	themed.page.Theme = theme
	return &themed
}

type entryKind uint8

const (
	kindGroup entryKind = iota
	kindEnd
	kindCircle
	kindLine
	kindRect
	kindPath
	kindBand
	kindText
)

// entry is one mark on a drawing, or where a group of them begins or ends.
// Ink has checked it: its class is in the house style, its numbers are
// lengths, rounded to the step written.
type entry struct {
	kind    entryKind
	name    string  // the class; a group's id, empty if it could not have one
	text    string  // lettering; a group's label
	at      Point   // centre, first end, upper left corner, or place of the anchor on the baseline
	to      Point   // a line's other end, a rectangle's width and height
	sizeMM  float64 // a circle's radius, a band's width
	anchor  Anchor
	strokes penPath
}

// penPath is the way of a pen: M, L, C and Z as in SVG path data, with the
// points they take (1, 1, 3 and none).
type penPath struct {
	moves  []byte
	points []Point
}

func (s penPath) clone() penPath {
	return penPath{slices.Clone(s.moves), slices.Clone(s.points)}
}

// data is SVG path data.
func (s penPath) data() string {
	out := make([]byte, 0, len(s.moves)+16*len(s.points))
	s.each(func(move byte, points []Point) {
		out = append(out, move)
		for i, q := range points {
			if i > 0 {
				out = append(out, ' ')
			}
			out = strconv.AppendFloat(out, q.X, 'f', -1, 64)
			out = append(out, ',')
			out = strconv.AppendFloat(out, q.Y, 'f', -1, 64)
		}
	})
	return string(out)
}

// each goes along the path, one move with its points at a time.
func (s penPath) each(do func(move byte, points []Point)) {
	at := 0
	for _, move := range s.moves {
		n := 1
		switch move {
		case 'C':
			n = 3
		case 'Z':
			n = 0
		}
		do(move, s.points[at:at+n])
		at += n
	}
}
