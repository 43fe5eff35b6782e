package winding

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// whitener turns phasors into numbers whose errors are independent and have a
// standard deviation of 1.
type whitener struct {
	// by has one row per number and the six parts of the phasors in columns.
	by       *mat.Dense
	measured []float64
	// density is the largest probability density of the numbers before they are
	// whitened, up to a factor that they all have in common.
	density float64
}

// errCovariance is returned where a covariance cannot be one.
var errCovariance = errors.New("the covariance is not positive definite")

// newWhitener adds the layout's limits to the errors of the phasors. Floating phasors
// are reduced to the differences between leads, by rows of reduction: what they
// have in common drops out.
func newWhitener(m Measured, l Layout, eccentricSD float64) (*whitener, error) {
	size := m.scale()
	if !(size > 0) || math.IsInf(size, 0) {
		return nil, ErrNothing
	}
	limits := l.limits(l.unit(m), eccentricSD)
	cov := mat.NewSymDense(6, nil)
	for i := range 6 {
		for j := i; j < 6; j++ {
			cov.SetSym(i, j, m.Cov[i][j]+limits[i][j])
		}
	}
	d := reduction(m.Floating)
	var half, reduced mat.Dense
	half.Mul(d, cov)
	reduced.Mul(&half, d.T())
	lower, err := inverseRoot(&reduced)
	if err != nil {
		return nil, err
	}
	w := &whitener{by: new(mat.Dense), density: mat.Det(lower)}
	w.by.Mul(lower, d)
	w.measured = w.apply(m.EMF)
	return w, nil
}

// ways are the whiteners of phasors as measured and of those the other way round.
type ways [2]*whitener

func newWays(m Measured, l Layout, eccentricSD float64) (w ways, err error) {
	for i, seen := range []Measured{m, m.back()} {
		if w[i], err = newWhitener(seen, l, eccentricSD); err != nil {
			return w, err
		}
	}
	return w, nil
}

// distance returns the least square distance of the measured phasors from c e, either
// way round, over all complex c.
func (w ways) distance(e [3]complex128) float64 {
	_, far := w.nearer(e)
	return far
}

// nearer returns the whitener of the way round that is nearer to e, and the distance.
func (w ways) nearer(e [3]complex128) (*whitener, float64) {
	front, back := w[0].residual(e), w[1].residual(e)
	if back < front {
		return w[1], back
	}
	return w[0], front
}

// reduction returns the matrix that takes the six parts to those that count.
func reduction(floating bool) *mat.Dense {
	if !floating {
		d := mat.NewDense(6, 6, nil)
		for i := range 6 {
			d.Set(i, i, 1)
		}
		return d
	}
	d := mat.NewDense(4, 6, nil)
	for i := range 4 {
		d.Set(i, i, 1)
		d.Set(i, i+2, -1)
	}
	return d
}

// inverseRoot returns the inverse of the lower triangle L of a = L transpose(L).
func inverseRoot(a *mat.Dense) (*mat.TriDense, error) {
	n, _ := a.Dims()
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sym.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(sym) {
		return nil, errCovariance
	}
	var lower, inverse mat.TriDense
	chol.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return nil, errCovariance
	}
	return &inverse, nil
}

// freedom returns the degrees of freedom of a distance: the numbers without the
// two for strength and time.
func (w *whitener) freedom() float64 { return float64(len(w.measured) - 2) }

func (w *whitener) apply(e [3]complex128) []float64 {
	rows, _ := w.by.Dims()
	out := make([]float64, rows)
	for i := range out {
		row := w.by.RawRowView(i)
		for j, z := range e {
			out[i] += row[2*j]*real(z) + row[2*j+1]*imag(z)
		}
	}
	return out
}

// residual is the distance from c e over all complex c: least squares with two
// unknowns, the parts of c, whose columns are e and i e.
func (w *whitener) residual(e [3]complex128) float64 {
	x := w.apply(e)
	y := w.apply([3]complex128{e[0] * 1i, e[1] * 1i, e[2] * 1i})
	xx, xy, yy := dot(x, x), dot(x, y), dot(y, y)
	xm, ym := dot(x, w.measured), dot(y, w.measured)
	det := xx*yy - xy*xy
	if det <= exact*xx*yy {
		return dot(w.measured, w.measured) // e is zero: nothing of the measured is explained
	}
	a, b := (xm*yy-ym*xy)/det, (ym*xx-xm*xy)/det
	sum := 0.0
	for i, m := range w.measured {
		r := m - a*x[i] - b*y[i]
		sum += r * r
	}
	return sum
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
