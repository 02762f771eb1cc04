package placement

import (
	"fairlead/atlas"
)

// WordsOf lists the words of the atlas that a plan may use.
func WordsOf(catalogue *atlas.Catalogue) (words Words) {
	for _, p := range catalogue.Parameters() {
		words.Parameters = append(words.Parameters, ParameterName{Name: p.Name, Unit: p.Unit, Label: p.Label.String(), Min: p.Least, Max: p.Most})
	}
	known := catalogue.Growth()
	for _, m := range known.Methods() {
		words.Methods = append(words.Methods, m.Name)
	}
	for _, f := range known.Formulas() {
		words.Formulas = append(words.Formulas, f.Name)
	}
	for _, d := range known.Datasets() {
		words.Datasets = append(words.Datasets, d.ID)
	}
	for _, p := range known.Patterns() {
		words.Patterns = append(words.Patterns, p.Name)
	}
	words.Patterns = append(words.Patterns, atlas.Free)
	words.Variants = atlas.VariantNames()
	return words
}
