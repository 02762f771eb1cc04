package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// SafeBand is how deep a needle may go, place by place along the whole rim: straight in from the endocardium, along
// Chart.Inward, at one distance off the hinge.
//
// It speaks of a place on the needle. A needle is safe where every place of it is: read the band along all of a bite.
// It knows the margins to structures and how deep the fibrous body may be pierced. Zones that are to be left alone
// whatever the depth (the apical half, the ventricular side) are areas, and not in it.
type SafeBand struct {
	OffMM     float64
	DeepestMM float64     // as deep as was looked
	Depths    []SafeDepth // a turn from the middle of the posterior segment on, in equal steps, unrolled as zones are
}

// SafeDepth is how deep a needle may go at one place: to ClearMM and it is clear, on to CautionMM with caution, and no
// farther.
type SafeDepth struct {
	AlongMM            float64
	ClearMM, CautionMM float64
	ClearEnd           DepthEnd // what is met at ClearMM
	CautionEnd         DepthEnd // what is met at CautionMM
}

// DepthEnd is what ends a depth: the structure whose distance to keep is reached, or the fibrous body. Empty where
// nothing was met as deep as was looked.
type DepthEnd struct {
	ID    string
	Label words.Said
}

const (
	// safeStepMM is the most hinge between two places of a band.
	safeStepMM = 0.5
	// safeDeepestMM is as deep as a band looks, mm: rim bites are some 1 to 3 mm deep. An assumption.
	safeDeepestMM = 5.0
	// safeTouchMM is how near to a limit counts as there. A depth is never larger than it is, and smaller by no more
	// than this where the needle heads for what it meets.
	safeTouchMM = 1e-3
)

// SafeDepth is the band at a distance off the hinge: 0 on it, positive up the wall, negative on the leaflet.
func (r *Report) SafeDepth(offMM float64) SafeBand {
	e := newExaminer(r.Laid, r.Rules)
	rim := r.Laid.Heart.Rim.LengthMM()
	segments := r.Laid.Heart.Segments()
	from := segments[1].FromMM + segments[1].ForMM/2 - rim
	steps := int(math.Ceil(rim / safeStepMM))
	band := SafeBand{OffMM: offMM, DeepestMM: safeDeepestMM, Depths: make([]SafeDepth, steps+1)}
	for i := range band.Depths {
		band.Depths[i] = e.safeDepth(atlas.Spot{AlongMM: from + rim*float64(i)/float64(steps), OffMM: offMM})
	}
	return band
}

func (e *examiner) safeDepth(at atlas.Spot) SafeDepth {
	here := SafeDepth{AlongMM: at.AlongMM}
	surface, inward := e.heart.Chart.Frame(at), e.heart.Chart.Inward(at)
	wide := func(s atlas.Structure) float64 { margin, beyond := e.keep(s); return margin + beyond }
	narrow := func(s atlas.Structure) float64 { margin, _ := e.keep(s); return margin }
	here.ClearMM, here.ClearEnd = e.straightIn(surface, inward, 0, wide)
	here.CautionMM, here.CautionEnd = e.straightIn(surface, inward, here.ClearMM, narrow)
	if zone, there := e.zones[atlas.FibrousBody]; there && zone.depth(Pass{In: at, Out: at}, 0) < 0 {
		deepest, body := e.rules.Rule("fibrous-body").Figures["deepest"], DepthEnd{string(atlas.FibrousBody), e.called(atlas.FibrousBody)}
		if here.ClearMM > deepest {
			here.ClearMM, here.ClearEnd = deepest, body
		}
		if here.CautionMM > deepest {
			here.CautionMM, here.CautionEnd = deepest, body
		}
	}
	return here
}

// straightIn goes in from a depth, each time by as much as is left until a distance to keep is reached. Distances
// change by no more than the way gone, so nothing is stepped over, however thin.
func (e *examiner) straightIn(surface, inward geom.Vec, depthMM float64, keep func(atlas.Structure) float64) (float64, DepthEnd) {
	for depthMM < safeDeepestMM {
		left, end := e.left(surface.Add(inward.Scale(depthMM)), keep)
		if left < safeTouchMM {
			return depthMM, end
		}
		depthMM += left
	}
	return safeDeepestMM, DepthEnd{}
}

// left is how much farther a place of the needle is from every structure than is to be kept, and by which it is least.
func (e *examiner) left(p geom.Vec, keep func(atlas.Structure) float64) (mm float64, end DepthEnd) {
	mm = math.Inf(1)
	for _, t := range e.obstacles {
		kept := keep(t.Structure) + e.halfWidth()
		for _, part := range t.parts {
			if part.centre.Distance(p)-part.radius-kept >= mm {
				continue
			}
			if here := part.solid.Distance(p) - kept; here < mm {
				mm, end = here, DepthEnd{t.ID, t.Label}
			}
		}
	}
	return mm, end
}

// Least is the least depth that is clear, and the longest stretch of the rim where it is no more than a tenth of a
// millimetre larger: from and to as in the band, to beyond the band's end where the stretch runs over it. The end is
// what is met first in the middle of the stretch.
func (b SafeBand) Least() (clearMM, fromMM, toMM float64, end DepthEnd) {
	const alikeMM = 0.1
	turn := b.Depths[:len(b.Depths)-1] // the last place is the first
	clearMM = math.Inf(1)
	for _, d := range turn {
		clearMM = math.Min(clearMM, d.ClearMM)
	}
	at := func(i int) SafeDepth { return turn[i%len(turn)] }
	from, length := 0, 0
	for start := range turn {
		run := 0
		for run < len(turn) && at(start+run).ClearMM <= clearMM+alikeMM {
			run++
		}
		if run > length {
			from, length = start, run
		}
	}
	step := (b.Depths[len(b.Depths)-1].AlongMM - b.Depths[0].AlongMM) / float64(len(turn))
	fromMM = turn[from].AlongMM
	return clearMM, fromMM, fromMM + step*float64(length-1), at(from + length/2).ClearEnd
}
