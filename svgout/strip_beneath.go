package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// lookBeneath sees every structure through the endocardium.
func (u unrolled) lookBeneath() []beneath {
	seen := make([]beneath, len(u.heart.Structures))
	for i, structure := range u.heart.Structures {
		seen[i].Structure = structure
		switch solid := structure.Solid.(type) {
		case geom.Tube:
			if len(solid.Axis) > 1 {
				seen[i].shadow = u.shadowOf(solid)
			}
		case geom.Ellipsoid:
			if structure.Kind == atlas.Aorta {
				seen[i].levels = u.levelsOf(solid)
			} else {
				seen[i].shadow = u.ellipsoidShadow(solid)
			}
		}
	}
	return seen
}

// neighbours draws the vessels behind the wall: the root of the aorta by lines of equal depth, the coronary artery at
// its width.
func (s strip) neighbours() {
	s.layer("neighbours", "neighbours-behind-the-wall")
	for _, x := range s.beneath {
		class := "aorta-area"
		for _, line := range x.levels {
			s.seen(class, line.outline)
			class = "contour"
		}
		if x.Kind == atlas.Coronary {
			s.seen("coronary-area", x.outline)
		}
	}
	s.End()
}

// conduction draws the axis as it lies under the surface: arteries first, then the less common way of the bundle,
// lighter, then the axis.
func (s strip) conduction() {
	s.layer("conduction", "conduction-axis-under-the-surface")
	for _, layer := range []struct {
		class string
		holds func(atlas.Structure) bool
	}{
		{"nodal-artery-area", func(x atlas.Structure) bool { return x.Kind == atlas.NodalArtery }},
		{"bundle-low-area", func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && lessCommon(x) }},
		{"bundle-area", func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && !lessCommon(x) && !isNode(x) }},
		{"node-area", func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && isNode(x) }},
	} {
		for _, x := range s.beneath {
			if !layer.holds(x.Structure) {
				continue
			}
			s.seen(layer.class, x.outline)
			if lessCommon(x.Structure) {
				for _, part := range overTheEnds(s.papers(x.middle), s.box()) {
					s.Path("bundle-low-line", new(PathData).SmoothThrough(thinned(part, false), false))
				}
			}
		}
	}
	s.End()
}

// seen draws an outline on the strip, smooth where it was not cut.
func (s strip) seen(class string, outline []atlas.Spot) {
	for _, part := range s.copies(outline, s.box()) {
		s.area(class, part)
	}
}

// depths writes how deep things lie, where there is room: across tubes at even depths of their middle, at the middle of
// the node, on the lines of equal depth of the aortic root.
func (s strip) depths(tags []placedTag, labels Placed) (taken []Box) {
	s.layer("depths", "depths-under-the-surface-mm")
	taken = append(s.needleBoxes(), Box{s.at.X, s.at.Y, s.rimMM() * s.scale, 0}.Grow(0.8))
	for _, f := range tags {
		taken = append(taken, boxesAlong(f.port, f.target)...)
	}
	for _, l := range labels.Labels {
		taken = append(taken, boxesAlong(l.Port, l.Target)...)
	}
	for _, sort := range []func(atlas.Structure) bool{
		func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && x.Excludes },
		func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && isNode(x) },
		func(x atlas.Structure) bool { return x.Kind == atlas.Conduction && !x.Excludes && !isNode(x) },
		func(x atlas.Structure) bool { return x.Kind == atlas.NodalArtery },
		func(x atlas.Structure) bool { return x.Kind == atlas.Coronary },
		func(x atlas.Structure) bool { return x.Kind == atlas.Aorta },
	} {
		for _, x := range s.beneath {
			if sort(x.Structure) {
				kept := len(taken)
				taken = s.depthsOf(x, append(taken, s.othersThan(x)...))
				taken = slices.Delete(taken, kept, kept+len(s.othersThan(x)))
			}
		}
	}
	s.End()
	return taken
}

func (s strip) depthsOf(x beneath, taken []Box) []Box {
	if tube, ok := x.Solid.(geom.Tube); ok {
		most := 6.0
		if x.Kind == atlas.Conduction {
			most = 3
		}
		return s.depthsAlong(s.soundings(x.middle, most), tube.RadiusMM*s.scale, taken)
	}
	for _, line := range x.levels {
		place := onTheStrip(s.paper(line.outline[len(line.outline)*3/8]), s.box())
		taken = s.number(s.depthText(line.depthMM), place, Point{0.7, 0.7}, 0, taken)
	}
	if len(x.levels) == 0 && len(x.middle) > 0 {
		taken = s.number(s.depthText(x.middle[0].DeepMM), s.paper(x.middle[0]), Point{0, 1}, 0, taken)
	}
	return taken
}

func (s strip) depthsAlong(soundings []sounding, halfWidth float64, taken []Box) []Box {
	b := s.box()
	for _, found := range soundings {
		for _, turns := range []float64{0, -1, 1} {
			at := s.paper(found.at).Plus(Point{turns * b.W, 0})
			if b.Contains(at) {
				s.Line("contour", at.Plus(found.across.Times(halfWidth)), at.Minus(found.across.Times(halfWidth)))
				taken = s.number(s.depthText(found.at.DeepMM), at, found.across, halfWidth, taken)
			}
		}
	}
	return taken
}

// number writes a depth on white: on its place where that is wide enough, else near it, where nothing else stands, with
// a line to its place. It leaves out what has no room.
func (s strip) number(text string, at, across Point, halfWidth float64, taken []Box) []Box {
	const class, airMM = "axis-label", 0.4
	width, height := MeasureIn(class, text), Lettering(class).SizeMM*capHeightEm
	for _, way := range waysAside(across, halfWidth) {
		aside := 0.0
		if way != (Point{}) {
			aside = halfWidth + airMM + width/2*math.Abs(way.unit().X) + height/2*math.Abs(way.unit().Y)
		} else if halfWidth > 0 && 2*halfWidth < height+1 {
			continue
		}
		middle := at.Plus(way.Times(aside))
		baseline := middle.Y + height/2
		lettering := Box{middle.X - width/2, baseline - ascentEm*Lettering(class).SizeMM, width, BlockHeight(class, 1)}
		if !s.box().Encloses(lettering) || overlapsAny(lettering.Grow(airMM/2), taken) {
			continue
		}
		if middle.Distance(at) > aside+airMM {
			s.Line("contour", at, middle)
		}
		s.Rect("paper", Box{middle.X - width/2 - airMM/2, middle.Y - height/2 - airMM, width + airMM, height + 2*airMM})
		s.Text(class, middle.X, baseline, AnchorMiddle, text)
		return append(taken, lettering)
	}
	return taken
}

// waysAside are where to try a number, as directions and as many times as far as need be: on its place, beside it, and,
// beside what is narrow, round about and farther off.
func waysAside(across Point, halfWidth float64) []Point {
	const narrowMM = 3.5
	ways := []Point{{}, across, across.Times(-1)}
	if halfWidth > narrowMM {
		return ways
	}
	turned := Point{-across.Y, across.X}
	for _, far := range []float64{1, 1.7, 2.4} {
		for _, way := range []Point{across, across.Times(-1), across.Plus(turned).unit(), across.Minus(turned).unit(), turned.Minus(across).unit(), across.Plus(turned).unit().Times(-1)} {
			ways = append(ways, way.Times(far))
		}
	}
	return ways
}

// othersThan are boxes along the middles of the other structures: a number written on one of them would be read as
// its own.
func (s strip) othersThan(x beneath) (boxes []Box) {
	for _, other := range s.beneath {
		if other.ID == x.ID {
			continue
		}
		points := s.papers(other.middle)
		if len(points) == 1 {
			boxes = append(boxes, boxOf(shrunk(s.papers(other.outline), 0.6)))
			continue
		}
		for i := 1; i < len(points); i++ {
			at := points[i]
			if other.Kind != atlas.Coronary { // broad: a number on it is told from its own, which stand across it
				at = onTheStrip(at, s.box())
			}
			boxes = append(boxes, Box{at.X, at.Y, 0, 0}.Grow(0.5))
		}
	}
	return boxes
}

// boxesAlong are small boxes that cover a leader.
func boxesAlong(from, to Point) (boxes []Box) {
	const apartMM = 0.8
	pieces := int(from.Distance(to)/apartMM) + 1
	for i := range pieces + 1 {
		at := from.Plus(to.Minus(from).Times(float64(i) / float64(pieces)))
		boxes = append(boxes, Box{at.X, at.Y, 0, 0}.Grow(apartMM/2))
	}
	return append(boxes, Box{to.X, to.Y, 0, 0}.Grow(0.9))
}

func overlapsAny(box Box, taken []Box) bool {
	for _, b := range taken {
		if box.Overlaps(b) {
			return true
		}
	}
	return false
}
