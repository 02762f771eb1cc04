package atlas

import (
	"fmt"

	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// usualLabel is what a landmark, structure or zone of the usual heart is called.
func usualLabel(kind, id string) words.Said { return words.Of(kind + "." + id) }

// nameOf is what a variant is called.
func (r *variantReader) nameOf(id strictyaml.Value) words.Said {
	label := words.Of("variant." + id.Text() + ".label")
	requireMessage(&r.problems, id, label)
	return label
}

// called is what a landmark, structure or zone of a variant is called: by a name of its own or, where it has none, as that
// of the usual heart.
func (r *variantReader) called(variant, kind string, id strictyaml.Value) words.Said {
	own := words.Of("variant." + variant + "." + kind + "." + id.Text())
	if usual := usualLabel(kind, id.Text()); !words.English().Has(own.ID()) && words.English().Has(usual.ID()) {
		return usual
	}
	requireMessage(&r.problems, id, own)
	return own
}

// requireMessage makes sure that what the data name at a place has a name that can be said.
func requireMessage(problems *strictyaml.Problems, at strictyaml.Value, label words.Said) {
	if at.Present() && !words.English().Has(label.ID()) {
		problems.Add(at.Position(), fmt.Sprintf("nothing says what %q is called", at.Text()),
			"the message "+label.ID(), "add it to every file of atlas/words/languages")
	}
}
