package placement

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/atlas/growth"
)

func patternCalled(t testing.TB, name string) growth.Pattern {
	t.Helper()
	pattern, err := loadCatalogue(t).Growth().Pattern(name)
	if err != nil {
		t.Fatal(err)
	}
	return pattern
}

// half is what segments may give where no rim may lose more than half of itself.
func half(s growth.Segments) growth.Segments {
	return growth.Segments{Posterior: s.Posterior / 2, Anterior: s.Anterior / 2}
}

// Segments measured at operation, mild to severe (Teng 2022, doi 10.3389/fcvm.2022.889163, abstract): the pattern taken
// from this series must lead its severe mean back to its mild one. Lengths were printed to 0.01 mm, the stretches to 0.1 %
// of about 40 mm.
func TestSharedBringsSevereBackToMild(t *testing.T) {
	mild := growth.Segments{Posterior: 33.31, Anterior: 36.71, Septal: 38.11}
	severe := growth.Segments{Posterior: 38.98, Anterior: 41.63, Septal: 42.46}
	rows := loadCatalogue(t).Growth().OperativeSeries().Rows
	if rows[0].Means() != mild || rows[2].Means() != severe {
		t.Fatalf("the growth tables have other means: %+v", rows)
	}
	take, err := shared(patternCalled(t, "operative"), severe, severe.Posterior+severe.Anterior-mild.Posterior-mild.Anterior, half(severe))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "posterior", severe.Posterior-take.Posterior, mild.Posterior, 0.04)
	near(t, "anterior", severe.Anterior-take.Anterior, mild.Anterior, 0.04)
	if take.Septal != 0 {
		t.Errorf("%g mm of the septal segment", take.Septal)
	}
	// From severe part of the way, to the free wall of the moderate mean: both segments lie between severe and mild.
	moderate := rows[1].Means()
	take, err = shared(patternCalled(t, "operative"), severe, severe.Posterior+severe.Anterior-moderate.Posterior-moderate.Anterior, half(severe))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "posterior share", severe.Posterior/(severe.Posterior-take.Posterior)-1, 17.0/13.4*(severe.Anterior/(severe.Anterior-take.Anterior)-1), 1e-9)
	near(t, "posterior, moderate", severe.Posterior-take.Posterior, moderate.Posterior, 0.3)
	near(t, "anterior, moderate", severe.Anterior-take.Anterior, moderate.Anterior, 0.3)
}

// The root of l/(1+u) + m/(1+u/2) = l+m-take by the formula for quadratics, and even sharing by proportion.
func TestSharedClosedForms(t *testing.T) {
	now := growth.Segments{Posterior: 50, Anterior: 48, Septal: 33}
	const take = 14.0
	left := now.Posterior + now.Anterior - take
	// left·(1+u)(2+u) = posterior·(2+u) + 2·anterior·(1+u)
	a, b, c := left, 3*left-now.Posterior-2*now.Anterior, 2*left-2*now.Posterior-2*now.Anterior
	u := (-b + math.Sqrt(b*b-4*a*c)) / (2 * a)
	got, err := shared(patternCalled(t, "classical"), now, take, half(now))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "classical, posterior", got.Posterior, now.Posterior*u/(1+u), 1e-9)
	near(t, "classical, anterior", got.Anterior, now.Anterior*u/(2+u), 1e-9)

	got, err = shared(patternCalled(t, "uniform"), now, take, half(now))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "uniform, posterior", got.Posterior, take*50/98, 1e-9)
	near(t, "uniform, anterior", got.Anterior, take*48/98, 1e-9)
}

// A free wall that a pattern stretched is what it was once its gain is taken: the growth tables stretch, this shrinks.
func TestSharedUndoesStretching(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, pattern := range loadCatalogue(t).Growth().Patterns() {
		for range 200 {
			rest := growth.Segments{Posterior: 10 + 40*r.Float64(), Anterior: 10 + 40*r.Float64(), Septal: 10 + 40*r.Float64()}
			now := pattern.Stretched(rest, 0.9*r.Float64())
			got, err := shared(pattern, now, now.Posterior+now.Anterior-rest.Posterior-rest.Anterior, half(now))
			if err != nil {
				t.Fatal(err)
			}
			near(t, pattern.Name+", posterior", now.Posterior-got.Posterior, rest.Posterior, 1e-6)
			near(t, pattern.Name+", anterior", now.Anterior-got.Anterior, rest.Anterior, 1e-6)
		}
	}
}

func TestSharedProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	classical := patternCalled(t, "classical")
	for range 500 {
		now := growth.Segments{Posterior: 10 + 60*r.Float64(), Anterior: 10 + 60*r.Float64(), Septal: 30}
		most := growth.Segments{Posterior: now.Posterior * (0.2 + 0.3*r.Float64()), Anterior: now.Anterior * (0.2 + 0.3*r.Float64())}
		before := growth.Segments{}
		for i := range 11 {
			take := most.Sum() * float64(i) / 10
			got, err := shared(classical, now, take, most)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "together", got.Sum(), take, 1e-6)
			if got.Septal != 0 || got.Posterior < before.Posterior || got.Anterior < before.Anterior || got.Posterior > most.Posterior || got.Anterior > most.Anterior {
				t.Fatalf("%.1f of %+v, at most %+v: %+v after %+v", take, now, most, got, before)
			}
			if free := got.Posterior < most.Posterior-1e-9; free && got.Posterior/now.Posterior < got.Anterior/now.Anterior {
				t.Fatalf("%.1f of %+v: the anterior gives the larger share, %+v", take, now, got)
			}
			before = got
		}
	}
}

func TestSharedSpillsOverAndRefuses(t *testing.T) {
	now, most := growth.Segments{Posterior: 40, Anterior: 40, Septal: 30}, growth.Segments{Posterior: 6, Anterior: 10}
	got, err := shared(patternCalled(t, "classical"), now, 14, most)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "posterior, all it may", got.Posterior, 6, 1e-9)
	near(t, "anterior, the rest", got.Anterior, 8, 1e-6)
	_, err = shared(patternCalled(t, "classical"), now, 16.1, most)
	if err == nil || !strings.Contains(err.Error(), "16.1 mm are to be taken from the free wall, but it can give 16.0 mm: posterior 6.0, anterior 10.0") {
		t.Errorf("got %v", err)
	}
	if got, err := shared(patternCalled(t, "classical"), now, 0, most); err != nil || got != (growth.Segments{}) {
		t.Errorf("nothing: %+v, %v", got, err)
	}
}
