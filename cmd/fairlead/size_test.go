package main

import (
	"strings"
	"testing"

	"fairlead/placement"
)

func TestSize(t *testing.T) {
	dilated := examples + "dilated.yaml"
	table := call("", "size", dilated)
	words := strings.Join(strings.Fields(table.out), " ")
	if table.code != exitClear || table.err != "" || !strings.HasSuffix(words, placement.Care().String()) || !strings.Contains(words, "Proposed for the aim body") {
		t.Errorf("exit %d, %q: %.400s", table.code, table.err, table.out)
	}
	for _, c := range []struct{ args, want string }{
		{"--aim ratio", "Proposed for the aim ratio"},
		{"--aim least --device ring", "Proposed for the aim least"},
		{"--area 1200", "area 1200 mm2, as asked"},
		{"--area 1200", "Proposed for the aim area"},
		{"--area 1200 --aim ratio", "Proposed for the aim ratio"},
		{"--device purse-string", "purse-string: { bites: ["},
		{"--bites 9", "9 bites of"},
	} {
		if got := call("", append([]string{"size", dilated}, strings.Fields(c.args)...)...); got.code != exitClear || got.err != "" || !strings.Contains(got.out, c.want) {
			t.Errorf("%s: exit %d, %q; no %q", c.args, got.code, got.err, c.want)
		}
	}
	asJSON := call("", "size", dilated, "--format", "json")
	if doc := parsed(t, asJSON.out); asJSON.code != exitClear || doc["format"] != placement.SizingFormat || doc["care"] != placement.Care().String() {
		t.Errorf("exit %d: %.200s", asJSON.code, asJSON.out)
	}
	if got := call(read(t, examples+"child.yaml"), "size", "-"); got != call("", "size", examples+"child.yaml") {
		t.Errorf("from standard input: %+v", got)
	}
	if got := call("", "size", examples+"band.yaml"); got.code != exitClear || !strings.Contains(got.out, "There is nothing to take") {
		t.Errorf("the usual adult: %+v", got)
	}
}

// What is proposed goes into a plan as it is printed.
func TestSizePastes(t *testing.T) {
	child := read(t, examples+"child.yaml")
	out := call(child, "size", "-").out
	_, paste, found := strings.Cut(out, "\nbites:\n")
	if !found {
		t.Fatalf("no bites in %s", out)
	}
	paste, _, _ = strings.Cut(paste, "\n\n")
	plan := child[:strings.Index(child, "\nbites:\n")] + "\nbites:\n" + paste + "\n"
	if got := call(plan, "check", "-"); got.code != exitClear || got.err != "" || !strings.Contains(got.out, "posterior segment") {
		t.Errorf("exit %d, %q: %.300s", got.code, got.err, got.out)
	}
}

func TestSizeRefuses(t *testing.T) {
	dilated := examples + "dilated.yaml"
	for _, c := range []struct {
		args string
		want []string
	}{
		{"", []string{"fairlead size: which plan?"}},
		{dilated + " " + dilated, []string{"takes one plan"}},
		{"nowhere.yaml", []string{"no such file"}},
		{dilated + " --aim smallest", []string{`"smallest"`, "body, ratio, area or least"}},
		{dilated + " --device clip", []string{`"clip"`, "band, ring or purse-string"}},
		{dilated + " --area 12", []string{"12 mm2", "1 cm2 is 100 mm2"}},
		{dilated + " --area nan", []string{"NaN"}},
		{dilated + " --area wide", []string{"invalid argument"}},
		{dilated + " --bites 2", []string{"2 bites", "4 to 60"}},
		{dilated + " --area 2000", []string{"dilated.yaml: ", "nothing to take", "2000.0 mm2"}},
		{examples + "band.yaml --aim body", []string{"band.yaml: ", "nothing to take"}},
		{dilated + " --format yaml", []string{"table or json"}},
	} {
		got := call("", append([]string{"size"}, strings.Fields(c.args)...)...)
		if got.code != exitWrong || got.out != "" {
			t.Errorf("%s: exit %d, output %.100q", c.args, got.code, got.out)
		}
		for _, want := range c.want {
			if !strings.Contains(got.err, want) {
				t.Errorf("%s: %q does not say %q", c.args, got.err, want)
			}
		}
	}
}
