package svgout

import (
	"fmt"

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
)

// TwoViewDrawing draws the plan twice on one sheet: as the surgeon sees it through the opened right atrium, and on the rim
// unrolled. The same small tags stand in both, and one key tells of them.
func TwoViewDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	heart := report.Laid.Heart
	plate := plate{report: report, page: twoPage, Reader: reader}
	band := report.SafeDepth(0)
	k := NewDrawing(Page{WidthMM: twoPage.W, HeightMM: twoPage.H, Language: reader.Language,
		Title: fmt.Sprintf("%s: atrial view and the rim unrolled", report.Laid.Plan.Case), Desc: "Above, the atrial view: septum below, front above, head left, feet right. Below: " + plate.describeStrip(band)})
	k.Rect("paper", twoPage)
	camera, fits := cameraFor(atrialExtent(heart), twoAtrial)
	if !fits {
		return nil, fmt.Errorf("svgout: this heart is too large for the plate")
	}
	a := anatomy{Ink: k, Reader: reader, camera: camera, heart: heart}
	s, err := newStrip(k, report, reader, twoStrip, twoHighestMM*heart.Rim.LengthMM()/usualRimMM)
	if err != nil {
		return nil, err
	}
	s.prefix = "strip-"
	views, err := layTwoViews(stitches{anatomy: a, bites: report.Bites, line: report.Line}, s)
	if err != nil {
		return nil, err
	}

	views.atrial.drawTagged(views.atrialTags)
	s.draw(views.stripTags, Placed{})
	panel := s.panel(band, s.tagRow().Bottom()+panelCaptionMM, twoBandMM)
	panel.draw()
	s.segmentRow(panel.box.Bottom() + 2.6)
	k.key(views.entries)

	plate.headed(k, heart, fmt.Sprintf("Operation: %s. Atrial view %s : 1 in the plane of the rim; unrolled %s : 1 along the hinge, depth %s : 1.",
		report.Laid.Plan.Operation, mustNumber(camera.scale), mustNumber(s.scale), mustNumber(panel.depthScale())))
	k.layer("scale", "orientation-and-scale")
	plate.compass(k, twoCompass)
	for _, bar := range []struct {
		at    Point
		scale float64
		text  string
	}{{twoBars[0], camera.scale, "atrial"}, {twoBars[1], s.scale, "unrolled"}} {
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

// twoViews are the tags of both pictures and the key to them.
type twoViews struct {
	atrial     stitches
	atrialTags Placed
	stripTags  []placedTag
	entries    []keyEntry
}

// layTwoViews shares tags out as layTags does, the same for both pictures.
func layTwoViews(atrial stitches, s strip) (twoViews, error) {
	table := keyTable{twoKey, keyFreeMM}
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
		if atrialTags, err := Layout(labels, LabelFrame{Left: twoLeft, Right: twoRight, MiddleX: middleOf(labels)}); err == nil {
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
