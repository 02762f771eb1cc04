package strictyaml

import (
	"fmt"
	"slices"
)

// say begins a message with the key it is about.
func say(label, what string) string {
	if label == "" {
		return what
	}
	return label + ": " + what
}

// take reads a value against its shape. What hides behind an alias or a tag was
// refused with the document's structure; a second message would only confuse.
func (r *reader) take(shape Shape, n *node, label string) Value {
	if n.kind == aliasNode || n.kind == scalarNode && n.tag != "" {
		return Value{}
	}
	return shape.read(r, n, label)
}

// refuseKind reports a value of quite another kind than expected.
func (r *reader) refuseKind(n *node, label string, shape Shape, mend string) Value {
	r.problems.Add(r.place(n), say(label, seen(n)), shape.expected(), mend)
	return Value{}
}

func seen(n *node) string {
	switch {
	case n.kind == mappingNode:
		return "a mapping is here"
	case n.kind == listNode:
		return "a list is here"
	case isNull(n):
		return "nothing is here"
	}
	return quote(n.text) + " is here"
}

// taken is a mapping's usable entries by key.
type taken struct {
	keys   []string
	key    map[string]*node
	values map[string]*node
}

func entries(n *node) taken {
	t := taken{key: map[string]*node{}, values: map[string]*node{}}
	for _, p := range n.pairs {
		if p.key.kind != scalarNode || isMerge(p.key) || t.has(p.key.text) {
			continue // reported with the document's structure
		}
		t.keys = append(t.keys, p.key.text)
		t.key[p.key.text], t.values[p.key.text] = p.key, p.value
	}
	return t
}

func (t taken) has(key string) bool { return t.key[key] != nil }

func (o Object) expected() string { return "a mapping of keys and values" }

func (o Object) read(r *reader, n *node, label string) Value {
	if n.kind != mappingNode {
		return r.refuseKind(n, label, o, "write keys with their values, each on a line")
	}
	there := entries(n)
	value := r.fields(n, there, o.Fields, "key")
	r.missing(n, there, label, o)
	for _, group := range o.OneOf {
		r.oneOf(n, there, label, group)
	}
	for _, when := range o.When {
		r.when(n, there, label, when)
	}
	return value
}

func (r *reader) fields(n *node, there taken, known []Field, noun string) Value {
	value := &content{at: r.place(n), fields: map[string]Value{}}
	for _, key := range there.keys {
		i := slices.IndexFunc(known, func(f Field) bool { return f.Name == key })
		if i < 0 {
			r.unknownKey(there.key[key], known, noun)
			continue
		}
		if field := r.take(known[i].Shape, there.values[key], key); field.Present() {
			value.keys = append(value.keys, key)
			value.fields[key] = field
		}
	}
	return Value{value}
}

func (r *reader) unknownKey(key *node, known []Field, noun string) {
	if !isText(key) {
		return // reported with the document's structure
	}
	names := fieldNames(known)
	expected := "one of " + choices(names)
	if len(names) == 0 {
		expected = "no " + noun + " at all"
	}
	mend := didYouMean(key.text, names)
	if mend == "" {
		mend = "remove or rename it"
	}
	r.problems.Add(r.place(key), "unknown "+noun+" "+quote(key.text), expected, mend)
}

func fieldNames(fields []Field) []string {
	var names []string
	for _, f := range fields {
		names = append(names, f.Name)
	}
	return names
}

func (r *reader) missing(n *node, there taken, label string, o Object) {
	for _, f := range o.Fields {
		if f.Required && !there.has(f.Name) {
			r.problems.Add(r.place(n), say(label, "the key "+f.Name+" is missing"), f.Name+" with "+f.Shape.expected(), "add it")
		}
	}
}

// oneOf wants exactly one set of the group, and that one whole.
func (r *reader) oneOf(n *node, there taken, label string, group Group) {
	var begun [][]string
	for _, set := range group {
		if slices.ContainsFunc(set, there.has) {
			begun = append(begun, set)
		}
	}
	switch {
	case len(begun) == 0:
		r.problems.Add(r.place(n), say(label, choices(eachSet(group))+" is missing"), "exactly one of them", "add the one that is meant")
	case len(begun) > 1:
		r.problems.Add(r.place(n), say(label, together(eachSet(begun))+" exclude each other"), "exactly one of "+choices(eachSet(group)), "remove what is not meant")
	default:
		r.rest(n, there, label, begun[0], "")
	}
}

func eachSet(sets [][]string) []string {
	var named []string
	for _, set := range sets {
		if len(set) == 1 {
			named = append(named, set[0])
			continue
		}
		named = append(named, "("+together(set)+")")
	}
	return named
}

func (r *reader) rest(n *node, there taken, label string, set []string, why string) {
	for _, key := range set {
		if !there.has(key) {
			r.problems.Add(r.place(n), say(label, "the key "+key+" is missing"+why), together(set)+" together", "add it")
		}
	}
}

func (r *reader) when(n *node, there taken, label string, when When) {
	if !there.has(when.Key) || there.values[when.Key].kind != scalarNode {
		return // the missing or broken word is a problem of its own
	}
	word := there.values[when.Key].text
	if word == when.Is {
		r.rest(n, there, label, when.Needs, fmt.Sprintf(" where %s is %s", when.Key, when.Is))
		return
	}
	for _, key := range when.Needs {
		if there.has(key) {
			r.problems.Add(r.place(there.key[key]), say(label, fmt.Sprintf("the key %s is here where %s is %s", key, when.Key, shorten(word))), fmt.Sprintf("%s only where %s is %s", key, when.Key, when.Is), "remove it, or mend "+when.Key)
		}
	}
}

func (m Map) noun() string {
	if m.Noun == "" {
		return "entry"
	}
	return m.Noun
}

func (m Map) expected() string { return "a mapping with a value for each " + m.noun() }

func (m Map) read(r *reader, n *node, label string) Value {
	if n.kind != mappingNode {
		return r.refuseKind(n, label, m, "write keys with their values, or leave the key out altogether")
	}
	there := entries(n)
	if len(there.keys) < m.Min {
		r.problems.Add(r.place(n), say(label, "too few entries"), fmt.Sprintf("at least %d", m.Min), "add what is missing")
	}
	return r.fields(n, there, m.Entries, m.noun())
}

func (a Alternatives) keys() []string {
	var keys []string
	for _, one := range a.Of {
		keys = append(keys, one.Key)
	}
	return keys
}

// ways names each alternative by its required fields.
func (a Alternatives) ways() string {
	var sets [][]string
	for _, one := range a.Of {
		var set []string
		for _, f := range one.Shape.Fields {
			if f.Required {
				set = append(set, f.Name)
			}
		}
		sets = append(sets, set)
	}
	return choices(eachSet(sets))
}

func (a Alternatives) expected() string { return "a mapping with " + a.ways() }

func (a Alternatives) read(r *reader, n *node, label string) Value {
	if n.kind != mappingNode {
		return r.refuseKind(n, label, a, "write keys with their values, as in {"+a.Of[0].Key+": …}")
	}
	there := entries(n)
	var meant []Alternative
	for _, one := range a.Of {
		if there.has(one.Key) {
			meant = append(meant, one)
		}
	}
	switch {
	case len(meant) == 1:
		return meant[0].Shape.read(r, n, label)
	case len(meant) == 0:
		r.problems.Add(r.place(n), say(label, "none of the keys "+choices(a.keys())+" is here"), a.ways(), a.hint(there))
	default:
		both := []string{}
		for _, one := range meant {
			both = append(both, one.Key)
		}
		r.problems.Add(r.place(n), say(label, "the keys "+together(both)+" exclude each other"), "either "+a.ways(), "keep the one way that is meant")
	}
	return Value{}
}

func (a Alternatives) hint(there taken) string {
	for _, key := range there.keys {
		if near, ok := nearest(key, a.keys()); ok {
			return "did you mean " + near + " by " + quote(key) + "?"
		}
	}
	return "choose one way and write its keys"
}

func (l List) most() int {
	if l.Max == 0 {
		return MaxItems
	}
	return min(l.Max, MaxItems)
}

func (l List) expected() string { return "a list" }

func (l List) read(r *reader, n *node, label string) Value {
	if n.kind != listNode {
		return r.refuseKind(n, label, l, "write each item behind a dash, or [] for none")
	}
	if count := len(n.items); count < l.Min || count > l.most() {
		r.problems.Add(r.place(n), say(label, fmt.Sprintf("the list has %d items", count)), fmt.Sprintf("%d to %d", l.Min, l.most()), "lengthen or shorten it")
	}
	value := &content{at: r.place(n)}
	for i, item := range n.items[:min(len(n.items), l.most())] {
		if read := r.take(l.Of, item, fmt.Sprintf("item %d", i+1)); read.Present() {
			value.items = append(value.items, read)
		}
	}
	return Value{value}
}

func (s ShortOrLong) expected() string {
	return s.Short.expected() + ", or a mapping with " + s.Key + " and more"
}

func (s ShortOrLong) read(r *reader, n *node, label string) Value {
	if n.kind == mappingNode {
		return s.Long.read(r, n, label)
	}
	short := s.Short.read(r, n, label)
	if !short.Present() {
		return Value{}
	}
	return Value{&content{at: r.place(n), keys: []string{s.Key}, fields: map[string]Value{s.Key: short}}}
}
