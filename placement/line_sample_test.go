package placement

import (
	"math"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"fairlead/atlas"
)

func sampleOf(t *testing.T, sample string) (*Laid, *SampleReport) {
	t.Helper()
	laid := mustLay(t, mustRead(t, lineText("  ostium: atrial\n  takes-in: nodal-triangle\n  sample: "+sample+"\n", roundPlaces(1.5)...)))
	return laid, Check(laid, loadRules(t)).Line.Sample
}

// The same seed gives the same sample on one core and on many; another gives another.
func TestSampleDoesNotDependOnCores(t *testing.T) {
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	_, one := sampleOf(t, "{ hearts: 16, seed: 5 }")
	runtime.GOMAXPROCS(4)
	_, many := sampleOf(t, "{ hearts: 16, seed: 5 }")
	if !reflect.DeepEqual(one, many) {
		t.Errorf("\none core  %+v\nfour cores %+v", one, many)
	}
	if _, other := sampleOf(t, "{ hearts: 16, seed: 6 }"); reflect.DeepEqual(one.Distances, other.Distances) {
		t.Error("another seed gives the same hearts")
	}
}

// A sample's figures are those of its hearts, one by one: the line laid on each by a plan of its own, measured from the
// surface and the depth at every tenth of a millimetre or so.
func TestSampleAgreesWithItsHearts(t *testing.T) {
	const hearts = 6
	laid, report := sampleOf(t, "{ hearts: 6, seed: 2 }")
	population, err := loadCatalogue(t).Population(atlas.Patient{}, 2)
	if err != nil {
		t.Fatal(err)
	}
	var axis []float64
	wrong := 0
	for i := range hearts {
		heart, err := population.Heart(i)
		if err != nil {
			t.Fatal(err)
		}
		c, _ := laid.Plan.Line.courseOn(heart)
		least, out := math.Inf(1), false
		for _, s := range heart.Structures {
			if s.Kind != atlas.Conduction {
				continue
			}
			for _, l := range c.legs {
				for j := range 301 {
					spot := l.at(float64(j) / 300)
					if spot.OffMM < -onHingeMM {
						continue
					}
					for _, deep := range []float64{0, DefaultLineDepthMM} {
						spot.DeepMM = deep
						least = min(least, s.Solid.Distance(heart.Chart.Frame(spot))-DefaultNeedle.halfWidth())
					}
				}
			}
			if takenIn(s) && c.sideOfSolid(s).AtrialMM > 0 {
				out = true
			}
		}
		axis = append(axis, least)
		count(&wrong, out)
	}
	if report.Hearts != hearts || report.Unsewable > 0 {
		t.Fatalf("%d hearts, %d unsewable", report.Hearts, report.Unsewable)
	}
	under := 0
	for _, mm := range axis {
		count(&under, mm < DefaultMargins.ConductionMM)
	}
	got := report.Distances[axisKind]
	near(t, "least", got.LeastMM, slices.Min(axis), 0.05)
	if got.Under != under || report.AxisNear != under || report.AxisWrong != wrong {
		t.Errorf("%d under, %d near, %d wrong; want %d, %d and %d", got.Under, report.AxisNear, report.AxisWrong, under, under, wrong)
	}
}

// The fifth percentile by its definition: the smallest value that at least a twentieth of all do not exceed.
func TestDistanceOver(t *testing.T) {
	for _, c := range []struct {
		n             int
		fifth, median float64
	}{{1, 1, 1}, {19, 1, 10}, {20, 1, 10}, {21, 2, 11}, {100, 5, 50}, {101, 6, 51}} {
		values := make([]float64, c.n)
		for i := range values {
			values[i] = float64((i*7)%c.n + 1)
		}
		if c.n%7 == 0 {
			for i := range values {
				values[i] = float64(c.n - i)
			}
		}
		d := distanceOver(values, "conduction", 3)
		if d.LeastMM != 1 || d.FifthMM != c.fifth || d.MedianMM != c.median || d.Under != min(2, c.n) || d.Hearts != c.n {
			t.Errorf("of 1 to %d: %+v, want fifth %g, median %g", c.n, d, c.fifth, c.median)
		}
	}
}

// Where the ostium lies close to the axis there is no room for a line between, and the report says so.
func TestLittleRoom(t *testing.T) {
	for lip, want := range map[string]bool{"8.6 mm": false, "4 mm": true} {
		plan := mustRead(t, lineText("  ostium: atrial\n  takes-in: nodal-triangle\n"+noSample, roundPlaces(1)...)+"heart: { ostium-to-hinge: "+lip+" }\n")
		line := mustCheck(t, plan).Line
		if little := line.Room.MM < line.Room.WantedMM; little != want {
			t.Errorf("ostium %s off the hinge: room %.1f of %.1f mm", lip, line.Room.MM, line.Room.WantedMM)
		}
	}
}
