package placement

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// LaidLine is a suture line on a heart. It goes round once, clockwise.
type LaidLine struct {
	Line
	Corners   []atlas.Spot  // on the chart, along unrolled, straight between; the last is the first, once round
	Stretches []LineStretch // the whole line in order, cut where the tissue changes
	LengthMM  float64       // on the endocardium
	EveryMM   float64       // along the line from stitch to stitch; 0: no bites

	course     *course
	population *atlas.Population // nil: no sample, or none that goes with what was measured
}

// A usual heart is drawn in under 3 ms, one with a stretched rim in about 40: what a check may take sets how many.
const (
	sampledHearts          = 100
	sampledStretchedHearts = 20
)

func (l *Laid) layLine(catalogue *atlas.Catalogue, problems *strictyaml.Problems) {
	if l.Plan.Line == nil {
		return
	}
	line := &LaidLine{Line: *l.Plan.Line}
	if !line.layCourse(l.Heart, problems) {
		return
	}
	line.Corners = line.course.corners
	line.Stretches = line.course.stretches(&line.Line, lineSagMM)
	line.LengthMM = lengthOf(line.Stretches)
	bites := line.layBites(problems)
	for i := range bites {
		*problems = append(*problems, bites[i].misfits(l.Heart)...)
		if slices.ContainsFunc(l.Plan.Bites, func(b Bite) bool { return b.Name == bites[i].Name }) {
			problems.Add(line.At, fmt.Sprintf("line: its stitches are called L1, L2 and so on, and a bite is called %q too", bites[i].Name), "a name no other bite has", "rename the bite")
		}
	}
	l.Bites = append(l.Bites, bites...)
	line.drawSample(l.Plan, catalogue)
	l.Line = line
}

// layCourse resolves the line; false where it makes no line on this heart.
func (l *LaidLine) layCourse(heart *atlas.Heart, problems *strictyaml.Problems) bool {
	before := len(*problems)
	leaflet, wall := tissueReach(heart)
	for i, w := range l.Through {
		if w.Around != "" {
			if _, there := heart.Zone(atlas.Ostium); !there {
				problems.Add(w.At, l.named(i)+" leads round the nodal triangle by the lip of the ostium, which this heart does not have", "places of this heart", "name the places one by one")
			}
			continue
		}
		checkPlace(l.named(i), w.Place, heart, problems)
		if off := w.Place.OffMM; off > wall || off < -leaflet {
			problems.Add(w.At, fmt.Sprintf("%s lies %.1f mm off the hinge, outside this heart's wall and leaflet", l.named(i), off), fmt.Sprintf("%.1f to %.1f mm off the hinge", -leaflet, wall), "correct `off`")
		}
	}
	if len(*problems) > before {
		return false
	}
	c, _ := l.courseOn(heart)
	l.course = &c
	l.checkCourse(leaflet, wall, problems)
	return len(*problems) == before
}

// checkCourse notes what keeps a resolved line from being one round this valve.
func (l *LaidLine) checkCourse(leafletMM, wallMM float64, problems *strictyaml.Problems) {
	c := l.course
	for _, i := range c.shortcuts() {
		problems.Add(l.At, fmt.Sprintf("line: %s neither way round the rim is the shorter", c.between(i)), "places less than half the rim apart", "name a place between the two")
	}
	if turns := c.turns(); turns != 1 {
		problems.Add(l.At, fmt.Sprintf("line: it goes round the rim %d times, by the shorter way from each place to the next and back to the first", turns), "once round", "name the places in their order clockwise, each less than half the rim from the one before")
		return
	}
	for i, s := range c.corners {
		if around := l.Through[c.place[i]].Around != ""; around && (s.OffMM > wallMM || s.OffMM < -leafletMM) {
			problems.Add(l.Through[c.place[i]].At, fmt.Sprintf("%s leads %.1f mm off the hinge, outside this heart's wall and leaflet", l.named(c.place[i]), s.OffMM), fmt.Sprintf("%.1f to %.1f mm off the hinge", -leafletMM, wallMM), "lessen from-lip, or name the places one by one")
			break
		}
	}
	if at, folded := c.folds(); folded {
		problems.Add(l.At, fmt.Sprintf("line: it runs %.1f mm onto the leaflet (%s), so near the middle of the orifice that places of the leaflet fall together", -at.OffMM, c.where(at)), "a line nearer the hinge", "lessen `off` there")
	}
}

// drawSample sets up the hearts the line will be laid on again.
func (l *LaidLine) drawSample(plan Plan, catalogue *atlas.Catalogue) {
	if l.Sample.Hearts == unsaidHearts {
		l.Sample.Hearts = sampledHearts
		if plan.Stretch != "" {
			l.Sample.Hearts = sampledStretchedHearts
		}
	}
	if l.Sample.Hearts == 0 {
		return
	}
	patient := plan.patient()
	if problems := plan.fitContour(&patient); len(problems) > 0 {
		return
	}
	if population, err := catalogue.Population(patient, l.Sample.Seed); err == nil {
		l.population = population
	}
}

// flatLeg is a leg with its along stretched to mm of tissue about a place, and brought to the turn nearest it.
func flatLeg(heart *atlas.Heart, l leg, middleMM, spread float64) leg {
	middle := l.at(0.5).AlongMM
	l = l.shifted(middleMM + shorterWay(heart.Rim, middleMM, middle) - middle)
	l.from.AlongMM, l.to.AlongMM = l.from.AlongMM*spread, l.to.AlongMM*spread
	return l
}

// tissueDistance is how far a spot lies from the course on the surface, mm of tissue, in the proportions the tissue
// has at the spot.
func (c *course) tissueDistance(s atlas.Spot) float64 {
	spread, best := c.heart.Chart.Spread(s), math.Inf(1)
	at := shifted(s, s.AlongMM*spread-s.AlongMM, 0)
	for _, l := range c.legs {
		d, _ := flatLeg(c.heart, l, s.AlongMM, spread).flat().DistancePoint(leg{at, at}.flat().A)
		best = min(best, d)
	}
	return best
}
