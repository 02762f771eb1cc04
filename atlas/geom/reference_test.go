package geom

import (
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
)

var writeSegmentCases = flag.String("write-segment-cases", "", "write the inputs of the segment reference to this file and stop")

// referenceCase is two segments, by kind.
type referenceCase struct {
	kind string
	s, o Segment
}

// referenceCases makes the inputs that CGAL was given; the CSV holds them to the
// last bit, so the test does not call this.
func referenceCases() []referenceCase {
	r := rand.New(rand.NewPCG(2024, 7))
	var cases []referenceCase
	add := func(kind string, s, o Segment) { cases = append(cases, referenceCase{kind, s, o}) }
	for range 110 {
		add("general", randomSegment(r, 50), randomSegment(r, 50))
	}
	for i := range 90 {
		// Turned against each other by 1e-1 to 1e-15.
		s := randomSegment(r, 30)
		way, off := s.B.Sub(s.A), randomVec(r, 3)
		o := Segment{s.A.Add(way.Scale(r.Float64() - 0.5)).Add(off), Vec{}}
		o.B = o.A.Add(way.Scale(0.5 + r.Float64())).Add(randomVec(r, 30).Scale(math.Pow(10, -1-float64(i%15))))
		add("near-parallel", s, o)
	}
	for i := range 30 {
		// Nearly parallel and crossing near the middle.
		s := randomSegment(r, 30)
		tilt := randomVec(r, 10).Scale(math.Pow(10, -float64(i%15)))
		add("near-parallel-crossing", s, Segment{s.A.Add(tilt), s.B.Sub(tilt)})
	}
	grid := func(n int) Vec {
		return Vec{float64(r.IntN(2*n+1) - n), float64(r.IntN(2*n+1) - n), float64(r.IntN(2*n+1) - n)}
	}
	for range 50 {
		// Whole numbers: both pass exactly through one point.
		c, a, b := grid(20), grid(8), grid(8)
		add("crossing", Segment{c.Sub(a), c.Add(a.Scale(2))}, Segment{c.Sub(b.Scale(3)), c.Add(b)})
	}
	for range 40 {
		// An end of one on the other.
		c, a := grid(20), grid(8)
		add("touching", Segment{c.Sub(a), c.Add(a.Scale(3))}, Segment{c, grid(20)})
	}
	for range 20 {
		a, b, off := grid(10), grid(6), grid(3)
		add("parallel", Segment{a, a.Add(b.Scale(4))}, Segment{a.Add(off).Add(b), a.Add(off).Sub(b.Scale(2))})
	}
	for range 30 {
		p := randomVec(r, 20)
		add("point-segment", Segment{p, p}, randomSegment(r, 20))
	}
	for range 10 {
		p, q := randomVec(r, 20), randomVec(r, 20)
		add("point-point", Segment{p, p}, Segment{q, q})
	}
	for range 20 {
		far := randomVec(r, 9e5)
		s, o := randomSegment(r, 5), randomSegment(r, 5)
		add("far-off", Segment{s.A.Add(far), s.B.Add(far)}, Segment{o.A.Add(far), o.B.Add(far)})
	}
	for range 20 {
		c := randomVec(r, 1)
		tiny := randomVec(r, 1e-7)
		add("short", Segment{c, c.Add(tiny)}, randomSegment(r, 20))
	}
	return cases
}

// writeCases writes them, one a line, with every digit.
func writeCases(path string) error {
	var b strings.Builder
	for _, c := range referenceCases() {
		b.WriteString(c.kind)
		for _, v := range []Vec{c.s.A, c.s.B, c.o.A, c.o.B} {
			fmt.Fprintf(&b, " %.17g %.17g %.17g", v.X, v.Y, v.Z)
		}
		b.WriteByte('\n')
	}
	return os.WriteFile(path, []byte(b.String()), 0o644)
}

func TestMain(m *testing.M) {
	flag.Parse()
	if *writeSegmentCases != "" {
		if err := writeCases(*writeSegmentCases); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// largestDifference is the size that SegmentErrorPerMM is a fraction of.
func largestDifference(s, o Segment) float64 {
	points := []Vec{s.A, s.B, o.A, o.B}
	size := 0.0
	for _, p := range points {
		for _, q := range points {
			d := p.Sub(q)
			size = max(size, math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z))
		}
	}
	return size
}

// readReference reads the golden CSV: a kind, twelve coordinates, the distance.
func readReference(t *testing.T) (cases []referenceCase, distance []float64) {
	t.Helper()
	file, err := os.Open("../../testdata/reference/segment_distance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		n := make([]float64, 13)
		for i := range n {
			if n[i], err = strconv.ParseFloat(row[i+1], 64); err != nil {
				t.Fatal(err)
			}
		}
		cases = append(cases, referenceCase{row[0],
			Segment{Vec{n[0], n[1], n[2]}, Vec{n[3], n[4], n[5]}},
			Segment{Vec{n[6], n[7], n[8]}, Vec{n[9], n[10], n[11]}}})
		distance = append(distance, n[12])
	}
	return cases, distance
}

// TestSegmentDistanceAgainstCGAL compares with distances that CGAL worked out in
// exact arithmetic.
func TestSegmentDistanceAgainstCGAL(t *testing.T) {
	cases, want := readReference(t)
	if len(cases) < 400 {
		t.Fatalf("%d cases, want 400 at least", len(cases))
	}
	worst := 0.0
	for i, c := range cases {
		dist, at, on := c.s.Distance(c.o)
		allowed := SegmentErrorPerMM * largestDifference(c.s, c.o)
		err := math.Abs(dist - want[i])
		if allowed > 0 {
			worst = max(worst, err/allowed)
		}
		if err > allowed {
			t.Errorf("case %d (%s): distance %.17g, CGAL %.17g, off by %g, allowed %g", i, c.kind, dist, want[i], err, allowed)
		}
		if at < 0 || at > 1 || on < 0 || on > 1 {
			t.Errorf("case %d (%s): t %g, u %g not in 0..1", i, c.kind, at, on)
		}
	}
	t.Logf("%d cases; largest error %.2g of what SegmentErrorPerMM allows", len(cases), worst)
}
