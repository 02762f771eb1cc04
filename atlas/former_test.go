package atlas

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"

	"fairlead/atlas/geom"
)

func former(t testing.TB, longMM, shortMM float64) *Former {
	t.Helper()
	f, err := NewFormer(longMM, shortMM)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var formers = [][2]float64{{36, 30}, {32, 24}, {40, 40}, {30, 3}, {1000, 100}}

// The length is 4aE(m) (standard), here by integrating the speed of the usual parameter with gonum's Gauss–Legendre
// rule, and a place is as far along as the integral says.
func TestFormerIsMeasuredAlongTheEllipse(t *testing.T) {
	for _, axes := range formers {
		f := former(t, axes[0], axes[1])
		a, b := axes[0]/2, axes[1]/2
		speed := func(t float64) float64 { return math.Hypot(a*math.Cos(t), b*math.Sin(t)) }
		near(t, "length", f.LengthMM(), quad.Fixed(speed, 0, 2*math.Pi, 2000, nil, 0), 1e-12)
		near(t, "length by gonum", f.LengthMM(), 4*a*mathext.CompleteE(1-b*b/(a*a)), 1e-14)
		for i := range 41 {
			turn := 2 * math.Pi * float64(i) / 41
			want := geom.Point{X: -a * math.Sin(turn), Y: -b * math.Cos(turn)}
			along := quad.Fixed(speed, 0, turn, 2000, nil, 0)
			for _, around := range []float64{-1, 0, 3} {
				if got := f.At(along + around*f.LengthMM()); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-10*a {
					t.Errorf("%v: at %.3f mm %+v, want %+v", axes, along, got, want)
				}
			}
		}
	}
}

// Position 0 is septal; clockwise, as the rim runs from the anteroseptal commissure, comes the head side.
func TestFormerLiesAsTheFrame(t *testing.T) {
	f := former(t, 36, 30)
	quarter := f.LengthMM() / 4
	for i, want := range []geom.Point{{Y: -15}, {X: -18}, {Y: 15}, {X: 18}} {
		if got := f.At(quarter * float64(i)); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-12 {
			t.Errorf("after %d quarters %+v, want %+v", i, got, want)
		}
	}
}

func TestFormerFacing(t *testing.T) {
	chance := rand.New(rand.NewPCG(11, 1))
	for _, axes := range formers {
		f := former(t, axes[0], axes[1])
		for range 200 {
			p := geom.Vec{X: chance.NormFloat64(), Y: chance.NormFloat64(), Z: chance.NormFloat64()}
			at := f.Facing(p)
			q := f.At(at)
			if !(at >= 0 && at < f.LengthMM()) || math.Abs(p.X*q.Y-p.Y*q.X) > 1e-12*math.Hypot(p.X, p.Y)*axes[0] || p.X*q.X+p.Y*q.Y <= 0 {
				t.Errorf("%v: %+v faces %.4f mm, which is %+v", axes, p, at, q)
			}
		}
		for _, p := range []geom.Vec{{}, {X: math.NaN()}, {Z: 1}} {
			if at := f.Facing(p); at != 0 {
				t.Errorf("%+v faces %g", p, at)
			}
		}
	}
	if p := former(t, 36, 30).At(math.NaN()); p.X == p.X {
		t.Errorf("no place is at %+v", p)
	}
}

func TestNewFormerRefuses(t *testing.T) {
	for _, axes := range [][2]float64{{30, 36}, {0, 0}, {-3, -4}, {math.NaN(), 30}, {36, math.NaN()}, {math.Inf(1), 30}, {36, 1}, {5000, 4000}} {
		if _, err := NewFormer(axes[0], axes[1]); err == nil {
			t.Errorf("a former of %v is made", axes)
		} else {
			says(t, err.Error(), "mm", "former")
		}
	}
}
