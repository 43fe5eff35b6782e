package spin

import (
	"errors"
	"math"
)

// bandwidth is the number of sub-diagonals that cubic B-splines and their third
// differences need.
const bandwidth = 3

// band is a symmetric positive definite matrix of half-bandwidth 3, stored by
// rows: b[i][k] is the element (i, i-3+k), k = 0..3. After factor it holds the
// lower Cholesky factor in the same layout.
type band [][bandwidth + 1]float64

var errIndefinite = errors.New("normal matrix is not positive definite")

// factor replaces b by its Cholesky factor. The cost grows linearly with its
// size, which a general banded routine would give as well; this one is small
// enough to stay in registers.
func (b band) factor() error {
	for i := range b {
		for k := max(0, bandwidth-i); k <= bandwidth; k++ {
			j := i - bandwidth + k
			sum := b[i][k]
			// Column i-3+m is element m of row i and element m+(3-k) of
			// row j, which is i-3+k.
			for m := max(0, bandwidth-i); m < k; m++ {
				sum -= b[i][m] * b[j][m+bandwidth-k]
			}
			if k < bandwidth {
				b[i][k] = sum / b[j][bandwidth]
				continue
			}
			if !(sum > 0) || math.IsInf(sum, 0) {
				return errIndefinite
			}
			b[i][k] = math.Sqrt(sum)
		}
	}
	return nil
}

// forward solves L y = x in place for a factored b.
func (b band) forward(x []float64) {
	for i := range b {
		s := x[i]
		for k := max(0, bandwidth-i); k < bandwidth; k++ {
			s -= b[i][k] * x[i-bandwidth+k]
		}
		x[i] = s / b[i][bandwidth]
	}
}

// backward solves L' y = x in place for a factored b.
func (b band) backward(x []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		x[i] /= b[i][bandwidth]
		for k := max(0, bandwidth-i); k < bandwidth; k++ {
			x[i-bandwidth+k] -= b[i][k] * x[i]
		}
	}
}

// add adds weight times the outer product of v with itself, whose first element
// belongs to row first.
func (b band) add(first int, v [4]float64, weight float64) {
	for j := range v {
		row := &b[first+j]
		x := weight * v[j]
		for k := 0; k <= j; k++ {
			row[bandwidth-j+k] += x * v[k]
		}
	}
}

// forwardRows solves L Y = X in place for a factored b; rows[i] is row i of X.
func (b band) forwardRows(rows [][]float64) {
	for i := range b {
		x := rows[i]
		for k := max(0, bandwidth-i); k < bandwidth; k++ {
			l, y := b[i][k], rows[i-bandwidth+k]
			if l == 0 {
				continue
			}
			for j := range x {
				x[j] -= l * y[j]
			}
		}
		inv := 1 / b[i][bandwidth]
		for j := range x {
			x[j] *= inv
		}
	}
}
