package placement

import "fairlead/atlas/strictyaml"

// SchemaName is the file name plans name their schema by.
const SchemaName = "plan.schema.json"

// Schema writes the plan file format as a JSON Schema, for editors.
func Schema(parameters []ParameterName) []byte {
	return strictyaml.Schema(planShape(parameters), "fairlead plan", SchemaName)
}
