package placement

import "fairlead/atlas"

// ParameterNames lists what a plan may measure: every parameter of the catalogue.
func ParameterNames(catalogue *atlas.Catalogue) (names []ParameterName) {
	for _, p := range catalogue.Parameters() {
		names = append(names, ParameterName{Name: p.Name, Unit: p.Unit, Label: p.Label, Min: p.Least, Max: p.Most})
	}
	return names
}
