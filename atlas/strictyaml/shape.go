package strictyaml

import (
	"math"
	"strconv"
)

// Shape describes what a part of a document may hold. The shapes are [Object],
// [Map], [Alternatives], [ShortOrLong], [List], [Quantity], [Number], [Whole], [Text],
// [Choice], [Clock] and [Bool].
type Shape interface {
	read(r *reader, n *node, label string) Value
	expected() string
	schema() members
}

// Object is a mapping with known keys.
type Object struct {
	Doc    string
	Fields []Field
	// OneOf holds groups of which exactly one set of fields is present, whole.
	// The fields of a group are in one of its sets only and not Required.
	OneOf []Group
	// When ties fields to the word another field holds.
	When []When
}

// Field is one key of a mapping and what stands under it.
type Field struct {
	Name     string
	Shape    Shape
	Required bool
	Doc      string
}

// Group is a choice between sets of fields.
type Group [][]string

// When asks for the fields Needs if Key holds the word Is, and refuses them
// otherwise.
type When struct {
	Key, Is string
	Needs   []string
}

// Map is a mapping any of whose entries may be left out. Noun says what an
// entry is, as in "parameter".
type Map struct {
	Doc, Noun string
	Entries   []Field
	Min       int
}

// Alternatives is a mapping of one of several kinds, told apart by the key only
// that kind has.
type Alternatives struct {
	Doc string
	Of  []Alternative
}

// Alternative is one kind of mapping. Key names one of its required fields,
// and no field of another alternative.
type Alternative struct {
	Key   string
	Shape Object
}

// ShortOrLong is what may be written short, as one scalar, or long, as a mapping
// that holds the scalar under Key and says more. It is read as the mapping
// either way.
type ShortOrLong struct {
	Short Shape
	Long  Object
	Key   string
}

// List is a list of like items. A Max of zero stands for MaxItems.
type List struct {
	Doc      string
	Of       Shape
	Min, Max int
}

// Quantity is a plain decimal number with its unit, as in 12 mm. Words are
// accepted in its place.
type Quantity struct {
	Doc, Unit string
	Within    Range
	Words     []string
}

// Number is a plain decimal number without a unit.
type Number struct {
	Doc    string
	Within Range
}

// Whole is a whole number from Min to Max. Mend, when given, says what to do
// about a number outside.
type Whole struct {
	Doc      string
	Min, Max int
	Mend     string
}

// Text is one line of text of Min to Max runes; a Max of zero sets no limit.
type Text struct {
	Doc      string
	Min, Max int
}

// Choice is one of several words.
type Choice struct {
	Doc   string
	Words []string
}

// Clock is a position on a clock face, from 1:00 to 12:59.
type Clock struct{ Doc string }

// Bool is true or false.
type Bool struct{ Doc string }

// Range bounds a number. A bound that is nil does not bind; an open bound is
// itself excluded.
type Range struct {
	Min, Max         *float64
	OpenMin, OpenMax bool
}

// Between is the range from low to high, both included.
func Between(low, high float64) Range { return Range{Min: &low, Max: &high} }

// AboveUpTo is the range from low, excluded, to high, included.
func AboveUpTo(low, high float64) Range { return Range{Min: &low, Max: &high, OpenMin: true} }

// FromBelow is the range from low, included, to high, excluded.
func FromBelow(low, high float64) Range { return Range{Min: &low, Max: &high, OpenMax: true} }

// AtLeast is the range from low upward.
func AtLeast(low float64) Range { return Range{Min: &low} }

// Contains reports whether a number is finite and within the range.
func (w Range) Contains(x float64) bool {
	return !math.IsNaN(x) && !math.IsInf(x, 0) && !w.below(x) && !w.above(x)
}

func (w Range) below(x float64) bool {
	return w.Min != nil && (x < *w.Min || w.OpenMin && x == *w.Min)
}

func (w Range) above(x float64) bool {
	return w.Max != nil && (x > *w.Max || w.OpenMax && x == *w.Max)
}

// neverNegative tells that a minus sign has no place before the number.
func (w Range) neverNegative() bool { return w.Min != nil && *w.Min >= 0 }

func (w Range) bounded() bool { return w.Min != nil || w.Max != nil }

// words puts the range in words, for numbers of the unit.
func (w Range) words(unit string) string {
	low, high := "", ""
	if w.Min != nil {
		low = measure(*w.Min, unit)
	}
	if w.Max != nil {
		high = measure(*w.Max, unit)
	}
	switch {
	case low != "" && high != "" && !w.OpenMin && !w.OpenMax:
		return low + " to " + high
	case low != "" && high != "":
		return lowBound(w.OpenMin) + low + " and " + highBound(w.OpenMax) + high
	case low != "":
		return lowBound(w.OpenMin) + low
	case high != "":
		return highBound(w.OpenMax) + high
	}
	return "a finite number"
}

func lowBound(open bool) string {
	if open {
		return "more than "
	}
	return "at least "
}

func highBound(open bool) string {
	if open {
		return "less than "
	}
	return "at most "
}

// sample is some number within the range, to show how one is written.
func (w Range) sample() float64 {
	for _, x := range []float64{12, 1, 0} {
		if w.Contains(x) {
			return x
		}
	}
	switch {
	case w.Min != nil && !w.OpenMin:
		return *w.Min
	case w.Max != nil && !w.OpenMax:
		return *w.Max
	case w.Min != nil && w.Max != nil:
		return (*w.Min + *w.Max) / 2
	case w.Min != nil:
		return math.Floor(*w.Min) + 1
	}
	return math.Ceil(*w.Max) - 1
}

// measure writes a number with its unit; twelve digits hide what the change
// from one unit to another leaves in the last place.
func measure(x float64, unit string) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	number := strconv.FormatFloat(rounded+0, 'f', -1, 64) // adding zero drops the sign of a negative zero
	if unit == "" {
		return number
	}
	return number + " " + unit
}
