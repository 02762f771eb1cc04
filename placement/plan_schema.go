package placement

import "fairlead/atlas/strictyaml"

// SchemaName is the file name plans name their schema by.
const SchemaName = "plan.schema.json"

// Schema writes the plan file format as a JSON Schema, for editors.
func Schema(words Words) []byte {
	return strictyaml.Schema(planShape(words), "fairlead plan", SchemaName)
}
