// Package geom is the plain geometry beneath fairlead: points, segments,
// circular arcs, solids with a signed distance, a smooth periodic curve, and
// outlines on a flat chart. It knows no anatomy. Every length is in millimetres
// and every angle in radians.
//
// Three things hold throughout.
//
//   - A signed distance is negative inside, zero on the surface and positive
//     outside, so that "how far clear" and "how deep" are one number.
//   - No input makes a function panic, and coordinates, radii and parameters of
//     size up to Reach never make one answer NaN. Beyond Reach a square may
//     overflow. Degenerate shapes (a segment without length, an arc through
//     three equal points, an empty outline) have the answers that their doc
//     comments give.
//   - The distance routines allocate nothing, because a planner asks for them
//     millions of times.
//
// The files are named for what they hold: vec.go, segment.go, arc.go, solid.go,
// ellipsoid.go with descend.go (its distance along a segment), tube.go, spline.go,
// and polygon.go with depth.go (how deep a path goes in) and orient.go (the exact
// turn of three points).
package geom

// Reach is the largest size of a coordinate, in mm, for which the package
// promises answers that are never NaN: a kilometre. The largest power
// formed is the fourth, and the smallest divisor is negligible, so all products
// stay far from the limits of a float64.
const Reach = 1e6
