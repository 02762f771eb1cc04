package placement

import "fairlead/atlas/words"

// Level is a judgement. The worst of its parts is the level of the whole.
type Level int

// The three levels.
const (
	Clear Level = iota
	Caution
	Avoid
)

// String is the word for a level, in reports and drawings alike.
func (l Level) String() string {
	switch l {
	case Clear:
		return "clear"
	case Caution:
		return "caution"
	default:
		return "avoid"
	}
}

// Said is the same word in the language of whoever reads.
func (l Level) Said() words.Said { return words.Of("level." + l.String()) }

// MarshalText writes the word, so that JSON carries words.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }
