package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fairlead/atlas"
	"fairlead/placement"
)

// planLimit is the most that is read of a plan. A reader of bytes beyond the format's own limit would refuse it anyway.
const planLimit = 4 << 20

// readPlan reads a plan from a file or, for -, from standard input.
func readPlan(name string, s streams, catalogue *atlas.Catalogue) (placement.Plan, error) {
	data, err := readLimited(name, s.in)
	if err != nil {
		return placement.Plan{}, err
	}
	if name == "-" {
		name = "standard input"
	}
	plan, problems := placement.Read(name, data, placement.WordsOf(catalogue))
	if err := problems.Err(); err != nil || plan.Contour == "" {
		return plan, err
	}
	plan.ContourCSV, err = readContour(plan, name)
	return plan, err
}

// readContour reads the file of a plan's contour, which lies beside the plan.
func readContour(plan placement.Plan, planName string) ([]byte, error) {
	file := plan.Contour
	if !filepath.IsAbs(file) {
		file = filepath.Join(filepath.Dir(planName), file)
	}
	data, err := readFile(file)
	if err != nil {
		return nil, fmt.Errorf("%s: contour: %w", plan.ContourAt, errors.Unwrap(err))
	}
	return data, nil
}

// readLimited reads a file or, for -, standard input.
func readLimited(name string, stdin io.Reader) ([]byte, error) {
	if name == "-" {
		return readAll(stdin)
	}
	return readFile(name)
}

func readFile(name string) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("fairlead: the plan cannot be read: %w", err)
	}
	defer file.Close()
	return readAll(file)
}

func readAll(source io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(source, planLimit))
	if err != nil {
		return nil, fmt.Errorf("fairlead: the plan cannot be read: %w", err)
	}
	return data, nil
}

// desk is what plans are checked with: loaded once, whatever their number.
type desk struct {
	catalogue *atlas.Catalogue
	rules     *placement.Rulebook
}

func openDesk() (*desk, error) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		return nil, err
	}
	rules, err := placement.LoadRulebook()
	if err != nil {
		return nil, err
	}
	return &desk{catalogue, rules}, nil
}

// checked goes the whole way from a file to a report.
func (d *desk) checked(name string, s streams) (*placement.Report, error) {
	plan, err := readPlan(name, s, d.catalogue)
	if err != nil {
		return nil, err
	}
	laid, problems := placement.Lay(plan, d.catalogue)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return placement.Check(laid, d.rules), nil
}

func exitFor(level placement.Level) int {
	if level == placement.Avoid {
		return exitAvoid
	}
	return exitClear
}
