package placement_test

import (
	"bytes"
	"fmt"
	"testing"

	"fairlead/placement"
)

var exampleParameters = []placement.ParameterName{
	{Name: "rim-length", Unit: "mm", Label: "Length of the rim.", Min: 40, Max: 250},
}

func ExampleRead() {
	plan, problems := placement.Read("plan.yaml", []byte(`
fairlead: 1
case: Example, invented
operation: band
heart: { rim-length: 118 mm }
bites:
  - name: first
    kind: single
    tissue: rim
    in: { from: anteroseptal-commissure, toward: anterior, by: 5 mm, off: 1 mm }
    travel: 6 mm
    heading: clockwise
    depth: 2 mm
`), placement.Words{Parameters: exampleParameters})
	if problems != nil {
		fmt.Println(problems)
		return
	}
	bite := plan.Bites[0]
	fmt.Println(plan.Measured[0].Name, plan.Measured[0].Value)
	fmt.Println(bite.Name, bite.In.ByMM, bite.In.From, bite.Heading.Degrees)
	fmt.Println(plan.Margins.ConductionMM)
	// Output:
	// rim-length 118
	// first 5 anteroseptal-commissure 0
	// 2
}

func ExampleRead_problems() {
	_, problems := placement.Read("plan.yaml", []byte(`
fairlead: 1
case: Example, invented
operation: bend
heart: { rim-length: 11.8 cm }
bites: []
`), placement.Words{Parameters: exampleParameters})
	fmt.Println(problems)
	// Output:
	// plan.yaml:4:12: operation: unknown word "bend"; expected band, ring, purse-string, plication, leaflet-repair, replacement or rehearsal; did you mean band?
	// plan.yaml:5:22: rim-length: "11.8 cm" has another unit; expected a number in mm, 40 mm to 250 mm; write 118 mm
}

func ExampleSchema() {
	schema := placement.Schema(placement.Words{Parameters: exampleParameters})
	fmt.Println(bytes.Contains(schema, []byte(`"rim-length"`)))
	// Output: true
}

func TestNamesAreDistinct(t *testing.T) {
	seen := map[string]bool{}
	for _, name := range append(placement.Landmarks(), placement.Segments()...) {
		if seen[name] {
			t.Errorf("%s names two things", name)
		}
		seen[name] = true
	}
	for _, name := range placement.Commissures() {
		if !seen[name] {
			t.Errorf("%s is no landmark to measure from", name)
		}
	}
	if len(seen) != 13 {
		t.Errorf("%d names, want ten landmarks and three segments", len(seen))
	}
}
