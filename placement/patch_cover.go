package placement

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// coverOutline is the patch between the hinge and the plan's line, where the line leaves the hinge for the wall: the
// longest such stretch that has to do with the septum.
func (l *Laid) coverOutline(patch Patch, problems *strictyaml.Problems) (geom.Outline, []side) {
	if l.Line == nil {
		problems.Add(patch.At, fmt.Sprintf("patch %q covers the nodal triangle up to the line, but the plan has no line", patch.Name), "a `line` that leaves the hinge", "plan the line, or describe the patch by its `edge`")
		return nil, nil
	}
	above := l.aboveHinge()
	if len(above) < 2 {
		problems.Add(patch.At, fmt.Sprintf("patch %q covers the nodal triangle up to the line, but the line does not leave the hinge there", patch.Name), "a `line` carried up the septal wall", "carry the line round the triangle, or leave the patch out")
		return nil, nil
	}
	first, last := above[0], above[len(above)-1]
	outline := append(geom.Outline{}, above...)
	back := int((last.X-first.X)/alongStepMM) + 1
	for i := range back { // along the hinge, back to where the line left it
		share := float64(i) / float64(back)
		outline = append(outline, geom.Point{X: last.X + share*(first.X-last.X)})
	}
	outline = append(outline, geom.Point{X: first.X})
	if last.Y == 0 {
		outline = append(outline[:len(above)], outline[len(above)+1:]...)
	}
	if first.Y == 0 {
		outline = outline[:len(outline)-1]
	}
	return outline, []side{{"line", len(above) - 1, true}, {hingeSide, len(outline) - len(above) + 1, true}}
}

// aboveHinge is the stretch of the line that runs up the septal wall past the apex of the nodal triangle, in the turn of
// the rim that the zones lie in: its corners, clockwise. It ends where the line comes down to the rim.
func (l *Laid) aboveHinge() []geom.Point {
	apex, stretches := l.Heart.Triangle.Apex.AlongMM, l.Line.Stretches
	last := len(stretches) - 1
	for i, s := range stretches {
		if s.Tissue != Wall || i == 0 && last > 0 && stretches[last].Tissue == Wall {
			continue
		}
		spots := slices.Clone(s.Spots)
		if i == last && i > 0 && stretches[0].Tissue == Wall { // it goes on where the line begins
			for _, spot := range stretches[0].Spots[1:] {
				spots = append(spots, shifted(spot, l.Heart.Rim.LengthMM(), 0))
			}
		}
		first := spots[0].AlongMM
		past := l.Heart.Rim.Span(first, apex)
		if past < spots[len(spots)-1].AlongMM-first {
			return turning(spots, apex-past-first)
		}
	}
	return nil
}

// turning are the spots of a line, moved along, without those between which it is straight.
func turning(spots []atlas.Spot, alongMM float64) (corners []geom.Point) {
	for i, s := range spots {
		if i > 0 && i < len(spots)-1 {
			a, b := spots[i-1], spots[i+1]
			if turn := (s.AlongMM-a.AlongMM)*(b.OffMM-s.OffMM) - (s.OffMM-a.OffMM)*(b.AlongMM-s.AlongMM); math.Abs(turn) < 1e-9 {
				continue
			}
		}
		corners = append(corners, geom.Point{X: s.AlongMM + alongMM, Y: s.OffMM})
	}
	return corners
}
