package ring

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

// SolveInSpace returns the joints of a closed line in space whose elements have
// the given lengths. heightsMM[i] is the height (z) of joint i, where element i
// starts; heights are carried along unchanged. An element that climbs by Δz keeps
// √(L² - Δz²) of its length in the plane, and for these lengths the plane shape is
// solved as Solve does it, rest being the turnings of the plan. The lengths in
// space are then right to ClosureTolerance of the perimeter.
//
// It is an error if an element climbs by its length or more: it would have to
// stand upright, and an upright element has no heading.
func SolveInSpace(lengthsMM, heightsMM []float64, rest, stiffness []float64) ([]geom.Vec, error) {
	plan, err := planLengths(lengthsMM, heightsMM)
	if err != nil {
		return nil, err
	}
	shape, err := Solve(Problem{LengthsMM: plan, Rest: rest, Stiffness: stiffness})
	if err != nil {
		return nil, fmt.Errorf("in the plane: %w", err)
	}
	joints := make([]geom.Vec, len(plan))
	for i, p := range shape.Points {
		joints[i] = geom.Vec{X: p.X, Y: p.Y, Z: heightsMM[i]}
	}
	return joints, nil
}

// planLengths is what is left in the plane of each element.
func planLengths(lengths, heights []float64) ([]float64, error) {
	if len(heights) != len(lengths) {
		return nil, fmt.Errorf("%d heights for %d joints", len(heights), len(lengths))
	}
	plan := make([]float64, len(lengths))
	for i, l := range lengths {
		climb := math.Abs(heights[(i+1)%len(heights)] - heights[i])
		if !(climb < l) {
			return nil, fmt.Errorf("element %d is %g mm long and cannot climb %g mm", i, l, climb)
		}
		// L² - Δz² in factors, which loses no digits when the two are close.
		plan[i] = math.Sqrt((l - climb) * (l + climb))
	}
	return plan, nil
}
