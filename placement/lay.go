package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/contour"
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
	OnLine bool // laid by the plan's suture line
}

// Laid is a plan on a heart.
type Laid struct {
	Plan        Plan
	Heart       *atlas.Heart
	AtlasDigest string // of the data the heart was built from
	Bites       []LaidBite
	Repair      *LaidRepair // nil: the plan says nothing of what the stitches do
	Line        *LaidLine   // nil: no suture line
	Patches     []LaidPatch

	catalogue *atlas.Catalogue // for what a body predicts and how sizes score; nil: neither is told
}

// chordSagMM bounds how far the chords a needle's path is measured by may lie off its arc: a tenth of the 0.01 mm
// that clearances are exact to.
const chordSagMM = 0.001

// Lay builds the plan's heart and lays its bites on it. What only the heart can tell is wrong (measured sizes that
// contradict each other, a bite beyond the wall) comes back as problems with their places in the file: all that the
// sizes have, or, where a heart can be built, all that bites, line, repair and patches have.
func Lay(plan Plan, catalogue *atlas.Catalogue) (*Laid, strictyaml.Problems) {
	heart, problems := buildHeart(plan, catalogue)
	if heart == nil {
		return nil, problems
	}
	laid := &Laid{Plan: plan, Heart: heart, AtlasDigest: catalogue.Digest(), catalogue: catalogue}
	for _, bite := range plan.Bites {
		laid.Bites = append(laid.Bites, layBite(bite, heart, &problems))
	}
	laid.layLine(catalogue, &problems) // before the others: it may lay bites of its own
	laid.layRepair(&problems)
	laid.layPatches(&problems)
	if len(problems) > 0 {
		return nil, problems.Sorted()
	}
	return laid, nil
}

func buildHeart(plan Plan, catalogue *atlas.Catalogue) (*atlas.Heart, strictyaml.Problems) {
	patient := plan.patient()
	problems := plan.fitContour(&patient)
	if len(problems) > 0 {
		return nil, problems
	}
	heart, err := catalogue.Fit(patient)
	if err == nil {
		return heart, nil
	}
	for _, impossible := range geometryErrors(err) {
		problems.Add(plan.whereSaid(impossible.Names), impossible.Text, "what can belong to one heart", impossible.Mend)
	}
	if len(problems) == 0 {
		problems.Add(plan.start(), err.Error(), "", "")
	}
	return nil, problems.Sorted()
}

// fitContour gives the patient the rim of the plan's contour, if it has one. What is wrong with the contour has its
// place in the contour's own file.
func (p Plan) fitContour(patient *atlas.Patient) strictyaml.Problems {
	if p.Contour == "" {
		return nil
	}
	points, problems := contour.Read(p.Contour, p.ContourCSV)
	if len(problems) > 0 {
		return problems
	}
	fitted, problems := contour.Fit(points)
	patient.Contour = &fitted
	return problems
}

// patient is the plan's patient as the atlas knows it.
func (p Plan) patient() atlas.Patient {
	patient := atlas.Patient{
		Body:    atlas.Body{HeightCM: p.Patient.HeightCM, WeightKG: p.Patient.WeightKG, SurfaceM2: p.Patient.SurfaceM2, Formula: p.Patient.Formula, Dataset: p.Patient.Dataset},
		Stretch: p.Stretch,
		Variant: p.Variant,
		Valve:   atlas.Valve{Leaflets: p.Valve.Leaflets, Cleft: p.Valve.Cleft, CommissureMM: p.Valve.CommissureMM},
	}
	for _, m := range p.Measured {
		patient.Measured = append(patient.Measured, atlas.Measured{Name: m.Name, Value: m.Value, Method: m.Method, Error: m.Error})
	}
	return patient
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

// whereSaid is the place of the first of some names that the plan speaks of: a parameter it measures, or a key.
func (p Plan) whereSaid(names []string) strictyaml.Position {
	said := map[string]strictyaml.Position{"patient": p.Patient.At, "stretch": p.StretchAt, "variant": p.VariantAt, "contour": p.ContourAt}
	for _, m := range p.Measured {
		said[m.Name] = m.At
	}
	for _, name := range names {
		if at := said[name]; at.Line > 0 {
			return at
		}
	}
	if len(p.Measured) > 0 {
		return p.Measured[0].At
	}
	return p.start()
}

func (p Plan) start() strictyaml.Position {
	return strictyaml.Position{File: p.File, Line: 1, Column: 1}
}

func layBite(bite Bite, heart *atlas.Heart, problems *strictyaml.Problems) LaidBite {
	checkPlace(fmt.Sprintf("bite %q: its \"in\"", bite.Name), bite.In, heart, problems)
	if bite.HasOut {
		checkPlace(fmt.Sprintf("bite %q: its \"out\"", bite.Name), bite.Out, heart, problems)
	}
	in := resolve(bite.In, heart)
	laid := LaidBite{Bite: bite, Passes: bite.passes(heart, in, bite.outFrom(heart, in))}
	for _, misfit := range laid.misfits(heart) {
		*problems = append(*problems, misfit)
	}
	return laid
}

// outFrom is where a needle that goes in at a spot comes out. Its along is unrolled.
func (b Bite) outFrom(heart *atlas.Heart, in atlas.Spot) atlas.Spot {
	if !b.HasOut {
		return travelled(heart, in, b.Heading, b.TravelMM)
	}
	out := resolve(b.Out, heart)
	out.AlongMM = in.AlongMM + shorterWay(heart.Rim, in.AlongMM, out.AlongMM)
	return out
}

// travelError is how far, as a share of it, a travel laid on the tissue may be off.
const travelError = 1e-3

// travelled is the spot reached from another on the chart's straight way in a heading, after a way measured on the
// tissue. The heading is taken midway, where the way is neither as spread as at one end nor as narrow as at the other.
func travelled(heart *atlas.Heart, from atlas.Spot, heading Heading, travelMM float64) atlas.Spot {
	sin, cos := math.Sincos(heading.Degrees * math.Pi / 180)
	to := shifted(from, travelMM*cos, travelMM*sin)
	for range 2 {
		middle := shifted(from, (to.AlongMM-from.AlongMM)/2, (to.OffMM-from.OffMM)/2)
		to = shifted(from, travelMM*cos/heart.Chart.Spread(middle), travelMM*sin)
	}
	for range 8 { // the length grows almost evenly with the way, so that two rounds mostly do
		share := travelMM / tissueLength(heart, from, to)
		to = shifted(from, share*(to.AlongMM-from.AlongMM), share*(to.OffMM-from.OffMM))
		if math.Abs(share-1) < travelError {
			break
		}
	}
	return to
}

// tissueLength is the length on the endocardium of the chart's straight way between two spots, in steps of about a
// millimetre.
func tissueLength(heart *atlas.Heart, a, b atlas.Spot) (length float64) {
	steps := int(max(4, math.Ceil(math.Hypot(b.AlongMM-a.AlongMM, b.OffMM-a.OffMM))))
	before := heart.Chart.Frame(a)
	for i := 1; i <= steps; i++ {
		share := float64(i) / float64(steps)
		here := heart.Chart.Frame(atlas.Spot{AlongMM: a.AlongMM + share*(b.AlongMM-a.AlongMM), OffMM: a.OffMM + share*(b.OffMM-a.OffMM)})
		length += here.Distance(before)
		before = here
	}
	return length
}

// passes lays every pass of a bite whose first goes from in to out.
func (b Bite) passes(heart *atlas.Heart, in, out atlas.Spot) []Pass {
	shifts := b.shifts()
	passes := make([]Pass, len(shifts))
	for i, shift := range shifts {
		passes[i] = NewPass(heart, shifted(in, shift, 0), shifted(out, shift, 0), b.DepthMM)
	}
	return passes
}

func shifted(s atlas.Spot, alongMM, offMM float64) atlas.Spot {
	return atlas.Spot{AlongMM: s.AlongMM + alongMM, OffMM: s.OffMM + offMM, DeepMM: s.DeepMM}
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
// depthMM under the endocardium midway between them. Beside that place it may go deeper where the endocardium bends,
// on a bite of 5 mm by less than a tenth of a millimetre.
func NewPass(heart *atlas.Heart, in, out atlas.Spot, depthMM float64) Pass {
	mid := atlas.Spot{AlongMM: (in.AlongMM + out.AlongMM) / 2, OffMM: (in.OffMM + out.OffMM) / 2, DeepMM: depthMM}
	arc := geom.ArcThrough(heart.Chart.Frame(in), heart.Chart.Frame(mid), heart.Chart.Frame(out))
	return Pass{In: in, Out: out, DepthMM: depthMM, Arc: arc, Path: arc.Chords(chordSagMM, nil)}
}
