package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"fairlead/placement"
)

// planFiles are the plans a call names, in its order; a directory stands for the plans in it, by name.
func planFiles(args []string) (files []string, err error) {
	for _, arg := range args {
		info, err := os.Stat(arg)
		if arg == "-" || err != nil || !info.IsDir() { // what cannot be opened is told of where it is read
			files = append(files, arg)
			continue
		}
		inside, err := plansIn(arg)
		if err != nil {
			return nil, err
		}
		files = append(files, inside...)
	}
	if first := slices.Index(files, "-"); first >= 0 && slices.Contains(files[first+1:], "-") {
		return nil, usageError{"fairlead: standard input is given twice", "It can be read once: give - once."}
	}
	return files, nil
}

func plansIn(dir string) (files []string, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("fairlead: the plans cannot be read: %w", err)
	}
	for _, entry := range entries {
		if ext := filepath.Ext(entry.Name()); !entry.IsDir() && (ext == ".yaml" || ext == ".yml") {
			files = append(files, filepath.Join(dir, entry.Name()))
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("fairlead: %s holds no plan: a plan's name ends in .yaml or .yml", dir)
	}
	return files, nil
}

// worked is what the work on one plan came to: what to print, and how the call is to end for its sake.
type worked struct {
	out  []byte
	code int
	err  error
}

// eachPlan works on every plan, on all cores, and prints what came of them in the order they were named. A bad plan is
// reported and the rest done; the worst of them is how the call ends.
func eachPlan(s streams, plans int, work func(i int) worked) (int, error) {
	code := exitClear
	err := inOrder(plans, work, func(w worked) error {
		code = max(code, w.code)
		if w.err != nil {
			code = exitWrong
			complain(s.err, w.err)
		}
		_, err := s.out.Write(w.out)
		return err
	})
	if err != nil {
		return exitWrong, err
	}
	return code, nil
}

// eachReport checks every plan and goes on with what came of it.
func (d *desk) eachReport(s streams, files []string, work func(i int, report *placement.Report) worked) (int, error) {
	return eachPlan(s, len(files), func(i int) worked {
		report, err := d.checked(files[i], s)
		if err != nil {
			return worked{err: err}
		}
		return work(i, report)
	})
}

// inOrder works on n things on all cores and takes the results in order. So few are under way at a time that memory
// does not grow with their number. It stops at the first result that cannot be taken.
func inOrder(n int, work func(int) worked, take func(worked) error) error {
	underWay := make(chan chan worked, runtime.GOMAXPROCS(0))
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(underWay)
		for i := range n {
			result := make(chan worked, 1)
			select {
			case underWay <- result:
			case <-stop:
				return
			}
			go func() { result <- work(i) }()
		}
	}()
	for result := range underWay {
		if err := take(<-result); err != nil {
			return err
		}
	}
	return nil
}

// drawingNames are the files that the drawings of several plans go to, in a directory: each named as its plan.
func drawingNames(dir string, files []string, ext string) ([]string, error) {
	names, first := make([]string, len(files)), map[string]string{}
	for i, file := range files {
		base := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
		if file == "-" {
			base = "standard-input"
		}
		if other, twice := first[base]; twice {
			return nil, fmt.Errorf("fairlead: %s and %s would both be drawn to %s; draw them into two directories", other, file, filepath.Join(dir, base+ext))
		}
		first[base], names[i] = file, filepath.Join(dir, base+ext)
	}
	return names, nil
}
