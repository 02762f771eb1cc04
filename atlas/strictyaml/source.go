package strictyaml

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

type nodeKind int

const (
	scalarNode nodeKind = iota
	mappingNode
	listNode
	aliasNode
)

// node is a YAML node as this package sees it, so that only this file knows the
// library that parses YAML.
type node struct {
	kind         nodeKind
	line, column int
	text         string // of a scalar; the anchor's name of an alias
	plain        bool   // a scalar without quotes
	anchor, tag  string
	pairs        []pair
	items        []*node
}

type pair struct{ key, value *node }

// documents parses every document up to the second, which is one too many.
func documents(data []byte) (first, second *node, err error) {
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	lines := bytes.Split(data, []byte("\n"))
	if first, err = nextDocument(decoder, lines); err != nil || first == nil {
		return nil, nil, err
	}
	second, err = nextDocument(decoder, lines)
	return first, second, err
}

// nextDocument is nil at the end of the stream. Whatever the library does with
// a document nobody foresaw, a panic of it must not end the program.
func nextDocument(decoder *yaml.Decoder, lines [][]byte) (doc *node, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			doc, err = nil, fmt.Errorf("yaml: the parser gave up: %v", cause)
		}
	}()
	var parsed yaml.Node
	if err := decoder.Decode(&parsed); errors.Is(err, io.EOF) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	if parsed.Kind == yaml.DocumentNode && len(parsed.Content) == 1 {
		return convert(parsed.Content[0], lines), nil
	}
	return convert(&parsed, lines), nil
}

func convert(from *yaml.Node, lines [][]byte) *node {
	n := &node{line: from.Line, column: from.Column, text: from.Value, anchor: from.Anchor, tag: explicitTag(from, lines)}
	switch from.Kind {
	case yaml.MappingNode:
		n.kind = mappingNode
		for i := 0; i+1 < len(from.Content); i += 2 {
			n.pairs = append(n.pairs, pair{convert(from.Content[i], lines), convert(from.Content[i+1], lines)})
		}
	case yaml.SequenceNode:
		n.kind = listNode
		for _, item := range from.Content {
			n.items = append(n.items, convert(item, lines))
		}
	case yaml.AliasNode:
		n.kind = aliasNode
	default:
		quoted := yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle
		n.plain = from.Style&quoted == 0
	}
	return n
}

// explicitTag finds a tag the file writes. The library forgets the bare "!", so
// the source is asked as well: nothing but a tag begins with that mark.
func explicitTag(n *yaml.Node, lines [][]byte) string {
	if n.Style&yaml.TaggedStyle != 0 {
		return n.ShortTag()
	}
	if n.Kind != yaml.AliasNode && runeAt(lines, n.Line, n.Column) == '!' {
		return "!"
	}
	return ""
}

func runeAt(lines [][]byte, line, column int) rune {
	if line < 1 || line > len(lines) {
		return 0
	}
	rest := lines[line-1]
	for ; column > 1 && len(rest) > 0; column-- {
		_, size := utf8.DecodeRune(rest)
		rest = rest[size:]
	}
	r, _ := utf8.DecodeRune(rest)
	return r
}

// complaint is what the parser has against a text, empty when nothing.
func complaint(data []byte) string {
	_, _, err := documents(data)
	if err == nil {
		return ""
	}
	return strings.TrimPrefix(err.Error(), "yaml: ")
}
