package atlas

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
)

func generalBelief(t testing.TB) *belief {
	t.Helper()
	c, err := LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	b, err := c.belief(1)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Before anything is known, each parameter has its published mean and spread. The sizes of the whole rim follow from
// the segments and the roundness, so their spreads are what comes of that: they are held to 10 % against the published
// ones (rim length: 12 mm by 3-D echo, addetia-2019, and 12.7 mm in cadavers, antoniali-2006; between them 14 %).
func TestBeliefStartsFromPublishedFigures(t *testing.T) {
	b := generalBelief(t)
	for i, p := range b.list {
		value, spread := b.at(i)
		if math.Abs(value-p.Value) > 1e-9*math.Abs(p.Value)+1e-12 {
			t.Errorf("%s: mean %g, published %g", p.Name, value, p.Value)
		}
		tolerance, want := 1e-6, p.Spread
		switch p.Name {
		case "rim-length":
			tolerance, want = 0.10, 12 // addetia-2019
		case "rim-long-axis", "rim-short-axis", "rim-area":
			tolerance = 0.10
		}
		if math.Abs(spread-want) > tolerance*want {
			t.Errorf("%s: spread %.3f, published %.3f, apart by %.1f %%", p.Name, spread, want, 100*(spread/want-1))
		}
	}
}

// The update is held against conditioning by gonum's multivariate normal.
func TestLearnAgainstGonum(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 1))
	for range 40 {
		b := generalBelief(t)
		// Leave out what others determine, which an exact covariance cannot be inverted with.
		var keep []int
		for i, p := range b.list {
			switch p.Name {
			case "rim-length", "rim-long-axis", "rim-short-axis", "rim-area", "septal-chord":
			default:
				keep = append(keep, i)
			}
		}
		n := len(keep)
		mean, cov := make([]float64, n), make([]float64, n*n)
		for r, i := range keep {
			mean[r] = b.mean.AtVec(i)
			for s, j := range keep {
				cov[r*n+s] = b.cov.At(i, j)
			}
		}
		normal, ok := distmv.NewNormal(mean, mat.NewSymDense(n, cov), nil)
		if !ok {
			t.Fatal("the covariance is not positive definite")
		}
		at := []int{chance.IntN(n / 2), n/2 + chance.IntN(n/2)}
		var seen []observation
		values := make([]float64, len(at))
		for k, r := range at {
			sd := math.Sqrt(b.cov.At(keep[r], keep[r]))
			values[k] = mean[r] + sd*chance.NormFloat64()
			seen = append(seen, observation{parameter: keep[r], at: values[k]})
		}
		given, ok := normal.ConditionNormal(at, values, nil)
		if !ok {
			t.Fatal("gonum cannot condition")
		}
		if err := b.learn(seen); err != nil {
			t.Fatal(err)
		}
		want := given.Mean(nil)
		next := 0
		for r, i := range keep {
			if r == at[0] || r == at[1] {
				continue
			}
			// leastVariance, a thousandth of a size, is all that the two differ by.
			if sd := math.Sqrt(cov[r*n+r]); math.Abs(b.mean.AtVec(i)-want[next]) > 0.01*sd {
				t.Errorf("%s: %g, gonum %g (sd %g)", b.list[i].Name, b.mean.AtVec(i), want[next], sd)
			}
			next++
		}
	}
}

func TestLearningNarrowsAndMoves(t *testing.T) {
	b := generalBelief(t)
	before := b.copy()
	length := b.index["rim-length"]
	if err := b.learn([]observation{{parameter: length, at: math.Log(130), error: 0.02}}); err != nil {
		t.Fatal(err)
	}
	for i, p := range b.list {
		if b.cov.At(i, i) > before.cov.At(i, i)*(1+1e-12) {
			t.Errorf("%s became less certain by a measurement", p.Name)
		}
	}
	for _, name := range []string{"rim-long-axis", "rim-area", "posterior-segment", "triangle-hinge-side"} {
		i := b.index[name]
		was, _ := before.at(i)
		if is, _ := b.at(i); !(is > was) {
			t.Errorf("%s did not move with the rim: %.2f to %.2f", name, was, is)
		}
	}
	node := b.index["node-depth"] // it goes with nothing
	if b.mean.AtVec(node) != before.mean.AtVec(node) {
		t.Errorf("the node's depth moved with the rim")
	}
}

func TestConflictsNameBoth(t *testing.T) {
	b := generalBelief(t)
	see := func(name string, value float64) observation {
		i := b.index[name]
		return observation{parameter: i, at: b.list[i].coordinate(value)}
	}
	for _, c := range []struct {
		name string
		seen []observation
		want int
	}{
		{"a large rim with its axes", []observation{see("rim-length", 130), see("rim-long-axis", 43)}, 0},
		{"a large rim with a short axis", []observation{see("rim-length", 130), see("rim-long-axis", 30)}, 1},
		{"a very large rim beside an ordinary ostium", []observation{see("rim-length", 155), see("ostium-craniocaudal", 9.2)}, 0},
		{"a very large rim by itself", []observation{see("rim-length", 170)}, 0},
	} {
		if got := len(b.conflicts(c.seen)); got != c.want {
			t.Errorf("%s: %d conflicts, want %d", c.name, got, c.want)
		}
	}
}

func TestDrawsHaveTheBeliefsMoments(t *testing.T) {
	b := generalBelief(t)
	root, err := b.root()
	if err != nil {
		t.Fatal(err)
	}
	n := len(b.list)
	for i := range n {
		for j := range n {
			got := 0.0
			for k := range n {
				got += root.At(i, k) * root.At(j, k)
			}
			if math.Abs(got-b.cov.At(i, j)) > 1e-9*(1+math.Abs(b.cov.At(i, j))) {
				t.Fatalf("root times its transpose is %g at %s, %s; the covariance is %g", got, b.list[i].Name, b.list[j].Name, b.cov.At(i, j))
			}
		}
	}
}
