package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// What a needle is taken to be able to do. Assumptions, all.
const (
	deepestShare = 0.75 // greatest depth, as a share of the distance from in to out: a little over the half circle
	shortestMM   = 0.2  // least distance from in to out
	farthestMM   = 40   // greatest distance from in to out, as far as a plan may say to travel
)

// sidesMM is how far from what it lies toward a landmark must be for one way to be the shorter.
const sidesMM = 0.05

// checkPlace notes what only a heart can tell is wrong with a place; what says which it is, as in `bite "1": its "in"`.
func checkPlace(what string, p Place, heart *atlas.Heart, problems *strictyaml.Problems) {
	if p.Way != FromLandmark {
		return
	}
	from, there := heart.Landmark(p.From)
	if !there {
		problems.Add(p.At, fmt.Sprintf("%s is measured from %s, which this heart does not have", what, p.From),
			"a landmark of this heart", "measure from another; `fairlead landmarks` with this plan lists them")
		return
	}
	if round := heart.Rim.LengthMM(); p.ByMM > round {
		problems.Add(p.At, fmt.Sprintf("%s lies %s mm along a rim of %.1f mm", what, exact(p.ByMM), round),
			"at most once round the rim", "correct `by`")
	}
	if way := math.Abs(wayToward(p.Toward, from.Spot.AlongMM, heart)); way < sidesMM || !math.IsInf(way, 1) && heart.Rim.LengthMM()/2-way < sidesMM {
		problems.Add(p.At, fmt.Sprintf("%s lies from %s toward %s, but neither way is the shorter", what, p.From, p.Toward),
			"a direction", "write toward: clockwise or toward: anticlockwise")
	}
}

// misfits are what is wrong with a bite on this heart; each is said once, however many passes share it.
func (b *LaidBite) misfits(heart *atlas.Heart) (problems strictyaml.Problems) {
	b.offTheTissue(heart, &problems)
	for i := range b.Passes {
		if problem, bad := b.unsewable(i); bad {
			problems = append(problems, problem)
			break
		}
	}
	low, high := b.offRange()
	if !b.HasOut && !b.Tissue.allows(low, high) {
		problems.Add(b.At, fmt.Sprintf("bite %q is declared %s but its needle comes out %.1f mm off the hinge", b.Name, b.Tissue, b.Passes[0].Out.OffMM),
			"wall: not below the hinge; leaflet: not above it", "declare it `rim`, or correct the heading")
	}
	return problems
}

func (b *LaidBite) offRange() (low, high float64) {
	p := b.Passes[0] // every pass lies as far off the hinge as the first
	return min(p.In.OffMM, p.Out.OffMM), max(p.In.OffMM, p.Out.OffMM)
}

// allows tells whether a tissue reaches over a range off the hinge; on the hinge itself both meet.
func (t Tissue) allows(lowMM, highMM float64) bool {
	return !(t == Wall && lowMM < -rounding || t == Leaflet && highMM > rounding)
}

// tissueReach is how far wall and leaflet reach from the hinge.
func tissueReach(heart *atlas.Heart) (leafletMM, wallMM float64) {
	wall, _ := heart.Value("septal-wall-height")
	leaflet, _ := heart.Value("leaflet-height")
	return leaflet.Here, wall.Here
}

func (b *LaidBite) offTheTissue(heart *atlas.Heart, problems *strictyaml.Problems) {
	leaflet, wall := tissueReach(heart)
	outAt := b.At
	if b.HasOut {
		outAt = b.Out.At
	}
	for _, end := range []struct {
		name string
		off  float64
		at   strictyaml.Position
	}{{"in", b.Passes[0].In.OffMM, b.In.At}, {"out", b.Passes[0].Out.OffMM, outAt}} {
		if end.off > wall || end.off < -leaflet {
			problems.Add(end.at, fmt.Sprintf("bite %q: its %q lies %.1f mm off the hinge, outside this heart's wall and leaflet", b.Name, end.name, end.off),
				fmt.Sprintf("%.1f to %.1f mm off the hinge", -leaflet, wall), "correct `off`, `travel` or `heading`")
		}
	}
}

// unsewable says why no curved needle takes a pass.
func (b *LaidBite) unsewable(pass int) (strictyaml.Problem, bool) {
	who := fmt.Sprintf("bite %q", b.Name)
	if pass > 0 {
		who = fmt.Sprintf("pass %d of bite %q", pass+1, b.Name)
	}
	p := b.Passes[pass]
	between := p.Arc.At(0).Distance(p.Arc.At(1))
	problem := strictyaml.Problem{Position: b.At}
	switch {
	case between < shortestMM:
		problem.What = who + " goes in and comes out at one place"
		problem.Expected, problem.Mend = "at least 0.2 mm between them", "move `out`, or give a `travel`"
	case between > farthestMM:
		problem.What = fmt.Sprintf("%s comes out %.1f mm from where it goes in", who, between)
		problem.Expected, problem.Mend = "at most 40 mm between them", "move `out`"
	case p.DepthMM > deepestShare*between:
		problem.What = fmt.Sprintf("%s is %s mm deep but only %.1f mm from in to out: no curved needle takes that path", who, exact(p.DepthMM), between)
		problem.Expected, problem.Mend = fmt.Sprintf("a depth of at most %s mm here", atMost(deepestShare*between)), "lengthen the travel or lessen the depth"
	}
	return problem, problem.What != ""
}
