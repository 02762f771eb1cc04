package atlas

import "fairlead/atlas/strictyaml"

var (
	variantID = strictyaml.Text{Min: 1, Max: 60}
	// A figure of a variant is never common practice: that is a grade of rules.
	variantGrade   = strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption"}}
	variantSources = strictyaml.List{Min: 1, Max: 8, Of: variantID}
	variantIDs     = strictyaml.List{Min: 1, Max: 30, Of: variantID}
	variantShare   = strictyaml.Quantity{Unit: "%", Within: strictyaml.Between(0, 100)}
)

// lengthShape is a length in mm on the usual rim of 105 mm, which grows and shrinks with the rim, or the name of what
// has a length of its own.
func lengthShape(low, high float64, names ...string) strictyaml.Quantity {
	return strictyaml.Quantity{Unit: "mm", Within: strictyaml.Between(low, high), Words: names}
}

// underNode is the depth at which the artery of the node touches the node from below.
const underNode = "under-node"

var placeShape = strictyaml.Object{
	Doc: "A place relative to the heart. What is not said is as it is at `from`.",
	Fields: []strictyaml.Field{
		{Name: "from", Required: true, Shape: variantID, Doc: "A landmark, also one of this file above, or crux: the end of the right coronary artery."},
		{Name: "toward", Shape: strictyaml.Choice{Words: []string{"clockwise", "anticlockwise"}}, Doc: "Along the rim."},
		{Name: "to", Shape: variantID, Doc: "Straight to another landmark."},
		{Name: "by", Shape: lengthShape(0, 60)},
		{Name: "share", Shape: variantShare, Doc: "Of a segment, or of the way to the other landmark."},
		{Name: "of", Shape: strictyaml.Choice{Words: []string{"anterior", "posterior", "septal"}}, Doc: "The segment a share is of; septal where not said."},
		{Name: "off", Shape: lengthShape(-30, 40), Doc: "Off the hinge: up the wall, or onto the leaflet when negative."},
		{Name: "deep", Shape: lengthShape(0, 15, "node-depth", "bundle-depth-entry", "bundle-depth-end", "nodal-artery-depth", underNode), Doc: "Under the surface."},
	},
}

var variantShape = strictyaml.Object{Fields: []strictyaml.Field{
	{Name: "id", Required: true, Shape: variantID},
	{Name: "summary", Required: true, Shape: strictyaml.Text{Min: 1, Max: 400}},
	{Name: "known", Shape: strictyaml.Choice{Words: []string{"topology", "figures"}}},
	{Name: "refused", Shape: strictyaml.Text{Min: 1, Max: 400}},
	{Name: "sources", Required: true, Shape: variantSources},
	{Name: "published", Shape: strictyaml.List{Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "says", Required: true, Shape: strictyaml.Text{Min: 1, Max: 300}},
		{Name: "grade", Required: true, Shape: variantGrade},
		{Name: "source", Required: true, Shape: variantID},
	}}}},
	{Name: "parameters", Shape: strictyaml.List{Of: changeShape}},
	{Name: "without", Shape: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "structures", Shape: variantIDs}, {Name: "zones", Shape: variantIDs}, {Name: "landmarks", Shape: variantIDs},
	}}},
	{Name: "landmarks", Shape: strictyaml.List{Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "id", Required: true, Shape: variantID},
		{Name: "at", Required: true, Shape: placeShape},
		{Name: "on-hinge", Shape: strictyaml.Bool{}},
		{Name: "grade", Required: true, Shape: variantGrade},
		{Name: "source", Required: true, Shape: variantID},
	}}}},
	{Name: "structures", Shape: strictyaml.List{Of: structureShape}},
	{Name: "zones", Shape: strictyaml.List{Of: zoneShape}},
}}

var changeShape = strictyaml.Object{
	Fields: []strictyaml.Field{
		{Name: "name", Required: true, Shape: variantID},
		{Name: "factor", Shape: strictyaml.Number{Within: strictyaml.AboveUpTo(0, 10)}},
		{Name: "value", Shape: strictyaml.Number{}},
		{Name: "spread", Shape: strictyaml.Number{Within: strictyaml.AtLeast(0)}},
		{Name: "grade", Required: true, Shape: variantGrade},
		{Name: "source", Required: true, Shape: variantID},
		{Name: "note", Required: true, Shape: strictyaml.Text{Min: 1, Max: 300}},
	},
	OneOf: []strictyaml.Group{{{"factor"}, {"value", "spread"}}},
}

var structureShape = strictyaml.Object{
	Fields: []strictyaml.Field{
		{Name: "id", Required: true, Shape: variantID},
		{Name: "kind", Required: true, Shape: strictyaml.Choice{Words: []string{string(Conduction), string(NodalArtery)}}},
		{Name: "node", Shape: strictyaml.Object{Fields: []strictyaml.Field{
			{Name: "at", Required: true, Shape: placeShape},
			{Name: "toward", Required: true, Shape: placeShape, Doc: "Where its long axis points."},
		}}, Doc: "An ellipsoid with the sizes of the node."},
		{Name: "tube", Shape: strictyaml.Object{Fields: []strictyaml.Field{
			{Name: "through", Required: true, Shape: strictyaml.List{Min: 2, Max: 20, Of: placeShape}},
			{Name: "calibre", Required: true, Shape: lengthShape(0.2, 6, "bundle-calibre", "extension-calibre", "nodal-artery-calibre")},
		}}},
		{Name: "spread", Required: true, Shape: strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 15)}, Doc: "How far it may really lie from here, one standard deviation; it does not grow with the rim."},
		{Name: "share", Required: true, Shape: variantShare},
		{Name: "grade", Required: true, Shape: variantGrade},
		{Name: "sources", Required: true, Shape: variantSources},
	},
	OneOf: []strictyaml.Group{{{"node"}, {"tube"}}},
}

var zoneShape = strictyaml.Object{
	Doc: "A zone. With the id of a zone of the usual heart it takes that one's place, and its rules with it; an id of its own brings no rule.",
	Fields: []strictyaml.Field{
		{Name: "id", Required: true, Shape: variantID},
		{Name: "outline", Shape: strictyaml.List{Min: 3, Max: 40, Of: placeShape}},
		{Name: "ellipse", Shape: strictyaml.Object{Fields: []strictyaml.Field{
			{Name: "centre", Required: true, Shape: placeShape},
			{Name: "along", Required: true, Shape: lengthShape(0.5, 60, "ostium-craniocaudal", "ostium-transverse")},
			{Name: "up", Required: true, Shape: lengthShape(0.5, 60, "ostium-craniocaudal", "ostium-transverse")},
		}}},
		{Name: "grade", Required: true, Shape: variantGrade},
		{Name: "sources", Required: true, Shape: variantSources},
	},
	OneOf: []strictyaml.Group{{{"outline"}, {"ellipse"}}},
}
