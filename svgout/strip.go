package svgout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// The strip's plate: A4 across, mm. The picture takes its width but for the key on the right; tags and the band of safe
// depths stand under the picture, legend, scale and provenance under them. The right end of the key is left white.
var (
	stripPage   = Box{W: 297, H: 210}
	stripRoom   = Box{X: 17, Y: 28, W: 212, H: 88}
	stripKey    = Box{X: 232, Y: 28, W: 57, H: 144}
	stripLegend = Box{X: 8, Y: 176, W: 219, H: 16}
)

const (
	keyFreeMM      = 9.0
	wholeWallMM    = 1000.0
	stripBandMM    = 25.0 // the height of the panel
	tagsApartMM    = 1.5
	panelCaptionMM = 6.5
)

// StripDrawing draws the plan on the rim unrolled: the hinge as a straight line, the atrial wall above it and the leaflets
// below, true along the hinge; under it how deep a needle may go at each place of the hinge. For a reader who turns the
// atrial view the rim is cut elsewhere, and for one who mirrors it runs the other way.
func StripDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	s, err := newStrip(report, reader, stripRoom, wholeWallMM)
	if err != nil {
		return nil, err
	}
	tags, entries, err := s.layTags(s.tagRow(), keyTable{reader, []Box{stripKey}, keyFreeMM})
	if err != nil {
		return nil, err
	}
	plate := plate{report: report, page: stripPage, Reader: reader}
	band := report.SafeDepth(0)
	k := NewDrawing(Page{WidthMM: stripPage.W, HeightMM: stripPage.H, Language: reader.Language,
		Title: plate.say("strip.title", words.Blanks{"case": report.Laid.Plan.Case}), Desc: plate.describeStrip(s, band)})
	k.Rect("paper", stripPage)
	s.Ink = k
	labels := s.anatomyLabels(stripRoom.Y)
	s.draw(tags, labels)
	panel := s.panel(band, s.tagRow().Bottom()+panelCaptionMM, stripBandMM)
	panel.draw()
	panel.endsRow(panel.box.Bottom() + 4.6)
	low := s.segmentRow(panel.box.Bottom() + 7.5)
	k.key(entries)

	plate.headedStrip(k, s, panel, spareUnder(entries, stripKey))
	k.layer("scale", "scale")
	plate.scaleBar(k, Point{231, 181}, s.scale)
	k.End()
	k.layer("legend", "legend")
	samples := s.stripSamples(plate)
	k.legendIn(raisedLegend(stripLegend, legendHeight(stripLegend, samples), plate.footerTop(), low), samples)
	k.End()
	plate.footer(k)
	return k.Finish()
}

// draw draws the picture with its tags and labels.
func (s strip) draw(tags []placedTag, labels Placed) {
	s.ground()
	s.neighbours()
	s.zoneGrounds()
	s.conduction()
	s.zoneHatches()
	s.tendonLine()
	s.hinge()
	numbers := s.depths(tags, labels)
	s.commissures()
	s.sutureLine()
	s.stitch()
	s.layer("verdicts", "levels-of-the-bites")
	s.tags(tags)
	s.End()
	s.layer("labels", "labels")
	s.leafletNames(tags, numbers)
	s.Labels(labels)
	s.End()
}

// tagRow is where the tags stand, under the picture.
func (s strip) tagRow() Box {
	b := s.box()
	return Box{b.X, b.Bottom() + tagsApartMM, b.W, tagHeightMM}
}

// layTags finds places for the tags and their entries in the key.
func (s strip) layTags(row Box, table keyTable) ([]placedTag, []keyEntry, error) {
	named := !numbersOnly(s.bites)
	for _, try := range keyTries() {
		tags := tagsOf(s.heart, s.bites, try.together)
		entries, fits := table.entries(tags, named, try.lines)
		if !fits {
			continue
		}
		if placed, fits := tagRow(tags, s.tagTargets(tags), row); fits {
			return placed, entries, nil
		}
	}
	return nil, nil, fmt.Errorf("svgout: no room for the tags of %d bites", len(s.bites))
}

// cutWords say where the strip begins and ends.
func (u unrolled) cutWords() words.Said {
	const atEndMM = 0.01
	segment := u.heart.SegmentAt(u.cutMM)
	into := u.heart.Rim.Span(segment.FromMM, u.cutMM)
	for _, s := range u.heart.Segments() {
		if math.Abs(math.Remainder(u.cutMM-s.FromMM, u.rimMM())) < atEndMM {
			return words.Of("strip.cut-at." + s.Name)
		}
	}
	return words.Of("strip.cut", words.Blanks{"mm": words.Fixed(into, 1), "segment": segment.Said()})
}

// describeStrip tells a reader who cannot see the plate what it shows.
func (p plate) describeStrip(s strip, band placement.SafeBand) string {
	said := []string{p.stripOrientation(s), p.planVerdict()}
	numbers := numbered(p.report.Bites)
	for i, b := range p.report.Bites {
		said = append(said, p.say("strip.bite", words.Blanks{"number": numbers[i], "bite": b.Name, "where": b.Where, "mm": words.Fixed(b.DepthMM, 1), "level": b.Verdict.Said(), "why": whyNotClear(b.Reasons)}))
	}
	for _, x := range s.beneath {
		if x.Kind == atlas.Conduction {
			said = append(said, p.say("strip.lies", words.Blanks{"what": p.structureName(x.Structure), "depth": x.depthWords()}))
		}
	}
	said = append(said, p.say("strip.safe-depth", words.Blanks{"least": leastWords(s.heart, band)}))
	for _, segment := range s.heart.Segments() {
		said = append(said, p.said(middleWords(s.heart, band, segment)))
	}
	return sentences(append(said, p.said(placement.Care()))...)
}

// stripOrientation says what lies where on the strip, and where and how a reader's habit has it.
func (p plate) stripOrientation(s strip) string {
	segments := s.heart.Segments()
	slices.SortStableFunc(segments, func(a, b atlas.Segment) int {
		middle := func(x atlas.Segment) float64 { return s.paper(atlas.Spot{AlongMM: s.turned(x.FromMM + x.ForMM/2)}).X }
		return cmp.Compare(middle(a), middle(b))
	})
	said := p.say("strip.orientation", words.Blanks{"habit": p.Habit.said(), "first": segments[0].Short(), "second": segments[1].Short(), "third": segments[2].Short()})
	return sentences(said, p.said(s.turnWords()), p.said(s.sense()))
}

// turnWords say what a turn does to the strip: nothing without one.
func (s strip) turnWords() words.Said {
	if s.Habit.turn() == 0 {
		return words.Said{}
	}
	return words.Of("strip.turned", words.Blanks{"cut": s.cutWords()})
}

// sense says which way round the rim the strip runs for a reader whose view is mirrored: nothing for others.
func (s strip) sense() words.Said {
	if !s.mirrored {
		return words.Said{}
	}
	return words.Of("strip.sense")
}

// headedStrip is the heading of the strip's plate.
func (p plate) headedStrip(k *Ink, s strip, panel bandPanel, spare Box) {
	captions := []string{
		p.say("strip.caption", words.Blanks{"habit": p.Habit.said(), "cut": s.cutWords()}),
		p.say("strip.operation", words.Blanks{"operation": p.report.Laid.Plan.Operation.Said()}),
		p.said(s.sense()),
	}
	scale := p.say("strip.scale", words.Blanks{"scale": decimal(s.scale), "depth": decimal(panel.depthScale())})
	p.headedIn(k, captions, scale, p.whose(s.heart), spare)
}

// headedIn is a heading of two lines: sentences as far as the first line has room, the scale behind the last of them,
// and what is left on the second line. Where that is too long, what is known of this heart stands in some spare room of
// the plate, as far as it has any. The scale goes where it fits, and else unsaid: the bars have it.
func (p plate) headedIn(k *Ink, captions []string, scale, whose string, spare Box) {
	fits := func(class, text string) bool { return MeasureIn(class, text) <= p.page.W-16 }
	caption, rest := captions[0], captions[1:]
	for len(rest) > 0 && fits("caption", sentences(caption, rest[0])) {
		caption, rest = sentences(caption, rest[0]), rest[1:]
	}
	also := sentences(append(rest, whose)...)
	if !fits("label-quiet", also) {
		const class = "label-quiet"
		if lines := Fit(class, whose, spare.W, math.MaxInt); BlockHeight(class, len(lines)) <= spare.H {
			k.TextBlock(class, spare.X, spare.Y, AnchorStart, lines)
			also = sentences(rest...)
		}
	}
	switch {
	case len(rest) == 0 && fits("caption", sentences(caption, scale)):
		caption = sentences(caption, scale)
	case fits("label-quiet", sentences(scale, also)):
		also = sentences(scale, also)
	}
	p.headedWith(k, p.verdict(), caption, also)
}

// middleWords say how deep a needle may go in the middle of a segment.
func middleWords(heart *atlas.Heart, band placement.SafeBand, segment atlas.Segment) words.Said {
	here := nearestDepth(band, heart.Rim, segment.FromMM+segment.ForMM/2)
	clear := words.Fixed(roundedDown(here.ClearMM), 1)
	if here.ClearEnd.ID == "" {
		return words.Of("strip.middle-clear", words.Blanks{"segment": segment.Said(), "mm": clear})
	}
	return words.Of("strip.middle", words.Blanks{"segment": segment.Said(), "mm": clear, "end": here.ClearEnd.Label, "caution": words.Fixed(roundedDown(here.CautionMM), 1)})
}

// nearestDepth is how deep a needle may go at the place of a band nearest to one of the rim.
func nearestDepth(band placement.SafeBand, rim *atlas.Rim, alongMM float64) placement.SafeDepth {
	return slices.MinFunc(band.Depths, func(a, b placement.SafeDepth) int {
		away := func(d placement.SafeDepth) float64 {
			return math.Abs(math.Remainder(d.AlongMM-alongMM, rim.LengthMM()))
		}
		return cmp.Compare(away(a), away(b))
	})
}

// roundedDown is a length to a tenth, never larger than it is.
func roundedDown(mm float64) float64 { return math.Floor(mm*10+1e-9) / 10 }
