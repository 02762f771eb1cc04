package contour

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
)

const (
	// shortestSegment is the smallest part of the rim between two commissures.
	shortestSegment = 0.03

	// nearMiddle is how near the centroid the straight line between the septal commissures may pass, as a part of the
	// rim's length: nearer, it does not say where down is.
	nearMiddle = 0.01

	poseSamples = 512
)

// pose turns the curve into the frame and measures it there.
func (f *fitting) pose() {
	curve, feet := f.inTurn()
	along := newRuler(&curve)
	start := along.to(feet[anteroseptal])
	length := along.length()
	var from [3]float64 // of each commissure, clockwise from the anteroseptal one
	for k := range from {
		from[k] = wrap(along.to(feet[k])-start, length)
	}
	segments := [3]float64{from[1], from[2] - from[1], length - from[2]}
	if !f.goodSegments(segments, length) {
		return
	}
	pose, level := f.stand(&curve, feet)
	if !f.atriumAbove(pose, level) || !f.septumDown(pose, curve, feet, length) {
		return
	}
	f.finish(curve, pose, start, segments, level)
}

func wrap(v, length float64) float64 {
	v = math.Mod(v, length)
	if v < 0 {
		v += length
	}
	return v
}

// inTurn is the curve run through so that it meets the commissures in their order, in mm about the points' mean, and
// the parameters of the three.
func (f *fitting) inTurn() (curve loop, feet [3]float64) {
	curve = f.trace.loop.scaled(f.unit)
	for k, i := range f.points.Landmark {
		feet[k] = f.trace.u[i]
	}
	if !rising(f.points.Landmark) {
		curve = curve.reversed()
		for k := range feet {
			feet[k] = -feet[k]
		}
	}
	return curve, feet
}

// rising reports whether the three follow each other in this order, going round with the numbers.
func rising(m [3]int) bool {
	drops := 0
	for k := range m {
		if m[(k+1)%3] < m[k] {
			drops++
		}
	}
	return drops == 1
}

var segmentNames = [3]string{"an anterior", "a posterior", "a septal"}

// goodSegments refuses commissures on top of each other, and a septal segment that is most of the rim.
func (f *fitting) goodSegments(segments [3]float64, length float64) bool {
	ok := true
	for k, s := range segments {
		if s >= shortestSegment*length {
			continue
		}
		ok = false
		next := (k + 1) % 3
		f.add(f.points.line(f.points.Landmark[next]), fmt.Sprintf("the %s and the %s commissure are too close to make %s segment", commissures[k], commissures[next], segmentNames[k]),
			fmt.Sprintf("at least %.0f %% of the perimeter, %s, between them", 100*shortestSegment, mm(shortestSegment*length)), "look whether the names stand on the right points")
	}
	if septal := segments[2]; septal > length/2 {
		ok = false
		f.add(f.points.line(f.points.Landmark[posteroseptal]), fmt.Sprintf("the septal segment would be %s of a perimeter of %s", mm(septal), mm(length)), "less than half",
			"look whether the names of the commissures are exchanged")
	}
	return ok
}

// stand finds the pose, and the levels of the curve's lowest and highest point. It is reckoned in mm about the points'
// mean, but its origin is in the coordinates of the imaging.
func (f *fitting) stand(curve *loop, feet [3]float64) (Pose, [2]float64) {
	at, weight := make([]geom.Vec, poseSamples), make([]float64, poseSamples)
	for i := range at {
		u := 2 * math.Pi * float64(i) / poseSamples
		at[i], weight[i] = curve.at(u), curve.slope(u).Norm()
	}
	s, _ := spreadOf(at, func(i int) float64 { return weight[i] })
	z := s.axis[2]
	// The curve must go clockwise seen from above: its area about z is negative.
	var area geom.Vec
	for i, p := range at {
		area = area.Add(p.Sub(s.mean).Cross(at[(i+1)%poseSamples].Sub(s.mean)))
	}
	if area.Dot(z) > 0 {
		z = z.Scale(-1)
	}
	middle := curve.at(feet[anteroseptal]).Lerp(curve.at(feet[posteroseptal]), 0.5).Sub(s.mean)
	y := middle.Sub(z.Scale(middle.Dot(z))).Scale(-1).Unit()
	pose := Pose{Rows: [3]geom.Vec{y.Cross(z), y, z}, Origin: s.mean}
	low, high := levels(curve, pose, at)
	return pose, [2]float64{low, high}
}

// levels are the lowest and the highest z of the curve in a pose. Each turning point between samples is followed to its
// place by Newton's steps, so that they do not depend on where the samples fall.
func levels(curve *loop, pose Pose, samples []geom.Vec) (low, high float64) {
	z := pose.Rows[2]
	low, high = math.Inf(1), math.Inf(-1)
	n := len(samples)
	for i, p := range samples {
		before, after := z.Dot(p.Sub(samples[(i+n-1)%n])), z.Dot(samples[(i+1)%n].Sub(p))
		if before*after > 0 {
			continue // neither a top nor a bottom
		}
		u, step := 2*math.Pi*float64(i)/float64(n), 2*math.Pi/float64(n)
		for range 4 {
			_, d, dd := curve.bend(u)
			if bend := z.Dot(dd); bend != 0 {
				u -= math.Max(-step, math.Min(step, z.Dot(d)/bend))
			}
		}
		h := pose.ToFrame(curve.at(u)).Z
		low, high = math.Min(low, math.Min(h, pose.ToFrame(p).Z)), math.Max(high, math.Max(h, pose.ToFrame(p).Z))
	}
	return low, high
}

// atriumAbove refuses an atrium point that is not above the rim as the commissures' order tells above.
func (f *fitting) atriumAbove(pose Pose, level [2]float64) bool {
	if f.points.Atrium == nil {
		return true
	}
	height := pose.ToFrame(f.points.Atrium.Sub(f.mean)).Z
	switch {
	case height > level[1]:
		return true
	case height < level[0]:
		f.add(f.points.atriumLine(), fmt.Sprintf("the commissures are in the wrong order, or the contour is mirrored: seen from the atrium point, %s, %s, %s go counter-clockwise", commissures[0], commissures[1], commissures[2]),
			"clockwise", "exchange the names, or give the contour as it is in the body; it is not mirrored here")
	default:
		f.add(f.points.atriumLine(), fmt.Sprintf("the atrium point lies %s from the plane of the rim, between its lowest and its highest point: it does not tell the side", mm(math.Abs(height))),
			"a point above the rim", "take one farther into the atrium")
	}
	return false
}

// septumDown refuses commissures that do not say where down is.
func (f *fitting) septumDown(pose Pose, curve loop, feet [3]float64, length float64) bool {
	a, b := pose.ToFrame(curve.at(feet[anteroseptal])), pose.ToFrame(curve.at(feet[posteroseptal]))
	if -(a.Y+b.Y)/2 >= nearMiddle*length && a.X < 0 {
		return true
	}
	f.add(f.points.line(f.points.Landmark[posteroseptal]), "the straight line from the anteroseptal to the posteroseptal commissure does not leave the septal segment on one side and the middle of the rim on the other",
		"a septal segment on one side of the rim", "look whether the names stand on the right points")
	return false
}

// finish carries the curve into the frame.
func (f *fitting) finish(curve loop, pose Pose, start float64, segments [3]float64, level [2]float64) {
	turned := curve.mapped(pose.turn)
	turned.centre = pose.ToFrame(curve.centre)
	along := newRuler(&turned)
	f.fitted.Curve = Curve{along: along, start: start}
	f.fitted.LengthMM, f.fitted.SegmentsMM = along.length(), segments
	f.fitted.Pose = Pose{Rows: pose.Rows, Origin: pose.Origin.Add(f.mean)}
	for i := range SampleCount {
		f.fitted.Samples = append(f.fitted.Samples, f.fitted.Curve.At(along.length()*float64(i)/SampleCount))
	}
	f.fitted.SaddleHeightMM = level[1] - level[0]
	f.report()
}
