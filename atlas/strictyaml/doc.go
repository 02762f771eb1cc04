// Package strictyaml reads a YAML document against a described [Shape] and
// reports everything that is wrong with it at once, each finding with its
// place, what was expected there and how to mend it.
//
// The same description yields a JSON Schema through [Schema], so that an editor
// and the reader cannot come to disagree about what a file may hold.
//
// Much of YAML is refused on purpose: anchors, aliases, merge keys, explicit
// tags and further documents all let a file mean something other than what a
// reader of it sees.
package strictyaml
