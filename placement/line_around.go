package placement

import (
	"cmp"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// A line led round the nodal triangle follows the lip of the ostium at a distance, in steps of a few degrees of its
// direction, seen flat on the tissue. Where the ostium stays with the atrium, it runs between the lip and the triangle's
// apex: from where the base of the triangle leaves the lip toward the hinge, by way of the apex's side, on past the
// tendon line. Where the ostium goes with the ventricle, it runs outside, by way of the far side and the top.
const (
	aroundStepDegrees = 15.0
	betweenDegrees    = 105.0 // how far round, between lip and triangle: beyond the tendon line
	outsideFrom       = 120.0 // where the way outside begins, from the tendon's end of the base
	outsideDegrees    = 165.0
)

// roundTriangle leads a line round the nodal triangle; nil where the heart has no ostium.
func roundTriangle(heart *atlas.Heart, ostium Side, fromLipMM float64) []atlas.Spot {
	zone, there := heart.Zone(atlas.Ostium)
	if !there {
		return nil
	}
	lip := newFlatZone(heart, zone) // flat in the proportions in which distances from it are measured
	centre := lip.outline.Centroid()
	t := heart.Triangle
	base := math.Atan2(t.Tendon.OffMM-t.Hinge.OffMM, (t.Tendon.AlongMM-t.Hinge.AlongMM)*lip.spread) * 180 / math.Pi
	from, by := base-180, betweenDegrees
	if ostium == VentricularSide {
		from, by = base+outsideFrom, -outsideDegrees
	}
	steps := math.Round(math.Abs(by) / aroundStepDegrees)
	// The corners stand out so far that the ways between them do not come nearer than was asked for.
	standOut := 1 / math.Cos(aroundStepDegrees/2*math.Pi/180)
	var spots []atlas.Spot
	for i := 0.0; i <= steps; i++ {
		sin, cos := math.Sincos((from + by*i/steps) * math.Pi / 180)
		foremost := foremostOf(lip.outline, geom.Point{X: cos, Y: sin})
		spots = append(spots, atlas.Spot{
			AlongMM: (centre.X + (foremost.X-centre.X+fromLipMM*cos)*standOut) / lip.spread,
			OffMM:   centre.Y + (foremost.Y-centre.Y+fromLipMM*sin)*standOut,
		})
	}
	return spots
}

// foremostOf is the corner of an outline that lies farthest in a direction.
func foremostOf(outline geom.Outline, direction geom.Point) geom.Point {
	return slices.MaxFunc(outline, func(p, q geom.Point) int {
		return cmp.Compare(p.X*direction.X+p.Y*direction.Y, q.X*direction.X+q.Y*direction.Y)
	})
}
