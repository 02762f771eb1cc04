package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// Pass is one passage of the needle, laid on a heart. In and Out are on the endocardium, their along unrolled so
// that the straight way between them on the chart is the way taken.
type Pass struct {
	In, Out atlas.Spot
	DepthMM float64
	Arc     geom.Arc
	Path    []geom.Vec // chords of the arc, never more than chordSagMM off it
}

// LaidBite is a bite resolved against a heart: one pass, the two arms of a mattress, or the passes of a run.
type LaidBite struct {
	Bite
	Passes []Pass
}

// Laid is a plan on a heart.
type Laid struct {
	Plan        Plan
	Heart       *atlas.Heart
	AtlasDigest string // of the data the heart was built from
	Bites       []LaidBite
}

// chordSagMM bounds how far the chords a needle's path is measured by may lie off its arc: a tenth of the 0.01 mm
// that clearances are exact to.
const chordSagMM = 0.001

// Lay builds the plan's heart and lays its bites on it. What only the heart can tell is wrong (measured sizes that
// contradict each other, a bite beyond the wall) comes back as problems with their places in the file.
func Lay(plan Plan, catalogue *atlas.Catalogue) (*Laid, strictyaml.Problems) {
	heart, problems := buildHeart(plan, catalogue)
	if heart == nil {
		return nil, problems
	}
	laid := &Laid{Plan: plan, Heart: heart, AtlasDigest: catalogue.Digest()}
	for _, bite := range plan.Bites {
		laid.Bites = append(laid.Bites, layBite(bite, heart, &problems))
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return laid, nil
}

func buildHeart(plan Plan, catalogue *atlas.Catalogue) (*atlas.Heart, strictyaml.Problems) {
	measured := make([]atlas.Measured, len(plan.Measured))
	for i, m := range plan.Measured {
		measured[i] = atlas.Measured{Name: m.Name, Value: m.Value}
	}
	heart, err := catalogue.Heart(measured)
	if err == nil {
		return heart, nil
	}
	var problems strictyaml.Problems
	for _, impossible := range geometryErrors(err) {
		problems.Add(plan.whereMeasured(impossible.Names), impossible.Text, "sizes that can belong to one heart", impossible.Mend)
	}
	if len(problems) == 0 {
		problems.Add(strictyaml.Position{File: plan.File, Line: 1, Column: 1}, err.Error(), "", "")
	}
	return nil, problems
}

// geometryErrors takes joined errors apart.
func geometryErrors(err error) (found []*atlas.GeometryError) {
	switch e := err.(type) {
	case *atlas.GeometryError:
		return []*atlas.GeometryError{e}
	case interface{ Unwrap() []error }:
		for _, part := range e.Unwrap() {
			found = append(found, geometryErrors(part)...)
		}
	}
	return found
}

// whereMeasured is the place of the first of some parameters that the plan measures.
func (p Plan) whereMeasured(names []string) strictyaml.Position {
	for _, m := range p.Measured {
		for _, name := range names {
			if m.Name == name {
				return m.At
			}
		}
	}
	if len(p.Measured) > 0 {
		return p.Measured[0].At
	}
	return strictyaml.Position{File: p.File, Line: 1, Column: 1}
}

func layBite(bite Bite, heart *atlas.Heart, problems *strictyaml.Problems) LaidBite {
	in := resolve(bite.In, heart)
	out := in
	if bite.HasOut {
		out = resolve(bite.Out, heart)
		out.AlongMM = in.AlongMM + shorterWay(heart.Rim, in.AlongMM, out.AlongMM)
	} else {
		sin, cos := math.Sincos(bite.Heading.Degrees * math.Pi / 180)
		out.OffMM += bite.TravelMM * sin
		out.AlongMM += bite.TravelMM * cos / heart.Chart.Spread(atlas.Spot{AlongMM: in.AlongMM, OffMM: (in.OffMM + out.OffMM) / 2})
	}
	laid := LaidBite{Bite: bite}
	for _, shift := range bite.shifts() {
		start := atlas.Spot{AlongMM: in.AlongMM + shift, OffMM: in.OffMM}
		end := atlas.Spot{AlongMM: out.AlongMM + shift, OffMM: out.OffMM}
		laid.Passes = append(laid.Passes, NewPass(heart, start, end, bite.DepthMM))
	}
	checkPlaces(bite, laid.Passes[0], heart, problems)
	return laid
}

// shifts are how far along the hinge each pass lies from the first.
func (b Bite) shifts() []float64 {
	switch b.Kind {
	case Mattress:
		return []float64{0, b.ApartMM}
	case Running:
		shifts := make([]float64, b.Passes)
		for i := range shifts {
			shifts[i] = float64(i) * b.PitchMM
		}
		return shifts
	default:
		return []float64{0}
	}
}

// NewPass sends a needle in at one spot of the endocardium and out at another, on the arc of a circle that lies
// depthMM under the endocardium midway between them.
func NewPass(heart *atlas.Heart, in, out atlas.Spot, depthMM float64) Pass {
	mid := atlas.Spot{AlongMM: (in.AlongMM + out.AlongMM) / 2, OffMM: (in.OffMM + out.OffMM) / 2, DeepMM: depthMM}
	arc := geom.ArcThrough(heart.Chart.Frame(in), heart.Chart.Frame(mid), heart.Chart.Frame(out))
	return Pass{In: in, Out: out, DepthMM: depthMM, Arc: arc, Path: arc.Chords(chordSagMM, nil)}
}

// deepestShare is the deepest a needle is taken to go between its two points, as a share of the distance between
// them: a little over the half circle. Assumption.
const deepestShare = 0.75

func checkPlaces(bite Bite, pass Pass, heart *atlas.Heart, problems *strictyaml.Problems) {
	wall, _ := heart.Value("septal-wall-height")
	leaflet, _ := heart.Value("leaflet-height")
	outAt := bite.At
	if bite.HasOut {
		outAt = bite.Out.At
	}
	for _, end := range []struct {
		name string
		off  float64
		at   strictyaml.Position
	}{{"in", pass.In.OffMM, bite.In.At}, {"out", pass.Out.OffMM, outAt}} {
		if end.off > wall.Here || end.off < -leaflet.Here {
			problems.Add(end.at, fmt.Sprintf("bite %q: its %q lies %.1f mm off the hinge, outside this heart's wall and leaflet", bite.Name, end.name, end.off),
				fmt.Sprintf("%.1f to %.1f mm off the hinge", -leaflet.Here, wall.Here), "correct `off`, `travel` or `heading`")
		}
	}
	between := heart.Chart.Frame(pass.In).Distance(heart.Chart.Frame(pass.Out))
	if between < 0.2 {
		problems.Add(bite.At, fmt.Sprintf("bite %q goes in and comes out at one place", bite.Name), "at least 0.2 mm between them", "move `out`, or give a `travel`")
	} else if bite.DepthMM > deepestShare*between {
		problems.Add(bite.At, fmt.Sprintf("bite %q is %.1f mm deep but only %.1f mm from in to out: no curved needle takes that path", bite.Name, bite.DepthMM, between),
			fmt.Sprintf("a depth of at most %.1f mm here", deepestShare*between), "lengthen the travel or lessen the depth")
	}
	if low, high := min(pass.In.OffMM, pass.Out.OffMM), max(pass.In.OffMM, pass.Out.OffMM); !bite.HasOut && (bite.Tissue == Wall && low < -1e-9 || bite.Tissue == Leaflet && high > 1e-9) {
		problems.Add(bite.At, fmt.Sprintf("bite %q is declared %s but its needle comes out %.1f mm off the hinge", bite.Name, bite.Tissue, pass.Out.OffMM),
			"wall: not below the hinge; leaflet: not above it", "declare it `rim`, or correct the heading")
	}
}

// shorterWay is the signed distance along the rim from one place to another by the shorter way, clockwise positive.
func shorterWay(rim *atlas.Rim, fromMM, toMM float64) float64 {
	span := rim.Span(fromMM, toMM)
	if span > rim.LengthMM()/2 {
		return span - rim.LengthMM()
	}
	return span
}

// resolve finds a place on a heart; its along is within one turn.
func resolve(p Place, heart *atlas.Heart) atlas.Spot {
	spot := atlas.Spot{OffMM: p.OffMM}
	switch p.Way {
	case OfSegment:
		for _, s := range heart.Segments() {
			if s.Name == p.Segment {
				spot.AlongMM = s.FromMM + s.ForMM*p.SharePercent/100
			}
		}
	case AtClock:
		spot.AlongMM = clockAlong(p.ClockHour, heart.Rim)
	default:
		from, _ := heart.Landmark(p.From)
		spot.AlongMM = from.Spot.AlongMM + direction(p.Toward, from.Spot.AlongMM, heart)*p.ByMM
	}
	spot.AlongMM = heart.Rim.Wrap(spot.AlongMM)
	return spot
}

// direction is +1 for clockwise: as said, or the shorter way to the middle of a segment or to a commissure.
func direction(toward string, fromMM float64, heart *atlas.Heart) float64 {
	switch toward {
	case "clockwise":
		return 1
	case "anticlockwise":
		return -1
	}
	goal := 0.0
	if landmark, ok := heart.Landmark(toward); ok {
		goal = landmark.Spot.AlongMM
	}
	for _, s := range heart.Segments() {
		if s.Name == toward {
			goal = s.FromMM + s.ForMM/2
		}
	}
	if shorterWay(heart.Rim, fromMM, goal) < 0 {
		return -1
	}
	return 1
}

// clockAlong is the place of the rim at an hour of the clock face round its centroid, 12 at the front. The rim is
// star-shaped about its centroid, so the hour grows steadily with the way along it.
func clockAlong(hour float64, rim *atlas.Rim) float64 {
	hourAt := func(along float64) float64 {
		p := rim.At(along)
		return math.Atan2(p.X, p.Y) * 6 / math.Pi
	}
	first := hourAt(0)
	want := math.Mod(hour-first+24, 12)
	low, high := 0.0, rim.LengthMM()
	for range 60 {
		mid := (low + high) / 2
		if math.Mod(hourAt(mid)-first+24, 12) < want {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
