package strictyaml

import (
	"bytes"
	"fmt"
	"unicode"
	"unicode/utf8"
)

// What a document may at most hold.
const (
	MaxBytes = 1 << 20 // of a file
	MaxDepth = 32      // mappings and lists within one another
	MaxItems = 5000    // of one list
)

// Parse reads a document against a shape. When there are problems the value
// holds what could be read nevertheless, for checks that go further.
func Parse(file string, data []byte, shape Shape) (Value, Problems) {
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	r := &reader{file: file, end: endOf(data)}
	value := r.document(data, shape)
	return value, r.problems.Sorted()
}

type reader struct {
	file     string
	end      Position
	problems Problems
}

func endOf(data []byte) Position {
	last := data[bytes.LastIndexByte(data, '\n')+1:]
	lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) - bytes.Count(data, []byte("\r\n"))
	return Position{Line: lines + 1, Column: utf8.RuneCount(last) + 1}
}

// at keeps places within the file: the library puts a value that is missing at
// the very end on a line that does not exist.
func (r *reader) at(line, column int) Position {
	if line > r.end.Line {
		line, column = r.end.Line, r.end.Column
	}
	return Position{File: r.file, Line: max(line, 1), Column: max(column, 1)}
}

func (r *reader) place(n *node) Position { return r.at(n.line, n.column) }

func (r *reader) document(data []byte, shape Shape) Value {
	if !r.readableBytes(data) {
		return Value{}
	}
	first, second, err := documents(data)
	if err != nil {
		r.syntaxProblem(data, err.Error())
		return Value{}
	}
	if first == nil {
		r.problems.Add(r.at(1, 1), "the file is empty", shape.expected(), "write the file's content")
		return Value{}
	}
	if second != nil {
		r.problems.Add(r.place(second), "a second document begins", "one document in a file", "remove the line --- and what follows it, or make it a file of its own")
	}
	if !r.plainStructure(first, 1) {
		return Value{}
	}
	return r.take(shape, first, "")
}

// readableBytes refuses what would make line and column numbers, or the text
// itself, mean different things to different programs.
func (r *reader) readableBytes(data []byte) bool {
	if len(data) > MaxBytes {
		r.problems.Add(r.at(1, 1), fmt.Sprintf("the file is %d bytes long", len(data)), fmt.Sprintf("at most %d", MaxBytes), "shorten or split it")
		return false
	}
	line, column := 1, 1
	for rest := data; len(rest) > 0; {
		found, size := utf8.DecodeRune(rest)
		if what := unreadable(found, size); what != "" {
			r.problems.Add(r.at(line, column), what, "text in UTF-8 without control characters", "remove it, or save the file as UTF-8")
			return false
		}
		rest, column = rest[size:], column+1
		if found == '\n' {
			line, column = line+1, 1
		}
	}
	return true
}

func unreadable(found rune, size int) string {
	switch {
	case found == utf8.RuneError && size == 1:
		return "a byte that is not UTF-8"
	case found == '\t' || found == '\n' || found == '\r':
		return ""
	case unicode.IsControl(found), found == 0xFFFE, found == 0xFFFF:
		return fmt.Sprintf("the control character U+%04X", found)
	case found == '\u2028' || found == '\u2029':
		return fmt.Sprintf("the unusual line break U+%04X", found)
	case found == '\uFEFF':
		return "a byte-order mark within the text"
	}
	return ""
}

// plainStructure refuses, anywhere in the document, what this package does not
// take from YAML. It is false when the document must not be read further.
func (r *reader) plainStructure(n *node, depth int) bool {
	if depth > MaxDepth {
		r.problems.Add(r.place(n), "the nesting is too deep", fmt.Sprintf("at most %d levels", MaxDepth), "flatten the file")
		return false
	}
	r.refuseShorthands(n)
	r.refuseDuplicateKeys(n)
	sound := true
	for _, p := range n.pairs {
		r.plainKey(p.key)
		sound = r.plainStructure(p.value, depth+1) && sound
	}
	for _, item := range n.items[:min(len(n.items), MaxItems)] {
		sound = r.plainStructure(item, depth+1) && sound
	}
	if len(n.items) > MaxItems {
		r.problems.Add(r.place(n.items[MaxItems]), fmt.Sprintf("a list has %d items", len(n.items)), fmt.Sprintf("at most %d", MaxItems), "shorten it")
		return false
	}
	return sound
}

func (r *reader) refuseShorthands(n *node) {
	if n.kind == aliasNode {
		r.problems.Add(r.place(n), "the alias *"+shorten(n.text)+" is used", "every value written out", "put the value itself here; a text that begins with * needs quotes")
	}
	if n.anchor != "" {
		r.problems.Add(r.place(n), "the anchor &"+shorten(n.anchor)+" is set", "a plain value", "remove the anchor; a text that begins with & needs quotes")
	}
	if n.tag != "" {
		r.problems.Add(r.place(n), "the tag "+shorten(n.tag)+" is written", "a plain value", "remove the tag; a text that begins with ! needs quotes")
	}
}

func (r *reader) refuseDuplicateKeys(n *node) {
	first := map[string]*node{}
	for _, p := range n.pairs {
		if p.key.kind != scalarNode {
			continue
		}
		if before, twice := first[p.key.text]; twice {
			r.problems.Add(r.place(p.key), fmt.Sprintf("the key %s is here for the second time; it is first at %s", quote(p.key.text), r.place(before)), "each key once", "remove or rename one of the two")
			continue
		}
		first[p.key.text] = p.key
	}
}

func (r *reader) plainKey(key *node) {
	r.refuseShorthands(key)
	switch {
	case key.kind == aliasNode: // refused above
	case key.kind != scalarNode:
		r.problems.Add(r.place(key), "a key is a list or a mapping", "a word", "write the key as a word")
	case isMerge(key):
		r.problems.Add(r.place(key), "the merge key << is used", "every key written out", "write the merged keys here themselves")
	case !isText(key):
		r.problems.Add(r.place(key), "the key "+quote(key.text)+" is not a word", "a word", "put the key in quotes if it is meant")
	}
}

func isMerge(key *node) bool { return key.plain && key.text == "<<" }
