package atlas

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// Kind tells what a structure is to a needle.
type Kind string

// The kinds of structure.
const (
	Conduction  Kind = "conduction"
	NodalArtery Kind = "nodal-artery"
	Coronary    Kind = "coronary"
	Aorta       Kind = "aorta"
)

// Structure is a solid a needle must keep clear of.
type Structure struct {
	ID           string
	Label        words.Said
	Kind         Kind
	Solid        geom.Solid
	SpreadMM     float64 // how far it may really lie from here, one standard deviation
	SharePercent float64 // of hearts that have it in this place
	Excludes     bool    // a heart has it in only one of the places so marked
	Grade        Grade   // of its place, which is never better known than its least known figure
	Sources      []string
}

// conduction lays down the conduction axis: node, bundle by both its ways in, and inferior extensions.
func (h *Heart) conduction(v *values) ([]Structure, error) {
	if err := h.nodeFits(v); err != nil {
		return nil, err
	}
	spread := v.of("conduction-position-spread")
	apical := v.of("bundle-apical-share")
	half := v.of("node-length") / 2
	centre := v.of("node-from-apex")
	head, tail := h.bisector(centre-half*0.9), h.bisector(centre+half*0.9)
	head.DeepMM, tail.DeepMM = v.of("node-depth"), v.of("node-depth")
	structure := func(id string, solid geom.Solid, share float64, sources ...string) Structure {
		return Structure{ID: id, Label: usualLabel("structure", id), Kind: Conduction, Solid: solid, SpreadMM: spread, SharePercent: share, Grade: Assumption, Sources: append(sources, "model")}
	}
	bundles := []Structure{
		structure("bundle", h.bundle(v, head, h.Triangle.Apex), apical, "cabrera-2019"),
		structure("bundle-low", h.bundle(v, h.lowHead(v, half), Spot{AlongMM: h.Triangle.Apex.AlongMM - v.of("bundle-low-entry")}), 100-apical, "cabrera-2019"),
	}
	for i := range bundles {
		bundles[i].Excludes = true
	}
	return append(bundles,
		structure("node", h.node(v), 100, "sanchez-quintana-2001"),
		structure("right-extension", h.extension(v, tail, h.rightEnd(v, tail)), 100*20/21., "inoue-1998"),
		structure("left-extension", h.extension(v, tail, h.leftEnd(v, tail)), 100*14/21., "inoue-1998"),
	), nil
}

// nodeFits tells what keeps the node from lying where it does: between the apex and the base of the triangle, under
// the endocardium.
func (h *Heart) nodeFits(v *values) error {
	if depth, half := v.of("node-depth"), v.of("node-thickness")/2; depth < half {
		return &GeometryError{Names: v.measuredAmong("node-depth", "node-thickness"),
			Text: fmt.Sprintf("a node %s thick, centred %s deep, would stand out of the endocardium", quantity(2*half, "mm"), quantity(depth, "mm")),
			Mend: "its centre must lie at least half its thickness deep"}
	}
	if from, most := v.of("node-from-apex"), h.surfaceLength(h.Triangle.Apex, h.Triangle.foot); from > most {
		return &GeometryError{Names: v.measuredAmong("node-from-apex", "triangle-hinge-side", "triangle-tendon-side", "triangle-base-side"),
			Text: fmt.Sprintf("a node centred %s from the apex of the nodal triangle would lie beyond its base, %s away", quantity(from, "mm"), quantity(most, "mm")),
			Mend: "the node lies in the triangle: give a node-from-apex that fits it"}
	}
	return nil
}

// node is an ellipsoid on the bisector of the apex, flat under the endocardium.
func (h *Heart) node(v *values) geom.Ellipsoid {
	centre := h.bisector(v.of("node-from-apex"))
	ahead := h.bisector(v.of("node-from-apex") + 0.1)
	centre.DeepMM, ahead.DeepMM = v.of("node-depth"), v.of("node-depth")
	at := h.Chart.Frame(centre)
	thin := h.Chart.perpendicular(centre)
	long := h.Chart.Frame(ahead).Sub(at)
	long = long.Sub(thin.Scale(long.Dot(thin))).Unit()
	return geom.Ellipsoid{
		Centre: at,
		Axes:   [3]geom.Vec{long, thin.Cross(long), thin},
		Radii:  [3]float64{v.of("node-length") / 2, v.of("node-width") / 2, v.of("node-thickness") / 2},
	}
}

// lowHead is where a bundle that enters low leaves the node: its hinge-side edge.
func (h *Heart) lowHead(v *values, halfMM float64) Spot {
	head := h.bisector(v.of("node-from-apex") - halfMM/3)
	head.OffMM = max(head.OffMM-v.of("node-width")/3, 0.5)
	head.DeepMM = v.of("bundle-depth-entry")
	return head
}

// bundle runs from the node to the place of the hinge it passes under, then along the ventricular side to the
// anteroseptal commissure.
func (h *Heart) bundle(v *values, head, entry Spot) geom.Tube {
	from, to := v.of("bundle-depth-entry"), v.of("bundle-depth-end")
	reach := v.of("bundle-reach")
	head.DeepMM = from
	entry.DeepMM = from + (to-from)/3
	under := Spot{AlongMM: entry.AlongMM * 0.6, OffMM: -0.55 * reach, DeepMM: from + (to-from)*0.75}
	end := Spot{AlongMM: 0, OffMM: -reach, DeepMM: to}
	return geom.Tube{Axis: h.course(40, head, entry, under, end), RadiusMM: v.of("bundle-calibre") / 2}
}

func (h *Heart) extension(v *values, tail, end Spot) geom.Tube {
	return geom.Tube{Axis: h.course(12, tail, tail.towards(end, 0.5), end), RadiusMM: v.of("extension-calibre") / 2}
}

// rightEnd lies toward the ostium, close to the hinge, at the published length from the node. An extension too short
// to come so close heads straight for the hinge.
func (h *Heart) rightEnd(v *values, tail Spot) Spot {
	length, down := v.of("right-extension"), math.Abs(tail.OffMM-v.of("right-extension-off"))
	end := Spot{AlongMM: tail.AlongMM, OffMM: v.of("right-extension-off"), DeepMM: tail.DeepMM}
	if length <= down {
		return h.atLength(tail, end, length)
	}
	back := math.Sqrt(length*length - down*down)
	end.AlongMM -= back
	for range 6 {
		got := h.surfaceLength(tail, end)
		back *= math.Sqrt((length*length - down*down) / max(got*got-down*down, 1e-6))
		end.AlongMM = tail.AlongMM - back
	}
	return end
}

// leftEnd lies toward the tendon line.
func (h *Heart) leftEnd(v *values, tail Spot) Spot {
	return h.atLength(tail, Spot{AlongMM: tail.AlongMM - 1, OffMM: tail.OffMM + 1.5, DeepMM: tail.DeepMM}, v.of("left-extension"))
}

// course is a smooth line in the frame through spots of the chart, n pieces long.
func (h *Heart) course(n int, through ...Spot) []geom.Vec {
	var knots, along, off, deep []float64
	for i, s := range through {
		knot := 0.0
		if i > 0 {
			step := s.chartDistance(through[i-1])
			if step == 0 { // the same spot once more tells nothing of the way
				continue
			}
			knot = knots[len(knots)-1] + step
		}
		knots = append(knots, knot)
		along, off, deep = append(along, s.AlongMM), append(off, s.OffMM), append(deep, s.DeepMM)
	}
	a, o, d := natural(knots, along), natural(knots, off), natural(knots, deep)
	path := make([]geom.Vec, n+1)
	for i := range path {
		u := knots[len(knots)-1] * float64(i) / float64(n)
		path[i] = h.Chart.Frame(Spot{a(u), o(u), d(u)})
	}
	return path
}

// chartDistance is the distance of two spots as if the chart were flat.
func (s Spot) chartDistance(o Spot) float64 {
	return geom.Vec{X: s.AlongMM, Y: s.OffMM, Z: s.DeepMM}.Distance(geom.Vec{X: o.AlongMM, Y: o.OffMM, Z: o.DeepMM})
}

// natural is the natural cubic spline through values at increasing knots, and not a number where they do not
// increase: Heart.whole refuses what comes of it.
func natural(knots, values []float64) func(float64) float64 {
	if len(knots) == 1 {
		return func(float64) float64 { return values[0] }
	}
	for i := 1; i < len(knots); i++ {
		if !(knots[i] > knots[i-1]) {
			return func(float64) float64 { return math.NaN() }
		}
	}
	var spline interp.NaturalCubic
	if err := spline.Fit(knots, values); err != nil {
		return func(float64) float64 { return math.NaN() }
	}
	return spline.Predict
}

// neighbours are the vessels beside the rim.
func (h *Heart) neighbours(v *values) ([]Structure, error) {
	coronary, err := h.coronary(v)
	if err != nil {
		return nil, err
	}
	return []Structure{
		{ID: "nodal-artery", Label: usualLabel("structure", "nodal-artery"), Kind: NodalArtery, Solid: h.nodalArtery(v, coronary), SpreadMM: v.spread("nodal-artery-depth"), SharePercent: 100, Grade: Assumption, Sources: []string{"inferior-pyramidal-2001", "model"}},
		{ID: "right-coronary", Label: usualLabel("structure", "right-coronary"), Kind: Coronary, Solid: coronary, SpreadMM: v.spread("coronary-mid-posterior"), SharePercent: 100, Grade: Assumption, Sources: []string{"rim-neighbours-36", "model"}},
		{ID: "aortic-root", Label: usualLabel("structure", "aortic-root"), Kind: Aorta, Solid: h.aorticRoot(v), SpreadMM: v.spread("aortic-root-distance"), SharePercent: 100, Grade: Assumption, Sources: []string{"model", "recalled"}},
	}, nil
}

// coronaryNames are the distances of the right coronary artery from the hinge, in the order of travel.
var coronaryNames = []string{"coronary-first", "coronary-mid-anterior", "coronary-anteroposterior", "coronary-mid-posterior", "coronary-crux"}

// coronary runs in the groove outside the free wall, its near wall at the published distances from the hinge.
func (h *Heart) coronary(v *values) (geom.Tube, error) {
	anterior, posterior := h.Rim.segments[0], h.Rim.segments[1]
	at := []float64{min(1, anterior/4), anterior / 2, anterior, anterior + posterior/2, anterior + posterior + 1}
	var asked []float64
	for _, name := range coronaryNames {
		asked = append(asked, v.of(name))
	}
	distance := append([]float64(nil), asked...)
	tube := geom.Tube{RadiusMM: v.of("coronary-calibre") / 2}
	// The artery is nearest the hinge a little beside each place, since it slants: correct until the distance
	// measured is the one asked for. Where it begins and ends nobody published how far off it is: such an end gives way
	// where the artery comes nearer on its way there, unless it was measured.
	for range 40 {
		tube.Axis = h.beside(at, distance, tube.RadiusMM, radians(v.of("coronary-elevation")))
		worst := 0.0
		for i := range distance {
			wrong := asked[i] - tube.Distance(h.Rim.At(at[i]))
			distance[i] = max(distance[i]+wrong, 0)
			if end := i == 0 || i == len(distance)-1; end && !v.measured(coronaryNames[i]) {
				distance[i] = min(distance[i], 1.2*asked[i])
				continue
			}
			worst = max(worst, math.Abs(wrong)/asked[i])
		}
		if worst < 1e-6 {
			return tube, nil
		}
	}
	return tube, &GeometryError{Names: v.measuredAmong(append(coronaryNames, "coronary-calibre")...),
		Text: fmt.Sprintf("no right coronary artery runs %.4g mm from the hinge where it comes off, %.4g, %.4g and %.4g mm on the free wall and %.4g mm at its end", asked[0], asked[1], asked[2], asked[3], asked[4]),
		Mend: "neighbouring distances differ too much for the way between them"}
}

func (h *Heart) beside(at, distance []float64, radiusMM, elevation float64) []geom.Vec {
	const pieces = 96
	away := natural(at, distance)
	axis := make([]geom.Vec, pieces+1)
	for i := range axis {
		along := at[0] + (at[len(at)-1]-at[0])*float64(i)/pieces
		axis[i] = h.outside(along, max(away(along), 0.05), radiusMM, elevation)
	}
	return axis
}

// nearestShare is how far under the endocardium a vessel outside the wall lies at the least, as a share of its distance
// from the hinge: some muscle or fat lies between. An assumption of the model.
const nearestShare = 0.2

// outside is the centre of a vessel that runs along the wall: its near wall at a distance from a place of the rim, at
// an elevation above the plane of the rim, radians. The elevation is lowered where the vessel would otherwise come too
// near the endocardium.
func (h *Heart) outside(alongMM, distanceMM, radiusMM, elevation float64) geom.Vec {
	centreMM := distanceMM + radiusMM
	under := math.Asin((radiusMM + nearestShare*distanceMM) / centreMM)
	sin, cos := math.Sincos(min(elevation, h.Chart.slant(alongMM).wall-under))
	direction := h.Rim.outward(alongMM).Scale(cos).Add(geom.Vec{Z: sin})
	return h.Rim.At(alongMM).Add(direction.Scale(centreMM))
}

// nodalArtery runs from the end of the coronary artery under the base of the triangle to the node.
func (h *Heart) nodalArtery(v *values, coronary geom.Tube) geom.Tube {
	t := h.Triangle
	crux, _ := h.Chart.Spot(coronary.Axis[len(coronary.Axis)-1])
	crux.AlongMM = h.Unroll(crux.AlongMM)
	base := t.Hinge.towards(t.Tendon, 0.3)
	base.DeepMM = v.of("nodal-artery-depth")
	node := h.bisector(v.of("node-from-apex") + v.of("node-length")/4)
	node.DeepMM = v.of("node-depth") + v.of("node-thickness")/2 + v.of("nodal-artery-calibre")/2
	return geom.Tube{Axis: h.course(40, crux, base, node), RadiusMM: v.of("nodal-artery-calibre") / 2}
}

// aorticRoot bulges against the wall outside the anteroseptal commissure, under the endocardium: it is turned down about
// the commissure until it lies under all of it.
func (h *Heart) aorticRoot(v *values) geom.Ellipsoid {
	const towardsAnterior, elevation = 3.0, -8.0 // mm along the rim, degrees: assumptions of the model
	radius, gap := v.of("aortic-root-radius"), v.of("aortic-root-distance")
	root := geom.Ellipsoid{
		Axes:  [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}},
		Radii: [3]float64{radius, radius, radius},
	}
	wall := h.endocardium(radius + gap)
	outward, turn := h.Rim.outward(towardsAnterior), radians(elevation)
	for range 40 {
		sin, cos := math.Sincos(turn)
		root.Centre = h.Rim.At(0).Add(outward.Scale(cos).Add(geom.Vec{Z: sin}).Scale(gap + radius))
		lacking := radius + nearestShare*gap - nearest(wall, root.Centre)
		if lacking < 1e-3 || turn < -math.Pi/2 {
			break
		}
		turn -= lacking / (gap + radius)
	}
	return root
}

// endocardium are places of the wall about the anteroseptal commissure, a fourteenth of the reach apart or less.
func (h *Heart) endocardium(reachMM float64) (places []geom.Vec) {
	const rows = 14
	for i := -rows; i <= rows; i++ {
		for j := range rows + 1 {
			places = append(places, h.Chart.Frame(Spot{AlongMM: reachMM * float64(i) / rows, OffMM: reachMM * float64(j) / rows}))
		}
	}
	return places
}

func nearest(places []geom.Vec, to geom.Vec) float64 {
	least := math.Inf(1)
	for _, p := range places {
		least = min(least, p.Distance(to))
	}
	return least
}
