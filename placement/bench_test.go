package placement

import (
	"fmt"
	"testing"
)

// benchPlan has 14 bites from just past the anteroseptal commissure to the posteroseptal one, all clear.
func benchPlan() Plan {
	var bites []Bite
	for i := range 14 {
		bites = append(bites, going(Rim, 6+4.6*float64(i), 0, 3.4, 0, 1.1))
	}
	plan := codePlan(bites...)
	plan.Spacing = DefaultSpacing
	return plan
}

func BenchmarkLay(b *testing.B) {
	plan, catalogue := benchPlan(), loadCatalogue(b)
	heart := usualHeart(b)
	b.Run("plan", func(b *testing.B) {
		for b.Loop() {
			if _, problems := Lay(plan, catalogue); problems != nil {
				b.Fatal(problems)
			}
		}
	})
	b.Run("14 bites on a heart that is built", func(b *testing.B) {
		for b.Loop() {
			for _, bite := range plan.Bites {
				layBite(bite, heart, nil)
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	laid, rules := mustLay(b, benchPlan()), loadRules(b)
	if Check(laid, rules).Verdict != Clear {
		b.Fatal("the plan is not clear")
	}
	b.ReportAllocs()
	for b.Loop() {
		Check(laid, rules)
	}
}

func BenchmarkAdvice(b *testing.B) {
	for _, c := range []struct {
		name string
		bite Bite
	}{
		{"a small change", going(Wall, -4.5, 5.5, 3, 0, 1)},
		{"a large change", going(Rim, -9, 3, 5, 0, 1.5)},
	} {
		b.Run(c.name, func(b *testing.B) {
			laid := mustLay(b, codePlan(c.bite))
			e := newExaminer(laid, loadRules(b))
			bite := &laid.Bites[0]
			reasons := e.judge(bite, e.measure(bite.Passes))
			if worst(reasons) == Clear {
				b.Fatal("there is nothing to advise")
			}
			for b.Loop() {
				e.advise(bite, reasons)
			}
			b.Logf("%s", reasons[0].Instead)
		})
	}
}

// BenchmarkSpacing has up to 4,000 passes. The format allows ten times as many.
func BenchmarkSpacing(b *testing.B) {
	for _, n := range []int{4, 40} {
		b.Run(fmt.Sprintf("bites=%d", n), func(b *testing.B) {
			laid := mustLay(b, manyRuns(n))
			for b.Loop() {
				Check(laid, loadRules(b))
			}
		})
	}
}

// manyRuns are runs of 100 passes up the free wall and round the rim, over and over.
func manyRuns(n int) Plan {
	var bites []Bite
	for i := range n {
		b := going(Rim, float64(i%9), -2+0.05*float64(i), 3, 0, 1)
		b.Kind, b.Passes, b.PitchMM = Running, 100, 5.3
		bites = append(bites, b)
	}
	plan := codePlan(bites...)
	plan.Spacing = DefaultSpacing
	return plan
}
