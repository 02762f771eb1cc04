package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A sheet is written a page a file, into a directory that is made if need be; a shorter sheet of the same plan leaves no
// page of the longer one behind.
func TestSheetWritesItsPages(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "paper", "plans")
	got := call("", "sheet", examples+"band.yaml", "-o", dir)
	if got.code != exitClear || got.out != "" || got.err != "" {
		t.Fatalf("%+v", got)
	}
	onlyFile(t, dir, "band-1.svg", "band-2.svg")
	for _, name := range []string{"band-1.svg", "band-2.svg"} {
		if page := read(t, filepath.Join(dir, name)); wellFormed(page) != nil || !strings.Contains(page, "210mm") {
			t.Errorf("%s is no page of A4", name)
		}
	}
	for _, name := range []string{"band-3.svg", "band-4.svg"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got := call("", "sheet", examples+"band.yaml", "-o", dir, "--paper", "letter"); got.code != exitClear {
		t.Fatalf("%+v", got)
	}
	onlyFile(t, dir, "band-1.svg", "band-2.svg")
	if page := read(t, filepath.Join(dir, "band-1.svg")); !strings.Contains(page, "215.9mm") {
		t.Error("no page of Letter")
	}
}

// One bad plan is told of, and the sheets of the others are written.
func TestSheetsOfSeveralPlans(t *testing.T) {
	plans, dir := plansOf(t, map[string]string{"a.yaml": oneBite("1 mm"), "b.yaml": "fairlead: 9\n", "c.yaml": oneBite("1 mm")}), t.TempDir()
	got := call("", "sheet", plans, "-o", dir)
	if got.code != exitWrong || !strings.Contains(got.err, "b.yaml:1:") {
		t.Fatalf("%+v", got)
	}
	onlyFile(t, dir, "a-1.svg", "c-1.svg")
}

func TestSheetThatCannotBeWritten(t *testing.T) {
	plain := filepath.Join(t.TempDir(), "plain")
	if err := os.WriteFile(plain, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := call("", "sheet", examples+"band.yaml", "-o", plain); got.code != exitWrong || !strings.Contains(got.err, "cannot write") || read(t, plain) != "old" {
		t.Errorf("%+v", got)
	}
}

// A sheet is one PDF of all its pages where its name says so.
func TestSheetAsPDF(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "band.pdf")
	if got := call("", "sheet", examples+"band.yaml", "-o", file); got.code != exitClear || got.out != "" || got.err != "" {
		t.Fatalf("%+v", got)
	}
	if pdf := read(t, file); !strings.HasPrefix(pdf, "%PDF-") || strings.Count(pdf, "/Type /Page\n") != 2 {
		t.Errorf("%d pages", strings.Count(pdf, "/Type /Page\n"))
	}
	if got := call("", "sheet", examples+"band.yaml", examples+"child.yaml", "-o", file); got.code != exitWrong || !strings.Contains(got.err, "is one file") {
		t.Errorf("%+v", got)
	}
	if got := call("", "sheet", examples+"band.yaml", examples+"child.yaml", "-o", dir, "--as", "pdf"); got.code != exitClear {
		t.Errorf("%+v", got)
	}
	onlyFile(t, dir, "band.pdf", "child.pdf")
}
