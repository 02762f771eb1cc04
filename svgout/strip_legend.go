package svgout

import (
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

// legendIn sets samples in rows, as wide as the room is. What is longer than a row takes two lines.
func (k *Ink) legendIn(room Box, samples []keySample) {
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
		sample.draw(Point{x + 3, y - 1.2})
		for j, line := range lines {
			if j > 0 {
				y += LineHeight(Lettering("legend").SizeMM)
			}
			k.Text("legend", x+indent, y, AnchorStart, line)
		}
		x += width + apartMM
	}
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
		}, level.Said().String(), 4})
	}
	samples = append(samples, keySample{func(at Point) {
		s.Path("thread-hidden", new(PathData).Polyline([]Point{at.Plus(Point{-3, 0}), at.Plus(Point{3, 0})}, false))
		s.Circle("needle-entry", at.Plus(Point{-3, 0}), needleDotMM)
		s.Circle("needle-exit", at.Plus(Point{3, 0}), needleDotMM)
	}, "needle in, under, out", 0})
	if p.hasPledgets() {
		samples = append(samples, keySample{swatch("pledget"), "pledget", 0})
	}
	for _, zone := range s.zoneWords() {
		samples = append(samples, keySample{func(at Point) { s.Zone(zone.class, corners(at), false) }, zone.text.String(), 0})
	}
	samples = append(samples, keySample{swatch("node-area"), "conduction axis, beneath", 0})
	if slices.ContainsFunc(s.heart.Structures, lessCommon) {
		samples = append(samples, keySample{swatch("bundle-low-area"), "less common way", 0})
	}
	return append(samples,
		keySample{swatch("coronary-area"), "arteries, beneath", 0},
		keySample{func(at Point) { s.Text("axis-label", at.X, at.Y+1.3, AnchorMiddle, "1.5") }, "mm deep: its middle; of the aortic root its wall", 0},
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
