package contour

import (
	"fmt"
	"strings"
	"testing"
)

// written is a contour as a file.
func written(p Points) []byte {
	var b strings.Builder
	b.WriteString("x,y,z,landmark\n")
	for i, v := range p.At {
		name := ""
		for k, m := range p.Landmark {
			if m == i {
				name = commissures[k]
			}
		}
		fmt.Fprintf(&b, "%.3f,%.3f,%.3f,%s\n", v.X, v.Y, v.Z, name)
	}
	return []byte(b.String())
}

func BenchmarkRead(b *testing.B) {
	p, _ := truths()[0].draw(500, 0.5, 0.6, seeded("bench"))
	data := written(p)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, problems := Read("f", data); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{8, 40, 500} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			p, _ := truths()[0].draw(n, 0.5, 0.6, seeded("bench"))
			b.ReportAllocs()
			for b.Loop() {
				if _, problems := Fit(p); len(problems) > 0 {
					b.Fatal(problems)
				}
			}
		})
	}
}

func BenchmarkCurveAt(b *testing.B) {
	p, _ := truths()[0].draw(40, 0.5, 0.6, seeded("bench"))
	f := mustFit(b, p)
	along := 0.0
	for b.Loop() {
		f.Curve.At(along)
		along += 0.7
	}
}
