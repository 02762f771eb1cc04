package svgout

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// PathData collects the strokes of one path, in paper millimetres. The zero
// value is an empty path. A stroke out of place is remembered and reported
// when the path is drawn.
type PathData struct {
	strokes   penPath
	err       error
	started   bool
	deviation float64
}

// MoveTo lifts the pen to p.
func (p *PathData) MoveTo(to Point) *PathData {
	p.started = true
	return p.add('M', to)
}

// LineTo draws straight to a point.
func (p *PathData) LineTo(to Point) *PathData { return p.continued('L', to) }

// CurveTo draws one cubic Bézier segment with control points c1 and c2.
func (p *PathData) CurveTo(c1, c2, to Point) *PathData { return p.continued('C', c1, c2, to) }

// Close draws straight back to where the present stroke began.
func (p *PathData) Close() *PathData { return p.continued('Z') }

// Polyline draws straight lines through the points, back to the first if
// closed.
func (p *PathData) Polyline(points []Point, closed bool) *PathData {
	for i, q := range points {
		if i == 0 {
			p.MoveTo(q)
		} else {
			p.LineTo(q)
		}
	}
	if closed && len(points) > 0 {
		p.Close()
	}
	return p
}

// Append adds the strokes of another path.
func (p *PathData) Append(q *PathData) *PathData {
	p.strokes.moves = append(p.strokes.moves, q.strokes.moves...)
	p.strokes.points = append(p.strokes.points, q.strokes.points...)
	p.started = p.started || q.started
	p.deviation = math.Max(p.deviation, q.deviation)
	p.err = errors.Join(p.err, q.err)
	return p
}

// Empty says whether nothing has been drawn.
func (p *PathData) Empty() bool { return len(p.strokes.moves) == 0 }

// Deviation is the greatest distance in millimetres between a point given
// to SmoothThrough and the curve drawn for it.
func (p *PathData) Deviation() float64 { return p.deviation }

func (p *PathData) continued(move byte, points ...Point) *PathData {
	if !p.started {
		p.refuse(errors.New("a stroke before the first MoveTo"))
		return p
	}
	return p.add(move, points...)
}

func (p *PathData) add(move byte, points ...Point) *PathData {
	for _, q := range points {
		if err := errors.Join(drawable(q.X), drawable(q.Y)); err != nil {
			p.refuse(err)
			return p
		}
	}
	p.strokes.moves = append(p.strokes.moves, move)
	for _, q := range points {
		p.strokes.points = append(p.strokes.points, Point{round(q.X), round(q.Y)})
	}
	return p
}

func (p *PathData) refuse(err error) {
	if p.err == nil {
		p.err = err
	}
}

func (p *PathData) data() (string, error) {
	if p.err != nil {
		return "", p.err
	}
	return p.strokes.data(), nil
}

// maxHatchLines is more than any hatch that could be told apart by eye; a
// pitch that would need more is a mistake.
const maxHatchLines = 10000

// Hatch draws parallel lines over the inside of an outline, clipped exactly.
// angleDeg turns the lines from the horizontal, clockwise on the paper;
// pitchMM is the distance between them. Holes are left free. The lines are
// tied to the paper's origin, so that two areas hatched alike join up.
func Hatch(outline []Point, angleDeg, pitchMM float64, holes ...[]Point) *PathData {
	p := &PathData{}
	along, across := hatchAxes(angleDeg)
	rings := append([][]Point{outline}, holes...)
	low, high := extent(rings, across)
	lines := (high - low) / pitchMM
	if !(pitchMM > 0) || math.IsNaN(lines) || lines > maxHatchLines {
		p.refuse(fmt.Errorf("a hatch of pitch %v mm over %v mm cannot be drawn", pitchMM, high-low))
		return p
	}
	for k := math.Ceil(low / pitchMM); k*pitchMM <= high; k++ {
		hatchLine(p, rings, along, across, k*pitchMM)
	}
	return p
}

// hatchAxes are the unit vectors along the lines and from line to line.
func hatchAxes(angleDeg float64) (along, across Point) {
	sin, cos := math.Sincos(angleDeg * math.Pi / 180)
	return Point{cos, sin}, Point{-sin, cos}
}

// extent is how far the rings reach along an axis; rings without a point
// reach nowhere, which leaves no line between low and high.
func extent(rings [][]Point, axis Point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		for _, q := range ring {
			low, high = math.Min(low, q.dot(axis)), math.Max(high, q.dot(axis))
		}
	}
	if low > high {
		return 1, 0
	}
	return low, high
}

// hatchLine draws the pieces of one line that lie inside, by the even-odd
// rule. Counting an edge only when exactly one of its ends is at or above
// the line makes a corner that touches the line count twice or not at all.
func hatchLine(p *PathData, rings [][]Point, along, across Point, v float64) {
	var cuts []float64
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			av, bv := a.dot(across), b.dot(across)
			if (av <= v) != (bv <= v) {
				cuts = append(cuts, a.dot(along)+(b.dot(along)-a.dot(along))*(v-av)/(bv-av))
			}
		}
	}
	slices.Sort(cuts)
	for i := 0; i+1 < len(cuts); i += 2 {
		if round(cuts[i]) < round(cuts[i+1]) {
			foot := across.Times(v)
			p.MoveTo(foot.Plus(along.Times(cuts[i]))).LineTo(foot.Plus(along.Times(cuts[i+1])))
		}
	}
}
