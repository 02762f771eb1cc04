package strictyaml

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Position is a place in a file. Lines and columns count from one; columns
// count runes.
type Position struct {
	File         string
	Line, Column int
}

// String gives the place as file:line:column.
func (p Position) String() string {
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Problem is one thing wrong with a document: what it is, what was expected in
// its place and how to mend it.
type Problem struct {
	Position
	What, Expected, Mend string
}

// Error gives the problem on one line.
func (p Problem) Error() string {
	parts := []string{p.What}
	if p.Expected != "" {
		parts = append(parts, "expected "+p.Expected)
	}
	if p.Mend != "" {
		parts = append(parts, p.Mend)
	}
	return p.Position.String() + ": " + strings.Join(parts, "; ")
}

// Problems collects what is wrong with a document.
type Problems []Problem

// Add notes one more problem.
func (ps *Problems) Add(at Position, what, expected, mend string) {
	*ps = append(*ps, Problem{Position: at, What: what, Expected: expected, Mend: mend})
}

// Sorted gives the problems in the order of their places.
func (ps Problems) Sorted() Problems {
	sorted := slices.Clone(ps)
	slices.SortStableFunc(sorted, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column),
		)
	})
	return sorted
}

// Error gives every problem, one a line, in the order of their places.
func (ps Problems) Error() string {
	var lines []string
	for _, p := range ps.Sorted() {
		lines = append(lines, p.Error())
	}
	return strings.Join(lines, "\n")
}

// Err gives the problems as an error, nil when there are none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
