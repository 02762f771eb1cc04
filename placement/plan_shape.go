package placement

import (
	"fmt"

	"fairlead/atlas/growth"
	"fairlead/atlas/strictyaml"
)

// ParameterName is a parameter of the heart a plan may give as measured. Unit
// is mm, mm2, deg, % or, for a plain number, 1.
type ParameterName struct {
	Name, Unit, Label string
	Min, Max          float64
}

// Words are the names a plan may use that belong to the atlas and its data.
type Words struct {
	Parameters []ParameterName
	Methods    []string // ways of measuring
	Formulas   []string // for the body's surface
	Datasets   []string // for predicted sizes
	Patterns   []string // of a stretched rim
	Variants   []string // malformations
}

func withinMM(low, high float64) strictyaml.Quantity {
	return strictyaml.Quantity{Unit: "mm", Within: strictyaml.Between(low, high)}
}

func mustHave(name string, shape strictyaml.Shape, doc string) strictyaml.Field {
	return strictyaml.Field{Name: name, Shape: shape, Required: true, Doc: doc}
}

func mayHave(name string, shape strictyaml.Shape, doc string) strictyaml.Field {
	return strictyaml.Field{Name: name, Shape: shape, Doc: doc}
}

func planShape(words Words) strictyaml.Object {
	return strictyaml.Object{
		Doc: "Planned suture bites on the rim of the tricuspid valve.",
		Fields: []strictyaml.Field{
			mustHave("fairlead", strictyaml.Whole{Min: FileVersion, Max: FileVersion, Mend: fmt.Sprintf("this program reads version %d, so write fairlead: %d", FileVersion, FileVersion)}, "The version of the file format."),
			mustHave("case", strictyaml.Text{Min: 1, Max: 200}, "A label of the case, without anything that identifies a patient."),
			mustHave("operation", choiceOf(Band, Ring, PurseString, Plication, LeafletRepair, Replacement, Rehearsal), "What the stitches are for."),
			mayHave("note", strictyaml.Text{Max: 2000}, "Anything worth remembering."),
			mayHave("patient", patientShape(words), "How large the patient is; sizes are predicted from it."),
			mayHave("heart", heartShape(words), "What was measured in this case, in place of the model's own values."),
			mayHave("rim", rimShape(words), "A rim from imaging, or how the rim was stretched."),
			mayHave("valve", valveShape, "How many leaflets the valve has, and how they part."),
			mayHave("variant", strictyaml.Choice{Words: words.Variants}, "A malformation in which the conduction axis runs elsewhere."),
			mayHave("margins", marginsShape, "Distances to keep from what must not be caught."),
			mayHave("needle", needleShape, "The diameters of needle and thread."),
			mayHave("spacing", spacingShape, "The gap between neighbouring bites."),
			mustHave("bites", strictyaml.List{Of: biteShape(), Max: 400}, "The bites, in the order they are placed."),
			mayHave("repair", strictyaml.List{Of: repairStepShape(), Max: 20}, "What the stitches do to the rim, in the order it is done."),
			mayHave("line", lineShape(), "The closed suture line of a replacement; bites may be laid along it."),
			mayHave("patches", strictyaml.List{Of: patchShape(), Max: 10}, "Patches to cut: over the nodal triangle, or for a leaflet."),
			mayHave("look-at", strictyaml.List{Of: strictyaml.Text{Min: 1, Max: 200}, Max: 20}, "What will be looked at, at the table; the drawing leaves room to write what was found."),
		},
	}
}

func choiceOf[W ~string](all ...W) strictyaml.Choice {
	var choice strictyaml.Choice
	for _, word := range all {
		choice.Words = append(choice.Words, string(word))
	}
	return choice
}

func patientShape(words Words) strictyaml.Object {
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mayHave("height", strictyaml.Quantity{Unit: "cm", Within: strictyaml.Between(growth.MinHeightCM, growth.MaxHeightCM)}, "Body height."),
			mayHave("weight", strictyaml.Quantity{Unit: "kg", Within: strictyaml.Between(growth.MinWeightKG, growth.MaxWeightKG)}, "Body weight."),
			mayHave("surface", strictyaml.Quantity{Unit: "m2", Within: strictyaml.Between(0.05, 4)}, "Body surface area, instead of height and weight."),
			mayHave("formula", strictyaml.Choice{Words: words.Formulas}, "The formula for the surface; "+growth.DefaultFormula+" unless given."),
			mayHave("sizes", strictyaml.Choice{Words: words.Datasets}, "The dataset sizes are predicted and scored by; chosen by the surface unless given."),
		},
		OneOf: []strictyaml.Group{{{"height", "weight"}, {"surface"}}},
	}
}

func rimShape(words Words) strictyaml.Object {
	return strictyaml.Object{Fields: []strictyaml.Field{
		mayHave("contour", strictyaml.Text{Min: 1, Max: 500}, "A CSV file of points of the rim, beside this file."),
		mayHave("stretch", strictyaml.Choice{Words: words.Patterns}, "The pattern the rim was stretched in, so that its measured sizes hold."),
	}}
}

var valveShape = strictyaml.Object{Fields: []strictyaml.Field{
	mayHave("leaflets", strictyaml.Whole{Min: 2, Max: 4}, "Two, three or four; three unless given."),
	mayHave("cleft", strictyaml.Bool{}, "Whether the anterior leaflet is cleft in two."),
	mayHave("commissure-width", withinMM(0, 20), "How wide the commissures are, measured along the hinge."),
}}

func heartShape(words Words) strictyaml.Map {
	shape := strictyaml.Map{Noun: "parameter"}
	for _, p := range words.Parameters {
		shape.Entries = append(shape.Entries, mayHave(p.Name, measuredShape(p, words.Methods), p.Label))
	}
	return shape
}

// measuredShape is a value alone, which is taken as it is, or a value with how it was measured and how surely.
func measuredShape(p ParameterName, methods []string) strictyaml.Shape {
	return strictyaml.ShortOrLong{Key: "value", Short: parameterShape(p, strictyaml.Between(p.Min, p.Max)), Long: strictyaml.Object{Fields: []strictyaml.Field{
		mustHave("value", parameterShape(p, strictyaml.Between(p.Min, p.Max)), "What was measured."),
		mayHave("by", strictyaml.Choice{Words: methods}, "How it was measured."),
		mayHave("error", parameterShape(p, strictyaml.AboveUpTo(0, p.Max)), "One standard deviation of the measurement."),
	}}}
}

func parameterShape(p ParameterName, within strictyaml.Range) strictyaml.Shape {
	if p.Unit == "1" {
		return strictyaml.Number{Within: within}
	}
	return strictyaml.Quantity{Unit: p.Unit, Within: within}
}

var marginsShape = strictyaml.Object{Fields: []strictyaml.Field{
	mayHave("conduction", withinMM(0, 20), "From the conduction axis; 2 mm unless given."),
	mayHave("coronary", withinMM(0, 20), "From the right coronary artery; 0.5 mm unless given."),
	mayHave("aorta", withinMM(0, 20), "From the aortic root; 1 mm unless given."),
	mayHave("ostium", withinMM(0, 20), "From the coronary sinus ostium; 1 mm unless given."),
}}

var needleShape = strictyaml.Object{Fields: []strictyaml.Field{
	mayHave("width", withinMM(0.05, 3), "Diameter of the needle; 0.6 mm unless given."),
	mayHave("thread", withinMM(0.05, 3), "Diameter of the thread; 0.35 mm unless given."),
}}

var spacingShape = strictyaml.Object{Fields: []strictyaml.Field{
	mayHave("least", withinMM(0, 50), "The least gap; 0.5 mm unless given."),
	mayHave("most", withinMM(0, 50), "The greatest gap; 10 mm unless given."),
}}

func biteShape() strictyaml.Object {
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mustHave("name", strictyaml.Text{Min: 1, Max: 500}, "A name no other bite has; a number needs quotes."),
			mustHave("kind", choiceOf(Single, Mattress, Running), "The kind of stitch."),
			mustHave("tissue", choiceOf(Wall, Rim, Leaflet), "What the bite is meant to go through."),
			mustHave("in", placeShape(), "Where the needle enters."),
			mayHave("out", placeShape(), "Where it leaves; travel and heading may say it instead."),
			mayHave("travel", withinMM(0.5, 40), "How far it leaves from where it entered."),
			mayHave("heading", headingShape(), "Which way it travels: 0 deg is clockwise along the hinge, 90 deg up the wall."),
			mustHave("depth", strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 15)}, "How deep it goes."),
			mayHave("apart", withinMM(0.5, 30), "Of a mattress stitch: from its first arm clockwise to its second."),
			mayHave("pledget", choiceOf(NoPledget, Atrial, Ventricular), "Of a mattress stitch: the side its pledget lies on."),
			mayHave("passes", strictyaml.Whole{Min: 2, Max: 100}, "Of a running stitch: how often it goes through."),
			mayHave("pitch", withinMM(-50, 50), "Of a running stitch: from the start of one pass to the next, negative for anticlockwise; never between -0.5 mm and 0.5 mm."),
			mayHave("note", strictyaml.Text{Max: 2000}, "Anything worth remembering."),
		},
		OneOf: []strictyaml.Group{{{"out"}, {"travel", "heading"}}},
		When: []strictyaml.When{
			{Key: "kind", Is: string(Mattress), Needs: []string{"apart", "pledget"}},
			{Key: "kind", Is: string(Running), Needs: []string{"passes", "pitch"}},
		},
	}
}

// placeShape holds the three ways to say a place, told apart by their first key.
func placeShape() strictyaml.Alternatives {
	toward := append([]string{Clockwise, Anticlockwise}, Segments()...)
	return strictyaml.Alternatives{Of: []strictyaml.Alternative{
		placeBy(FromLandmark,
			mustHave("from", choiceOf(Landmarks()...), "The landmark to measure from."),
			mustHave("toward", choiceOf(append(toward, Commissures()...)...), "Which way along the hinge."),
			mustHave("by", withinMM(0, 250), "How far along the hinge."),
		),
		placeBy(OfSegment,
			mustHave("segment", choiceOf(Segments()...), "The segment of the rim."),
			mustHave("share", strictyaml.Quantity{Unit: "%", Within: strictyaml.Between(0, 100)}, "How far along it, from its clockwise start."),
		),
		placeBy(AtClock,
			mustHave("clock", strictyaml.Clock{}, "The hour seen from the atrium, 12:00 in front."),
		),
	}}
}

func placeBy(way Way, fields ...strictyaml.Field) strictyaml.Alternative {
	off := mayHave("off", withinMM(-25, 40), "Off the hinge: positive up the atrial wall, negative onto the leaflet; 0 mm unless given.")
	return strictyaml.Alternative{Key: string(way), Shape: strictyaml.Object{Fields: append(fields, off)}}
}

func headingShape() strictyaml.Quantity {
	shape := strictyaml.Quantity{Unit: "deg", Within: strictyaml.FromBelow(0, 360)}
	for _, h := range headingWords {
		shape.Words = append(shape.Words, h.word)
	}
	return shape
}
