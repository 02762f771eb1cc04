package svgout

// Band draws a path as broad as a structure is: its edge in the class's own line and its inside in the class's fill,
// round-ended, whatever the bends. The two strokes together are the outline of a tube seen from afar.
func (k *Ink) Band(class string, p *PathData, widthMM float64) {
	if k.known(class) && k.finite("band", widthMM) && k.sound("band", class, p) {
		k.record(entry{kind: kindBand, name: class, strokes: p.strokes.clone(), sizeMM: widthMM})
	}
}

// bandStrokes are the colours and widths of the two strokes, the lower one first; a width of zero draws nothing.
func bandStrokes(r rule, widthMM float64) [2]brush {
	stroke := func(colour Colour, widthMM float64) brush {
		return brush{stroke: colour, widthMM: round(max(widthMM, 0))}
	}
	return [2]brush{stroke(r.Stroke, widthMM), stroke(r.Fill, widthMM-2*r.WidthMM)}
}
