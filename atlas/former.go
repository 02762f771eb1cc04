package atlas

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"fairlead/atlas/geom"
)

// Former is the outline of a rigid, flat device onto which the rim is drawn: an ellipse. Its long axis lies along the
// frame's x, head to feet, its short axis septal to lateral. A place on it is given in mm along it, clockwise in the
// atrial view, from the middle of its septal side (x = 0, y < 0).
type Former struct {
	longMM, shortMM float64
	flatness        float64 // 1 - (short/long)², the parameter m of the elliptic integrals
	quarterMM       float64
}

// narrowestFormer is the least short axis of a former, as a share of the long one. A narrower ring leaves no orifice
// worth the name, and its ends bend more sharply than the rim is sampled.
const narrowestFormer = 0.1

// NewFormer is the former with these axes, mm. The long axis is not the shorter of the two.
func NewFormer(longMM, shortMM float64) (*Former, error) {
	if !(shortMM > 0 && longMM >= shortMM && longMM <= 1000) {
		return nil, fmt.Errorf("a rigid former of %g by %g mm: expected the longer axis first, both above 0 and at most 1000 mm", longMM, shortMM)
	}
	if shortMM < narrowestFormer*longMM {
		return nil, fmt.Errorf("a rigid former of %g by %g mm is narrower than %g of its length: give a short axis of %.3g mm or more", longMM, shortMM, narrowestFormer, narrowestFormer*longMM)
	}
	flatness := (longMM - shortMM) * (longMM + shortMM) / (longMM * longMM)
	return &Former{
		longMM: longMM, shortMM: shortMM, flatness: flatness,
		quarterMM: longMM / 2 * mathext.CompleteE(flatness),
	}, nil
}

// LengthMM is the whole way round: four times a complete elliptic integral, right to rounding.
func (f *Former) LengthMM() float64 { return 4 * f.quarterMM }

// At is the former's point at a place along it, mm from its centre in the axes of the frame. A place that is not
// finite gives a point that is not a number.
func (f *Former) At(mm float64) geom.Point {
	p := f.place(mm).at
	return geom.Point{X: p.X, Y: p.Y}
}

// Facing is the place of the former, in [0, its length), that lies in the same direction from its centre as p from the
// rim's centroid, seen in plan. It is 0 where p has no direction.
func (f *Former) Facing(p geom.Vec) float64 {
	x, y := -p.X/f.longMM, -p.Y/f.shortMM
	if !(math.Hypot(x, y) > 0) {
		return 0
	}
	t := math.Atan2(x, y)
	mm := math.Copysign(f.reach(math.Abs(t)), t)
	if mm < 0 {
		mm += f.LengthMM()
	}
	if !(mm < f.LengthMM()) { // a hair below 0, rounded
		return 0
	}
	return mm
}

// With a and b the half axes, the former is run through as
//
//	x = -a sin t,  y = -b cos t,  ds = a √(1 - m sin² t) dt,
//
// so that the way from t = 0 is a times the incomplete elliptic integral of the second kind, E(t|m).

// reach is the way from t = 0 to a t within 0..π, mm.
func (f *Former) reach(t float64) float64 {
	if t > math.Pi/2 {
		return 2*f.quarterMM - f.reach(max(math.Pi-t, 0))
	}
	return f.longMM / 2 * mathext.EllipticE(t, f.flatness)
}

// formed is a point of the former and the direction in which it runs there, of length 1.
type formed struct{ at, direction geom.Vec }

func (f *Former) place(mm float64) formed {
	sin, cos := math.Sincos(f.parameter(mm))
	a, b := f.longMM/2, f.shortMM/2
	size := math.Hypot(a*cos, b*sin)
	return formed{geom.Vec{X: -a * sin, Y: -b * cos}, geom.Vec{X: -a * cos / size, Y: b * sin / size}}
}

// parameter is the t of a place. The four quarters are alike, every other one run through from its far end.
func (f *Former) parameter(mm float64) float64 {
	along := math.Mod(mm, f.LengthMM())
	if along < 0 {
		along += f.LengthMM()
	}
	quarter := min(math.Floor(along/f.quarterMM), 3)
	if rest := along - quarter*f.quarterMM; math.Mod(quarter, 2) == 0 {
		return quarter*math.Pi/2 + f.inQuarter(rest)
	}
	return (quarter+1)*math.Pi/2 - f.inQuarter((quarter+1)*f.quarterMM-along)
}

// inQuarter solves reach(t) = mm within the first quarter. The reach rises ever more slowly there, so that each of
// Newton's steps ends short of the answer and none leads back beyond it.
func (f *Former) inQuarter(mm float64) float64 {
	a := f.longMM / 2
	t := math.Pi / 2 * mm / f.quarterMM
	for range 50 {
		sin := math.Sin(t)
		step := (mm - f.reach(t)) / (a * math.Sqrt(1-f.flatness*sin*sin))
		t = min(max(t+step, 0), math.Pi/2)
		if !(math.Abs(step) > 1e-8) { // the next would be its square
			break
		}
	}
	return t
}
