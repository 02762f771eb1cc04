package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// Report is the plan, measured and judged.
type Report struct {
	Laid    *Laid
	Rules   *Rulebook
	Verdict Level
	Bites   []BiteReport
}

// BiteReport is one bite, measured and judged.
type BiteReport struct {
	LaidBite
	Verdict    Level
	Where      string      // its place in words
	Clearances []Clearance // to each structure of the heart
	Nearest    Clearance   // the smallest of them
	Reasons    []Reason
}

// examiner holds what every examination shares.
type examiner struct {
	plan  Plan
	heart *atlas.Heart
	rules *Rulebook
	zones map[atlas.ZoneID]flatZone
	moves []move
}

// flatZone is a zone's outline with its along stretched to mm of tissue, so that distances to it are distances on
// the wall.
type flatZone struct {
	heart   *atlas.Heart
	spread  float64
	outline geom.Outline
}

// depth is how near a pass comes to the zone, mm of tissue; negative: how far in. The pass is brought to the turn the
// zones lie in as a whole.
func (z flatZone) depth(p Pass) float64 {
	in := z.heart.Unroll(p.In.AlongMM)
	out := in + p.Out.AlongMM - p.In.AlongMM
	return z.outline.DepthOfPath([]geom.Point{{X: in * z.spread, Y: p.In.OffMM}, {X: out * z.spread, Y: p.Out.OffMM}})
}

func newExaminer(laid *Laid, rules *Rulebook) *examiner {
	e := &examiner{plan: laid.Plan, heart: laid.Heart, rules: rules, zones: map[atlas.ZoneID]flatZone{}, moves: moves()}
	for _, zone := range laid.Heart.Zones {
		centre := zone.Outline.Centroid()
		flat := flatZone{heart: laid.Heart, spread: laid.Heart.Chart.Spread(atlas.Spot{AlongMM: centre.X, OffMM: centre.Y})}
		for _, p := range zone.Outline {
			flat.outline = append(flat.outline, geom.Point{X: p.X * flat.spread, Y: p.Y})
		}
		e.zones[zone.ID] = flat
	}
	return e
}

// Check measures and judges every bite.
func Check(laid *Laid, rules *Rulebook) *Report {
	report := &Report{Laid: laid, Rules: rules}
	e := newExaminer(laid, rules)
	for i := range laid.Bites {
		bite := e.report(&laid.Bites[i])
		report.Bites = append(report.Bites, bite)
	}
	e.judgeSpacing(report.Bites)
	for i := range report.Bites {
		bite := &report.Bites[i]
		for _, r := range bite.Reasons {
			bite.Verdict = max(bite.Verdict, r.Level)
		}
		report.Verdict = max(report.Verdict, bite.Verdict)
	}
	return report
}

func (e *examiner) report(bite *LaidBite) BiteReport {
	r := BiteReport{LaidBite: *bite, Where: inWords(bite.Passes[0].In, e.heart), Clearances: e.measure(bite)}
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

// measure finds the clearance of a bite to each structure.
func (e *examiner) measure(bite *LaidBite) []Clearance {
	clearances := make([]Clearance, len(e.heart.Structures))
	for i, s := range e.heart.Structures {
		best, at := math.Inf(1), geom.Vec{}
		for _, pass := range bite.Passes {
			if d, where := geom.PathDistance(pass.Path, s.Solid, best); d < best {
				best, at = d, where
			}
		}
		clearances[i] = Clearance{Structure: s.ID, Label: s.Label, MM: best - e.halfWidth(), At: at}
	}
	return clearances
}

func (e *examiner) judge(bite *LaidBite, clearances []Clearance) (reasons []Reason) {
	under := &examined{examiner: e, bite: bite, clearances: clearances}
	for _, j := range judges {
		level, text := j.judge(under)
		if text != "" {
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

// inWords says where a bite goes in, as a surgeon would.
func inWords(s atlas.Spot, heart *atlas.Heart) string {
	segment := heart.SegmentAt(s.AlongMM)
	past := heart.Rim.Span(segment.FromMM, s.AlongMM)
	place := fmt.Sprintf("%s segment, %.1f of %.1f mm clockwise", segment.Name, past, segment.ForMM)
	switch {
	case s.OffMM > 0.05:
		return place + fmt.Sprintf(", %.1f mm up the wall", s.OffMM)
	case s.OffMM < -0.05:
		return place + fmt.Sprintf(", %.1f mm onto the leaflet", -s.OffMM)
	default:
		return place + ", on the hinge"
	}
}
