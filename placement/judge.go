package placement

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// Reason is why a bite has its level: which rule, on what basis, what was found, and what to do instead.
type Reason struct {
	Rule    string     `json:"rule"`
	Level   Level      `json:"level"`
	Basis   words.Said `json:"basis"`
	Text    words.Said `json:"text"`
	Instead words.Said `json:"instead,omitzero"`
}

// examined is one bite under examination: all that a rule may look at.
type examined struct {
	*examiner
	bite       *LaidBite
	clearances []Clearance // in the order of the heart's structures
}

// judge is the code of one rule. Each looks at the passes of a bite by themselves, so that the level of a bite is
// the worst of those its passes would have alone: advice relies on it.
type judge struct {
	id      string
	judge   func(e *examined) (Level, words.Said)
	flat    bool     // it needs no clearances
	figures []string // what it reads from the rulebook
}

// judges holds the rules that look at one bite by itself, in the order of the report.
var judges = []judge{
	{id: "apical-half", judge: apicalHalf, flat: true},
	{id: "basal-half", judge: basalHalf, flat: true},
	{id: "ventricular-side", judge: ventricularSide, flat: true},
	{id: "fibrous-body", judge: fibrousBody, flat: true, figures: []string{"deepest"}},
	{id: "conduction-margin", judge: conductionMargin},
	{id: "coronary-artery", judge: coronaryArtery, figures: []string{"beyond"}},
	{id: "aortic-root", judge: aorticRoot, figures: []string{"beyond"}},
	{id: "ostium", judge: ostium, flat: true},
	{id: "hold", judge: hold, flat: true, figures: []string{"tissue", "leaflet"}},
}

func apicalHalf(e *examined) (Level, words.Said) {
	if depth := e.into(atlas.ApicalHalf, 0); depth < 0 {
		return Avoid, insideZone(-depth, e.called(atlas.ApicalHalf))
	}
	return Clear, words.Said{}
}

// insideZone says how far something runs inside a half of the nodal triangle.
func insideZone(mm float64, zone words.Said) words.Said {
	return words.Of("reason.triangle.inside", words.Blanks{"mm": atLeast(mm), "zone": zone})
}

func basalHalf(e *examined) (Level, words.Said) {
	if depth := e.into(atlas.BasalHalf, 0); depth < 0 {
		return Caution, insideZone(-depth, e.called(atlas.BasalHalf))
	}
	return Clear, words.Said{}
}

func ventricularSide(e *examined) (Level, words.Said) {
	depth := e.into(atlas.VentricularSide, 0)
	switch {
	case depth >= 0:
		return Clear, words.Said{}
	case e.leafletOnly():
		return Caution, words.Of("reason.ventricular-side.leaflet", words.Blanks{"mm": exact(e.bite.DepthMM), "zone": e.called(atlas.VentricularSide)})
	default:
		return Avoid, overBundle(-depth, e.called(atlas.VentricularSide))
	}
}

// overBundle says how far something reaches into the ventricular side of the anteroseptal commissure.
func overBundle(mm float64, zone words.Said) words.Said {
	return words.Of("reason.ventricular-side.reaches", words.Blanks{"mm": atLeast(mm), "zone": zone})
}

func fibrousBody(e *examined) (Level, words.Said) {
	if e.bite.Tissue == Leaflet || e.into(atlas.FibrousBody, 0) >= 0 {
		return Clear, words.Said{}
	}
	deepest := e.rules.Rule("fibrous-body").Figures["deepest"]
	if e.bite.DepthMM > deepest {
		return Avoid, words.Of("reason.fibrous-body.deep", words.Blanks{"mm": exact(e.bite.DepthMM), "most": exact(deepest)})
	}
	return Clear, words.Of("reason.fibrous-body.anchors", words.Blanks{"mm": exact(e.bite.DepthMM), "most": exact(deepest)})
}

// conductionMargin counts the tissue of the axis and its artery. A bite through leaflet alone is judged by
// ventricularSide: the leaflet hangs free of the septum that the bundle lies on.
func conductionMargin(e *examined) (Level, words.Said) {
	if e.leafletOnly() {
		return Clear, words.Said{}
	}
	level, worst := e.nearness(isConduction)
	if level == Clear {
		return Clear, words.Said{}
	}
	margin := e.plan.Margins.ConductionMM
	odds := inHundred(e.likelyUnder(margin))
	switch {
	case level == Caution:
		return Caution, words.Of("reason.conduction-margin.uncertain", words.Blanks{"mm": atMost(worst.MM), "what": worst.Label, "margin": exact(margin), "odds": odds})
	case worst.MM < 0:
		return Avoid, words.Of("reason.conduction-margin.inside", words.Blanks{"mm": atLeast(-worst.MM), "what": worst.Label, "margin": exact(margin), "odds": odds})
	default:
		return Avoid, words.Of("reason.conduction-margin.near", words.Blanks{"mm": atMost(worst.MM), "what": worst.Label, "margin": exact(margin), "odds": odds})
	}
}

func isConduction(s atlas.Structure) bool {
	return s.Kind == atlas.Conduction || s.Kind == atlas.NodalArtery
}

// likelyUnder is the share of hearts like this one in which the needle would come nearer to the axis than a margin,
// each structure's place varying normally by its own spread. The two ways in of the bundle exclude each other, so
// their shares add; the rest lies side by side and varies together, so the likeliest of it counts.
func (e *examined) likelyUnder(marginMM float64) float64 {
	var bundle, rest float64
	for i, t := range e.obstacles {
		if !isConduction(t.Structure) {
			continue
		}
		likely := distuv.UnitNormal.CDF((marginMM-e.clearances[i].MM)/t.SpreadMM) * t.SharePercent / 100
		if t.Excludes {
			bundle += likely
		} else {
			rest = max(rest, likely)
		}
	}
	return max(bundle, rest)
}

func coronaryArtery(e *examined) (Level, words.Said) { return e.beside(atlas.Coronary) }

func aorticRoot(e *examined) (Level, words.Said) { return e.beside(atlas.Aorta) }

// beside judges the distance to a vessel.
func (e *examined) beside(kind atlas.Kind) (Level, words.Said) {
	level, worst := e.nearness(func(s atlas.Structure) bool { return s.Kind == kind })
	margin, _ := e.keep(atlas.Structure{Kind: kind})
	switch {
	case level == Clear:
		return Clear, words.Said{}
	case level == Caution:
		return Caution, words.Of("reason.vessel.little-more", words.Blanks{"mm": atMost(worst.MM), "what": worst.Label, "margin": exact(margin)})
	case worst.MM < 0:
		return Avoid, words.Of("reason.vessel.inside", words.Blanks{"mm": atLeast(-worst.MM), "what": worst.Label, "margin": exact(margin)})
	default:
		return Avoid, words.Of("reason.vessel.near", words.Blanks{"mm": atMost(worst.MM), "what": worst.Label, "margin": exact(margin)})
	}
}

// keep is the distance to keep from a structure, and how far beyond it caution reaches.
func (e *examiner) keep(s atlas.Structure) (margin, beyond float64) {
	switch s.Kind {
	case atlas.Coronary:
		return e.plan.Margins.CoronaryMM, e.rules.Rule("coronary-artery").Figures["beyond"]
	case atlas.Aorta:
		return e.plan.Margins.AortaMM, e.rules.Rule("aortic-root").Figures["beyond"]
	default:
		return e.plan.Margins.ConductionMM, s.SpreadMM
	}
}

// nearness judges the distances to the structures of a sort, and names the nearest of those that give the level:
// where spreads differ, a farther structure may ask for caution where a nearer one does not.
func (e *examined) nearness(sort func(atlas.Structure) bool) (level Level, worst Clearance) {
	for i, t := range e.obstacles {
		if !sort(t.Structure) {
			continue
		}
		c, here := e.clearances[i], Clear
		switch margin, beyond := e.keep(t.Structure); {
		case c.MM < margin:
			here = Avoid
		case c.MM < margin+beyond:
			here = Caution
		}
		if here > level || here == level && here > Clear && c.MM < worst.MM {
			level, worst = here, c
		}
	}
	return level, worst
}

func ostium(e *examined) (Level, words.Said) {
	margin := e.plan.Margins.OstiumMM
	switch distance := e.into(atlas.Ostium, margin+e.halfWidth()) - e.halfWidth(); {
	case distance < 0:
		return Avoid, words.Of("reason.ostium.through", words.Blanks{"mm": atLeast(-distance)})
	case distance < margin:
		return Caution, words.Of("reason.ostium.within", words.Blanks{"mm": atMost(distance), "margin": exact(margin)})
	}
	return Clear, words.Said{}
}

func hold(e *examined) (Level, words.Said) {
	figures := e.rules.Rule("hold").Figures
	least := figures["tissue"]
	if e.bite.Tissue == Leaflet {
		least = figures["leaflet"]
	}
	if e.bite.DepthMM < least {
		return Caution, words.Of("reason.hold.shallow", words.Blanks{"mm": exact(e.bite.DepthMM), "tissue": e.bite.Tissue.Said(), "least": exact(least)})
	}
	return Clear, words.Said{}
}

// leafletOnly tells whether the needle stays within the thickness of a leaflet.
func (e *examined) leafletOnly() bool {
	return e.bite.Tissue == Leaflet && e.bite.DepthMM <= e.thicknessMM
}

// called is what a zone is called in this heart: a malformed one has its own words.
func (e *examiner) called(id atlas.ZoneID) words.Said {
	zone, _ := e.heart.Zone(id)
	return zone.Label
}

// into is how near the bite comes to a zone on the surface, mm of tissue; negative: how far in. Beyond withinMM it
// may be +Inf.
func (e *examined) into(id atlas.ZoneID, withinMM float64) float64 {
	depth := math.Inf(1)
	for _, p := range e.bite.Passes {
		if zone, there := e.zones[id]; there { // a malformed heart may lack it
			depth = min(depth, zone.depth(p, withinMM))
		}
	}
	return depth
}

func (e *examiner) halfWidth() float64 { return e.plan.Needle.halfWidth() }

// halfWidth is that of needle or thread, whichever is wider.
func (n Needle) halfWidth() float64 { return max(n.NeedleMM, n.ThreadMM) / 2 }

// inHundred says a probability as a count that a reader can picture.
func inHundred(p float64) words.Said {
	switch n := math.Round(100 * p); {
	case n < 1:
		return words.Of("odds.under-one")
	case n > 99:
		return words.Of("odds.over-99")
	default:
		return words.Of("odds.some", words.Blanks{"n": int(n)})
	}
}
