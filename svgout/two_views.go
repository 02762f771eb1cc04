package svgout

import (
	"fmt"
	"math"

	"fairlead/atlas/words"
	"fairlead/placement"
)

// The plate of two views: A4 across, mm. Above, the atrial view with its tags on either side and the key; below, the
// strip with its band, and the legend beside it.
var (
	twoPage    = Box{W: 297, H: 210}
	twoAtrial  = Box{X: 22.5, Y: 25.5, W: 101, H: 74}
	twoLeft    = Box{X: 8, Y: 26, W: 13.6, H: 62}
	twoRight   = Box{X: 124.6, Y: 26, W: 13.6, H: 73}
	twoKey     = []Box{{X: 144, Y: 28, W: 71, H: 58}, {X: 218, Y: 28, W: 71, H: 58}}
	twoStrip   = Box{X: 15, Y: 101, W: 214, H: 52.5}
	twoLegend  = Box{X: 234, Y: 108, W: 55, H: 82}
	twoCompass = Point{20, 94}
	twoBars    = [2]Point{{147, 94}, {221, 94}}
)

const (
	twoHighestMM = 17.5 // of wall, on a rim of 105 mm: as high as the ostium
	twoBandMM    = 12.0
	// twoCompassRiseMM is as far as the compass may be raised.
	twoCompassRiseMM = 5.0
	inkMarginMM      = 4.7 // what printers leave white along the paper's edge, less what widths are measured too wide
)

// TwoViewDrawing draws the plan twice on one sheet: as the surgeon sees it through the opened right atrium, and on the rim
// unrolled, both to the reader's habit. The same small tags stand in both, and one key tells of them.
func TwoViewDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	heart := report.Laid.Heart
	s, err := newStrip(report, reader, twoStrip, twoHighestMM*heart.Rim.LengthMM()/usualRimMM)
	if err != nil {
		return nil, err
	}
	s.prefix = "strip-"
	camera, fits := reader.Habit.of(downTheValve).cameraFor(atrialExtent(heart), twoAtrial)
	if !fits {
		return nil, fmt.Errorf("svgout: this heart is too large for the plate")
	}
	plate := plate{report: report, page: twoPage, gaze: camera.gaze, Reader: reader}
	band := report.SafeDepth(0)
	k := NewDrawing(Page{WidthMM: twoPage.W, HeightMM: twoPage.H, Language: reader.Language,
		Title: plate.say("two.title", words.Blanks{"case": report.Laid.Plan.Case}), Desc: sentences(plate.aboveAndBelow(), plate.describeStrip(s, band))})
	k.Rect("paper", twoPage)
	s.Ink = k
	a := anatomy{Ink: k, Reader: reader, camera: camera, heart: heart}
	views, err := layTwoViews(stitches{anatomy: a, bites: report.Bites, line: report.Line}, s, plate.leftTags(s))
	if err != nil {
		return nil, err
	}

	views.atrial.drawTagged(views.atrialTags)
	s.draw(views.stripTags, Placed{})
	panel := s.panel(band, s.tagRow().Bottom()+panelCaptionMM, plate.bandHeight(s))
	panel.draw()
	s.segmentRow(panel.box.Bottom() + 2.6)
	k.key(views.entries)

	plate.headedViews(k, camera, s, panel, spareUnder(views.entries, twoKey[1]))
	k.layer("scale", "orientation-and-scale")
	plate.compass(k, plate.compassAt(s))
	for _, bar := range []struct {
		at    Point
		scale float64
		text  string
	}{{twoBars[0], camera.scale, plate.say("two.bar.atrial")}, {twoBars[1], s.scale, plate.say("two.bar.unrolled")}} {
		plate.scaleBar(k, bar.at, bar.scale)
		k.Text("axis-label", bar.at.X+10.5, bar.at.Y-2.6, AnchorMiddle, bar.text)
	}
	k.End()
	k.layer("legend", "legend")
	k.legendIn(twoLegend, s.stripSamples(plate))
	k.End()
	plate.footer(k)
	return k.Finish()
}

// aboveAndBelow says where septum, front, head and feet lie in the atrial view, and that the strip stands below it.
func (p plate) aboveAndBelow() string {
	above := p.say("two.above", words.Blanks{"habit": p.Habit.said(), "septum": p.where(back), "front": p.where(front), "head": p.where(head), "feet": p.where(feet)})
	return sentences(above, p.said(p.Habit.sense()), p.say("two.below"))
}

// headedViews is the heading of both views, whose habit they share.
func (p plate) headedViews(k *Ink, camera camera, s strip, panel bandPanel, spare Box) {
	captions := []string{p.say("strip.operation", words.Blanks{"operation": p.report.Laid.Plan.Operation.Said()})}
	if habit := p.Habit.said(); !habit.IsZero() {
		captions = []string{p.say("two.habit", words.Blanks{"habit": habit}), captions[0], p.say("two.cut", words.Blanks{"cut": s.cutWords()}), p.said(p.Habit.sense())}
	}
	scales := p.say("two.scales", words.Blanks{"atrial": decimal(camera.scale), "unrolled": decimal(s.scale), "depth": decimal(panel.depthScale())})
	p.headedIn(k, captions, scales, p.whose(s.heart), spare)
}

// bandHeight is how high the band of safe depths is: less than usual where the footer has more lines, in steps of half a
// millimetre, so that its scale is a short number.
func (p plate) bandHeight(s strip) float64 {
	const stepMM, beneathMM = 0.5, 12.8 // what stands under the band takes
	room := p.footerTop() - beneathMM - s.tagRow().Bottom() - panelCaptionMM
	return math.Min(twoBandMM, math.Floor(room/stepMM)*stepMM)
}

// compassAt is where the compass stands: a little farther in where the longest of its words needs that on the left, and
// higher where a turn has brought the high wall of the strip under it.
func (p plate) compassAt(s strip) Point {
	const beneathMM = compassArmMM + 5.5 // what the word under the compass takes
	at, widest := twoCompass, 0.0
	for _, word := range []string{p.say("way.head"), p.say("way.feet"), p.say("way.front"), p.say("way.back")} {
		widest = math.Max(widest, MeasureIn("axis-label", word))
	}
	at.X = math.Max(at.X, inkMarginMM+widest+1+compassArmMM)
	at.Y = math.Min(at.Y, math.Max(at.Y-twoCompassRiseMM, s.skyAbove(0, at.X+compassArmMM+1+widest)-beneathMM))
	return at
}

// leftTags is the column left of the atrial view. A turned view has tags at its foot as well, which keep off the word
// over the compass.
func (p plate) leftTags(s strip) Box {
	const overMM = compassArmMM + 4.6 // what the word over the compass takes
	column := twoLeft
	if !p.Habit.said().IsZero() {
		column.H = p.compassAt(s).Y - overMM - column.Y
	}
	return column
}

// twoViews are the tags of both pictures and the key to them.
type twoViews struct {
	atrial     stitches
	atrialTags Placed
	stripTags  []placedTag
	entries    []keyEntry
}

// layTwoViews shares tags out as layTags does, the same for both pictures; some of the atrial view's stand in a column on
// its left.
func layTwoViews(atrial stitches, s strip, left Box) (twoViews, error) {
	table := keyTable{s.Reader, twoKey, keyFreeMM}
	named := !numbersOnly(s.bites)
	for _, try := range keyTries() {
		tags := tagsOf(s.heart, s.bites, try.together)
		entries, fits := table.entries(tags, named, try.lines)
		if !fits {
			continue
		}
		stripTags, fits := tagRow(tags, s.tagTargets(tags), s.tagRow())
		if !fits {
			continue
		}
		labels := atrial.tagLabels(tags)
		if atrialTags, err := Layout(labels, LabelFrame{Left: left, Right: twoRight, MiddleX: middleOf(labels)}); err == nil {
			return twoViews{atrial, atrialTags, stripTags, entries}, nil
		}
	}
	return twoViews{}, fmt.Errorf("svgout: no room for the tags of %d bites", len(s.bites))
}

// middleOf is middleTarget, and any place where there are no labels.
func middleOf(labels []Label) float64 {
	if len(labels) == 0 {
		return twoAtrial.Centre().X
	}
	return middleTarget(labels)
}

// tagLabels are tags as labels of the atrial view.
func (s stitches) tagLabels(tags []tag) []Label {
	labels := make([]Label, len(tags))
	for i, f := range tags {
		labels[i] = Label{Lines: []string{f.number}, Class: "number", Target: s.middle(f.worst()), Mark: f.level()}
	}
	return labels
}

// drawTagged draws the atrial view with tags for its only labels.
func (s stitches) drawTagged(tags Placed) {
	s.anatomy.draw()
	s.sutureLine(s.line)
	s.draw()
	s.layer("verdicts", "levels-of-the-bites")
	s.Labels(tags)
	s.End()
}
