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

// accumulate adds one equation with the derivatives in r and residual e.
func (n *normal) accumulate(r *row, firstWave int, e, weight float64) {
	n.band.add(r.first, r.byCoef, weight)
	for j, d := range r.byCoef {
		x := weight * d
		n.gBand[r.first+j] += x * e
		cells := n.border[r.first+j][firstWave : firstWave+len(r.byWave)]
		for k, y := range r.byWave {
			cells[k] += x * y
		}
	}
	raw := n.waves.RawSymmetric()
	for j, d := range r.byWave {
		x := weight * d
		n.gWave[firstWave+j] += x * e
		at := (firstWave+j)*raw.Stride + firstWave
		for k := j; k < len(r.byWave); k++ {
			raw.Data[at+k] += x * r.byWave[k]
		}
	}
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
