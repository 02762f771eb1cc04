package svgout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf16"

	"codeberg.org/go-pdf/fpdf"
)

// WritePDF writes drawings as the pages of one PDF, each page as large as its
// drawing, drawn in lines and letters. The document's title, language and
// description are those of the first drawing; the outermost groups are layers
// that a viewer can switch off; whoever prints it is asked not to scale. It
// bears no date: equal drawings are written as equal bytes.
//
// The lettering is Liberation Sans, which is embedded. One hollow square
// stands for each run of characters that it lacks.
func WritePDF(w io.Writer, drawings ...*Drawing) error {
	if len(drawings) == 0 {
		return errors.New("svgout: a PDF needs at least one drawing")
	}
	faces, err := loadTypefaces()
	if err != nil {
		return err
	}
	p := newPDFPen(drawings[0].page, faces)
	for _, d := range drawings {
		p.draw(d)
	}
	var out bytes.Buffer
	if err := p.doc.Output(&out); err != nil {
		return fmt.Errorf("svgout: PDF: %w", err)
	}
	if err := amendPDF(out.Bytes()); err != nil {
		return err
	}
	if _, err := w.Write(out.Bytes()); err != nil {
		return fmt.Errorf("svgout: writing: %w", err)
	}
	return nil
}

// pdfPen draws drawings through fpdf, in millimetres from the upper left.
type pdfPen struct {
	doc    *fpdf.Fpdf
	faces  typefaces
	layers map[string]int // by label, shared by all pages
	depth  int            // groups open
	theme  Theme          // of the page being drawn
}

const pdfFamily = "LiberationSans"

func newPDFPen(first Page, faces typefaces) *pdfPen {
	size := fpdf.SizeType{Wd: first.WidthMM, Ht: first.HeightMM}
	doc := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: size})
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCatalogSort(true)
	doc.SetCreationDate(time.Unix(0, 0).UTC())
	doc.SetModificationDate(time.Unix(0, 0).UTC())
	doc.SetTitle(pdfText(clean(first.Title)), false)
	doc.SetSubject(pdfText(clean(first.Desc)), false)
	doc.SetCreator("fairlead", false)
	doc.SetLang(first.Language.Tag())
	doc.SetLineJoinStyle("round")
	doc.AddUTF8FontFromBytes(pdfFamily, "", faces.regular.ttf)
	doc.AddUTF8FontFromBytes(pdfFamily, "B", faces.bold.ttf)
	return &pdfPen{doc: doc, faces: faces, layers: map[string]int{}}
}

func (p *pdfPen) draw(d *Drawing) {
	p.theme = d.page.Theme
	p.doc.AddPageFormat("P", fpdf.SizeType{Wd: d.page.WidthMM, Ht: d.page.HeightMM})
	for i := range d.entries {
		switch e := &d.entries[i]; e.kind {
		case kindGroup:
			p.openGroup(e)
		case kindEnd:
			p.closeGroup()
		case kindText:
			p.letter(e)
		default:
			p.paint(e)
		}
	}
}

// openGroup opens a layer for an outermost group; the library cannot put one
// into another.
func (p *pdfPen) openGroup(e *entry) {
	if p.depth++; p.depth > 1 {
		return
	}
	label := e.text
	if label == "" {
		label = e.name
	}
	label = withoutPictographs(label)
	id, ok := p.layers[label]
	if !ok {
		id = p.doc.AddLayer(label, true)
		p.layers[label] = id
	}
	p.doc.BeginLayer(id)
}

// withoutPictographs replaces what the library cannot write in a layer's
// name.
func withoutPictographs(label string) string {
	return strings.Map(func(r rune) rune {
		if r > lastOfBasicPlane {
			return replacement
		}
		return r
	}, label)
}

// pdfText is a text in the encoding of a document's information: UTF-16,
// most significant byte first, behind a byte order mark (ISO 32000-1,
// 7.9.2.2). The library's own encoder spoils pictographs.
func pdfText(text string) string {
	out := []byte{0xfe, 0xff}
	for _, unit := range utf16.Encode([]rune(text)) {
		out = append(out, byte(unit>>8), byte(unit))
	}
	return string(out)
}

func (p *pdfPen) closeGroup() {
	if p.depth--; p.depth == 0 {
		p.doc.EndLayer()
	}
}

func (p *pdfPen) paint(e *entry) {
	outline := e.outline()
	for _, b := range e.brushes(p.theme) {
		style := ""
		if b.fills() {
			style += "F"
			p.doc.SetFillColor(pdfColour(b.fill))
		}
		if b.strokes() {
			style += "D"
			p.stroke(b)
		}
		if style != "" {
			p.trace(outline)
			p.doc.DrawPath(style)
		}
	}
}

func (p *pdfPen) stroke(b brush) {
	ends := "round"
	if len(b.dashMM) > 0 {
		ends = "butt"
	}
	p.doc.SetDrawColor(pdfColour(b.stroke))
	p.doc.SetLineWidth(b.widthMM)
	p.doc.SetLineCapStyle(ends)
	p.doc.SetDashPattern(b.dashMM, 0)
}

func pdfColour(c Colour) (r, g, b int) {
	red, green, blue := c.parts()
	return int(red), int(green), int(blue)
}

func (p *pdfPen) trace(outline penPath) {
	outline.each(func(move byte, q []Point) {
		switch move {
		case 'M':
			p.doc.MoveTo(q[0].X, q[0].Y)
		case 'L':
			p.doc.LineTo(q[0].X, q[0].Y)
		case 'C':
			p.doc.CurveBezierCubicTo(q[0].X, q[0].Y, q[1].X, q[1].Y, q[2].X, q[2].Y)
		case 'Z':
			p.doc.ClosePath()
		}
	})
}

// letter sets a line of lettering, each of its pieces where the font's own
// measures put it: the library rounds widths, and the rounding of a long line
// would add up.
func (p *pdfPen) letter(e *entry) {
	r := p.theme.rule(e.name)
	face := p.faces.of(r.Font)
	line, width := face.pieces(face.written(e.text))
	weight := ""
	if r.Font.Bold {
		weight = "B"
	}
	p.doc.SetFont(pdfFamily, weight, r.Font.SizeMM/mmPerInch*72)
	p.doc.SetTextColor(pdfColour(r.Fill))
	start := startOf(e.at.X, e.anchor, width*r.Font.SizeMM)
	for _, piece := range line {
		p.doc.Text(start+piece.atEm*r.Font.SizeMM, e.at.Y, piece.text)
	}
}

const mmPerInch = 25.4
