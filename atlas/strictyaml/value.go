package strictyaml

// Value is a part of a document that was read. The zero Value stands for a part
// that is absent or was refused; asking it for anything gives zero.
type Value struct{ content *content }

type content struct {
	at     Position
	keys   []string
	fields map[string]Value
	items  []Value
	text   string
	number float64
	truth  bool
}

var nothing content

func (v Value) get() *content {
	if v.content == nil {
		return &nothing
	}
	return v.content
}

// Present reports whether the value was in the document and well formed.
func (v Value) Present() bool { return v.content != nil }

// Has reports whether the mapping holds a well-formed value under the key.
func (v Value) Has(key string) bool { return v.Get(key).Present() }

// Get gives the value under a key of a mapping.
func (v Value) Get(key string) Value { return v.get().fields[key] }

// Keys gives the keys of a mapping in the order they are written, those whose
// values were refused left out.
func (v Value) Keys() []string { return append([]string(nil), v.get().keys...) }

// Items gives the items of a list, those refused left out.
func (v Value) Items() []Value { return append([]Value(nil), v.get().items...) }

// Text gives a text, a chosen word, or a quantity or time as it is written.
func (v Value) Text() string { return v.get().text }

// Number gives a number, or the magnitude of a quantity in its unit.
func (v Value) Number() float64 { return v.get().number }

// Whole gives a whole number.
func (v Value) Whole() int { return int(v.get().number) }

// Clock gives a clock position in hours, from 1 to just under 13.
func (v Value) Clock() float64 { return v.get().number }

// Bool gives a truth value.
func (v Value) Bool() bool { return v.get().truth }

// Position gives the place of the value in its file.
func (v Value) Position() Position { return v.get().at }
