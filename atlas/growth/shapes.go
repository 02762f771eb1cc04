package growth

import "fairlead/atlas/strictyaml"

// The shapes of the data files.

var (
	anyNumber = strictyaml.Number{}
	positive  = strictyaml.Number{Within: strictyaml.AboveUpTo(0, 1e6)}
	share     = strictyaml.Number{Within: strictyaml.AboveUpTo(0, 1)}
	name      = strictyaml.Text{Min: 1, Max: 60}
	line      = strictyaml.Text{Min: 1, Max: 300}
	grade     = strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption", "practice"}}
)

func required(name string, shape strictyaml.Shape) strictyaml.Field {
	return strictyaml.Field{Name: name, Shape: shape, Required: true}
}

func optional(name string, shape strictyaml.Shape) strictyaml.Field {
	return strictyaml.Field{Name: name, Shape: shape}
}

func object(fields ...strictyaml.Field) strictyaml.Object { return strictyaml.Object{Fields: fields} }

func some(shape strictyaml.Shape) strictyaml.List { return strictyaml.List{Min: 1, Of: shape} }

// graded adds the fields of an Evidence.
func graded(fields ...strictyaml.Field) strictyaml.Object {
	return object(append(fields, required("grade", grade), required("source", name), optional("note", line))...)
}

var sourcesShape = object(required("sources", some(object(
	required("id", name),
	required("read", strictyaml.Choice{Words: []string{"abstract", "secondary", "memory", "none"}}),
	required("cite", line),
	optional("doi", line),
	required("about", line),
))))

var surfaceShape = object(required("formulas", some(formulaShape())))

func formulaShape() strictyaml.Object {
	o := graded(
		required("name", name),
		required("label", line),
		optional("coefficient", positive),
		optional("divisor", positive),
		required("height", positive),
		required("weight", positive),
		optional("weight-log", anyNumber),
		required("weight-unit", strictyaml.Choice{Words: []string{"kg", "g"}}),
	)
	o.OneOf = []strictyaml.Group{{{"coefficient"}, {"divisor"}}}
	return o
}

var datasetsShape = object(required("datasets", some(graded(
	required("id", name),
	required("label", line),
	required("population", line),
	required("age", line),
	required("form", strictyaml.Choice{Words: []string{Power, LogCubic}}),
	required("method", name),
	optional("surface-formula", object(required("name", name), required("grade", grade))),
	required("range", object(required("low", positive), required("high", positive), required("grade", grade), required("note", line))),
	optional("caution", object(required("above", positive), required("text", line))),
	required("quantities", some(quantityShape())),
))))

func quantityShape() strictyaml.Object {
	o := object(
		required("name", name),
		required("label", line),
		required("unit", strictyaml.Choice{Words: []string{"mm", "cm", "mm2", "cm2"}}),
		optional("alpha", positive), optional("mean", positive), optional("sd", positive),
		optional("b0", anyNumber), optional("b1", anyNumber), optional("b2", anyNumber), optional("b3", anyNumber), optional("mse", positive),
		optional("ellipse", strictyaml.List{Min: 2, Max: 2, Of: name}),
	)
	o.OneOf = []strictyaml.Group{{{"alpha", "mean", "sd"}, {"b0", "b1", "b2", "b3", "mse"}}}
	return o
}

var limitsShape = object(required("limits", some(graded(
	required("name", name),
	required("label", line),
	required("sense", strictyaml.Choice{Words: []string{AtMost, Below, AtLeast, Above, About}}),
	required("value", anyNumber),
	required("unit", strictyaml.Choice{Words: []string{"mm", "mm2", "cm", "mmHg", "ms", "%", "mm/m2", "z"}}),
))))

var methodsShape = object(
	required("reference", name),
	required("quantities", some(object(required("name", name), required("unit", strictyaml.Choice{Words: []string{"mm", "mm2"}})))),
	required("never", some(object(required("quantity", name), required("why", line)))),
	required("methods", some(object(
		required("name", name), required("label", line), optional("note", line),
		required("offsets", strictyaml.List{Of: offsetShape()}),
	))),
)

func offsetShape() strictyaml.Object {
	o := graded(
		required("quantity", name),
		optional("difference", anyNumber), optional("sd", positive),
		optional("here", positive), optional("reference", positive), optional("sd-share", share),
		optional("least", positive),
		required("sd-grade", grade),
	)
	o.OneOf = []strictyaml.Group{{{"difference", "sd"}, {"here", "reference", "sd-share"}}}
	return o
}

var patternsShape = object(
	required("patterns", some(graded(
		required("name", name), required("label", line),
		required("posterior", positive), required("anterior", positive), required("septal", positive),
	))),
	required("series", graded(
		required("label", line),
		required("patients", strictyaml.Whole{Min: 1, Max: 1000000}),
		required("rows", some(object(
			required("severity", name),
			required("posterior", meanAndSD), required("anterior", meanAndSD), required("septal", meanAndSD),
		))),
	)),
)

var meanAndSD = strictyaml.List{Min: 2, Max: 2, Of: positive}
