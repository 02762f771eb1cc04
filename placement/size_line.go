package placement

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"fairlead/atlas"
	"fairlead/atlas/growth"
	"fairlead/atlas/strictyaml"
)

// BiteLine is where bites go: from just past the anteroseptal commissure clockwise over the free wall, ending short of
// the nodal triangle. A device is held from the middle of its first bite to that of its last; a purse-string is two
// runs, tied each by itself, from where the needle first goes in to where it last comes out.
type BiteLine struct {
	TravelMM float64 // of a bite
	Parts    []HeldPart
}

// HeldPart is a stretch of the rim that bites hold, and how many spaces they leave between them; 0 before it is parted.
type HeldPart struct {
	Segment       string // that gives up what is taken from here; septal: nothing is
	FromMM, ForMM float64
	Spaces        int
}

// HeldMM is how much of a segment the bites hold.
func (l BiteLine) HeldMM(segment string) (sum float64) {
	for _, p := range l.Parts {
		if p.Segment == segment {
			sum += p.ForMM
		}
	}
	return sum
}

// gathers are the stretches of the rim that are drawn together when each segment gives what it is to give.
func (l BiteLine) gathers(take growth.Segments) (gathers []atlas.Gather) {
	for _, p := range l.Parts {
		if p.Segment != Septal {
			gathers = append(gathers, atlas.Gather{FromMM: p.FromMM, ForMM: p.ForMM, ToMM: p.ForMM - p.takes(take)})
		}
	}
	return gathers
}

// takes is what the part gives up.
func (p HeldPart) takes(take growth.Segments) float64 {
	switch p.Segment {
	case Anterior:
		return take.Anterior
	case Posterior:
		return take.Posterior
	}
	return 0
}

// biteSize is how large the bites of a heart are, mm, and how much rim lies between them.
type biteSize struct{ travelMM, gapMM, leastGapMM float64 }

// sizeOfBites goes with the expected rim: smaller hearts have smaller bites. The gap keeps to the plan's spacing.
func (s *sizer) sizeOfBites() biteSize {
	rim, _ := s.Laid.Heart.Value("rim-length")
	scale, plan := rim.Expected/rim.Value, s.Laid.Plan
	b := biteSize{
		travelMM:   max(2, math.Round(2*scale*s.figures["bite-travel"].Value)/2),
		leastGapMM: plan.Spacing.MinMM + max(plan.Needle.NeedleMM, plan.Needle.ThreadMM),
	}
	b.gapMM = min(max(scale*s.figures["bite-gap"].Value, b.leastGapMM), max(plan.Spacing.MaxMM, b.leastGapMM))
	return b
}

// holdLine lays the line of bites, not yet parted among them.
func (s *sizer) holdLine() (BiteLine, error) {
	first, found := s.firstBite()
	if !found {
		return BiteLine{}, fmt.Errorf("no first bite is clear between %g and %g mm past the anteroseptal commissure on the anterior segment: place the bites by hand and look with `fairlead check`",
			s.figures["start-least"].Value, s.figures["start-most"].Value)
	}
	segments := s.Laid.Heart.Segments()
	from, border, commissure := first.middleMM(), segments[1].FromMM, segments[2].FromMM
	short := s.reachMM(from, commissure-markMM-s.size.travelMM/2) // rounded to a mark a bite still does not pass the commissure
	if short <= border {
		return BiteLine{}, fmt.Errorf("bites past the anteroseptal commissure run into the conduction axis %.1f mm along the anterior segment: place them by hand and look with `fairlead check`", short)
	}
	if s.Form == PurseString {
		return BiteLine{s.size.travelMM, s.runs(first, border, short)}, nil
	}
	return BiteLine{s.size.travelMM, s.deviceParts(from, border, short, commissure)}, nil
}

// deviceParts are what a device holds whose first bite has its middle at a place: up to the anteroposterior commissure,
// up to the posteroseptal one, and, where there is room for a clear bite past it, on to that. A bite lies on each border;
// the one on the second gives way to the last, and lies short of it where the axis does not let the line go on.
func (s *sizer) deviceParts(fromMM, borderMM, shortMM, commissureMM float64) []HeldPart {
	last, found := s.lastBite(shortMM, commissureMM)
	if !found {
		return []HeldPart{{Anterior, fromMM, borderMM - fromMM, 0}, {Posterior, borderMM, shortMM - borderMM, 0}}
	}
	lastMM := last.middleMM()
	end := min(commissureMM-markMM, lastMM-s.size.travelMM-s.size.gapMM)
	return []HeldPart{{Anterior, fromMM, borderMM - fromMM, 0}, {Posterior, borderMM, end - borderMM, 0}, {Septal, end, lastMM - end, 1}}
}

// runs are the two runs of a purse-string after its first bite, on either side of the anteroposterior commissure. The
// last bite has its middle at shortMM.
func (s *sizer) runs(first BiteReport, borderMM, shortMM float64) []HeldPart {
	in, until, from, end := first.Passes[0].In.AlongMM, borderMM-s.size.gapMM/2, borderMM+s.size.gapMM/2, shortMM+s.size.travelMM/2
	return []HeldPart{{Anterior, in, until - in, 0}, {Posterior, from, end - from, 0}}
}

// reachMM is how far bites can be set one after another from a middle clockwise, at most to another, before one lies over
// the conduction axis: in a malformed heart it may run under the free wall.
func (s *sizer) reachMM(fromMM, toMM float64) float64 {
	for at := fromMM; at < toMM; at += stepMM {
		if s.clearest(s.single("one"), at-s.size.travelMM/2).overAxis() {
			return at - stepMM
		}
	}
	return toMM
}

// overAxis tells whether a bite is to be avoided for anything but the vessels beside the rim.
func (r BiteReport) overAxis() bool {
	return slices.ContainsFunc(r.Reasons, func(reason Reason) bool {
		return reason.Level == Avoid && reason.Rule != "coronary-artery" && reason.Rule != "aortic-root"
	})
}

// middleMM is the middle of what the bite takes of the rim.
func (r BiteReport) middleMM() float64 {
	low, high := alongRange(r.Passes)
	return (low + high) / 2
}

// stepMM is how finely places for bites are tried.
const stepMM = 0.5

// firstBite is the bite nearest to the anteroseptal commissure, on the anterior segment, of which no rule has anything to
// say.
func (s *sizer) firstBite() (BiteReport, bool) {
	least, most := s.figures["start-least"].Value, s.figures["start-most"].Value
	for by := least; by <= most; by += stepMM {
		if bite := s.clearest(s.single("one"), by); len(bite.Reasons) == 0 {
			return bite, true
		}
	}
	return BiteReport{}, false
}

// lastBite is the last bite that comes out short of the nodal triangle and goes in past the posteroseptal commissure, of
// which no rule has anything to say. There is none where the axis keeps the line from getting there.
func (s *sizer) lastBite(shortMM, commissureMM float64) (last BiteReport, found bool) {
	rim := s.Laid.Heart.Rim
	base := commissureMM + rim.Span(commissureMM, s.Laid.Heart.Triangle.Hinge.AlongMM)
	latest := base - s.Laid.Plan.Margins.ConductionMM - s.figures["end-before-triangle"].Value - s.size.travelMM
	for in := shortMM; in <= latest; in += stepMM {
		bite := s.clearest(s.single("one"), in)
		if bite.overAxis() || shortMM < commissureMM-s.size.travelMM {
			break
		}
		if in >= commissureMM && len(bite.Reasons) == 0 {
			last, found = bite, true
		}
	}
	return last, found
}

// parted is the line with its free wall parted among bites: as many as asked for, or as their travel and the gap
// between them say, so that they lie beside each other on the device too once so much is taken.
func (s *sizer) parted(take growth.Segments) (BiteLine, error) {
	line := BiteLine{s.Held.TravelMM, slices.Clone(s.Held.Parts)}
	anterior, posterior := &line.Parts[0], &line.Parts[1]
	mostAnterior, mostPosterior := s.spacesAtMost(*anterior), s.spacesAtMost(*posterior)
	if mostAnterior < 1 || mostPosterior < 1 {
		return line, fmt.Errorf("bites of %g mm, %.1f mm apart, do not fit on the %.1f mm of anterior and %.1f mm of posterior segment there are for them: lessen `spacing: least`",
			line.TravelMM, s.size.leastGapMM, anterior.ForMM, posterior.ForMM)
	}
	if s.bites == 0 {
		anterior.Spaces, posterior.Spaces = s.spacesUsual(*anterior, take), s.spacesUsual(*posterior, take)
		return line, nil
	}
	others := 1 // bites that end no space of the free wall: the first of a line or of each run, and one on the septum
	if s.Form == PurseString || len(line.Parts) > 2 {
		others = 2
	}
	free := s.bites - others
	if free > mostAnterior+mostPosterior {
		return line, fmt.Errorf("%d bites of %g mm, %.1f mm apart, do not fit on %.1f mm of free wall: ask for at most %d",
			s.bites, line.TravelMM, s.size.leastGapMM, anterior.ForMM+posterior.ForMM, mostAnterior+mostPosterior+others)
	}
	share := int(math.Round(float64(free) * anterior.ForMM / (anterior.ForMM + posterior.ForMM)))
	anterior.Spaces = min(max(share, 1, free-mostPosterior), mostAnterior, free-1)
	posterior.Spaces = free - anterior.Spaces
	return line, nil
}

// spareMM is how much of a part is not spaces: a run ends with a bite of its own.
func (s *sizer) spareMM() float64 {
	if s.Form == PurseString {
		return s.size.travelMM
	}
	return 0
}

func (s *sizer) spacesAtMost(p HeldPart) int {
	return int((p.ForMM - s.spareMM() + rounding) / (s.size.travelMM + s.size.leastGapMM))
}

// spacesUsual is how many spaces a part is given: neighbours as far apart as is usual, farther where they would come to
// lie on one another on the device, but no farther than the plan allows.
func (s *sizer) spacesUsual(p HeldPart, take growth.Segments) int {
	mm, travel := p.ForMM-s.spareMM(), s.size.travelMM
	spaces := math.Round(mm / (travel + s.size.gapMM))
	if s.Form != PurseString {
		spaces = min(spaces, math.Floor((mm-p.takes(take))/(bentBite*travel+markMM)))
	}
	spaces = max(spaces, math.Ceil(mm/(travel+max(s.Laid.Plan.Spacing.MaxMM, s.size.leastGapMM))))
	return min(max(int(spaces), 1), s.spacesAtMost(p))
}

// bentBite is how much more of the rim than its travel a bite may take, where the rim is bent and the bite lies below it.
const bentBite = 1.1

// markMM is how finely a plan says a length, and a device is marked.
const markMM = 0.1

// single is a bite of a device, its place still open.
func (s *sizer) single(name string) Bite {
	return Bite{Name: name, Kind: Single, TravelMM: s.size.travelMM}
}

// centred is a single bite with its middle at a place, to a mark. Off the hinge a bite takes a little more or less of
// the rim than it travels.
func (s *sizer) centred(name string, middleMM float64) BiteReport {
	bite := s.clearest(s.single(name), middleMM-s.size.travelMM/2)
	low, high := alongRange(bite.Passes)
	return s.clearest(s.single(name), middleMM-(high-low)/2)
}

// clearest gives a bite that goes in at a place the height and depth at which it is clear, or comes nearest to it.
func (s *sizer) clearest(bite Bite, inMM float64) (best BiteReport) {
	bite.Tissue, bite.Heading, bite.Pledget = Rim, Heading{0}, NoPledget
	for i, try := range s.tries() {
		bite.In, bite.DepthMM = s.placeOf(inMM, try.offMM), try.depthMM
		report := s.judged(bite)
		if i == 0 || report.Verdict < best.Verdict || report.Verdict == best.Verdict && report.Nearest.MM > best.Nearest.MM {
			best = report
		}
		if best.Verdict == Clear {
			break
		}
	}
	return best
}

// judged lays a bite and judges it by itself, without advice. One that cannot be sewn is to be avoided.
func (s *sizer) judged(bite Bite) BiteReport {
	var problems strictyaml.Problems
	laid := layBite(bite, s.Laid.Heart, &problems)
	report := BiteReport{LaidBite: laid, Verdict: Avoid, Nearest: Clearance{MM: math.Inf(-1)}}
	if len(problems) > 0 {
		report.Reasons = []Reason{{Level: Avoid}}
		return report
	}
	clearances := s.examiner.measure(laid.Passes)
	report.Nearest = slices.MinFunc(clearances, func(a, b Clearance) int { return cmp.Compare(a.MM, b.MM) })
	report.Reasons = s.examiner.judge(&laid, clearances)
	report.Verdict = worst(report.Reasons)
	return report
}

// tries are the heights and depths a bite may have, the usual first.
func (s *sizer) tries() (tries []struct{ offMM, depthMM float64 }) {
	usual, least := s.figures["bite-depth"].Value, s.examiner.rules.Rule("hold").Figures["tissue"]
	for _, depth := range []float64{usual, math.Round(10*(usual+least)/2) / 10, least} {
		for _, off := range []float64{0.5, 0, -0.5} {
			tries = append(tries, struct{ offMM, depthMM float64 }{off, depth})
		}
	}
	return tries
}

// placeOf says a place of the rim from the commissure nearer to it on its segment, to a tenth of a millimetre.
func (s *sizer) placeOf(alongMM, offMM float64) Place {
	segment := s.Laid.Heart.SegmentAt(alongMM)
	ends := map[string][2]string{
		Anterior:  {AnteroseptalCommissure, AnteroposteriorCommissure},
		Posterior: {AnteroposteriorCommissure, PosteroseptalCommissure},
		Septal:    {PosteroseptalCommissure, AnteroseptalCommissure},
	}[segment.Name]
	past := s.Laid.Heart.Rim.Span(segment.FromMM, alongMM)
	p := Place{Way: FromLandmark, From: ends[0], Toward: segment.Name, ByMM: tenth(past), OffMM: offMM}
	if past > segment.ForMM/2 {
		p.From, p.ByMM = ends[1], tenth(segment.ForMM-past)
	}
	return p
}

// tenth rounds a length to what a plan and a device are marked in, tenthUp so that it does not get less.
func tenth(mm float64) float64 { return math.Round(10*mm) / 10 }

func tenthUp(mm float64) float64 { return math.Ceil(10*mm-rounding) / 10 }

// plain says a length as a plan does, without a needless nought.
func plain(mm float64) string { return strconv.FormatFloat(mm, 'f', -1, 64) }
