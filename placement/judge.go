package placement

import (
	"fmt"
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
	judge   func(e *examined) (Level, string)
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

func apicalHalf(e *examined) (Level, string) {
	if depth := e.into(atlas.ApicalHalf, 0); depth < 0 {
		return Avoid, fmt.Sprintf("runs %s mm inside the %s", atLeast(-depth), e.called(atlas.ApicalHalf))
	}
	return Clear, ""
}

func basalHalf(e *examined) (Level, string) {
	if depth := e.into(atlas.BasalHalf, 0); depth < 0 {
		return Caution, fmt.Sprintf("runs %s mm inside the %s", atLeast(-depth), e.called(atlas.BasalHalf))
	}
	return Clear, ""
}

func ventricularSide(e *examined) (Level, string) {
	depth := e.into(atlas.VentricularSide, 0)
	switch {
	case depth >= 0:
		return Clear, ""
	case e.leafletOnly():
		return Caution, fmt.Sprintf("takes leaflet alone, %s mm deep, on the %s: clear of the bundle, but the tissue is fragile", exact(e.bite.DepthMM), e.called(atlas.VentricularSide))
	default:
		return Avoid, fmt.Sprintf("reaches %s mm into the %s, where the bundle runs", atLeast(-depth), e.called(atlas.VentricularSide))
	}
}

func fibrousBody(e *examined) (Level, string) {
	if e.bite.Tissue == Leaflet || e.into(atlas.FibrousBody, 0) >= 0 {
		return Clear, ""
	}
	deepest := e.rules.Rule("fibrous-body").Figures["deepest"]
	if e.bite.DepthMM > deepest {
		return Avoid, fmt.Sprintf("goes %s mm deep into the fibrous body; the bundle runs immediately behind it, so %s mm at most", exact(e.bite.DepthMM), exact(deepest))
	}
	return Clear, fmt.Sprintf("anchors in the fibrous body, %s mm deep of at most %s mm", exact(e.bite.DepthMM), exact(deepest))
}

// conductionMargin counts the tissue of the axis and its artery. A bite through leaflet alone is judged by
// ventricularSide: the leaflet hangs free of the septum that the bundle lies on.
func conductionMargin(e *examined) (Level, string) {
	if e.leafletOnly() {
		return Clear, ""
	}
	level, worst := e.nearness(isConduction)
	if level == Clear {
		return Clear, ""
	}
	margin := e.plan.Margins.ConductionMM
	odds := fmt.Sprintf("under %s mm in about %s hearts like this one", exact(margin), inHundred(e.likelyUnder(margin)))
	if level == Avoid {
		return Avoid, fmt.Sprintf("%s; keep %s mm (%s)", awayFrom(worst), exact(margin), odds)
	}
	return Caution, fmt.Sprintf("%s, within the atlas's own uncertainty of the %s mm to keep (%s)", awayFrom(worst), exact(margin), odds)
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

func coronaryArtery(e *examined) (Level, string) { return e.beside(atlas.Coronary) }

func aorticRoot(e *examined) (Level, string) { return e.beside(atlas.Aorta) }

// beside judges the distance to a vessel.
func (e *examined) beside(kind atlas.Kind) (Level, string) {
	level, worst := e.nearness(func(s atlas.Structure) bool { return s.Kind == kind })
	margin, _ := e.keep(atlas.Structure{Kind: kind})
	switch level {
	case Avoid:
		return Avoid, fmt.Sprintf("%s; keep %s mm", awayFrom(worst), exact(margin))
	case Caution:
		return Caution, fmt.Sprintf("%s, little more than the %s mm to keep", awayFrom(worst), exact(margin))
	}
	return Clear, ""
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

func ostium(e *examined) (Level, string) {
	margin := e.plan.Margins.OstiumMM
	switch distance := e.into(atlas.Ostium, margin+e.halfWidth()) - e.halfWidth(); {
	case distance < 0:
		return Avoid, fmt.Sprintf("goes through the lip of the coronary sinus ostium, %s mm inside, and narrows it", atLeast(-distance))
	case distance < margin:
		return Caution, fmt.Sprintf("comes within %s mm of the lip of the coronary sinus ostium; keep %s mm", atMost(distance), exact(margin))
	}
	return Clear, ""
}

func hold(e *examined) (Level, string) {
	figures := e.rules.Rule("hold").Figures
	least := figures["tissue"]
	if e.bite.Tissue == Leaflet {
		least = figures["leaflet"]
	}
	if e.bite.DepthMM < least {
		return Caution, fmt.Sprintf("only %s mm deep: too shallow to hold in %s, which wants %s mm", exact(e.bite.DepthMM), e.bite.Tissue, exact(least))
	}
	return Clear, ""
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

func awayFrom(c Clearance) string {
	if c.MM < 0 {
		return fmt.Sprintf("passes %s mm inside the %s", atLeast(-c.MM), c.Label)
	}
	return fmt.Sprintf("passes %s mm from the %s", atMost(c.MM), c.Label)
}

// inHundred says a probability as a count that a reader can picture.
func inHundred(p float64) string {
	switch n := math.Round(100 * p); {
	case n < 1:
		return "fewer than 1 in 100"
	case n > 99:
		return "more than 99 in 100"
	default:
		return fmt.Sprintf("%.0f in 100", n)
	}
}
