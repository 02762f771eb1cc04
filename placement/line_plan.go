package placement

import (
	"fmt"

	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// Line is the closed suture line of a replacement, as planned: through places, clockwise, straight on the chart from
// each to the next, and from the last back to the first.
type Line struct {
	Through []Waypoint
	Ostium  Side   // the side of the line the coronary sinus ostium is to lie on
	TakesIn string // NodalTriangle: node and bundle are to lie on the ventricular side; empty: nothing is claimed
	DepthMM float64
	Bites   *LineBites // laid along the line; nil: none
	OuterMM float64    // outer diameter of the prosthesis; 0: not said
	Sample  LineSample
	At      strictyaml.Position
}

// Waypoint is a place the line goes through, or several: round the nodal triangle, a distance from the ostium's lip.
type Waypoint struct {
	Place     Place  // where Around is empty
	Around    string // NodalTriangle, or empty
	FromLipMM float64
	At        strictyaml.Position
}

// Side is a side of a suture line: what stays with the atrium, and what comes to lie under the prosthesis.
type Side string

// The sides of a line.
const (
	AtrialSide      Side = "atrial"
	VentricularSide Side = "ventricular"
	BothSides       Side = "both" // of what a line cuts; no plan asks for it
)

// Said is what the side is called.
func (s Side) Said() words.Said { return words.Of("side." + string(s)) }

// DefaultLineDepthMM is how deep under the surface a line is measured where it carries no bites: an assumption.
const DefaultLineDepthMM = 1.0

// LineSample says on how many hearts like this one the line is laid again, and by which seed they are drawn.
type LineSample struct {
	Hearts int // unsaidHearts: as many as Lay finds quick
	Seed   uint64
}

const unsaidHearts = -1

// LineBites are stitches laid along a line at even distances, the first at its first place.
type LineBites struct {
	Count   int     // 0: EveryMM says
	EveryMM float64 // at most so far apart, along the line
	// How to stitch where the line runs on each tissue; nil: it is not to run there.
	Rim, Wall, Leaflet *LineStitch
}

// LineStitch is one stitch of a line.
type LineStitch struct {
	Kind     Kind // Single or Mattress
	Lie      Lie
	TravelMM float64
	DepthMM  float64
	ApartMM  float64 // of a mattress: between its arms, at right angles to the travel
	Pledget  Pledget
}

// Lie is how a stitch lies to its line: Across from the atrial to the ventricular side, or Along it clockwise.
type Lie string

// The ways a stitch can lie.
const (
	Across Lie = "across"
	Along  Lie = "along"
)

func lineShape() strictyaml.Object {
	return strictyaml.Object{Fields: []strictyaml.Field{
		mustHave("through", strictyaml.List{Of: waypointShape(), Min: 2, Max: 60}, "The places it goes through, clockwise; straight on the chart from each to the next and back to the first."),
		mustHave("ostium", choiceOf(AtrialSide, VentricularSide), "The side the coronary sinus ostium is to lie on. On the ventricular side coronary venous blood drains below the prosthesis."),
		mayHave("takes-in", strictyaml.Choice{Words: []string{NodalTriangle}}, "What is to lie on the ventricular side: node and bundle, whole."),
		mayHave("depth", strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 15)}, "How deep under the surface the line is measured where `bites` says nothing of the tissue; 1 mm unless given."),
		mayHave("bites", lineBitesShape(), "Stitches laid evenly along it; they are called L1, L2 and so on, the first at the first place."),
		mayHave("prosthesis", strictyaml.Object{Fields: []strictyaml.Field{
			mustHave("outer", withinMM(10, 60), "Outer diameter of the sewing ring."),
		}}, "What is to be sewn in."),
		mayHave("sample", strictyaml.Object{Fields: []strictyaml.Field{
			mayHave("hearts", strictyaml.Whole{Min: 0, Max: 5000}, "How many hearts like this one the line is laid on again; 100 unless given, 20 where the rim is stretched."),
			mayHave("seed", strictyaml.Whole{Min: 0, Max: 1_000_000_000}, "Which hearts are drawn; 1 unless given."),
		}}, "Hearts like this one, to see how often the same words lead the line well."),
	}}
}

func waypointShape() strictyaml.Alternatives {
	shape := placeShape()
	shape.Of = append(shape.Of, strictyaml.Alternative{Key: "around", Shape: strictyaml.Object{Fields: []strictyaml.Field{
		mustHave("around", strictyaml.Choice{Words: []string{NodalTriangle}}, "Round the nodal triangle: between it and the ostium, or outside the ostium where that is to lie on the ventricular side."),
		mustHave("from-lip", withinMM(0, 20), "How far from the lip of the ostium, on the tissue."),
	}}})
	return shape
}

func lineBitesShape() strictyaml.Object {
	stitch := strictyaml.Object{
		Fields: []strictyaml.Field{
			mustHave("kind", choiceOf(Single, Mattress), "The kind of stitch."),
			mustHave("lie", choiceOf(Across, Along), "Across the line from its atrial to its ventricular side, or along it clockwise."),
			mustHave("travel", withinMM(0.5, 40), "How far it leaves from where it entered."),
			mustHave("depth", strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 15)}, "How deep it goes."),
			mayHave("apart", withinMM(0.5, 30), "Of a mattress stitch: between its arms, at right angles to the travel."),
			mayHave("pledget", choiceOf(NoPledget, Atrial, Ventricular), "Of a mattress stitch: the side its pledget lies on."),
		},
		When: []strictyaml.When{{Key: "kind", Is: string(Mattress), Needs: []string{"apart", "pledget"}}},
	}
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mayHave("count", strictyaml.Whole{Min: 1, Max: 200}, "How many, evenly."),
			mayHave("every", withinMM(1, 50), "Evenly, at most so far apart along the line."),
			mayHave(string(Rim), stitch, "Where the line runs on the rim."),
			mayHave(string(Wall), stitch, "Where it runs up the wall."),
			mayHave(string(Leaflet), stitch, "Where it runs on a leaflet."),
		},
		OneOf: []strictyaml.Group{{{"count"}, {"every"}}},
	}
}

func checkLine(line strictyaml.Value, problems *strictyaml.Problems) {
	places, around := 0, 0
	for _, waypoint := range line.Get("through").Items() {
		if waypoint.Has("around") {
			if around++; around > 1 {
				problems.Add(waypoint.Position(), "line: goes round the nodal triangle twice", "once at most", "leave out one of the two")
			}
			continue
		}
		places++
		checkToward("through", waypoint, problems)
	}
	if through := line.Get("through"); through.Present() && places+2*around < 3 {
		problems.Add(through.Position(), "line: two places do not make a closed line", "three places or more, or one and the way around the nodal triangle", "name more places, clockwise")
	}
	bites := line.Get("bites")
	if bites.Present() && !bites.Has(string(Rim)) && !bites.Has(string(Wall)) && !bites.Has(string(Leaflet)) {
		problems.Add(bites.Position(), "line: `bites` says of no tissue how to stitch it", "one of rim, wall, leaflet", "describe the stitch under the tissue the line runs on")
	}
}

func lineFrom(v strictyaml.Value) *Line {
	line := &Line{
		Ostium:  Side(v.Get("ostium").Text()),
		TakesIn: v.Get("takes-in").Text(),
		DepthMM: numberOr(v, "depth", DefaultLineDepthMM),
		OuterMM: v.Get("prosthesis").Get("outer").Number(),
		Sample:  LineSample{Hearts: unsaidHearts, Seed: 1},
		At:      v.Position(),
	}
	for _, w := range v.Get("through").Items() {
		waypoint := Waypoint{Around: w.Get("around").Text(), FromLipMM: w.Get("from-lip").Number(), At: w.Position()}
		if waypoint.Around == "" {
			waypoint.Place = placeFrom(w)
		}
		line.Through = append(line.Through, waypoint)
	}
	if v.Has("bites") {
		line.Bites = lineBitesFrom(v.Get("bites"))
	}
	if sample := v.Get("sample"); sample.Has("hearts") {
		line.Sample.Hearts = sample.Get("hearts").Whole()
	}
	if sample := v.Get("sample"); sample.Has("seed") {
		line.Sample.Seed = uint64(sample.Get("seed").Whole())
	}
	return line
}

func lineBitesFrom(v strictyaml.Value) *LineBites {
	return &LineBites{
		Count: v.Get("count").Whole(), EveryMM: v.Get("every").Number(),
		Rim: lineStitchFrom(v, Rim), Wall: lineStitchFrom(v, Wall), Leaflet: lineStitchFrom(v, Leaflet),
	}
}

func lineStitchFrom(v strictyaml.Value, on Tissue) *LineStitch {
	if !v.Has(string(on)) {
		return nil
	}
	v = v.Get(string(on))
	stitch := &LineStitch{
		Kind: Kind(v.Get("kind").Text()), Lie: Lie(v.Get("lie").Text()), TravelMM: v.Get("travel").Number(),
		DepthMM: v.Get("depth").Number(), ApartMM: v.Get("apart").Number(), Pledget: NoPledget,
	}
	if v.Has("pledget") {
		stitch.Pledget = Pledget(v.Get("pledget").Text())
	}
	return stitch
}

// on is the stitch for a tissue; nil: none is described.
func (b *LineBites) on(tissue Tissue) *LineStitch {
	switch tissue {
	case Wall:
		return b.Wall
	case Leaflet:
		return b.Leaflet
	default:
		return b.Rim
	}
}

// depthOn is how deep the line's needles go in a tissue.
func (l *Line) depthOn(tissue Tissue) float64 {
	if l.Bites != nil {
		if stitch := l.Bites.on(tissue); stitch != nil {
			return stitch.DepthMM
		}
	}
	return l.DepthMM
}

// named is what a problem calls a place of the line, counted from one.
func (l *Line) named(i int) string { return fmt.Sprintf("line: its place %d", i+1) }
