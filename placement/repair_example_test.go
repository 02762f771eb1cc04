package placement_test

import (
	"fmt"
	"strings"

	"fairlead/placement"
)

func ExampleOutcome() {
	_, catalogue := readExample()
	text := twoBites + "repair:\n  - plicate: { segment: posterior, to: 0 mm }\n"
	plan, problems := placement.Read("plan.yaml", []byte(text), placement.WordsOf(catalogue))
	if problems != nil {
		fmt.Println(problems)
		return
	}
	laid, problems := placement.Lay(plan, catalogue)
	if problems != nil {
		fmt.Println(problems)
		return
	}
	rules, err := placement.LoadRulebook()
	if err != nil {
		fmt.Println(err)
		return
	}
	outcome := placement.Check(laid, rules).Outcome
	var leaflets []string
	for _, leaflet := range outcome.Leaflets {
		leaflets = append(leaflets, leaflet.Name)
	}
	fmt.Println("leaflets:", strings.Join(leaflets, ", "))
	for _, size := range outcome.Sizes()[:3] {
		fmt.Printf("%s: %.0f %% less\n", size.Label, size.LessPercent())
	}
	// Output:
	// leaflets: anterior, septal
	// rim: 32 % less
	// anterior segment: 0 % less
	// posterior segment: 100 % less
}
