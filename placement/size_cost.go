package placement

import (
	"fmt"
	"math"

	"fairlead/atlas/growth"
)

// costs say what an aim takes from the valve and leaves of it.
func (s *Sizing) costs(a *Sized) (costs []string) {
	o := a.Report.Outcome
	costs = append(costs, s.takesInWords(a.TakesMM), fmt.Sprintf("area %s %% of expected", whole(o.SharePercent())), s.lengthInWords(o.After.LengthMM))
	if c, some := leastCover(o.Leaflets); some {
		costs = append(costs, fmt.Sprintf("leaflets meet over %.1f mm at least (%s)", c.CoverMM(), c.Name))
	}
	for _, segment := range a.Limited {
		costs = append(costs, fmt.Sprintf("the %s segment gives all that it may where it is held", segment))
	}
	return costs
}

func (s *Sizing) takesInWords(take growth.Segments) string {
	return fmt.Sprintf("takes %s %% of the posterior segment, %s %% of the anterior, nothing of the septal",
		whole(100*take.Posterior/s.Now.PosteriorMM), whole(100*take.Anterior/s.Now.AnteriorMM))
}

// lengthInWords says how a rim compares with the one expected.
func (s *Sizing) lengthInWords(rimMM float64) string {
	switch share := 100 * (rimMM/s.LengthMM.Value - 1); {
	case math.Abs(share) < 0.5:
		return "rim as long as expected"
	case share > 0:
		return fmt.Sprintf("leaves the rim %s %% longer than expected", whole(share))
	default:
		return fmt.Sprintf("leaves the rim %s %% shorter than expected", whole(-share))
	}
}

// leastCover is the leaflet with least left to lie against the others.
func leastCover(leaflets []CoveringLeaflet) (least CoveringLeaflet, some bool) {
	for i, c := range leaflets {
		if i == 0 || c.CoverMM() < least.CoverMM() {
			least = c
		}
	}
	return least, len(leaflets) > 0
}
