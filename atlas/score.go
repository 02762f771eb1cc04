package atlas

import (
	"math"

	"fairlead/atlas/growth"
	"fairlead/atlas/words"
)

// Score is how far a size lies from what is expected, in standard deviations, and by whose figures. Scores by
// different figures are not to be compared.
type Score struct {
	Z       float64
	By      words.Said // the dataset, or the atlas itself
	Caution string
}

// byAtlas says that a score is held against the atlas's own expectation.
func byAtlas() words.Said { return words.Of("by-atlas") }

// datasetSizes are, for a size of the rim, the quantities a dataset may have it under, the closest first.
var datasetSizes = map[string][]string{
	"rim-length":     {growth.Perimeter},
	"rim-area":       {growth.Area},
	"rim-long-axis":  {growth.DiameterMajor, growth.DiameterAnteroposterior},
	"rim-short-axis": {growth.DiameterMinor, growth.DiameterLateral},
}

// Score scores a parameter of a heart: by the dataset its body was predicted by, where that has the size; else
// against what the atlas expected before anything was measured. It is false for what has no spread.
func (c *Catalogue) Score(h *Heart, v Value) (Score, bool) {
	if h.Body.Dataset != "" {
		for _, quantity := range datasetSizes[v.Name] {
			if s, err := c.growth.Z(h.Body.Dataset, quantity, v.Here, h.Body.SurfaceM2); err == nil {
				return Score{s.Z, h.Body.Label, s.Caution}, true
			}
		}
	}
	if !(v.ExpectedSpread > 0) || !(v.Here > 0) && v.byRatio() {
		return Score{}, false
	}
	if !v.byRatio() {
		return Score{Z: (v.Here - v.Expected) / v.ExpectedSpread, By: byAtlas()}, true
	}
	sd := math.Sqrt(math.Log1p(math.Pow(v.ExpectedSpread/v.Expected, 2)))
	return Score{Z: (math.Log(v.Here/v.Expected) + sd*sd/2) / sd, By: byAtlas()}, true
}
