package placement

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"fairlead/atlas/strictyaml"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema(inventedParameters)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(SchemaName, doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile(SchemaName)
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// asJSON gives the first document of a file as an editor would hand it to a
// schema. It reads YAML with the library itself, loosely, so that the schema is
// not judged by the strict reader's own idea of the file.
func asJSON(data []byte) (any, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, err
	}
	if len(doc.Content) == 0 {
		return nil, nil
	}
	return jsonOf(doc.Content[0])
}

func jsonOf(n *yaml.Node) (any, error) {
	switch n.Kind {
	case yaml.AliasNode:
		return jsonOf(n.Alias)
	case yaml.SequenceNode:
		return jsonList(n)
	case yaml.MappingNode:
		return jsonMapping(n)
	}
	switch n.ShortTag() {
	case "!!null", "!!bool", "!!int", "!!float":
		var value any
		err := n.Decode(&value)
		return value, err
	}
	return n.Value, nil
}

func jsonList(n *yaml.Node) (any, error) {
	list := []any{}
	for _, item := range n.Content {
		value, err := jsonOf(item)
		if err != nil {
			return nil, err
		}
		list = append(list, value)
	}
	return list, nil
}

func jsonMapping(n *yaml.Node) (any, error) {
	mapping := map[string]any{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Kind != yaml.ScalarNode {
			return nil, errors.New("a key that is no text")
		}
		if key.ShortTag() == "!!merge" {
			continue // what it merges is written elsewhere in the file
		}
		held, err := jsonOf(value)
		if err != nil {
			return nil, err
		}
		mapping[key.Value] = held
	}
	return mapping, nil
}

// schemaRefuses reports what the schema has against a file. blind tells that
// there is nothing to show it, the file not being a document at all.
func schemaRefuses(schema *jsonschema.Schema, data []byte) (refusal error, blind bool) {
	value, err := asJSON(data)
	if err != nil {
		return nil, true
	}
	return schema.Validate(value), false
}

// What no schema can see.
const (
	notYAML    = "it is no YAML document, so there is nothing to hold against a schema"
	yamlItself = "the schema sees the values, not how YAML came by them"
	unitRange  = "a pattern cannot hold the range of a number in a text"
	between    = "it concerns two values at once"
)

var schemaBlind = map[string]string{
	"alias-of-nothing.yaml":   notYAML,
	"bad-indentation.yaml":    notYAML,
	"control-character.yaml":  notYAML,
	"list-as-key.yaml":        notYAML,
	"no-colon.yaml":           notYAML,
	"not-utf8.yaml":           notYAML,
	"open-bracket.yaml":       notYAML,
	"open-quote.yaml":         notYAML,
	"tab.yaml":                notYAML,
	"two-colons.yaml":         notYAML,
	"alias.yaml":              yamlItself,
	"anchor.yaml":             yamlItself,
	"merge-key.yaml":          yamlItself,
	"tag.yaml":                yamlItself,
	"second-document.yaml":    yamlItself,
	"duplicate-key.yaml":      yamlItself,
	"version-fraction.yaml":   "to JSON, 1.0 is a whole number",
	"depth-zero.yaml":         unitRange,
	"heading-turn.yaml":       unitRange,
	"out-of-range.yaml":       unitRange,
	"running-pitch.yaml":      unitRange,
	"duplicate-name.yaml":     between,
	"leaflet-on-wall.yaml":    between,
	"wall-on-leaflet.yaml":    between,
	"spacing-reversed.yaml":   between,
	"toward-itself.yaml":      between,
	"line-bites-nowhere.yaml": between,
	"line-toward-itself.yaml": between,
	"line-two-places.yaml":    between,
	"patch-heights.yaml":      between,
	"repair-axes.yaml":        between,
	"repair-length.yaml":      between,
	"repair-narrow.yaml":      between,
	"repair-no-length.yaml":   between,
	"repair-no-opening.yaml":  between,
	"repair-opening.yaml":     between,
	"repair-unopened.yaml":    between,
	"repair-order.yaml":       between,
}

func TestSchemaAcceptsSoundPlans(t *testing.T) {
	schema := compiledSchema(t)
	for _, file := range planFiles(t, "ok") {
		if refusal, blind := schemaRefuses(schema, readFile(t, file)); refusal != nil || blind {
			t.Errorf("%s: %v, blind %v", file, refusal, blind)
		}
	}
}

func TestSchemaRefusesBrokenPlans(t *testing.T) {
	schema, seen := compiledSchema(t), 0
	for _, file := range planFiles(t, "err") {
		name := filepath.Base(file)
		reason, excepted := schemaBlind[name]
		refusal, blind := schemaRefuses(schema, readFile(t, file))
		switch {
		case excepted && refusal != nil:
			t.Errorf("%s: excepted because %s, yet the schema refuses it: %v", name, reason, refusal)
		case !excepted && refusal == nil:
			t.Errorf("%s: the schema does not refuse it", name)
		case excepted && blind != (reason == notYAML):
			t.Errorf("%s: blind is %v, but the reason given is: %s", name, blind, reason)
		}
		if excepted {
			seen++
		}
	}
	if seen != len(schemaBlind) {
		t.Errorf("%d exceptions for %d files", len(schemaBlind), seen)
	}
}

// blindTo recognises the problems that no schema can see.
var blindTo = regexp.MustCompile(`is too (small|large);|another bite is called|is on the leaflet, but|is up the wall, but|leaves the passes upon|the least gap|toward itself|for the second time|: repair: |: line: `)

// Problems of numbers without a unit are not among them.
var seenBySchema = regexp.MustCompile(`expected a number without a unit`)

func allBlind(problems strictyaml.Problems) bool {
	for _, p := range problems {
		if !blindTo.MatchString(p.Error()) || seenBySchema.MatchString(p.Error()) {
			return false
		}
	}
	return true
}

func TestSchemaAndReaderAgreeOnMutations(t *testing.T) {
	schema, r := compiledSchema(t), rand.New(rand.NewPCG(11, 12))
	outcomes := map[string]int{}
	for _, file := range planFiles(t, "ok") {
		for range 300 {
			text, did := mutated(t, r, readFile(t, file))
			_, problems := Read("f", text, inventedParameters)
			refusal, blind := schemaRefuses(schema, text)
			switch {
			case blind:
				t.Fatalf("%s, %s: the mutation is no YAML:\n%s", file, did, text)
			case refusal != nil && problems == nil:
				t.Errorf("%s, %s: only the schema refuses it: %v\n%s", file, did, refusal, text)
			case refusal == nil && problems != nil && !allBlind(problems):
				t.Errorf("%s, %s: only the reader refuses it: %v\n%s", file, did, problems, text)
			}
			outcomes[fmt.Sprintf("%s, reader refuses %v, schema refuses %v", did, problems != nil, refusal != nil)]++
		}
	}
	for _, kind := range mutations {
		if outcomes[kind.name+", reader refuses true, schema refuses true"] == 0 {
			t.Errorf("%s: never refused by both", kind.name)
		}
	}
	t.Logf("%v", outcomes)
}

type mutation struct {
	name  string
	apply func(r *rand.Rand, at target) bool
}

// target is one value of a document with the mapping or list around it.
type target struct {
	around *yaml.Node
	index  int // of the value in the content around it
}

func (at target) value() *yaml.Node { return at.around.Content[at.index] }

func (at target) keyed() bool { return at.around.Kind == yaml.MappingNode }

func set(n *yaml.Node, kind yaml.Kind, tag, value string) bool {
	*n = yaml.Node{Kind: kind, Tag: tag, Value: value}
	return true
}

var mutations = []mutation{
	{"drop key", func(r *rand.Rand, at target) bool {
		if at.keyed() {
			at.around.Content = append(at.around.Content[:at.index-1:at.index-1], at.around.Content[at.index+1:]...)
		}
		return at.keyed()
	}},
	{"rename key", func(r *rand.Rand, at target) bool {
		if at.keyed() {
			names := []string{"of", "off", "note", "travel", "out", "apart", "clock", "by", "fairlead", "Depth", "passes"}
			at.around.Content[at.index-1].Value = names[r.IntN(len(names))]
		}
		return at.keyed()
	}},
	{"change unit", func(r *rand.Rand, at target) bool {
		number, unit, found := strings.Cut(at.value().Value, " ")
		if !found || len(unit) > 3 || at.value().Kind != yaml.ScalarNode {
			return false
		}
		units := []string{" cm", " mm2", " %", " deg", "  mm", "", "mm", " Mm", " mm "}
		return set(at.value(), yaml.ScalarNode, "!!str", number+units[r.IntN(len(units))])
	}},
	{"change number", func(r *rand.Rand, at target) bool {
		_, unit, found := strings.Cut(at.value().Value, " ")
		if !found || len(unit) > 3 || at.value().Kind != yaml.ScalarNode {
			return false
		}
		numbers := []string{"-1", "0", "-0", "1e2", "007", ".5", "5.", "+3", "1_0", "0x1", "NaN", "1000", "12.25", "1,5"}
		return set(at.value(), yaml.ScalarNode, "!!str", numbers[r.IntN(len(numbers))]+" "+unit)
	}},
	{"change type", func(r *rand.Rand, at target) bool {
		kinds := []func(*yaml.Node) bool{
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!int", "3") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!float", "2.5") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!bool", "true") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!null", "null") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!str", "word") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!str", "") },
			func(n *yaml.Node) bool { return set(n, yaml.ScalarNode, "!!str", "two\nlines") },
			func(n *yaml.Node) bool { return set(n, yaml.SequenceNode, "!!seq", "") },
			func(n *yaml.Node) bool { return set(n, yaml.MappingNode, "!!map", "") },
		}
		return kinds[r.IntN(len(kinds))](at.value())
	}},
	{"change word", func(r *rand.Rand, at target) bool {
		words := []string{"single", "mattress", "running", "wall", "rim", "leaflet", "none", "atrial", "clockwise", "up-the-wall", "septal", "band", "4:30", "13:00", "mid-septal", "Single"}
		return at.value().Kind == yaml.ScalarNode && set(at.value(), yaml.ScalarNode, "!!str", words[r.IntN(len(words))])
	}},
}

// mutated gives a plan with one thing changed, and what was changed.
func mutated(t *testing.T, r *rand.Rand, data []byte) ([]byte, string) {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	targets := targetsIn(doc.Content[0])
	for {
		kind := mutations[r.IntN(len(mutations))]
		if !kind.apply(r, targets[r.IntN(len(targets))]) {
			continue
		}
		text, err := yaml.Marshal(&doc)
		if err != nil {
			t.Fatal(err)
		}
		return text, kind.name
	}
}

func targetsIn(n *yaml.Node) []target {
	var all []target
	for i, child := range n.Content {
		if n.Kind == yaml.SequenceNode || i%2 == 1 {
			all = append(all, target{n, i})
			all = append(all, targetsIn(child)...)
		}
	}
	return all
}
