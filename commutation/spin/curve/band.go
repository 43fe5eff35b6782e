package curve

import (
	"errors"
	"math"
)

// Bandwidth is the number of sub-diagonals that cubic B-splines and their third
// differences need.
const Bandwidth = 3

// Band is a symmetric positive definite matrix of half-bandwidth 3, stored by
// rows: b[i][k] is the element (i, i-3+k), k = 0..3. After factor it holds the
// lower Cholesky factor in the same layout.
type Band [][Bandwidth + 1]float64

var ErrIndefinite = errors.New("normal matrix is not positive definite")

// Factor replaces b by its Cholesky factor. The cost grows linearly with its
// size, which a general banded routine would give as well; this one is small
// enough to stay in registers.
func (b Band) Factor() error {
	for i := range b {
		for k := max(0, Bandwidth-i); k <= Bandwidth; k++ {
			j := i - Bandwidth + k
			sum := b[i][k]
			// Column i-3+m is element m of row i and element m+(3-k) of
			// row j, which is i-3+k.
			for m := max(0, Bandwidth-i); m < k; m++ {
				sum -= b[i][m] * b[j][m+Bandwidth-k]
			}
			if k < Bandwidth {
				b[i][k] = sum / b[j][Bandwidth]
				continue
			}
			if !(sum > 0) || math.IsInf(sum, 0) {
				return ErrIndefinite
			}
			b[i][k] = math.Sqrt(sum)
		}
	}
	return nil
}

// Forward solves L y = x in place for a factored b.
func (b Band) Forward(x []float64) {
	for i := range b {
		s := x[i]
		for k := max(0, Bandwidth-i); k < Bandwidth; k++ {
			s -= b[i][k] * x[i-Bandwidth+k]
		}
		x[i] = s / b[i][Bandwidth]
	}
}

// Backward solves L' y = x in place for a factored b.
func (b Band) Backward(x []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		x[i] /= b[i][Bandwidth]
		for k := max(0, Bandwidth-i); k < Bandwidth; k++ {
			x[i-Bandwidth+k] -= b[i][k] * x[i]
		}
	}
}

// Add adds weight times the outer product of v with itself, whose first element
// belongs to row first.
func (b Band) Add(first int, v [4]float64, weight float64) {
	for j := range v {
		row := &b[first+j]
		x := weight * v[j]
		for k := 0; k <= j; k++ {
			row[Bandwidth-j+k] += x * v[k]
		}
	}
}

// ForwardRows solves L Y = X in place for a factored b; rows[i] is row i of X.
func (b Band) ForwardRows(rows [][]float64) {
	for i := range b {
		x := rows[i]
		for k := max(0, Bandwidth-i); k < Bandwidth; k++ {
			l, y := b[i][k], rows[i-Bandwidth+k]
			if l == 0 {
				continue
			}
			for j := range x {
				x[j] -= l * y[j]
			}
		}
		inv := 1 / b[i][Bandwidth]
		for j := range x {
			x[j] *= inv
		}
	}
}
