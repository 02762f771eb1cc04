package svgout

import (
	"math"
	"slices"

	"fairlead/atlas/words"
	"fairlead/placement"
)

// keySample is an entry of a legend: a sample, drawn about a point, and its words, which may want to stand farther off.
type keySample struct {
	draw   func(at Point)
	text   string
	moreMM float64
}

// legendIn sets samples in rows, as wide as the room is, from a first baseline on its upper edge. What is longer than a
// row takes two lines.
func (k *Ink) legendIn(room Box, samples []keySample) {
	legendRows(room, samples, func(at Point, indentMM float64, sample keySample, lines []string) {
		sample.draw(at.Plus(Point{3, -1.2}))
		for i, line := range lines {
			k.Text("legend", at.X+indentMM, at.Y+float64(i)*LineHeight(Lettering("legend").SizeMM), AnchorStart, line)
		}
	})
}

// legendHeight is how far under the first baseline of a legend its last one lies, mm.
func legendHeight(room Box, samples []keySample) (heightMM float64) {
	legendRows(room, samples, func(at Point, _ float64, _ keySample, lines []string) {
		heightMM = at.Y + float64(len(lines)-1)*LineHeight(Lettering("legend").SizeMM) - room.Y
	})
	return heightMM
}

// legendRows gives each sample a place, and its words their lines and how far from it they stand.
func legendRows(room Box, samples []keySample, each func(at Point, indentMM float64, sample keySample, lines []string)) {
	const rowMM, indentMM, apartMM = 5.0, 8.0, 4.0
	x, y := room.X, room.Y
	for i, sample := range samples {
		indent := indentMM + sample.moreMM
		lines := Fit("legend", sample.text, room.W-indent, 2)
		width := indent
		for _, line := range lines {
			width = max(width, indent+MeasureIn("legend", line))
		}
		if i > 0 && x+width > room.Right() {
			x, y = room.X, y+rowMM
		}
		each(Point{x, y}, indent, sample, lines)
		y += float64(len(lines)-1) * LineHeight(Lettering("legend").SizeMM)
		x += width + apartMM
	}
}

// raisedLegend is a room for a legend of a height, raised so that it ends above the footer, as far as the lowest
// lettering over it leaves room.
func raisedLegend(room Box, heightMM, footerTop, above float64) Box {
	const airMM = 1.0
	least := above + descentEm*Lettering("axis-label").SizeMM + airMM/2 + ascentEm*Lettering("legend").SizeMM
	raised := footerTop - airMM - heightMM
	room.Y = math.Max(math.Min(room.Y, raised), math.Min(room.Y, least))
	return room
}

// stripSamples are what the strip's legend shows.
func (s strip) stripSamples(p plate) []keySample {
	box := func(at Point) Box { return Box{at.X - 3, at.Y - 1.6, 6, 3.2} }
	swatch := func(class string) func(Point) { return func(at Point) { s.Rect(class, box(at)) } }
	corners := func(at Point) []Point {
		b := box(at)
		return []Point{{b.X, b.Y}, {b.Right(), b.Y}, {b.Right(), b.Bottom()}, {b.X, b.Bottom()}}
	}
	var samples []keySample
	for i, part := range bandParts {
		level := []placement.Level{placement.Clear, placement.Caution, placement.Avoid}[i]
		samples = append(samples, keySample{func(at Point) {
			s.LevelMark(mark(level), at.Plus(Point{-1.2, 0}), markMM)
			beside := at.Plus(Point{4.6, 0})
			s.Rect(part.class+"-area", box(beside))
			for _, angle := range part.anglesDeg {
				s.Path(part.class+"-hatch", Hatch(corners(beside), angle, bandPitchMM))
			}
			s.Path("axis", new(PathData).Polyline(corners(beside), true))
		}, s.said(level.Said()), 4})
	}
	samples = append(samples, keySample{func(at Point) {
		s.Path("thread-hidden", new(PathData).Polyline([]Point{at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})}, false))
		s.Circle("needle-entry", at.Plus(Point{-3, 0}), needleDotMM)
		s.Circle("needle-exit", at.Plus(Point{3, 0}), needleDotMM)
	}, s.say("strip.legend.needle"), 0})
	if s.line != nil {
		samples = append(samples, keySample{func(at Point) { s.smoothLine("suture-line", at.Plus(Point{-4, 0}), at.Plus(Point{3.4, 0})) }, s.say("legend.suture-line"), 0})
	}
	if p.hasPledgets() {
		samples = append(samples, keySample{swatch("pledget"), s.say("legend.pledget"), 0})
	}
	for _, zone := range s.zoneWords() {
		samples = append(samples, keySample{func(at Point) { s.Zone(zone.class, corners(at), false) }, s.said(zone.text), 0})
	}
	samples = append(samples, keySample{swatch("node-area"), s.say("legend.axis"), 0})
	if slices.ContainsFunc(s.heart.Structures, lessCommon) {
		samples = append(samples, keySample{swatch("bundle-low-area"), s.say("strip.legend.bundle-low"), 0})
	}
	return append(samples,
		keySample{swatch("coronary-area"), s.say("legend.arteries"), 0},
		keySample{func(at Point) { s.Text("axis-label", at.X, at.Y+1.3, AnchorMiddle, s.depthText(1.5)) }, s.say("strip.legend.depth"), 0},
	)
}

// zoneWords are the zones that the strip draws and the legend names: by short words in the usual heart, in a malformed
// one by what they are there.
func (s strip) zoneWords() (keys []zoneKey) {
	usual := map[Zone]words.Said{TriangleApical: words.Of("legend.apical-half"), TriangleBasal: words.Of("legend.basal-half"), Fibrous: words.Of("legend.fibrous-body"), VentricularSide: words.Of("legend.ventricular-side")}
	for _, drawn := range slices.Backward(drawnZones) {
		zone, there := s.heart.Zone(drawn.id)
		if !there {
			continue
		}
		text := usual[drawn.class]
		if s.heart.Variant != nil && drawn.class != Fibrous {
			text = zone.Label
		}
		keys = append(keys, zoneKey{drawn.class, text})
	}
	return keys
}
