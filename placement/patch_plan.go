package placement

import (
	"fmt"

	"fairlead/atlas/strictyaml"
)

// Patch is a piece to cut and sew in, described by its edges in one of three ways.
type Patch struct {
	Name   string
	Covers string  // NodalTriangle: what lies between the hinge and the plan's line where the line leaves it
	Edge   []Place // or its corners on the endocardium, straight on the chart between them

	// Or a leaflet, hung from the hinge from one place clockwise to another: how far it reaches at places evenly
	// along, the two ends included.
	From, To  Place
	HeightsMM []float64

	SeamMM float64 // what is left around it to sew in
	At     strictyaml.Position
}

// NodalTriangle is what a patch can cover.
const NodalTriangle = "nodal-triangle"

// DefaultSeamMM is left around a patch unless its plan says otherwise. Assumption.
const DefaultSeamMM = 3.0

func patchShape() strictyaml.Object {
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mustHave("name", strictyaml.Text{Min: 1, Max: 60}, "A name no other patch has."),
			mayHave("covers", strictyaml.Choice{Words: []string{NodalTriangle}}, "What it covers: the triangle, between the hinge and the plan's `line` where that leaves the hinge."),
			mayHave("edge", strictyaml.List{Of: placeShape(), Min: 3, Max: 60}, "Its corners on the endocardium, in order, straight between them."),
			mayHave("from", placeShape(), "Of a leaflet: where it begins on the hinge."),
			mayHave("to", placeShape(), "Of a leaflet: where it ends, clockwise."),
			mayHave("heights", strictyaml.List{Of: withinMM(0, 40), Min: 2, Max: 20}, "Of a leaflet: from hinge to free edge, at places evenly along from its beginning to its end."),
			mayHave("seam", withinMM(0, 15), "What is left around it to sew in; 3 mm unless given."),
		},
		OneOf: []strictyaml.Group{{{"covers"}, {"edge"}, {"from", "to", "heights"}}},
	}
}

func checkPatches(patches strictyaml.Value, problems *strictyaml.Problems) {
	first := map[string]strictyaml.Position{}
	for _, patch := range patches.Items() {
		name := patch.Get("name")
		if before, twice := first[name.Text()]; twice && name.Present() {
			problems.Add(name.Position(), fmt.Sprintf("name: another patch is called %q already, at %s", name.Text(), before), "a name no other patch has", "rename one of the two")
		}
		first[name.Text()] = name.Position()
		for i, corner := range patch.Get("edge").Items() {
			checkToward(fmt.Sprintf("edge %d", i+1), corner, problems)
		}
		for _, end := range []string{"from", "to"} {
			place := patch.Get(end)
			checkToward(end, place, problems)
			if off := place.Get("off"); off.Present() && off.Number() != 0 {
				problems.Add(off.Position(), fmt.Sprintf("%s: off %s, but a leaflet hangs from the hinge", end, off.Text()), "a place on the hinge", "leave out off")
			}
		}
		checkHeights(patch.Get("heights"), problems)
	}
}

// checkHeights refuses a leaflet that reaches nowhere.
func checkHeights(heights strictyaml.Value, problems *strictyaml.Problems) {
	most := 0.0
	for i, h := range heights.Items() {
		most = max(most, h.Number())
		if inner := i > 0 && i < len(heights.Items())-1; inner && h.Present() && h.Number() == 0 {
			problems.Add(h.Position(), "heights: a leaflet of no height between its ends would be two", "more than 0 mm between the ends", "plan two patches, or correct the height")
		}
	}
	if heights.Present() && most == 0 {
		problems.Add(heights.Position(), "heights: a leaflet that reaches nowhere", "at least one of more than 0 mm", "correct the heights")
	}
}

func patchFrom(v strictyaml.Value) Patch {
	patch := Patch{Name: v.Get("name").Text(), Covers: v.Get("covers").Text(), SeamMM: numberOr(v, "seam", DefaultSeamMM), At: v.Position()}
	for _, corner := range v.Get("edge").Items() {
		patch.Edge = append(patch.Edge, placeFrom(corner))
	}
	if v.Has("heights") {
		patch.From, patch.To = placeFrom(v.Get("from")), placeFrom(v.Get("to"))
		for _, h := range v.Get("heights").Items() {
			patch.HeightsMM = append(patch.HeightsMM, h.Number())
		}
	}
	return patch
}
