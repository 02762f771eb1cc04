package ring

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestLengthsInSpaceAreExact(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 1))
	for _, n := range []int{60, 240} {
		plan := ellipse(n, 20, 15, 0)
		for range 20 {
			heights, phase := make([]float64, n), r.Float64()
			for i := range heights {
				heights[i] = 3 * math.Cos(2*(2*math.Pi*float64(i)/float64(n)+phase))
			}
			lengths := segmentFactors(r, Lengths(plan))
			for i := range lengths {
				lengths[i] = math.Hypot(lengths[i], heights[(i+1)%n]-heights[i])
			}
			joints, err := SolveInSpace(lengths, heights, Turns(plan), nil)
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range lengths {
				if joints[i].Z != heights[i] {
					t.Fatalf("joint %d is at the height %g, want %g", i, joints[i].Z, heights[i])
				}
				if got := joints[i].Distance(joints[(i+1)%n]); math.Abs(got-l) > 1e-9 {
					t.Fatalf("element %d is %.14g mm long, want %.14g", i, got, l)
				}
			}
		}
	}
}

func TestSpaceRefuses(t *testing.T) {
	ones := []float64{1, 1, 1, 1}
	for _, c := range []struct {
		heights []float64
		says    string
	}{
		{[]float64{0, 0, 0}, "3 heights"},
		{[]float64{0, 0, 1, 0}, "element 1 is 1 mm long and cannot climb 1 mm"},
		{[]float64{0, 0, 0, -2}, "element 2 is 1 mm long and cannot climb 2 mm"},
		{[]float64{0, math.NaN(), 0, 0}, "cannot climb NaN"},
		{[]float64{0, 0, 0, math.Inf(1)}, "cannot climb +Inf"},
		{[]float64{0, 1 - 1e-14, 0, 0}, "in the plane"},
	} {
		if _, err := SolveInSpace(ones, c.heights, nil, nil); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("heights %v: error %v, want one about %q", c.heights, err, c.says)
		}
	}
	if _, err := SolveInSpace(nil, nil, nil, nil); err == nil {
		t.Error("no elements have a shape")
	}
}
