package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"fairlead/placement"
)

// sizeFlags are what `size` may be asked for.
type sizeFlags struct {
	aim, device string
	areaMM2     float64
	bites       int
}

func flagSize(f *pflag.FlagSet, o *options) {
	f.StringVar(&o.size.aim, "aim", "", "propose bites for `AIM`: body, ratio, area or least; unless given the first that takes anything")
	f.Float64Var(&o.size.areaMM2, "area", 0, "aim at an area of `MM2` spanned by the rim; as expected of the body unless given")
	f.StringVar(&o.size.device, "device", "", "size a `DEVICE`: band, ring or purse-string; unless given what the plan's operation says, or a band")
	f.IntVar(&o.size.bites, "bites", 0, "propose `N` bites, or passes of purse-strings; as the plan's spacing asks unless given")
	flagFormat(f, o)
}

// options are the flags as the sizing takes them: who gives an area aims at it.
func (f sizeFlags) options() placement.SizeOptions {
	o := placement.SizeOptions{Aim: placement.Aim(f.aim), AreaMM2: f.areaMM2, Form: placement.Operation(f.device), Bites: f.bites}
	if o.Aim == "" && o.AreaMM2 != 0 {
		o.Aim = placement.ToArea
	}
	return o
}

func runSize(s streams, o options, args []string) (int, error) {
	desk, err := openDesk()
	if err != nil {
		return exitWrong, err
	}
	plan, err := readPlan(args[0], s, desk.catalogue)
	if err != nil {
		return exitWrong, err
	}
	laid, problems := placement.Lay(plan, desk.catalogue)
	if err := problems.Err(); err != nil {
		return exitWrong, err
	}
	sizing, err := placement.SizeFor(laid, desk.catalogue, desk.rules, o.size.options())
	if err != nil {
		return exitWrong, fmt.Errorf("fairlead size: %s: %w", plan.File, err)
	}
	code := exitClear
	if sizing.Chosen != nil {
		code = exitFor(sizing.Chosen.Report.Verdict)
	}
	if o.format == "json" {
		return code, sizing.WriteJSON(s.out)
	}
	return code, sizing.WriteTable(s.out)
}
