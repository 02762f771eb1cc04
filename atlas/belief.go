package atlas

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// belief is what is known of one heart's parameters before it is built: a joint normal distribution. A size varies by
// ratio, so it enters by its logarithm; angles and shares enter as they are.
//
// Parameters vary together through common factors (the size of the heart, its roundness, where a commissure lies),
// each parameter carrying a stated share of its spread on each factor and the rest on its own. What is measured
// narrows the belief, and moves all that varies with it (a linear Gaussian update, exact for this model).
type belief struct {
	list  []Parameter
	index map[string]int
	mean  *mat.VecDense
	cov   *mat.SymDense
	// sizeShare is how the logarithm of the rim's length moves with one standard deviation of the heart's size.
	sizeShare float64
}

func (b *belief) copy() *belief {
	other := *b
	other.mean, other.cov = mat.VecDenseCopyOf(b.mean), mat.NewSymDense(len(b.list), nil)
	other.cov.CopySym(b.cov)
	return &other
}

// observation is one measured parameter: its coordinate and the standard deviation of its error, on the same scale.
type observation struct {
	parameter int
	at, error float64
}

// byRatio tells whether a parameter enters by its logarithm.
func (p Parameter) byRatio() bool { return p.Unit == "mm" || p.Unit == "mm2" }

// logSpread is the standard deviation of the logarithm of a log-normal variable with the parameter's mean and spread.
func (p Parameter) logSpread() float64 {
	if p.Value <= 0 {
		return 0
	}
	return math.Sqrt(math.Log1p(p.Spread / p.Value * p.Spread / p.Value))
}

// coordinateSpread is the parameter's spread on the belief's scale.
func (p Parameter) coordinateSpread() float64 {
	if p.byRatio() {
		return p.logSpread()
	}
	return p.Spread
}

// coordinate carries a value onto the belief's scale.
func (p Parameter) coordinate(value float64) float64 {
	if p.byRatio() {
		return math.Log(value) // −Inf of nothing, which is never weighed
	}
	return value
}

// natural carries a normal distribution on the belief's scale back: mean and standard deviation of the value.
func (p Parameter) natural(mean, sd float64) (value, spread float64) {
	if !p.byRatio() {
		return mean, sd
	}
	value = math.Exp(mean + sd*sd/2)
	return value, value * math.Sqrt(math.Expm1(sd*sd))
}

// value carries a place on the belief's scale back.
func (p Parameter) value(at float64) float64 {
	if p.byRatio() {
		return math.Exp(at)
	}
	return at
}

// loading is how a parameter moves with the factors, and with no other parameter (its own part).
type loading struct {
	factors []float64
	own     float64
}

// belief sets up what is known of a heart in general. sizeBy scales the spread of the factor `size`.
func (c *Catalogue) belief(sizeBy float64) (*belief, error) {
	n := len(c.parameters)
	b := &belief{list: c.parameters, index: make(map[string]int, n), mean: mat.NewVecDense(n, nil), cov: mat.NewSymDense(n, nil)}
	rows := make([]loading, n)
	for i, p := range c.parameters {
		b.index[p.Name] = i
		rows[i] = c.loading(p)
	}
	if err := b.tieRim(rows, c); err != nil {
		return nil, err
	}
	for i := range rows {
		for f, factor := range c.factors {
			if factor.Name == "size" {
				rows[i].factors[f] *= sizeBy
			}
		}
	}
	for f, factor := range c.factors {
		if factor.Name == "size" {
			b.sizeShare = rows[b.index["rim-length"]].factors[f]
		}
	}
	for i, p := range c.parameters {
		for j := range i + 1 {
			b.cov.SetSym(i, j, dot(rows[i].factors, rows[j].factors))
		}
		b.cov.SetSym(i, i, dot(rows[i].factors, rows[i].factors)+rows[i].own*rows[i].own)
		at := p.Value
		if p.byRatio() { // so that the mean of the log-normal is the published mean
			at = math.Log(p.Value) - b.cov.At(i, i)/2
		}
		b.mean.SetVec(i, at)
	}
	return b, nil
}

func (c *Catalogue) loading(p Parameter) loading {
	row := loading{factors: make([]float64, len(c.factors)+len(ownRimFactors))}
	spread, rest := p.coordinateSpread(), 1.0
	for f, factor := range c.factors {
		share := p.With[factor.Name]
		row.factors[f] = share * spread
		rest -= share * share
	}
	row.own = spread * math.Sqrt(math.Max(rest, 0))
	return row
}

// The rim's own factors: what each segment keeps for itself must reach the rim's length, so it is a factor too.
var ownRimFactors = []string{"septal-segment", "anterior-segment", "posterior-segment"}

// chordOf names the chord of each segment, chordOwn how much of it, as a share, its segment leaves open: little for
// the septal one, which the shape is fitted to; more for the others, which come of the shape. Assumption.
var (
	chordOf  = map[string]string{"septal-segment": "septal-chord", "anterior-segment": "anterior-chord", "posterior-segment": "posterior-chord"}
	chordOwn = map[string]float64{"septal-chord": 0.01, "anterior-chord": 0.03, "posterior-chord": 0.03}
)

// tieRim makes the sizes of the whole rim follow from its segments and its roundness, as they do in a curve: the
// length is the sum of the segments; the axes go with the length, the long one by half the logarithm of their ratio
// up and the short one down; the area goes with the square of the length. A chord goes with its segment and keeps a
// little of its own.
func (b *belief) tieRim(rows []loading, c *Catalogue) error {
	length, ok := b.index["rim-length"]
	if !ok {
		return fmt.Errorf("atlas data: no rim-length")
	}
	total := 0.0
	for k, name := range ownRimFactors {
		i, ok := b.index[name]
		if !ok {
			return fmt.Errorf("atlas data: no %s", name)
		}
		rows[i].factors[len(c.factors)+k] = rows[i].own
		rows[i].own = 0
		total += c.parameters[i].Value
	}
	sum := loading{factors: make([]float64, len(rows[length].factors))}
	for _, name := range ownRimFactors {
		i := b.index[name]
		addScaled(sum.factors, rows[i].factors, c.parameters[i].Value/total)
	}
	rows[length] = sum
	aspect := c.aspect(len(sum.factors))
	for _, tied := range []struct {
		name           string
		length, aspect float64
	}{{"rim-long-axis", 1, 0.5}, {"rim-short-axis", 1, -0.5}, {"rim-area", 2, 0}} {
		i, ok := b.index[tied.name]
		if !ok {
			return fmt.Errorf("atlas data: no %s", tied.name)
		}
		row := loading{factors: make([]float64, len(sum.factors))}
		addScaled(row.factors, sum.factors, tied.length)
		addScaled(row.factors, aspect, tied.aspect)
		rows[i] = row
	}
	for _, segment := range ownRimFactors {
		name := chordOf[segment]
		chord, ok := b.index[name]
		if !ok {
			return fmt.Errorf("atlas data: no %s", name)
		}
		row := loading{factors: make([]float64, len(rows[chord].factors)), own: chordOwn[name]}
		// A chord varies less than its arc: a longer arc on the same rim bows out more.
		follows := math.Sqrt(max(math.Pow(c.parameters[chord].logSpread(), 2)-row.own*row.own, 0))
		addScaled(row.factors, rows[b.index[segment]].factors, follows/c.parameters[b.index[segment]].logSpread())
		rows[chord] = row
	}
	return nil
}

// aspect is how the logarithm of long over short axis moves with the factors.
func (c *Catalogue) aspect(n int) []float64 {
	row := make([]float64, n)
	for f, factor := range c.factors {
		row[f] = factor.Aspect
	}
	return row
}

func addScaled(to, from []float64, by float64) {
	for i := range to {
		to[i] += by * from[i]
	}
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// shift moves the whole belief to another body: every length by one ratio, areas by its square.
func (b *belief) shift(logRatio float64) {
	for i, p := range b.list {
		switch {
		case p.Fixed:
		case p.Unit == "mm":
			b.mean.SetVec(i, b.mean.AtVec(i)+logRatio)
		case p.Unit == "mm2":
			b.mean.SetVec(i, b.mean.AtVec(i)+2*logRatio)
		}
	}
}

// at gives a parameter's mean and standard deviation in its own unit.
func (b *belief) at(i int) (value, spread float64) {
	return b.list[i].natural(b.mean.AtVec(i), math.Sqrt(math.Max(b.cov.At(i, i), 0)))
}

// gain is how much each parameter moves with the surprise in each observation.
func (b *belief) gain(seen []observation) (*mat.Dense, error) {
	n, m := len(b.list), len(seen)
	across := mat.NewDense(n, m, nil)
	surprise := mat.NewSymDense(m, nil)
	for j, o := range seen {
		for i := range n {
			across.Set(i, j, b.cov.At(i, o.parameter))
		}
		for k := range j + 1 {
			surprise.SetSym(j, k, b.cov.At(o.parameter, seen[k].parameter))
		}
		surprise.SetSym(j, j, surprise.At(j, j)+o.error*o.error+leastVariance)
	}
	var solved mat.Dense
	if err := solved.Solve(surprise, across.T()); err != nil {
		var ill mat.Condition // two exact measurements of what moves as one: solved all the same
		if !asCondition(err, &ill) {
			return nil, fmt.Errorf("weigh the measurements: %w", err)
		}
	}
	return mat.DenseCopyOf(solved.T()), nil
}

// leastVariance keeps measurements given as exact from contradicting the rim's ties in the last digit: a thousandth of
// a size.
const leastVariance = 1e-6

func asCondition(err error, to *mat.Condition) bool {
	c, ok := err.(mat.Condition)
	*to = c
	return ok
}

// learn narrows the belief by what was measured.
func (b *belief) learn(seen []observation) error {
	if len(seen) == 0 {
		return nil
	}
	gain, err := b.gain(seen)
	if err != nil {
		return err
	}
	n := len(b.list)
	moved := mat.VecDenseCopyOf(b.mean)
	narrowed := mat.NewSymDense(n, nil)
	for i := range n {
		for j, o := range seen {
			moved.SetVec(i, moved.AtVec(i)+gain.At(i, j)*(o.at-b.mean.AtVec(o.parameter)))
		}
		for k := range i + 1 {
			left := b.cov.At(i, k)
			for j, o := range seen {
				left -= gain.At(i, j) * b.cov.At(o.parameter, k)
			}
			narrowed.SetSym(i, k, left)
		}
	}
	b.mean, b.cov = moved, narrowed
	return nil
}

// draw takes one heart's parameters from the belief, reproducibly from the source of chance.
func (b *belief) draw(root *mat.Dense, chance *rand.Rand) []float64 {
	n := len(b.list)
	z := make([]float64, n)
	for i := range z {
		z[i] = chance.NormFloat64()
	}
	values := make([]float64, n)
	for i, p := range b.list {
		at := b.mean.AtVec(i)
		for j := range z {
			at += root.At(i, j) * z[j]
		}
		values[i] = p.value(at)
	}
	return values
}

// root is a matrix whose product with its transpose is the covariance. Directions that are fully known have none.
func (b *belief) root() (*mat.Dense, error) {
	var eigen mat.EigenSym
	if !eigen.Factorize(b.cov, true) {
		return nil, fmt.Errorf("the spread of the parameters cannot be drawn from")
	}
	var root mat.Dense
	eigen.VectorsTo(&root)
	for j, value := range eigen.Values(nil) {
		scale := math.Sqrt(math.Max(value, 0))
		for i := range len(b.list) {
			root.Set(i, j, root.At(i, j)*scale)
		}
	}
	return &root, nil
}

// Conflict is two measurements that do not go together.
type conflict struct {
	one, other int // observations
	apart      float64
}

// conflictBeyond is how many combined standard deviations two measurements may lie apart.
const conflictBeyond = 3.0

// conflicts finds measurements that another measurement makes implausible: more than three standard deviations from
// what the other one leads one to expect, and more surprising than it is by itself. (A dilated rim surprises
// everybody; it does not contradict an ordinary ostium.)
func (b *belief) conflicts(seen []observation) (found []conflict) {
	for i, one := range seen {
		if math.IsInf(one.at, 0) {
			continue
		}
		alone := (one.at - b.mean.AtVec(one.parameter)) / math.Sqrt(b.cov.At(one.parameter, one.parameter)+one.error*one.error+leastVariance)
		for j, other := range seen[:i] {
			if math.IsInf(other.at, 0) {
				continue
			}
			cross := b.cov.At(one.parameter, other.parameter)
			ratio := cross / (b.cov.At(other.parameter, other.parameter) + other.error*other.error + leastVariance)
			expected := b.mean.AtVec(one.parameter) + ratio*(other.at-b.mean.AtVec(other.parameter))
			left := b.cov.At(one.parameter, one.parameter) - ratio*cross + one.error*one.error + leastVariance
			apart := math.Abs(one.at-expected) / math.Sqrt(math.Max(left, leastVariance))
			if apart > conflictBeyond && apart > math.Abs(alone)+0.5 {
				found = append(found, conflict{i, j, apart})
			}
		}
	}
	return found
}
