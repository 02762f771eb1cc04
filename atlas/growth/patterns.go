package growth

import (
	"fmt"
	"math"

	"fairlead/atlas/strictyaml"
)

// Segments holds a figure for each of the three segments of the rim.
type Segments struct{ Posterior, Anterior, Septal float64 }

// Sum adds the three.
func (s Segments) Sum() float64 { return s.Posterior + s.Anterior + s.Septal }

// Pattern is how a rim dilates: by how much each segment stretches, relative to the segment that stretches most.
type Pattern struct {
	Name, Label string
	// Stretch is the stretch of each segment over that of the most stretched one, which is 1.
	Stretch Segments
	Evidence
}

// Stretched gives the lengths of segments once the most stretched of them is longer by a share of its own length
// (0.17 for 17 %), the others in proportion. The share is not checked.
func (p Pattern) Stretched(rest Segments, share float64) Segments {
	return Segments{
		Posterior: rest.Posterior * (1 + share*p.Stretch.Posterior),
		Anterior:  rest.Anterior * (1 + share*p.Stretch.Anterior),
		Septal:    rest.Septal * (1 + share*p.Stretch.Septal),
	}
}

// StretchedTo gives the lengths of segments, in mm, stretched until they add up to a length of rim in mm. It
// refuses segments that are not positive, and a rim shorter than they are: patterns are of dilatation.
func (p Pattern) StretchedTo(rest Segments, rimMM float64) (Segments, error) {
	if !(rest.Posterior > 0 && rest.Anterior > 0 && rest.Septal > 0) {
		return Segments{}, fmt.Errorf("segments %+v: each must be longer than nothing", rest)
	}
	if longer := (Range{rest.Sum(), math.Inf(1)}); !longer.Contains(rimMM) {
		return Segments{}, &OutOfRangeError{What: "length of the rim", Value: rimMM, Unit: "mm", Range: longer, By: "the pattern " + p.Name, Mend: "a pattern of dilatation does not shorten"}
	}
	perShare := p.Stretched(rest, 1).Sum() - rest.Sum()
	return p.Stretched(rest, (rimMM-rest.Sum())/perShare), nil
}

// Measured is a mean with its standard deviation, in mm.
type Measured struct{ Mean, SD float64 }

// Severity is one row of a series: the segments of the rim in hearts of one severity of regurgitation.
type Severity struct {
	Name                        string // mild, moderate or severe
	Posterior, Anterior, Septal Measured
}

// Means gives the mean lengths of the row in mm.
func (s Severity) Means() Segments {
	return Segments{Posterior: s.Posterior.Mean, Anterior: s.Anterior.Mean, Septal: s.Septal.Mean}
}

// Series is a published series of segments by severity, in the order of severity.
type Series struct {
	Label    string
	Patients int
	Evidence
	Rows []Severity
}

func (r *reader) readPatterns(t *Tables) {
	v := r.parse("patterns.yaml", patternsShape)
	once := r.once("pattern")
	for _, p := range v.Get("patterns").Items() {
		raw := Segments{p.Get("posterior").Number(), p.Get("anterior").Number(), p.Get("septal").Number()}
		most := max(raw.Posterior, raw.Anterior, raw.Septal)
		t.patterns = append(t.patterns, Pattern{
			Name: once(p.Get("name")), Label: p.Get("label").Text(), Evidence: r.evidence(p),
			Stretch: Segments{raw.Posterior / most, raw.Anterior / most, raw.Septal / most},
		})
	}
	s := v.Get("series")
	t.series = Series{Label: s.Get("label").Text(), Patients: s.Get("patients").Whole(), Evidence: r.evidence(s)}
	for _, row := range s.Get("rows").Items() {
		t.series.Rows = append(t.series.Rows, Severity{
			Name:      row.Get("severity").Text(),
			Posterior: readMeasured(row.Get("posterior")), Anterior: readMeasured(row.Get("anterior")), Septal: readMeasured(row.Get("septal")),
		})
	}
}

// readMeasured reads a list of mean and SD; one that was refused has become a problem already.
func readMeasured(v strictyaml.Value) Measured {
	if pair := v.Items(); len(pair) == 2 {
		return Measured{pair[0].Number(), pair[1].Number()}
	}
	return Measured{}
}

// Patterns lists the patterns of dilatation.
func (t *Tables) Patterns() []Pattern { return append([]Pattern(nil), t.patterns...) }

// Pattern finds a pattern of dilatation by its name.
func (t *Tables) Pattern(name string) (Pattern, error) {
	return find("pattern of dilatation", name, t.patterns, func(p Pattern) string { return p.Name })
}

// OperativeSeries gives the segments measured at operation, by severity of regurgitation.
func (t *Tables) OperativeSeries() Series {
	s := t.series
	s.Rows = append([]Severity(nil), s.Rows...)
	return s
}
