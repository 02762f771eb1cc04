package main

import (
	"bytes"
	"fmt"
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
	return eachPlan(s, len(files), func(i int) worked {
		report, err := desk.checked(files[i], s)
		if err != nil {
			return worked{err: err}
		}
		var out bytes.Buffer
		if o.format == "json" {
			err = report.WriteJSON(&out)
		} else {
			if len(files) > 1 {
				fmt.Fprintf(&out, "%s\n\n", files[i])
			}
			err = report.WriteTable(&out)
			if len(files) > 1 {
				out.WriteString("\n")
			}
		}
		return worked{out.Bytes(), exitFor(report.Verdict), err}
	})
}
