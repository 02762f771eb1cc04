package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/placement"
)

// How deep the tissue under the endocardium is tinted, in two shades, mm of heart. A convention of the drawing: how thick
// the wall is the atlas does not know.
const (
	tissueNearMM  = 1.8
	tissueDrawnMM = 3.6
)

// rootMM is how far onto the leaflet the tissue of the rim is tinted on its underside.
const rootMM = 3.0

// beyondLeafletMM is how far the line that ends a leaflet in the picture reaches beyond it to either side, mm of heart.
const beyondLeafletMM = 0.5

// projectedMM is how far off the plane another pass of the bite may run and still be drawn, projected.
const projectedMM = 8.0

func (s *section) draw() {
	s.layer("anatomy", "anatomy")
	s.tissue()
	s.leaflet()
	s.End()
	s.solids()
	s.endocardium()
	s.zoneMarks()
	s.needles()
	s.dimensions()
}

// tissue tints what lies under the endocardium, fading: of the wall, and of the root of the leaflet.
func (s *section) tissue() {
	shades := []struct {
		class string
		deep  float64
	}{{"tissue-faint-fill", tissueDrawnMM}, {"tissue-fill", tissueNearMM}}
	for _, shade := range shades {
		deep := func(off float64) float64 {
			return shade.deep * math.Pow(math.Sin(math.Pi/2*min(1, max(0, 1+off/rootMM))), 0.8)
		}
		for _, run := range s.openRuns(-rootMM, s.topMM) {
			area := s.papers(s.cut.surfaceRun(run[0], run[1], onSurface))
			under := s.papers(s.cut.surfaceRun(run[0], run[1], deep))
			slices.Reverse(under)
			s.Path(shade.class, new(PathData).Polyline(clipped(append(area, under...), sectionPicture), true))
		}
	}
	if runs := s.openRuns(0, s.topMM); len(runs) > 0 && runs[len(runs)-1][1] == s.topMM {
		s.smooth("hidden", []Point{s.paper(s.cut.surface(s.topMM, -0.3)), s.paper(s.cut.surface(s.topMM, tissueDrawnMM))}, false)
	}
}

// openRuns are the stretches of the surface between two places off the hinge that an ostium leaves.
func (s *section) openRuns(fromMM, toMM float64) [][2]float64 {
	runs := [][2]float64{{fromMM, toMM}}
	ostium, ok := s.heart.Zone(atlas.Ostium)
	if !ok {
		return runs
	}
	for _, gap := range s.cut.crossings(ostium) {
		last := runs[len(runs)-1]
		low, high := max(gap[0], last[0]), min(gap[1], last[1])
		if low >= high {
			continue
		}
		runs = append(runs[:len(runs)-1], [2]float64{last[0], low}, [2]float64{high, last[1]})
	}
	return slices.DeleteFunc(runs, func(run [2]float64) bool { return run[1]-run[0] < 0.05 })
}

func (s *section) leafletMM() float64 {
	thickness, _ := s.heart.Value("leaflet-thickness")
	return thickness.Here
}

// leaflet draws the leaflet at its thickness, from the hinge to its free edge or to where the picture ends.
func (s *section) leaflet() {
	thick := s.leafletMM()
	upper := s.papers(s.cut.surfaceRun(0, -s.tipMM, onSurface))
	lower := s.papers(s.cut.surfaceRun(0, -s.tipMM, func(off float64) float64 { return thick }))
	edge := []Point{lower[len(lower)-1]}
	if s.freeEdge {
		edge = nil
		for i := range 9 {
			sin, cos := math.Sincos(math.Pi * float64(i) / 8)
			edge = append(edge, s.paper(s.cut.surface(-s.tipMM-thick/2*sin, thick/2*(1-cos))))
		}
	}
	back := slices.Clone(lower)
	slices.Reverse(back)
	s.Path("tissue-fill", new(PathData).Polyline(slices.Concat(upper, edge, back), true))
	under := s.papers(s.cut.surfaceRun(-rootMM*0.6, -s.tipMM, func(float64) float64 { return thick }))
	s.smooth("leaflet-edge", under, false)
	if s.freeEdge {
		s.smooth("leaflet-edge", edge, false)
		return
	}
	s.smooth("hidden", []Point{s.paper(s.cut.surface(-s.tipMM, -beyondLeafletMM)), s.paper(s.cut.surface(-s.tipMM, thick+beyondLeafletMM))}, false)
}

// endocardium draws the surface, which is all that the atlas knows of the wall.
func (s *section) endocardium() {
	s.layer("rim", "endocardium-and-hinge")
	for _, run := range s.openRuns(-s.tipMM, s.topMM) {
		s.smooth("rim-thin", s.papers(s.cut.surfaceRun(run[0], run[1], onSurface)), false)
	}
	s.Circle("commissure", s.paper(s.cut.hinge), 1.1)
	s.End()
}

// solids draws every structure the plane meets: the arteries, then the less common way of the bundle, then the axis.
func (s *section) solids() {
	s.layer("neighbours", "neighbours")
	for _, n := range s.neighbours {
		if n.Kind == atlas.Coronary || n.Kind == atlas.Aorta || n.Kind == atlas.NodalArtery {
			s.solid(n)
		}
	}
	s.End()
	s.layer("conduction", "conduction-axis")
	for _, less := range []bool{true, false} {
		for _, n := range s.neighbours {
			if n.Kind == atlas.Conduction && lessCommon(n.Structure) == less {
				s.solid(n)
			}
		}
	}
	s.End()
}

// solidClasses are how a structure is drawn: whole, or, where the picture cuts it off, its ground and its edge.
func solidClasses(n atlas.Structure) (whole, ground, edge string) {
	switch {
	case n.Kind == atlas.Aorta:
		return "aorta-area", "aorta-fill", "aorta-line"
	case n.Kind == atlas.Coronary:
		return "coronary-area", "coronary-fill", "coronary-edge"
	case n.Kind == atlas.NodalArtery:
		return "nodal-artery-area", "coronary-fill", "coronary-edge"
	case lessCommon(n):
		return "bundle-low-area", "paper", "bundle-low-line"
	default:
		return "node-area", "tissue-fill", "bundle-hidden"
	}
}

func (s *section) solid(n neighbour) {
	whole, ground, edge := solidClasses(n.Structure)
	for _, outline := range n.outlines {
		points := s.flatPapers(outline)
		runs, inside := runsInside(points, sectionPicture)
		if inside {
			s.smooth(whole, points, true)
			if lessCommon(n.Structure) {
				s.smooth("bundle-low-line", points, true)
			}
			continue
		}
		for _, run := range runs {
			s.Path(ground, new(PathData).Polyline(clipped(s.within(run, outline), sectionPicture), true))
			s.smooth(edge, run, false)
		}
	}
}

// withinMM is how much of a structure that the picture cuts off is tinted inside its edge, mm of heart.
const withinMM = 2.5

// within is a strip inside a stretch of a structure's outline.
func (s *section) within(run []Point, outline geom.Outline) []Point {
	c := outline.Centroid()
	middle := s.paper(s.cut.at(c.X, c.Y))
	strip := slices.Clone(run)
	for i := len(run) - 1; i >= 0; i-- {
		in := middle.Minus(run[i])
		strip = append(strip, run[i].Plus(in.unit().Times(min(withinMM*s.scale, middle.Distance(run[i])))))
	}
	return strip
}

func (s *section) flatPapers(outline geom.Outline) []Point {
	points := make([]Point, len(outline))
	for i, q := range outline {
		points[i] = s.paper(s.cut.at(q.X, q.Y))
	}
	return points
}

// shown tells whether some of a structure can be seen in the picture.
func (s *section) shown(n neighbour) bool {
	_, ok := s.seenAt(n)
	return ok
}

// seenAt is a place in the picture at which a structure is pointed at: the middle of what is seen of it.
func (s *section) seenAt(n neighbour) (at Point, ok bool) {
	for _, outline := range n.outlines {
		points := s.flatPapers(outline)
		runs, whole := runsInside(points, sectionPicture.Grow(-0.5))
		switch {
		case whole:
			return Point(outlineOf(points).Centroid()), true
		case len(runs) > 0:
			strip := s.within(runs[0], outline)
			i := len(runs[0]) / 2
			if at := strip[i].Plus(strip[len(strip)-1-i]).Times(0.5); sectionPicture.Contains(at) {
				return at, true
			}
			return strip[i], true
		}
	}
	return Point{}, false
}

// zoneMark is a stretch of the surface that lies in a zone.
type zoneMark struct {
	zone     atlas.Zone
	from, to float64
	lane     int
}

// Marks of zones stand off the surface on the side of the atrium, those of overlapping zones side by side, paper mm.
const (
	laneFirstMM = 1.6
	laneWideMM  = 2.2
	laneStepMM  = 2.9
)

// marked are the zones that the cut crosses within the picture.
func (s *section) marked() (marks []zoneMark) {
	for _, zone := range s.heart.Zones {
		if zone.ID == atlas.Membranous {
			continue
		}
		for _, stretch := range s.cut.crossings(zone) {
			m := zoneMark{zone: zone, from: max(stretch[0], -s.tipMM), to: min(stretch[1], s.topMM)}
			if m.to-m.from < 0.1 {
				continue
			}
			for slices.ContainsFunc(marks, func(o zoneMark) bool { return o.lane == m.lane && o.from < m.to && m.from < o.to }) {
				m.lane++
			}
			marks = append(marks, m)
		}
	}
	return marks
}

// zoneMarks hatch the stretches of the surface that lie in zones, beside it.
func (s *section) zoneMarks() {
	s.layer("zones", "zones-crossed")
	for _, m := range s.marked() {
		near := laneFirstMM + laneStepMM*float64(m.lane)
		outline := s.papers(s.cut.surfaceRun(m.from, m.to, s.above(near)))
		far := s.papers(s.cut.surfaceRun(m.from, m.to, s.above(near+laneWideMM)))
		slices.Reverse(far)
		outline = append(outline, far...)
		switch class, hatched := hatchOf(m.zone.ID); {
		case hatched:
			s.hatchedMark(class, outline)
		case m.zone.ID == atlas.Ostium:
			s.Path("ostium", new(PathData).Polyline(outline, true))
		case m.zone.ID == atlas.Fossa:
			s.Path("fossa", new(PathData).Polyline(outline, true))
		default:
			s.Path("own-zone", new(PathData).Polyline(outline, true))
		}
	}
	s.End()
}

// above is a line over the surface by so much on paper. Where wall and leaflet make a hollow it keeps off their normals'
// meeting.
func (s *section) above(paperMM float64) func(float64) float64 {
	deep := -paperMM / s.scale
	return func(float64) float64 { return deep }
}

// hatchedMark is a zone's ground and hatch, turned with the surface: the hatches then lean against it in ways of their
// own, and none runs along it.
func (s *section) hatchedMark(zone Zone, outline []Point) {
	s.ZoneGround(zone, outline, false)
	along := outline[len(outline)/2-1].Minus(outline[0])
	tilt := math.Atan2(along.Y, along.X) * 180 / math.Pi
	for _, angle := range zoneHatching[zone].anglesDeg {
		s.Path(string(zone)+"-hatch", Hatch(outline, angle+tilt, zoneHatching[zone].pitchMM))
	}
	s.Path(string(zone)+"-edge", zoneEdge(outline, false))
}

func hatchOf(id atlas.ZoneID) (Zone, bool) {
	for _, drawn := range drawnZones {
		if drawn.id == id {
			return drawn.class, true
		}
	}
	return "", false
}

func (m zoneMark) target(s *section) Point {
	mid := laneFirstMM + laneStepMM*float64(m.lane) + laneWideMM/2
	return s.paper(s.cut.surface((m.from+m.to)/2, -mid/s.scale))
}

// needles draws the passes of the bite: at true width where they lie in the plane or go through it, else projected.
func (s *section) needles() {
	s.layer("bites", "bite")
	for _, p := range s.passesDrawn() {
		path := s.papers(p.Path)
		if s.cut.liesIn(p) {
			s.Band("needle-area", new(PathData).SmoothThrough(thinned(path, false), false), 2*s.halfMM*s.scale)
			s.smooth("thread-hidden", path, false)
		} else {
			s.smooth("thread-hidden", path, false)
			for _, v := range s.cut.through(p) {
				s.Circle("needle-area", s.paper(v), s.halfMM*s.scale)
			}
		}
		in, out := path[0], path[len(path)-1]
		s.Circle("needle-exit", out, s.exitRadius(in, out))
		s.Circle("needle-entry", in, 1.1)
	}
	s.End()
}

// exitRadius is that of the ring which marks an exit; where it falls on the entry, it is drawn around it.
func (s *section) exitRadius(in, out Point) float64 {
	if in.Distance(out) < 2.6 {
		return 2.1
	}
	return 1.2
}

// passesDrawn are the pass the plane was laid through, and last, so that it lies on top; of a mattress the other arm too,
// projected, and of any bite the passes that go through the plane as well.
func (s *section) passesDrawn() (passes []placement.Pass) {
	for i, p := range s.bite.Passes {
		if i == len(s.bite.Passes)/2 {
			continue
		}
		near := math.Abs(s.cut.aheadMM(p.Arc.At(0.5))) < projectedMM
		if len(s.cut.through(p)) > 0 || near && s.bite.Kind == placement.Mattress {
			passes = append(passes, p)
		}
	}
	return append(passes, s.pass)
}
