package ring

import (
	"encoding/binary"
	"math"
	"testing"

	"fairlead/atlas/geom"
)

// floats reads one number after another out of the data.
func floats(data []byte, count int) []float64 {
	out := make([]float64, count)
	for i := range out {
		if len(data) >= 8 {
			out[i] = math.Float64frombits(binary.LittleEndian.Uint64(data))
			data = data[8:]
		}
	}
	return out
}

// tamed brings numbers to 0..1, so that the fuzzer finds problems that pass the
// checks.
func tamed(values []float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = 0.5 + math.Atan(v)/math.Pi
		if !finite(out[i]) {
			out[i] = 0
		}
	}
	return out
}

// oneTurn shifts the turnings so that they add up to one.
func oneTurn(turns []float64) []float64 {
	out := make([]float64, len(turns))
	for i, v := range turns {
		out[i] = v + (2*math.Pi-sum(turns))/float64(len(turns))
	}
	return out
}

func FuzzSolve(f *testing.F) {
	f.Add([]byte("a closed line of prescribed lengths"), uint8(5), true)
	f.Add([]byte("what is kept is the angle and not the curvature, and it is kept at every joint"), uint8(11), true)
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0xf0, 0x7f, 1, 0, 0, 0, 0, 0, 0, 0}, uint8(3), false)
	f.Fuzz(func(t *testing.T, data []byte, count uint8, tame bool) {
		n := int(count) % 64
		all := floats(data, 3*n)
		p := Problem{LengthsMM: all[:n], Rest: all[n : 2*n], Stiffness: all[2*n:]}
		if tame {
			p = Problem{LengthsMM: scaled(tamed(p.LengthsMM), 30), Rest: oneTurn(scaled(tamed(p.Rest), 4)), Stiffness: tamed(p.Stiffness)}
		}
		mustAnswer(t, p)
		mustAnswer(t, Problem{LengthsMM: p.LengthsMM})
	})
}

// mustAnswer asks for a shape or an error, and for a shape of the free ring
// whenever its lengths can close.
func mustAnswer(t *testing.T, p Problem) {
	s, err := Solve(p)
	if err == nil {
		mustFit(t, p, s)
		if !(s.Energy >= 0) || !(s.AreaMM2() >= 0) || s.Aligned(s.Points, nil) == nil {
			t.Fatalf("energy %g, area %g", s.Energy, s.AreaMM2())
		}
	}
	if err != nil && p.Rest == nil && checkLengths(p.LengthsMM) == nil {
		t.Fatalf("the free ring has no shape: %v", err)
	}
	if joints, err := SolveInSpace(p.LengthsMM, p.Rest, p.Rest, p.Stiffness); err == nil && len(joints) != len(p.LengthsMM) {
		t.Fatalf("%d joints", len(joints))
	}
}

func FuzzAligned(f *testing.F) {
	f.Add([]byte("where the joints are to go"), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, count uint8) {
		n := int(count) % 16
		all := floats(data, 5*n)
		points, onto := make([]geom.Point, n), make([]geom.Point, n)
		for i := range n {
			points[i] = geom.Point{X: all[i], Y: all[n+i]}
			onto[i] = geom.Point{X: all[2*n+i], Y: all[3*n+i]}
		}
		if got := (Shape{Points: points}).Aligned(onto, all[4*n:]); len(got) != n {
			t.Fatalf("%d joints of %d", len(got), n)
		}
		if len(Turns(points)) != n || len(Lengths(points)) != n {
			t.Fatal("a joint is missing")
		}
	})
}
