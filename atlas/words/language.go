package words

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

//go:embed languages
var files embed.FS

// Language is one language's messages. A nil Language is English.
type Language struct {
	tag      language.Tag
	name     string
	decimal  string
	messages map[string]message
}

// Tag is the language's BCP 47 tag.
func (l *Language) Tag() string { return l.orEnglish().tag.String() }

// Name is what the language calls itself.
func (l *Language) Name() string { return l.orEnglish().name }

// Say says something in the language. A message or a blank that the language does not have is said by its id in double
// brackets, which no message has.
func (l *Language) Say(s Said) string {
	var out strings.Builder
	l.orEnglish().say(&out, s, false)
	return out.String()
}

// Gist is Say without what messages keep behind their bars: that said, and those in its blanks.
func (l *Language) Gist(s Said) string {
	var out strings.Builder
	l.orEnglish().say(&out, s, true)
	return out.String()
}

// Has tells whether there is a message of an id.
func (l *Language) Has(id string) bool {
	_, has := l.orEnglish().messages[id]
	return has
}

// Number says a number with the language's decimal sign.
func (l *Language) Number(n Number) string {
	return strings.Replace(string(n), ".", l.orEnglish().decimal, 1)
}

func (l *Language) orEnglish() *Language {
	if l == nil {
		return English()
	}
	return l
}

func (l *Language) say(out *strings.Builder, s Said, gist bool) {
	switch s.id {
	case "":
		return
	case ownWords:
		out.WriteString(s.blanks["text"].(string)) // Text alone makes these
		return
	}
	m, known := l.messages[s.id]
	if !known {
		missing(out, s.id)
		return
	}
	f := m.forms[l.category(m, s.blanks)]
	pieces := f.pieces
	if gist {
		pieces = pieces[:f.gist]
	}
	for _, p := range pieces {
		if p.blank == "" {
			out.WriteString(p.text)
			continue
		}
		l.fill(out, s.id, p.blank, s.blanks[p.blank], gist)
	}
}

// fill says what goes into a blank.
func (l *Language) fill(out *strings.Builder, id, name string, with any, gist bool) {
	switch with := with.(type) {
	case Said:
		l.say(out, with, gist)
	case Number:
		out.WriteString(l.Number(with))
	case int:
		out.WriteString(strconv.Itoa(with))
	case string:
		out.WriteString(with)
	default:
		missing(out, id+"{"+name+"}")
	}
}

func missing(out *strings.Builder, what string) {
	out.WriteString("⟦" + what + "⟧")
}

// counted is the blank that chooses a message's plural form.
const counted = "n"

// category is the plural category that a message's blanks ask for, where it has a form for it.
func (l *Language) category(m message, blanks Blanks) string {
	n, whole := blanks[counted].(int)
	if !whole || len(m.forms) == 1 {
		return otherForm
	}
	category := categories[plural.Cardinal.MatchPlural(l.tag, max(n, -n), 0, 0, 0, 0)]
	if _, has := m.forms[category]; has {
		return category
	}
	return otherForm
}

const otherForm = "other"

// categories are the plural categories of CLDR, which the file of a language calls by these names.
var categories = map[plural.Form]string{
	plural.Other: otherForm, plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many",
}

// English is the language that every message is written in first.
func English() *Language { return english() }

// The English file is part of the program: tests hold that it can be read.
var english = sync.OnceValue(func() *Language {
	l, err := load("en")
	if err != nil {
		panic(err)
	}
	return l
})

// Tags are the tags of the languages there are, in alphabetical order.
func Tags() (tags []string) {
	entries, _ := fs.ReadDir(files, "languages") // embedded: there to be read
	for _, e := range entries {
		tags = append(tags, strings.TrimSuffix(e.Name(), path.Ext(e.Name())))
	}
	slices.Sort(tags)
	return tags
}

// Load reads a language by its tag. It fails where there is none of that tag, or the file is not sound.
func Load(tag string) (*Language, error) {
	if !slices.Contains(Tags(), tag) {
		return nil, fmt.Errorf("no language %q; there is %s", tag, strings.Join(Tags(), ", "))
	}
	if tag == English().Tag() {
		return English(), nil
	}
	return load(tag)
}

func load(tag string) (*Language, error) {
	name := "languages/" + tag + ".yaml"
	data, err := files.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("words: %w", err)
	}
	return read(name, data)
}
