package main

func runCheck(s streams, o options, args []string) (int, error) {
	report, err := checkedPlan(args[0], s)
	if err != nil {
		return exitWrong, err
	}
	write := report.WriteTable
	if o.format == "json" {
		write = report.WriteJSON
	}
	return exitFor(report.Verdict), write(s.out)
}
