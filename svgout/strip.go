package svgout

import (
	"fmt"
	"math"
	"strings"

	"fairlead/atlas"
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
// below, true along the hinge; under it how deep a needle may go at each place of the hinge.
func StripDrawing(report *placement.Report, reader Reader) (*Drawing, error) {
	plate := plate{report: report, page: stripPage, Reader: reader}
	band := report.SafeDepth(0)
	k := NewDrawing(Page{WidthMM: stripPage.W, HeightMM: stripPage.H, Language: reader.Language,
		Title: fmt.Sprintf("%s: the tricuspid rim unrolled", report.Laid.Plan.Case), Desc: plate.describeStrip(band)})
	k.Rect("paper", stripPage)
	s, err := newStrip(k, report, reader, stripRoom, wholeWallMM)
	if err != nil {
		return nil, err
	}
	tags, entries, err := s.layTags(s.tagRow(), keyTable{[]Box{stripKey}, keyFreeMM})
	if err != nil {
		return nil, err
	}
	labels := s.anatomyLabels(stripRoom.Y)
	s.draw(tags, labels)
	panel := s.panel(band, s.tagRow().Bottom()+panelCaptionMM, stripBandMM)
	panel.draw()
	panel.endsRow(panel.box.Bottom() + 4.6)
	s.segmentRow(panel.box.Bottom() + 7.5)
	k.key(entries)

	plate.headed(k, s.heart, fmt.Sprintf("Rim unrolled, cut %s. Operation: %s. Scale %s : 1 along the hinge; depth %s : 1.",
		s.cutWords(), report.Laid.Plan.Operation, mustNumber(s.scale), mustNumber(panel.depthScale())))
	k.layer("scale", "scale")
	plate.scaleBar(k, Point{231, 181}, s.scale)
	k.End()
	k.layer("legend", "legend")
	k.legendIn(stripLegend, s.stripSamples(plate))
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
func (s strip) cutWords() string {
	segment := s.heart.SegmentAt(s.cutMM)
	into := s.heart.Rim.Span(segment.FromMM, s.cutMM)
	if into < 0.01 || segment.ForMM-into < 0.01 {
		return "at the anteroposterior commissure"
	}
	return fmt.Sprintf("%.1f mm into the %s segment", into, segment.Name)
}

// describeStrip tells a reader who cannot see the plate what it shows.
func (p plate) describeStrip(band placement.SafeBand) string {
	var t strings.Builder
	heart := p.report.Laid.Heart
	fmt.Fprintf(&t, "The rim of the tricuspid valve unrolled: from the left posterior, septal and anterior segment; atrial wall above the hinge, leaflets below. Verdict of the plan: %s.", p.report.Verdict)
	numbers := numbered(p.report.Bites)
	for i, b := range p.report.Bites {
		fmt.Fprintf(&t, " %s: bite %s, %s, %.1f mm deep: %s", numbers[i], b.Name, b.Where, b.DepthMM, b.Verdict)
		for _, r := range b.Reasons {
			if r.Level > placement.Clear {
				fmt.Fprintf(&t, "; %s", r.Text)
			}
		}
		t.WriteString(".")
	}
	for _, x := range (unrolled{heart: heart}).lookBeneath() {
		if x.Kind == atlas.Conduction {
			fmt.Fprintf(&t, " %s: its middle %s.", p.structureName(x.Structure), x.depthWords())
		}
	}
	fmt.Fprintf(&t, " Safe depth straight in at the hinge: %s", leastWords(heart, band))
	for _, segment := range heart.Segments() {
		fmt.Fprintf(&t, " In the middle of the %s segment %s.", segment.Name, depthWords(band, heart.Rim, segment.FromMM+segment.ForMM/2))
	}
	t.WriteString(" " + p.said(placement.Care()))
	return t.String()
}

// depthWords say how deep a needle may go at the place of a band nearest to one of the rim.
func depthWords(band placement.SafeBand, rim *atlas.Rim, alongMM float64) string {
	nearest, here := math.Inf(1), placement.SafeDepth{}
	for _, d := range band.Depths {
		if away := math.Abs(math.Remainder(d.AlongMM-alongMM, rim.LengthMM())); away < nearest {
			nearest, here = away, d
		}
	}
	clear := fmt.Sprintf("it is clear to %.1f mm", roundedDown(here.ClearMM))
	if here.ClearEnd.ID == "" {
		return clear + ", as deep as was looked"
	}
	return fmt.Sprintf("%s (%s), with caution to %.1f mm", clear, here.ClearEnd.Label, roundedDown(here.CautionMM))
}

// roundedDown is a length to a tenth, never larger than it is.
func roundedDown(mm float64) float64 { return math.Floor(mm*10+1e-9) / 10 }
