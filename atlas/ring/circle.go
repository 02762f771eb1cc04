package ring

import "math"

// inscribed returns the turnings, in radians and all positive, of the polygon with
// these lengths that is inscribed in a circle. It exists, and is the only one, if
// the longest element is shorter than the others together.
//
// An element of length L is seen from the centre under the angle 2ψ with
// sin ψ = L/2r, and the joint between two elements turns by the sum of their ψ.
// The radius is sought through the ψ of the longest element, called φ here, which
// may exceed π/2: then the centre lies outside, beyond that element. All ψ
// together are half a turn,
//
//	φ + Σ arcsin(Lᵢ sin φ / L) = π    over the other elements.
func inscribed(lengths []float64) []float64 {
	longest := indexOfLargest(lengths)
	half := halfAngles(lengths, longest, longestHalfAngle(lengths, longest))
	turns := make([]float64, len(lengths))
	for i := range turns {
		turns[i] = half[i] + half[(i+1)%len(half)]
	}
	return turns
}

func indexOfLargest(values []float64) int {
	at := 0
	for i, v := range values {
		if v > values[at] {
			at = i
		}
	}
	return at
}

// halfAngles are the ψ of all elements, given that of the longest.
func halfAngles(lengths []float64, longest int, phi float64) []float64 {
	half := make([]float64, len(lengths))
	scale := math.Sin(phi) / lengths[longest]
	for i, l := range lengths {
		half[i] = math.Asin(min(1, l*scale))
	}
	half[longest] = phi
	return half
}

// longestHalfAngle solves the equation above by Newton's method within a bracket,
// halved where Newton's step leaves it. φ = π is a root as well, of a ring folded
// flat, and has to be kept out: with the others longer than the longest by the
// fraction s, the sum exceeds π by at least εs(1 - (1+s)/6) at π - ε, where
// ε² = s < 1, and by 2 sin 1 - 1 at π - 1 where s > 1.
func longestHalfAngle(lengths []float64, longest int) float64 {
	slack := sum(lengths)/lengths[longest] - 2
	low, high := 0.0, math.Pi-min(1, math.Sqrt(max(slack, 0)))
	// The circle whose length is that of the ring is the first guess.
	phi := min(high, math.Pi*lengths[longest]/sum(lengths))
	for range 100 {
		excess, slope := halfTurnExcess(lengths, longest, phi)
		if excess < 0 {
			low = phi
		} else {
			high = phi
		}
		next := phi - excess/slope
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-phi) <= 1e-16*phi || next == low || next == high {
			return next
		}
		phi = next
	}
	return phi
}

// halfTurnExcess is what the ψ sum up to beyond π, and its derivative in φ.
func halfTurnExcess(lengths []float64, longest int, phi float64) (excess, slope float64) {
	sin, cos := math.Sincos(phi)
	excess, slope = phi-math.Pi, 1
	for i, l := range lengths {
		if i != longest {
			ratio := l / lengths[longest]
			excess += math.Asin(ratio * sin)
			slope += ratio * cos / math.Sqrt(1-ratio*sin*ratio*sin)
		}
	}
	return excess, slope
}
