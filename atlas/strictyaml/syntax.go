package strictyaml

import (
	"bytes"
	"regexp"
	"sort"
	"strings"
	"unicode/utf8"
)

// longestSearched is the longest line searched for the column of a syntax
// error: every step of the search parses the file anew.
const longestSearched = 10000

// complaintPlace finds where a parser's complaint begins. The parser names
// lines loosely, often that of the surrounding structure and sometimes none;
// but it reads from front to back, so the shortest beginning of the text that
// draws the very same complaint ends at the culprit.
func complaintPlace(data []byte, complaint func([]byte) string) (line, column int) {
	whole := essence(complaint(data))
	same := func(end int) bool { return essence(complaint(data[:end])) == whole }
	ends := lineEnds(data)
	at := sort.Search(len(ends)-1, func(i int) bool { return same(ends[i]) })
	start := 0
	if at > 0 {
		start = ends[at-1]
	}
	steps := runeEnds(bytes.TrimRight(data[start:ends[at]], "\r\n"))
	if len(steps) == 0 || len(steps) > longestSearched {
		return at + 1, 1
	}
	within := sort.Search(len(steps)-1, func(i int) bool { return same(start + steps[i]) })
	return at + 1, within + 1
}

// essence drops from a complaint about an early end the line that end is on:
// what counts there is where the text that never closes begins.
func essence(said string) string {
	if strings.Contains(said, "unexpected end of stream") {
		return lineHint.ReplaceAllString(said, "")
	}
	return said
}

func lineEnds(data []byte) []int {
	var ends []int
	for i, b := range data {
		if b == '\n' {
			ends = append(ends, i+1)
		}
	}
	if len(ends) == 0 || ends[len(ends)-1] != len(data) {
		ends = append(ends, len(data))
	}
	return ends
}

func runeEnds(line []byte) []int {
	var ends []int
	for at := 0; at < len(line); {
		_, size := utf8.DecodeRune(line[at:])
		at += size
		ends = append(ends, at)
	}
	return ends
}

// remedy puts a parser's complaint in plain words.
type remedy struct{ sign, what, expected, mend string }

var remedies = []remedy{
	{"unknown anchor", "an alias (*) is used", "every value written out", "put the value itself here; a text that begins with * needs quotes"},
	{"alphabetic or numeric character", "an alias (*) or an anchor (&) is begun", "every value written out", "put the text in quotes if it begins with that mark"},
	{"mapping values are not allowed", "a colon stands where no key can be", "one key and one value a line", "put the value in quotes if the colon belongs to it, or mend the indentation"},
	{"could not find expected ':'", "a line holds no key", "a key, a colon and a space, then the value", "add the colon, or indent the line so that it continues the one above"},
	{"did not find expected key", "this does not fit what stands before it", "keys of one mapping in one column, and nothing behind a closing quotation mark", "mend the indentation, or put quotes around the whole value"},
	{"did not find expected '-' indicator", "the line does not fit under the list above it", "each item behind a dash in the same column", "mend the indentation, or begin the item with a dash"},
	{"did not find expected ',' or ']'", "a list in brackets is not closed, or a comma is missing in it", "[first, second]", "add the missing comma or bracket"},
	{"did not find expected ',' or '}'", "a mapping in braces is not closed, or a comma is missing in it", "{first: 1, second: 2}", "add the missing comma or brace"},
	{"did not find expected node content", "a bracket or brace is not closed by its like, or a value is missing", "brackets and braces in pairs", "add what is missing"},
	{"found incompatible YAML document", "the file asks for another version of YAML", "no such line", "remove the line that begins with %YAML"},
	{"found unexpected end of stream", "quoted text is not closed", "a quotation mark at its end", "add the closing quotation mark"},
	{"found a tab character", "a tab is used as indentation", "spaces", "replace the tab by spaces"},
	{"unknown escape character", "a backslash begins no known escape", `an escape such as \" or \\`, "double the backslash, or use single quotes"},
	{"block sequence entries are not allowed", "a dash begins a list item where none can be", "a list beginning on a line of its own", "move the dash to the next line, or put the value in quotes"},
	{"exceeded max depth", "the nesting is far too deep", "", "flatten the file"},
	{"did not find expected <document start>", "text follows the end of the document", "one document", "remove it"},
}

var unknownAnchor = regexp.MustCompile(`unknown anchor '(.*)' referenced`)

var lineHint = regexp.MustCompile(`^line \d+: `)

func (r *reader) syntaxProblem(data []byte, said string) {
	line, column := complaintPlace(data, complaint)
	if name := unknownAnchor.FindStringSubmatch(said); name != nil {
		column -= utf8.RuneCountInString(name[1]) // back to the star before the name
	}
	at := r.at(line, column)
	if strings.Contains(said, "cannot start any token") {
		r.badStart(at, runeAt(bytes.Split(data, []byte("\n")), line, column))
		return
	}
	for _, known := range remedies {
		if strings.Contains(said, known.sign) {
			r.problems.Add(at, known.what, known.expected, known.mend)
			return
		}
	}
	r.problems.Add(at, "this is not well-formed YAML: "+lineHint.ReplaceAllString(strings.TrimPrefix(said, "yaml: "), ""), "", "mend the punctuation or indentation here")
}

func (r *reader) badStart(at Position, found rune) {
	if found == '\t' {
		r.problems.Add(at, "a tab is used as indentation", "spaces", "replace the tab by spaces")
		return
	}
	r.problems.Add(at, "no value can begin with "+quote(string(found)), "", "put the value in quotes")
}
