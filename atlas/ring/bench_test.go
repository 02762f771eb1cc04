package ring

import (
	"fmt"
	"slices"
	"testing"
)

// BenchmarkSolve cinches an eighth of an ellipse to 40 %.
func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{60, 240, 960} {
		rest := ellipse(n, 20, 15, 0)
		benchmark(b, n, Problem{LengthsMM: cinched(Lengths(rest), n/8, n/4, 0.4), Rest: Turns(rest)})
	}
}

// BenchmarkSolveAgainstTheWall cinches one side of a rectangle to 60 %. Joints in
// the other sides would turn back and are held straight.
func BenchmarkSolveAgainstTheWall(b *testing.B) {
	for _, n := range []int{60, 240, 960} {
		p := rectangle(40, 30, n/4)
		p.LengthsMM = cinched(p.LengthsMM, 0, n/4, 0.6)
		if s := mustSolve(b, p); slices.Min(s.Turns) > 1e-8 {
			b.Fatal("no joint is held straight")
		}
		benchmark(b, n, p)
	}
}

func BenchmarkSolveFree(b *testing.B) {
	for _, n := range []int{60, 240, 960} {
		benchmark(b, n, Problem{LengthsMM: cinched(Lengths(ellipse(n, 20, 15, 0)), n/8, n/4, 0.4)})
	}
}

func benchmark(b *testing.B, n int, p Problem) {
	b.Run(fmt.Sprint(n), func(b *testing.B) {
		b.ReportAllocs()
		steps := 0
		for b.Loop() {
			s, err := Solve(p)
			if err != nil {
				b.Fatal(err)
			}
			steps = s.Iterations
		}
		b.ReportMetric(float64(steps), "steps")
	})
}
