package svgout

import "strconv"

// brush is what an outline is painted with: filled, then stroked, with round
// joins and, but for dashes, round ends. An empty colour paints nothing. It
// is the house style for back ends that know no style sheet.
type brush struct {
	fill, stroke Colour
	widthMM      float64
	dashMM       []float64
}

func (b brush) fills() bool   { return b.fill != "" }
func (b brush) strokes() bool { return b.stroke != "" && b.widthMM > 0 }

// brushes are what an entry is painted with in a theme, one after the other.
func (e *entry) brushes(theme Theme) []brush {
	r := theme.rule(e.name)
	if e.kind == kindBand {
		two := bandStrokes(r, e.sizeMM)
		return two[:]
	}
	b := brush{fill: r.Fill, stroke: r.Stroke, widthMM: r.WidthMM, dashMM: r.DashMM}
	if e.kind == kindLine {
		b.fill = "" // a straight line has no inside
	}
	return []brush{b}
}

// outline is the way of the pen for an entry that is a shape.
func (e *entry) outline() penPath {
	switch e.kind {
	case kindCircle:
		return circleOutline(e.at, e.sizeMM)
	case kindLine:
		return penPath{[]byte("ML"), []Point{e.at, e.to}}
	case kindRect:
		far := e.at.Plus(e.to)
		return penPath{[]byte("MLLLZ"), []Point{e.at, {far.X, e.at.Y}, far, {e.at.X, far.Y}}}
	}
	return e.strokes
}

// circleReach is how far the control points of a quarter circle stand from
// its ends, in radii: 4/3 (√2 − 1). The curve keeps within 0.03 % of the
// circle.
const circleReach = 0.5522847498307936

func circleOutline(c Point, r float64) penPath {
	q := circleReach * r
	return penPath{[]byte("MCCCCZ"), []Point{
		{c.X + r, c.Y},
		{c.X + r, c.Y + q}, {c.X + q, c.Y + r}, {c.X, c.Y + r},
		{c.X - q, c.Y + r}, {c.X - r, c.Y + q}, {c.X - r, c.Y},
		{c.X - r, c.Y - q}, {c.X - q, c.Y - r}, {c.X, c.Y - r},
		{c.X + q, c.Y - r}, {c.X + r, c.Y - q}, {c.X + r, c.Y},
	}}
}

// parts are a colour's red, green and blue. What is not written #rrggbb is
// black.
func (c Colour) parts() (r, g, b uint8) {
	if len(c) != len("#rrggbb") || c[0] != '#' {
		return 0, 0, 0
	}
	v, err := strconv.ParseUint(string(c[1:]), 16, 32)
	if err != nil {
		return 0, 0, 0
	}
	return uint8(v >> 16), uint8(v >> 8), uint8(v)
}

// startOf is where a line of lettering begins whose anchor stands at x.
func startOf(x float64, anchor Anchor, widthMM float64) float64 {
	switch anchor {
	case AnchorMiddle:
		return x - widthMM/2
	case AnchorEnd:
		return x - widthMM
	}
	return x
}
