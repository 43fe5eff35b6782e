package spin

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// ridge collects the normal equations of a small linear least-squares problem.
type ridge struct {
	count int
	ata   *mat.SymDense
	atb   []float64
	bb    float64
	first []float64 // sums of the regressors
}

// add takes one equation row . x = rhs.
func (r *ridge) add(row []float64, rhs float64) {
	n := len(row)
	if r.ata == nil {
		r.ata, r.atb, r.first = mat.NewSymDense(n, nil), make([]float64, n), make([]float64, n)
	}
	r.count++
	r.bb += rhs * rhs
	raw := r.ata.RawSymmetric()
	for i, a := range row {
		r.atb[i] += a * rhs
		r.first[i] += a
		for j := i; j < n; j++ {
			raw.Data[i*raw.Stride+j] += a * row[j]
		}
	}
}

// mean returns the mean of regressor i.
func (r *ridge) mean(i int) float64 { return r.first[i] / float64(r.count) }

// solve returns x; nil where the equations do not determine it. Each diagonal
// element is raised by a share of itself, so that the unit of no unknown
// matters, and an unknown that no equation holds stays 0.
func (r *ridge) solve() []float64 {
	const raise = 1e-12
	n := len(r.atb)
	m := mat.NewSymDense(n, nil)
	m.CopySym(r.ata)
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
	if chol.SolveVecTo(x, mat.NewVecDense(n, r.atb)) != nil {
		return nil
	}
	return x.RawVector().Data
}

// residual returns the mean squared residual of x; +Inf for a nil x.
func (r *ridge) residual(x []float64) float64 {
	if x == nil {
		return math.Inf(1)
	}
	sum := r.bb
	for i, a := range x {
		sum -= a * r.atb[i]
	}
	return max(sum, 0) / float64(r.count)
}
