package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"fairlead/placement"
	"fairlead/svgout"
)

// view is one way to draw a plan.
type view struct {
	name, shows string
	draw        func(*placement.Report, options, svgout.Reader) (*svgout.Drawing, error)
}

func views() []view {
	return []view{
		{"atrial", "as the surgeon sees it", func(r *placement.Report, _ options, reader svgout.Reader) (*svgout.Drawing, error) {
			return svgout.AtrialDrawing(r, reader)
		}},
		{"strip", "the rim unrolled, true along the hinge, with the depth that is safe at each place", func(r *placement.Report, _ options, reader svgout.Reader) (*svgout.Drawing, error) {
			return svgout.StripDrawing(r, reader)
		}},
		{"both", "atrial view and strip together, numbered alike", func(r *placement.Report, _ options, reader svgout.Reader) (*svgout.Drawing, error) {
			return svgout.TwoViewDrawing(r, reader)
		}},
		{"section", "a cut across the rim at a bite", drawSection},
		{"upright", "the heart as it sits in the body", func(r *placement.Report, _ options, reader svgout.Reader) (*svgout.Drawing, error) {
			return svgout.UprightDrawing(r, reader)
		}},
		{"repair", "what the repair makes of the valve, before and after", func(r *placement.Report, _ options, reader svgout.Reader) (*svgout.Drawing, error) {
			return svgout.RepairDrawing(r, reader)
		}},
		{"template", "a patch laid flat, at true size, to cut along", drawTemplate},
	}
}

// drawSection cuts at the bite that is named, or where the plan is worst.
func drawSection(r *placement.Report, o options, reader svgout.Reader) (*svgout.Drawing, error) {
	if len(r.Bites) == 0 {
		return nil, errors.New("the plan has no bite to cut at")
	}
	if o.bite != "" {
		return svgout.SectionDrawing(r, o.bite, reader)
	}
	worst := slices.MaxFunc(r.Bites, func(a, b placement.BiteReport) int {
		return cmp.Or(cmp.Compare(a.Verdict, b.Verdict), cmp.Compare(b.Nearest.MM, a.Nearest.MM))
	})
	return svgout.SectionDrawing(r, worst.Name, reader)
}

// drawTemplate draws the patch that is named, or the plan's first.
func drawTemplate(r *placement.Report, o options, reader svgout.Reader) (*svgout.Drawing, error) {
	if len(r.Patches) == 0 {
		return nil, errors.New("the plan has no `patches` to cut")
	}
	var names []string
	for i, p := range r.Patches {
		if o.patch == "" || o.patch == p.Name {
			return svgout.TemplateDrawing(r, i, reader)
		}
		names = append(names, p.Name)
	}
	return nil, fmt.Errorf("no patch is called %q; there is %s", o.patch, strings.Join(names, ", "))
}

func viewNames() (names []string) {
	for _, v := range views() {
		names = append(names, v.name)
	}
	return names
}

func flagDraw(f *pflag.FlagSet, o *options) {
	f.StringVarP(&o.output, "output", "o", "-", "write to `FILE`, whole or not at all, or into a directory; - is standard output")
	f.StringVar(&o.view, "view", views()[0].name, "`VIEW` to draw: "+strings.Join(viewNames(), ", "))
	flagPicture(f, &o.picture)
	f.StringVar(&o.bite, "bite", "", "`NAME` of the bite to draw the section at; the worst unless given")
	flagReader(f, &o.reader)
	f.StringVar(&o.patch, "patch", "", "`NAME` of the patch to draw the template of; the first unless given")
}

func (o options) chosenView() (view, error) {
	for _, v := range views() {
		if v.name == o.view {
			return v, nil
		}
	}
	hint := "It can be " + strings.Join(viewNames(), ", ") + "."
	if meant := nearest(o.view, viewNames()); meant != "" {
		hint = "Did you mean " + meant + "? " + hint
	}
	return view{}, usageError{fmt.Sprintf("fairlead draw: --view %q is not known", o.view), hint}
}

func runDraw(s streams, o options, args []string) (int, error) {
	chosen, err := o.chosenView()
	if err != nil {
		return exitWrong, err
	}
	reader, err := o.reader.reader("draw")
	if err != nil {
		return exitWrong, err
	}
	files, err := planFiles(args)
	if err != nil {
		return exitWrong, err
	}
	o.picture, err = o.picture.settle("draw", o.output)
	if err != nil {
		return exitWrong, err
	}
	names, err := o.outputs(files, "."+o.picture.as)
	if err != nil {
		return exitWrong, err
	}
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	return desk.eachReport(s, files, func(i int, report *placement.Report) worked {
		drawing, err := chosen.draw(report, o, reader)
		if err != nil {
			return worked{err: cannotDraw("draw", files[i], err)}
		}
		file, err := o.picture.write(drawing)
		if err != nil {
			return worked{err: cannotDraw("draw", files[i], err)}
		}
		var out bytes.Buffer
		err = writeWhole(names[i], file, &out)
		return worked{out.Bytes(), exitFor(report.Verdict), err}
	})
}

// outputs are where each plan is drawn to: one plan to the file asked for, several into a directory.
func (o options) outputs(files []string, ext string) ([]string, error) {
	info, err := os.Stat(o.output)
	switch into := err == nil && info.IsDir(); {
	case into:
		return drawingNames(o.output, files, ext)
	case len(files) > 1:
		return nil, usageError{fmt.Sprintf("fairlead: %d plans, but -o %s is no directory to draw them into", len(files), o.output), "Give -o a directory that is there."}
	}
	return []string{o.output}, nil
}
