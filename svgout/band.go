package svgout

// Band draws a path as broad as a structure is: its edge in the class's own line and its inside in the class's fill,
// round-ended, whatever the bends. The two strokes together are the outline of a tube seen from afar.
func (k *Ink) Band(class string, p *PathData, widthMM float64) {
	rule := ruleByClass[class]
	if !k.known(class) || !k.finite("band", widthMM) {
		return
	}
	d, err := p.data()
	if err != nil {
		k.fail("band of class %s: %w", class, err)
		return
	}
	if d == "" {
		return
	}
	stroke := func(colour Colour, width float64) {
		k.canvas.Path(d, attribute("style", "fill:none;stroke-linecap:round;stroke:"+string(colour)+";stroke-width:"+mustNumber(round(max(width, 0)))))
	}
	stroke(rule.Stroke, widthMM)
	stroke(rule.Fill, widthMM-2*rule.WidthMM)
}
