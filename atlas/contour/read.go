package contour

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// mostProblems is how many problems of one file are looked for: a file in the wrong format has one in every row.
const mostProblems = 30

// mostColumns is how many columns are looked at. A line without line breaks would otherwise be searched again for each.
const mostColumns = 32

// mostShown is how many runes of a file's own text a message repeats.
const mostShown = 40

const atrium = "atrium"

// Read reads a contour from the text of a CSV file. It returns either points or problems, all of them at once in the
// order of their places. Whether the points make a rim is for Fit to say.
func Read(file string, data []byte) (Points, strictyaml.Problems) {
	r := reader{file: file, lines: bytes.Split(data, []byte("\n"))}
	r.points.File = file
	if r.readable(data) {
		r.read(data)
	}
	if len(r.problems) > 0 {
		return Points{}, r.listed()
	}
	return r.points, nil
}

// reader is a file half read.
type reader struct {
	file     string
	lines    [][]byte
	csv      *csv.Reader
	width    int            // of the header
	column   [4]int         // of x, y, z and landmark; -1 where there is none
	marked   map[string]int // the lines of the landmarks met so far
	lost     bool           // a row could not be taken apart
	points   Points
	problems strictyaml.Problems
}

var columns = [4]string{"x", "y", "z", "landmark"}

const landmarkColumn = 3

func (r *reader) add(line, column int, what, expected, mend string) {
	r.problems.Add(strictyaml.Position{File: r.file, Line: line, Column: column}, what, expected, mend)
}

// full reports that enough problems have been found.
func (r *reader) full() bool { return len(r.problems) >= mostProblems }

// listed is the problems in order, with a word on it where the search stopped.
func (r *reader) listed() strictyaml.Problems {
	sorted := r.problems.Sorted()
	if r.full() {
		last := sorted[len(sorted)-1].Position
		sorted.Add(last, fmt.Sprintf("reading stopped after %d problems", len(sorted)), "", "mend these first")
	}
	return sorted
}

// readable refuses what is no text of a sensible size.
func (r *reader) readable(data []byte) bool {
	if len(data) > MostBytes {
		r.add(1, 1, fmt.Sprintf("the file has %d bytes", len(data)), fmt.Sprintf("at most %d", MostBytes),
			fmt.Sprintf("a contour has at most %d points: leave out everything else", MostPoints))
		return false
	}
	for i, line := range r.lines {
		for at, rest := 0, line; len(rest) > 0; {
			c, size := utf8.DecodeRune(rest)
			if c == utf8.RuneError && size == 1 || c == 0 {
				r.add(i+1, utf8.RuneCount(line[:at])+1, fmt.Sprintf("byte %#02x is no text", rest[0]), "a CSV file in UTF-8", "save it as “CSV UTF-8”")
				return false
			}
			at, rest = at+size, rest[size:]
		}
	}
	return true
}

func (r *reader) read(data []byte) {
	const mark = "\ufeff" // that some programs put before UTF-8
	if rest, ok := bytes.CutPrefix(data, []byte(mark)); ok {
		data, r.lines[0] = rest, r.lines[0][len(mark):]
	}
	r.csv = csv.NewReader(bytes.NewReader(data))
	r.csv.Comment, r.csv.FieldsPerRecord, r.csv.ReuseRecord = '#', -1, true
	r.marked = map[string]int{}
	header, ok := r.row()
	if !ok {
		if len(r.problems) == 0 {
			r.add(1, 1, "the file has no rows", "a header row x,y,z,landmark and a row for each point", "")
		}
		return
	}
	line, column := r.place(0)
	if !r.readHeader(header) {
		return
	}
	last := line
	for !r.full() {
		fields, ok := r.row()
		if !ok {
			break
		}
		last, _ = r.place(0)
		r.readPoint(fields)
	}
	if r.full() || r.lost {
		return // what the rows not read hold is not known
	}
	if c := r.column[landmarkColumn]; c >= 0 {
		r.checkMarks(line, column)
	}
	r.checkCount(last)
}

// row is the next row that can be read at all; false at the end.
func (r *reader) row() ([]string, bool) {
	for !r.full() {
		fields, err := r.csv.Read()
		if err == nil {
			return fields, true
		}
		var bad *csv.ParseError
		if !errors.As(err, &bad) {
			return nil, false // the end: bytes in memory fail in no other way
		}
		r.lost = true
		r.add(bad.Line, r.rune(bad.Line, bad.Column), "a quotation mark out of place", "none, or one before and one after a field",
			"take the quotation marks out: no field needs them")
	}
	return nil, false
}

// place is where a field of the row read last stands.
func (r *reader) place(field int) (line, column int) {
	line, column = r.csv.FieldPos(field)
	return line, r.rune(line, column)
}

// rune turns a column counted in bytes into one counted in runes.
func (r *reader) rune(line, column int) int {
	if line < 1 || line > len(r.lines) {
		return 1
	}
	text := r.lines[line-1]
	return utf8.RuneCount(text[:max(0, min(column-1, len(text)))]) + 1
}

// readHeader finds the columns, and reports whether the rows can be read.
func (r *reader) readHeader(header []string) bool {
	r.width, r.column = len(header), [4]int{-1, -1, -1, -1}
	if r.headless(header) {
		return false
	}
	for i, name := range header {
		line, column := r.place(i)
		k := slices.Index(columns[:], strings.ToLower(strings.TrimSpace(name)))
		switch {
		case k < 0:
			r.add(line, column, "unknown column "+quote(name), "x, y, z and landmark", "take the column out")
		case r.column[k] >= 0:
			r.add(line, column, "the column "+columns[k]+" is here twice", "each column once", "take one out")
		default:
			r.column[k] = i
		}
	}
	line, column := r.place(0)
	for k, name := range columns {
		if r.column[k] < 0 {
			r.add(line, column, "the column "+name+" is missing", "x, y, z and landmark",
				[]string{"add it", "add it", "add it", "add it, and name the three commissures in it"}[k])
		}
	}
	return r.column[0] >= 0 && r.column[1] >= 0 && r.column[2] >= 0
}

// headless reports a header that is none, one far too wide, or one parted by something else than commas.
func (r *reader) headless(header []string) bool {
	line, column := r.place(0)
	if _, err := strconv.ParseFloat(strings.TrimSpace(header[0]), 64); err == nil {
		r.add(line, column, "the first row holds numbers", "the names of the columns", "put x,y,z,landmark before it")
		return true
	}
	if len(header) > mostColumns {
		r.add(line, column, fmt.Sprintf("the header has %d columns", len(header)), "x, y, z and landmark", "take the others out")
		return true
	}
	if len(header) == 1 && strings.ContainsAny(strings.TrimSpace(header[0]), ";\t ") {
		r.add(line, column, "the header is one field, "+quote(header[0]), "fields parted by commas",
			"save the file with commas between fields and points in decimals")
		return true
	}
	return false
}

// readPoint reads one row. A point that cannot be read is kept as the origin, so that what depends on the number of
// points and on the landmarks is not reported for a wrong reason.
func (r *reader) readPoint(fields []string) {
	line, column := r.place(0)
	if len(fields) != r.width {
		mend := "end the row with a comma where the last field is empty"
		if len(fields) > r.width {
			mend = "write decimals with a point, not with a comma"
		}
		r.add(line, column, fmt.Sprintf("the row has %s", count(len(fields), "field")), fmt.Sprintf("%d, as in the header", r.width), mend)
		r.points.At, r.points.Line = append(r.points.At, geom.Vec{}), append(r.points.Line, line)
		r.markLoosely(fields, len(r.points.At)-1)
		return
	}
	at := geom.Vec{X: r.number(fields, 0), Y: r.number(fields, 1), Z: r.number(fields, 2)}
	name := ""
	if c := r.column[landmarkColumn]; c >= 0 {
		name = strings.ToLower(strings.TrimSpace(fields[c]))
	}
	if name == atrium {
		r.readAtrium(at)
		return
	}
	r.points.At, r.points.Line = append(r.points.At, at), append(r.points.Line, line)
	if name != "" {
		r.readMark(name, fields[r.column[landmarkColumn]])
	}
}

// markLoosely notes the landmark of a row of the wrong width, so that it is not missed as well.
func (r *reader) markLoosely(fields []string, point int) {
	for _, f := range fields {
		name := strings.ToLower(strings.TrimSpace(f))
		if k := slices.Index(commissures[:], name); k >= 0 {
			line, _ := r.place(0)
			r.marked[name], r.points.Landmark[k] = line, point
		}
	}
}

func (r *reader) readMark(name, written string) {
	line, column := r.place(r.column[landmarkColumn])
	k := slices.Index(commissures[:], name)
	if k < 0 {
		r.add(line, column, "unknown landmark "+quote(written), strings.Join(commissures[:], ", ")+", atrium or nothing", "")
		return
	}
	if first, ok := r.marked[name]; ok {
		r.add(line, column, "a second "+name+" commissure", "one point", fmt.Sprintf("the first is in line %d: take one of the names out", first))
		return
	}
	r.marked[name], r.points.Landmark[k] = line, len(r.points.At)-1
}

func (r *reader) readAtrium(at geom.Vec) {
	line, column := r.place(r.column[landmarkColumn])
	if r.points.Atrium != nil {
		r.add(line, column, "a second atrium point", "one", fmt.Sprintf("the first is in line %d: take one out", r.points.AtriumLine))
		return
	}
	r.points.Atrium, r.points.AtriumLine = &at, line
}

// number reads a coordinate.
func (r *reader) number(fields []string, k int) float64 {
	written := fields[r.column[k]]
	text := strings.TrimSpace(written)
	line, column := r.place(r.column[k])
	expected := "a number in mm, such as 12.5"
	if text == "" {
		r.add(line, column, columns[k]+" is empty", expected, "")
		return 0
	}
	// ParseFloat also reads hexadecimals and words for what is no number.
	v, err := strconv.ParseFloat(text, 64)
	if strings.Trim(text, "0123456789+-.eE") != "" || errors.Is(err, strconv.ErrSyntax) {
		mend := ""
		if strings.Contains(text, ",") {
			mend = "write decimals with a point, not with a comma"
		}
		r.add(line, column, columns[k]+" is "+quote(written), expected, mend)
		return 0
	}
	if math.Abs(v) > geom.Reach {
		r.add(line, column, columns[k]+" is "+quote(written), fmt.Sprintf("a number in mm between %.0f and %.0f", -geom.Reach, geom.Reach), "")
		return 0
	}
	return v
}

func (r *reader) checkMarks(line, column int) {
	for _, name := range commissures {
		if _, ok := r.marked[name]; !ok {
			r.add(line, column, "no point is named "+name, "each of the three commissures on one point", "write its name in the landmark column of the point nearest to it")
		}
	}
}

func (r *reader) checkCount(last int) {
	n := len(r.points.At)
	if n < FewestPoints {
		r.add(last, 1, fmt.Sprintf("the contour has %s", count(n, "point")), fmt.Sprintf("at least %d", FewestPoints), "take more points around the rim")
	}
	if n > MostPoints {
		r.add(r.points.Line[MostPoints], 1, fmt.Sprintf("the contour has %s, and this is one too many", count(n, "point")), fmt.Sprintf("at most %d", MostPoints),
			fmt.Sprintf("keep every %s point", ordinal((n+MostPoints-1)/MostPoints)))
	}
}

// quote shows a text of the file, short and on one line.
func quote(text string) string {
	if runes := []rune(text); len(runes) > mostShown {
		text = string(runes[:mostShown]) + "…"
	}
	return strconv.Quote(text)
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func ordinal(n int) string {
	switch {
	case n%100 >= 11 && n%100 <= 13:
		return fmt.Sprintf("%dth", n)
	case n%10 == 1:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}
