package placement

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

// Seat is the opening a suture line leaves for a prosthesis.
type Seat struct {
	LengthMM     float64 // of the line, on the endocardium
	AreaMM2      float64 // of the fan spanned from the line's centre
	ProjectedMM2 float64 // enclosed in the plane that fits the line best
	Normal       geom.Vec
	Centre       geom.Vec
	RMSMM, MaxMM float64 // how far the line lies off that plane: root mean square along it, and at most
	LongestMM    float64 // largest and smallest calliper width in that plane
	ShortestMM   float64
	OuterMM      float64 // of the prosthesis; 0: not said
	PredictedMM  float64 // diameter of a circle as long as the rim this body leads one to expect
}

// seatOf measures the opening within a closed line in space; the last point is the first.
func seatOf(line []geom.Vec) Seat {
	var seat Seat
	for i := 1; i < len(line); i++ {
		piece := line[i].Distance(line[i-1])
		seat.LengthMM += piece
		seat.Centre = seat.Centre.Add(line[i].Lerp(line[i-1], 0.5).Scale(piece))
	}
	if seat.LengthMM == 0 {
		return seat
	}
	seat.Centre = seat.Centre.Scale(1 / seat.LengthMM)
	seat.Normal = bestNormal(line, seat.Centre)
	var sweep geom.Vec
	var square float64
	for i := 1; i < len(line); i++ {
		p, q := line[i-1].Sub(seat.Centre), line[i].Sub(seat.Centre)
		turn := p.Cross(q).Scale(0.5)
		sweep, seat.AreaMM2 = sweep.Add(turn), seat.AreaMM2+turn.Norm()
		a, b := p.Dot(seat.Normal), q.Dot(seat.Normal)
		square += (a*a + a*b + b*b) / 3 * line[i].Distance(line[i-1]) // the mean of a square along a straight piece
		seat.MaxMM = max(seat.MaxMM, math.Abs(b))
	}
	seat.ProjectedMM2 = math.Abs(sweep.Dot(seat.Normal))
	seat.RMSMM = math.Sqrt(square / seat.LengthMM)
	seat.LongestMM, seat.ShortestMM = widthsIn(line, seat.Normal)
	return seat
}

// bestNormal is the normal, upward, of the plane through a centre that a line lies nearest to in the sense of least
// squares along it: the direction in which it scatters least.
func bestNormal(line []geom.Vec, centre geom.Vec) geom.Vec {
	scatter := mat.NewSymDense(3, nil)
	for i := 1; i < len(line); i++ {
		piece := line[i].Distance(line[i-1])
		p, q := line[i-1].Sub(centre), line[i].Sub(centre)
		a, b := [3]float64{p.X, p.Y, p.Z}, [3]float64{q.X, q.Y, q.Z}
		for j := range 3 {
			for k := j; k < 3; k++ {
				along := (2*a[j]*a[k] + 2*b[j]*b[k] + a[j]*b[k] + b[j]*a[k]) / 6
				scatter.SetSym(j, k, scatter.At(j, k)+piece*along)
			}
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(scatter, true) {
		return geom.Vec{Z: 1}
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	normal := geom.Vec{X: axes.At(0, 0), Y: axes.At(1, 0), Z: axes.At(2, 0)}
	if normal.Z < 0 {
		normal = normal.Scale(-1)
	}
	return normal
}

// widthsIn are the largest and the smallest calliper width of a line seen along a normal, every half degree: the
// smallest of a smooth opening errs by less than a hundredth of a per cent.
func widthsIn(line []geom.Vec, normal geom.Vec) (longest, shortest float64) {
	const directions = 360
	aside, across := squareTo(normal)
	shortest = math.Inf(1)
	for i := range directions {
		sin, cos := math.Sincos(math.Pi * float64(i) / directions)
		direction := aside.Scale(cos).Add(across.Scale(sin))
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range line {
			reach := p.Dot(direction)
			low, high = min(low, reach), max(high, reach)
		}
		longest, shortest = max(longest, high-low), min(shortest, high-low)
	}
	return longest, shortest
}

// seat measures the line's opening.
func (l *LaidLine) seat() Seat {
	var line []geom.Vec
	for _, s := range l.Stretches {
		line = append(line, s.Surface...)
	}
	seat := seatOf(line)
	seat.OuterMM = l.OuterMM
	if rim, there := l.course.heart.Value("rim-length"); there {
		seat.PredictedMM = rim.Expected / math.Pi
	}
	return seat
}
