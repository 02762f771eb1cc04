package main

import (
	"bytes"
	"fmt"

	"fairlead/svgout"
)

func runDraw(s streams, o options, args []string) (int, error) {
	report, err := checkedPlan(args[0], s)
	if err != nil {
		return exitWrong, err
	}
	var plate bytes.Buffer
	if err := svgout.AtrialView(&plate, report); err != nil {
		return exitWrong, fmt.Errorf("fairlead draw: %w", err)
	}
	return exitFor(report.Verdict), writeWhole(o.output, plate.Bytes(), s.out)
}
