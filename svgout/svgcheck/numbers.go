package svgcheck

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	lengths  = []string{"x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "dx", "dy", "width", "height", "r", "rx", "ry", "stroke-width", "font-size"}
	unsigned = []string{"width", "height", "r", "rx", "ry", "stroke-width", "font-size"}
)

// numberFault looks at an attribute that holds numbers, and at none else.
func numberFault(name, value string) error {
	switch {
	case name == "d":
		return pathFault(value)
	case name == "viewBox":
		return viewBoxFault(value)
	case !slices.Contains(lengths, name):
		return nil
	}
	v, err := plainNumber(strings.TrimSuffix(value, "mm"))
	if err == nil && v < 0 && slices.Contains(unsigned, name) {
		err = fmt.Errorf("%q is negative", value)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

func viewBoxFault(value string) error {
	words := strings.Fields(value)
	if len(words) != 4 {
		return fmt.Errorf("viewBox %q has not four numbers", value)
	}
	for i, w := range words {
		v, err := plainNumber(w)
		if err != nil || i >= 2 && v <= 0 {
			return fmt.Errorf("viewBox %q is no box", value)
		}
	}
	return nil
}

var numberForm = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$`)

// plainNumber reads a number as SVG writes them: ParseFloat alone would take
// "NaN", "Inf" and "0x1p4".
func plainNumber(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !numberForm.MatchString(text) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	if v == 0 && strings.HasPrefix(text, "-") {
		return 0, fmt.Errorf("%q is minus zero", text)
	}
	return v, nil
}

var (
	pathPiece = regexp.MustCompile(`^[\s,]*([A-Za-z]|[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)`)
	arguments = map[string]int{"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
)

// pathFault reads path data: known commands, the first a move, each with a
// whole number of argument sets.
func pathFault(d string) error {
	command, count := "", 0
	finish := func() error {
		n, ok := arguments[command]
		switch {
		case command == "":
			return nil
		case !ok:
			return fmt.Errorf("path: no command %q", command)
		case n == 0 && count > 0, n > 0 && (count == 0 || count%n != 0):
			return fmt.Errorf("path: %s with %d numbers", command, count)
		}
		return nil
	}
	for rest := strings.TrimSpace(d); rest != ""; {
		m := pathPiece.FindStringSubmatch(rest)
		if m == nil {
			return fmt.Errorf("path: %.20q cannot be read", rest)
		}
		rest = rest[len(m[0]):]
		if _, err := plainNumber(m[1]); err == nil && command != "" {
			count++
			continue
		}
		if err := finish(); err != nil {
			return err
		}
		if command == "" && strings.ToUpper(m[1]) != "M" {
			return fmt.Errorf("path: begins with %q", m[1])
		}
		command, count = strings.ToUpper(m[1]), 0
	}
	return finish()
}
