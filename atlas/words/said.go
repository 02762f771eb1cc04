package words

import (
	"strconv"
	"strings"
)

// Said is something to say in any language. The zero Said says nothing.
type Said struct {
	id     string
	blanks Blanks
}

// Blanks are what goes into the blanks of a message, by name: a Said, a Number, a whole number, or somebody's own words as
// a string.
type Blanks map[string]any

// Number is a number in decimal digits with a point, as it was measured and rounded: a language says it with its own
// decimal sign.
type Number string

// Of says a message by its id.
func Of(id string, blanks ...Blanks) Said {
	said := Said{id: id}
	if len(blanks) > 0 {
		said.blanks = blanks[0]
	}
	return said
}

// Text says somebody's own words, which are the same in every language.
func Text(text string) Said {
	if text == "" {
		return Said{}
	}
	return Said{id: ownWords, blanks: Blanks{"text": text}}
}

const ownWords = "text"

// And joins what is said as a sentence does: a, b and c.
func And(items ...Said) Said { return joined("list.comma", "list.and", items) }

// Semicolons joins what is said, a semicolon between each and the next.
func Semicolons(items ...Said) Said { return joined("list.semicolon", "list.semicolon", items) }

// Commas joins what is said, a comma between each and the next.
func Commas(items ...Said) Said { return joined("list.comma", "list.comma", items) }

func joined(between, last string, items []Said) (all Said) {
	for i, item := range items {
		switch i {
		case 0:
			all = item
		case len(items) - 1:
			all = Of(last, Blanks{"before": all, "after": item})
		default:
			all = Of(between, Blanks{"before": all, "after": item})
		}
	}
	return all
}

// Fixed is a number with so many digits behind the point, and no minus before a zero.
func Fixed(x float64, digits int) Number {
	text := strconv.FormatFloat(x, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return Number(text)
}

// Short is a number with as many digits as tell it from every other, of at most so many that count.
func Short(x float64, digits int) Number {
	return Number(strconv.FormatFloat(x+0, 'g', digits, 64))
}

// ID is the message's id.
func (s Said) ID() string { return s.id }

// IsZero tells whether there is nothing to say; JSON leaves such a field out where it is marked omitzero.
func (s Said) IsZero() bool { return s.id == "" }

// String says it in English.
func (s Said) String() string { return English().Say(s) }

// MarshalText writes it in English: what programs read does not change with the reader's language.
func (s Said) MarshalText() ([]byte, error) { return []byte(s.String()), nil }
