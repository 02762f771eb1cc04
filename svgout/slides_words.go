package svgout

import (
	"strings"

	"fairlead/atlas/words"
)

// slideWords is what is lettered on a slide beside its picture, or in its place. All of it belongs to this slide alone.
type slideWords struct {
	labels     []slideLabel    // in the columns beside the picture
	remark     *remark         // in the right column
	paragraphs []slideSentence // across the slide, where it has no picture
	foot       string          // at the bottom
}

// slideLabel names a place in the picture; its text is as it was before it was set in lines.
type slideLabel struct {
	Label
	text string
}

// remark is what is said of one thing in the picture: of a level, if it has one, and pointed at, if it lies somewhere.
type remark struct {
	level      Level
	heading    string
	paragraphs []string
	pointed    bool
	at         Point
}

// slideSentence is a paragraph in the lettering of a class.
type slideSentence struct{ class, text string }

// told is the same in words, for a reader who cannot see the slide.
func (w slideWords) told(r Reader) string {
	var said []string
	if len(w.labels) > 0 {
		var labels []words.Said
		for _, l := range w.labels {
			labels = append(labels, words.Text(l.text))
		}
		said = append(said, r.say("slides.labelled", words.Blanks{"labels": words.Semicolons(labels...)}))
	}
	if w.remark != nil {
		said = append(append(said, ended(w.remark.heading)), w.remark.paragraphs...)
	}
	for _, p := range w.paragraphs {
		said = append(said, p.text)
	}
	return sentences(append(said, w.foot)...)
}

func (w slideWords) draw(k *Ink, r Reader) error {
	k.layer("words", "what-this-slide-points-at")
	defer k.End()
	if len(w.labels) > 0 {
		placed, err := layAsRoomAllows(w.labels)
		if err != nil {
			return err
		}
		k.Labels(placed)
	}
	if w.remark != nil {
		w.remark.draw(k, r)
	}
	y := slideCaption.Bottom() + 3
	for _, p := range w.paragraphs {
		y = k.TextBlock(p.class, slideCaption.X, y, AnchorStart, p.lines()) + paragraphGapMM
	}
	switch {
	case w.foot == "":
	case len(w.paragraphs) > 0:
		k.Text("slide-quiet", slideCaption.X, slidePage.H-6, AnchorStart, Fit("slide-quiet", w.foot, slideCaption.W-40, 1)[0])
	default:
		lines := Fit("slide-quiet", w.foot, slideRight.W, 4)
		k.TextBlock("slide-quiet", slideRight.X, slideRight.Bottom()-BlockHeight("slide-quiet", len(lines)), AnchorStart, lines)
	}
	return nil
}

const paragraphGapMM = 2.5

func (p slideSentence) lines() []string { return Fit(p.class, p.text, slideCaption.W, 3) }

func (p slideSentence) heightMM() float64 {
	return BlockHeight(p.class, len(p.lines())) + paragraphGapMM
}

// layAsRoomAllows lays out every label, or where there is no room every second, third ...
func layAsRoomAllows(labels []slideLabel) (placed Placed, err error) {
	for each := 1; each <= len(labels); each++ {
		var some []Label
		for i, l := range labels {
			if i%each == 0 {
				some = append(some, l.Label)
			}
		}
		placed, err = Layout(some, LabelFrame{Left: slideLeft, Right: slideRight, MiddleX: labelsMiddle(some), GapMM: 4})
		if err == nil {
			return placed, nil
		}
	}
	return placed, err
}

// labelsMiddle parts a few labels at the middle of the picture, and many into as many left as right.
func labelsMiddle(labels []Label) float64 {
	const few = 4
	if len(labels) <= few {
		return slidePicture.Centre().X
	}
	return middleTarget(labels)
}

// labelOn names a place in the picture.
func labelOn(at Point, text string, level Level) slideLabel {
	class := "slide-text"
	if level == Avoid {
		class = "slide-avoid"
	}
	room := min(LabelRoomMM(slideLeft, level), LabelRoomMM(slideRight, level))
	return slideLabel{Label{Lines: Fit(class, text, room, 5), Class: class, Target: at, Mark: level}, text}
}

// draw letters a remark in the right column, as near to the height of what it speaks of as there is room, so that its
// leader lies almost level.
func (r *remark) draw(k *Ink, reader Reader) {
	class := "slide-strong"
	if r.level == Avoid {
		class = "slide-avoid"
	}
	indent := 0.0
	if r.level != NoLevel {
		indent = slideMarkMM + 3
	}
	heading := Fit(class, r.heading, slideRight.W-indent, 3)
	blocks, height := r.fitting(slideRight.H-BlockHeight(class, len(heading)), reader.say("slides.more")), BlockHeight(class, len(heading))
	for _, lines := range blocks {
		height += paragraphGapMM + BlockHeight("slide-text", len(lines))
	}
	top, size := slideRight.Y, Lettering(class).SizeMM
	firstMiddle := (ascentEm - capHeightEm/2) * size
	if r.pointed {
		top = max(slideRight.Y, min(r.at.Y-firstMiddle, slideRight.Bottom()-height))
		k.Line("leader", Point{slideRight.X - 1.5, top + firstMiddle}, r.at)
		k.Circle("leader-dot", r.at, 0.9)
	}
	k.LevelMark(r.level, Point{slideRight.X + slideMarkMM/2, top + firstMiddle}, slideMarkMM)
	y := k.TextBlock(class, slideRight.X+indent, top, AnchorStart, heading)
	for _, lines := range blocks {
		y = k.TextBlock("slide-text", slideRight.X, y+paragraphGapMM, AnchorStart, lines)
	}
}

// fitting is as many of the paragraphs as there is room for, in lines, and a word on there being more; the notes have them
// all.
func (r *remark) fitting(room float64, more string) (blocks [][]string) {
	spare := paragraphGapMM + BlockHeight("slide-text", 1)
	for i, p := range r.paragraphs {
		lines := Fit("slide-text", p, slideRight.W, 10)
		needs := paragraphGapMM + BlockHeight("slide-text", len(lines))
		left := room - needs
		if left < 0 || left < spare && i < len(r.paragraphs)-1 {
			return append(blocks, []string{more})
		}
		blocks, room = append(blocks, lines), left
	}
	return blocks
}

// wholeSentence begins with a capital and ends with a full stop, or its own question mark.
func wholeSentence(text string) string { return ended(sentence(text)) }

func ended(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// inFull is what a rule found or advises, without a full stop; a plan's names in it turn nothing behind them round.
func (s *Slides) inFull(said words.Said) string {
	return strings.TrimSuffix(clean(s.said(said)), ".")
}
