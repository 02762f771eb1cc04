package growth

import (
	"fmt"
	"strings"
)

// UnknownError says that nothing goes by a name.
type UnknownError struct {
	Kind  string // what was looked for, such as "dataset"
	Name  string
	Known []string // the names there are
}

// Error gives the error with the names there are.
func (e *UnknownError) Error() string {
	return fmt.Sprintf("no %s is called %q; known: %s", e.Kind, e.Name, strings.Join(e.Known, ", "))
}

// OutOfRangeError says that a number lies where nothing can be said about it.
type OutOfRangeError struct {
	What  string // the number, such as "body surface area"
	Value float64
	Unit  string
	Range Range
	By    string // label of the dataset, formula or method whose range it is; may be empty
	Mend  string // a likely cause; may be empty
}

// Error gives the number and the range it should lie in.
func (e *OutOfRangeError) Error() string {
	text := fmt.Sprintf("%s %s lies outside %s", e.What, withUnit(e.Value, e.Unit), e.Range.text(e.Unit))
	if e.By != "" {
		text += ", the range of " + e.By
	}
	if e.Mend != "" {
		text += "; " + e.Mend
	}
	return text
}

// NotConvertibleError says that a size by one method cannot be brought to another.
type NotConvertibleError struct {
	Quantity, Method string
	Why              string
}

// Error gives the size, the method and the reason.
func (e *NotConvertibleError) Error() string {
	return fmt.Sprintf("%s by %s cannot be converted: %s", e.Quantity, e.Method, e.Why)
}

func withUnit(value float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", value, unit))
}
