package svgout

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// cut is a plane across the rim: through one place of the hinge, square to the rim's course in plan. It is spanned by
// the outward normal, which runs right on the paper of a reader without a habit, and the frame's z, which runs up. The
// reader stands clockwise of it and looks anticlockwise.
type cut struct {
	gaze
	heart   *atlas.Heart
	alongMM float64
	hinge   geom.Vec
}

func cutAt(heart *atlas.Heart, alongMM float64) cut {
	up := geom.Vec{Z: 1}
	rise := heart.Chart.Up(atlas.Spot{AlongMM: alongMM}) // leans outward, since no wall overhangs
	out := geom.Vec{X: rise.X, Y: rise.Y}.Unit()
	return cut{
		gaze:    gaze{right: out, up: up, toward: out.Cross(up)},
		heart:   heart,
		alongMM: alongMM,
		hinge:   heart.Rim.At(alongMM),
	}
}

// aheadMM is how far clockwise of the plane a point lies, square to it.
func (c cut) aheadMM(v geom.Vec) float64 { return v.Sub(c.hinge).Dot(c.toward) }

// at is the point of the plane so far outward of the hinge and so far up from it.
func (c cut) at(outMM, upMM float64) geom.Vec {
	return c.hinge.Add(c.right.Scale(outMM)).Add(c.up.Scale(upMM))
}

// flat is a point's foot on the plane: X outward and Y up from the hinge, mm of heart.
func (c cut) flat(v geom.Vec) geom.Point {
	seen := c.seen(v.Sub(c.hinge))
	return geom.Point{X: seen.X, Y: seen.Y}
}

// surface is a place of the endocardium in the plane, or deep under it.
func (c cut) surface(offMM, deepMM float64) geom.Vec {
	return c.heart.Chart.Frame(atlas.Spot{AlongMM: c.alongMM, OffMM: offMM, DeepMM: deepMM})
}

// surfaceRun follows the endocardium, or a line under it, from one place off the hinge to another.
func (c cut) surfaceRun(fromMM, toMM float64, deep func(offMM float64) float64) []geom.Vec {
	const stepMM = 0.25
	n := max(2, int(math.Ceil(math.Abs(toMM-fromMM)/stepMM)))
	run := make([]geom.Vec, n+1)
	for i := range run {
		off := fromMM + (toMM-fromMM)*float64(i)/float64(n)
		run[i] = c.surface(off, deep(off))
	}
	return run
}

func onSurface(float64) float64 { return 0 }

// crossings are the stretches off the hinge over which the plane crosses a zone, from low to high.
func (c cut) crossings(zone atlas.Zone) (stretches [][2]float64) {
	along := c.heart.Unroll(c.alongMM)
	var at []float64
	for i, p := range zone.Outline {
		q := zone.Outline[(i+1)%len(zone.Outline)]
		if (p.X <= along) != (q.X <= along) {
			at = append(at, p.Y+(q.Y-p.Y)*(along-p.X)/(q.X-p.X))
		}
	}
	slices.Sort(at)
	for i := 0; i+1 < len(at); i += 2 {
		if at[i+1]-at[i] > thinnestZoneMM {
			stretches = append(stretches, [2]float64{at[i], at[i+1]})
		}
	}
	return stretches
}

// thinnestZoneMM is the least stretch of a zone that is drawn: the corner of one is no part of what the cut shows.
const thinnestZoneMM = 0.02

// furtherMM is how far along the rim a point lies from the plane: positive clockwise, the shorter way round.
func (c cut) furtherMM(v geom.Vec) float64 {
	spot, _ := c.heart.Chart.Spot(v)
	rim := c.heart.Rim.LengthMM()
	return math.Remainder(spot.AlongMM-c.alongMM, rim)
}
