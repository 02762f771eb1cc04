// Package ring finds the shape that a closed line takes when the lengths of its
// elements are prescribed. It knows no anatomy; the rim of a valve is one such
// line, lengthened by disease in one place and shortened by a repair in another.
//
// # The question
//
// A closed chain of n straight elements has lengths Lᵢ that are known and
// headings θᵢ that are not. Lengths alone leave n-3 freedoms. They are settled by
// asking that the line turn as nearly as it did at rest: of all closed chains
// with these lengths, take the one with the least
//
//	Σ wᵢ (θᵢ₊₁ - θᵢ - τᵢ)² / hᵢ ,    hᵢ = (Lᵢ + Lᵢ₊₁)/2 ,
//
// where τᵢ is the turning at rest at the joint after element i and wᵢ the
// stiffness of that joint. Divided by its share hᵢ of the line, the square of a
// turning is the integral of a curvature squared, so the sum is the bending
// energy of a rod and does not depend on how finely the line is divided.
//
// What is kept is the angle τᵢ and not the curvature τᵢ/hᵢ. A ring twice as
// large bends half as much per millimetre, and kept curvatures would resist being
// scaled; kept angles make the scaled ring the answer, with energy 0. Kept
// curvatures would besides no longer add up to one turn.
//
// Without a shape at rest the line prefers the circle. Turnings proportional to
// hᵢ would come near to it; here τᵢ is taken from the polygon with these lengths
// that is inscribed in a circle (circle.go). It is closed already, hence it is
// the answer, its joints on one circle to rounding and not merely to the order
// of the square of an element.
//
// # The answer
//
// Closure is two equations, Σ Lᵢ cos θᵢ = Σ Lᵢ sin θᵢ = 0, and one full turn is
// built in by θₙ = θ₀ + 2π. Newton's method on the conditions of Lagrange has a
// tridiagonal matrix bordered by two rows, so that an iteration costs O(n)
// (newton.go). A step is put back on the closed chains before its energy is
// judged, so that energy alone is the merit of a step (descend.go). The start is
// the line at rest, closed little by little if its gap is wide, or else the
// polygon inscribed in a circle, which exists for any lengths that can close.
//
// A convex line stays convex. When the minimum has a joint that turns the wrong
// way, the minimum is sought among chains that do not, by an interior point method
// (convex.go). A convex chain that turns once cannot cross itself. A line that
// was not convex at rest may come to cross itself; this is an error, not an
// answer.
//
// The minimum is a local one, the one downhill from the start. Nothing here
// proves that there is no other, and for a moderate change from rest none is to
// be expected.
//
// Lengths are in millimetres, angles in radians. No input makes a function panic.
// Equal input gives equal output to the last bit, and mirrored input (turnings of
// the other sign) the mirrored output.
//
// The files: problem.go (what is asked, and what is refused), solve.go, chain.go
// (headings, gap, energy), newton.go, descend.go, convex.go, circle.go, shape.go
// (what is answered), align.go (laying it on given places) and space.go (heights).
package ring
