package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"fairlead/placement"
	"fairlead/svgout"
)

func flagSlides(f *pflag.FlagSet, o *options) {
	f.StringVarP(&o.output, "output", "o", "", "write 01.svg, 02.svg ..., notes.md and build.svg into the directory `DIR`, made if need be; several plans go into directories of their own in it")
	f.BoolVar(&o.quiz, "quiz", false, "ask first: hide the conduction axis, the zones and the levels, then show them slide by slide")
	flagPicture(f, &o.picture)
	flagReader(f, &o.reader)
}

// slideSet is everything written for one plan.
type slideSet struct {
	as           string // the ending of the slides' names
	slides       [][]byte
	notes, build []byte
}

func runSlides(s streams, o options, args []string) (int, error) {
	if o.output == "" {
		return exitWrong, usageError{"fairlead slides: where to? There are several slides", "Give a directory with -o."}
	}
	reader, err := o.reader.reader("slides")
	if err != nil {
		return exitWrong, err
	}
	files, err := planFiles(args)
	if err != nil {
		return exitWrong, err
	}
	if o.picture, err = o.picture.settle("slides", ""); err != nil {
		return exitWrong, err
	}
	dirs := []string{o.output}
	if len(files) > 1 {
		if dirs, err = drawingNames(o.output, files, ""); err != nil {
			return exitWrong, err
		}
	}
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	bibliography, err := desk.catalogue.Bibliography()
	if err != nil {
		return exitWrong, err
	}
	return desk.eachReport(s, files, func(i int, report *placement.Report) worked {
		set, err := drawSlides(report, svgout.SlideOptions{Reader: reader, Quiz: o.quiz, Theme: svgout.Theme(o.picture.theme), Bibliography: bibliography}, o.picture)
		if err != nil {
			return worked{err: cannotDraw("slides", files[i], err)}
		}
		return worked{code: exitFor(report.Verdict), err: set.write(dirs[i])}
	})
}

// drawSlides draws everything before the first file is written.
func drawSlides(report *placement.Report, options svgout.SlideOptions, as picture) (set slideSet, err error) {
	set.as = as.as
	slides, err := svgout.NewSlides(report, options)
	if err != nil {
		return set, err
	}
	for i := range slides.Len() {
		drawing, err := slides.Slide(i)
		if err != nil {
			return set, err
		}
		file, err := as.write(drawing)
		if err != nil {
			return set, err
		}
		set.slides = append(set.slides, file)
	}
	var notes, build bytes.Buffer
	if err := slides.Notes(&notes); err != nil {
		return set, err
	}
	if err := slides.DrawBuild(&build); err != nil {
		return set, err
	}
	set.notes, set.build = notes.Bytes(), build.Bytes()
	return set, nil
}

// write writes a set into a directory. Slides of an older, longer set go.
func (set slideSet) write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", dir, cause(err))
	}
	for i, slide := range set.slides {
		if err := writeWhole(set.slideFile(dir, i), slide, nil); err != nil {
			return err
		}
	}
	for i := len(set.slides); os.Remove(set.slideFile(dir, i)) == nil; i++ {
	}
	if err := writeWhole(filepath.Join(dir, "notes.md"), set.notes, nil); err != nil {
		return err
	}
	return writeWhole(filepath.Join(dir, "build.svg"), set.build, nil)
}

func (set slideSet) slideFile(dir string, i int) string {
	return filepath.Join(dir, fmt.Sprintf("%02d.%s", i+1, set.as))
}
