package contour

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzRead checks that any bytes give either a rim that keeps its promises or problems with a place and a reason.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "contours", "*", "*.csv"))
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, problems := Read("f", data)
		if len(problems) == 0 {
			if len(p.At) < FewestPoints || len(p.At) > MostPoints || len(p.Line) != len(p.At) {
				t.Fatalf("%d points in %d lines pass", len(p.At), len(p.Line))
			}
			var fitted Fitted
			fitted, problems = Fit(p)
			if len(problems) == 0 {
				checkFuzzed(t, fitted)
			}
		}
		for _, p := range problems {
			if p.File != "f" || p.Line < 1 || p.Column < 1 || p.What == "" || strings.ContainsAny(p.Error(), "\n\r") {
				t.Errorf("a malformed problem: %q", p.Error())
			}
			if p.Line > strings.Count(string(data), "\n")+1 {
				t.Errorf("a problem behind the end: %q", p.Error())
			}
		}
	})
}

func checkFuzzed(t *testing.T, f Fitted) {
	checkRotation(t, f.Pose)
	if !(f.LengthMM >= ShortestMM && f.LengthMM <= LongestMM) || !(f.NoiseMM >= 0) || !(f.SaddleHeightMM >= 0) {
		t.Errorf("length %g, noise %g, saddle %g", f.LengthMM, f.NoiseMM, f.SaddleHeightMM)
	}
	for _, s := range f.SegmentsMM {
		if !(s > 0) {
			t.Errorf("segments %v", f.SegmentsMM)
		}
	}
	for i, s := range f.Samples {
		next := f.Samples[(i+1)%len(f.Samples)]
		if d := s.Distance(next); !s.IsFinite() || math.IsNaN(d) || d > f.LengthMM/SampleCount+1e-6 {
			t.Errorf("samples %d and on are at %v and %v", i, s, next)
		}
	}
}
