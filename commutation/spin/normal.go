package spin

import "gonum.org/v1/gonum/mat"

// normal is one linearisation of the problem.
type normal struct {
	band   band
	border [][]float64 // by coefficient: derivative products with the waves
	waves  *mat.SymDense
	gBand  []float64
	gWave  []float64
}

// accumulate adds one equation with the derivatives in r and residual e. It is
// where a fit spends its time: several rows are filled in one pass over the
// waves' derivatives, in slices whose lengths the compiler knows to be equal.
func (n *normal) accumulate(r *row, firstWave int, e, weight float64) {
	n.band.add(r.first, r.byCoef, weight)
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
	n.accumulateWaves(y, firstWave, e, weight)
}

// accumulateWaves adds the waves' part, by pairs of rows: a sine and its cosine.
// What it adds below the diagonal is never read.
func (n *normal) accumulateWaves(y []float64, firstWave int, e, weight float64) {
	raw := n.waves.RawSymmetric()
	g := n.gWave[firstWave:][:len(y)]
	for k, d := range y {
		g[k] += weight * e * d
	}
	at := firstWave*raw.Stride + firstWave
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

// reduced is the problem with the spline's unknowns eliminated.
type reduced struct {
	band   band        // factored
	border [][]float64 // inverse of the factor times the border
	gBand  []float64   // inverse of the factor times the gradient
	schur  *mat.SymDense
	gWave  []float64
}

// reduce eliminates the spline (Schur's complement). Damping scales the
// diagonals after Marquardt.
func (f *fit) reduce(damping float64) (*reduced, error) {
	n := f.normal
	r := &reduced{band: append(band(nil), n.band...), border: cloneRows(n.border), gBand: clone(n.gBand), gWave: clone(n.gWave)}
	for i := range r.band {
		r.band[i][bandwidth] *= 1 + damping
	}
	if err := r.band.factor(); err != nil {
		return nil, err
	}
	r.band.forward(r.gBand)
	r.band.forwardRows(r.border)
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
	r.pin(f.pinned*f.perChannel() + 1)
	return r, nil
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
