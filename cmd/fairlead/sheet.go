package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"fairlead/placement"
	"fairlead/svgout"
)

func flagSheet(f *pflag.FlagSet, o *options) {
	f.StringVarP(&o.output, "output", "o", "", "write one SVG a page into the directory `DIR`, made if need be")
	f.StringVar(&o.paper, "paper", svgout.Papers()[0].Name, "`PAPER` to print on: "+strings.Join(paperNames(), ", "))
}

func paperNames() (names []string) {
	for _, p := range svgout.Papers() {
		names = append(names, p.Name)
	}
	return names
}

func (o options) chosenPaper() (svgout.Paper, error) {
	for _, p := range svgout.Papers() {
		if p.Name == o.paper {
			return p, nil
		}
	}
	return svgout.Paper{}, usageError{fmt.Sprintf("fairlead sheet: --paper %q is not known", o.paper), "It can be " + strings.Join(paperNames(), " or ") + "."}
}

func runSheet(s streams, o options, args []string) (int, error) {
	paper, err := o.chosenPaper()
	if err != nil {
		return exitWrong, err
	}
	if o.output == "" {
		return exitWrong, usageError{"fairlead sheet: where to? A sheet has several pages", "Give a directory with -o."}
	}
	files, err := planFiles(args)
	if err != nil {
		return exitWrong, err
	}
	names, err := drawingNames(o.output, files, "")
	if err != nil {
		return exitWrong, err
	}
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	return eachPlan(s, len(files), func(i int) worked {
		report, err := desk.checked(files[i], s)
		if err != nil {
			return worked{err: err}
		}
		pages, err := sheetPages(report, paper)
		if err != nil {
			return worked{err: fmt.Errorf("fairlead sheet: %s: %w", files[i], err)}
		}
		return worked{code: exitFor(report.Verdict), err: writePages(names[i], pages)}
	})
}

// sheetPages draws every page before the first is written.
func sheetPages(report *placement.Report, paper svgout.Paper) (pages [][]byte, err error) {
	sheet, err := svgout.NewSheet(report, paper)
	if err != nil {
		return nil, err
	}
	for i := range sheet.Pages() {
		var page bytes.Buffer
		if err := sheet.DrawPage(&page, i); err != nil {
			return nil, err
		}
		pages = append(pages, page.Bytes())
	}
	return pages, nil
}

// writePages writes pages beside each other, numbered behind a name. Pages of an older, longer sheet of that name go.
func writePages(name string, pages [][]byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", filepath.Dir(name), cause(err))
	}
	for i, page := range pages {
		if err := writeWhole(pageName(name, i), page, nil); err != nil {
			return err
		}
	}
	for i := len(pages); ; i++ {
		if err := os.Remove(pageName(name, i)); err != nil {
			return nil // there is none
		}
	}
}

func pageName(name string, page int) string { return fmt.Sprintf("%s-%d.svg", name, page+1) }
