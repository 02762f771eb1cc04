package strictyaml

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a scalar without quotes is to YAML, by the old rules or the new: a text
// that looks like any of these needs quotes, so that no program takes it for
// something else.
var (
	nullLike   = regexp.MustCompile(`^(|~|null|Null|NULL)$`)
	boolLike   = regexp.MustCompile(`^(true|True|TRUE|false|False|FALSE)$`)
	numberLike = regexp.MustCompile(`^[-+]?(0[xX][0-9a-fA-F_]+|0[oO][0-7_]+|0[bB][01_]+|(\.[0-9][0-9_]*|[0-9][0-9_]*(\.[0-9_]*)?)([eE][-+]?[0-9]+)?|\.(inf|Inf|INF))$|^\.(nan|NaN|NAN)$`)
)

const plainDecimal = `(0|[1-9][0-9]*)(\.[0-9]+)?`

var (
	decimalForm = regexp.MustCompile(`^[-+]?` + plainDecimal + `$`)
	wholeForm   = regexp.MustCompile(`^[-+]?(0|[1-9][0-9]*)$`)
	clockForm   = regexp.MustCompile(clockPattern)
	anyClock    = regexp.MustCompile(`^0*([0-9]{1,2}):([0-5][0-9])$`)
	measured    = regexp.MustCompile(`^([-+]?` + plainDecimal + `)\s*(\S*)$`)
	withComma   = regexp.MustCompile(`^([-+]?[0-9]+),([0-9]+)\s*(\S*)$`)
)

const clockPattern = `^(1[0-2]|[1-9]):[0-5][0-9]$`

func isNull(n *node) bool { return n.kind == scalarNode && n.plain && nullLike.MatchString(n.text) }

func isNumber(n *node) bool {
	return n.kind == scalarNode && n.plain && numberLike.MatchString(n.text)
}

func isBool(n *node) bool { return n.kind == scalarNode && n.plain && boolLike.MatchString(n.text) }

func isText(n *node) bool {
	return n.kind == scalarNode && !isNull(n) && !isNumber(n) && !isBool(n)
}

func (r *reader) scalar(n *node, c content) Value {
	c.at, c.text = r.place(n), n.text
	return Value{&c}
}

func (r *reader) refuse(n *node, label, what, expected, mend string) Value {
	r.problems.Add(r.place(n), say(label, what), expected, mend)
	return Value{}
}

func (q Quantity) expected() string {
	expected := "a number in " + q.Unit
	if q.Within.bounded() {
		expected += ", " + q.Within.words(q.Unit)
	}
	return choices(append(slices.Clone(q.Words), expected))
}

func (q Quantity) example() string {
	example := "write it as in " + measure(q.Within.sample(), q.Unit)
	if len(q.Words) > 0 {
		example += " or " + q.Words[0]
	}
	return example
}

// pattern is what the written quantity must match; its one space is optional.
func (q Quantity) pattern() string {
	sign := `[-+]?`
	if q.Within.neverNegative() {
		sign = `\+?`
	}
	return `^` + sign + plainDecimal + ` ?` + regexp.QuoteMeta(q.Unit) + `$`
}

// number takes from a written quantity its number. It accepts what the pattern
// does, without compiling one for each quantity of a file.
func (q Quantity) number(text string) (number string, formed bool) {
	number, formed = strings.CutSuffix(text, q.Unit)
	number = strings.TrimSuffix(number, " ")
	negative := strings.HasPrefix(number, "-")
	return number, formed && decimalForm.MatchString(number) && !(negative && q.Within.neverNegative())
}

func (q Quantity) read(r *reader, n *node, label string) Value {
	if n.kind != scalarNode || isNull(n) || isBool(n) {
		return r.refuseKind(n, label, q, q.example())
	}
	for _, word := range q.Words {
		if n.text == word {
			return r.scalar(n, content{})
		}
	}
	number, formed := q.number(n.text)
	if isNumber(n) || !formed {
		return r.refuse(n, label, quote(n.text)+q.fault(n.text), q.expected(), q.remedy(n.text))
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || !q.Within.Contains(x) {
		return r.refuse(n, label, quote(n.text)+" is "+q.Within.outside(x), q.expected(), "write a value in this range")
	}
	return r.scalar(n, content{number: x})
}

func (w Range) outside(x float64) string {
	switch {
	case w.below(x):
		return "too small"
	case w.above(x):
		return "too large"
	}
	return "not a finite number"
}

// fault says why a text is not a quantity of this unit.
func (q Quantity) fault(text string) string {
	parts := measured.FindStringSubmatch(text)
	switch {
	case parts == nil && len(q.Words) > 0:
		return " is neither a known word nor a plain decimal number with the unit " + q.Unit
	case parts == nil:
		return " is not a plain decimal number with the unit " + q.Unit
	case parts[4] == "":
		return " has no unit"
	case parts[4] != q.Unit:
		return " has another unit"
	case strings.HasPrefix(text, "-") && q.Within.neverNegative():
		return " is negative"
	}
	return " has more than one space before its unit"
}

// remedy offers the very text to write where it can be told.
func (q Quantity) remedy(text string) string {
	if near, ok := nearest(text, q.Words); ok {
		return "did you mean " + near + "?"
	}
	text = strings.ReplaceAll(text, "−", "-")
	if comma := withComma.FindStringSubmatch(text); comma != nil {
		text = comma[1] + "." + comma[2] + " " + comma[3]
	}
	parts := measured.FindStringSubmatch(text)
	if parts == nil {
		return q.example()
	}
	factor, known := inUnit(parts[4], q.Unit)
	x, err := strconv.ParseFloat(parts[1], 64)
	if x *= factor; !known || err != nil || !q.Within.Contains(x) {
		return q.example()
	}
	return "write " + measure(x, q.Unit)
}

var (
	lengths = map[string]float64{"mm": 1, "cm": 10, "m": 1000, "um": 0.001, "µm": 0.001, "μm": 0.001}
	areas   = map[string]float64{"mm2": 1, "mm²": 1, "cm2": 100, "cm²": 100}
	angles  = map[string]float64{"deg": 1, "°": 1, "degrees": 1, "rad": 180 / math.Pi}
)

// inUnit is the factor from one unit to another; a number without a unit is
// taken to be in the unit that was expected.
func inUnit(from, to string) (factor float64, known bool) {
	if from == "" || from == to {
		return 1, true
	}
	for _, units := range []map[string]float64{lengths, areas, angles} {
		if units[from] != 0 && units[to] != 0 {
			return units[from] / units[to], true
		}
	}
	return 0, false
}

func (q Number) expected() string {
	if q.Within.bounded() {
		return "a number without a unit, " + q.Within.words("")
	}
	return "a number without a unit"
}

func (q Number) read(r *reader, n *node, label string) Value {
	if n.kind != scalarNode || isNull(n) || isBool(n) {
		return r.refuseKind(n, label, q, "write it as in "+measure(q.Within.sample(), ""))
	}
	if !n.plain && decimalForm.MatchString(n.text) {
		return r.refuse(n, label, "the number "+quote(n.text)+" is in quotes", q.expected(), "remove the quotes")
	}
	if !n.plain || !decimalForm.MatchString(n.text) {
		return r.refuse(n, label, quote(n.text)+" is not a plain decimal number", q.expected(), "write it as in "+measure(q.Within.sample(), ""))
	}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil || !q.Within.Contains(x) {
		return r.refuse(n, label, quote(n.text)+" is "+q.Within.outside(x), q.expected(), "write a value in this range")
	}
	return r.scalar(n, content{number: x})
}

func (w Whole) expected() string {
	if w.Min == w.Max {
		return fmt.Sprintf("the whole number %d", w.Min)
	}
	return fmt.Sprintf("a whole number, %d to %d", w.Min, w.Max)
}

func (w Whole) mend() string {
	if w.Mend != "" {
		return w.Mend
	}
	return fmt.Sprintf("write it as in %d", w.Min)
}

func (w Whole) read(r *reader, n *node, label string) Value {
	if n.kind != scalarNode || isNull(n) || isBool(n) {
		return r.refuseKind(n, label, w, w.mend())
	}
	if !n.plain && wholeForm.MatchString(n.text) {
		return r.refuse(n, label, "the number "+quote(n.text)+" is in quotes", w.expected(), "remove the quotes")
	}
	if !n.plain || !wholeForm.MatchString(n.text) {
		return r.refuse(n, label, quote(n.text)+" is not a whole number", w.expected(), w.mend())
	}
	whole, err := strconv.Atoi(n.text)
	if err != nil || whole < w.Min || whole > w.Max {
		return r.refuse(n, label, quote(n.text)+" is out of range", w.expected(), w.mend())
	}
	return r.scalar(n, content{number: float64(whole)})
}

func (t Text) expected() string {
	switch {
	case t.Max > 0:
		return fmt.Sprintf("one line of text, %d to %d characters", t.Min, t.Max)
	case t.Min > 0:
		return fmt.Sprintf("one line of text, at least %d characters", t.Min)
	}
	return "one line of text"
}

func (t Text) read(r *reader, n *node, label string) Value {
	if !isText(n) {
		return r.refuseKind(n, label, t, textMend(n))
	}
	if at := strings.IndexFunc(n.text, brokenLine); at >= 0 {
		found, _ := utf8.DecodeRuneInString(n.text[at:])
		return r.refuse(n, label, fmt.Sprintf("the text holds the control character U+%04X", found), t.expected(), "write the text on one line, without tabs")
	}
	if count := utf8.RuneCountInString(n.text); count < t.Min || t.Max > 0 && count > t.Max {
		return r.refuse(n, label, fmt.Sprintf("the text has %d characters", count), t.expected(), "shorten or lengthen it")
	}
	return r.scalar(n, content{})
}

func textMend(n *node) string {
	if isNumber(n) || isBool(n) {
		return "put it in quotes, as in " + quote(n.text)
	}
	return "write the text behind the colon, in quotes if in doubt"
}

func brokenLine(c rune) bool { return unicode.IsControl(c) || c == '\u2028' || c == '\u2029' }

func (c Choice) expected() string { return choices(c.Words) }

func (c Choice) read(r *reader, n *node, label string) Value {
	if !isText(n) {
		return r.refuseKind(n, label, c, "write one of these words")
	}
	for _, word := range c.Words {
		if n.text == word {
			return r.scalar(n, content{})
		}
	}
	mend := didYouMean(n.text, c.Words)
	if mend == "" {
		mend = "write one of these words"
	}
	return r.refuse(n, label, "unknown word "+quote(n.text), c.expected(), mend)
}

func (c Clock) expected() string { return "a clock position from 1:00 to 12:59" }

func (c Clock) read(r *reader, n *node, label string) Value {
	if n.kind != scalarNode || isNull(n) || isBool(n) {
		return r.refuseKind(n, label, c, "write it as in 4:30")
	}
	if !clockForm.MatchString(n.text) {
		return r.refuse(n, label, quote(n.text)+" is not a clock position", c.expected(), clockMend(n.text))
	}
	hour, minute, _ := strings.Cut(n.text, ":")
	hours, _ := strconv.Atoi(hour)
	minutes, _ := strconv.Atoi(minute)
	return r.scalar(n, content{number: float64(hours) + float64(minutes)/60})
}

// clockMend offers the position a bare hour or an hour of the day may mean.
func clockMend(text string) string {
	if !strings.Contains(text, ":") {
		text += ":00"
	}
	parts := anyClock.FindStringSubmatch(text)
	if parts == nil {
		return "write it as in 4:30"
	}
	hour, err := strconv.Atoi(parts[1])
	if err != nil || hour > 24 {
		return "write it as in 4:30"
	}
	return fmt.Sprintf("write %d:%s", (hour+11)%12+1, parts[2])
}

func (b Bool) expected() string { return "true or false" }

func (b Bool) read(r *reader, n *node, label string) Value {
	if n.kind == scalarNode && n.plain && (n.text == "true" || n.text == "false") {
		return r.scalar(n, content{truth: n.text == "true"})
	}
	return r.refuseKind(n, label, b, "write true or false")
}
