package placement

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// lineRules are the rules that only a suture line is judged by.
var lineRules = []ruleCode{
	{id: "line-closed"}, {id: "line-ostium"}, {id: "line-takes-in"}, {id: "line-sample", figures: []string{"often"}},
	{id: "prosthesis-length", figures: []string{"longer", "shorter"}}, {id: "prosthesis-width", figures: []string{"wider"}},
	{id: "prosthesis-body", figures: []string{"wider"}}, {id: "prosthesis-size", figures: []string{"smallest", "largest"}},
}

// judgeLine measures and judges the plan's suture line.
func (r *Report) judgeLine(e *examiner) {
	if r.Laid.Line == nil {
		return
	}
	line := &examinedLine{e, e.examineLine(r.Laid.Line)}
	for _, judge := range []func(*examinedLine){
		(*examinedLine).closed, (*examinedLine).ostiumSide, (*examinedLine).lip, (*examinedLine).takesIn, (*examinedLine).triangle,
		(*examinedLine).ventricularSide, (*examinedLine).neighbours, (*examinedLine).gaps, (*examinedLine).hearts, (*examinedLine).prosthesis,
	} {
		judge(line)
	}
	line.Verdict = worst(line.Reasons)
	r.Line = line.LineReport
	r.Verdict = max(r.Verdict, line.Verdict)
}

// examinedLine is a line under examination.
type examinedLine struct {
	*examiner
	*LineReport
}

func (x *examinedLine) say(rule string, level Level, instead, text string, args ...any) {
	x.Reasons = append(x.Reasons, Reason{Rule: rule, Level: level, Basis: x.rules.Rule(rule).Basis(), Text: words.Text(fmt.Sprintf(text, args...)), Instead: words.Text(instead)})
}

func (x *examinedLine) closed() {
	if at, meets := x.course.meetsSelf(); meets {
		x.say("line-closed", Avoid, "name the places in their order clockwise", "meets itself (%s): it has no two sides there", x.course.where(at))
	}
}

// roundAbout is what to do with a line that goes wrong about the triangle.
const roundAbout = "leave the hinge before the base of the nodal triangle, run between the lip of the ostium and the node, cross the tendon line and come " +
	"down beyond the anteroseptal commissure (`around: nodal-triangle`)"

func (x *examinedLine) ostiumSide() {
	lip, there := x.side(string(atlas.Ostium))
	if !there {
		return
	}
	switch lies := lip.Lies(); {
	case lies == "both sides":
		cut := lip.VentricularMM
		if x.Ostium == VentricularSide {
			cut = lip.AtrialMM
		}
		x.say("line-ostium", Avoid, roundAbout, "runs across the coronary sinus ostium, which is to lie on the %s side: %s mm of it come to lie on the other", x.Ostium, atLeast(cut))
	case lies == "ventricular side" && x.Ostium == AtrialSide:
		x.say("line-ostium", Avoid, roundAbout+"; or choose `ostium: ventricular` and accept what that means", "leaves the coronary sinus ostium on the ventricular side, where coronary venous blood drains below the prosthesis; it is to lie on the atrial side")
	case lies == "atrial side" && x.Ostium == VentricularSide:
		x.say("line-ostium", Avoid, "lead the line outside the ostium, or say `ostium: atrial`", "leaves the coronary sinus ostium on the atrial side; it is to lie on the ventricular side")
	case x.Ostium == VentricularSide:
		x.say("line-ostium", Caution, "where there is room, run between the lip of the ostium and the node", "leaves the coronary sinus ostium on the ventricular side, as chosen: coronary venous blood drains below the prosthesis, and its return may be impeded")
	}
}

// lip judges how near the line comes to the lip of an ostium it does not cut.
func (x *examinedLine) lip() {
	if side, _ := x.side(string(atlas.Ostium)); x.Lip == nil || side.Lies() == "both sides" {
		return
	}
	margin := x.plan.Margins.OstiumMM
	switch {
	case x.Lip.MM < 0:
		x.say("ostium", Avoid, "keep farther from the lip", "comes so near the lip of the coronary sinus ostium (%s) that needles go through it", x.Lip.Where)
	case x.Lip.MM < margin:
		x.say("ostium", Caution, "keep farther from the lip", "comes within %s mm of the lip of the coronary sinus ostium (%s); keep %s mm", atMost(x.Lip.MM), x.Lip.Where, exact(margin))
	}
}

func (x *examinedLine) takesIn() {
	if x.TakesIn == "" {
		return
	}
	var left, near []string
	for _, side := range x.Sides {
		if side.structure.Kind != atlas.Conduction || side.AtrialMM == 0 {
			continue
		}
		what := fmt.Sprintf("%s mm of the %s", atLeast(side.AtrialMM), side.Label)
		if side.VentricularMM == 0 {
			what = "all of the " + side.Label.String()
		}
		if takenIn(side.structure) {
			left = append(left, what)
		} else {
			near = append(near, what)
		}
	}
	if len(left) > 0 {
		x.say("line-takes-in", Avoid, roundAbout, "leaves %s on the atrial side; it is to take in all of node and bundle", sentence(append(left, near...)))
	} else if len(near) > 0 {
		x.say("line-takes-in", Caution, "run nearer to the lip of the ostium", "takes in node and bundle, and leaves %s on the atrial side", sentence(near))
	}
}

// sentence joins words as a sentence does.
func sentence(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func (x *examinedLine) triangle() {
	apical := x.intoZone(atlas.ApicalHalf, nil)
	if depth := apical; depth < 0 {
		x.say("apical-half", Avoid, roundAbout, "runs %s mm inside the %s", atLeast(-depth), x.called(atlas.ApicalHalf))
	}
	if depth := x.intoZone(atlas.BasalHalf, nil); depth < 0 {
		instead := "keep off it, unless the line is to take in node and bundle"
		if x.TakesIn != "" && apical >= 0 {
			instead = "keep the needles shallow there and watch the rhythm; the ostium lies in the base of the triangle, so a line between it and the node must run here"
		}
		x.say("basal-half", Caution, instead, "runs %s mm inside the %s", atLeast(-depth), x.called(atlas.BasalHalf))
	}
}

// intoZone is how near the line comes to a zone on the surface, as far as it runs on stretches of a sort; negative: how
// far in.
func (x *examinedLine) intoZone(id atlas.ZoneID, sort func(*LineStretch) bool) float64 {
	depth := math.Inf(1)
	zone, there := x.zones[id]
	if !there {
		return depth
	}
	for i := range x.Stretches {
		s := &x.Stretches[i]
		if sort != nil && !sort(s) {
			continue
		}
		for j := 1; j < len(s.Spots); j++ {
			depth = min(depth, zone.depth(Pass{In: s.Spots[j-1], Out: s.Spots[j]}, 0))
		}
	}
	return depth
}

func (x *examinedLine) ventricularSide() {
	inLeaflet := func(s *LineStretch) bool { return s.leafletOnly(x.thicknessMM) }
	inTissue := func(s *LineStretch) bool { return !inLeaflet(s) }
	zone := x.called(atlas.VentricularSide)
	if depth := x.intoZone(atlas.VentricularSide, inTissue); depth < 0 {
		x.say("ventricular-side", Avoid, "take leaflet alone there, or keep above the hinge", "reaches %s mm into the %s, where the bundle runs", atLeast(-depth), zone)
	} else if x.intoZone(atlas.VentricularSide, inLeaflet) < 0 {
		x.say("ventricular-side", Caution, "support the stitches there", "takes leaflet alone on the %s: clear of the bundle, but the tissue is fragile", zone)
	}
}

// neighbours judges the distances to the structures by the rules for bites.
func (x *examinedLine) neighbours() {
	for _, rule := range []struct {
		id   string
		sort func(atlas.Structure) bool
	}{
		{"conduction-margin", isConduction},
		{"coronary-artery", func(s atlas.Structure) bool { return s.Kind == atlas.Coronary }},
		{"aortic-root", func(s atlas.Structure) bool { return s.Kind == atlas.Aorta }},
	} {
		if level, d := x.nearestOf(rule.sort); level > Clear {
			margin, _ := x.keep(d.structure)
			text, instead := fmt.Sprintf("keep %s mm", exact(margin)), "move the line away from it there, or stitch shallower"
			if level == Caution {
				text = fmt.Sprintf("little more than the %s mm to keep", exact(margin))
				if rule.id == "conduction-margin" {
					text = fmt.Sprintf("within the atlas's own uncertainty of the %s mm to keep", exact(margin))
				}
			}
			x.say(rule.id, level, instead, "%s (%s); %s", awayFrom(Clearance{MM: d.MM(), Label: d.Label}), d.Where, text)
		}
	}
}

// nearestOf judges the distances to the structures of a sort, and names the nearest of those that give the level.
func (x *examinedLine) nearestOf(sort func(atlas.Structure) bool) (level Level, worst LineDistance) {
	for _, d := range x.Distances {
		if !sort(d.structure) || d.LeafletOnly && isConduction(d.structure) {
			continue
		}
		here, mm := Clear, d.MM()
		switch margin, beyond := x.keep(d.structure); {
		case mm < margin:
			here = Avoid
		case mm < margin+beyond:
			here = Caution
		}
		if here > level || here == level && here > Clear && mm < worst.MM() {
			level, worst = here, d
		}
	}
	return level, worst
}

// gaps judges how much line the stitches leave between them.
func (x *examinedLine) gaps() {
	if x.LaidLine.Bites == nil {
		return
	}
	shortest := math.Inf(1) // of the stitches, along the line
	for _, s := range x.Stretches {
		if stitch := x.LaidLine.Bites.on(s.Tissue); stitch != nil {
			shortest = min(shortest, stitch.alongMM())
		}
	}
	if gap, most := x.EveryMM-shortest, x.plan.Spacing.MaxMM; gap > most {
		x.say(spacingRule, Caution, "lay more stitches, or say in `spacing` that the gap is meant", "leaves %s mm of line between its stitches, more than %s mm", atLeast(gap), exact(most))
	}
}

// alongMM is how much of its line a stitch takes.
func (s *LineStitch) alongMM() float64 {
	switch {
	case s.Lie == Along:
		return s.TravelMM
	case s.Kind == Mattress:
		return s.ApartMM
	default:
		return 0
	}
}

// hearts judges what becomes of the line on hearts like this one.
func (x *examinedLine) hearts() {
	s := x.Sample
	if s == nil {
		return
	}
	if s.Hearts == 0 {
		x.say("line-sample", Caution, "check the measured sizes", "no heart like this one could be drawn: %s", s.WhyNone)
		return
	}
	if 100*float64(s.Wrong) <= x.rules.Rule("line-sample").Figures["often"]*float64(s.Hearts) {
		return
	}
	var how []string
	note := func(n int, what string) {
		if n > 0 {
			how = append(how, fmt.Sprintf("%s in %d", what, n))
		}
	}
	note(s.AxisNear, fmt.Sprintf("runs nearer than %s mm to the axis", exact(x.plan.Margins.ConductionMM)))
	note(s.ArteryNear, "so near to the artery of the node")
	note(s.AxisWrong, "leaves some of node or bundle on the atrial side")
	note(s.OstiumWrong, "does not keep the ostium on its side")
	note(s.Unsewable, "cannot be sewn at all")
	text := fmt.Sprintf("led by the same words, the line goes wrong in %d of %d hearts like this one: it %s", s.Wrong, s.Hearts, sentence(how))
	if s.LittleRoom > 0 {
		text += fmt.Sprintf("; in %d lip and axis lie so near each other that no line between them keeps both margins", s.LittleRoom)
	}
	x.say("line-sample", Caution, "find lip, tendon line and apex in this heart before the first stitch; what is measured (ostium-to-hinge, the triangle's sides) narrows the spread", "%s", text)
}

// prosthesis judges whether a ring of the stated size fits the seat and the body.
func (x *examinedLine) prosthesis() {
	outer := x.OuterMM
	if outer == 0 {
		return
	}
	figure := func(rule, name string) float64 { return x.rules.Rule(rule).Figures[name] / 100 }
	round := math.Pi * outer
	switch ratio := x.Seat.LengthMM/round - 1; {
	case ratio > figure("prosthesis-length", "longer"):
		x.say("prosthesis-length", Caution, "a larger ring, or a shorter line", "the line of %.1f mm is %.0f %% longer than a ring of %s mm is round (%.1f mm): tissue is gathered", x.Seat.LengthMM, 100*ratio, exact(outer), round)
	case -ratio > figure("prosthesis-length", "shorter"):
		x.say("prosthesis-length", Caution, "a smaller ring", "the line of %.1f mm is %.0f %% shorter than a ring of %s mm is round (%.1f mm): the ring would buckle or the tissue tear", x.Seat.LengthMM, -100*ratio, exact(outer), round)
	}
	if ratio := outer/x.Seat.ShortestMM - 1; ratio > figure("prosthesis-width", "wider") {
		x.say("prosthesis-width", Caution, "a smaller ring", "a ring of %s mm is %.0f %% wider than the seat at its narrowest, %.1f mm", exact(outer), 100*ratio, x.Seat.ShortestMM)
	}
	if ratio := outer/x.Seat.PredictedMM - 1; ratio > figure("prosthesis-body", "wider") {
		x.say("prosthesis-body", Caution, "a smaller ring", "a ring of %s mm is %.0f %% wider than a circle as long as the rim this body leads one to expect, %.1f mm", exact(outer), 100*ratio, x.Seat.PredictedMM)
	}
	made := x.rules.Rule("prosthesis-size").Figures
	smallest, largest := made["smallest"], made["largest"]
	if odd := math.Mod(outer, 2) == 1; !odd || outer < smallest || outer > largest {
		x.say("prosthesis-size", Caution, fmt.Sprintf("an odd size from %.0f to %.0f mm", smallest, largest), "no ring of %s mm is among the published sizes", exact(outer))
	}
}

// worstFirst puts the reasons in the order of their levels, the worst first.
func worstFirst(reasons []Reason) []Reason {
	sorted := slices.Clone(reasons)
	slices.SortStableFunc(sorted, func(a, b Reason) int { return int(b.Level) - int(a.Level) })
	return sorted
}
