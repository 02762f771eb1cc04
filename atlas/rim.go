package atlas

import (
	"math"

	"fairlead/atlas/geom"
)

// Rim is the hinge line of the valve: a closed curve in the frame, smooth to its second derivative, run through
// clockwise in the atrial view from the anteroseptal commissure. Its parameter is its own length in mm.
type Rim struct {
	lengthMM float64
	x, y, z  geom.PeriodicSpline
	segments [3]float64 // anterior, posterior, septal, in the order of travel
}

// rimKnots is how many knots carry the rim. At 160 knots the curve differs from the fitted shape, and its
// parameter from true length, by less than 1e-5 mm on a rim of 105 mm.
const rimKnots = 160

// RimSizes are the measurable sizes of a rim. Lengths in mm along the curve in space unless stated.
type RimSizes struct {
	LengthMM        float64
	LongAxisMM      float64 // largest calliper width, in the plane of the rim
	ShortAxisMM     float64 // smallest calliper width, in the plane of the rim
	AreaMM2         float64 // of the fan spanned from the centroid
	ProjectedMM2    float64 // enclosed in the plane of the rim
	AnteriorMM      float64
	PosteriorMM     float64
	SeptalMM        float64
	SeptalChordMM   float64 // straight, in space
	SaddleHeightMM  float64 // highest minus lowest point
	FlatnessRadians float64 // tilt of the best-fitting plane against the frame: 0 by construction
}

// LengthMM is the whole way round.
func (r *Rim) LengthMM() float64 { return r.lengthMM }

// At is the rim's point at a distance along it.
func (r *Rim) At(alongMM float64) geom.Vec {
	return geom.Vec{X: r.x.At(alongMM), Y: r.y.At(alongMM), Z: r.z.At(alongMM)}
}

// tangent is the derivative of At: of unit length to within the spline's error.
func (r *Rim) tangent(alongMM float64) geom.Vec {
	return geom.Vec{X: r.x.Slope(alongMM), Y: r.y.Slope(alongMM), Z: r.z.Slope(alongMM)}
}

// outward is the unit normal in the plane of the rim, pointing away from the orifice.
func (r *Rim) outward(alongMM float64) geom.Vec {
	t := r.tangent(alongMM)
	// Clockwise travel keeps the outside on the left hand.
	return geom.Vec{X: -t.Y, Y: t.X}.Unit()
}

// Wrap brings a distance along the rim into [0, length).
func (r *Rim) Wrap(alongMM float64) float64 {
	w := math.Mod(alongMM, r.lengthMM)
	if w < 0 {
		w += r.lengthMM
	}
	return w
}

// Span is the way from one place to another going clockwise, in [0, length).
func (r *Rim) Span(fromMM, toMM float64) float64 { return r.Wrap(toMM - fromMM) }

// Sizes measures the rim as one would measure a patient's.
func (r *Rim) Sizes() RimSizes {
	points := r.Sample(4 * rimKnots)
	long, short := calliperWidths(points)
	low, high := math.Inf(1), math.Inf(-1)
	var length, fan, shadow float64
	var centroid geom.Vec
	for i, p := range points {
		step := p.Distance(points[(i+1)%len(points)])
		length += step
		centroid = centroid.Add(p.Lerp(points[(i+1)%len(points)], 0.5).Scale(step))
		low, high = math.Min(low, p.Z), math.Max(high, p.Z)
	}
	centroid = centroid.Scale(1 / length)
	for i, p := range points {
		a, b := p.Sub(centroid), points[(i+1)%len(points)].Sub(centroid)
		fan += a.Cross(b).Norm() / 2
		shadow += (a.Y*b.X - a.X*b.Y) / 2
	}
	return RimSizes{
		LengthMM: length, LongAxisMM: long, ShortAxisMM: short, AreaMM2: fan, ProjectedMM2: shadow,
		AnteriorMM: r.segments[0], PosteriorMM: r.segments[1], SeptalMM: r.segments[2],
		SeptalChordMM:   r.At(0).Distance(r.At(r.segments[0] + r.segments[1])),
		SaddleHeightMM:  high - low,
		FlatnessRadians: planeTilt(points),
	}
}

// Sample returns n points evenly along the rim, the first at the anteroseptal commissure.
func (r *Rim) Sample(n int) []geom.Vec {
	points := make([]geom.Vec, n)
	for i := range points {
		points[i] = r.At(r.lengthMM * float64(i) / float64(n))
	}
	return points
}

// calliperWidths are the largest and the smallest distance between two parallel lines that hold the curve's
// shadow between them.
func calliperWidths(points []geom.Vec) (widest, narrowest float64) {
	const directions = 90
	widest, narrowest = 0, math.Inf(1)
	for d := range directions {
		sin, cos := math.Sincos(math.Pi * float64(d) / directions)
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			w := p.X*cos + p.Y*sin
			low, high = math.Min(low, w), math.Max(high, w)
		}
		widest, narrowest = math.Max(widest, high-low), math.Min(narrowest, high-low)
	}
	return widest, narrowest
}

// planeTilt is the angle between the frame's z and the normal of the plane that fits the points best in z.
func planeTilt(points []geom.Vec) float64 {
	var xx, xy, yy, xz, yz float64
	for _, p := range points {
		xx, xy, yy = xx+p.X*p.X, xy+p.X*p.Y, yy+p.Y*p.Y
		xz, yz = xz+p.X*p.Z, yz+p.Y*p.Z
	}
	det := xx*yy - xy*xy
	if det == 0 {
		return 0
	}
	return math.Atan(math.Hypot((xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det))
}
