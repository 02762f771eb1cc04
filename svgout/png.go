package svgout

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image/png"
	"io"
	"math"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font/sfnt"
)

const (
	lowestDotsPerInch  = 10
	highestDotsPerInch = 2400

	// mostDots bounds a picture's memory to some 400 MB.
	mostDots = 100e6
)

// WritePNG writes the drawing as a picture of so many dots per inch, from 10
// to 2400. The file tells the resolution, so that a program that
// heeds it shows the drawing at true size. Lettering is as in WritePDF. Equal
// drawings are written as equal bytes on machines of one kind.
func WritePNG(w io.Writer, drawing *Drawing, dotsPerInch float64) error {
	if !(dotsPerInch >= lowestDotsPerInch && dotsPerInch <= highestDotsPerInch) {
		return fmt.Errorf("svgout: %v dots per inch; expected from %d to %d, such as 150 for a screen or 300 for print", dotsPerInch, lowestDotsPerInch, highestDotsPerInch)
	}
	perMM := dotsPerInch / mmPerInch
	width, height := math.Round(drawing.page.WidthMM*perMM), math.Round(drawing.page.HeightMM*perMM)
	if width*height > mostDots {
		return fmt.Errorf("svgout: a picture of %.0f by %.0f dots is too large; expected at most %.0f million dots: ask for fewer dots per inch", width, height, mostDots/1e6)
	}
	faces, err := loadTypefaces()
	if err != nil {
		return err
	}
	p := pngPen{canvas: gg.NewContext(int(width), int(height)), perMM: perMM, faces: faces, theme: drawing.page.Theme}
	p.draw(drawing)
	var out bytes.Buffer
	if err := png.Encode(&out, p.canvas.Image()); err != nil {
		return fmt.Errorf("svgout: PNG: %w", err)
	}
	if _, err := w.Write(withResolution(out.Bytes(), dotsPerInch)); err != nil {
		return fmt.Errorf("svgout: writing: %w", err)
	}
	return nil
}

// pngPen draws a drawing through gg, in dots from the upper left.
type pngPen struct {
	canvas *gg.Context
	perMM  float64
	faces  typefaces
	theme  Theme
}

func (p pngPen) draw(d *Drawing) {
	p.colour(p.theme.of(white)) // the paper ends within the last dots
	p.canvas.Clear()
	p.canvas.SetLineJoinRound()
	for i := range d.entries {
		switch e := &d.entries[i]; e.kind {
		case kindGroup, kindEnd:
		case kindText:
			p.letter(e)
		default:
			p.paint(e)
		}
	}
}

func (p pngPen) paint(e *entry) {
	outline := e.outline()
	for _, b := range e.brushes(p.theme) {
		p.canvas.ClearPath()
		p.trace(outline)
		if b.fills() {
			p.colour(b.fill)
			p.canvas.FillPreserve()
		}
		if b.strokes() {
			p.colour(b.stroke)
			p.stroke(b)
		}
	}
}

func (p pngPen) stroke(b brush) {
	p.canvas.SetLineCapRound()
	if len(b.dashMM) > 0 {
		p.canvas.SetLineCapButt()
	}
	dashes := make([]float64, len(b.dashMM))
	for i, mm := range b.dashMM {
		dashes[i] = mm * p.perMM
	}
	p.canvas.SetDash(dashes...)
	p.canvas.SetLineWidth(b.widthMM * p.perMM)
	p.canvas.StrokePreserve()
}

func (p pngPen) colour(c Colour) {
	r, g, b := c.parts()
	p.canvas.SetRGB255(int(r), int(g), int(b))
}

func (p pngPen) trace(outline penPath) {
	f := p.perMM
	outline.each(func(move byte, q []Point) {
		switch move {
		case 'M':
			p.canvas.MoveTo(q[0].X*f, q[0].Y*f)
		case 'L':
			p.canvas.LineTo(q[0].X*f, q[0].Y*f)
		case 'C':
			p.canvas.CubicTo(q[0].X*f, q[0].Y*f, q[1].X*f, q[1].Y*f, q[2].X*f, q[2].Y*f)
		case 'Z':
			p.canvas.ClosePath()
		}
	})
}

// letter fills the outlines of a line's letters, unhinted, each where it is
// due to a fraction of a dot.
func (p pngPen) letter(e *entry) {
	r := p.theme.rule(e.name)
	face := p.faces.of(r.Font)
	line, width := face.pieces(face.written(e.text))
	size := r.Font.SizeMM * p.perMM
	start := startOf(e.at.X*p.perMM, e.anchor, width*size)
	p.colour(r.Fill)
	p.canvas.ClearPath()
	for _, piece := range line {
		x := start + piece.atEm*size
		for _, c := range piece.text {
			p.traceLetter(face, c, x, e.at.Y*p.perMM, size)
			x += face.advance(c) * size
		}
	}
	p.canvas.Fill()
}

func (p pngPen) traceLetter(face typeface, c rune, x, y, size float64) {
	shape, err := face.font.LoadGlyph(face.buf, face.glyph(c), face.unitsPerEm(), nil)
	if err != nil {
		return // the font's own shapes are all sound
	}
	f := size / float64(face.unitsPerEm())
	for _, s := range shape {
		var q [3]Point
		for i, a := range s.Args {
			q[i] = Point{x + float64(a.X)*f, y + float64(a.Y)*f}
		}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			p.canvas.MoveTo(q[0].X, q[0].Y)
		case sfnt.SegmentOpLineTo:
			p.canvas.LineTo(q[0].X, q[0].Y)
		case sfnt.SegmentOpQuadTo:
			p.canvas.QuadraticTo(q[0].X, q[0].Y, q[1].X, q[1].Y)
		case sfnt.SegmentOpCubeTo:
			p.canvas.CubicTo(q[0].X, q[0].Y, q[1].X, q[1].Y, q[2].X, q[2].Y)
		}
	}
}

// withResolution adds what the encoder leaves out: how many dots make a
// metre, in a pHYs chunk (PNG, third edition, 11.3.4.3), which stands between
// the header and the picture.
func withResolution(picture []byte, dotsPerInch float64) []byte {
	const (
		headerEnd = 8 + 4 + 4 + 13 + 4 // signature; length, type, data and check sum of IHDR
		metre     = 1
	)
	perMetre := uint32(math.Round(dotsPerInch / mmPerInch * 1000))
	data := []byte("pHYs")
	data = binary.BigEndian.AppendUint32(data, perMetre)
	data = binary.BigEndian.AppendUint32(data, perMetre)
	data = append(data, metre)
	out := append([]byte{}, picture[:headerEnd]...)
	out = binary.BigEndian.AppendUint32(out, uint32(len(data)-len("pHYs")))
	out = append(out, data...)
	out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(data))
	return append(out, picture[headerEnd:]...)
}
