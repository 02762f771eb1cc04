package placement

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

// MarshalText writes the word, so that JSON carries words.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }
