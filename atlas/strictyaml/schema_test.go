package strictyaml

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func compile(t *testing.T, shape Shape) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema(shape, "test", "test.schema.json")))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("test.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("test.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// The texts are JSON, which is YAML as well, so reader and schema judge the
// very same bytes.
func TestSchemaAgreesWithReader(t *testing.T) {
	schema := compile(t, menu)
	for _, c := range []struct {
		text string
		fine bool
	}{
		{`{}`, true},
		{`{"bogus": 1}`, false},
		{`[]`, false},
		{`{"length": "12 mm"}`, true},
		{`{"length": "12mm"}`, true},
		{`{"length": 12}`, false},
		{`{"length": "12 cm"}`, false},
		{`{"length": "-1 mm"}`, false},
		{`{"offset": "-1 mm"}`, true},
		{`{"angle": "clockwise"}`, true},
		{`{"angle": "30 deg"}`, true},
		{`{"angle": "widdershins"}`, false},
		{`{"title": "x"}`, true},
		{`{"title": ""}`, false},
		{`{"title": "a\tb"}`, false},
		{`{"title": "0123456789abc"}`, false},
		{`{"title": 1}`, false},
		{`{"colour": "red"}`, true},
		{`{"colour": "mauve"}`, false},
		{`{"count": 9}`, true},
		{`{"count": 10}`, false},
		{`{"count": 1.5}`, false},
		{`{"ratio": 2}`, true},
		{`{"ratio": 2.1}`, false},
		{`{"at": "4:30"}`, true},
		{`{"at": "13:00"}`, false},
		{`{"open": true}`, true},
		{`{"open": "true"}`, false},
		{`{"list": [1, 2, 3]}`, true},
		{`{"list": [1, 2, 3, 4]}`, false},
		{`{"heart": {"rim-length": "3 mm"}}`, true},
		{`{"heart": {}}`, false},
		{`{"heart": {"other": "3 mm"}}`, false},
		{`{"place": {"from": "a", "by": "1 mm"}}`, true},
		{`{"place": {"clock": "4:30"}}`, true},
		{`{"place": {"clock": "4:30", "by": "1 mm"}}`, false},
		{`{"place": {"by": "1 mm"}}`, false},
		{`{"path": {"out": "a"}}`, true},
		{`{"path": {"travel": "1 mm", "heading": "a"}}`, true},
		{`{"path": {"travel": "1 mm"}}`, false},
		{`{"path": {"out": "a", "heading": "a"}}`, false},
		{`{"path": {}}`, false},
		{`{"path": {"out": "a", "kind": "two", "apart": "1 mm"}}`, true},
		{`{"path": {"out": "a", "kind": "two"}}`, false},
		{`{"path": {"out": "a", "kind": "one", "apart": "1 mm"}}`, false},
		{`{"path": {"out": "a", "kind": "one"}}`, true},
	} {
		_, problems := Parse("f", []byte(c.text), menu)
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader([]byte(c.text)))
		if err != nil {
			t.Fatal(err)
		}
		refusal := schema.Validate(value)
		if (problems == nil) != c.fine || (refusal == nil) != c.fine {
			t.Errorf("%s: want fine %v\nreader: %v\nschema: %v", c.text, c.fine, problems, refusal)
		}
	}
}

func TestSchemaIsDeterministicAndDescribed(t *testing.T) {
	shape := Object{Doc: "The whole.", Fields: []Field{{Name: "b", Doc: "The part.", Shape: Quantity{Unit: "mm", Within: AboveUpTo(0, 15)}}, {Name: "a", Shape: Choice{Doc: "A colour.", Words: []string{"red"}}}}}
	want := `{
  "$schema": "https://json-schema.org/draft/2020-12/schema",
  "$id": "x.json",
  "title": "X",
  "description": "The whole.",
  "type": "object",
  "properties": {
    "b": {
      "description": "The part. a number in mm, more than 0 mm and at most 15 mm",
      "type": "string",
      "pattern": "^\\+?(0|[1-9][0-9]*)(\\.[0-9]+)? ?mm$"
    },
    "a": {
      "description": "A colour.",
      "enum": [
        "red"
      ]
    }
  },
  "additionalProperties": false
}
`
	got := Schema(shape, "X", "x.json")
	if string(got) != want || !bytes.Equal(got, Schema(shape, "X", "x.json")) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if !json.Valid(Schema(menu, "menu <&>", "m")) {
		t.Error("the schema is not JSON")
	}
}
