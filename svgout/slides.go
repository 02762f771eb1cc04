package svgout

import (
	"errors"
	"fmt"
	"io"
	"maps"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// A slide is 16 : 9. Its sides are given in mm, so that what holds on paper holds on it; the smallest capital is 1/40 of
// its height.
var (
	slidePage    = Box{W: 320, H: 180}
	slideCaption = Box{X: 10, Y: 6, W: 300, H: 25}
	slidePicture = Box{X: 70, Y: 31, W: 152, H: 142}
	slideLeft    = Box{X: 6, Y: 36, W: 63, H: 98}
	slideRight   = Box{X: 226, Y: 34, W: 88, H: 130}
	slideCompass = Point{36, 155}
)

// SlideOptions says what kind of slides are wanted.
type SlideOptions struct {
	// Quiz hides the conduction axis, the zones and the levels, asks, and then shows them slide by slide.
	Quiz bool
	// Reader is whom they are for.
	Reader Reader
	// Theme is what the slides are coloured by; dark for a dark room.
	Theme Theme
	// Bibliography are the sources that figures and rules may name; a source not in it is named by its id alone.
	Bibliography []atlas.Source
}

// Slides is a plan as a lesson: numbered slides through one camera, each of which adds something to the picture of the
// one before, one SVG with all of them as an animation, and notes for who speaks.
type Slides struct {
	plate
	options SlideOptions
	camera  camera
	layers  []slideLayer // in drawing order, of every slide
	slides  []slide
}

// slideLayer is a part of the picture that is drawn whole or not at all.
type slideLayer struct {
	id   string
	draw func(*Ink)
}

// slide is one page of the lesson.
type slide struct {
	lesson
	shows map[string]bool // ids of layers
	whole bool            // the build is complete
}

// lesson is what one slide teaches.
type lesson struct {
	adds    []string   // ids of layers that are new
	caption string     // one sentence, which also stands for the picture where it cannot be seen
	words   slideWords // what else is lettered
	say     string     // for who speaks
	figures []string   // names of the heart's figures it rests on
	bites   []placement.BiteReport
	reasons []placement.Reason
}

// NewSlides lays a plan out as slides. It fails where a heart does not fit a slide.
func NewSlides(report *placement.Report, options SlideOptions) (*Slides, error) {
	if err := options.Reader.Habit.check(); err != nil {
		return nil, err
	}
	extent := atrialExtent(report.Laid.Heart)
	c, fits := options.Reader.Habit.of(downTheValve).cameraFor(extent, slidePicture)
	if !fits {
		return nil, errors.New("svgout: this heart is too large for a slide")
	}
	// A slide is no paper: its scale need not be one of the series, so the picture may fill its place.
	drawn := boxOf(c.papers(extent))
	c.scale *= min(slidePicture.W/drawn.W, slidePicture.H/drawn.H)
	s := &Slides{plate: plate{report: report, page: slidePage, gaze: c.gaze, Reader: options.Reader}, options: options, camera: c}
	s.layers = s.buildLayers()
	shown := map[string]bool{}
	for _, l := range s.buildLessons() {
		s.add(l, shown)
	}
	s.slides[len(s.slides)-1].whole = true
	s.layers = append(s.layers, s.repairLayers()...)
	shown = map[string]bool{"wall": true, "septum": true, "orientation": true}
	for _, l := range s.repairLessons() {
		s.add(l, shown)
	}
	for _, l := range s.sourceLessons() {
		s.add(l, map[string]bool{})
	}
	return s, nil
}

// add makes a slide of a lesson, on top of what is shown already.
func (s *Slides) add(l lesson, shown map[string]bool) {
	for _, id := range l.adds {
		shown[id] = true
	}
	s.slides = append(s.slides, slide{lesson: l, shows: maps.Clone(shown)})
}

// Len is how many slides there are.
func (s *Slides) Len() int { return len(s.slides) }

// DrawSlide draws a slide, counted from 0, as SVG.
func (s *Slides) DrawSlide(w io.Writer, i int) error {
	drawing, err := s.Slide(i)
	if err != nil {
		return err
	}
	return WriteSVG(w, drawing)
}

// Slide is the drawing of a slide, counted from 0.
func (s *Slides) Slide(i int) (*Drawing, error) {
	if i < 0 || i >= len(s.slides) {
		return nil, fmt.Errorf("svgout: slide %d of %d", i+1, len(s.slides))
	}
	sl := s.slides[i]
	k := NewDrawing(s.sheet(s.slideTitle(i), s.slideDesc(sl)))
	for _, layer := range s.layers {
		if sl.shows[layer.id] {
			layer.draw(k)
		}
	}
	k.layer("caption", "caption")
	k.TextBlock("slide-caption", slideCaption.X, slideCaption.Y, AnchorStart, sl.captionLines())
	k.End()
	if err := sl.words.draw(k, s.Reader); err != nil {
		return nil, err
	}
	k.layer("number", "number-of-the-slide")
	k.Text("slide-quiet", slidePage.W-8, slidePage.H-6, AnchorEnd, s.number(i))
	k.End()
	return k.Finish()
}

// sheet is the page of a slide and of the build.
func (s *Slides) sheet(title, desc string) Page {
	return Page{WidthMM: slidePage.W, HeightMM: slidePage.H, Language: s.Language, Title: title, Desc: desc, Theme: s.options.Theme}
}

func (l lesson) captionLines() []string { return Fit("slide-caption", l.caption, slideCaption.W, 2) }

// number is how a slide numbers itself.
func (s *Slides) number(i int) string { return fmt.Sprintf("%d / %d", i+1, len(s.slides)) }

// slideTitle names a slide. Before the answers of a quiz it keeps the case to itself, whose label may tell them.
func (s *Slides) slideTitle(i int) string {
	if s.options.Quiz {
		return s.say("slides.title-quiz", words.Blanks{"slide": i + 1, "of": len(s.slides), "caption": s.slides[i].caption})
	}
	return s.say("slides.title", words.Blanks{"case": s.report.Laid.Plan.Case, "slide": i + 1, "of": len(s.slides), "caption": s.slides[i].caption})
}

// slideDesc tells a reader who cannot see the slide what it shows.
func (s *Slides) slideDesc(sl slide) string {
	if len(sl.shows) == 0 {
		return sentences(sl.caption, sl.words.told(s.Reader))
	}
	return sentences(sl.caption, sl.words.told(s.Reader), s.orientation())
}

// caution is the short form of what every output says.
func (s *Slides) caution() string { return s.gist(placement.Care()) }
