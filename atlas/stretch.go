package atlas

import (
	"fmt"
	"math"

	"fairlead/atlas/geom"
	"fairlead/atlas/growth"
	"fairlead/atlas/ring"
)

// Free is the pattern of stretching in which each segment has the length measured for it.
const Free = "free"

// The rim is stretched through joints laid evenly on each segment, so that a segment's border is always a joint.
const jointsASegment = 64

// septalStiffness is how much more a joint of the septal segment minds being bent than one of the free wall: the
// septum holds it. Assumption.
const septalStiffness = 60

// stretched is the rim that was dilated from the rest the body leads one to expect: its segments lengthened in the
// pattern's proportions until the measured sizes hold, its shape the one that changes its turning least, the septal
// segment held by the septum, the saddle flatter the more the rim has lengthened.
func (k *knowledge) stretched(v *values) (*Rim, error) {
	rest, err := k.atRest()
	if err != nil {
		return nil, err
	}
	if k.patient.Stretch == Free {
		want := [3]float64{v.of("anterior-segment"), v.of("posterior-segment"), v.of("septal-segment")}
		rim, err := rest.restretched(want, v.flattening(sum3(want)/rest.lengthMM))
		if err != nil {
			return nil, k.cannotStretch(v, err)
		}
		return rim, v.holdMeasured(rim.Sizes())
	}
	pattern, err := k.tables.Pattern(k.patient.Stretch)
	if err != nil {
		return nil, &GeometryError{Names: []string{"stretch"}, Text: err.Error(), Mend: "name one of the patterns, or free"}
	}
	base := growth.Segments{Anterior: rest.segments[0], Posterior: rest.segments[1], Septal: rest.segments[2]}
	to := func(share float64) (*Rim, error) {
		s := pattern.Stretched(base, share)
		return rest.restretched([3]float64{s.Anterior, s.Posterior, s.Septal}, v.flattening(s.Sum()/base.Sum()))
	}
	share, err := k.stretchShare(v, to)
	if err != nil {
		return nil, k.cannotStretch(v, err)
	}
	rim, err := to(share)
	if err != nil {
		return nil, k.cannotStretch(v, err)
	}
	return rim, v.holdMeasured(rim.Sizes())
}

func sum3(a [3]float64) float64 { return a[0] + a[1] + a[2] }

func (k *knowledge) cannotStretch(v *values, err error) error {
	if g, ok := err.(*GeometryError); ok {
		return g
	}
	return &GeometryError{Names: v.measuredAmong("rim-length", "rim-area", "rim-long-axis", "rim-short-axis"), Text: err.Error(), Mend: "check the measured sizes of the rim"}
}

// atRest is the rim before it was stretched: what is believed of the heart without it.
func (k *knowledge) atRest() (*Rim, error) {
	rest := &values{index: k.belief.index}
	for i, p := range k.belief.list {
		value := Value{Parameter: p}
		value.Here, _ = k.belief.at(i)
		rest.list = append(rest.list, value)
	}
	rest.balanceRim()
	return rest.rim()
}

// flattening is the share of its height the saddle keeps when the rim has lengthened by a ratio.
func (v *values) flattening(ratio float64) float64 {
	if ratio <= 1 {
		return 1
	}
	return max(1-v.of("saddle-loss")/100*(ratio-1)/0.1, 0.2)
}

// stretchShare finds by how much the most stretched segment lengthens: where one size was measured, that size holds;
// where several, the sum of their squared misfits is least.
func (k *knowledge) stretchShare(v *values, to func(float64) (*Rim, error)) (float64, error) {
	misfit := func(share float64) (float64, error) {
		rim, err := to(share)
		if err != nil {
			return 0, err
		}
		var sum float64
		for name, here := range rim.named() {
			if p := v.at(name); p.Measured {
				d := math.Log(here/p.Here) / max(p.HereSpread/p.Here, measuredTolerance)
				if p.Unit == "mm2" {
					d /= 2
				}
				sum += d * d
			}
		}
		return sum, nil
	}
	if k.measuredRim(v) == 0 {
		return 0, &GeometryError{Names: []string{"stretch"}, Text: "the rim is said to be stretched, but no size of it was measured", Mend: "measure the rim, or leave out `stretch`"}
	}
	return leastOf(misfit, 0, 2)
}

func (k *knowledge) measuredRim(v *values) (count int) {
	for _, p := range v.list {
		if rimSize(p.Name) && p.Measured {
			count++
		}
	}
	return count
}

// leastOf finds the least value of a function with one dip between two places, to a part in ten million, by golden
// section.
func leastOf(f func(float64) (float64, error), low, high float64) (float64, error) {
	const golden = 0.6180339887498949
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, err := f(a)
	if err != nil {
		return 0, err
	}
	fb, err := f(b)
	if err != nil {
		return 0, err
	}
	for high-low > 1e-7 {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa, err = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb, err = f(b)
		}
		if err != nil {
			return 0, err
		}
	}
	return (low + high) / 2, nil
}

// named are the sizes of the rim by the names of their parameters.
func (r *Rim) named() map[string]float64 {
	s := r.Sizes()
	return map[string]float64{
		"rim-length": s.LengthMM, "rim-long-axis": s.LongAxisMM, "rim-short-axis": s.ShortAxisMM, "rim-area": s.AreaMM2,
		"septal-chord": s.SeptalChordMM, "septal-segment": s.SeptalMM, "anterior-segment": s.AnteriorMM, "posterior-segment": s.PosteriorMM,
		"anterior-chord": s.AnteriorChordMM, "posterior-chord": s.PosteriorChordMM,
	}
}

// restretched is the rim with other lengths of its segments and its heights scaled. Lengths are kept in space.
func (r *Rim) restretched(segmentsMM [3]float64, heights float64) (*Rim, error) {
	joints := r.joints()
	n := len(joints)
	lengths, z, stiffness := make([]float64, n), make([]float64, n), make([]float64, n)
	plan := make([]geom.Point, n)
	for i, p := range joints {
		segment := i / jointsASegment
		lengths[i] = p.Distance(joints[(i+1)%n]) * segmentsMM[segment] / r.segments[segment]
		z[i], plan[i] = p.Z*heights, geom.Point{X: p.X, Y: p.Y}
		stiffness[i] = 1
		if segment == 2 {
			stiffness[i] = septalStiffness
		}
	}
	shape, err := ring.SolveInSpace(lengths, z, ring.Turns(plan), stiffness)
	if err != nil {
		return nil, fmt.Errorf("the rim cannot take these lengths: %w", err)
	}
	weight := make([]float64, n)
	for i := range weight {
		if i/jointsASegment == 2 || i == 0 {
			weight[i] = 1
		}
	}
	moved := onSeptum(shape, plan, weight)
	rim, _, err := throughJoints(moved, chordsAlong(moved), segmentsMM, rimKnots)
	return rim, err
}

// joints are places of the rim, evenly on each segment, the first at the anteroseptal commissure.
func (r *Rim) joints() []geom.Vec {
	joints := make([]geom.Vec, 0, 3*jointsASegment)
	from := 0.0
	for _, length := range r.segments {
		for i := range jointsASegment {
			joints = append(joints, r.At(from+length*float64(i)/jointsASegment))
		}
		from += length
	}
	return joints
}

// onSeptum moves a shape, without turning it over, so that its septal joints, which alone weigh something, come closest
// to where they were.
func onSeptum(shape []geom.Vec, plan []geom.Point, weight []float64) []geom.Vec {
	flat := ring.Shape{Points: make([]geom.Point, len(shape))}
	for i, p := range shape {
		flat.Points[i] = geom.Point{X: p.X, Y: p.Y}
	}
	moved := make([]geom.Vec, len(shape))
	for i, p := range flat.Aligned(plan, weight) {
		moved[i] = geom.Vec{X: p.X, Y: p.Y, Z: shape[i].Z}
	}
	return moved
}

// chordsAlong are the ways along a closed chain to its joints, and its whole length.
func chordsAlong(joints []geom.Vec) []float64 {
	at := make([]float64, len(joints)+1)
	for i, p := range joints {
		at[i+1] = at[i] + p.Distance(joints[(i+1)%len(joints)])
	}
	return at
}

// throughJoints lays a rim through joints at their ways along it, the last of which is its whole length, and centres
// it; the centroid is where it was centred from. Its segments are measured on the curve, whose arcs exceed the chords
// between joints by a few millionths.
func throughJoints(joints []geom.Vec, at []float64, segmentsMM [3]float64, knots int) (rim *Rim, centroid geom.Vec, err error) {
	n := len(joints)
	xs, ys, zs := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range joints {
		xs[i], ys[i], zs[i] = p.X, p.Y, p.Z
	}
	total := at[n]
	at = at[:n]
	var curve [3]geom.PeriodicSpline
	for i, values := range [3][]float64{xs, ys, zs} {
		if curve[i], err = geom.NewPeriodicSpline(total, at, values); err != nil {
			return nil, centroid, fmt.Errorf("rim: %w", err)
		}
	}
	place := func(u float64) geom.Vec { return geom.Vec{X: curve[0].At(u), Y: curve[1].At(u), Z: curve[2].At(u)} }
	const pieces = 8 * rimKnots
	for i := range pieces {
		centroid = centroid.Add(place(total * float64(i) / pieces).Scale(1.0 / pieces))
	}
	through := make([]geom.Vec, knots)
	for i := range through {
		through[i] = place(total * float64(i) / float64(knots)).Sub(centroid)
	}
	if rim, err = rimThrough(sum3(segmentsMM), through); err != nil {
		return nil, centroid, err
	}
	rim.segments = segmentsMM
	return rim, centroid, nil
}
