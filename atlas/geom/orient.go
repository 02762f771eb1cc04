package geom

import (
	"math"
	"math/big"
)

// orientFilter bounds the rounding error of the two-by-two determinant, as a
// fraction of the sum of the sizes of its products: (3 + 16ε)ε with ε = 2⁻⁵³
// (Shewchuk, Adaptive Precision Floating-Point Arithmetic and Fast Robust
// Geometric Predicates).
const orientFilter = (3 + 16.0/(1<<53)) / (1 << 53)

// orient is the exact sign of the turn p, q, r: 1 to the left, -1 to the right,
// 0 when they are on one line. Coordinates that are not finite give 0.
func orient(p, q, r Point) int {
	left, right := (p.X-r.X)*(q.Y-r.Y), (p.Y-r.Y)*(q.X-r.X)
	turn := left - right
	if math.Abs(turn) > orientFilter*(math.Abs(left)+math.Abs(right)) {
		return sign(turn)
	}
	return orientExact(p, q, r)
}

// sign is -1, 0 or 1.
func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// orientExact is orient in fractions, without rounding.
func orientExact(p, q, r Point) int {
	for _, v := range [...]float64{p.X, p.Y, q.X, q.Y, r.X, r.Y} {
		if !finite(v) {
			return 0
		}
	}
	difference := func(a, b float64) *big.Rat {
		x := new(big.Rat).SetFloat64(a)
		return x.Sub(x, new(big.Rat).SetFloat64(b))
	}
	left := difference(p.X, r.X)
	left.Mul(left, difference(q.Y, r.Y))
	right := difference(p.Y, r.Y)
	right.Mul(right, difference(q.X, r.X))
	return left.Cmp(right)
}
