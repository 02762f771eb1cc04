package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
)

// plansOf writes plans into a new directory.
func plansOf(t testing.TB, texts map[string]string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for name, text := range texts {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestSeveralPlansComeInOrder(t *testing.T) {
	texts := map[string]string{"notes.txt": "no plan"}
	for i := range 12 {
		texts[fmt.Sprintf("plan-%02d.yaml", i)] = strings.Replace(oneBite("0.7 mm"), "case: test", fmt.Sprintf("case: number %d", i), 1)
	}
	dir := plansOf(t, texts)
	got := call("", "check", dir)
	if got.code != exitClear || got.err != "" {
		t.Fatalf("%+v", got)
	}
	at := -1
	for i := range 12 {
		next := strings.Index(got.out, fmt.Sprintf("plan-%02d.yaml\n\nnumber %d: ", i, i))
		if next <= at {
			t.Fatalf("plan %d is not where it belongs: at %d after %d", i, next, at)
		}
		at = next
	}
	if strings.Contains(got.out, "notes") {
		t.Error("what is no plan was read")
	}
}

// A bad plan is reported and the rest done; the worst of them is how the call ends.
func TestOneBadPlanAmongSeveral(t *testing.T) {
	good, bad := oneBite("0.7 mm"), oneBite("7 inches")
	avoid := strings.Replace(oneBite("2 mm"), "anterior, share: 50 %", "septal, share: 70 %, off: 3 mm", 1)
	for _, c := range []struct {
		name  string
		texts map[string]string
		code  int
		drawn []string
	}{
		{"all good", map[string]string{"a.yaml": good, "b.yml": good}, exitClear, []string{"a.svg", "b.svg"}},
		{"one to avoid", map[string]string{"a.yaml": good, "b.yaml": avoid}, exitAvoid, []string{"a.svg", "b.svg"}},
		{"one bad", map[string]string{"a.yaml": bad, "b.yaml": avoid, "c.yaml": good}, exitWrong, []string{"b.svg", "c.svg"}},
	} {
		dir, out := plansOf(t, c.texts), t.TempDir()
		for _, got := range []called{call("", "check", dir), call("", "draw", dir, "-o", out)} {
			if got.code != c.code || (got.err != "") != (c.code == exitWrong) {
				t.Errorf("%s: exit %d, want %d: %q", c.name, got.code, c.code, got.err)
			}
			if c.code == exitWrong && !strings.Contains(got.err, "a.yaml:5:") {
				t.Errorf("%s: %q does not tell where", c.name, got.err)
			}
		}
		onlyFile(t, out, c.drawn...)
	}
}

func TestTwoPlansOfOneName(t *testing.T) {
	one, other, out := plansOf(t, map[string]string{"a.yaml": oneBite("1 mm")}), plansOf(t, map[string]string{"a.yml": oneBite("1 mm")}), t.TempDir()
	got := call("", "draw", one, other, "-o", out)
	if got.code != exitWrong || !strings.Contains(got.err, "would both be drawn to") {
		t.Errorf("%+v", got)
	}
	onlyFile(t, out)
}

// Results come in order whatever the order they are finished in, and only as many are under way as there are cores and
// one or two to spare.
func TestInOrder(t *testing.T) {
	var now, most atomic.Int64
	want := 0
	err := inOrder(500, func(i int) worked {
		here := now.Add(1)
		for seen := most.Load(); here > seen && !most.CompareAndSwap(seen, here); seen = most.Load() {
		}
		for range (i % 7) * 1000 {
			runtime.Gosched()
		}
		now.Add(-1)
		return worked{code: i}
	}, func(w worked) error {
		if w.code != want {
			t.Fatalf("%d came where %d belongs", w.code, want)
		}
		want++
		return nil
	})
	if err != nil || want != 500 {
		t.Fatalf("%d results, %v", want, err)
	}
	if allowed := int64(runtime.GOMAXPROCS(0) + 2); most.Load() > allowed {
		t.Errorf("%d under way at once, more than %d", most.Load(), allowed)
	}
}

func TestInOrderStops(t *testing.T) {
	var begun atomic.Int64
	err := inOrder(1_000_000, func(int) worked { begun.Add(1); return worked{} }, func(worked) error { return errFull })
	if err != errFull || begun.Load() > 1000 {
		t.Errorf("%v after %d", err, begun.Load())
	}
}

// Checking and drawing many plans takes time in proportion to their number and no more memory for more of them: see
// ns/plan and B/plan over the sizes.
func BenchmarkBatch(b *testing.B) {
	band, err := os.ReadFile(examples + "band.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{10, 100, 1000} {
		texts := map[string]string{}
		for i := range n {
			texts[fmt.Sprintf("%04d.yaml", i)] = string(band)
		}
		dir, out := plansOf(b, texts), b.TempDir()
		b.Run(fmt.Sprintf("plans=%d", n), func(b *testing.B) {
			for b.Loop() {
				call("", "check", dir)
				call("", "draw", dir, "-o", out)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/plan")
			b.ReportMetric(liveMB(), "live-MB")
		})
	}
}

func liveMB() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / 1e6
}
