package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// How far up the walls the plate goes on a rim of 105 mm, mm of tissue: to just above the fossa on the septum, to a cut
// edge on the free wall. A convention of the drawing.
const (
	aboveFossaMM    = 1.5
	freeWallDrawnMM = 9.0
	usualRimMM      = 105.0
)

// anatomy draws one heart through one camera.
type anatomy struct {
	*Ink
	Reader
	camera
	heart  *atlas.Heart
	sunkMM float64 // how far under the plane of the rim the leaflets meet; of no account where the view looks straight down
}

// chartPath carries places of the chart onto the paper.
func (a anatomy) chartPath(spots []atlas.Spot) []Point {
	points := make([]Point, len(spots))
	for i, s := range spots {
		points[i] = a.paper(a.heart.Chart.Frame(s))
	}
	return points
}

// zoneOutline carries a zone's outline onto the paper, its sides followed along the wall.
func (a anatomy) zoneOutline(zone atlas.Zone) []Point {
	const piecesMM = 1.5
	var spots []atlas.Spot
	for i, p := range zone.Outline {
		q := zone.Outline[(i+1)%len(zone.Outline)]
		pieces := max(1, int(math.Hypot(q.X-p.X, q.Y-p.Y)/piecesMM))
		for j := range pieces {
			t := float64(j) / float64(pieces)
			spots = append(spots, atlas.Spot{AlongMM: p.X + t*(q.X-p.X), OffMM: p.Y + t*(q.Y-p.Y)})
		}
	}
	return a.chartPath(spots)
}

// wallEdge is where the drawing's wall ends: far up the septum, near the hinge on the free wall, smoothly between.
func wallEdge(heart *atlas.Heart) []geom.Vec {
	segments := heart.Segments()
	septal := segments[2]
	rim := heart.Rim.LengthMM()
	middle := septal.FromMM + septal.ForMM/2
	scale := rim / usualRimMM
	free, high := freeWallDrawnMM*scale, aboveFossaMM*scale
	if fossa, ok := heart.Zone(atlas.Fossa); ok {
		top := 0.0
		for _, p := range fossa.Outline {
			top = math.Max(top, p.Y)
		}
		high += top
	}
	const points = 96
	edge := make([]geom.Vec, points)
	for i := range edge {
		along := rim * float64(i) / points
		away := math.Abs(math.Remainder(along-middle, rim)) / (rim / 2) // 0 mid septum, 1 opposite
		off := free + (high-free)*bump(away)
		edge[i] = heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: off})
	}
	return edge
}

// bump falls smoothly from 1 at 0 to 0 at 1, most of it before the middle, so that the wall's edge has no shoulders.
func bump(x float64) float64 {
	return math.Pow((1+math.Cos(math.Pi*min(x, 1)))/2, 1.8)
}

func (a anatomy) wall() {
	a.layer("wall", "atrial-wall")
	a.smooth("wall", a.papers(wallEdge(a.heart)), true)
	a.End()
}

// draw draws the whole anatomy of the atrial view.
func (a anatomy) draw() {
	a.layer("anatomy", "anatomy")
	a.wall()
	a.leaflets()
	a.septum()
	a.End()
	a.neighbours()
	a.zoneGrounds()
	a.conduction()
	a.zoneHatches()
	a.tendonLine()
	a.rim()
	a.commissures()
}

func (a anatomy) smooth(class string, points []Point, closed bool) {
	a.Path(class, new(PathData).SmoothThrough(thinned(points, closed), closed))
}

// enoughSamples tell any curve of the anatomy apart from its smooth neighbour by less than a line's width; more only
// cost time.
const enoughSamples = 36

// thinned keeps one sample in so many of a curve, and of an open one both ends.
func thinned(points []Point, closed bool) []Point {
	step := len(points) / enoughSamples
	if step < 2 {
		return points
	}
	var kept []Point
	for i := 0; i < len(points); i += step {
		kept = append(kept, points[i])
	}
	if last := points[len(points)-1]; !closed && kept[len(kept)-1] != last {
		kept = append(kept, last)
	}
	return kept
}

// leaflets draws the leaflets closed, each from border to border, meeting along closing lines; a cleft parts the
// anterior one. Their free edges are a convention of the drawing; the hinge they hang from is the heart's.
func (a anatomy) leaflets() {
	a.drawLeaflets(a.heart.Leaflets())
}

// drawLeaflets draws leaflets that hang from certain stretches of the hinge.
func (a anatomy) drawLeaflets(leaflets []atlas.Leaflet) {
	a.layer("leaflets", "leaflets")
	meet := a.meeting()
	for i, leaf := range leaflets {
		before, after := leaflets[(i+len(leaflets)-1)%len(leaflets)], leaflets[(i+1)%len(leaflets)]
		var outline PathData
		outline.SmoothThrough(a.hinge(leaf.FromMM, leaf.ForMM), false)
		for _, p := range a.border(leaf.FromMM+leaf.ForMM, after.FromMM, meet)[1:] {
			outline.LineTo(p)
		}
		back := a.border(leaf.FromMM, before.FromMM+before.ForMM, meet)
		for j := len(back) - 2; j > 0; j-- {
			outline.LineTo(back[j])
		}
		a.Path("leaflet", outline.Close())
	}
	for i, leaf := range leaflets {
		before := leaflets[(i+len(leaflets)-1)%len(leaflets)]
		a.smooth("leaflet-edge", a.border(leaf.FromMM, before.FromMM+before.ForMM, meet), false)
		if a.heart.Valve.CommissureMM > 0 {
			a.smooth("leaflet-edge", a.border(before.FromMM+before.ForMM, leaf.FromMM, meet), false)
		}
	}
	if a.heart.Valve.Cleft {
		a.cleft(leaflets[0], meet)
	}
	a.End()
}

// cleft draws the gap in the anterior leaflet, from where the leaflets meet most of the way to the hinge.
func (a anatomy) cleft(anterior atlas.Leaflet, meet geom.Vec) {
	const reaches, wide = 0.72, 0.9 // share of the way to the hinge; mm at its mouth
	hinge := a.heart.Rim.At(anterior.FromMM + anterior.ForMM/2)
	end := meet.Lerp(hinge, reaches)
	side := geom.Vec{X: -(hinge.Y - meet.Y), Y: hinge.X - meet.X}.Unit().Scale(wide)
	mouth := meet.Lerp(hinge, 0.04)
	a.Path("cleft", new(PathData).Polyline([]Point{a.paper(mouth.Add(side)), a.paper(end), a.paper(mouth.Sub(side))}, false))
}

func (a anatomy) hinge(fromMM, forMM float64) []Point {
	const points = 30
	hinge := make([]Point, points+1)
	for i := range hinge {
		hinge[i] = a.paper(a.heart.Rim.At(fromMM + forMM*float64(i)/points))
	}
	return hinge
}

// border is a leaflet's edge from its end of the hinge to where the leaflets meet. Where a commissure has a width the
// edges of both its leaflets run together a little way in.
func (a anatomy) border(ownMM, otherMM float64, meet geom.Vec) []Point {
	rim := a.heart.Rim.LengthMM()
	middle := ownMM + math.Remainder(otherMM-ownMM, rim)/2
	line := a.closing(middle, meet)
	if a.heart.Valve.CommissureMM > 0 {
		joined := len(line) / 4
		return append([]Point{a.paper(a.heart.Rim.At(ownMM))}, line[joined:]...)
	}
	return line
}

// meeting is where the three closing lines meet: off the centroid toward the septal and posterior segments, since
// the anterior leaflet is the largest.
func (a anatomy) meeting() geom.Vec {
	sizes := a.heart.Rim.Sizes()
	return geom.Vec{X: 0.06 * sizes.LongAxisMM, Y: -0.10 * sizes.ShortAxisMM, Z: -a.sunkMM}
}

// closing is the closing line from a commissure to where the leaflets meet, gently scalloped.
func (a anatomy) closing(alongMM float64, meet geom.Vec) []Point {
	const pieces = 32
	from := a.heart.Rim.At(alongMM)
	way := meet.Sub(from)
	side := geom.Vec{X: -way.Y, Y: way.X}.Unit()
	points := make([]Point, pieces+1)
	for i := range points {
		t := float64(i) / pieces
		sway := 0.55 * math.Sin(3*math.Pi*t) * math.Sin(math.Pi*t) * way.Norm() / 18
		points[i] = a.paper(from.Add(way.Scale(t)).Add(side.Scale(sway)))
	}
	return points
}

// septum draws what is seen on the septal wall: the oval fossa and the ostium.
func (a anatomy) septum() {
	a.layer("septum", "septal-wall")
	if fossa, ok := a.heart.Zone(atlas.Fossa); ok {
		a.smooth("fossa", a.zoneOutline(fossa), true)
		a.smooth("contour", shrunk(a.zoneOutline(fossa), 0.82), true)
	}
	if ostium, ok := a.heart.Zone(atlas.Ostium); ok {
		outline := a.zoneOutline(ostium)
		a.smooth("ostium", outline, true)
		a.smooth("contour", shrunk(outline, 0.78), true)
	}
	a.End()
}

// shrunk draws an outline in toward its middle.
func shrunk(outline []Point, by float64) []Point {
	var middle Point
	for _, p := range outline {
		middle = middle.Plus(p.Times(1 / float64(len(outline))))
	}
	inner := make([]Point, len(outline))
	for i, p := range outline {
		inner[i] = middle.Plus(p.Minus(middle).Times(by))
	}
	return inner
}

// tendonLine draws the tendon line from the apex past the ostium, on toward the inferior caval vein, where it leaves the
// picture's wall.
func (a anatomy) tendonLine() {
	a.layer("tendon-line", "tendon-line")
	t := a.heart.Triangle
	var spots []atlas.Spot
	for i := range 33 {
		s := 2.05 * float64(i) / 32
		beyond := max(0, s-0.9)
		spots = append(spots, atlas.Spot{
			AlongMM: t.Apex.AlongMM + s*(t.Tendon.AlongMM-t.Apex.AlongMM) - 9*beyond*beyond,
			OffMM:   t.Tendon.OffMM * s,
		})
	}
	wall := outlineOf(a.papers(wallEdge(a.heart)))
	line := a.chartPath(spots)
	end := 0
	for end < len(line) && wall.Contains(geom.Point(line[end])) {
		end++
	}
	a.smooth("tendon", line[:end], false)
	a.End()
}

func outlineOf(points []Point) geom.Outline {
	outline := make(geom.Outline, len(points))
	for i, p := range points {
		outline[i] = geom.Point(p)
	}
	return outline
}

// drawnZones are the zones that the rules speak of, as the plate shows them.
var drawnZones = []struct {
	id     atlas.ZoneID
	class  Zone
	smooth bool
}{
	{atlas.VentricularSide, VentricularSide, false},
	{atlas.BasalHalf, TriangleBasal, false},
	{atlas.ApicalHalf, TriangleApical, false},
	{atlas.FibrousBody, Fibrous, true},
}

// eachZone draws every zone in one way.
func (a anatomy) eachZone(draw func(Zone, []Point, bool)) {
	for _, drawn := range drawnZones {
		if zone, ok := a.heart.Zone(drawn.id); ok {
			draw(drawn.class, a.zoneOutline(zone), drawn.smooth)
		}
	}
}

func (a anatomy) zoneGrounds() {
	a.layer("zone-grounds", "zones-ground")
	for _, zone := range a.heart.Zones {
		if ownZone(zone.ID) {
			a.Path("own-zone", new(PathData).Polyline(a.zoneOutline(zone), true))
		}
	}
	a.eachZone(a.ZoneGround)
	a.End()
}

// ownZone tells a zone that only a malformed heart has.
func ownZone(id atlas.ZoneID) bool {
	switch id {
	case atlas.ApicalHalf, atlas.BasalHalf, atlas.VentricularSide, atlas.FibrousBody, atlas.Membranous, atlas.Fossa, atlas.Ostium:
		return false
	}
	return true
}

// zoneHatches come over the axis: the zone is the surface, the axis lies under it.
func (a anatomy) zoneHatches() {
	a.layer("zones", "zones")
	a.eachZone(a.ZoneHatch)
	a.End()
}

// conduction draws the axis as it lies under the surface, at its true width: arteries first, then the less common way
// of the bundle, lighter, then the axis.
func (a anatomy) conduction() {
	a.layer("conduction", "conduction-axis-under-the-surface")
	for _, layer := range []struct {
		class string
		holds func(atlas.Structure) bool
	}{
		{"nodal-artery-area", func(s atlas.Structure) bool { return s.Kind == atlas.NodalArtery }},
		{"bundle-low-area", func(s atlas.Structure) bool { return s.Kind == atlas.Conduction && lessCommon(s) }},
		{"bundle-area", func(s atlas.Structure) bool { return s.Kind == atlas.Conduction && !lessCommon(s) && !isNode(s) }},
		{"node-area", func(s atlas.Structure) bool { return s.Kind == atlas.Conduction && isNode(s) }},
	} {
		for _, s := range a.heart.Structures {
			if layer.holds(s) {
				a.structure(layer.class, s)
			}
		}
	}
	a.End()
}

// lessCommon tells a way of the bundle that fewer than half of hearts have.
func lessCommon(s atlas.Structure) bool { return s.Excludes && s.SharePercent < 50 }

func isNode(s atlas.Structure) bool {
	_, ok := s.Solid.(geom.Ellipsoid)
	return ok
}

// neighbours draws the vessels behind the wall, cut off where the picture ends.
func (a anatomy) neighbours() {
	a.layer("neighbours", "neighbours-behind-the-wall")
	for _, s := range a.heart.Structures {
		switch s.Kind {
		case atlas.Coronary:
			a.structure("coronary-area", s)
		case atlas.Aorta:
			a.structure("aorta-area", s)
		}
	}
	a.End()
}

// structure draws what a solid looks like through the surface.
func (a anatomy) structure(class string, s atlas.Structure) {
	switch solid := s.Solid.(type) {
	case geom.Tube:
		axis := new(PathData).SmoothThrough(thinned(a.papers(solid.Axis), false), false)
		a.Band(class, axis, 2*solid.RadiusMM*a.scale)
		if lessCommon(s) {
			a.Path("bundle-low-line", axis)
		}
	case geom.Ellipsoid:
		if s.Kind == atlas.Aorta {
			a.smooth(class, a.nearWall(solid), true)
			return
		}
		a.smooth(class, a.ellipsoid(solid), true)
	}
}

// nearWall is what the plate shows of a vessel much larger than the picture: its wall where it faces the valve, as a
// sickle that runs out to both sides.
func (a anatomy) nearWall(e geom.Ellipsoid) []Point {
	const turn, thickMM = 62.0, 3.0 // degrees to each side; mm of heart
	middle, toward := a.paper(e.Centre), a.paper(geom.Vec{}).Minus(a.paper(e.Centre)).unit()
	var near, far []Point
	for _, p := range a.ellipsoid(e) {
		spoke := p.Minus(middle)
		angle := math.Atan2(toward.cross(spoke), toward.dot(spoke)) * 180 / math.Pi
		if math.Abs(angle) > turn {
			continue
		}
		thick := thickMM * a.scale * math.Sqrt(math.Cos(angle/turn*math.Pi/2))
		near, far = append(near, p), append(far, p.Minus(spoke.unit().Times(thick)))
	}
	near, far = fromGap(near), fromGap(far)
	slices.Reverse(far)
	return append(near, far...)
}

// fromGap turns a run of points taken from a closed outline so that it starts after its widest gap.
func fromGap(points []Point) []Point {
	start, widest := 0, 0.0
	for i, p := range points {
		if gap := p.Distance(points[(i+len(points)-1)%len(points)]); gap > widest {
			start, widest = i, gap
		}
	}
	return append(slices.Clone(points[start:]), points[:start]...)
}

func boxOf(points []Point) Box {
	low, high := points[0], points[0]
	for _, p := range points {
		low, high = Point{min(low.X, p.X), min(low.Y, p.Y)}, Point{max(high.X, p.X), max(high.Y, p.Y)}
	}
	return Box{low.X, low.Y, high.X - low.X, high.Y - low.Y}
}

func (a anatomy) rim() {
	a.layer("rim", "rim")
	a.smooth("rim", a.papers(a.heart.Rim.Sample(80)), true)
	a.End()
}

// commissures marks the three borders of the segments across the rim.
func (a anatomy) commissures() {
	a.layer("landmarks", "commissures")
	for _, s := range a.heart.Segments() {
		across := atlas.Spot{AlongMM: s.FromMM}
		at := a.paper(a.heart.Chart.Frame(across))
		across.OffMM = 1
		out := a.paper(a.heart.Chart.Frame(across)).Minus(at).unit()
		a.Line("rim-tick", at.Minus(out.Times(2.2)), at.Plus(out.Times(2.2)))
		a.Circle("commissure", at, 1.1)
	}
	a.End()
}
