package placement

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/growth"
	"fairlead/atlas/words"
)

// Outcome is what a repair makes of the valve: its sizes before and after, what each stretch of rim gives up, the
// leaflets that are left, and what the rules say of it.
type Outcome struct {
	Before, After Orifice
	SurfaceM2     float64 // of the body; 0: not known
	Predicted     PredictedArea
	Intervals     []Interval // what is drawn together, in the order of the steps, clockwise within each
	Leaflets      []CoveringLeaflet
	// Gathered is the rim after, and how a place of the rim before lies on it; its Shift holds the septum in place.
	Gathered *atlas.Gathered
	Former   *atlas.Former // the outline of a rigid device; nil: none
	Mirror   *Mirror       // how it compares with what was too long; nil: nothing was, or nothing is taken
	Ends     []DrawnEnd    // of an open device, the one at the septum first
	Verdict  Level         // the worst level of its reasons
	Reasons  []Reason
}

// Orifice is the rim before or after a repair, measured. Lengths in mm, as in atlas.RimSizes; the area is the one spanned.
type Orifice struct {
	atlas.RimSizes
	Circularity  float64          // short axis over long axis
	FreeToSeptal float64          // anterior and posterior segment over the septal one; +Inf where that is taken away
	Z            map[string]Score // by the name of the size, where the body's dataset has it
}

// Score is a z-score and the dataset it belongs to.
type Score struct {
	Z  float64
	By words.Said
}

// PredictedArea is the area expected of a healthy rim.
type PredictedArea struct {
	MM2 float64
	By  words.Said // the dataset, or where else it comes from
}

// Size is one size of the rim, before and after.
type Size struct {
	Name          string // the name is the parameter's where a parameter measures the same
	Label         words.Said
	Unit          string // mm, mm2, or 1 for a ratio
	Before, After float64
	ZBefore       *Score // nil: the dataset has no such size, or the body is not known
	ZAfter        *Score
}

// Less is by how much the size is less after than before, in its unit; negative: more.
func (s Size) Less() float64 { return s.Before - s.After }

// LessPercent is the same as a share of the size before; 0 where that was nothing.
func (s Size) LessPercent() float64 { return percentLess(s.Before, s.After) }

// percentLess is by how much of its own a length becomes less, %.
func percentLess(before, after float64) float64 {
	if before == 0 {
		return 0
	}
	return 100 * (before - after) / before
}

// outcomeAfter measures the valve before and after some stretches of its rim are drawn together, and judges nothing.
// It knows nothing of intervals and stitches. The sizes are those of the curves, to 0.01 mm.
func (l *Laid) outcomeAfter(gathers []atlas.Gather, former *atlas.Former) (*Outcome, error) {
	gathered, err := l.Heart.Rim.Gathered(gathers, former)
	if err != nil {
		return nil, err
	}
	return l.outcomeOf(gathered, former), nil
}

func (l *Laid) outcomeOf(gathered *atlas.Gathered, former *atlas.Former) *Outcome {
	return &Outcome{
		Before: l.orifice(l.Heart.Rim), After: l.orifice(gathered.Rim),
		SurfaceM2: l.Heart.Body.SurfaceM2, Predicted: l.predictedArea(), Gathered: gathered, Former: former,
	}
}

func (l *Laid) orifice(rim *atlas.Rim) Orifice {
	s := rim.Sizes()
	o := Orifice{RimSizes: s, Circularity: s.ShortAxisMM / s.LongAxisMM, FreeToSeptal: (s.AnteriorMM + s.PosteriorMM) / s.SeptalMM, Z: map[string]Score{}}
	for _, size := range rimSizes {
		if score, scored := l.score(size.name, size.of(&o)); scored {
			o.Z[size.name] = score
		}
	}
	return o
}

// score is the z-score of a size by the dataset its body was predicted by; false where that dataset has no such size.
func (l *Laid) score(name string, here float64) (Score, bool) {
	value, known := l.Heart.Value(name)
	if !known || l.catalogue == nil || l.Heart.Body.Dataset == "" {
		return Score{}, false
	}
	value.Here = here
	s, scored := l.catalogue.Score(l.Heart, value)
	// The catalogue falls back on what the atlas itself expected, which is no dataset.
	return Score{s.Z, s.By}, scored && s.By.ID() == l.Heart.Body.Label.ID()
}

// predictedArea is the area the body's dataset predicts, or where there is none what this atlas expects.
func (l *Laid) predictedArea() PredictedArea {
	body := l.Heart.Body
	if l.catalogue != nil && body.Dataset != "" {
		if p, err := l.catalogue.Growth().Predict(body.Dataset, growth.Area, body.SurfaceM2); err == nil {
			return PredictedArea{p.Mean, body.Label}
		}
	}
	area, _ := l.Heart.Value("rim-area")
	if body.SurfaceM2 == 0 {
		return PredictedArea{area.Expected, words.Of("predicted.usual-adult")}
	}
	return PredictedArea{area.Expected, words.Of("predicted.atlas", words.Blanks{"dataset": body.Label})}
}

// rimSizes are the sizes told of a rim, in the order they are told. Those that are a parameter's have its name.
var rimSizes = []struct {
	name, unit string
	of         func(*Orifice) float64
}{
	{"rim-length", "mm", func(o *Orifice) float64 { return o.LengthMM }},
	{"anterior-segment", "mm", func(o *Orifice) float64 { return o.AnteriorMM }},
	{"posterior-segment", "mm", func(o *Orifice) float64 { return o.PosteriorMM }},
	{"septal-segment", "mm", func(o *Orifice) float64 { return o.SeptalMM }},
	{"septal-chord", "mm", func(o *Orifice) float64 { return o.SeptalChordMM }},
	{"rim-long-axis", "mm", func(o *Orifice) float64 { return o.LongAxisMM }},
	{"rim-short-axis", "mm", func(o *Orifice) float64 { return o.ShortAxisMM }},
	{"rim-area", "mm2", func(o *Orifice) float64 { return o.AreaMM2 }},
	{"circularity", "1", func(o *Orifice) float64 { return o.Circularity }},
	{"free-to-septal", "1", func(o *Orifice) float64 { return o.FreeToSeptal }},
}

// Sizes lists what was measured, before and after, in the order of the report.
func (o *Outcome) Sizes() []Size {
	sizes := make([]Size, len(rimSizes))
	for i, s := range rimSizes {
		sizes[i] = Size{Name: s.name, Label: words.Of("size." + s.name), Unit: s.unit, Before: s.of(&o.Before), After: s.of(&o.After), ZBefore: o.Before.scoreOf(s.name), ZAfter: o.After.scoreOf(s.name)}
	}
	return sizes
}

// Size finds one of the sizes by its name.
func (o *Outcome) Size(name string) (Size, bool) {
	for _, s := range o.Sizes() {
		if s.Name == name {
			return s, true
		}
	}
	return Size{}, false
}

func (o *Orifice) scoreOf(name string) *Score {
	if score, scored := o.Z[name]; scored {
		return &score
	}
	return nil
}

// SharePercent is the area after as a share of the predicted one, %.
func (o *Outcome) SharePercent() float64 { return 100 * o.After.AreaMM2 / o.Predicted.MM2 }

// Indexed is a size per square metre of body surface; not a number where the body is not known.
func (o *Outcome) Indexed(size float64) float64 {
	if o.SurfaceM2 == 0 {
		return math.NaN()
	}
	return size / o.SurfaceM2
}
