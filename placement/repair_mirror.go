package placement

import "fairlead/atlas/words"

// Mirror is how a reduction compares with the stretch: how much longer than expected each segment was, and which share
// of what is taken falls to the segments as that does, %: 100 where both have the same proportions, 0 where the repair
// takes only from segments that were not too long.
type Mirror struct {
	AnteriorMM, PosteriorMM, SeptalMM float64
	Percent                           float64
}

// leastExcessMM is how much too long the segments together must be to speak of a stretch: less is within what a rim is
// fitted to.
const leastExcessMM = 1.0

// mirrorOf compares; nil where nothing was too long, or nothing is taken.
func (l *Laid) mirrorOf(o *Outcome) *Mirror {
	over := func(name string, before float64) float64 {
		value, _ := l.Heart.Value(name)
		return max(0, before-value.Expected)
	}
	m := &Mirror{over("anterior-segment", o.Before.AnteriorMM), over("posterior-segment", o.Before.PosteriorMM), over("septal-segment", o.Before.SeptalMM), 0}
	excess := m.AnteriorMM + m.PosteriorMM + m.SeptalMM
	less := [3]float64{max(0, o.Before.AnteriorMM-o.After.AnteriorMM), max(0, o.Before.PosteriorMM-o.After.PosteriorMM), max(0, o.Before.SeptalMM-o.After.SeptalMM)}
	taken := less[0] + less[1] + less[2]
	if excess < leastExcessMM || taken <= 0 {
		return nil
	}
	for i, mm := range [3]float64{m.AnteriorMM, m.PosteriorMM, m.SeptalMM} {
		m.Percent += 100 * min(mm/excess, less[i]/taken)
	}
	return m
}

// said says it in words and figures.
func (m *Mirror) said() words.Said {
	return words.Of("mirror", words.Blanks{
		"anterior": words.Fixed(m.AnteriorMM, 1), "posterior": words.Fixed(m.PosteriorMM, 1), "septal": words.Fixed(m.SeptalMM, 1), "percent": whole(m.Percent),
	})
}
