package contour

import (
	"math"
	"strconv"

	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// SampleCount is how many evenly spaced points of a fitted curve Samples holds.
const SampleCount = 160

// Fitted is a rim in the heart's frame.
type Fitted struct {
	Curve   Curve
	Samples []geom.Vec // evenly spaced by length and clockwise, the first at the anteroseptal commissure

	LengthMM       float64
	SegmentsMM     [3]float64 // anterior, posterior and septal, along the curve
	SaddleHeightMM float64    // of the highest point over the lowest

	// The distances of the points from the curve.
	ResidualRMSMM, ResidualMaxMM float64
	// NoiseMM is the standard deviation of each coordinate that the distances tell of. With fewer than some 20 points
	// it is a guess: see doc.go.
	NoiseMM   float64
	Smoothing Smoothing

	Pose Pose
}

// Smoothing says how the curve was fitted.
type Smoothing struct {
	Harmonics int     // that the curve may have
	Effective float64 // the parameters it uses for one coordinate: 3 for an ellipse, as many as points when it meets them all
	Strength  float64 // the price of roughness per point
}

// Pose takes a point of the imaging to the frame: the rows of a rotation, and the origin in the imaging's coordinates.
type Pose struct {
	Rows   [3]geom.Vec
	Origin geom.Vec
}

// ToFrame takes a point of the imaging to the frame.
func (m Pose) ToFrame(p geom.Vec) geom.Vec { return m.turn(p.Sub(m.Origin)) }

// FromFrame takes a point of the frame to the imaging.
func (m Pose) FromFrame(p geom.Vec) geom.Vec {
	return m.Origin.Add(m.Rows[0].Scale(p.X)).Add(m.Rows[1].Scale(p.Y)).Add(m.Rows[2].Scale(p.Z))
}

func (m Pose) turn(d geom.Vec) geom.Vec {
	return geom.Vec{X: m.Rows[0].Dot(d), Y: m.Rows[1].Dot(d), Z: m.Rows[2].Dot(d)}
}

// Curve is a closed curve in the frame with its length, in mm, for a parameter. The zero Curve is the origin.
type Curve struct {
	along *ruler
	start float64 // the length, from the ruler's zero, of the anteroseptal commissure
}

// At is the point at a distance clockwise from the anteroseptal commissure. It goes on round the curve outside one
// length of it. A distance that is not finite gives NaN.
func (c Curve) At(alongMM float64) geom.Vec {
	if c.along == nil {
		return geom.Vec{}
	}
	if math.IsNaN(alongMM) || math.IsInf(alongMM, 0) {
		return geom.Vec{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}
	}
	return c.along.loop.at(c.along.locate(c.start + math.Mod(alongMM, c.along.length())))
}

// Fit fits a smooth closed curve to a contour and puts it in the heart's frame. It returns either a curve or the
// problems that keep the contour from being a rim, in the order of their places.
func Fit(p Points) (Fitted, strictyaml.Problems) {
	f := fitting{points: p}
	if f.wellFormed() && f.roundOnce() && f.traced() { // what follows makes no sense without these
		believed := f.ordered()
		f.plausible()
		if believed {
			f.pose()
		}
	}
	if len(f.problems) > 0 {
		return Fitted{}, f.problems.Sorted()
	}
	return f.fitted, nil
}

// fitting is a contour on its way to a rim. All up to the pose is reckoned about the points' mean and in units of their
// spread, so that no size overflows and none is taken for nothing.
type fitting struct {
	points   Points
	spread   spread
	mean     geom.Vec // of the points, in the coordinates of the imaging
	unit     float64  // mm
	at       []geom.Vec
	trace    trace
	problems strictyaml.Problems
	fitted   Fitted
}

func (f *fitting) add(at strictyaml.Position, what, expected, mend string) {
	f.problems.Add(at, what, expected, mend)
}

// traced fits the curve.
func (f *fitting) traced() bool {
	u, _ := angles(f.spread.plan(f.at))
	var ok bool
	if f.trace, ok = follow(f.at, u); !ok {
		f.add(f.points.line(0), "no curve can be fitted to these points", "points around a rim", "")
	}
	return ok
}

// lengthMM is the length of the fitted curve.
func (f *fitting) lengthMM() float64 { return f.unit * newRuler(&f.trace.loop).length() }

// report fills in how well the curve fits.
func (f *fitting) report() {
	n := float64(len(f.at))
	f.fitted.ResidualRMSMM = f.unit * math.Sqrt(f.trace.squares()/n)
	for _, m := range f.trace.miss {
		f.fitted.ResidualMaxMM = math.Max(f.fitted.ResidualMaxMM, f.unit*m)
	}
	f.fitted.NoiseMM = f.unit * f.trace.noise()
	f.fitted.Smoothing = Smoothing{Harmonics: Harmonics, Effective: f.trace.effective, Strength: f.trace.strength}
}

// mm shows a length to three digits, without an exponent.
func mm(v float64) string {
	digits := 2
	if v > 0 {
		digits = max(0, min(9, 2-int(math.Floor(math.Log10(v)))))
	}
	return strconv.FormatFloat(v, 'f', digits, 64) + " mm"
}
