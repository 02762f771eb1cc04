package svgout

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas/geom"
)

// The cross on a patch, mm: how deep in it a cross needs to lie, how long its arms are, and how far beyond an arm a word
// begins.
const (
	crossDeepMM = 9.0
	crossArmMM  = 5.0
	crossGapMM  = 0.5
)

// crossBeside is where the cross stands that has no room on its patch: between the two bars.
var crossBeside = Point{52, 240}

// cross shows which way the wall goes up and which way the rim runs clockwise: as deep in the patch as its words fit, or
// beside the bars. A patch too small for any has it only where it is not as usual.
func (t *template) cross() {
	t.layer("orientation", "orientation")
	defer t.End()
	up, clockwise := t.turned(upOnSheet), t.turned(clockwiseOnSheet)
	upWord, clockwiseWord := t.say("template.up"), t.say("template.clockwise")
	places := t.deepPlaces()
	for _, at := range places {
		first := wordBeyondArm(upWord, at, up)
		for _, second := range []armWord{wordAlongArm(clockwiseWord, at, up, clockwise), wordBeyondArm(clockwiseWord, at, clockwise)} {
			if t.inside(first.box) && t.inside(second.box) {
				t.drawCross(at, first, second)
				return
			}
		}
	}
	if len(places) > 0 || !t.Habit.said().IsZero() {
		t.drawCross(crossBeside, wordBeyondArm(upWord, crossBeside, up), wordBeyondArm(clockwiseWord, crossBeside, clockwise))
	}
}

func (t *template) drawCross(at Point, words ...armWord) {
	for _, way := range []geom.Point{upOnSheet, clockwiseOnSheet} {
		t.Line("axis", at, at.Plus(t.turned(way).Times(crossArmMM)))
	}
	for _, w := range words {
		x := w.box.Centre().X
		if w.anchor == AnchorStart {
			x = w.box.X
		}
		t.Text("axis-label", x, w.box.Centre().Y+wordBaseMM, w.anchor, w.text)
	}
}

// deepPlaces are places of the patch on the paper, the one farthest from its edge first; none where that is not deep.
func (t *template) deepPlaces() (places []Point) {
	type place struct {
		at    Point
		outMM float64 // beyond the edge
	}
	edge := t.patch.Sheet.Edge()
	var all []place
	for _, p := range t.patch.Sheet.Points[t.patch.Sheet.Border:] {
		all = append(all, place{t.paper(p), edge.SignedDistance(p)})
	}
	slices.SortStableFunc(all, func(a, b place) int { return cmp.Compare(a.outMM, b.outMM) })
	if len(all) == 0 || all[0].outMM >= -crossDeepMM {
		return nil
	}
	for _, p := range all {
		if p.outMM < -crossArmMM {
			places = append(places, p.at)
		}
	}
	return places
}

// armWord is a word of the cross, the box about it, and how it is set there.
type armWord struct {
	text   string
	box    Box
	anchor Anchor
}

// Half as high as a word of the cross is, and how far its baseline lies under its middle, mm.
const (
	wordHalfMM = 1.8
	wordBaseMM = 1.3
)

func wordAbout(text string, middle Point, anchor Anchor) armWord {
	width := MeasureIn("axis-label", text)
	return armWord{text, Box{middle.X - width/2, middle.Y - wordHalfMM, width, 2 * wordHalfMM}, anchor}
}

// reachOf is how far a word's box reaches from its middle along a way.
func reachOf(text string, way Point) float64 {
	return math.Abs(way.X)*MeasureIn("axis-label", text)/2 + math.Abs(way.Y)*wordHalfMM
}

func wordBeyondArm(text string, at, way Point) armWord {
	return wordAbout(text, at.Plus(way.Times(crossArmMM+crossGapMM+reachOf(text, way))), AnchorMiddle)
}

// wordAlongArm lies beside an arm, on the side away from the other.
func wordAlongArm(text string, at, other, way Point) armWord {
	off := other.Times(-wordBaseMM - reachOf(text, other))
	along := way.Times(max(reachOf(text, way)-crossArmMM-1, 2))
	return wordAbout(text, at.Plus(off).Plus(along), AnchorStart)
}

// inside tells whether a word's box lies within the line to sew along. The box is wider than the word by a tenth: that much
// its corners may stand out.
func (t *template) inside(box Box) bool {
	edge := outlineOf(t.papers(t.patch.Sheet.Edge()))
	middle := box.Centre()
	for _, p := range []Point{{box.X, box.Y}, {middle.X, box.Y}, {box.Right(), box.Y}, {box.X, box.Bottom()}, {middle.X, box.Bottom()}, {box.Right(), box.Bottom()}} {
		if edge.SignedDistance(geom.Point(p)) > 0.3 {
			return false
		}
	}
	return true
}
