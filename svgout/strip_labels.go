package svgout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// anatomyName is a name to be written beside the strip, and how soon it is left out where there is no room for all:
// those of higher rank first. The legend has what names of rank 2 and more say.
type anatomyName struct {
	at    atlas.Spot
	text  string
	depth string // of what lies beneath
	rank  int
}

// lines are the name's lines in a room, its depth on one of its own unless all goes on one.
func (n anatomyName) lines(room float64) []string {
	const class = "label-quiet"
	if n.depth == "" {
		return Fit(class, n.text, room, 2)
	}
	if whole := n.text + ", " + n.depth; MeasureIn(class, whole) <= room {
		return []string{whole}
	}
	return append(Fit(class, n.text, room, 2), Fit(class, n.depth, room, 1)...)
}

// anatomyLabels name what lies in the strip, from over the free wall on either side of the septum, as much as there is
// room for.
func (s strip) anatomyLabels(top float64) Placed {
	frame := s.labelFrame(top)
	names := s.anatomyNames()
	slices.SortStableFunc(names, func(a, b anatomyName) int { return cmp.Compare(a.rank, b.rank) })
	room := LabelRoomMM(Box{W: math.Min(frame.Left.W, frame.Right.W)}, NoLevel)
	var labels []Label
	for _, n := range names {
		label := Label{Lines: n.lines(room), Class: "label-quiet", Target: s.paper(s.inTurn([]atlas.Spot{n.at})[0])}
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

// labelFrame is the room over the free wall, on both sides of where the wall is high.
func (s strip) labelFrame(top float64) LabelFrame {
	const widest, narrowest, riseMM = 58.0, 34.0, 9.0
	b := s.box()
	low := slices.Min(s.top) * s.scale
	left, right := b.Right(), b.X
	for i, off := range s.top {
		if off*s.scale > low+riseMM {
			x := b.X + b.W*float64(i)/float64(len(s.top)-1)
			left, right = math.Min(left, x), math.Max(right, x)
		}
	}
	left, right = math.Max(left, b.X+narrowest), math.Min(right, b.Right()-narrowest)
	column := func(from, to float64) Box {
		return Box{X: from, Y: top, W: to - from, H: math.Max(0, s.skyAbove(from, to)-top)}
	}
	return LabelFrame{Left: column(math.Max(b.X, left-widest), left), Right: column(right, math.Min(b.Right(), right+widest))}
}

// skyAbove is how far down the paper is free between two places: to a little above the wall's edge.
func (s strip) skyAbove(from, to float64) float64 {
	const apartMM = 1.5
	y := s.at.Y
	for i, off := range s.top {
		x := s.at.X + s.rimMM()*s.scale*float64(i)/float64(len(s.top)-1)
		if x >= from-1 && x <= to+1 {
			y = math.Min(y, s.at.Y-off*s.scale-apartMM)
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
			add(at, s.structureName(x.Structure), x.depthWords(), rank)
		}
	}
	tendon := s.tendon()
	add(tendon[len(tendon)*3/5], "tendon line", "", 0)
	return names
}

// depthWords say how deep the middle of a structure lies; nothing of a vessel with its depths written along it.
func (x beneath) depthWords() string {
	if len(x.middle) == 0 || x.Kind == atlas.Coronary {
		return ""
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, spot := range x.middle {
		low, high = math.Min(low, spot.DeepMM), math.Max(high, spot.DeepMM)
	}
	if high-low < alikeMM {
		return fmt.Sprintf("%.1f mm deep", low)
	}
	return fmt.Sprintf("%.1f to %.1f mm deep", low, high)
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
		text := leaf.Name + " leaflet"
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
			s.eachCopy(zone, func(part []Point, _ bool) { ring(part) })
		}
	}
	for _, x := range s.beneath {
		for _, line := range append([]level{{outline: x.outline}}, x.levels...) {
			for _, part := range s.copies(line.outline, b) {
				ring(part)
			}
		}
	}
	return points
}
