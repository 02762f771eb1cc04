package placement

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// bruteClearance minimises the solid's own point distance over the needle's arc: every place of a fine sampling, then
// golden sections about the best few. It shares nothing with the measurement but that point distance.
func bruteClearance(arc geom.Arc, s geom.Solid) float64 {
	const samples = 160
	value := func(t float64) float64 { return s.Distance(arc.At(min(max(t, 0), 1))) }
	var at [samples + 1]float64
	for i := range at {
		at[i] = value(float64(i) / samples)
	}
	best := math.Inf(1)
	for i := range at {
		best = min(best, at[i])
		if (i == 0 || at[i] <= at[i-1]) && (i == samples || at[i] <= at[i+1]) {
			best = min(best, golden(value, float64(i-1)/samples, float64(i+1)/samples))
		}
	}
	return best
}

func golden(value func(float64) float64, low, high float64) float64 {
	const share = 0.6180339887498949
	a, b := high-share*(high-low), low+share*(high-low)
	atA, atB := value(a), value(b)
	for range 30 {
		if atA < atB {
			high, b, atB = b, a, atA
			a = high - share*(high-low)
			atA = value(a)
		} else {
			low, a, atA = a, b, atB
			b = low + share*(high-low)
			atB = value(b)
		}
	}
	return min(atA, atB)
}

func TestClearanceIsTheSmallestDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	hearts, each := 25, 100
	if testing.Short() {
		hearts = 4
	}
	rules, inside, worstMM := loadRules(t), 0, 0.0
	for range hearts {
		heart := randomHeart(r, loadCatalogue(t))
		e := newExaminer(laidOn(heart), rules)
		for range each {
			pass := randomPass(r, heart)
			for i, c := range e.measure([]Pass{pass}) {
				brute := bruteClearance(pass.Arc, heart.Structures[i].Solid) - e.halfWidth()
				worstMM = max(worstMM, math.Abs(c.MM-brute))
				if !(math.Abs(c.MM-brute) <= 0.01) {
					t.Fatalf("%s: clearance %v, by brute force %v; %+v", c.Structure, c.MM, brute, pass)
				}
				near(t, "distance at the place named", heart.Structures[i].Solid.Distance(c.At)-e.halfWidth(), c.MM, 1e-9)
				if c.MM < -e.halfWidth() {
					inside++
				}
			}
		}
	}
	if inside < hearts*each/100 {
		t.Errorf("only %d of %d bites go into a structure: too few to tell", inside, hearts*each)
	}
	t.Logf("largest difference %.2g mm, %d times inside", worstMM, inside)
}

func TestClearanceIsNegativeInside(t *testing.T) {
	heart := usualHeart(t)
	e := newExaminer(laidOn(heart), loadRules(t))
	for i, s := range heart.Structures {
		centre := solidMiddle(s.Solid)
		through := Pass{Path: []geom.Vec{centre.Add(geom.Vec{Z: 0.1}), centre, centre.Sub(geom.Vec{Z: 0.1})}}
		if c := e.measure([]Pass{through})[i]; !(c.MM < -e.halfWidth()) || c.Structure != s.ID {
			t.Errorf("through the middle of the %s the clearance is %v", s.Label, c.MM)
		}
	}
}

// solidMiddle is a point well inside.
func solidMiddle(s geom.Solid) geom.Vec {
	if tube, ok := s.(geom.Tube); ok {
		return tube.Axis[len(tube.Axis)/2]
	}
	centre, _ := s.Bound()
	return centre
}

func TestClearanceShrinksByHalfTheNeedle(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	heart := usualHeart(t)
	rules := loadRules(t)
	for range 50 {
		laid := laidOn(heart, randomPass(r, heart))
		laid.Plan.Needle = Needle{NeedleMM: 0.6, ThreadMM: 0.35}
		before := Check(laid, rules).Bites[0].Clearances
		growth := 2 * r.Float64()
		laid.Plan.Needle = Needle{NeedleMM: 0.6 + growth, ThreadMM: 0.35}
		wide := Check(laid, rules).Bites[0].Clearances
		laid.Plan.Needle = Needle{NeedleMM: 0.35, ThreadMM: 0.6 + growth}
		thick := Check(laid, rules).Bites[0].Clearances
		for i := range before {
			near(t, "wider needle", before[i].MM-wide[i].MM, growth/2, 1e-12)
			near(t, "thicker thread counts as much", thick[i].MM, wide[i].MM, 0)
		}
	}
}

// grown is a solid with every radius larger by some mm.
func grown(s geom.Solid, mm float64) geom.Solid {
	if tube, ok := s.(geom.Tube); ok {
		tube.RadiusMM += mm
		return tube
	}
	e := s.(geom.Ellipsoid)
	for i := range e.Radii {
		e.Radii[i] += mm
	}
	return e
}

func TestClearanceShrinksAsASolidGrows(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	heart := usualHeart(t)
	for range 100 {
		pass, mm := randomPass(r, heart), 0.05+r.Float64()
		for _, s := range heart.Structures {
			before, _ := newObstacle(s).nearest(pass.Path, math.Inf(1))
			_, tube := s.Solid.(geom.Tube)
			s.Solid = grown(s.Solid, mm)
			after, _ := newObstacle(s).nearest(pass.Path, math.Inf(1))
			// A tube and a ball grow evenly; a flat ellipsoid at least a little and at most by as much.
			if tube || s.Kind == atlas.Aorta {
				near(t, s.ID, before-after, mm, 1e-9)
			} else if !(before-after > 0.01*mm && before-after <= mm+1e-9) {
				t.Errorf("%s grew by %v and came nearer by %v", s.ID, mm, before-after)
			}
		}
	}
}

// motion is a turn about an axis, then a mirror through the plane x = 0 if so wished, then a shift.
type motion struct {
	x, y, z geom.Vec
	shift   geom.Vec
}

func randomMotion(r *rand.Rand, mirror bool) motion {
	x := geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit()
	y := x.Cross(geom.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}).Unit()
	m := motion{x, y, x.Cross(y), geom.Vec{X: 50 * r.NormFloat64(), Y: 50 * r.NormFloat64()}}
	if mirror {
		m.x = m.x.Scale(-1)
	}
	return m
}

func (m motion) turn(v geom.Vec) geom.Vec {
	return m.x.Scale(v.X).Add(m.y.Scale(v.Y)).Add(m.z.Scale(v.Z))
}

func (m motion) move(v geom.Vec) geom.Vec { return m.turn(v).Add(m.shift) }

func (m motion) path(path []geom.Vec) (moved []geom.Vec) {
	for _, p := range path {
		moved = append(moved, m.move(p))
	}
	return moved
}

func (m motion) solid(s geom.Solid) geom.Solid {
	if tube, ok := s.(geom.Tube); ok {
		return geom.Tube{Axis: m.path(tube.Axis), RadiusMM: tube.RadiusMM}
	}
	e := s.(geom.Ellipsoid)
	e.Centre = m.move(e.Centre)
	for i, a := range e.Axes {
		e.Axes[i] = m.turn(a)
	}
	return e
}

func TestClearanceFollowsMotionAndMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	heart := usualHeart(t)
	for i := range 60 {
		m := randomMotion(r, i%2 == 1)
		pass, other := randomPass(r, heart), randomPass(r, heart)
		for _, s := range heart.Structures {
			before, at := newObstacle(s).nearest(pass.Path, math.Inf(1))
			s.Solid = m.solid(s.Solid)
			after, moved := newObstacle(s).nearest(m.path(pass.Path), math.Inf(1))
			near(t, s.ID, after, before, 1e-9)
			nearPoint(t, s.ID+", where", moved, m.move(at), 1e-3)
		}
		gap := pathGap(pass.Path, other.Path, math.Inf(1))
		near(t, "between two needles", pathGap(m.path(other.Path), m.path(pass.Path), math.Inf(1)), gap, 1e-9)
	}
}

func TestGapBetweenNeedlesIsTheSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	heart := usualHeart(t)
	for range 60 {
		a, b := randomPass(r, heart), randomPass(r, heart)
		brute := math.Inf(1)
		for i := 1; i < len(a.Path); i++ {
			brute = min(brute, bruteClearance(b.Arc, geom.Tube{Axis: a.Path[i-1 : i+1]}))
		}
		near(t, "gap", pathGap(a.Path, b.Path, math.Inf(1)), brute, 0.01)
	}
}

// Along the anterior segment the hinge leads away from the bundle, so a bite further on has more room.
func TestClearanceGrowsAwayFromTheBundle(t *testing.T) {
	heart := usualHeart(t)
	e := newExaminer(laidOn(heart), loadRules(t))
	before := math.Inf(-1)
	for along := 3.0; along <= 20; along += 1 {
		pass := mustLay(t, codePlan(going(Rim, along, 0.5, 3, 0, 1))).Bites[0].Passes
		for i, c := range e.measure(pass) {
			if heart.Structures[i].ID != "bundle" {
				continue
			}
			if c.MM <= before {
				t.Errorf("at %v mm the bundle is %v mm away, at the bite before %v", along, c.MM, before)
			}
			before = c.MM
		}
	}
}

// What is measured only as far as rules heed it agrees with the full measurement wherever it says anything.
func TestHeededAgreesWithMeasured(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	heart := usualHeart(t)
	e := newExaminer(laidOn(heart), loadRules(t))
	said := 0
	for range 300 {
		pass := randomPass(r, heart)
		full := e.measure([]Pass{pass})
		for i, c := range e.heeded(pass) {
			margin, beyond := e.keep(heart.Structures[i])
			if math.IsInf(c.MM, 1) {
				if full[i].MM < margin+beyond {
					t.Errorf("%s at %v mm goes unheeded", full[i].Structure, full[i].MM)
				}
				continue
			}
			said++
			near(t, "heeded", c.MM, full[i].MM, 1e-12)
		}
	}
	if said < 100 {
		t.Errorf("only %d heeded", said)
	}
}
