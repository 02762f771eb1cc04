package placement

import (
	"fmt"
	"math"

	"fairlead/atlas/growth"
)

// shared parts what is to be taken from the free wall between its two segments in the proportion a pattern stretched
// them, mm; the septal segment gives nothing. The pattern is run backwards: with a stretch u of the segment that it
// stretches most, a segment now l long was l/(1+u·s) before, s being its share of that stretch. So a free wall that
// was stretched by the pattern comes back to what it was.
//
// No segment gives more than most allows; what one cannot give the other gives. What both together cannot give is
// refused with the figures.
func shared(pattern growth.Pattern, now growth.Segments, takeMM float64, most growth.Segments) (growth.Segments, error) {
	give := func(u float64) growth.Segments {
		return growth.Segments{
			Posterior: given(now.Posterior, u*pattern.Stretch.Posterior, most.Posterior),
			Anterior:  given(now.Anterior, u*pattern.Stretch.Anterior, most.Anterior),
		}
	}
	if takeMM <= 0 {
		return growth.Segments{}, nil
	}
	high := 1.0
	for give(high).Sum() < takeMM-rounding {
		if high *= 2; high > mostStretch {
			return growth.Segments{}, fmt.Errorf("%.1f mm are to be taken from the free wall, but it can give %.1f mm: posterior %.1f, anterior %.1f",
				takeMM, most.Posterior+most.Anterior, most.Posterior, most.Anterior)
		}
	}
	low := 0.0
	for range 200 { // to the last digit
		if mid := (low + high) / 2; give(mid).Sum() < takeMM {
			low = mid
		} else {
			high = mid
		}
	}
	return give(high), nil
}

// mostStretch is a stretch that no rim reaches: what does not give enough by then never does.
const mostStretch = 1e6

// given is what a segment gives when a stretch of it is undone, as far as it may.
func given(lengthMM, stretch, mostMM float64) float64 {
	return math.Min(lengthMM*stretch/(1+stretch), mostMM)
}

// limited names the segments that give all they may.
func limited(take, most growth.Segments) (names []string) {
	if take.Posterior > 0 && take.Posterior >= most.Posterior-rounding {
		names = append(names, Posterior)
	}
	if take.Anterior > 0 && take.Anterior >= most.Anterior-rounding {
		names = append(names, Anterior)
	}
	return names
}
