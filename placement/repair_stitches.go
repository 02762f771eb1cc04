package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// stitchAt is a stitch as the rim knows it: where its middle lies, and how much of the rim it takes.
type stitchAt struct {
	name   string
	atMM   float64 // in [0, length of the rim)
	halfMM float64 // half of what it takes, along the rim
	said   strictyaml.Position
}

// stitches are the bites of a certain sort, or those that are named; each pass of a run is a stitch, a mattress is one.
func (l *Laid) stitches(names []Named, sort func(LaidBite) bool, problems *strictyaml.Problems) (found []stitchAt) {
	for _, b := range l.bitesFor(names, sort, problems) {
		if b.Kind != Running {
			found = append(found, b.stitch(l.Heart.Rim, b.Name, b.Passes))
			continue
		}
		for i := range b.Passes {
			found = append(found, b.stitch(l.Heart.Rim, fmt.Sprintf("%s/%d", b.Name, i+1), b.Passes[i:i+1]))
		}
	}
	return found
}

// bitesFor are the bites that are named, or where none is, those of a sort.
func (l *Laid) bitesFor(names []Named, sort func(LaidBite) bool, problems *strictyaml.Problems) (found []LaidBite) {
	if names != nil {
		return l.bitesNamed(names, problems)
	}
	for _, b := range l.Bites {
		if sort(b) {
			found = append(found, b)
		}
	}
	return found
}

// bitesNamed finds bites by their names. A name without a bite, or said twice, is a problem.
func (l *Laid) bitesNamed(names []Named, problems *strictyaml.Problems) (found []LaidBite) {
	said := map[string]bool{}
	for _, name := range names {
		bite, there := l.biteCalled(name.Name)
		switch {
		case !there:
			problems.Add(name.At, fmt.Sprintf("repair: no bite is called %q", name.Name), "the name of a bite of this plan", "correct the name, or add the bite")
		case said[name.Name]:
			problems.Add(name.At, fmt.Sprintf("repair: bite %q is named twice", name.Name), "each bite once", "leave one out")
		default:
			found = append(found, bite)
		}
		said[name.Name] = true
	}
	return found
}

func (l *Laid) biteCalled(name string) (LaidBite, bool) {
	for _, b := range l.Bites {
		if b.Name == name {
			return b, true
		}
	}
	return LaidBite{}, false
}

// stitch is a bite, or one of its passes, as the rim knows it.
func (b *LaidBite) stitch(rim *atlas.Rim, name string, passes []Pass) stitchAt {
	low, high := alongRange(passes)
	return stitchAt{name: name, atMM: rim.Wrap((low + high) / 2), halfMM: (high - low) / 2, said: b.At}
}

// alongRange is what passes take of the rim, their along unrolled.
func alongRange(passes []Pass) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range passes {
		low, high = min(low, p.In.AlongMM, p.Out.AlongMM), max(high, p.In.AlongMM, p.Out.AlongMM)
	}
	return low, high
}

// onePlaceMM is how near two stitches may not be if the rim between them is to be drawn together.
const onePlaceMM = 0.05

// oneWayRound puts stitches in clockwise order. They may be listed either way round, but one way: from the first to the
// last less than once round. turned tells that they were listed anticlockwise.
func oneWayRound(rim *atlas.Rim, listed []stitchAt, problems *strictyaml.Problems, at strictyaml.Position) (clockwise []stitchAt, turned, ok bool) {
	round := rim.LengthMM()
	for i := 1; i < len(listed); i++ {
		if a, b := listed[i-1], listed[i]; math.Abs(shorterWay(rim, a.atMM, b.atMM)) < onePlaceMM {
			problems.Add(at, fmt.Sprintf("repair: bites %q and %q have their middles at one place of the rim", a.name, b.name), "stitches beside each other along the rim", "move one, or leave it out of `bites`")
			return nil, false, false
		}
	}
	var there, back float64
	strayThere, strayBack, onward := -1, -1, 0
	for i := 1; i < len(listed); i++ {
		way := rim.Span(listed[i-1].atMM, listed[i].atMM)
		if way < round/2 {
			onward++
		}
		there, back = there+way, back+round-way
		if there >= round && strayThere < 0 {
			strayThere = i
		}
		if back >= round && strayBack < 0 {
			strayBack = i
		}
	}
	switch {
	case strayThere < 0 && (strayBack >= 0 || there <= back):
		return listed, false, true
	case strayBack < 0:
		for i := range listed {
			clockwise = append(clockwise, listed[len(listed)-1-i])
		}
		return clockwise, true, true
	}
	stray := strayBack
	if 2*onward >= len(listed)-1 { // most go clockwise
		stray = strayThere
	}
	problems.Add(at, fmt.Sprintf("repair: the bites do not run one way round the rim: %q does not follow on %q", listed[stray].name, listed[stray-1].name),
		"bites in the order they lie round the rim, either way, less than once round", "put them in order, or name those meant in `bites`")
	return nil, false, false
}
