package svgout

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// How far up the walls the plate goes, mm of tissue: to above the fossa on the septum, to a cut edge on the free
// wall. A convention of the drawing.
const (
	septalWallDrawnMM = 36.0
	freeWallDrawnMM   = 12.0
)

// anatomy draws one heart through one camera.
type anatomy struct {
	*Ink
	camera
	heart *atlas.Heart
	box   Box // the picture's
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
	const points = 240
	edge := make([]geom.Vec, points)
	for i := range edge {
		along := rim * float64(i) / points
		away := math.Abs(math.Remainder(along-middle, rim)) / (rim / 2) // 0 mid septum, 1 opposite
		off := freeWallDrawnMM + (septalWallDrawnMM-freeWallDrawnMM)*bump(away/0.62)
		edge[i] = heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: off})
	}
	return edge
}

// bump falls smoothly from 1 at 0 to 0 at 1 and beyond.
func bump(x float64) float64 {
	if x >= 1 {
		return 0
	}
	c := math.Cos(x * math.Pi / 2)
	return c * c
}

func (a anatomy) wall() {
	a.Group("wall", "Atrial wall")
	a.smooth("wall", a.papers(wallEdge(a.heart)), true)
	a.End()
}

func (a anatomy) smooth(class string, points []Point, closed bool) {
	a.Path(class, new(PathData).SmoothThrough(points, closed))
}

// leaflets draws the three leaflets closed, each from commissure to commissure, meeting along closing lines. Their
// free edges are a convention of the drawing; the hinge they hang from is the heart's.
func (a anatomy) leaflets() {
	a.Group("leaflets", "Leaflets")
	meet := a.meeting()
	for _, s := range a.heart.Segments() {
		var outline PathData
		outline.SmoothThrough(a.hinge(s), false)
		first := a.closing(s.FromMM, meet)
		last := a.closing(s.FromMM+s.ForMM, meet)
		for _, p := range last[1:] {
			outline.LineTo(p)
		}
		for i := len(first) - 2; i > 0; i-- {
			outline.LineTo(first[i])
		}
		a.Path("leaflet", outline.Close())
	}
	for _, s := range a.heart.Segments() {
		a.smooth("leaflet-edge", a.closing(s.FromMM, meet), false)
	}
	a.End()
}

func (a anatomy) hinge(s atlas.Segment) []Point {
	const points = 60
	hinge := make([]Point, points+1)
	for i := range hinge {
		hinge[i] = a.paper(a.heart.Rim.At(s.FromMM + s.ForMM*float64(i)/points))
	}
	return hinge
}

// meeting is where the three closing lines meet: off the centroid toward the septal and posterior segments, since
// the anterior leaflet is the largest.
func (a anatomy) meeting() geom.Vec {
	sizes := a.heart.Rim.Sizes()
	return geom.Vec{X: 0.06 * sizes.LongAxisMM, Y: -0.10 * sizes.ShortAxisMM}
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

// septum draws what is seen on the septal wall: the oval fossa, the ostium and the tendon line.
func (a anatomy) septum() {
	a.Group("septum", "Septal wall")
	if fossa, ok := a.heart.Zone(atlas.Fossa); ok {
		a.smooth("fossa", a.zoneOutline(fossa), true)
		a.smooth("contour", shrunk(a.zoneOutline(fossa), 0.82), true)
	}
	a.tendon()
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

// tendon draws the tendon line from the apex past the ostium, on toward the inferior caval vein.
func (a anatomy) tendon() {
	t := a.heart.Triangle
	var spots []atlas.Spot
	for i := range 25 {
		s := 1.55 * float64(i) / 24
		spots = append(spots, atlas.Spot{
			AlongMM: t.Apex.AlongMM + s*(t.Tendon.AlongMM-t.Apex.AlongMM) - 6*max(0, s-1)*max(0, s-1),
			OffMM:   t.Tendon.OffMM * s,
		})
	}
	a.smooth("tendon", a.chartPath(spots), false)
}

// zones draws the zones that the rules speak of.
func (a anatomy) zones() {
	a.Group("zones", "Zones")
	for _, drawn := range []struct {
		id     atlas.ZoneID
		class  Zone
		smooth bool
	}{{atlas.VentricularSide, VentricularSide, false}, {atlas.BasalHalf, TriangleBasal, false}, {atlas.ApicalHalf, TriangleApical, false}, {atlas.FibrousBody, Fibrous, true}} {
		if zone, ok := a.heart.Zone(drawn.id); ok {
			a.Zone(drawn.class, a.zoneOutline(zone), drawn.smooth)
		}
	}
	a.End()
}

// conduction draws the axis as it lies under the surface, at its true width.
func (a anatomy) conduction() {
	a.Group("conduction", "Conduction axis, under the surface")
	for _, s := range a.heart.Structures {
		switch {
		case s.ID == "nodal-artery":
			a.structure("nodal-artery-area", s)
		case s.ID == "bundle-low":
			a.structure("bundle-low-area", s)
		case s.Kind == atlas.Conduction:
			a.structure("node-area", s)
		}
	}
	a.End()
}

// neighbours draws the vessels behind the wall, cut off where the picture ends.
func (a anatomy) neighbours() {
	a.Group("neighbours", "Neighbours, behind the wall")
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

func (a anatomy) structure(class string, s atlas.Structure) {
	outline := within(a.shadow(s), a.box)
	if len(outline) > 2 {
		a.Path(class, new(PathData).Polyline(outline, true))
	}
}

func (a anatomy) shadow(s atlas.Structure) []Point {
	switch solid := s.Solid.(type) {
	case geom.Ellipsoid:
		return a.ellipsoid(solid)
	case geom.Tube:
		return a.tube(solid)
	}
	return nil
}

func (a anatomy) rim() {
	a.Group("rim", "Rim")
	a.smooth("rim", a.papers(a.heart.Rim.Sample(160)), true)
	a.End()
}

// commissures marks the three borders of the segments across the rim.
func (a anatomy) commissures() {
	a.Group("landmarks", "Commissures")
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
