package svgcheck

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// patience is how long an outside tool may take.
const patience = 2 * time.Minute

// need finds a program under one of its names, or ends the test.
func need(t testing.TB, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	missing(t, names[0]+" is not installed")
	return ""
}

// missing skips the test, or fails it where rendering is required.
func missing(t testing.TB, why string) {
	t.Helper()
	if os.Getenv("FAIRLEAD_RENDER") == "required" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// run runs a tool to its end and gives what it wrote to standard output and,
// with it, what it complained of.
func run(t testing.TB, program string, args ...string) (stdout []byte, complaint string, err error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	stdout, err = exec.CommandContext(ctx, program, args...).Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		complaint = string(exit.Stderr)
	}
	return stdout, complaint, err
}

// stored writes sheets to a fresh directory as 0.svg, 1.svg and so on.
func stored(t testing.TB, sheets [][]byte) (dir string, files []string) {
	t.Helper()
	dir = t.TempDir()
	for i, sheet := range sheets {
		name := filepath.Join(dir, strconv.Itoa(i)+".svg")
		if err := os.WriteFile(name, sheet, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	return dir, files
}

// CheckXMLLint fails the test if xmllint finds a sheet not well-formed.
func CheckXMLLint(t testing.TB, sheets ...[]byte) {
	t.Helper()
	program := need(t, "xmllint")
	_, files := stored(t, sheets)
	if _, complaint, err := run(t, program, append([]string{"--noout", "--nonet"}, files...)...); err != nil {
		t.Errorf("xmllint: %v\n%s", err, complaint)
	}
}

// CheckNu fails the test if the Nu Html Checker finds a fault in a sheet.
func CheckNu(t testing.TB, sheets ...[]byte) {
	t.Helper()
	jar := os.Getenv("FAIRLEAD_VNU_JAR")
	if jar == "" {
		missing(t, "FAIRLEAD_VNU_JAR does not name the checker's jar")
	}
	program := need(t, "java")
	_, files := stored(t, sheets)
	if _, complaint, err := run(t, program, append([]string{"-jar", jar, "--svg"}, files...)...); err != nil {
		t.Errorf("Nu Html Checker: %v\n%s", err, complaint)
	}
}
