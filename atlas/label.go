package atlas

import "fairlead/atlas/words"

// usualLabel is what a landmark, structure or zone of the usual heart is called.
func usualLabel(kind, id string) words.Said { return words.Of(kind + "." + id) }
