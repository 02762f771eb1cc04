package strictyaml

import (
	"bytes"
	"encoding/json"
	"slices"
)

// Schema writes a shape as a JSON Schema, draft 2020-12. It holds all a schema
// can express: a quantity is a text to it, whose range the description gives.
func Schema(shape Shape, title, id string) []byte {
	head := members{{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"$id", id}, {"title", title}}
	var indented bytes.Buffer
	// Every value below is a text, a number or a list of such, which always
	// marshal, and what they marshal to always indents.
	_ = json.Indent(&indented, encode(append(head, shape.schema()...)), "", "  ")
	indented.WriteByte('\n')
	return indented.Bytes()
}

// members is a JSON object whose members keep their order, for an editor to
// offer keys in the order a file has them.
type members []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in their order.
func (m members) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteByte('{')
	for i, one := range m {
		if i > 0 {
			out.WriteByte(',')
		}
		out.Write(encode(one.key))
		out.WriteByte(':')
		out.Write(encode(one.value))
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}

func encode(value any) []byte {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	_ = encoder.Encode(value)
	return bytes.TrimSpace(out.Bytes())
}

// described puts a description in front, leaving out what is not given.
func described(doc, more string, rest members) members {
	switch {
	case doc == "":
		doc = more
	case more != "":
		doc += " (" + more + ")"
	}
	if doc == "" {
		return rest
	}
	return append(members{{"description", doc}}, rest...)
}

// ofField says of a field's shape what the field is for.
func ofField(f Field) members {
	inner := f.Shape.schema()
	if f.Doc == "" {
		return inner
	}
	at := slices.IndexFunc(inner, func(m member) bool { return m.key == "description" })
	if at < 0 {
		return described(f.Doc, "", inner)
	}
	inner = slices.Clone(inner)
	inner[at].value = f.Doc + " " + inner[at].value.(string)
	return inner
}

func properties(fields []Field) members {
	all := members{}
	for _, f := range fields {
		all = append(all, member{f.Name, ofField(f)})
	}
	return all
}

func (o Object) schema() members {
	rest := members{{"type", "object"}, {"properties", properties(o.Fields)}}
	if required := o.required(); len(required) > 0 {
		rest = append(rest, member{"required", required})
	}
	rest = append(rest, member{"additionalProperties", false})
	var rules []members
	for _, group := range o.OneOf {
		rules = append(rules, group.schema())
	}
	for _, when := range o.When {
		rules = append(rules, when.schema())
	}
	if len(rules) > 0 {
		rest = append(rest, member{"allOf", rules})
	}
	return described(o.Doc, "", rest)
}

func (o Object) required() []string {
	var names []string
	for _, f := range o.Fields {
		if f.Required {
			names = append(names, f.Name)
		}
	}
	return names
}

func (g Group) schema() members {
	var ways []members
	for i, set := range g {
		var others []string
		for j, other := range g {
			if i != j {
				others = append(others, other...)
			}
		}
		ways = append(ways, members{{"required", set}, {"properties", forbidden(others)}})
	}
	return members{{"oneOf", ways}}
}

func forbidden(keys []string) members {
	none := members{}
	for _, key := range keys {
		none = append(none, member{key, false})
	}
	return none
}

func (w When) schema() members {
	holds := members{{"properties", members{{w.Key, members{{"const", w.Is}}}}}, {"required", []string{w.Key}}}
	return members{
		{"if", holds},
		{"then", members{{"required", w.Needs}}},
		{"else", members{{"properties", forbidden(w.Needs)}}},
	}
}

func (m Map) schema() members {
	rest := members{{"type", "object"}, {"properties", properties(m.Entries)}, {"additionalProperties", false}}
	if m.Min > 0 {
		rest = append(rest, member{"minProperties", m.Min})
	}
	return described(m.Doc, "", rest)
}

func (a Alternatives) schema() members {
	var ways []members
	for _, one := range a.Of {
		ways = append(ways, one.Shape.schema())
	}
	return described(a.Doc, "", members{{"oneOf", ways}})
}

func (l List) schema() members {
	return described(l.Doc, "", members{{"type", "array"}, {"items", l.Of.schema()}, {"minItems", l.Min}, {"maxItems", l.most()}})
}

func (q Quantity) schema() members {
	number := members{{"type", "string"}, {"pattern", q.pattern()}}
	if len(q.Words) == 0 {
		return described(q.Doc, q.expected(), number)
	}
	return described(q.Doc, q.expected(), members{{"anyOf", []members{{{"enum", q.Words}}, number}}})
}

func (q Number) schema() members {
	rest := members{{"type", "number"}}
	if q.Within.Min != nil {
		rest = append(rest, member{bound("minimum", "exclusiveMinimum", q.Within.OpenMin), *q.Within.Min})
	}
	if q.Within.Max != nil {
		rest = append(rest, member{bound("maximum", "exclusiveMaximum", q.Within.OpenMax), *q.Within.Max})
	}
	return described(q.Doc, "", rest)
}

func bound(closed, open string, isOpen bool) string {
	if isOpen {
		return open
	}
	return closed
}

func (w Whole) schema() members {
	return described(w.Doc, "", members{{"type", "integer"}, {"minimum", w.Min}, {"maximum", w.Max}})
}

func (t Text) schema() members {
	rest := members{{"type", "string"}, {"pattern", "^[^\\x00-\\x1f\\x7f-\\x9f\u2028\u2029]*$"}}
	if t.Min > 0 {
		rest = append(rest, member{"minLength", t.Min})
	}
	if t.Max > 0 {
		rest = append(rest, member{"maxLength", t.Max})
	}
	return described(t.Doc, "", rest)
}

func (c Choice) schema() members {
	return described(c.Doc, "", members{{"enum", c.Words}})
}

func (c Clock) schema() members {
	return described(c.Doc, c.expected(), members{{"type", "string"}, {"pattern", clockPattern}})
}

func (b Bool) schema() members {
	return described(b.Doc, "", members{{"type", "boolean"}})
}

func (s ShortOrLong) schema() members {
	return members{{"anyOf", []members{s.Short.schema(), s.Long.schema()}}}
}
