package main

import (
	"bytes"
	"os"
	"testing"
)

// TestTableIsUpToDate measures the fonts again, where FAIRLEAD_FONTS says
// they are; another edition of a font may well have other widths.
func TestTableIsUpToDate(t *testing.T) {
	dir := os.Getenv("FAIRLEAD_FONTS")
	if dir == "" {
		t.Skip("FAIRLEAD_FONTS does not name the folder with the fonts")
	}
	again, err := Source(dir)
	if err != nil {
		t.Fatal(err)
	}
	committed, err := os.ReadFile("../../lettering_widths.go")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(again, committed) {
		t.Error("lettering_widths.go is not what the installed fonts give; run go generate")
	}
}
