package contour

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the expected texts of testdata/contours anew")

// TestFiles reads and fits every file of testdata/contours and compares what comes out with the text beside it.
func TestFiles(t *testing.T) {
	for _, kind := range []string{"ok", "err"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "contours", kind, "*.csv"))
		if err != nil || len(files) < 4 {
			t.Fatalf("%d files of the kind %s: %v", len(files), kind, err)
		}
		for _, file := range files {
			t.Run(kind+"/"+filepath.Base(file), func(t *testing.T) { checkFile(t, kind, file) })
		}
	}
}

func checkFile(t *testing.T, kind, file string) {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	got, refused := outcome(filepath.Base(file), data)
	if refused != (kind == "err") {
		t.Errorf("refused: %v\n%s", refused, got)
	}
	beside := strings.TrimSuffix(file, ".csv") + ".txt"
	if *update {
		if err := os.WriteFile(beside, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(beside)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// outcome is what there is to say about a file, and whether it was refused.
func outcome(name string, data []byte) (string, bool) {
	p, problems := Read(name, data)
	var f Fitted
	if len(problems) == 0 {
		f, problems = Fit(p)
	}
	if len(problems) > 0 {
		return problems.Error() + "\n", true
	}
	return fmt.Sprintf("%d points, rim %.2f mm: anterior %.2f, posterior %.2f, septal %.2f; saddle %.2f\nresidual %.3f, at most %.3f, noise %.3f mm; %.1f parameters\n",
		len(p.At), f.LengthMM, f.SegmentsMM[0], f.SegmentsMM[1], f.SegmentsMM[2], f.SaddleHeightMM,
		f.ResidualRMSMM, f.ResidualMaxMM, f.NoiseMM, f.Smoothing.Effective), false
}
