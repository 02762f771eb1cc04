package placement

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"fairlead/atlas"
	"fairlead/atlas/flat"
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// LaidPatch is a patch on a heart, and unrolled.
type LaidPatch struct {
	Patch
	Chart geom.Outline // its edge on the chart, X along and Y off, along unrolled; its first points are its hinge side
	Sides []PatchSide
	Sheet flat.Sheet // unrolled as seen from the atrium, the way up the wall up; its edge is Chart with points between
	onto  []float64  // where each point of the sheet's edge lies on Chart: corner and share of the way to the next
}

// PatchSide is a named part of a patch's edge, by the points of its sheet from one to another.
type PatchSide struct {
	Name     string
	From, To int
	Sewn     bool
}

// Said is what the side is called.
func (s PatchSide) Said() words.Said { return words.Of("patch-side." + s.Name) }

// hingeSide is the side of a patch that lies on the hinge.
const hingeSide = "hinge"

// surface carries a place of a patch's chart into the frame.
type surface func(geom.Point) geom.Vec

// side is a named run of an outline's corners before it is cut into triangles.
type side struct {
	name    string
	corners int // how many corners it has, up to and without the first of the next
	sewn    bool
}

func (l *Laid) layPatches(problems *strictyaml.Problems) {
	for _, patch := range l.Plan.Patches {
		if laid, ok := l.layPatch(patch, problems); ok {
			l.Patches = append(l.Patches, laid)
		}
	}
}

func (l *Laid) layPatch(patch Patch, problems *strictyaml.Problems) (LaidPatch, bool) {
	before := len(*problems)
	var outline geom.Outline
	var sides []side
	onto := l.endocardium
	switch {
	case patch.Covers != "":
		outline, sides = l.coverOutline(patch, problems)
	case len(patch.Edge) > 0:
		outline, sides = l.edgeOutline(patch, problems)
	default:
		outline, sides, onto = l.leafletOutline(patch, problems)
	}
	if len(*problems) > before {
		return LaidPatch{}, false
	}
	laid := LaidPatch{Patch: patch, Chart: outline}
	if err := laid.unroll(l.Heart, sides, onto); err != nil {
		problems.Add(patch.At, fmt.Sprintf("patch %q cannot be laid out flat: %v", patch.Name, err), "edges that enclose a piece of tissue", "correct its edges, or part it in two")
		return LaidPatch{}, false
	}
	return laid, true
}

// endocardium is the surface a patch on wall or leaflet lies on.
func (l *Laid) endocardium(p geom.Point) geom.Vec {
	return l.Heart.Chart.Frame(atlas.Spot{AlongMM: p.X, OffMM: p.Y})
}

// edgeOutline is a patch by its corners, each followed from the one before it by the shorter way round.
func (l *Laid) edgeOutline(patch Patch, problems *strictyaml.Problems) (geom.Outline, []side) {
	var outline geom.Outline
	leaflet, wall := tissueReach(l.Heart)
	for i, place := range patch.Edge {
		what := fmt.Sprintf("patch %q: corner %d", patch.Name, i+1)
		checkPlace(what, place, l.Heart, problems)
		spot := resolve(place, l.Heart)
		if spot.OffMM > wall || spot.OffMM < -leaflet {
			problems.Add(place.At, fmt.Sprintf("%s lies %.1f mm off the hinge, outside this heart's wall and leaflet", what, spot.OffMM),
				fmt.Sprintf("%.1f to %.1f mm off the hinge", -leaflet, wall), "correct `off`")
		}
		if l.folds(spot) {
			problems.Add(place.At, fmt.Sprintf("%s lies so far onto the leaflet that the leaflets of this model run into each other there", what), "a place nearer the hinge", "describe a leaflet by `from`, `to` and `heights` instead")
		}
		along := l.Heart.Unroll(spot.AlongMM)
		if i > 0 {
			along = outline[i-1].X + shorterWay(l.Heart.Rim, outline[i-1].X, along)
		}
		outline = append(outline, geom.Point{X: along, Y: spot.OffMM})
	}
	return outline, []side{{"edge", len(outline), true}}
}

// foldedSpread is the least mm of tissue to a mm of hinge: on the leaflet, where the model's leaflets run together,
// there is less and less, and at last the chart folds.
const foldedSpread = 0.25

// folds tells a place of the leaflet where the chart is folded, or nearly.
func (l *Laid) folds(s atlas.Spot) bool {
	ahead := l.Heart.Chart.Frame(atlas.Spot{AlongMM: s.AlongMM + 0.01, OffMM: s.OffMM}).Sub(l.Heart.Chart.Frame(s))
	course := l.Heart.Rim.At(s.AlongMM + 0.01).Sub(l.Heart.Rim.At(s.AlongMM))
	return s.OffMM < 0 && ahead.Dot(course) < foldedSpread*course.Dot(course)
}

// alongStepMM is how finely an edge along the hinge is followed.
const alongStepMM = 1.0

// leafletOutline is a leaflet that hangs from the hinge. It is hung like cloth: every thread of it runs the way the
// heart's own leaflet leaves the hinge in the middle of its stretch, side by side. So it unrolls without any stretch.
func (l *Laid) leafletOutline(patch Patch, problems *strictyaml.Problems) (geom.Outline, []side, surface) {
	checkPlace(fmt.Sprintf("patch %q: its \"from\"", patch.Name), patch.From, l.Heart, problems)
	checkPlace(fmt.Sprintf("patch %q: its \"to\"", patch.Name), patch.To, l.Heart, problems)
	from := l.Heart.Unroll(resolve(patch.From, l.Heart).AlongMM)
	width := l.Heart.Rim.Span(from, resolve(patch.To, l.Heart).AlongMM)
	if width < alongStepMM {
		problems.Add(patch.At, fmt.Sprintf("patch %q begins and ends in one place of the hinge", patch.Name), "at least 1 mm of hinge between them", "correct from or to")
		return nil, nil, nil
	}
	steps := int(math.Ceil(width / alongStepMM))
	var hinge, free geom.Outline
	for i := range steps + 1 {
		share := float64(i) / float64(steps)
		hinge = append(hinge, geom.Point{X: from + share*width})
		free = append(free, geom.Point{X: from + (1-share)*width, Y: -patch.heightAt(1 - share)})
	}
	// An end of no height is one corner and not two.
	if free[0].Y == 0 {
		free = free[1:]
	}
	if free[len(free)-1].Y == 0 {
		free = free[:len(free)-1]
	}
	down := l.hangs(from, width)
	onto := func(p geom.Point) geom.Vec { return l.Heart.Rim.At(p.X).Add(down.Scale(-p.Y)) }
	return append(hinge, free...), []side{{hingeSide, len(hinge) - 1, true}, {"free edge", len(free) + 1, false}}, onto
}

// heightAt is a leaflet's height at a share of its width: a smooth curve through the heights given, which turns back
// nowhere between them.
func (p Patch) heightAt(share float64) float64 {
	if len(p.HeightsMM) < 3 {
		return p.HeightsMM[0]*(1-share) + p.HeightsMM[1]*share
	}
	at := make([]float64, len(p.HeightsMM))
	for i := range at {
		at[i] = float64(i) / float64(len(at)-1)
	}
	var curve interp.FritschButland
	if err := curve.Fit(at, p.HeightsMM); err != nil {
		return math.NaN() // what cannot be laid flat is refused
	}
	return max(curve.Predict(share), 0)
}

// hangs is the way a leaflet leaves a stretch of hinge, past the turn from wall to leaflet: of its middle, at right
// angles to the straight way between its ends, so that its threads leave the hinge evenly.
func (l *Laid) hangs(fromMM, widthMM float64) geom.Vec {
	down := l.Heart.Chart.Up(atlas.Spot{AlongMM: fromMM + widthMM/2, OffMM: -atlas.FilletMM}).Scale(-1)
	across := l.Heart.Rim.At(fromMM + widthMM).Sub(l.Heart.Rim.At(fromMM)).Unit()
	return down.Sub(across.Scale(down.Dot(across))).Unit()
}

// Triangles of about patchEdgeMM, or larger where a patch would have too many of them.
const (
	patchEdgeMM = 1.2
	patchPieces = 160
)

// unroll lays the patch out flat and turns it as it is seen from the atrium, with the way up the wall up.
func (p *LaidPatch) unroll(heart *atlas.Heart, sides []side, onto surface) error {
	if p.Chart.CrossesSelf() {
		return fmt.Errorf("its edge crosses itself")
	}
	if p.Chart.SignedArea() < 0 {
		p.reverse(&sides)
	}
	edge := max(patchEdgeMM, math.Sqrt(p.Chart.Area()/patchPieces))
	plan, err := flat.Triangulate(p.Chart, edge)
	if err != nil {
		return err
	}
	if p.Sheet, err = flat.Flatten(plan.On(onto)); err != nil {
		return err
	}
	p.turnUp(heart, plan.Points)
	p.settleEdge(plan)
	p.nameSides(plan, sides)
	return nil
}

// reverse runs the outline the other way round from the same first corner.
func (p *LaidPatch) reverse(sides *[]side) {
	turned := geom.Outline{p.Chart[0]}
	for i := len(p.Chart) - 1; i > 0; i-- {
		turned = append(turned, p.Chart[i])
	}
	p.Chart = turned
	var order []side
	for i := len(*sides) - 1; i >= 0; i-- {
		order = append(order, (*sides)[i])
	}
	*sides = order
}

// turnUp turns the sheet so that it lies as the chart does: the way up the wall up, the way clockwise to the right.
func (p *LaidPatch) turnUp(heart *atlas.Heart, chart []geom.Point) {
	var here, there geom.Point
	n := float64(len(chart))
	for i, c := range chart {
		here = geom.Point{X: here.X + p.Sheet.Points[i].X/n, Y: here.Y + p.Sheet.Points[i].Y/n}
		there = geom.Point{X: there.X + c.X/n, Y: there.Y + c.Y/n}
	}
	var dot, turn float64
	for i, c := range chart {
		x, y := p.Sheet.Points[i].X-here.X, p.Sheet.Points[i].Y-here.Y
		u, v := c.X-there.X, c.Y-there.Y
		dot, turn = dot+x*u+y*v, turn+x*v-y*u
	}
	sin, cos := math.Sincos(math.Atan2(turn, dot))
	for i, q := range p.Sheet.Points {
		x, y := q.X-here.X, q.Y-here.Y
		p.Sheet.Points[i] = geom.Point{X: cos*x - sin*y, Y: sin*x + cos*y}
	}
}

// settleEdge notes where each point of the sheet's edge lies on the outline: its corner and the share of the way on.
func (p *LaidPatch) settleEdge(plan flat.Plan) {
	corner := 0
	for i := range plan.Border {
		q := plan.Points[i]
		for steps := 0; steps < len(p.Chart) && !liesOn(p.Chart[corner], p.Chart[(corner+1)%len(p.Chart)], q); steps++ {
			corner = (corner + 1) % len(p.Chart)
		}
		a, b := p.Chart[corner], p.Chart[(corner+1)%len(p.Chart)]
		share := math.Hypot(q.X-a.X, q.Y-a.Y) / math.Hypot(b.X-a.X, b.Y-a.Y)
		p.onto = append(p.onto, float64(corner)+min(share, 1-1e-9))
	}
}

// liesOn tells whether a point lies on the way from one corner up to the next.
func liesOn(a, b, q geom.Point) bool {
	d, _ := geom.Segment{A: geom.Vec{X: a.X, Y: a.Y}, B: geom.Vec{X: b.X, Y: b.Y}}.DistancePoint(geom.Vec{X: q.X, Y: q.Y})
	return d < 1e-9 && math.Hypot(q.X-b.X, q.Y-b.Y) > 1e-9
}

// nameSides finds the points of the sheet's edge that each side begins and ends with.
func (p *LaidPatch) nameSides(plan flat.Plan, sides []side) {
	corner := 0
	first := func(corner int) int {
		for i, at := range p.onto {
			if at >= float64(corner)-1e-9 {
				return i
			}
		}
		return plan.Border
	}
	for _, s := range sides {
		p.Sides = append(p.Sides, PatchSide{s.name, first(corner), first(corner + s.corners), s.sewn})
		corner += s.corners
	}
}
