package svgout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fairlead/atlas/words"
)

// How long a slide of the build stands, and how long what is new takes to come, seconds.
const (
	buildStands = 5.0
	buildComes  = 1.0
)

// DrawBuild draws all slides up to the complete picture as one SVG that builds itself up once. It is an animation of
// style alone: where that is not supported, or less motion is asked for, the complete picture stands there at once.
func (s *Slides) DrawBuild(w io.Writer) error {
	last := slices.IndexFunc(s.slides, func(sl slide) bool { return sl.whole })
	whole := s.slides[last]
	var still bytes.Buffer
	k := NewInk(&still, s.sheet(s.buildTitle(), s.buildDesc(last)))
	for _, layer := range s.layers {
		if whole.shows[layer.id] {
			k.Group(stageID(layer.id), "")
			layer.draw(k)
			k.End()
		}
	}
	for i, sl := range s.slides[:last+1] {
		k.layer(captionID(i), "caption")
		k.TextBlock("slide-caption", slideCaption.X, slideCaption.Y, AnchorStart, sl.captionLines())
		k.End()
	}
	k.Group(stageID("words"), "")
	if err := whole.words.draw(k, s.Reader); err != nil {
		return err
	}
	k.End()
	if err := k.Close(); err != nil {
		return err
	}
	return insertStyle(w, still.Bytes(), s.buildStyle(last))
}

func stageID(layer string) string { return "stage-" + layer }
func captionID(i int) string      { return fmt.Sprintf("caption-%d", i+1) }

func (s *Slides) buildTitle() string {
	if s.options.Quiz {
		return s.say("build.title-quiz")
	}
	return s.say("build.title", words.Blanks{"case": s.report.Laid.Plan.Case})
}

func (s *Slides) buildDesc(last int) string {
	var said []string
	for _, sl := range s.slides[:last+1] {
		said = append(said, sl.caption)
	}
	said = append(said, s.slides[last].words.told(s.Reader))
	if !s.Habit.said().IsZero() {
		said = append(said, s.orientation())
	}
	return sentences(append(said, s.caution())...)
}

// buildStyle hides nothing but the captions before the last, which lie where the last one lies. Everything else is shown
// unless the reader's program can animate it and the reader does not mind.
func (s *Slides) buildStyle(last int) string {
	var t strings.Builder
	for i := range last {
		fmt.Fprintf(&t, "#%s{opacity:0}\n", captionID(i))
	}
	t.WriteString("@media (prefers-reduced-motion: no-preference){\n")
	t.WriteString("@keyframes come{from{opacity:0}to{opacity:1}}\n@keyframes pass{0%{opacity:0}10%{opacity:1}90%{opacity:1}100%{opacity:0}}\n")
	come := func(id string, at float64) {
		if at > 0 {
			fmt.Fprintf(&t, "#%s{animation:come %ss ease %ss backwards}\n", id, mustNumber(buildComes), mustNumber(at))
		}
	}
	for _, layer := range s.layers {
		if i := slices.IndexFunc(s.slides[:last+1], func(sl slide) bool { return sl.shows[layer.id] }); i >= 0 {
			come(stageID(layer.id), buildStands*float64(i))
		}
	}
	for i := range last {
		fmt.Fprintf(&t, "#%s{animation:pass %ss linear %ss}\n", captionID(i), mustNumber(buildStands), mustNumber(buildStands*float64(i)))
	}
	come(captionID(last), buildStands*float64(last))
	come(stageID("words"), buildStands*float64(last))
	t.WriteString("}\n")
	return t.String()
}

// insertStyle writes a sheet with one more style element behind its own.
func insertStyle(w io.Writer, sheet []byte, css string) error {
	const end = "</style>\n"
	before, after, found := bytes.Cut(sheet, []byte(end))
	if !found {
		return errors.New("svgout: a sheet without a style")
	}
	for _, part := range [][]byte{before, []byte(end + "<style type=\"text/css\">\n" + css + end), after} {
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("svgout: writing: %w", err)
		}
	}
	return nil
}
