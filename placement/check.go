package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// Report is the plan, measured and judged.
type Report struct {
	Laid    *Laid
	Rules   *Rulebook
	Verdict Level
	Bites   []BiteReport
	Outcome *Outcome    // what the repair makes of the valve; nil: none planned
	Line    *LineReport // nil: no suture line
	Patches []PatchReport
}

// BiteReport is one bite, measured and judged.
type BiteReport struct {
	LaidBite
	Verdict    Level
	Where      words.Said  // its place in words
	Clearances []Clearance // to each structure of the heart
	Nearest    Clearance   // the smallest of them
	Reasons    []Reason
}

// examiner holds what every examination shares.
type examiner struct {
	plan        Plan
	heart       *atlas.Heart
	rules       *Rulebook
	zones       map[atlas.ZoneID]flatZone
	obstacles   []obstacle
	thicknessMM float64 // of a leaflet
	leafletMM   float64 // how far the leaflet reaches from the hinge
	wallMM      float64 // how far the wall does
	moves       []move
}

func newExaminer(laid *Laid, rules *Rulebook) *examiner {
	e := &examiner{plan: laid.Plan, heart: laid.Heart, rules: rules, zones: map[atlas.ZoneID]flatZone{}}
	for _, zone := range laid.Heart.Zones {
		e.zones[zone.ID] = newFlatZone(laid.Heart, zone)
	}
	for _, s := range laid.Heart.Structures {
		e.obstacles = append(e.obstacles, newObstacle(s))
	}
	thickness, _ := laid.Heart.Value("leaflet-thickness")
	e.thicknessMM = thickness.Here
	e.leafletMM, e.wallMM = tissueReach(laid.Heart)
	return e
}

// Check measures and judges every bite, and what the stitches do together.
func Check(laid *Laid, rules *Rulebook) *Report {
	report := &Report{Laid: laid, Rules: rules}
	e := newExaminer(laid, rules)
	for i := range laid.Bites {
		report.Bites = append(report.Bites, e.report(&laid.Bites[i]))
	}
	e.judgeSpacing(report.Bites)
	for i := range report.Bites {
		bite := &report.Bites[i]
		bite.Verdict = worst(bite.Reasons)
		report.Verdict = max(report.Verdict, bite.Verdict)
	}
	report.judgeLine(e)
	report.judgeRepair(e)
	report.judgePatches(e)
	return report
}

func (e *examiner) report(bite *LaidBite) BiteReport {
	r := BiteReport{LaidBite: *bite, Where: inWords(bite.Passes[0].In, e.heart), Clearances: e.measure(bite.Passes)}
	r.Nearest = r.Clearances[0]
	for _, c := range r.Clearances {
		if c.MM < r.Nearest.MM {
			r.Nearest = c
		}
	}
	r.Reasons = e.judge(bite, r.Clearances)
	if worst(r.Reasons) > Clear {
		e.advise(bite, r.Reasons)
	}
	return r
}

// measure finds the clearance of a bite's passes to each structure.
func (e *examiner) measure(passes []Pass) []Clearance {
	clearances := make([]Clearance, len(e.obstacles))
	for i, t := range e.obstacles {
		c := Clearance{Structure: t.ID, Label: t.Label, MM: math.Inf(1)}
		for _, pass := range passes {
			if d, where := t.nearest(pass.Path, c.MM); d < c.MM {
				c.MM, c.At = d, where
			}
		}
		c.MM -= e.halfWidth()
		clearances[i] = c
	}
	return clearances
}

func (e *examiner) judge(bite *LaidBite, clearances []Clearance) (reasons []Reason) {
	under := &examined{examiner: e, bite: bite, clearances: clearances}
	for _, j := range judges {
		level, text := j.judge(under)
		if !text.IsZero() {
			reasons = append(reasons, Reason{Rule: j.id, Level: level, Basis: e.rules.Rule(j.id).Basis(), Text: text})
		}
	}
	return reasons
}

func worst(reasons []Reason) (level Level) {
	for _, r := range reasons {
		level = max(level, r.Level)
	}
	return level
}

// onHingeMM is how near the hinge words call a place on it.
const onHingeMM = 0.05

// inWords says where a bite goes in, as a surgeon would.
func inWords(s atlas.Spot, heart *atlas.Heart) words.Said {
	segment := heart.SegmentAt(s.AlongMM)
	at, length := words.Fixed(heart.Rim.Span(segment.FromMM, s.AlongMM), 1), words.Fixed(segment.ForMM, 1)
	switch {
	case s.OffMM > onHingeMM:
		return words.Of("place.wall", words.Blanks{"segment": segment.Said(), "at": at, "length": length, "off": words.Fixed(s.OffMM, 1)})
	case s.OffMM < -onHingeMM:
		return words.Of("place.leaflet", words.Blanks{"segment": segment.Said(), "at": at, "length": length, "off": words.Fixed(-s.OffMM, 1)})
	default:
		return words.Of("place.hinge", words.Blanks{"segment": segment.Said(), "at": at, "length": length})
	}
}
