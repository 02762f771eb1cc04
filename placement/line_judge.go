package placement

import (
	"math"
	"slices"

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

func (x *examinedLine) because(rule string, level Level, text, instead words.Said) {
	x.Reasons = append(x.Reasons, Reason{Rule: rule, Level: level, Basis: x.rules.Rule(rule).Basis(), Text: text, Instead: instead})
}

func (x *examinedLine) closed() {
	if at, meets := x.course.meetsSelf(); meets {
		x.because("line-closed", Avoid, words.Of("reason.line-closed.meets", words.Blanks{"where": x.course.where(at)}), words.Of("instead.line.in-order"))
	}
}

// roundAbout is what to do with a line that goes wrong about the triangle.
func roundAbout() words.Said { return words.Of("instead.line.round-triangle") }

func (x *examinedLine) ostiumSide() {
	lip, there := x.side(string(atlas.Ostium))
	if !there {
		return
	}
	switch lies := lip.On(); {
	case lies == BothSides:
		cut := lip.VentricularMM
		if x.Ostium == VentricularSide {
			cut = lip.AtrialMM
		}
		x.because("line-ostium", Avoid, words.Of("reason.line-ostium.cut", words.Blanks{"side": x.Ostium.Said(), "mm": atLeast(cut)}), roundAbout())
	case lies == VentricularSide && x.Ostium == AtrialSide:
		x.because("line-ostium", Avoid, words.Of("reason.line-ostium.ventricular"), words.Of("instead.line.round-triangle-or", words.Blanks{"round": roundAbout()}))
	case lies == AtrialSide && x.Ostium == VentricularSide:
		x.because("line-ostium", Avoid, words.Of("reason.line-ostium.atrial"), words.Of("instead.line.outside-ostium"))
	case x.Ostium == VentricularSide:
		x.because("line-ostium", Caution, words.Of("reason.line-ostium.chosen"), words.Of("instead.line.between-lip-and-node"))
	}
}

// lip judges how near the line comes to the lip of an ostium it does not cut.
func (x *examinedLine) lip() {
	if side, _ := x.side(string(atlas.Ostium)); x.Lip == nil || side.On() == BothSides {
		return
	}
	margin := x.plan.Margins.OstiumMM
	switch {
	case x.Lip.MM < 0:
		x.because("ostium", Avoid, words.Of("reason.line-lip.through", words.Blanks{"where": x.Lip.Where}), words.Of("instead.line.farther-from-lip"))
	case x.Lip.MM < margin:
		x.because("ostium", Caution, words.Of("reason.line-lip.within", words.Blanks{"mm": atMost(x.Lip.MM), "where": x.Lip.Where, "margin": exact(margin)}), words.Of("instead.line.farther-from-lip"))
	}
}

func (x *examinedLine) takesIn() {
	if x.TakesIn == "" {
		return
	}
	var left, near []words.Said
	for _, side := range x.Sides {
		if side.structure.Kind != atlas.Conduction || side.AtrialMM == 0 {
			continue
		}
		what := words.Of("part.some", words.Blanks{"mm": atLeast(side.AtrialMM), "what": side.Label})
		if side.VentricularMM == 0 {
			what = words.Of("part.all", words.Blanks{"what": side.Label})
		}
		if takenIn(side.structure) {
			left = append(left, what)
		} else {
			near = append(near, what)
		}
	}
	if len(left) > 0 {
		x.because("line-takes-in", Avoid, words.Of("reason.line-takes-in.leaves", words.Blanks{"parts": words.And(append(left, near...)...)}), roundAbout())
	} else if len(near) > 0 {
		x.because("line-takes-in", Caution, words.Of("reason.line-takes-in.extensions", words.Blanks{"parts": words.And(near...)}), words.Of("instead.line.nearer-to-lip"))
	}
}

func (x *examinedLine) triangle() {
	apical := x.intoZone(atlas.ApicalHalf, nil)
	if depth := apical; depth < 0 {
		x.because("apical-half", Avoid, insideZone(-depth, x.called(atlas.ApicalHalf)), roundAbout())
	}
	if depth := x.intoZone(atlas.BasalHalf, nil); depth < 0 {
		instead := words.Of("instead.line.keep-off")
		if x.TakesIn != "" && apical >= 0 {
			instead = words.Of("instead.line.shallow-there")
		}
		x.because("basal-half", Caution, insideZone(-depth, x.called(atlas.BasalHalf)), instead)
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
		x.because("ventricular-side", Avoid, overBundle(-depth, zone), words.Of("instead.line.leaflet-alone"))
	} else if x.intoZone(atlas.VentricularSide, inLeaflet) < 0 {
		x.because("ventricular-side", Caution, words.Of("reason.line-leaflet.fragile", words.Blanks{"zone": zone}), words.Of("instead.line.support"))
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
			x.because(rule.id, level, x.awayFrom(d, level), words.Of("instead.line.move-away"))
		}
	}
}

// awayFrom says how near the line comes to a structure, where, and what is to be kept.
func (x *examinedLine) awayFrom(d LineDistance, level Level) words.Said {
	margin, _ := x.keep(d.structure)
	switch mm := d.MM(); {
	case level == Caution && isConduction(d.structure):
		return words.Of("reason.line-near.uncertain", words.Blanks{"mm": atMost(mm), "what": d.Label, "where": d.Where, "margin": exact(margin)})
	case level == Caution:
		return words.Of("reason.line-near.little-more", words.Blanks{"mm": atMost(mm), "what": d.Label, "where": d.Where, "margin": exact(margin)})
	case mm < 0:
		return words.Of("reason.line-near.inside", words.Blanks{"mm": atLeast(-mm), "what": d.Label, "where": d.Where, "margin": exact(margin)})
	default:
		return words.Of("reason.line-near.keep", words.Blanks{"mm": atMost(mm), "what": d.Label, "where": d.Where, "margin": exact(margin)})
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
		x.because(spacingRule, Caution, words.Of("reason.spacing.line", words.Blanks{"mm": atLeast(gap), "most": exact(most)}), words.Of("instead.spacing.more-stitches"))
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
		x.because("line-sample", Caution, words.Of("reason.line-sample.none", words.Blanks{"why": s.WhyNone}), words.Of("instead.line.check-sizes"))
		return
	}
	if 100*float64(s.Wrong) <= x.rules.Rule("line-sample").Figures["often"]*float64(s.Hearts) {
		return
	}
	text := words.Of("reason.line-sample.wrong", words.Blanks{"wrong": s.Wrong, "hearts": s.Hearts, "how": x.howWrong()})
	if s.LittleRoom > 0 {
		text = words.Of("reason.line-sample.no-room", words.Blanks{"wrong": s.Wrong, "hearts": s.Hearts, "how": x.howWrong(), "crowded": s.LittleRoom})
	}
	x.because("line-sample", Caution, text, words.Of("instead.line.find-marks"))
}

// howWrong says in how many hearts of the sample the line goes wrong in which way.
func (x *examinedLine) howWrong() words.Said {
	s := x.Sample
	margin := exact(x.plan.Margins.ConductionMM)
	var how []words.Said
	if s.AxisNear > 0 {
		how = append(how, words.Of("wrong.axis-near", words.Blanks{"margin": margin, "hearts": s.AxisNear}))
	}
	switch {
	case s.ArteryNear == 0:
	case s.AxisNear > 0:
		how = append(how, words.Of("wrong.artery-near", words.Blanks{"hearts": s.ArteryNear}))
	default:
		how = append(how, words.Of("wrong.artery-alone", words.Blanks{"margin": margin, "hearts": s.ArteryNear}))
	}
	if s.AxisWrong > 0 {
		how = append(how, words.Of("wrong.axis", words.Blanks{"hearts": s.AxisWrong}))
	}
	if s.OstiumWrong > 0 {
		how = append(how, words.Of("wrong.ostium", words.Blanks{"hearts": s.OstiumWrong}))
	}
	if s.Unsewable > 0 {
		how = append(how, words.Of("wrong.unsewable", words.Blanks{"hearts": s.Unsewable}))
	}
	return words.And(how...)
}

// prosthesis judges whether a ring of the stated size fits the seat and the body.
func (x *examinedLine) prosthesis() {
	outer := x.OuterMM
	if outer == 0 {
		return
	}
	figure := func(rule, name string) float64 { return x.rules.Rule(rule).Figures[name] / 100 }
	percent := func(ratio float64) words.Number { return words.Fixed(100*ratio, 0) }
	ring, round, line := exact(outer), math.Pi*outer, words.Fixed(x.Seat.LengthMM, 1)
	switch ratio := x.Seat.LengthMM/round - 1; {
	case ratio > figure("prosthesis-length", "longer"):
		text := words.Of("reason.prosthesis-length.longer", words.Blanks{"line": line, "percent": percent(ratio), "ring": ring, "round": words.Fixed(round, 1)})
		x.because("prosthesis-length", Caution, text, words.Of("instead.line.larger-ring"))
	case -ratio > figure("prosthesis-length", "shorter"):
		text := words.Of("reason.prosthesis-length.shorter", words.Blanks{"line": line, "percent": percent(-ratio), "ring": ring, "round": words.Fixed(round, 1)})
		x.because("prosthesis-length", Caution, text, words.Of("instead.line.smaller-ring"))
	}
	if ratio := outer/x.Seat.ShortestMM - 1; ratio > figure("prosthesis-width", "wider") {
		text := words.Of("reason.prosthesis-width.wider", words.Blanks{"ring": ring, "percent": percent(ratio), "seat": words.Fixed(x.Seat.ShortestMM, 1)})
		x.because("prosthesis-width", Caution, text, words.Of("instead.line.smaller-ring"))
	}
	if ratio := outer/x.Seat.PredictedMM - 1; ratio > figure("prosthesis-body", "wider") {
		text := words.Of("reason.prosthesis-body.wider", words.Blanks{"ring": ring, "percent": percent(ratio), "circle": words.Fixed(x.Seat.PredictedMM, 1)})
		x.because("prosthesis-body", Caution, text, words.Of("instead.line.smaller-ring"))
	}
	made := x.rules.Rule("prosthesis-size").Figures
	smallest, largest := made["smallest"], made["largest"]
	if odd := math.Mod(outer, 2) == 1; !odd || outer < smallest || outer > largest {
		instead := words.Of("instead.line.odd-size", words.Blanks{"from": words.Fixed(smallest, 0), "to": words.Fixed(largest, 0)})
		x.because("prosthesis-size", Caution, words.Of("reason.prosthesis-size.none", words.Blanks{"ring": ring}), instead)
	}
}

// worstFirst puts the reasons in the order of their levels, the worst first.
func worstFirst(reasons []Reason) []Reason {
	sorted := slices.Clone(reasons)
	slices.SortStableFunc(sorted, func(a, b Reason) int { return int(b.Level) - int(a.Level) })
	return sorted
}
