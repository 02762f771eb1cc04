package svgout

import (
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// The body's directions in the frame of the valve, which the atrial view names.
var (
	head  = geom.Vec{X: -1}
	feet  = geom.Vec{X: 1}
	front = geom.Vec{Y: 1}
	back  = geom.Vec{Y: -1}
)

const compassArmMM = 5.0

// compass names head, feet, front and back, each upright beside its arm.
func (p plate) compass(k *Ink, at Point) {
	named := []struct {
		word string
		way  geom.Vec
	}{{p.say("way.head"), head}, {p.say("way.feet"), feet}, {p.say("way.front"), front}, {p.say("way.back"), back}}
	for i := 0; i < len(named); i += 2 {
		k.Line("axis", at.Plus(p.onPaper(named[i].way).Times(compassArmMM)), at.Plus(p.onPaper(named[i+1].way).Times(compassArmMM)))
	}
	for _, n := range named {
		k.wordBeyond(at, p.onPaper(n.way), compassArmMM+1, n.word)
	}
}

// onPaper is a direction of the frame as it runs in the plate's picture.
func (p plate) onPaper(v geom.Vec) Point {
	if p.gaze == (gaze{}) {
		return downTheValve.onPaper(v)
	}
	return p.gaze.onPaper(v)
}

// wordBeyond letters a word upright at the end of an arm that runs from a place in a direction of length 1.
func (k *Ink) wordBeyond(from, way Point, armMM float64, word string) {
	const (
		level = 0.4 // how far off the upright an arm must lean for its word to stand beside it
		rise  = 1.2 // from the middle of a small letter's line to its baseline
		drop  = 1.4 // what a word below its arm hangs lower
	)
	anchor := AnchorMiddle
	switch {
	case way.X > level:
		anchor = AnchorStart
	case way.X < -level:
		anchor = AnchorEnd
	}
	baseline := rise * (1 + math.Min(way.Y, 0))
	if way.Y > 0 {
		baseline = rise + drop*way.Y
	}
	k.Text("axis-label", from.X+armMM*way.X, from.Y+armMM*way.Y+baseline, anchor, word)
}

// where says in a word or two where on the paper a direction of the frame leads.
func (p plate) where(v geom.Vec) words.Said {
	way := p.onPaper(v)
	eighths := [...]string{"right", "below-right", "below", "below-left", "left", "above-left", "above", "above-right"}
	turn := math.Atan2(way.Y, way.X) / (math.Pi / 4)
	return words.Of("where." + eighths[(int(math.Round(turn))+8)%8])
}
