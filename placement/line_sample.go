package placement

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// SampleReport is what becomes of the line on hearts like this one: the same words, resolved on each.
type SampleReport struct {
	Asked, Hearts int // how many were asked for, and how many could be drawn
	Seed          uint64
	Unsewable     int // the line does not go round once without meeting itself, leaves wall or leaflet, or lacks a landmark
	OstiumWrong   int // the ostium is cut or lies on the other side than declared
	AxisWrong     int // something of node or bundle is not taken in, where the line says it takes them in
	AxisNear      int // the line comes nearer to the conduction axis than the margin
	AxisAtRisk    int // either of the two
	ArteryNear    int // the line comes nearer to the artery of the node than the same margin
	Wrong         int // any of the above
	LittleRoom    int // lip and axis lie so near each other that no line between them keeps both margins
	Distances     []SampleDistance
	WhyNone       words.Said // why there are no hearts where some were asked for
}

// SampleDistance is a distance over the hearts of a sample, mm, less the half width of needle or thread.
type SampleDistance struct {
	ID       string
	Label    words.Said
	LeastMM  float64
	FifthMM  float64 // the fifth percentile: of n values in order, the one at 0.05·n, rounded up
	MedianMM float64
	MarginMM float64 // to keep
	Under    int     // in how many hearts it is less than the margin
	Hearts   int     // in how many it could be measured
}

// sampled is one heart of a sample.
type sampled struct {
	drawn, sewable         bool
	ostiumRight, axisRight bool
	littleRoom             bool
	mm                     [len(sampledKinds)]float64 // +Inf: the heart has no such thing
}

// sampledKinds are the distances told of a sample, in their order.
var sampledKinds = [...]struct {
	id     string
	is     func(atlas.Structure) bool
	margin func(Margins) float64
}{
	{"conduction", func(s atlas.Structure) bool { return s.Kind == atlas.Conduction }, func(m Margins) float64 { return m.ConductionMM }},
	{"nodal-artery", func(s atlas.Structure) bool { return s.Kind == atlas.NodalArtery }, func(m Margins) float64 { return m.ConductionMM }},
	{"right-coronary", func(s atlas.Structure) bool { return s.Kind == atlas.Coronary }, func(m Margins) float64 { return m.CoronaryMM }},
	{"aortic-root", func(s atlas.Structure) bool { return s.Kind == atlas.Aorta }, func(m Margins) float64 { return m.AortaMM }},
	{"ostium-lip", func(atlas.Structure) bool { return false }, func(m Margins) float64 { return m.OstiumMM }},
}

const (
	axisKind   = 0
	arteryKind = 1
	lipKind    = len(sampledKinds) - 1
)

// sample lays the line on every heart of its population, on all cores; each heart has its own place in the result.
func (l *LaidLine) sample(plan Plan) *SampleReport {
	report := &SampleReport{Asked: l.Sample.Hearts, Seed: l.Sample.Seed}
	if l.population == nil {
		report.WhyNone = words.Of("no-hearts.contradicting")
		return report
	}
	hearts := make([]sampled, l.Sample.Hearts)
	var work sync.WaitGroup
	next := make(chan int)
	for range max(runtime.GOMAXPROCS(0), 1) {
		work.Go(func() {
			for i := range next {
				if heart, err := l.population.Heart(i); err == nil {
					hearts[i] = l.on(heart, plan)
				}
			}
		})
	}
	for i := range hearts {
		next <- i
	}
	close(next)
	work.Wait()
	report.sum(hearts, plan.Margins)
	if report.Hearts == 0 {
		report.WhyNone = words.Of("no-hearts.hardly-any")
	}
	return report
}

// on lays the line on another heart, and measures it there.
func (l *LaidLine) on(heart *atlas.Heart, plan Plan) sampled {
	found := sampled{drawn: true}
	for i := range found.mm {
		found.mm[i] = math.Inf(1)
	}
	c, resolved := l.courseOn(heart)
	if !resolved || !c.sewable() {
		return found
	}
	found.sewable, found.ostiumRight, found.axisRight = true, true, true
	halfWidth := plan.Needle.halfWidth()
	var obstacles []obstacle
	for _, s := range heart.Structures {
		obstacles = append(obstacles, newObstacle(s))
	}
	thickness, _ := heart.Value("leaflet-thickness")
	for _, d := range lineDistances(c.stretches(&l.Line, sampleSagMM), obstacles, thickness.Here, halfWidth) {
		for i, kind := range sampledKinds {
			if kind.is(d.structure) && !(d.LeafletOnly && isConduction(d.structure)) {
				found.mm[i] = min(found.mm[i], d.MM())
			}
		}
	}
	if zone, there := heart.Zone(atlas.Ostium); there {
		lip, _ := c.lipDistance(newFlatZone(heart, zone))
		found.mm[lipKind] = lip - halfWidth
		found.ostiumRight = l.keepsOstium(c.sideOfLip(zone))
		room, _ := roomBetween(heart, zone)
		found.littleRoom = l.between() && room < roomWanted(plan)
	}
	for _, s := range heart.Structures {
		if l.TakesIn != "" && takenIn(s) && !c.takesIn(s.Solid) {
			found.axisRight = false
		}
	}
	return found
}

// sewable tells whether a course goes round once, without meeting itself, on tissue that can be told apart.
func (c *course) sewable() bool {
	if c.turns() != 1 {
		return false
	}
	leaflet, wall := tissueReach(c.heart)
	for _, s := range c.corners {
		if s.OffMM > wall || s.OffMM < -leaflet {
			return false
		}
	}
	_, meets := c.meetsSelf()
	_, folded := c.folds()
	return !meets && !folded
}

// between tells whether the line is to run between the ostium and the axis.
func (l *Line) between() bool { return l.TakesIn != "" && l.Ostium == AtrialSide }

// takenIn tells whether a structure is to lie whole on the ventricular side where the line takes the triangle in: node
// and bundle are; the inferior extensions, which reach toward the ostium, are told apart.
func takenIn(s atlas.Structure) bool { return s.Kind == atlas.Conduction && !isExtension(s) }

func isExtension(s atlas.Structure) bool {
	return s.ID == "right-extension" || s.ID == "left-extension"
}

// keepsOstium tells whether the whole ostium lies on the declared side.
func (l *Line) keepsOstium(lip LineSide) bool {
	if l.Ostium == VentricularSide {
		return lip.AtrialMM == 0
	}
	return lip.VentricularMM == 0
}

// roomBetween is the smallest distance from the lip of the ostium to the conduction axis, straight through the tissue,
// and what of the axis it is.
func roomBetween(heart *atlas.Heart, zone atlas.Zone) (mm float64, to atlas.Structure) {
	mm = math.Inf(1)
	for _, p := range zone.Outline {
		lip := heart.Chart.Frame(atlas.Spot{AlongMM: p.X, OffMM: p.Y})
		for _, s := range heart.Structures {
			if s.Kind != atlas.Conduction {
				continue
			}
			if d := s.Solid.Distance(lip); d < mm {
				mm, to = d, s
			}
		}
	}
	return mm, to
}

// roomWanted is what a line between lip and axis needs: both margins and the needle's width.
func roomWanted(plan Plan) float64 {
	return plan.Margins.OstiumMM + plan.Margins.ConductionMM + 2*plan.Needle.halfWidth()
}

// sum counts the hearts of a sample.
func (r *SampleReport) sum(hearts []sampled, margins Margins) {
	var values [len(sampledKinds)][]float64
	for _, h := range hearts {
		if !h.drawn {
			continue
		}
		r.Hearts++
		if !h.sewable {
			r.Unsewable++
			r.Wrong++
			continue
		}
		near, artery := h.mm[axisKind] < margins.ConductionMM, h.mm[arteryKind] < margins.ConductionMM
		count(&r.OstiumWrong, !h.ostiumRight)
		count(&r.AxisWrong, !h.axisRight)
		count(&r.AxisNear, near)
		count(&r.AxisAtRisk, near || !h.axisRight)
		count(&r.ArteryNear, artery)
		count(&r.Wrong, near || artery || !h.axisRight || !h.ostiumRight)
		count(&r.LittleRoom, h.littleRoom)
		for i, mm := range h.mm {
			if !math.IsInf(mm, 1) {
				values[i] = append(values[i], mm)
			}
		}
	}
	for i, kind := range sampledKinds {
		if len(values[i]) > 0 {
			r.Distances = append(r.Distances, distanceOver(values[i], kind.id, kind.margin(margins)))
		}
	}
}

func count(n *int, when bool) {
	if when {
		*n++
	}
}

func distanceOver(values []float64, id string, margin float64) SampleDistance {
	slices.Sort(values)
	at := func(share float64) float64 {
		return values[max(int(math.Ceil(share*float64(len(values))-rounding))-1, 0)]
	}
	d := SampleDistance{ID: id, Label: words.Of("sampled." + id), LeastMM: values[0], FifthMM: at(0.05), MedianMM: at(0.5), MarginMM: margin, Hearts: len(values)}
	for _, mm := range values {
		count(&d.Under, mm < margin)
	}
	return d
}
