package contour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"fairlead/atlas/geom"
)

// A truth is a rim known by formula, with a parameter that is neither its length nor its angle, so that it is not a
// finite sum of the fit's harmonics.
type truth struct {
	name string
	at   func(v float64) geom.Vec // v goes once round, clockwise in the atrial view, in 2π
}

func signedPower(x, p float64) float64 { return math.Copysign(math.Pow(math.Abs(x), p), x) }

// truths are invented rims. Clockwise is towards smaller angles.
func truths() []truth {
	return []truth{
		{"ellipse with a saddle", func(v float64) geom.Vec {
			return geom.Vec{X: 18.5 * math.Cos(v), Y: -15 * math.Sin(v), Z: 2.5 * math.Cos(2*v+0.4)}
		}},
		{"superellipse with a saddle", func(v float64) geom.Vec {
			return geom.Vec{X: 18 * signedPower(math.Cos(v), 2/2.3), Y: -15 * signedPower(math.Sin(v), 2/2.3), Z: 2.5 * math.Cos(2*v+0.4)}
		}},
		{"three lobes", func(v float64) geom.Vec {
			r := 16.5 * (1 + 0.06*math.Cos(3*v+1) + 0.05*math.Sin(2*v))
			return geom.Vec{X: r * math.Cos(v), Y: -r * math.Sin(v), Z: 2*math.Sin(3*v) + 1.5*math.Cos(2*v)}
		}},
	}
}

// fineness is how many chords measure a truth: a chord h of 0.018 mm on a bend R of 8 mm is (h/R)²/24 = 2e-7 of it short.
const fineness = 6000

func (t truth) fine() []geom.Vec {
	at := make([]geom.Vec, fineness)
	for i := range at {
		at[i] = t.at(2 * math.Pi * float64(i) / fineness)
	}
	return at
}

func chords(at []geom.Vec) float64 {
	var sum float64
	for i, p := range at {
		sum += p.Distance(at[(i+1)%len(at)])
	}
	return sum
}

// draw takes n points of the truth, unevenly spaced by up to jitter of their spacing, with noise on each coordinate, and
// marks the three nearest the usual shares of a rim. exact holds the points without noise.
func (t truth) draw(n int, noise, jitter float64, r *rand.Rand) (p Points, exact []geom.Vec) {
	fine := t.fine()
	from := make([]float64, fineness+1)
	for i := range fine {
		from[i+1] = from[i] + fine[i].Distance(fine[(i+1)%fineness])
	}
	length := from[fineness]
	start := r.Float64()
	p.File = "drawn.csv"
	best := [3]float64{1, 1, 1}
	for i := range n {
		share := (float64(i) + start + jitter*(r.Float64()-0.5)) / float64(n)
		share = math.Mod(share+1, 1)
		k := min(max(0, sort.SearchFloat64s(from, share*length)-1), fineness-1)
		f := (share*length - from[k]) / (from[k+1] - from[k])
		e := fine[k].Lerp(fine[(k+1)%fineness], f)
		exact = append(exact, e)
		p.At = append(p.At, e.Add(geom.Vec{X: noise * r.NormFloat64(), Y: noise * r.NormFloat64(), Z: noise * r.NormFloat64()}))
		p.Line = append(p.Line, i+2)
		for m, mark := range []float64{0.45, 0.83, 1.16} {
			off := math.Abs(math.Mod(share-mark+2.5, 1) - 0.5)
			if off < best[m] {
				best[m], p.Landmark[m] = off, i
			}
		}
	}
	return p, exact
}

func seeded(a ...any) *rand.Rand {
	var h uint64 = 14695981039346656037
	for _, b := range []byte(fmt.Sprint(a...)) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return rand.New(rand.NewPCG(h, 7))
}
