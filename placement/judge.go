package placement

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// Reason is why a bite has its level: which rule, on what basis, what was found, and what to do instead.
type Reason struct {
	Rule    string `json:"rule"`
	Level   Level  `json:"level"`
	Basis   string `json:"basis"`
	Text    string `json:"text"`
	Instead string `json:"instead,omitempty"`
}

// Clearance is the smallest distance from a bite's needle to one structure, less the half width of needle or
// thread, whichever is wider; negative inside.
type Clearance struct {
	Structure string // id
	Label     string
	MM        float64
	At        geom.Vec // on the needle's path, nearest the structure
}

// bite is one bite under examination: all that a rule may look at.
type examined struct {
	*examiner
	bite       *LaidBite
	clearances []Clearance // in the order of the heart's structures
}

// judge is the code of one rule.
type judge struct {
	id    string
	judge func(e *examined) (Level, string)
}

// judges holds the rules that look at one bite by itself, in the order of the report.
var judges = []judge{
	{"apical-half", apicalHalf},
	{"basal-half", basalHalf},
	{"ventricular-side", ventricularSide},
	{"fibrous-body", fibrousBody},
	{"conduction-margin", conductionMargin},
	{"coronary-artery", coronaryArtery},
	{"aortic-root", aorticRoot},
	{"ostium", ostium},
	{"hold", hold},
}

func apicalHalf(e *examined) (Level, string) {
	if depth := e.into(atlas.ApicalHalf); depth < 0 {
		return Avoid, fmt.Sprintf("runs %.1f mm inside the apical half of the nodal triangle", -depth)
	}
	return Clear, ""
}

func basalHalf(e *examined) (Level, string) {
	if depth := e.into(atlas.BasalHalf); depth < 0 {
		return Caution, fmt.Sprintf("runs %.1f mm inside the basal half of the nodal triangle", -depth)
	}
	return Clear, ""
}

func ventricularSide(e *examined) (Level, string) {
	depth := e.into(atlas.VentricularSide)
	switch {
	case depth >= 0:
		return Clear, ""
	case e.leafletOnly():
		return Caution, fmt.Sprintf("takes leaflet alone, %.1f mm deep, on the ventricular side of the anteroseptal commissure: clear of the bundle, but the tissue is fragile", e.bite.DepthMM)
	default:
		return Avoid, fmt.Sprintf("reaches %.1f mm into the ventricular side of the anteroseptal commissure, where the bundle runs", -depth)
	}
}

func fibrousBody(e *examined) (Level, string) {
	if e.into(atlas.FibrousBody) >= 0 || e.bite.Tissue == Leaflet {
		return Clear, ""
	}
	deepest := e.rules.Rule("fibrous-body").Figures["deepest"]
	if e.bite.DepthMM > deepest {
		return Avoid, fmt.Sprintf("goes %.1f mm deep into the fibrous body; the bundle runs immediately behind it, so %.1f mm at most", e.bite.DepthMM, deepest)
	}
	return Clear, fmt.Sprintf("anchors in the fibrous body, %.1f mm deep of at most %.1f mm", e.bite.DepthMM, deepest)
}

// conductionMargin counts the tissue of the axis and its artery. A bite through leaflet alone is judged by
// ventricularSide: the leaflet hangs free of the septum that the bundle lies on.
func conductionMargin(e *examined) (Level, string) {
	if e.leafletOnly() {
		return Clear, ""
	}
	worst, structure := e.nearest(isConduction)
	margin := e.plan.Margins.ConductionMM
	odds := fmt.Sprintf("under %.1f mm in about %s hearts like this one", margin, inHundred(e.likelyUnder(margin)))
	switch {
	case worst.MM < margin:
		return Avoid, fmt.Sprintf("%s; keep %.1f mm (%s)", awayFrom(worst), margin, odds)
	case worst.MM < margin+structure.SpreadMM:
		return Caution, fmt.Sprintf("%s, within the atlas's own uncertainty of the %.1f mm to keep (%s)", awayFrom(worst), margin, odds)
	}
	return Clear, ""
}

func isConduction(s atlas.Structure) bool {
	return s.Kind == atlas.Conduction || s.Kind == atlas.NodalArtery
}

// likelyUnder is the share of hearts like this one in which the needle would come nearer to the axis than a margin,
// each structure's place varying normally by its own spread. The two ways in of the bundle exclude each other, so
// their shares add; the rest lies side by side and varies together, so the likeliest of it counts.
func (e *examined) likelyUnder(marginMM float64) float64 {
	var bundle, rest float64
	for i, s := range e.heart.Structures {
		if !isConduction(s) {
			continue
		}
		likely := distuv.UnitNormal.CDF((marginMM-e.clearances[i].MM)/s.SpreadMM) * s.SharePercent / 100
		if s.Excludes {
			bundle += likely
		} else {
			rest = max(rest, likely)
		}
	}
	return max(bundle, rest)
}

func coronaryArtery(e *examined) (Level, string) {
	return e.beside(atlas.Coronary, e.plan.Margins.CoronaryMM, "coronary-artery")
}

func aorticRoot(e *examined) (Level, string) {
	return e.beside(atlas.Aorta, e.plan.Margins.AortaMM, "aortic-root")
}

// beside judges the distance to a vessel against its margin and the band of caution beyond it.
func (e *examined) beside(kind atlas.Kind, marginMM float64, rule string) (Level, string) {
	worst, _ := e.nearest(func(s atlas.Structure) bool { return s.Kind == kind })
	beyond := e.rules.Rule(rule).Figures["beyond"]
	switch {
	case worst.MM < marginMM:
		return Avoid, fmt.Sprintf("%s; keep %.1f mm", awayFrom(worst), marginMM)
	case worst.MM < marginMM+beyond:
		return Caution, fmt.Sprintf("%s, little more than the %.1f mm to keep", awayFrom(worst), marginMM)
	}
	return Clear, ""
}

func ostium(e *examined) (Level, string) {
	margin := e.plan.Margins.OstiumMM
	switch distance := e.into(atlas.Ostium) - e.halfWidth(); {
	case distance < 0:
		return Avoid, fmt.Sprintf("goes through the lip of the coronary sinus ostium, %.1f mm inside, and narrows it", -distance)
	case distance < margin:
		return Caution, fmt.Sprintf("comes within %.1f mm of the lip of the coronary sinus ostium; keep %.1f mm", distance, margin)
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
		return Caution, fmt.Sprintf("only %.1f mm deep: too shallow to hold in %s, which wants %.1f mm", e.bite.DepthMM, e.bite.Tissue, least)
	}
	return Clear, ""
}

// leafletOnly tells whether the needle stays within the thickness of a leaflet.
func (e *examined) leafletOnly() bool {
	thickness, _ := e.heart.Value("leaflet-thickness")
	return e.bite.Tissue == Leaflet && e.bite.DepthMM <= thickness.Here
}

// into is how near the bite comes to a zone on the surface, mm of tissue; negative: how far in.
func (e *examined) into(id atlas.ZoneID) float64 {
	depth := math.Inf(1)
	for _, p := range e.bite.Passes {
		depth = min(depth, e.zones[id].depth(p))
	}
	return depth
}

// nearest is the smallest clearance among the structures of a sort.
func (e *examined) nearest(sort func(atlas.Structure) bool) (Clearance, atlas.Structure) {
	best, found := Clearance{MM: math.Inf(1)}, atlas.Structure{SpreadMM: 1}
	for i, s := range e.heart.Structures {
		if sort(s) && e.clearances[i].MM < best.MM {
			best, found = e.clearances[i], s
		}
	}
	return best, found
}

func (e *examiner) halfWidth() float64 {
	return max(e.plan.Needle.NeedleMM, e.plan.Needle.ThreadMM) / 2
}

func awayFrom(c Clearance) string {
	if c.MM < 0 {
		return fmt.Sprintf("passes %.1f mm inside the %s", -c.MM, c.Label)
	}
	return fmt.Sprintf("passes %.1f mm from the %s", math.Floor(c.MM*10)/10, c.Label) // never said to be further than it is
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
