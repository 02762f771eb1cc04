package svgout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// bandPanel is the band of safe depths under the strip, on the strip's own places along the hinge: the endocardium on
// top, depth downward at a scale of its own.
type bandPanel struct {
	strip
	box    Box
	depths []placement.SafeDepth // in the strip's turn, from the left, one place more at either end
	band   placement.SafeBand
}

func (s strip) panel(band placement.SafeBand, top, height float64) bandPanel {
	p := bandPanel{strip: s, band: band, box: Box{s.at.X, top, s.rimMM() * s.scale, height}}
	turn := slices.Clone(band.Depths[:len(band.Depths)-1])
	for i := range turn {
		turn[i].AlongMM = s.turned(turn[i].AlongMM)
	}
	slices.SortFunc(turn, func(a, b placement.SafeDepth) int { return cmp.Compare(a.AlongMM, b.AlongMM) })
	before, after := turn[len(turn)-1], turn[0]
	before.AlongMM, after.AlongMM = before.AlongMM-s.rimMM(), after.AlongMM+s.rimMM()
	p.depths = slices.Concat([]placement.SafeDepth{before}, turn, []placement.SafeDepth{after})
	if s.mirrored {
		slices.Reverse(p.depths)
	}
	return p
}

// depthScale is paper mm for one mm of depth.
func (p bandPanel) depthScale() float64 { return p.box.H / p.band.DeepestMM }

func (p bandPanel) place(alongMM, depthMM float64) Point {
	return Point{p.paper(atlas.Spot{AlongMM: alongMM}).X, p.box.Y + depthMM*p.depthScale()}
}

// lines are the borders of the band's parts: the surface, the clear depth, that with caution, as deep as was looked.
func (p bandPanel) lines() [][]Point {
	return [][]Point{
		p.line(func(placement.SafeDepth) float64 { return 0 }),
		p.line(func(d placement.SafeDepth) float64 { return d.ClearMM }),
		p.line(func(d placement.SafeDepth) float64 { return d.CautionMM }),
		p.line(func(placement.SafeDepth) float64 { return p.band.DeepestMM }),
	}
}

func (p bandPanel) line(depth func(placement.SafeDepth) float64) []Point {
	points := make([]Point, len(p.depths))
	for i, d := range p.depths {
		points[i] = p.place(d.AlongMM, depth(d))
	}
	return points
}

// bandParts are the three parts of the band from the surface down, told apart by hatch as well.
var bandParts = []struct {
	class     string
	anglesDeg []float64
}{
	{"safe-clear", nil},
	{"safe-caution", []float64{-45}},
	{"safe-avoid", []float64{45, -45}},
}

const bandPitchMM = 2.1

func (p bandPanel) draw() {
	p.layer("safe-depth", "safe-depth-at-the-hinge")
	lines := p.lines()
	for i, part := range bandParts {
		p.between(part.class, lines[i], lines[i+1], part.anglesDeg)
	}
	p.sections()
	p.axis()
	p.edge("clear-line", lines[1])
	p.edge("caution-line", lines[2])
	p.Line("rim", Point{p.box.X, p.box.Y}, Point{p.box.Right(), p.box.Y})
	p.needlesFromTheSide()
	p.caption(p.box.Y - 2)
	p.End()
}

// between fills and hatches what lies between two lines of the panel.
func (p bandPanel) between(class string, above, below []Point, anglesDeg []float64) {
	for _, part := range parted(above, below) {
		part = clippedTo(p.box, part)
		if len(part) < 3 {
			continue
		}
		p.Path(class+"-area", new(PathData).Polyline(part, true))
		for _, angle := range anglesDeg {
			p.Path(class+"-hatch", Hatch(part, angle, bandPitchMM))
		}
	}
}

// parted are the outlines between two lines over the same places, one for each stretch in which they lie apart.
func parted(above, below []Point) (parts [][]Point) {
	apart := func(i int) bool { return below[i].Y > above[i].Y }
	for i := 0; i < len(above); {
		if !apart(i) {
			i++
			continue
		}
		from := max(i-1, 0)
		for i < len(above) && apart(i) {
			i++
		}
		to := min(i, len(above)-1)
		part := slices.Clone(above[from : to+1])
		for j := to; j >= from; j-- {
			part = append(part, below[j])
		}
		parts = append(parts, part)
	}
	return parts
}

// edge draws a line of the band where it lies between the surface and as deep as was looked.
func (p bandPanel) edge(class string, points []Point) {
	var path PathData
	drawing := false
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		flat := a.Y == b.Y && (a.Y == p.box.Y || a.Y == p.box.Bottom())
		if flat || a.X < p.box.X || b.X > p.box.Right() {
			drawing = false
			continue
		}
		if !drawing {
			path.MoveTo(a)
		}
		path.LineTo(b)
		drawing = true
	}
	p.Path(class, &path)
}

// axis is the scale of depth, in mm.
func (p bandPanel) axis() {
	step := math.Ceil(BlockHeight("axis-label", 1) / p.depthScale())
	for mm := 0.0; mm <= p.band.DeepestMM; mm += step {
		y := p.box.Y + mm*p.depthScale()
		if mm > 0 && mm < p.band.DeepestMM {
			p.Line("guide", Point{p.box.X, y}, Point{p.box.Right(), y})
		}
		p.Line("tick", Point{p.box.X - 1.2, y}, Point{p.box.X, y})
		p.Text("axis-label", p.box.X-2, y+1.3, AnchorEnd, fmt.Sprintf("%.0f", mm))
	}
	for _, x := range []float64{p.box.X, p.box.Right()} {
		p.Line("axis", Point{x, p.box.Y}, Point{x, p.box.Bottom()})
	}
	p.Line("axis", Point{p.box.X, p.box.Bottom()}, Point{p.box.Right(), p.box.Bottom()})
}

// atHingeMM is how far off the band's own line a needle may run and still be set against it. Farther off, another
// depth is safe.
const atHingeMM = 0.3

// needlesFromTheSide draws, as deep as they go, the needles that run at the hinge or cross it.
func (p bandPanel) needlesFromTheSide() {
	for _, n := range p.needles() {
		in, out := n.spots[0], n.spots[len(n.spots)-1]
		below, above := math.Min(in.OffMM, out.OffMM)-p.band.OffMM, math.Max(in.OffMM, out.OffMM)-p.band.OffMM
		if along := above <= atHingeMM && below >= -atHingeMM; !along && (below > 0 || above < 0) {
			continue
		}
		path := make([]Point, len(n.spots))
		for i, spot := range n.spots {
			path[i] = p.place(spot.AlongMM, min(max(spot.DeepMM, 0), p.band.DeepestMM))
		}
		p.pass(path, p.box)
	}
}

// sections draws what a needle straight in at the hinge would pierce: each structure cut through along it.
func (p bandPanel) sections() {
	classes := map[atlas.Kind]string{atlas.Conduction: "bundle-area", atlas.NodalArtery: "nodal-artery-area", atlas.Coronary: "coronary-area", atlas.Aorta: "aorta-area"}
	for _, structure := range p.heart.Structures {
		class := classes[structure.Kind]
		if lessCommon(structure) {
			class = "bundle-low-area"
		}
		for _, outline := range p.section(structure.Solid) {
			if outline = clippedTo(p.box, outline); len(outline) > 2 {
				p.Path(class, new(PathData).Polyline(outline, true))
			}
		}
	}
}

// section is the outline of a solid where the way straight in at the hinge goes through it, one for each stretch of
// the hinge.
func (p bandPanel) section(solid geom.Solid) (outlines [][]Point) {
	const steps = 480
	var above, below []Point
	end := func() {
		if len(above) > 1 {
			slices.Reverse(below)
			outlines = append(outlines, append(above, below...))
		}
		above, below = nil, nil
	}
	for i := range steps + 1 {
		along := p.cutMM + p.rimMM()*float64(i)/steps
		from, to, hit := p.pierced(solid, atlas.Spot{AlongMM: along, OffMM: p.band.OffMM})
		if !hit {
			end()
			continue
		}
		above, below = append(above, p.place(along, from)), append(below, p.place(along, to))
	}
	end()
	return outlines
}

// pierced is where the way straight in enters a solid and leaves it, mm deep, as deep as was looked.
func (p bandPanel) pierced(solid geom.Solid, at atlas.Spot) (from, to float64, hit bool) {
	const stepMM = 0.02
	surface, inward := p.heart.Chart.Frame(at), p.heart.Chart.Inward(at)
	deepest := p.band.DeepestMM
	// No distance changes by more than the way gone: what is farther from the middle of the way than its ends is not
	// on it.
	if solid.Distance(surface.Add(inward.Scale(deepest/2))) > deepest/2 {
		return 0, 0, false
	}
	for d := 0.0; d < deepest; {
		away := solid.Distance(surface.Add(inward.Scale(d)))
		if away <= 0 {
			if !hit {
				from, hit = d, true
			}
			to = math.Min(d-away, deepest)
		} else if hit {
			break
		}
		d += math.Max(math.Abs(away), stepMM)
	}
	return from, to, hit && from < to
}

// endsRow names, under the panel, what ends the clear depth along each stretch, where there is room for the name.
func (p bandPanel) endsRow(y float64) {
	beyond, before := p.box.X-1, ""
	p.layer("safe-depth-ends", "what-ends-the-clear-depth")
	defer p.End()
	for _, r := range p.endings() {
		p.Line("tick", Point{r.from, y - 3.6}, Point{r.to, y - 3.6})
		if r.text == before {
			continue
		}
		width := MeasureIn("axis-label", r.text)
		x := min(max((r.from+r.to)/2, p.box.X+width/2), p.box.Right()-width/2)
		if x-width/2 < beyond+1 {
			if x = beyond + 1 + width/2; x+width/2 > p.box.Right() || x > r.to+width/2 {
				continue
			}
		}
		p.Text("axis-label", x, y, AnchorMiddle, r.text)
		beyond, before = x+width/2, r.text
	}
}

// ending is a stretch of the panel along which the same ends the clear depth.
type ending struct {
	from, to float64 // paper x
	text     string
}

func (p bandPanel) endings() (runs []ending) {
	for _, d := range p.depths {
		x := p.place(d.AlongMM, 0).X
		if x < p.box.X || x > p.box.Right() {
			continue
		}
		text := p.said(endWords(p.heart, d.ClearEnd))
		if n := len(runs); n > 0 && runs[n-1].text == text {
			runs[n-1].to = x
			continue
		}
		runs = append(runs, ending{x, x, text})
	}
	return slices.DeleteFunc(runs, func(r ending) bool { return r.text == "" })
}

// caption says what the panel shows, and the least of it where there is room.
func (p bandPanel) caption(y float64) {
	const class = "axis-label"
	title := p.say("strip.band", words.Blanks{"off": words.Fixed(p.band.OffMM, 0)})
	p.Text(class, p.box.X, y, AnchorStart, Fit(class, title, p.box.W, 1)[0])
	room := p.box.W - MeasureIn(class, title) - 4
	if least := p.said(leastWords(p.heart, p.band)); MeasureIn(class, least) <= room {
		p.Text(class, p.box.Right(), y, AnchorEnd, least)
	}
}

// leastWords say the least clear depth of a band, and where.
func leastWords(heart *atlas.Heart, band placement.SafeBand) words.Said {
	least, fromMM, toMM, end := band.Least()
	if end.ID == "" {
		return words.Of("strip.clear-everywhere", words.Blanks{"mm": words.Fixed(band.DeepestMM, 0)})
	}
	from, to, what := placeOnRim(heart, fromMM), placeOnRim(heart, toMM), endWords(heart, end)
	if least == 0 {
		return words.Of("strip.never-clear", words.Blanks{"from": from, "to": to, "end": what})
	}
	return words.Of("strip.least-clear", words.Blanks{"mm": words.Fixed(roundedDown(least), 1), "from": from, "to": to, "end": what})
}

// placeOnRim is a segment and how far into it, mm.
func placeOnRim(heart *atlas.Heart, alongMM float64) words.Said {
	s := heart.SegmentAt(alongMM)
	return words.Of("strip.place", words.Blanks{"segment": s.Short(), "mm": words.Fixed(heart.Rim.Span(s.FromMM, alongMM), 1)})
}

// endWords say in a word or two what ends a depth.
func endWords(heart *atlas.Heart, end placement.DepthEnd) words.Said {
	for _, s := range heart.Structures {
		if s.ID == end.ID {
			return words.Of("strip.ends." + string(s.Kind))
		}
	}
	return end.Label
}
