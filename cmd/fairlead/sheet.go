package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"fairlead/placement"
	"fairlead/svgout"
)

func flagSheet(f *pflag.FlagSet, o *options) {
	f.StringVarP(&o.output, "output", "o", "", "write one PDF to `FILE`.pdf, or one SVG a page into a directory, made if need be")
	f.StringVar(&o.picture.as, "as", "", "write `KIND` of file: svg, a page each, or pdf; by the ending of -o unless given")
	flagTheme(f, &o.picture)
	flagReader(f, &o.reader)
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
	reader, err := o.reader.reader("sheet")
	if err != nil {
		return exitWrong, err
	}
	if o.output == "" {
		return exitWrong, usageError{"fairlead sheet: where to? A sheet has several pages", "Give a file that ends in .pdf, or a directory, with -o."}
	}
	files, err := planFiles(args)
	if err != nil {
		return exitWrong, err
	}
	if o.picture, err = o.picture.settle("sheet", o.output); err != nil {
		return exitWrong, err
	}
	if o.picture.as == "png" {
		return exitWrong, usageError{"fairlead sheet: a sheet is written as svg or pdf, not as png", "Draw a view as png with `fairlead draw`."}
	}
	names, err := o.sheetNames(files)
	if err != nil {
		return exitWrong, err
	}
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	return desk.eachReport(s, files, func(i int, report *placement.Report) worked {
		pages, err := o.picture.sheetPages(report, paper, reader)
		if err != nil {
			return worked{err: cannotDraw("sheet", files[i], err)}
		}
		err = o.picture.writeSheet(names[i], pages, s.out)
		return worked{code: exitFor(report.Verdict), err: err}
	})
}

// sheetNames are where each sheet goes: one PDF to the file asked for; pages, and several PDFs, into a directory.
func (o options) sheetNames(files []string) ([]string, error) {
	if o.picture.as != "pdf" {
		return drawingNames(o.output, files, "")
	}
	if strings.EqualFold(filepath.Ext(o.output), ".pdf") || o.output == "-" {
		if len(files) > 1 {
			return nil, usageError{fmt.Sprintf("fairlead sheet: %d plans, but -o %s is one file", len(files), o.output), "Give -o a directory, and --as pdf."}
		}
		return []string{o.output}, nil
	}
	return drawingNames(o.output, files, ".pdf")
}

// writeSheet writes the files of a sheet, which are all drawn before the first is written.
func (p picture) writeSheet(name string, pages [][]byte, stdout io.Writer) error {
	if p.as != "pdf" {
		return writePages(name, pages)
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", filepath.Dir(name), cause(err))
	}
	return writeWhole(name, pages[0], stdout)
}

// sheetPages are the files of a sheet: a page each, or one PDF of all.
func (p picture) sheetPages(report *placement.Report, paper svgout.Paper, reader svgout.Reader) (files [][]byte, err error) {
	sheet, err := svgout.NewSheet(report, paper, reader)
	if err != nil {
		return nil, err
	}
	var pages []*svgout.Drawing
	for i := range sheet.Pages() {
		page, err := sheet.Page(i)
		if err != nil {
			return nil, err
		}
		pages = append(pages, page.In(svgout.Theme(p.theme)))
	}
	if p.as == "pdf" {
		var out bytes.Buffer
		err := svgout.WritePDF(&out, pages...)
		return [][]byte{out.Bytes()}, err
	}
	for _, page := range pages {
		var out bytes.Buffer
		if err := svgout.WriteSVG(&out, page); err != nil {
			return nil, err
		}
		files = append(files, out.Bytes())
	}
	return files, nil
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
