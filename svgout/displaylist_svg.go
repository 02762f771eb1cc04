package svgout

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	svg "github.com/ajstarks/svgo/float"
)

const (
	titleID = "plate-title"
	descID  = "plate-desc"

	// decimals is the finest step written, as round has it.
	decimals = 3
)

// svgPen writes a drawing through svgo. Only this file knows that library.
type svgPen struct {
	canvas *svg.SVG
	out    *bufio.Writer
	theme  Theme
}

// WriteSVG writes the drawing as one SVG document that needs nothing from
// outside. Equal drawings are written as equal bytes.
func WriteSVG(w io.Writer, drawing *Drawing) error {
	// The library beneath ignores failed writes; the buffer holds on to the
	// first one until it is flushed.
	out := bufio.NewWriter(w)
	p := svgPen{canvas: svg.New(out), out: out, theme: drawing.page.Theme}
	p.canvas.Decimals = decimals
	p.header(drawing.page)
	for i := range drawing.entries {
		p.write(&drawing.entries[i])
	}
	p.canvas.End()
	if err := out.Flush(); err != nil {
		return fmt.Errorf("svgout: writing: %w", err)
	}
	return nil
}

func (p svgPen) header(page Page) {
	p.canvas.Startunit(page.WidthMM, page.HeightMM, "mm",
		attribute("viewBox", "0 0 "+mustNumber(page.WidthMM)+" "+mustNumber(page.HeightMM)),
		attribute("role", "img"),
		attribute("aria-labelledby", titleID+" "+descID),
		attribute("xml:lang", page.Language.Tag()))
	p.describe("title", titleID, page.Title)
	p.describe("desc", descID, page.Desc)
	p.canvas.Style("text/css", StyleSheet(page))
}

// describe writes a title or description that can be pointed at; the library
// beneath gives them no id.
func (p svgPen) describe(tag, id, text string) {
	fmt.Fprintf(p.out, "<%s id=\"%s\">%s</%s>\n", tag, id, escape(text), tag)
}

func (p svgPen) write(e *entry) {
	switch e.kind {
	case kindGroup:
		p.group(e)
	case kindEnd:
		p.canvas.Gend()
	case kindCircle:
		p.canvas.Circle(e.at.X, e.at.Y, e.sizeMM, attribute("class", e.name))
	case kindLine:
		p.canvas.Line(e.at.X, e.at.Y, e.to.X, e.to.Y, attribute("class", e.name))
	case kindRect:
		p.canvas.Rect(e.at.X, e.at.Y, e.to.X, e.to.Y, attribute("class", e.name))
	case kindPath:
		p.canvas.Path(e.strokes.data(), attribute("class", e.name))
	case kindBand:
		p.band(e)
	case kindText:
		at, anchor := surelyAnchored(e)
		p.canvas.Text(at.X, at.Y, e.text, attribute("class", e.name), attribute("text-anchor", string(anchor)))
	}
}

func (p svgPen) group(e *entry) {
	attrs := []string{}
	if e.name != "" {
		attrs = append(attrs, attribute("id", e.name))
	}
	if e.text != "" {
		attrs = append(attrs, attribute("role", "group"), attribute("aria-label", e.text))
	}
	p.canvas.Group(attrs...)
}

func (p svgPen) band(e *entry) {
	d := e.strokes.data()
	for _, b := range bandStrokes(p.theme.rule(e.name), e.sizeMM) {
		p.canvas.Path(d, attribute("style", "fill:none;stroke-linecap:round;stroke:"+string(b.stroke)+";stroke-width:"+mustNumber(b.widthMM)))
	}
}

// surelyAnchored sets a line with pictographs from its start. Where no font
// has the character, librsvg aligns by one width and draws another, so that
// a line anchored at its end would run past it.
func surelyAnchored(e *entry) (Point, Anchor) {
	at, anchor := e.at, e.anchor
	if strings.ContainsFunc(e.text, func(r rune) bool { return r > lastOfBasicPlane }) {
		switch anchor {
		case AnchorMiddle:
			at.X -= MeasureIn(e.name, e.text) / 2
		case AnchorEnd:
			at.X -= MeasureIn(e.name, e.text)
		}
		anchor = AnchorStart
	}
	return rounded(at), anchor
}

func attribute(name, value string) string {
	return name + `="` + escape(value) + `"`
}

func escape(text string) string {
	var b bytes.Buffer
	// A bytes.Buffer never fails to write.
	_ = xml.EscapeText(&b, []byte(clean(text)))
	return b.String()
}
