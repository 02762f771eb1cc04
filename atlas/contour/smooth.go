package contour

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"fairlead/atlas/geom"
)

const (
	free   = 3 // the constant and the first harmonic bear no price
	priced = 2 * (Harmonics - 1)
	terms  = free + priced
)

// The strengths of smoothing that are tried, per point: from so weak that every point is met if there are no more points
// than terms, to so strong that an ellipse is left. Steps of a quarter decade are finer than noise lets one tell, and a
// fixed list keeps rounding out of the choice: a sought minimum would move with the last digits of the input.
const (
	weakest   = 1e-10
	strengths = 49
	perDecade = 4
)

// smoothing is a fit of a loop to points at given parameters.
type smoothing struct {
	loop      loop
	strength  float64 // the price of roughness, per point
	effective float64 // parameters per coordinate, the trace of the matrix that maps points to their fits
	r         blas64.General
}

// smooth fits a loop to the points, at[i] belonging to u[i], with the price of roughness that cross-validation chooses.
func smooth(at []geom.Vec, u []float64) (smoothing, bool) {
	r := triangle(at, u)
	var svd mat.SVD
	if !svd.Factorize(block(r, free, free, priced, priced), mat.SVDThin) {
		return smoothing{}, false
	}
	var left, right, turned mat.Dense
	svd.UTo(&left)
	svd.VTo(&right)
	turned.Mul(left.T(), block(r, free, terms, priced, 3))
	values := svd.Values(nil)
	s := choose(values, &turned, outside(r), len(at))
	s.r = r
	s.loop = loopOf(r, &right, shrunk(values, &turned, s.strength*float64(len(at))))
	return s, true
}

// triangle is the upper triangle R of the design's QR decomposition, the points' coordinates carried along as its last
// three columns. The columns are the terms, those with a price divided by it, so that every one of them then costs the
// same. Rows of zeros, which no sum of squares notices, make it as tall as wide when the points are few.
func triangle(at []geom.Vec, u []float64) blas64.General {
	rows, columns := max(len(at), terms+3), terms+3
	a := blas64.General{Rows: rows, Cols: columns, Stride: columns, Data: make([]float64, rows*columns)}
	for i, p := range at {
		row := a.Data[i*columns : (i+1)*columns]
		fillTerms(row, u[i])
		row[terms], row[terms+1], row[terms+2] = p.X, p.Y, p.Z
	}
	reduce(a)
	return a
}

// reduce leaves the triangle of a matrix's QR decomposition in its upper part.
func reduce(a blas64.General) {
	tau := make([]float64, min(a.Rows, a.Cols))
	size := []float64{0}
	lapack64.Geqrf(a, tau, size, -1)
	work := make([]float64, int(size[0]))
	lapack64.Geqrf(a, tau, work, len(work))
}

// fillTerms writes the terms at u: 1, cos u, sin u, and the higher harmonics over their prices.
func fillTerms(row []float64, u float64) {
	sin1, cos1 := math.Sincos(u)
	sin, cos := sin1, cos1
	row[0], row[1], row[2] = 1, cos, sin
	for k := 2; k <= Harmonics; k++ {
		sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
		w := 1 / price(k)
		row[2*k-1], row[2*k] = w*cos, w*sin
	}
}

// price is the root of harmonic k's price: the size of f‴ + f′, which no ellipse has.
func price(k int) float64 { return float64(k * (k*k - 1)) }

func block(a blas64.General, row, column, rows, columns int) *mat.Dense {
	m := mat.NewDense(rows, columns, nil)
	for i := range rows {
		for j := range columns {
			if row+i <= column+j { // below the diagonal lie the reflectors, not the triangle
				m.Set(i, j, a.Data[(row+i)*a.Stride+column+j])
			}
		}
	}
	return m
}

// outside is the part of the points' sum of squares that no choice of terms can reach.
func outside(r blas64.General) float64 {
	rest := block(r, terms, terms, 3, 3)
	return mat.Dot(flat(rest), flat(rest))
}

func flat(m *mat.Dense) *mat.VecDense {
	raw := m.RawMatrix()
	return mat.NewVecDense(len(raw.Data), raw.Data)
}

// choose takes the strength under which the points are most likely, if the priced coefficients were drawn from normal
// distributions with variances inverse to their prices, the free ones from anywhere, and the noise of whatever size fits
// best: the least of log Σ (1 - kept) energy - Σ log(1 - kept) / (n - free).
func choose(values []float64, turned *mat.Dense, rest float64, n int) smoothing {
	energy := make([]float64, len(values))
	for j := range energy {
		for c := range 3 {
			energy[j] += turned.At(j, c) * turned.At(j, c)
		}
	}
	var best smoothing
	least := math.Inf(1)
	for i := range strengths {
		strength := weakest * math.Pow(10, float64(i)/perDecade)
		effective, squares, surprise := float64(free), rest, 0.0
		for j, v := range values {
			lost := strength * float64(n) / (v*v + strength*float64(n))
			effective += 1 - lost
			squares += lost * energy[j]
			surprise -= math.Log(lost)
		}
		if score := math.Log(squares) + surprise/float64(n-free); score < least {
			least, best = score, smoothing{strength: strength, effective: effective}
		}
	}
	return best
}

// shrunk are the priced coefficients, in the directions of the singular vectors.
func shrunk(values []float64, turned *mat.Dense, price float64) *mat.Dense {
	var d mat.Dense
	d.Apply(func(j, _ int, v float64) float64 { return v * values[j] / (values[j]*values[j] + price) }, turned)
	return &d
}

// loopOf puts the coefficients together: the priced ones turned back, the free ones by back substitution.
func loopOf(r blas64.General, right, directions *mat.Dense) loop {
	var high mat.Dense
	high.Mul(right, directions)
	low := block(r, 0, terms, free, 3)
	var share mat.Dense
	share.Mul(block(r, 0, free, free, priced), &high)
	low.Sub(low, &share)
	blas64.Trsm(blas.Left, blas.NoTrans, 1, upper(r, free), low.RawMatrix())
	vec := func(m *mat.Dense, row int, k float64) geom.Vec {
		return geom.Vec{X: k * m.At(row, 0), Y: k * m.At(row, 1), Z: k * m.At(row, 2)}
	}
	l := loop{centre: vec(low, 0, 1)}
	l.cos[0], l.sin[0] = vec(low, 1, 1), vec(low, 2, 1)
	for k := 2; k <= Harmonics; k++ {
		l.cos[k-1], l.sin[k-1] = vec(&high, 2*k-4, 1/price(k)), vec(&high, 2*k-3, 1/price(k))
	}
	return l
}

func upper(a blas64.General, n int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: a.Stride, Data: a.Data}
}

// lever makes the function that says how far, in units of the noise's variance, the curve at u is unsure. At the foot of
// a point that was fitted it lies between 0 and 1: how much the point determines its own fit.
func (s *smoothing) lever(n int) func(u float64) float64 {
	stack := blas64.General{Rows: terms + priced, Cols: terms, Stride: terms, Data: make([]float64, (terms+priced)*terms)}
	for i := range terms {
		copy(stack.Data[i*terms+i:(i+1)*terms], s.r.Data[i*s.r.Stride+i:i*s.r.Stride+terms])
	}
	root := math.Sqrt(s.strength * float64(n))
	for j := range priced {
		stack.Data[(terms+j)*terms+free+j] = root
	}
	reduce(stack)
	row := make([]float64, terms)
	v := blas64.Vector{N: terms, Inc: 1, Data: row}
	return func(u float64) float64 {
		fillTerms(row, u)
		blas64.Trsv(blas.Trans, upper(stack, terms), v)
		return blas64.Dot(v, v)
	}
}
