// Package flat lays a piece of curved surface out flat, as one does who cuts a
// patch from a sheet. It knows no anatomy.
//
// The outline of the piece, on the plane of a chart, is cut into triangles
// (triangulate.go), whose corners somebody carries into space. Flatten (flatten.go)
// then finds the places of the corners on a plane at which the triangles keep their
// shapes best: it starts from the map that keeps angles and lets every triangle turn
// as a rigid piece until the least squares of all edges rest. A surface that can be
// unrolled, such as a cylinder or a cone, comes out without any stretch; any other
// cannot, and Sheet says by how much the worst place is stretched and pressed.
//
// Lengths are in millimetres, areas in square millimetres. Equal input gives equal
// output to the last bit. No input makes a function panic.
package flat
