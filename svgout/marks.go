package svgout

import (
	"fairlead/atlas/words"
	"fairlead/placement"
)

// Level is how a bite stands against its neighbours.
type Level int

// The levels. NoLevel draws no mark.
const (
	NoLevel Level = iota
	Clear
	Caution
	Avoid
)

// Class is the house-style class of the level's mark, and empty for NoLevel.
func (l Level) Class() string {
	return [...]string{"", "level-clear", "level-caution", "level-avoid"}[l.known()]
}

// LineClass is the class of a line that carries the level, and empty for
// NoLevel.
func (l Level) LineClass() string {
	return [...]string{"", "clear-line", "caution-line", "avoid-line"}[l.known()]
}

// Said is the level's word; NoLevel has none.
func (l Level) Said() words.Said {
	return [...]words.Said{{}, placement.Clear.Said(), placement.Caution.Said(), placement.Avoid.Said()}[l.known()]
}

func (l Level) known() Level {
	if l < NoLevel || l > Avoid {
		return NoLevel
	}
	return l
}

// LevelMark draws the mark of a level, about sizeMM across, around a point: an open
// ring for clear, a diamond with its lower half filled for caution, a filled
// square struck through by a white bar for avoid. The shapes tell them apart where
// colour cannot.
func (k *Ink) LevelMark(level Level, at Point, sizeMM float64) {
	half := sizeMM/2 - strong/2
	switch level.known() {
	case Clear:
		k.Circle("level-clear", at, half)
	case Caution:
		// A diamond has little area for its breadth; its points may reach out
		// as far as the outlines of the others do.
		k.halfDiamond(at, sizeMM/2)
	case Avoid:
		k.barredSquare(at, half)
	}
}

func (k *Ink) halfDiamond(at Point, half float64) {
	left, right := at.Plus(Point{-half, 0}), at.Plus(Point{half, 0})
	top, bottom := at.Plus(Point{0, -half}), at.Plus(Point{0, half})
	var outline, lower PathData
	k.Path("level-caution", outline.Polyline([]Point{top, right, bottom, left}, true))
	k.Path("level-caution-solid", lower.Polyline([]Point{right, bottom, left}, true))
}

func (k *Ink) barredSquare(at Point, half float64) {
	k.Rect("level-avoid", Box{at.X - half, at.Y - half, 2 * half, 2 * half})
	corner := Point{half * 0.6, -half * 0.6}
	k.Line("level-avoid-bar", at.Minus(corner), at.Plus(corner))
}

// Zone is one of the four hatched areas, named by its class.
type Zone string

// The zones.
const (
	TriangleApical  Zone = "triangle-apical"
	TriangleBasal   Zone = "triangle-basal"
	Fibrous         Zone = "fibrous"
	VentricularSide Zone = "ventricular-side"
)

// hatching is the set of parallel lines laid over a zone.
type hatching struct {
	anglesDeg []float64
	pitchMM   float64
}

// zoneHatching tells the zones apart without colour: a rising hatch, a
// falling one, a lattice and an upright one.
var zoneHatching = map[Zone]hatching{
	TriangleApical:  {[]float64{-50}, 1.5},
	TriangleBasal:   {[]float64{40}, 2.1},
	Fibrous:         {[]float64{0, 90}, 1.8},
	VentricularSide: {[]float64{90}, 1.9},
}

// Zone fills, hatches and outlines one zone. The outline is a sampled smooth
// curve if smooth is set, and a polygon otherwise; the hatch is clipped to
// the samples.
func (k *Ink) Zone(zone Zone, outline []Point, smooth bool) {
	k.ZoneGround(zone, outline, smooth)
	k.ZoneHatch(zone, outline, smooth)
}

// ZoneGround fills and outlines a zone: what lies under the surface may be
// drawn on it before the hatch.
func (k *Ink) ZoneGround(zone Zone, outline []Point, smooth bool) {
	k.Path(string(zone), zoneEdge(outline, smooth))
}

// ZoneHatch hatches a zone and outlines it without filling it.
func (k *Ink) ZoneHatch(zone Zone, outline []Point, smooth bool) {
	h, ok := zoneHatching[zone]
	if !ok {
		k.fail("no zone %q", zone)
		return
	}
	for _, angle := range h.anglesDeg {
		k.Path(string(zone)+"-hatch", Hatch(outline, angle, h.pitchMM))
	}
	k.Path(string(zone)+"-edge", zoneEdge(outline, smooth))
}

func zoneEdge(outline []Point, smooth bool) *PathData {
	if smooth {
		return new(PathData).SmoothThrough(outline, true)
	}
	return new(PathData).Polyline(outline, true)
}
