package words

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"golang.org/x/text/language"
	"gopkg.in/yaml.v3"
)

// read reads the file of a language. All that is wrong with it is told at once.
func read(name string, data []byte) (*Language, error) {
	var file struct {
		Language string    `yaml:"language"`
		Name     string    `yaml:"name"`
		Decimal  string    `yaml:"decimal"`
		Messages yaml.Node `yaml:"messages"`
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		return nil, fmt.Errorf("words: %s: %w", name, err)
	}
	r := reader{name: name, language: &Language{name: file.Name, decimal: file.Decimal, messages: map[string]message{}}}
	tag, err := language.Parse(file.Language)
	if err != nil {
		r.wrong(&file.Messages, "language %q is no BCP 47 tag", file.Language)
	}
	if file.Name == "" || file.Decimal == "" || len(file.Messages.Content) == 0 {
		r.wrong(&file.Messages, "expected a name, a decimal sign and messages")
	}
	r.language.tag = tag
	r.mapping("", &file.Messages)
	return r.language, errors.Join(r.errs...)
}

type reader struct {
	name     string
	language *Language
	errs     []error
}

func (r *reader) wrong(at *yaml.Node, format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf("words: %s:%d:%d: %s", r.name, at.Line, at.Column, fmt.Sprintf(format, args...)))
}

// mapping reads the messages under a heading.
func (r *reader) mapping(heading string, node *yaml.Node) {
	for i := 0; i+1 < len(node.Content); i += 2 {
		key, value := node.Content[i], node.Content[i+1]
		id := key.Value
		if heading != "" {
			id = heading + "." + id
		}
		switch {
		case value.Kind == yaml.MappingNode && counts(value):
			r.add(id, key, pluralForms(value))
		case value.Kind == yaml.MappingNode:
			r.mapping(id, value)
		case value.Kind == yaml.ScalarNode && value.Value != "":
			r.add(id, key, map[string]string{otherForm: value.Value})
		default:
			r.wrong(value, "%s: expected a text, or headings with texts", id)
		}
	}
}

// counts tells the plural forms of a message from a heading.
func counts(node *yaml.Node) bool {
	for i := 0; i < len(node.Content); i += 2 {
		if !slices.Contains(slices.Collect(maps.Values(categories)), node.Content[i].Value) {
			return false
		}
	}
	return len(node.Content) > 0
}

func pluralForms(node *yaml.Node) map[string]string {
	texts := map[string]string{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		texts[node.Content[i].Value] = node.Content[i+1].Value
	}
	return texts
}

func (r *reader) add(id string, at *yaml.Node, texts map[string]string) {
	if _, twice := r.language.messages[id]; twice {
		r.wrong(at, "%s stands here twice", id)
	}
	if texts[otherForm] == "" {
		r.wrong(at, "%s lacks the form `other`", id)
	}
	m := message{forms: map[string]form{}, line: at.Line}
	for category, text := range texts {
		f, err := readForm(text)
		if err != nil {
			r.wrong(at, "%s: %v", id, err)
		}
		m.forms[category] = f
	}
	r.language.messages[id] = m
}
