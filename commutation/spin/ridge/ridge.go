// Package ridge solves small linear least-squares problems one equation at a time.
package ridge

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Ridge collects the normal equations of a linear least-squares problem. The zero value
// has none.
type Ridge struct {
	Count    int           // of equations
	Normal   *mat.SymDense // what is below its diagonal means nothing; nil without equations
	Products []float64     // of the regressors with the right-hand sides, summed
	bb       float64       // squares of those, summed
	first    []float64     // the regressors, summed
}

// Add takes one equation row . x = rhs.
func (r *Ridge) Add(row []float64, rhs float64) {
	n := len(row)
	if r.Normal == nil {
		r.Normal, r.Products, r.first = mat.NewSymDense(n, nil), make([]float64, n), make([]float64, n)
	}
	r.Count++
	r.bb += rhs * rhs
	raw := r.Normal.RawSymmetric()
	for i, a := range row {
		r.Products[i] += a * rhs
		r.first[i] += a
		for j := i; j < n; j++ {
			raw.Data[i*raw.Stride+j] += a * row[j]
		}
	}
}

// Mean returns the mean of regressor i.
func (r *Ridge) Mean(i int) float64 { return r.first[i] / float64(r.Count) }

// Solve returns x; nil where the equations do not determine it. Each diagonal
// element is raised by a share of itself, so that the unit of no unknown
// matters, and an unknown that no equation holds stays 0.
func (r *Ridge) Solve() []float64 {
	const raise = 1e-12
	n := len(r.Products)
	m := mat.NewSymDense(n, nil)
	m.CopySym(r.Normal)
	for i := range n {
		d := m.At(i, i) * (1 + raise)
		if d == 0 {
			d = 1
		}
		m.SetSym(i, i, d)
	}
	var chol mat.Cholesky
	if !chol.Factorize(m) {
		return nil
	}
	x := mat.NewVecDense(n, nil)
	if chol.SolveVecTo(x, mat.NewVecDense(n, r.Products)) != nil {
		return nil
	}
	return x.RawVector().Data
}

// Residual returns the mean squared residual of x; +Inf for a nil x.
func (r *Ridge) Residual(x []float64) float64 {
	if x == nil {
		return math.Inf(1)
	}
	sum := r.bb
	for i, a := range x {
		sum -= a * r.Products[i]
	}
	return max(sum, 0) / float64(r.Count)
}
