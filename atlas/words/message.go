package words

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// message is the text of one id in one language: its only form, or one for each plural category.
type message struct {
	forms map[string]form // under "other", the form of every number that has none of its own
	line  int             // in the language's file
}

// form is a text cut at its blanks.
type form struct {
	pieces []piece
	gist   int // how many pieces stand before the bar
}

// piece is a stretch of text, or a blank.
type piece struct{ text, blank string }

// blanks are the names of a message's blanks in alphabetical order.
func (m message) blanks() []string {
	names := map[string]bool{}
	for _, f := range m.forms {
		for _, p := range f.pieces {
			if p.blank != "" {
				names[p.blank] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(names))
}

// bar parts what is always said from what is said where there is room.
const bar = '|'

// readForm cuts a text at its blanks and its bar.
func readForm(text string) (f form, err error) {
	rest, barred := text, false
	add := func(p piece) {
		if p != (piece{}) {
			f.pieces = append(f.pieces, p)
		}
	}
	for rest != "" {
		i := strings.IndexAny(rest, "{}|")
		if i < 0 {
			break
		}
		add(piece{text: rest[:i]})
		mark := rest[i]
		rest = rest[i+1:]
		switch mark {
		case bar:
			if barred {
				return f, fmt.Errorf("%q has two bars; expected one at most", text)
			}
			barred, f.gist = true, len(f.pieces)
		case '}':
			return f, fmt.Errorf("%q closes a blank that is not open", text)
		default:
			name, after, closed := strings.Cut(rest, "}")
			if !closed || !wellNamed(name) {
				return f, fmt.Errorf("%q has a blank without a name; expected such as {mm}, of small letters", text)
			}
			add(piece{blank: name})
			rest = after
		}
	}
	add(piece{text: rest})
	if !barred {
		f.gist = len(f.pieces)
	}
	return f, nil
}

func wellNamed(name string) bool {
	return name != "" && !strings.ContainsFunc(name, func(c rune) bool { return c < 'a' || c > 'z' })
}
