package emf

import (
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"handspin/commutation/spin/curve"
)

// normal is one linearisation of the problem.
type normal struct {
	band   curve.Band
	border [][]float64 // by coefficient: derivative products with the waves
	gBand  []float64
	waveSums
}

// waveSums are the waves' own part of the normal matrix and of the gradient.
type waveSums struct {
	waves *mat.SymDense // what is below its diagonal means nothing
	gWave []float64
}

func newWaveSums(size int) waveSums {
	return waveSums{mat.NewSymDense(size, nil), make([]float64, size)}
}

func (s *waveSums) clear() {
	clear(s.waves.RawSymmetric().Data)
	clear(s.gWave)
}

// newNormal returns the equations of so many coefficients and unknowns of waves.
func newNormal(coefs, waves int) *normal {
	n := &normal{band: make(curve.Band, coefs), border: make([][]float64, coefs),
		gBand: make([]float64, coefs), waveSums: newWaveSums(waves)}
	cells := make([]float64, coefs*waves)
	for i := range n.border {
		n.border[i] = cells[i*waves : (i+1)*waves]
	}
	return n
}

func (n *normal) clear() {
	clear(n.band)
	for _, row := range n.border {
		clear(row)
	}
	clear(n.gBand)
	n.waveSums.clear()
}

// accumulate adds one equation with the derivatives in r and residual e, but for
// the waves' own part. It is where a fit spends its time: several rows are filled
// in one pass, in slices whose lengths the compiler knows to be equal.
func (n *normal) accumulate(r *row, firstWave int, e, weight float64) {
	n.band.Add(r.first, r.byCoef, weight)
	y := r.byWave
	x := r.byCoef
	for j := range x {
		x[j] *= weight
		n.gBand[r.first+j] += x[j] * e
	}
	c0 := n.border[r.first][firstWave:][:len(y)]
	c1 := n.border[r.first+1][firstWave:][:len(y)]
	c2 := n.border[r.first+2][firstWave:][:len(y)]
	c3 := n.border[r.first+3][firstWave:][:len(y)]
	for k, d := range y {
		c0[k] += x[0] * d
		c1[k] += x[1] * d
		c2[k] += x[2] * d
		c3[k] += x[3] * d
	}
}

// add adds one equation with the derivatives y by the unknowns from first on, by
// pairs of rows: a sine and its cosine.
func (s *waveSums) add(y []float64, first int, e, weight float64) {
	g := s.gWave[first:][:len(y)]
	for k, d := range y {
		g[k] += weight * e * d
	}
	raw := s.waves.RawSymmetric()
	at := first*raw.Stride + first
	for ; len(y) > 1; y, at = y[2:], at+2*raw.Stride+2 {
		sin, cos := weight*y[0], weight*y[1]
		c0, c1 := raw.Data[at:][:len(y)], raw.Data[at+raw.Stride:][:len(y)]
		for k, d := range y {
			c0[k] += sin * d
			c1[k] += cos * d
		}
	}
	raw.Data[at] += weight * y[0] * y[0]
}

// join adds the sums of a piece.
func (s *waveSums) join(part *waveSums) {
	floats.Add(s.waves.RawSymmetric().Data, part.waves.RawSymmetric().Data)
	floats.Add(s.gWave, part.gWave)
}

// reduced is the problem with the spline's unknowns eliminated.
type reduced struct {
	band   curve.Band  // factored
	border [][]float64 // inverse of the factor times the border
	gBand  []float64   // inverse of the factor times the gradient
	schur  *mat.SymDense
	gWave  []float64
}

// reduce eliminates the spline (Schur's complement). Damping scales the
// diagonals after Marquardt.
func (f *Fit) reduce(damping float64) (*reduced, error) {
	n := f.normal
	r := &reduced{band: append(curve.Band(nil), n.band...), border: cloneRows(n.border), gBand: slices.Clone(n.gBand), gWave: slices.Clone(n.gWave)}
	for i := range r.band {
		r.band[i][curve.Bandwidth] *= 1 + damping
	}
	if err := r.band.Factor(); err != nil {
		return nil, err
	}
	r.band.Forward(r.gBand)
	r.band.ForwardRows(r.border)
	size := len(n.gWave)
	r.schur = mat.NewSymDense(size, nil)
	r.schur.CopySym(n.waves)
	raw := r.schur.RawSymmetric()
	for j := range size {
		d := &raw.Data[j*raw.Stride+j]
		*d += damping**d + 1e-300
	}
	for i, y := range r.border {
		for j, a := range y {
			if a == 0 {
				continue
			}
			r.gWave[j] -= a * r.gBand[i]
			row := raw.Data[j*raw.Stride : j*raw.Stride+size]
			for k := j; k < size; k++ {
				row[k] -= a * y[k]
			}
		}
	}
	r.pin(f.pinned*f.PerChannel() + 1)
	return r, nil
}

// covariance returns that of the waves' unknowns, and the factor whose inverse it is.
func (r *reduced) covariance() (chol *mat.Cholesky, cov *mat.SymDense, err error) {
	chol, cov = new(mat.Cholesky), new(mat.SymDense)
	if !chol.Factorize(r.schur) {
		return nil, nil, curve.ErrIndefinite
	}
	return chol, cov, chol.InverseTo(cov)
}

// pin holds unknown k of the waves at its present value.
func (r *reduced) pin(k int) {
	for j := range r.gWave {
		r.schur.SetSym(j, k, 0)
	}
	r.schur.SetSym(k, k, 1)
	r.gWave[k] = 0
}

func cloneRows(x [][]float64) [][]float64 {
	if len(x) == 0 {
		return nil
	}
	w := len(x[0])
	cells := make([]float64, 0, len(x)*w)
	out := make([][]float64, len(x))
	for i := range x {
		cells = append(cells, x[i]...)
		out[i] = cells[i*w : (i+1)*w : (i+1)*w]
	}
	return out
}
