package placement

import "testing"

// A check of a plan with a line is to take well under a second.
func BenchmarkCheckLine(b *testing.B) {
	plan := mustRead(b, string(readFile(b, "../examples/around-the-triangle.yaml")))
	catalogue, rules := loadCatalogue(b), loadRules(b)
	for _, hearts := range []int{0, sampledHearts} {
		b.Run(map[bool]string{true: "alone", false: "with its sample"}[hearts == 0], func(b *testing.B) {
			line := *plan.Line
			line.Sample.Hearts = hearts
			plan.Line = &line
			for b.Loop() {
				laid, problems := Lay(plan, catalogue)
				if problems != nil {
					b.Fatal(problems)
				}
				Check(laid, rules)
			}
		})
	}
}
