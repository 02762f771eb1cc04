package placement

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
)

// move is a change to a bite: shifted along the hinge, up the wall, and made shallower or deeper.
type move struct{ alongMM, offMM, depthMM float64 }

func (m move) size() float64 { return math.Abs(m.alongMM) + math.Abs(m.offMM) + math.Abs(m.depthMM) }

// moves are the changes tried, smallest first: one thing at a time before two together.
func moves() (list []move) {
	for _, along := range []float64{0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8, 10, -10, 12, -12} {
		for _, off := range []float64{0, 1, -1, 2, -2} {
			for _, depth := range []float64{0, -0.5, -1, -1.5, -2, 0.5, 1} {
				changed := 0
				for _, part := range []float64{along, off, depth} {
					if part != 0 {
						changed++
					}
				}
				if changed == 1 || changed == 2 {
					list = append(list, move{along, off, depth})
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b move) int { return cmp.Compare(a.size(), b.size()) })
	return list
}

// advise finds the smallest change that would make a bite clear, or failing that better, and writes it behind the
// reasons. Neighbouring bites are not looked at: the changed plan is to be checked again.
func (e *examiner) advise(bite *LaidBite, reasons []Reason) {
	now := worst(reasons)
	best, level := "", now
	for _, m := range e.moves {
		tried, possible := e.moved(bite, m)
		if !possible {
			continue
		}
		if l := worst(e.judge(tried, e.measure(tried))); l < level {
			best, level = m.words(bite, l), l
			if l == Clear {
				break
			}
		}
	}
	if best == "" {
		best = "no small change clears it: choose another place"
	}
	for i := range reasons {
		if reasons[i].Level > Clear {
			reasons[i].Instead = best
		}
	}
}

func (e *examiner) moved(bite *LaidBite, m move) (*LaidBite, bool) {
	changed := *bite
	changed.DepthMM += m.depthMM
	if changed.DepthMM < 0.3 {
		return nil, false
	}
	changed.Passes = make([]Pass, len(bite.Passes))
	for i, p := range bite.Passes {
		in := atlas.Spot{AlongMM: p.In.AlongMM + m.alongMM, OffMM: p.In.OffMM + m.offMM}
		out := atlas.Spot{AlongMM: p.Out.AlongMM + m.alongMM, OffMM: p.Out.OffMM + m.offMM}
		if bite.Tissue == Wall && min(in.OffMM, out.OffMM) < 0 || bite.Tissue == Leaflet && max(in.OffMM, out.OffMM) > 0 {
			return nil, false
		}
		changed.Passes[i] = NewPass(e.heart, in, out, changed.DepthMM)
	}
	return &changed, true
}

func (m move) words(bite *LaidBite, level Level) string {
	text := ""
	add := func(format string, args ...any) {
		if text != "" {
			text += " and "
		}
		text += fmt.Sprintf(format, args...)
	}
	switch {
	case m.alongMM > 0:
		add("%.0f mm further clockwise", m.alongMM)
	case m.alongMM < 0:
		add("%.0f mm further anticlockwise", -m.alongMM)
	}
	switch {
	case m.offMM > 0:
		add("%.0f mm further up the wall", m.offMM)
	case m.offMM < 0:
		add("%.0f mm further down, toward the leaflet", -m.offMM)
	}
	if m.depthMM != 0 {
		add("%.1f mm deep", bite.DepthMM+m.depthMM)
	}
	return text + ": " + level.String() + " by itself"
}
