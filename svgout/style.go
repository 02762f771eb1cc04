package svgout

import (
	"fmt"
	"strings"
)

// Font is how a class letters. A size of zero means that it does not.
type Font struct {
	SizeMM float64
	Bold   bool
}

// rule is one class of the house style. A colour left empty paints nothing;
// widths and dashes are millimetres.
type rule struct {
	Class        string
	Fill, Stroke Colour
	WidthMM      float64
	DashMM       []float64
	Font         Font
}

// The series of line widths, in millimetres; no other is drawn.
const (
	hair   = 0.18
	fine   = 0.25
	thin   = 0.35
	medium = 0.5
	strong = 0.7
	heavy  = 1.0
)

// fontFamily names fonts of one set of proportions, so that a plate looks
// the same on every machine.
const fontFamily = "Arial, Helvetica, 'Liberation Sans', sans-serif"

// The sizes of lettering, in millimetres. The smallest still gives capitals
// of 2.5 mm in the font with the lowest ones.
const (
	smallLetter   = 3.65
	plainLetter   = 3.9
	captionLetter = 4.4
	subheadLetter = 4.8
	headingLetter = 6.5

	// On a slide: no capital under 1/40 of its height.
	slideLetter        = 6.8
	slideCaptionLetter = 9.6
)

// houseStyle is every class there is, in the order of the style sheet.
var houseStyle = []rule{
	{Class: "paper", Fill: white},

	// What is there: quiet areas.
	{Class: "wall", Fill: wallGrey, Stroke: edgeGrey, WidthMM: hair},
	{Class: "leaflet", Fill: leafGrey, Stroke: edgeGrey, WidthMM: fine},
	{Class: "fossa", Fill: dipGrey, Stroke: edgeGrey, WidthMM: fine},
	{Class: "leaflet-edge", Stroke: edgeGrey, WidthMM: thin},
	{Class: "cleft", Fill: white, Stroke: edgeGrey, WidthMM: thin},
	{Class: "coaptation", Stroke: edgeGrey, WidthMM: fine, DashMM: []float64{1.6, 0.8}},
	{Class: "ridge", Stroke: edgeGrey, WidthMM: medium},
	{Class: "tendon", Stroke: edgeGrey, WidthMM: strong, DashMM: []float64{3, 0.8}},
	{Class: "contour", Stroke: edgeGrey, WidthMM: hair},
	{Class: "hidden", Stroke: edgeGrey, WidthMM: fine, DashMM: []float64{1, 0.7}},
	{Class: "tissue-fill", Fill: leafGrey},
	{Class: "tissue-faint-fill", Fill: wallGrey},

	// What matters: the rim, darkest and heaviest of all.
	{Class: "rim", Stroke: inkBlack, WidthMM: heavy},
	{Class: "rim-thin", Stroke: inkBlack, WidthMM: medium},
	{Class: "rim-tick", Stroke: inkBlack, WidthMM: thin},
	{Class: "commissure", Fill: white, Stroke: inkBlack, WidthMM: medium},

	// Neighbours, one strong colour per meaning.
	{Class: "ostium", Fill: ostiumTint, Stroke: ostiumNavy, WidthMM: medium},
	{Class: "aorta", Fill: aortaTint, Stroke: aortaRose, WidthMM: medium},
	{Class: "aorta-line", Stroke: aortaRose, WidthMM: medium},
	{Class: "coronary", Stroke: coronaryRed, WidthMM: heavy},
	{Class: "coronary-area", Fill: coronaryTint, Stroke: coronaryRed, WidthMM: fine},
	{Class: "aorta-area", Fill: aortaTint, Stroke: aortaRose, WidthMM: fine},
	{Class: "aorta-fill", Fill: aortaTint},
	{Class: "aorta-hidden", Stroke: aortaRose, WidthMM: thin, DashMM: []float64{2, 1}},
	{Class: "coronary-fill", Fill: coronaryTint},
	{Class: "coronary-edge", Stroke: coronaryRed, WidthMM: fine},
	{Class: "coronary-hidden", Stroke: coronaryRed, WidthMM: strong, DashMM: []float64{2, 1}},
	{Class: "coronary-dot", Fill: coronaryRed},
	{Class: "nodal-artery", Stroke: coronaryRed, WidthMM: thin, DashMM: []float64{1.4, 0.7}},

	// The conduction axis.
	{Class: "node", Fill: conductionGold, Stroke: conductionGold, WidthMM: thin},
	{Class: "node-area", Fill: goldTint, Stroke: conductionGold, WidthMM: thin},
	{Class: "bundle-area", Fill: goldTint, Stroke: conductionGold, WidthMM: thin},
	{Class: "bundle-low-area", Fill: white, Stroke: conductionGold, WidthMM: hair},
	{Class: "bundle-low-line", Stroke: conductionGold, WidthMM: fine, DashMM: []float64{1.4, 0.8}},
	{Class: "nodal-artery-area", Fill: coronaryTint, Stroke: coronaryRed, WidthMM: hair},
	{Class: "bundle", Stroke: conductionGold, WidthMM: heavy},
	{Class: "bundle-hidden", Stroke: conductionGold, WidthMM: strong, DashMM: []float64{2, 1}},
	{Class: "extension", Stroke: conductionGold, WidthMM: medium, DashMM: []float64{1.2, 0.8}},

	// The zones: a tinted area each, and its hatch.
	{Class: "triangle-apical", Fill: apicalTint, Stroke: apicalViolet, WidthMM: thin},
	{Class: "triangle-apical-hatch", Stroke: apicalViolet, WidthMM: fine},
	{Class: "triangle-apical-edge", Stroke: apicalViolet, WidthMM: medium},
	{Class: "triangle-basal", Fill: basalTint, Stroke: basalBlue, WidthMM: thin},
	{Class: "triangle-basal-hatch", Stroke: basalBlue, WidthMM: fine},
	{Class: "triangle-basal-edge", Stroke: basalBlue, WidthMM: medium},
	{Class: "fibrous", Fill: fibrousTint, Stroke: fibrousSlate, WidthMM: thin},
	{Class: "fibrous-hatch", Stroke: fibrousSlate, WidthMM: hair},
	{Class: "fibrous-edge", Stroke: fibrousSlate, WidthMM: medium},
	{Class: "own-zone", Fill: dipGrey, Stroke: edgeGrey, WidthMM: thin, DashMM: []float64{2, 1}},
	{Class: "ventricular-side", Fill: ventricleTint, Stroke: ventricleOlive, WidthMM: thin},
	{Class: "ventricular-side-hatch", Stroke: ventricleOlive, WidthMM: fine},
	{Class: "ventricular-side-edge", Stroke: ventricleOlive, WidthMM: medium},

	// Stitches.
	{Class: "thread", Stroke: threadGreen, WidthMM: strong},
	{Class: "suture-line", Stroke: threadGreen, WidthMM: medium, DashMM: []float64{4, 1, 0.6, 1}},
	{Class: "thread-hidden", Stroke: threadGreen, WidthMM: strong, DashMM: []float64{1.4, 0.8}},
	{Class: "needle", Stroke: inkBlack, WidthMM: strong},
	{Class: "needle-hidden", Stroke: inkBlack, WidthMM: medium, DashMM: []float64{1.2, 0.8}},
	{Class: "needle-entry", Fill: inkBlack, Stroke: inkBlack, WidthMM: thin},
	{Class: "needle-exit", Fill: white, Stroke: inkBlack, WidthMM: medium},
	{Class: "needle-area", Fill: white, Stroke: threadGreen, WidthMM: thin},
	{Class: "patch", Fill: wallGrey, Stroke: inkBlack, WidthMM: medium},
	{Class: "sew-line", Fill: white, Stroke: threadGreen, WidthMM: medium, DashMM: []float64{2, 1}},
	{Class: "pledget", Fill: white, Stroke: threadGreen, WidthMM: thin},
	{Class: "device", Fill: white, Stroke: inkQuiet, WidthMM: thin},
	{Class: "ghost", Stroke: edgeGrey, WidthMM: strong, DashMM: []float64{2, 1.4}},
	{Class: "ghost-mark", Fill: white, Stroke: edgeGrey, WidthMM: thin},
	{Class: "reduction", Fill: dipGrey, Stroke: inkQuiet, WidthMM: fine},

	// The three levels. Each has a part in its colour and a part in white.
	{Class: "level-clear", Fill: white, Stroke: clearTeal, WidthMM: strong},
	{Class: "level-caution", Fill: white, Stroke: cautionAmber, WidthMM: medium},
	{Class: "level-caution-solid", Fill: cautionAmber},
	{Class: "level-avoid", Fill: avoidAubergin, Stroke: avoidAubergin, WidthMM: strong},
	{Class: "level-avoid-bar", Stroke: white, WidthMM: medium},
	{Class: "clear-line", Stroke: clearTeal, WidthMM: medium},
	{Class: "caution-line", Stroke: cautionAmber, WidthMM: strong},
	{Class: "avoid-line", Stroke: avoidAubergin, WidthMM: heavy},

	// The band of safe depths.
	{Class: "safe-clear-area", Fill: clearTint},
	{Class: "safe-caution-area", Fill: cautionTint},
	{Class: "safe-caution-hatch", Stroke: cautionAmber, WidthMM: fine},
	{Class: "safe-avoid-area", Fill: avoidTint},
	{Class: "safe-avoid-hatch", Stroke: avoidAubergin, WidthMM: hair},

	// Working lines.
	{Class: "leader", Stroke: inkQuiet, WidthMM: fine},
	{Class: "leader-dot", Fill: inkBlack, Stroke: white, WidthMM: fine},
	{Class: "measure", Stroke: inkBlack, WidthMM: thin},
	{Class: "guide", Stroke: edgeGrey, WidthMM: hair, DashMM: []float64{0.8, 0.8}},
	{Class: "axis", Stroke: inkQuiet, WidthMM: fine},
	{Class: "tick", Stroke: inkQuiet, WidthMM: fine},
	{Class: "frame", Stroke: edgeGrey, WidthMM: fine},
	{Class: "scale-bar", Stroke: inkBlack, WidthMM: medium},
	{Class: "panel", Fill: white, Stroke: edgeGrey, WidthMM: fine},
	{Class: "tick-box", Fill: white, Stroke: inkBlack, WidthMM: thin},
	{Class: "write-on", Stroke: edgeGrey, WidthMM: fine},
	{Class: "banner", Fill: wallGrey},

	// Lettering.
	{Class: "heading", Fill: inkBlack, Font: Font{headingLetter, true}},
	{Class: "subheading", Fill: inkBlack, Font: Font{subheadLetter, true}},
	{Class: "caption", Fill: inkBlack, Font: Font{captionLetter, false}},
	{Class: "label", Fill: inkBlack, Font: Font{plainLetter, false}},
	{Class: "label-strong", Fill: inkBlack, Font: Font{plainLetter, true}},
	{Class: "label-quiet", Fill: inkQuiet, Font: Font{smallLetter, false}},
	{Class: "label-clear", Fill: inkBlack, Font: Font{plainLetter, false}},
	{Class: "label-caution", Fill: inkBlack, Font: Font{plainLetter, false}},
	{Class: "label-avoid", Fill: avoidAubergin, Font: Font{plainLetter, true}},
	{Class: "number", Fill: inkBlack, Font: Font{smallLetter, true}},
	{Class: "axis-label", Fill: inkQuiet, Font: Font{smallLetter, false}},
	{Class: "legend", Fill: inkBlack, Font: Font{smallLetter, false}},
	{Class: "legend-heading", Fill: inkBlack, Font: Font{plainLetter, true}},
	{Class: "footnote", Fill: inkQuiet, Font: Font{smallLetter, false}},

	// Slides.
	{Class: "slide-line", Stroke: threadGreen, WidthMM: heavy, DashMM: []float64{5, 1.4, 1, 1.4}},
	{Class: "slide-caption", Fill: inkBlack, Font: Font{slideCaptionLetter, true}},
	{Class: "slide-text", Fill: inkBlack, Font: Font{slideLetter, false}},
	{Class: "slide-strong", Fill: inkBlack, Font: Font{slideLetter, true}},
	{Class: "slide-quiet", Fill: inkQuiet, Font: Font{slideLetter, false}},
	{Class: "slide-avoid", Fill: avoidAubergin, Font: Font{slideLetter, true}},
}

var ruleByClass = indexed(houseStyle)

func indexed(rules []rule) map[string]rule {
	m := make(map[string]rule, len(rules))
	for _, r := range rules {
		m[r.Class] = r
	}
	return m
}

// Lettering is the font of a class; a class that does not letter, or is not
// in the house style, has size zero.
func Lettering(class string) Font { return ruleByClass[class].Font }

// Classes lists every class of the house style, in the order of the sheet.
func Classes() []string {
	names := make([]string, len(houseStyle))
	for i, r := range houseStyle {
		names[i] = r.Class
	}
	return names
}

// StyleSheet is the CSS of a sheet. The page rule makes a browser print at
// true size.
func StyleSheet(page Page) string {
	var b strings.Builder
	fmt.Fprintf(&b, "@page{size:%smm %smm;margin:0}\n", mustNumber(page.WidthMM), mustNumber(page.HeightMM))
	fmt.Fprintf(&b, "text{font-family:%s;stroke:none}\n", fontFamily)
	b.WriteString("path,line,circle,rect{stroke-linejoin:round}\n")
	for _, r := range houseStyle {
		fmt.Fprintf(&b, ".%s{%s}\n", r.Class, page.Theme.rule(r.Class).declarations())
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func (r rule) declarations() string {
	if r.Font.SizeMM > 0 {
		return r.letteringDeclarations()
	}
	d := "fill:" + paint(r.Fill) + ";stroke:" + paint(r.Stroke)
	if r.Stroke != "" {
		d += ";stroke-width:" + mustNumber(r.WidthMM)
	}
	switch {
	case len(r.DashMM) > 0:
		d += ";stroke-dasharray:" + numbers(r.DashMM)
	case r.Stroke != "":
		d += ";stroke-linecap:round"
	}
	return d
}

func (r rule) letteringDeclarations() string {
	weight := "normal"
	if r.Font.Bold {
		weight = "bold"
	}
	return fmt.Sprintf("fill:%s;font-size:%spx;font-weight:%s", r.Fill, mustNumber(r.Font.SizeMM), weight)
}

func paint(c Colour) string {
	if c == "" {
		return "none"
	}
	return string(c)
}

func numbers(values []float64) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = mustNumber(v)
	}
	return strings.Join(words, " ")
}
