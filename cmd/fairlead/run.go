package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"
)

// Exit codes.
const (
	exitClear = 0 // done, and nothing is to be avoided
	exitAvoid = 1 // done, and something in the plan is to be avoided
	exitWrong = 2 // the input or the call is wrong, or the output could not be written
)

// streams are what a verb reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// verb is one thing the command does.
type verb struct {
	name, takes, does string
	flags             func(*pflag.FlagSet, *options)
	run               func(streams, options, []string) (int, error)
}

// options holds every verb's flags; a verb reads its own.
type options struct {
	output  string
	view    string
	patch   string
	bite    string
	reader  readerFlags
	picture picture
	paper   string
	quiz    bool
	format  string
	size    sizeFlags
}

func verbs() []verb {
	return []verb{
		{"draw", "PLAN...", "draw the checked plan", flagDraw, runDraw},
		{"sheet", "PLAN...", "print the checked plan on paper: picture at true size, bites, findings, room to write", flagSheet, runSheet},
		{"slides", "PLAN...", "teach the checked plan: numbered slides, notes for who speaks, an animation", flagSlides, runSlides},
		{"check", "PLAN...", "measure and judge every bite", flagFormat, runCheck},
		{"size", "PLAN", "say how long a band, ring or tied purse-string each aim asks for, and propose its bites", flagSize, runSize},
		{"landmarks", "[PLAN]", "list landmarks and parameters, how well each is known, and its source", flagFormat, runLandmarks},
		{"rules", "", "list the rules bites are judged by and what each rests on", flagFormat, runRules},
		{"sources", "", "list the bibliography", flagFormat, runSources},
		{"schema", "", "print the JSON Schema of the plan file", nil, runSchema},
	}
}

func flagFormat(f *pflag.FlagSet, o *options) {
	f.StringVar(&o.format, "format", "table", "`FORMAT` of the answer: table for people, json for programs")
}

// usageError is a wrong call: answered with a hint at the help, not with the whole of it.
type usageError struct{ text, hint string }

func (e usageError) Error() string { return e.text + "\n" + e.hint }

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	code, err := dispatch(args, streams{stdin, output{stdout}, stderr})
	if err != nil {
		complain(stderr, err)
		return exitWrong
	}
	return code
}

func complain(stderr io.Writer, err error) {
	for _, line := range strings.Split(err.Error(), "\n") {
		fmt.Fprintln(stderr, line)
	}
}

func dispatch(args []string, s streams) (int, error) {
	root := pflag.NewFlagSet("fairlead", pflag.ContinueOnError)
	root.SetInterspersed(false)
	root.SetOutput(io.Discard)
	root.Usage = func() {}
	if err := root.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return exitClear, usage(s.out)
	} else if err != nil {
		return exitWrong, usageError{"fairlead: " + err.Error(), "See `fairlead help`."}
	}
	switch rest := root.Args(); {
	case len(rest) == 0:
		return exitWrong, usageError{"fairlead: no verb given", "See `fairlead help`; a first try: fairlead check examples/band.yaml"}
	case rest[0] == "help" && (len(rest) == 1 || rest[1] == "help"):
		return exitClear, usage(s.out)
	case rest[0] == "help":
		return verbHelp(rest[1], s)
	default:
		return runVerb(rest[0], rest[1:], s)
	}
}

func findVerb(name string) (verb, error) {
	var names []string
	for _, v := range verbs() {
		if v.name == name {
			return v, nil
		}
		names = append(names, v.name)
	}
	hint := "The verbs: " + strings.Join(names, ", ") + ". See `fairlead help`."
	if meant := nearest(name, names); meant != "" {
		hint = "Did you mean " + meant + "? " + hint
	}
	return verb{}, usageError{fmt.Sprintf("fairlead: there is no verb %q", name), hint}
}

func (v verb) flagSet(o *options) *pflag.FlagSet {
	f := pflag.NewFlagSet(v.name, pflag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.SortFlags = false
	f.Usage = func() {}
	if v.flags != nil {
		v.flags(f, o)
	}
	return f
}

func runVerb(name string, args []string, s streams) (int, error) {
	v, err := findVerb(name)
	if err != nil {
		return exitWrong, err
	}
	var o options
	f := v.flagSet(&o)
	if err := f.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return verbHelp(name, s)
	} else if err != nil {
		return exitWrong, usageError{"fairlead " + name + ": " + err.Error(), "See `fairlead help " + name + "`."}
	}
	if err := v.checkCall(f.Args(), o); err != nil {
		return exitWrong, err
	}
	return v.run(s, o, f.Args())
}

// checkCall holds the arguments against what the verb takes.
func (v verb) checkCall(args []string, o options) error {
	hint := "See `fairlead help " + v.name + "`."
	switch {
	case v.takes == "" && len(args) > 0:
		return usageError{fmt.Sprintf("fairlead %s: takes no plan, but %q was given", v.name, args[0]), hint}
	case (v.takes == "PLAN" || v.takes == "PLAN...") && len(args) == 0:
		return usageError{"fairlead " + v.name + ": which plan? Give a file, or - for standard input", hint}
	case v.takes != "PLAN..." && len(args) > 1:
		return usageError{fmt.Sprintf("fairlead %s: takes one plan, but %d were given", v.name, len(args)), hint}
	case o.format != "" && o.format != "table" && o.format != "json":
		return usageError{fmt.Sprintf("fairlead %s: --format %q is not known", v.name, o.format), "It can be table or json."}
	}
	return nil
}

func usage(w io.Writer) error {
	var t strings.Builder
	t.WriteString("fairlead checks planned suture bites on the tricuspid valve's rim, says what they make of the valve, and draws both.\n\n")
	t.WriteString("  fairlead VERB [PLAN] [options]\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(&t, "  %-10s %-8s %s\n", v.name, v.takes, v.does)
	}
	t.WriteString("\nPLAN is a YAML file (`fairlead schema` describes it), or - for standard input; PLAN... may be several, or\n")
	t.WriteString("directories of them.\n")
	t.WriteString("Exit status: 0 nothing is to be avoided, 1 something is, 2 the input is wrong.\n")
	t.WriteString("`fairlead help VERB` tells a verb's options.\n")
	_, err := io.WriteString(w, t.String())
	return err
}

func verbHelp(name string, s streams) (int, error) {
	v, err := findVerb(name)
	if err != nil {
		return exitWrong, err
	}
	var o options
	call := strings.TrimRight("fairlead "+v.name+" "+v.takes, " ")
	text := v.does + "\n\n  " + call
	if flags := v.flagSet(&o).FlagUsages(); flags != "" {
		text += " [options]\n\n" + flags
	} else {
		text += "\n"
	}
	_, err = io.WriteString(s.out, text)
	return exitClear, err
}
