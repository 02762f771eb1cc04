package svgout

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/placement"
)

// strip is the picture of one heart's rim unrolled, with the bites of a report.
type strip struct {
	*Ink
	Reader
	unrolled
	bites   []placement.BiteReport
	line    *placement.LineReport // nil: none
	prefix  string                // of the names of its layers
	beneath []beneath
	top     []float64 // how far up the wall goes, in equal steps along from the cut to the cut
	below   float64
}

// beneath is a structure as the strip shows it.
type beneath struct {
	atlas.Structure
	shadow         // of a tube or a small ellipsoid
	levels []level // of the aortic root
}

// How far the strip goes on a rim of 105 mm, mm: onto the leaflets, and beyond what it must show. Conventions of the
// drawing.
const (
	leafletDrawnMM = 8.0
	beyondShownMM  = 1.5
)

// newStrip lays a heart out in a room on the paper at the largest scale of the series, its wall no higher than
// highestMM. It has no ink yet.
func newStrip(report *placement.Report, reader Reader, room Box, highestMM float64) (strip, error) {
	if err := reader.Habit.check(); err != nil {
		return strip{}, err
	}
	heart := report.Laid.Heart
	s := strip{Reader: reader, unrolled: unrolled{heart: heart, cutMM: cutFor(report, reader.Habit), mirrored: reader.Habit.Mirrored}, bites: report.Bites, line: report.Line}
	s.beneath = s.lookBeneath()
	needs := s.needs()
	s.top, s.below = s.wallTop(needs, highestMM), s.leafletBottom(needs)
	highest := s.highest()
	for _, s.scale = range scales {
		if width, height := s.rimMM()*s.scale, (highest+s.below)*s.scale; width <= room.W && height <= room.H {
			s.at = Point{room.X + (room.W-width)/2, room.Y + highest*s.scale}
			return s, nil
		}
	}
	return s, fmt.Errorf("svgout: a rim of %.0f mm is too long for the strip", s.rimMM())
}

func (s strip) layer(id, name string) { s.Ink.layer(s.prefix+id, name) }

// highest is how far up the wall goes where it goes farthest.
func (s strip) highest() float64 { return slices.Max(s.top) }

// box is all the paper the strip takes.
func (s strip) box() Box {
	highest := s.highest()
	return Box{s.at.X, s.at.Y - highest*s.scale, s.rimMM() * s.scale, (highest + s.below) * s.scale}
}

// needs are the spots the strip must show, in its turn.
func (s strip) needs() (spots []atlas.Spot) {
	for _, zone := range s.heart.Zones {
		spots = append(spots, s.outline(zone)...)
	}
	for _, x := range s.beneath {
		spots = append(spots, x.outline...)
		for _, line := range x.levels {
			spots = append(spots, line.outline...)
		}
	}
	for _, b := range s.bites {
		for _, p := range b.Passes {
			spots = append(spots, s.inTurn([]atlas.Spot{p.In, p.Out})...)
		}
	}
	if s.line != nil {
		spots = append(spots, s.line.Corners...)
	}
	return append(spots, s.heart.Triangle.Tendon)
}

// wallTop is how far up the wall goes in equal steps from the cut to the cut: near the hinge on the free wall, and
// smoothly up over whatever must be seen. A mean of greatest values over the same reach is never less than the value.
func (s strip) wallTop(needs []atlas.Spot, highestMM float64) []float64 {
	const steps = 160
	ratio := s.rimMM() / usualRimMM
	need := make([]float64, steps)
	for i := range need {
		need[i] = freeWallDrawnMM * ratio
	}
	for _, spot := range needs {
		i := int(math.Round((s.turned(spot.AlongMM)-s.cutMM)/s.rimMM()*steps)) % steps
		need[i] = math.Max(need[i], spot.OffMM+beyondShownMM*ratio)
	}
	const reach = 9 // steps either way, some 6 mm of a rim of 105 mm
	around := func(values []float64, i int, sum func(a, b float64) float64) float64 {
		total := values[i]
		for j := 1; j <= reach; j++ {
			total = sum(sum(total, values[(i+j)%steps]), values[(i-j+steps)%steps])
		}
		return total
	}
	greatest, top := make([]float64, steps), make([]float64, steps+1)
	for i := range greatest {
		greatest[i] = around(need, i, math.Max)
	}
	for i := range need {
		mean := around(greatest, i, func(a, b float64) float64 { return a + b }) / (2*reach + 1)
		top[i] = math.Min(mean, highestMM)
	}
	top[steps] = top[0]
	return top
}

// leafletBottom is how far down the leaflets go.
func (s strip) leafletBottom(needs []atlas.Spot) float64 {
	ratio := s.rimMM() / usualRimMM
	below := leafletDrawnMM * ratio
	for _, spot := range needs {
		below = math.Max(below, beyondShownMM*ratio/2-spot.OffMM)
	}
	return below
}

// topAt is the wall's edge at a place of the rim.
func (s strip) topAt(alongMM float64) float64 {
	place := (s.turned(alongMM) - s.cutMM) / s.rimMM() * float64(len(s.top)-1)
	i := min(int(place), len(s.top)-2)
	return s.top[i] + (place-float64(i))*(s.top[i+1]-s.top[i])
}

// wallEdge is where the wall ends on the paper, step by step along.
func (s strip) wallEdge() []Point {
	edge := make([]Point, len(s.top))
	for i, off := range s.top {
		edge[i] = s.paper(atlas.Spot{AlongMM: s.cutMM + s.rimMM()*float64(i)/float64(len(s.top)-1), OffMM: off})
	}
	return edge
}

// straightOn is the way along the hinge at a distance off it, from one place of the strip to another.
func (s strip) straightOn(fromMM, toMM, offMM float64) []Point {
	return []Point{s.paper(atlas.Spot{AlongMM: fromMM, OffMM: offMM}), s.paper(atlas.Spot{AlongMM: toMM, OffMM: offMM})}
}

func (s strip) ground() {
	s.layer("anatomy", "anatomy-unrolled")
	s.layer("wall", "atrial-wall")
	wall := new(PathData).SmoothThrough(s.wallEdge(), false)
	for _, p := range s.straightOn(s.cutMM+s.rimMM(), s.cutMM, 0) {
		wall.LineTo(p)
	}
	s.Path("wall", wall.Close())
	s.End()
	s.leaflets()
	s.openings()
	s.End()
}

// leaflets draws the leaflets where they hang from the hinge; where they end is not shown.
func (s strip) leaflets() {
	s.layer("leaflets", "leaflets-beside-the-hinge")
	b := s.box()
	s.Rect("leaflet", Box{b.X, s.at.Y, b.W, s.below * s.scale})
	for _, leaf := range s.heart.Leaflets() {
		for _, along := range []float64{leaf.FromMM, leaf.FromMM + leaf.ForMM} {
			top := s.paper(atlas.Spot{AlongMM: s.turned(along)})
			s.Line("leaflet-edge", top, Point{top.X, b.Bottom()})
		}
	}
	if s.heart.Valve.Cleft {
		s.cleft()
	}
	s.End()
}

// cleft draws the end of the gap in the anterior leaflet.
func (s strip) cleft() {
	const reaches = 0.72 // share of the way from the free edge to the hinge, as the atrial view has it
	height, _ := s.heart.Value("leaflet-height")
	anterior := s.heart.Leaflets()[0]
	middle := s.turned(anterior.FromMM + anterior.ForMM/2)
	end := -(1 - reaches) * height.Here
	if -end >= s.below {
		return
	}
	wide := 0.9 * (s.below + end) / (reaches * height.Here)
	edge := s.papers([]atlas.Spot{{AlongMM: middle - wide, OffMM: -s.below}, {AlongMM: middle, OffMM: end}, {AlongMM: middle + wide, OffMM: -s.below}})
	for _, part := range overTheEnds(edge, s.box()) {
		s.Path("cleft", new(PathData).Polyline(part, false))
	}
}

// openings draws the oval fossa and the ostium.
func (s strip) openings() {
	s.layer("septum", "septal-wall")
	for _, o := range []struct {
		id    atlas.ZoneID
		class string
	}{{atlas.Fossa, "fossa"}, {atlas.Ostium, "ostium"}} {
		zone, there := s.heart.Zone(o.id)
		if !there || zone.Outline.Centroid().Y > s.highest() {
			continue
		}
		for _, part := range s.copies(s.outline(zone), s.box()) {
			s.area(o.class, part)
			if part.whole {
				s.area("contour", outlinePart{shrunk(part.outline, 0.8), true})
			}
		}
		if points := s.papers(s.outline(zone)); overAnEnd(points, s.box()) {
			for _, line := range overTheEnds(closed(shrunk(points, 0.8)), s.box()) {
				s.Path("contour", new(PathData).SmoothThrough(line, false))
			}
		}
	}
	s.End()
}

func closed(outline []Point) []Point { return append(slices.Clip(outline), outline[0]) }

// area draws a closed outline, smooth where it was not cut.
func (s strip) area(class string, p outlinePart) {
	if p.whole {
		s.Path(class, new(PathData).SmoothThrough(thinned(p.outline, true), true))
		return
	}
	s.Path(class, new(PathData).Polyline(p.outline, true))
}

// zoneGrounds and zoneHatches draw the zones that rules speak of, and the membranous septum's edge.
func (s strip) zoneGrounds() {
	s.layer("zone-grounds", "zones-ground")
	for _, zone := range s.heart.Zones {
		if ownZone(zone.ID) {
			s.eachCopy(zone, func(p outlinePart) { s.area("own-zone", outlinePart{outline: p.outline}) })
		}
	}
	for _, drawn := range drawnZones {
		if zone, ok := s.heart.Zone(drawn.id); ok {
			s.eachCopy(zone, func(p outlinePart) { s.ZoneGround(drawn.class, p.outline, drawn.smooth && p.whole) })
		}
	}
	s.End()
}

func (s strip) zoneHatches() {
	s.layer("zones", "zones")
	for _, drawn := range drawnZones {
		if zone, ok := s.heart.Zone(drawn.id); ok {
			s.eachCopy(zone, func(p outlinePart) { s.ZoneHatch(drawn.class, p.outline, drawn.smooth && p.whole) })
		}
	}
	if zone, ok := s.heart.Zone(atlas.Membranous); ok {
		s.eachCopy(zone, func(p outlinePart) { s.area("hidden", p) })
	}
	s.End()
}

func (s strip) eachCopy(zone atlas.Zone, draw func(outlinePart)) {
	for _, part := range s.copies(s.outline(zone), s.box()) {
		draw(part)
	}
}

// tendonLine draws the tendon line from the apex past the ostium, as far as the strip's wall goes.
func (s strip) tendonLine() {
	s.layer("tendon-line", "tendon-line")
	var line []Point
	for _, spot := range s.tendon() {
		if spot.OffMM > s.topAt(spot.AlongMM)-0.3 {
			break
		}
		line = append(line, s.paper(spot))
	}
	for _, part := range overTheEnds(line, s.box()) {
		s.Path("tendon", new(PathData).SmoothThrough(part, false))
	}
	s.End()
}

func (s strip) tendon() []atlas.Spot {
	const pieces, beyond = 24, 1.4 // as many times as long as the triangle's side
	t := s.heart.Triangle
	path := make([]atlas.Spot, pieces+1)
	for i := range path {
		share := beyond * float64(i) / pieces
		past := math.Max(0, share-0.9)
		path[i] = atlas.Spot{
			AlongMM: t.Apex.AlongMM + share*(t.Tendon.AlongMM-t.Apex.AlongMM) - 9*past*past*s.rimMM()/usualRimMM,
			OffMM:   share * t.Tendon.OffMM,
		}
	}
	return s.inTurn(path)
}

// hinge draws the rim: broken where a needle runs along under it, so that the needle is seen.
func (s strip) hinge() {
	s.layer("rim", "rim")
	x := s.at.X
	end := x + s.rimMM()*s.scale
	for _, gap := range s.onHinge() {
		if gap.from > x {
			s.Line("rim", Point{x, s.at.Y}, Point{gap.from, s.at.Y})
		}
		x = math.Max(x, gap.to)
	}
	if x < end {
		s.Line("rim", Point{x, s.at.Y}, Point{end, s.at.Y})
	}
	s.End()
}

// commissures marks the borders of the segments across the hinge, at both ends of the strip where it is cut at one.
func (s strip) commissures() {
	s.layer("landmarks", "commissures")
	for _, along := range s.borders() {
		at := s.paper(atlas.Spot{AlongMM: along})
		s.Line("rim-tick", at.Plus(Point{0, -2.2}), at.Plus(Point{0, 2.2}))
		s.Circle("commissure", at, 1.1)
	}
	s.End()
}

// borders are the commissures in the strip.
func (s strip) borders() (alongs []float64) {
	const atEndMM = 0.01
	for _, segment := range s.heart.Segments() {
		along := s.turned(segment.FromMM)
		if math.Abs(along-s.cutMM) < atEndMM || math.Abs(along-s.cutMM-s.rimMM()) < atEndMM {
			alongs = append(alongs, s.cutMM, s.cutMM+s.rimMM())
			continue
		}
		alongs = append(alongs, along)
	}
	return alongs
}
