package placement

import "fmt"

type patchJSON struct {
	Name            string   `json:"name"`
	Verdict         Level    `json:"verdict"`
	AreaMM2         float64  `json:"area_mm2"`
	FlatAreaMM2     float64  `json:"flat_area_mm2"`
	PerimeterMM     float64  `json:"perimeter_mm"`
	FlatPerimeterMM float64  `json:"flat_perimeter_mm"`
	SeamMM          float64  `json:"seam_mm"`
	Longest         float64  `json:"longest_percent"`
	Shortest        float64  `json:"shortest_percent"`
	Bites           []string `json:"bites"`
	Reasons         []Reason `json:"reasons"`
}

func patchesJSON(patches []PatchReport) (out []patchJSON) {
	for _, p := range patches {
		one := patchJSON{
			Name: p.Name, Verdict: p.Verdict, SeamMM: thousandth(p.SeamMM), Bites: []string{}, Reasons: append([]Reason{}, p.Reasons...),
			AreaMM2: thousandth(p.Sheet.AreaMM2), FlatAreaMM2: thousandth(p.Sheet.FlatAreaMM2),
			PerimeterMM: thousandth(p.Sheet.PerimeterMM), FlatPerimeterMM: thousandth(p.Sheet.FlatPerimeterMM),
			Longest: thousandth(100 * p.Sheet.Longest), Shortest: thousandth(100 * p.Sheet.Shortest),
		}
		for _, m := range p.Marks {
			one.Bites = append(one.Bites, m.Bite)
		}
		out = append(out, one)
	}
	return out
}

func (t *table) patches(patches []PatchReport) {
	for _, p := range patches {
		t.line("")
		t.fold("", "  ", fmt.Sprintf("Patch %s: %s. %.1f mm2 and %.1f mm round on the tissue, %.1f mm2 and %.1f mm round laid flat, with %s mm of seam to be added; the cloth gives %+.1f to %+.1f %%.",
			p.Name, p.Verdict, p.Sheet.AreaMM2, p.Sheet.PerimeterMM, p.Sheet.FlatAreaMM2, p.Sheet.FlatPerimeterMM, exact(p.SeamMM), 100*p.Sheet.Shortest, 100*p.Sheet.Longest))
		t.reasons("  ", p.Reasons)
	}
}
