package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Slides are written one a file, into a directory that is made if need be, with notes and an animation; a shorter set
// leaves no slide of a longer one behind.
func TestSlidesAreWritten(t *testing.T) {
	plan, dir := filepath.Join(t.TempDir(), "a.yaml"), filepath.Join(t.TempDir(), "teach", "a")
	if err := os.WriteFile(plan, []byte(oneBite("1 mm")), 0o644); err != nil {
		t.Fatal(err)
	}
	got := call("", "slides", plan, "-o", dir)
	if got.code != exitClear || got.out != "" || got.err != "" {
		t.Fatalf("%+v", got)
	}
	names := []string{"01.svg", "02.svg", "03.svg", "04.svg", "05.svg", "06.svg", "07.svg", "08.svg", "09.svg", "10.svg", "build.svg", "notes.md"}
	onlyFile(t, dir, names...)
	for _, name := range names[:len(names)-1] {
		if slide := read(t, filepath.Join(dir, name)); wellFormed(slide) != nil || !strings.Contains(slide, `viewBox="0 0 320 180"`) {
			t.Errorf("%s is no slide", name)
		}
	}
	if notes := read(t, filepath.Join(dir, "notes.md")); !strings.Contains(notes, "## 10 / 10") || !strings.Contains(notes, "## Sources") {
		t.Error("the notes do not go on to the last slide and the sources")
	}
	if err := os.WriteFile(filepath.Join(dir, "11.svg"), []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := call("", "slides", plan, "-o", dir); got.code != exitClear {
		t.Fatalf("%+v", got)
	}
	onlyFile(t, dir, names...)
	if got := call("", "slides", "--quiz", plan, "-o", dir); got.code != exitClear || !strings.Contains(read(t, filepath.Join(dir, "05.svg")), "Which of these bites") {
		t.Errorf("no quiz: %+v", got)
	}
}

// Several plans go each into a directory of its own; one bad plan is told of, and the slides of the others are written.
func TestSlidesOfSeveralPlans(t *testing.T) {
	plans, dir := plansOf(t, map[string]string{"a.yaml": oneBite("1 mm"), "b.yaml": "fairlead: 9\n", "c.yaml": oneBite("1 mm")}), t.TempDir()
	got := call("", "slides", plans, "-o", dir)
	if got.code != exitWrong || !strings.Contains(got.err, "b.yaml:1:") {
		t.Fatalf("%+v", got)
	}
	onlyFile(t, dir, "a", "c")
	if a, c := read(t, filepath.Join(dir, "a", "build.svg")), read(t, filepath.Join(dir, "c", "build.svg")); a != c {
		t.Error("one plan under two names is drawn differently")
	}
}

func TestSlidesThatCannotBeWritten(t *testing.T) {
	plain := filepath.Join(t.TempDir(), "plain")
	if err := os.WriteFile(plain, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := call("", "slides", examples+"band.yaml", "-o", plain); got.code != exitWrong || !strings.Contains(got.err, "cannot write") || read(t, plain) != "old" {
		t.Errorf("%+v", got)
	}
}
