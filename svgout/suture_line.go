package svgout

import (
	"cmp"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// sutureLine draws the closed line of a replacement on the endocardium; nil draws nothing.
func (a anatomy) sutureLine(line *placement.LineReport) {
	if line == nil {
		return
	}
	a.layer("line", "suture-line")
	path := new(PathData)
	points := a.linePath(line)
	a.Path("suture-line", path.Polyline(points, true))
	a.End()
}

// lineStepMM is how finely a line is drawn, paper mm.
const lineStepMM = 0.4

// linePath is the line on the paper, once round.
func (a anatomy) linePath(line *placement.LineReport) (points []Point) {
	for _, stretch := range line.Stretches {
		for i, v := range stretch.Surface {
			p := a.paper(v)
			end := i == len(stretch.Surface)-1 // where the tissue changes, and so every corner of the line
			if len(points) == 0 || p.Distance(points[len(points)-1]) > lineStepMM || end && p.Distance(points[len(points)-1]) > lineStepMM/4 {
				points = append(points, p)
			}
		}
	}
	return points
}

// sutureLine draws the line on the strip, where it is straight between its corners; the cut parts it.
func (s strip) sutureLine() {
	if s.line == nil {
		return
	}
	s.layer("line", "suture-line")
	path, corners := new(PathData), s.line.Corners
	for i := 1; i < len(corners); i++ {
		from, way := corners[i-1], corners[i]
		way.AlongMM, way.OffMM = way.AlongMM-from.AlongMM, way.OffMM-from.OffMM
		from.AlongMM = s.turned(from.AlongMM)
		for _, part := range partedAt(from.AlongMM, way.AlongMM, s.cutMM, s.cutMM+s.rimMM()) {
			path.MoveTo(s.paper(atlas.Spot{AlongMM: part.shift + from.AlongMM + part.from*way.AlongMM, OffMM: from.OffMM + part.from*way.OffMM}))
			path.LineTo(s.paper(atlas.Spot{AlongMM: part.shift + from.AlongMM + part.to*way.AlongMM, OffMM: from.OffMM + part.to*way.OffMM}))
		}
	}
	s.Path("suture-line", path)
	s.End()
}

// wayPart is a part of a way, as shares of it, and how far it is moved to fall on the strip.
type wayPart struct{ from, to, shift float64 }

// partedAt parts a way that begins on the strip where it leaves it at an end, to go on at the other.
func partedAt(from, way, low, high float64) []wayPart {
	switch end := from + way; {
	case end > high:
		share := (high - from) / way
		return []wayPart{{0, share, 0}, {share, 1, low - high}}
	case end < low:
		share := (low - from) / way
		return []wayPart{{0, share, 0}, {share, 1, high - low}}
	}
	return []wayPart{{0, 1, 0}}
}

// lineLabel names the line and what is worst about it, where it passes the nodal triangle.
func (a anatomy) lineLabel(line *placement.LineReport) Label {
	class := levelLetters(line.Verdict)
	text := a.say("line.round", words.Blanks{"mm": words.Fixed(line.LengthMM, 0)})
	if len(line.Reasons) > 0 {
		worst := slices.MinFunc(line.Reasons, func(x, y placement.Reason) int { return cmp.Compare(y.Level, x.Level) })
		if worst.Level > placement.Clear {
			text = a.say("line.finding", words.Blanks{"finding": a.gist(worst.Text)})
		}
	}
	return Label{Lines: Fit(class, text, LabelRoomMM(leftColumn, mark(line.Verdict)), 4), Class: class, Target: a.lineTarget(line), Mark: mark(line.Verdict)}
}

// lineTarget is the place of the line nearest to the middle of the triangle's tendon side.
func (a anatomy) lineTarget(line *placement.LineReport) (best Point) {
	t := a.heart.Triangle
	middle := a.paper(a.heart.Chart.Frame(atlas.Spot{AlongMM: (t.Apex.AlongMM + t.Tendon.AlongMM) / 2, OffMM: t.Tendon.OffMM / 2}))
	points := a.linePath(line)
	return slices.MinFunc(points, func(p, q Point) int { return cmp.Compare(p.Distance(middle), q.Distance(middle)) })
}

// levelLetters is the lettering of what has a level.
func levelLetters(level placement.Level) string {
	return map[placement.Level]string{placement.Clear: "label-clear", placement.Caution: "label-caution", placement.Avoid: "label-avoid"}[level]
}
