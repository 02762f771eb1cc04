package main

import (
	"bytes"
	"fmt"
	"io"

	"fairlead/placement"
)

func runCheck(s streams, o options, args []string) (int, error) {
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	files, err := planFiles(args)
	if err != nil {
		return exitWrong, err
	}
	return desk.eachReport(s, files, func(i int, report *placement.Report) worked {
		var out bytes.Buffer
		err := writeReport(&out, report, o.format, len(files) > 1)
		return worked{out.Bytes(), exitFor(report.Verdict), err}
	})
}

// writeReport writes one report; a table among several has the name of its plan's file over it.
func writeReport(w io.Writer, report *placement.Report, format string, several bool) error {
	if format == "json" {
		return report.WriteJSON(w)
	}
	if !several {
		return report.WriteTable(w)
	}
	if _, err := fmt.Fprintf(w, "%s\n\n", report.Laid.Plan.File); err != nil {
		return err
	}
	if err := report.WriteTable(w); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}
