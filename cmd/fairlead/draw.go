package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fairlead/svgout"
)

func runDraw(s streams, o options, args []string) (int, error) {
	report, _, err := checkedPlan(args[0], s)
	if err != nil {
		return exitWrong, err
	}
	var plate bytes.Buffer
	if err := svgout.AtrialView(&plate, report); err != nil {
		return exitWrong, fmt.Errorf("fairlead draw: %w", err)
	}
	return exitFor(report.Verdict), writeWhole(o.output, plate.Bytes(), s.out)
}

// writeWhole writes a file whole or leaves what was there: the bytes go to a temporary file beside it, which then
// takes its name.
func writeWhole(name string, data []byte, stdout io.Writer) error {
	if name == "-" {
		_, err := stdout.Write(data)
		return err
	}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return fmt.Errorf("fairlead: cannot write %s: it is a directory; give a file name in it", name)
	}
	file, err := os.CreateTemp(filepath.Dir(name), ".fairlead-*")
	if err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", name, err)
	}
	defer os.Remove(file.Name()) // gone already once renamed
	_, err = file.Write(data)
	if err == nil {
		err = file.Chmod(0o644)
	}
	if closing := file.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(file.Name(), name)
	}
	if err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", name, err)
	}
	return nil
}
