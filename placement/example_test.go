package placement_test

import (
	"fmt"

	"fairlead/atlas"
	"fairlead/placement"
)

// twoBites is a plan of one sound bite and one in the apical half of the nodal triangle.
const twoBites = `
fairlead: 1
case: Example, invented
operation: band
spacing: { most: 30 mm }
bites:
  - { name: sound, kind: single, tissue: rim, in: { segment: anterior, share: 50 % }, travel: 5 mm, heading: clockwise, depth: 1.5 mm }
  - { name: mistaken, kind: single, tissue: rim, in: { from: triangle-apex, toward: anticlockwise, by: 5 mm, off: 1 mm }, travel: 4 mm, heading: clockwise, depth: 2 mm }
`

func readExample() (placement.Plan, *atlas.Catalogue) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		panic(err)
	}
	plan, problems := placement.Read("plan.yaml", []byte(twoBites), placement.WordsOf(catalogue))
	if problems != nil {
		panic(problems)
	}
	return plan, catalogue
}

func ExampleLay() {
	plan, catalogue := readExample()
	laid, problems := placement.Lay(plan, catalogue)
	if problems != nil {
		fmt.Println(problems)
		return
	}
	pass := laid.Bites[1].Passes[0]
	fmt.Printf("in %.1f mm up the wall, out %.1f mm, %.0f mm apart\n", pass.In.OffMM, pass.Out.OffMM, pass.Path[0].Distance(pass.Path[len(pass.Path)-1]))
	// Output: in 1.0 mm up the wall, out 1.0 mm, 4 mm apart
}

func ExampleLay_problems() {
	plan, catalogue := readExample()
	plan.Bites[0].DepthMM = 6
	_, problems := placement.Lay(plan, catalogue)
	for _, p := range problems {
		fmt.Println(p.Position, p.Mend)
	}
	// Output: plan.yaml:7:5 lengthen the travel or lessen the depth
}

func ExampleCheck() {
	plan, catalogue := readExample()
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
	report := placement.Check(laid, rules)
	fmt.Println("plan:", report.Verdict)
	for _, bite := range report.Bites {
		fmt.Printf("%s: %v, nearest the %s\n", bite.Name, bite.Verdict, bite.Nearest.Label)
		for _, reason := range bite.Reasons {
			fmt.Println(" ", reason.Level, reason.Rule)
		}
	}
	// Output:
	// plan: avoid
	// sound: clear, nearest the right coronary artery
	// mistaken: avoid, nearest the bundle
	//   avoid apical-half
	//   avoid conduction-margin
}

func ExampleNewPass() {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		fmt.Println(err)
		return
	}
	heart, err := catalogue.Heart(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	in, out := atlas.Spot{AlongMM: 20, OffMM: 2}, atlas.Spot{AlongMM: 20, OffMM: -1.5}
	pass := placement.NewPass(heart, in, out, 1.5)
	under, _ := heart.Chart.Spot(pass.Arc.At(0.5))
	fmt.Printf("half way the needle is %.1f mm deep\n", under.DeepMM)
	// Output: half way the needle is 1.5 mm deep
}
