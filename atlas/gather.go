package atlas

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"fairlead/atlas/geom"
)

// Gather is a stretch of the rim that a repair draws together: from FromMM clockwise for ForMM it becomes ToMM long,
// evenly. ToMM 0 takes it away.
type Gather struct {
	FromMM, ForMM, ToMM float64
	OnMM, OnForMM       float64 // where on a rigid former it comes to lie, clockwise, and for how long; used only with a former
}

// Gathered is a rim after a repair.
type Gathered struct {
	// Rim has the origin of its frame in its own centroid, as every rim has. A segment that was taken away is 0 long.
	Rim *Rim

	// Shift is what to add to a point of Rim to see it in the frame of the rim before, the septum held.
	Shift geom.Vec

	// OffFormerMM is how far the drawn stretches come to lie off the former at most, once it is laid over them: 0
	// without a former. A rigid device would not give way; this much says that the stretches do not fit it, or, where
	// they are apart from each other in several places, how far they have moved against each other.
	OffFormerMM float64

	before, after []float64 // the same places before and after, each from 0 to the whole length; none where nothing changed
}

const (
	// roundingMM is how far stretches may reach into each other, or lengthen, before it counts as meant.
	roundingMM = 1e-6

	// goneMM is the length below which what is left of a stretch is left out of the curve: it could not be seen, and
	// elements as short as rounding have no heading.
	goneMM = 1e-5

	// leastRimMM is the shortest rim that may be left. It keeps numbers sound; no patient was ever left with it.
	leastRimMM = 1
)

// Gathered is the rim after stretches of it were drawn together, evenly each. The others keep their length. With a
// former, which may be nil, the drawn stretches take its shape. What shape the rim takes is told in gather_shape.go.
// If nothing is drawn together the rim itself is handed back.
//
// Lengths on the curve, of the whole and of each stretch, are right to 0.01 mm.
func (r *Rim) Gathered(gathers []Gather, former *Former) (*Gathered, error) {
	sorted, err := r.checked(gathers, former)
	if err != nil {
		return nil, err
	}
	if changesNothing(sorted, former) {
		return &Gathered{Rim: r}, nil
	}
	parts := r.parts(sorted)
	if left := lengthAfter(parts); left < leastRimMM {
		return nil, fmt.Errorf("the repair leaves %.3g mm of a rim of %.1f mm: at least %g mm must be left; draw less together", left, r.lengthMM, float64(leastRimMM))
	}
	g, err := r.drawn(parts, former)
	if err != nil {
		return nil, fmt.Errorf("a rim of %.1f mm drawn to %.1f mm finds no shape: expected stretches that leave a ring; draw less together, more evenly, or onto a former that fits better (%w)", r.lengthMM, lengthAfter(parts), err)
	}
	g.carry(parts)
	return g, nil
}

func changesNothing(gathers []Gather, former *Former) bool {
	for _, g := range gathers {
		if former != nil || g.ToMM != g.ForMM {
			return false
		}
	}
	return true
}

// Along is where a place of the rim before lies on the rim after, mm: it never runs back, and a turn further before is
// a turn further after. All of what was taken away lies in one place. A place that is not finite is nowhere: NaN.
func (g *Gathered) Along(beforeMM float64) float64 { return carried(g.before, g.after, beforeMM) }

// Before is where a place of the rim after lay on the rim before, mm: the inverse of Along. Where something was taken
// away it is the clockwise end of that.
func (g *Gathered) Before(afterMM float64) float64 { return carried(g.after, g.before, afterMM) }

// carried takes a place by a table of places that rise from 0 to a whole turn, straight between them.
func carried(from, to []float64, at float64) float64 {
	if len(from) == 0 {
		return at
	}
	last := len(from) - 1
	turn := math.Floor(at / from[last])
	rest := min(max(at-turn*from[last], 0), from[last])
	if rest-rest != 0 {
		return math.NaN()
	}
	i := min(max(sort.Search(last, func(i int) bool { return from[i] > rest })-1, 0), last-1)
	place := to[i+1]
	if width := from[i+1] - from[i]; width > 0 {
		place = min(to[i]+(rest-from[i])*((to[i+1]-to[i])/width), to[i+1])
	}
	return turn*to[last] + place
}

// carry notes where each part begins before and after.
func (g *Gathered) carry(parts []part) {
	before, after := 0.0, 0.0
	g.before, g.after = append(g.before, 0), append(g.after, 0)
	for _, p := range parts {
		before, after = p.fromMM+p.forMM, after+p.toMM
		g.before, g.after = append(g.before, before), append(g.after, after)
	}
}

// checked is the stretches in clockwise order from the anteroseptal commissure, or all that is wrong with them.
func (r *Rim) checked(gathers []Gather, former *Former) ([]Gather, error) {
	var wrong []error
	sorted := make([]Gather, 0, len(gathers))
	for _, g := range gathers {
		if err := r.check(g, former); err != nil {
			wrong = append(wrong, err)
			continue
		}
		g.FromMM, g.ForMM, g.ToMM = r.Wrap(g.FromMM), min(g.ForMM, r.lengthMM), min(max(g.ToMM, 0), g.ForMM)
		sorted = append(sorted, g)
	}
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].FromMM < sorted[j].FromMM })
	for i, g := range sorted {
		next := sorted[(i+1)%len(sorted)]
		if over := g.ForMM - r.Span(g.FromMM, next.FromMM); len(sorted) > 1 && over > roundingMM {
			wrong = append(wrong, fmt.Errorf("%v reaches %.3g mm into %v: expected stretches that do not overlap; end the first sooner or begin the second later", g, over, next))
		}
	}
	return sorted, errors.Join(wrong...)
}

// String names a stretch by its place.
func (g Gather) String() string {
	return fmt.Sprintf("the stretch drawn together from %.2f mm for %.2f mm", g.FromMM, g.ForMM)
}

// check says what is wrong with one stretch.
func (r *Rim) check(g Gather, former *Former) error {
	for _, v := range [...]float64{g.FromMM, g.ForMM, g.ToMM} {
		if v-v != 0 {
			return fmt.Errorf("%v to %g mm: expected finite numbers; give all three", g, g.ToMM)
		}
	}
	switch {
	case !(g.ForMM > 0):
		return fmt.Errorf("%v has no length: expected more than 0 mm; leave it out", g)
	case g.ForMM > r.lengthMM+roundingMM:
		return fmt.Errorf("%v is longer than the rim: expected at most %.2f mm; end it sooner", g, r.lengthMM)
	case g.ToMM < -roundingMM:
		return fmt.Errorf("%v becomes %.2f mm: expected 0 mm or more; 0 takes it away", g, g.ToMM)
	case g.ToMM > g.ForMM+roundingMM:
		return fmt.Errorf("%v becomes %.2f mm: a repair never lengthens the rim; draw it to at most %.2f mm", g, g.ToMM, g.ForMM)
	}
	if former == nil || g.ToMM < goneMM {
		return nil
	}
	switch {
	case g.OnMM-g.OnMM != 0 || !(g.OnForMM > 0):
		return fmt.Errorf("%v comes to lie from %g mm for %g mm on the former: expected a place and a length above 0; say where it is sewn", g, g.OnMM, g.OnForMM)
	case g.OnForMM > former.LengthMM()+roundingMM:
		return fmt.Errorf("%v comes to lie on %.2f mm of a former %.2f mm long: expected no more than once round; shorten it", g, g.OnForMM, former.LengthMM())
	}
	return nil
}

// part is what lies between two neighbours among the borders of segments and the ends of stretches drawn together.
type part struct {
	fromMM, forMM, toMM float64
	segment             int
	drawn               bool
	onMM, onForMM       float64 // on the former, if drawn
}

func lengthAfter(parts []part) (sum float64) {
	for _, p := range parts {
		sum += p.toMM
	}
	return sum
}

// parts splits the rim, once round from the anteroseptal commissure.
func (r *Rim) parts(gathers []Gather) []part {
	cuts := r.cuts(gathers)
	parts := make([]part, 0, len(cuts))
	for i := range len(cuts) - 1 {
		p := part{fromMM: cuts[i], forMM: cuts[i+1] - cuts[i], toMM: cuts[i+1] - cuts[i]}
		if p.forMM <= 0 {
			continue
		}
		middle := p.fromMM + p.forMM/2
		for p.segment < 2 && middle > r.segments[0]+float64(p.segment)*r.segments[1] {
			p.segment++
		}
		if g, into, ok := r.holding(gathers, middle); ok {
			share := p.forMM / g.ForMM
			p.drawn, p.toMM, p.onForMM = true, g.ToMM*share, g.OnForMM*share
			p.onMM = g.OnMM + g.OnForMM*into/g.ForMM - p.onForMM/2
		}
		if p.toMM < goneMM {
			p.toMM = 0
		}
		parts = append(parts, p)
	}
	return parts
}

func (r *Rim) cuts(gathers []Gather) []float64 {
	cuts := []float64{0, r.segments[0], min(r.segments[0]+r.segments[1], r.lengthMM), r.lengthMM}
	for _, g := range gathers {
		cuts = append(cuts, g.FromMM, r.Wrap(g.FromMM+g.ForMM))
	}
	sort.Float64s(cuts)
	return cuts
}

// holding is the stretch that holds a place, and how far into it the place lies.
func (r *Rim) holding(gathers []Gather, alongMM float64) (g Gather, into float64, ok bool) {
	n := len(gathers)
	i := sort.Search(n, func(i int) bool { return gathers[i].FromMM > alongMM }) - 1
	g = gathers[(i+n)%n] // before the first begins, the last may reach over the anteroseptal commissure
	into = r.Span(g.FromMM, alongMM)
	return g, into, into < g.ForMM
}
