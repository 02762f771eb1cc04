package svgout

import "math"

// Point is a place on the paper, in millimetres; y runs downwards.
type Point struct{ X, Y float64 }

// Plus is p moved by q.
func (p Point) Plus(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Minus is the way from q to p.
func (p Point) Minus(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Times is p with both coordinates multiplied.
func (p Point) Times(f float64) Point { return Point{p.X * f, p.Y * f} }

// Distance is the distance in millimetres from p to q.
func (p Point) Distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

func (p Point) dot(q Point) float64   { return p.X*q.X + p.Y*q.Y }
func (p Point) cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// unit is p at length one, and the zero point if p has no length.
func (p Point) unit() Point {
	if l := math.Hypot(p.X, p.Y); l > 0 {
		return p.Times(1 / l)
	}
	return Point{}
}

// Box is an upright rectangle on the paper: its upper left corner and its
// sides, in millimetres.
type Box struct{ X, Y, W, H float64 }

// Right is the x of the right edge.
func (b Box) Right() float64 { return b.X + b.W }

// Bottom is the y of the lower edge.
func (b Box) Bottom() float64 { return b.Y + b.H }

// Centre is the middle of the box.
func (b Box) Centre() Point { return Point{b.X + b.W/2, b.Y + b.H/2} }

// Overlaps says whether the boxes share any area; touching edges do not.
func (b Box) Overlaps(c Box) bool {
	return b.X < c.Right() && c.X < b.Right() && b.Y < c.Bottom() && c.Y < b.Bottom()
}

// Contains says whether p lies in the box or on its edge.
func (b Box) Contains(p Point) bool {
	return p.X >= b.X && p.X <= b.Right() && p.Y >= b.Y && p.Y <= b.Bottom()
}

// Encloses says whether the whole of c lies in b.
func (b Box) Encloses(c Box) bool {
	return c.X >= b.X && c.Y >= b.Y && c.Right() <= b.Right() && c.Bottom() <= b.Bottom()
}

// Grow is the box with every edge moved outwards by mm; a negative mm
// shrinks it, to nothing at the least.
func (b Box) Grow(mm float64) Box {
	c := b.Centre()
	w, h := math.Max(0, b.W+2*mm), math.Max(0, b.H+2*mm)
	return Box{c.X - w/2, c.Y - h/2, w, h}
}

// pathLength is how long a way through points is.
func pathLength(points []Point) (lengthMM float64) {
	for i := 1; i < len(points); i++ {
		lengthMM += points[i].Distance(points[i-1])
	}
	return lengthMM
}
