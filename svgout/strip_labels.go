package svgout

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// anatomyName is a name to be written beside the strip, and how soon it is left out where there is no room for all:
// those of higher rank first. The legend has what names of rank 2 and more say.
type anatomyName struct {
	at    atlas.Spot
	text  string
	depth string // of what lies beneath
	rank  int
}

// nameLines are a name's lines in a room, its depth on one of its own unless all goes on one.
func (r Reader) nameLines(n anatomyName, room float64) []string {
	const class = "label-quiet"
	if n.depth == "" {
		return Fit(class, n.text, room, 2)
	}
	if whole := r.say("strip.name-and-depth", words.Blanks{"name": n.text, "depth": n.depth}); MeasureIn(class, whole) <= room {
		return []string{whole}
	}
	return append(Fit(class, n.text, room, 2), Fit(class, n.depth, room, 1)...)
}

// anatomyLabels name what lies in the strip, from over the free wall on either side of the septum, as much as there is
// room for.
func (s strip) anatomyLabels(top float64) (all Placed) {
	names := s.anatomyNames()
	slices.SortStableFunc(names, func(a, b anatomyName) int { return cmp.Compare(a.rank, b.rank) })
	for _, frame := range s.labelFrames(top, narrowestFor(names)) {
		all.Labels = append(all.Labels, s.labelsIn(frame, names).Labels...)
	}
	return all
}

// narrowestFor is how wide a column of names has to be: so that no word of theirs is broken.
func narrowestFor(names []anatomyName) float64 {
	const least = 34.0
	widest := 0.0
	for _, n := range names {
		for _, word := range strings.Fields(n.text) {
			widest = math.Max(widest, MeasureIn("label-quiet", word))
		}
	}
	return math.Max(least, widest+padMM+0.01)
}

// labelsIn are as many of the names as a frame has room for.
func (s strip) labelsIn(frame LabelFrame, names []anatomyName) Placed {
	room := LabelRoomMM(narrower(frame.Left, frame.Right), NoLevel)
	var labels []Label
	for _, n := range names {
		label := Label{Lines: s.nameLines(n, room), Class: "label-quiet", Target: s.paper(s.inTurn([]atlas.Spot{n.at})[0])}
		if frame.between(label.Target) && len(label.Lines) > 0 {
			labels = append(labels, label)
		}
	}
	for ; len(labels) > 0; labels = labels[:len(labels)-1] {
		frame.MiddleX = middleTarget(labels)
		if placed, err := Layout(labels, frame); err == nil {
			return placed
		}
	}
	return Placed{}
}

func narrower(a, b Box) Box {
	if a.W == 0 || b.W > 0 && b.W < a.W {
		return b
	}
	return a
}

// labelFrames are the rooms for names over the free wall, beside where the wall is high: on either side of it, or where
// a turn has brought it to an end of the strip, or parted it, on the one side that each part has.
func (s strip) labelFrames(top, narrowest float64) []LabelFrame {
	const widest, riseMM, widestAlone, riseAloneMM = 58.0, 9.0, 80.0, 2.0
	b, low := s.box(), s.lowWall(riseMM)
	column := func(from, to float64) Box {
		return Box{X: from, Y: top, W: to - from, H: math.Max(0, s.skyAbove(from, to)-top)}
	}
	if low == (span{b.X, b.Right()}) {
		return nil
	}
	left, right := low.to, low.from
	if s.Habit.turn() == 0 {
		left, right = math.Max(left, b.X+narrowest), math.Min(right, b.Right()-narrowest)
	}
	if low.from >= low.to && left-b.X >= narrowest && b.Right()-right >= narrowest {
		return []LabelFrame{{Left: column(math.Max(b.X, left-widest), left), Right: column(right, math.Min(b.Right(), right+widest))}}
	}
	if alone := s.lowWall(riseAloneMM); alone.from >= alone.to || alone.to-alone.from > widestAlone {
		low = alone
	}
	switch {
	case low.from < low.to: // in the middle of the strip
		width := math.Min(widestAlone, (low.to-low.from)/2)
		return []LabelFrame{{Right: column(low.from, low.from+width)}, {Left: column(low.to-width, low.to)}}
	case low.to-b.X > b.Right()-low.from:
		return []LabelFrame{{Left: column(math.Max(b.X, low.to-widestAlone), low.to)}}
	}
	return []LabelFrame{{Right: column(low.from, math.Min(b.Right(), low.from+widestAlone))}}
}

// lowWall is the longest stretch of the paper over which the wall rises little; one that runs over the ends of the strip
// goes from a place to one left of it.
func (s strip) lowWall(riseMM float64) span {
	edge := s.wallEdge()
	low := slices.MaxFunc(edge, func(p, q Point) int { return cmp.Compare(p.Y, q.Y) }).Y
	var high []float64
	for _, p := range edge {
		if p.Y < low-riseMM {
			high = append(high, p.X)
		}
	}
	b := s.box()
	if len(high) == 0 {
		return span{b.X, b.Right()}
	}
	slices.Sort(high)
	longest := span{high[len(high)-1], high[0]} // over the ends
	length := b.W - (longest.from - longest.to)
	for i := 1; i < len(high); i++ {
		if gap := high[i] - high[i-1]; gap > length {
			longest, length = span{high[i-1], high[i]}, gap
		}
	}
	return longest
}

// skyAbove is how far down the paper is free between two places: to a little above the wall's edge.
func (s strip) skyAbove(from, to float64) float64 {
	const apartMM = 1.5
	y := s.at.Y
	for _, p := range s.wallEdge() {
		if p.X >= from-1 && p.X <= to+1 {
			y = math.Min(y, p.Y-apartMM)
		}
	}
	return y
}

func (s strip) anatomyNames() (names []anatomyName) {
	add := func(at atlas.Spot, text, depth string, rank int) {
		names = append(names, anatomyName{at, text, depth, rank})
	}
	zones := map[string]bool{}
	for _, zone := range s.heart.Zones {
		rank := 0
		if inLegend(zone.ID) {
			rank = 3
		}
		add(s.inZone(zone), s.said(zone.Label), "", rank)
		zones[s.said(zone.Label)] = true
	}
	for _, x := range s.beneath {
		rank := 1
		if x.Kind == atlas.NodalArtery || x.Kind == atlas.Conduction && !x.Excludes && !isNode(x.Structure) {
			rank = 2
		}
		if at, ok := s.namedAt(x); ok && !zones[s.structureName(x.Structure)] {
			add(at, s.structureName(x.Structure), s.said(x.depthWords()), rank)
		}
	}
	tendon := s.tendon()
	add(tendon[len(tendon)*3/5], s.say("name.tendon-line"), "", 0)
	return names
}

// depthWords say how deep the middle of a structure lies; nothing of a vessel with its depths written along it.
func (x beneath) depthWords() words.Said {
	if len(x.middle) == 0 || x.Kind == atlas.Coronary {
		return words.Said{}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, spot := range x.middle {
		low, high = math.Min(low, spot.DeepMM), math.Max(high, spot.DeepMM)
	}
	if high-low < alikeMM {
		return words.Of("strip.deep", words.Blanks{"mm": words.Fixed(low, 1)})
	}
	return words.Of("strip.deep-range", words.Blanks{"low": words.Fixed(low, 1), "high": words.Fixed(high, 1)})
}

// inLegend tells the zones that the legend names.
func inLegend(id atlas.ZoneID) bool {
	for _, drawn := range drawnZones {
		if drawn.id == id {
			return true
		}
	}
	return false
}

// inZone is where a zone is pointed at: as the atrial view does, off what else lies there.
func (s strip) inZone(zone atlas.Zone) atlas.Spot {
	along, up := anatomy{heart: s.heart}.seenBest(zone.ID)
	if zone.ID == atlas.Membranous {
		along, up = 0.6, 0.7
	}
	c := zone.Outline.Centroid()
	var half geom.Point
	for _, p := range zone.Outline {
		half.X, half.Y = math.Max(half.X, math.Abs(p.X-c.X)), math.Max(half.Y, math.Abs(p.Y-c.Y))
	}
	return atlas.Spot{AlongMM: c.X + along*half.X, OffMM: c.Y + up*half.Y}
}

// namedAt is where a structure is pointed at; the left extension goes without a name.
func (s strip) namedAt(x beneath) (at atlas.Spot, ok bool) {
	switch {
	case x.ID == "left-extension":
		return at, false
	case len(x.levels) > 0:
		outline := x.levels[0].outline
		return outline[len(outline)/8], true
	case len(x.middle) == 1: // beside the number in its middle
		return between(x.middle[0], x.outline[len(x.outline)/8], 0.8), true
	case len(x.middle) == 0:
		return at, false
	}
	share := map[string]float64{"bundle": 0.85, "bundle-low": 0.5, "right-extension": 0.8, "nodal-artery": 0.4}[x.ID]
	if x.Kind == atlas.Coronary {
		share = 1
	} else if share == 0 || s.heart.Variant != nil && x.Kind == atlas.Conduction {
		share = 0.5
	}
	return x.middle[int(share*float64(len(x.middle)-1))], true
}

func between(a, b atlas.Spot, share float64) atlas.Spot {
	return atlas.Spot{AlongMM: a.AlongMM + share*(b.AlongMM-a.AlongMM), OffMM: a.OffMM + share*(b.OffMM-a.OffMM)}
}

// leafletNames letters each leaflet at the strip's lower edge, where nothing else stands; a leaflet with no such place
// goes without.
func (s strip) leafletNames(tags []placedTag, numbers []Box) {
	b := s.box()
	taken := s.lowPoints(tags)
	for _, leaf := range s.heart.Leaflets() {
		text := s.said(leaf.Said())
		width := MeasureIn("label-quiet", text)
		middle := s.turned(leaf.FromMM + leaf.ForMM/2)
		for step := range 25 {
			aside := float64(step+1) / 2 / 30 * leaf.ForMM
			if step%2 == 1 {
				aside = -aside
			}
			at := s.paper(atlas.Spot{AlongMM: middle + aside})
			box := Box{at.X - width/2, b.Bottom() - 6, width, 5}
			if box.X > b.X+1 && box.Right() < b.Right()-1 && !crowded(box.Grow(0.9), taken) && !overlapsAny(box, numbers) {
				s.Text("label-quiet", at.X, b.Bottom()-2.2, AnchorMiddle, text)
				break
			}
		}
	}
}

// lowPoints are the points a leaflet's name keeps off: leaders, needles, borders of leaflets, and what lies there.
func (s strip) lowPoints(tags []placedTag) (points []Point) {
	b := s.box()
	for _, f := range tags {
		points = append(points, straight(f.port, f.target)...)
	}
	for _, n := range s.needles() {
		points = append(points, n.path...)
	}
	for _, leaf := range s.heart.Leaflets() {
		for _, along := range []float64{leaf.FromMM, leaf.FromMM + leaf.ForMM} {
			x := s.paper(atlas.Spot{AlongMM: s.turned(along)}).X
			points = append(points, straight(Point{x, s.at.Y}, Point{x, b.Bottom()})...)
		}
	}
	ring := func(part []Point) {
		for i, p := range part {
			points = append(points, straight(p, part[(i+1)%len(part)])...)
		}
	}
	for _, zone := range s.heart.Zones {
		if inLegend(zone.ID) || ownZone(zone.ID) {
			s.eachCopy(zone, func(p outlinePart) { ring(p.outline) })
		}
	}
	for _, x := range s.beneath {
		for _, line := range append([]level{{outline: x.outline}}, x.levels...) {
			for _, part := range s.copies(line.outline, b) {
				ring(part.outline)
			}
		}
	}
	return points
}
