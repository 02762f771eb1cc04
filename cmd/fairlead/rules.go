package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairlead/placement"
)

func runRules(s streams, o options, _ []string) (int, error) {
	book, err := placement.LoadRulebook()
	if err != nil {
		return exitWrong, err
	}
	if o.format == "json" {
		return exitClear, writeJSON(s.out, map[string]any{"rules": rulesJSON(book)})
	}
	var t strings.Builder
	for _, r := range book.Rules() {
		fmt.Fprintf(&t, "%s: %s\n    %s\n    basis: %s\n", r.ID, titleOf(r), r.Says, r.Basis())
		if r.FiguresGrade != "" {
			fmt.Fprintf(&t, "    its figures in %s: %s\n", r.FiguresUnit, r.FiguresGrade)
		}
	}
	_, err = io.WriteString(s.out, t.String())
	return exitClear, err
}

type ruleJSON struct {
	ID           string             `json:"id"`
	Title        string             `json:"title"`
	Says         string             `json:"says"`
	Grade        string             `json:"grade"`
	Source       string             `json:"source"`
	Figures      map[string]float64 `json:"figures,omitempty"`
	FiguresUnit  string             `json:"figures_unit,omitempty"`
	FiguresGrade string             `json:"figures_grade,omitempty"`
}

func rulesJSON(book *placement.Rulebook) (rules []ruleJSON) {
	for _, r := range book.Rules() {
		rules = append(rules, ruleJSON{r.ID, titleOf(r), r.Says, string(r.Grade), r.Source, r.Figures, unitOf(r), string(r.FiguresGrade)})
	}
	return rules
}

// titleOf is what a rule is called, where nothing stands before it.
func titleOf(r placement.Rule) string {
	called := r.Called().String()
	first, size := utf8.DecodeRuneInString(called)
	return string(unicode.ToUpper(first)) + called[size:]
}

// unitOf is the unit of a rule's figures; empty where it has none.
func unitOf(r placement.Rule) string {
	if len(r.Figures) == 0 {
		return ""
	}
	return r.FiguresUnit
}
