package atlas

import (
	"math"

	"fairlead/atlas/geom"
)

// link is one straight element of the chain that carries the rim after a repair.
type link struct {
	part     int
	from, to geom.Vec // where its ends were on the rim before
	wasMM    float64  // along the rim before
	longMM   float64  // along the rim after
	chordMM  float64  // straight, after
	climbMM  float64  // after
	septal   bool

	// From the rim's direction at its start to its own, and on to that at its end: in plan, radians, positive to the
	// left; and in slope, mm per mm.
	turnIn, turnOut float64
	riseIn, riseOut float64
	slope           float64 // of the link on the rim before

	onFormer  bool
	on, toOn  formed  // on the former: where it starts and where it ends
	stretched float64 // its length as a share of its place on the former
}

// chain is the links once round. Joint i is where link i starts.
type chain []link

func (c chain) next(i int) *link { return &c[(i+1)%len(c)] }

func (c chain) previous(i int) *link { return &c[(i+len(c)-1)%len(c)] }

// keepsTurningTo is the ratio to which a stretch may be drawn and keep its turning, as a share of the ratio to which the
// whole rim was drawn. Assumption.
const keepsTurningTo = 0.5

// kept is the share of its turning that a part keeps on a rim drawn to a ratio.
func (p part) kept(rim float64) float64 { return min(1, p.toMM/p.forMM/(keepsTurningTo*rim)) }

// chain lays the links over what is left of the rim, so that each turns by about as much.
func (r *Rim) chain(parts []part, former *Former) chain {
	rim, turning := lengthAfter(parts)/r.lengthMM, 0.0
	for _, p := range parts {
		turning += p.forMM * p.kept(rim)
	}
	var c chain
	for at, p := range parts {
		if p.toMM == 0 {
			continue
		}
		n := int(math.Ceil(gatherLinks * p.forMM * p.kept(rim) / turning))
		n = max(1, min(n, int(p.toMM/goneMM)))
		for i := range n {
			l := r.link(p, former, p.kept(rim), i, n)
			l.part = at
			c = append(c, l)
		}
	}
	return c
}

// link is the i-th of n links of a part that keeps so much of its turning.
func (r *Rim) link(p part, former *Former, kept float64, i, n int) link {
	cut := func(fromMM, forMM float64) (startMM, endMM float64) {
		return fromMM + forMM*float64(i)/float64(n), fromMM + forMM*float64(i+1)/float64(n)
	}
	start, end := cut(p.fromMM, p.forMM)
	l := link{from: r.At(start), to: r.At(end), wasMM: p.forMM / float64(n), longMM: p.toMM / float64(n), septal: p.segment == 2}
	if p.drawn && former != nil {
		on, toOn := cut(p.onMM, p.onForMM)
		l.onFormer, l.on, l.toOn, l.stretched = true, former.place(on), former.place(toOn), p.toMM/p.onForMM
		return l // what it climbs and turns is the former's
	}
	way, in, out := l.to.Sub(l.from), r.tangent(start), r.tangent(end)
	l.turnIn, l.turnOut = kept*angle(in, way), kept*angle(way, out)
	l.slope = way.Z / l.wasMM
	l.riseIn, l.riseOut = kept*(l.slope-in.Z), kept*(out.Z-l.slope)
	l.chordMM = l.longMM * (1 - kept*kept*(1-way.Norm()/l.wasMM)) // an arc exceeds its chord by the square of its turning
	return l
}

// angle is the turning from one direction to another in plan, within ±π, positive to the left.
func angle(from, to geom.Vec) float64 {
	return math.Atan2(from.X*to.Y-from.Y*to.X, from.X*to.X+from.Y*to.Y)
}

// planMM is the link's length seen in plan.
func (l *link) planMM() float64 { return math.Sqrt((l.chordMM - l.climbMM) * (l.chordMM + l.climbMM)) }

// chords are the straight lengths of the links.
func (c chain) chords() []float64 {
	chords := make([]float64, len(c))
	for i, l := range c {
		chords[i] = l.chordMM
	}
	return chords
}

// ways are the places of the joints along the rim after, and its whole length.
func (c chain) ways() []float64 {
	at := make([]float64, len(c)+1)
	for i, l := range c {
		at[i+1] = at[i] + l.longMM
	}
	return at
}

// septum is where the joints were on the rim before, and how much of what is left of the septum each stands for, mm.
// With nothing left of it the whole rim stands in. A joint that closes over what was taken away was in two places, and
// each counts for the septum at its own side.
func (c chain) septum() (places []geom.Vec, weight []float64) {
	places, weight = make([]geom.Vec, len(c)), make([]float64, len(c))
	left := false
	for _, l := range c {
		left = left || l.septal
	}
	stands := func(l *link) float64 {
		if l.septal || !left {
			return l.longMM / 2
		}
		return 0
	}
	for i := range c {
		l, last := &c[i], c.previous(i)
		if weight[i] = stands(last) + stands(l); weight[i] > 0 {
			places[i] = last.to.Lerp(l.from, stands(l)/weight[i])
		}
	}
	return places, weight
}

// run is a number of links one after the other.
type run struct {
	first, count int
	longMM       float64
}

func (c chain) whole() run { return run{count: len(c)} }

// in is the i-th link of a run.
func (c chain) in(o run, i int) *link { return &c[(o.first+i)%len(c)] }

// climbs is what a run climbs.
func (c chain) climbs(o run) (sum float64) {
	for i := range o.count {
		sum += c.in(o, i).climbMM
	}
	return sum
}
