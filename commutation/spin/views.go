package spin

import (
	"gonum.org/v1/gonum/mat"

	"handspin/capture"
	"handspin/commutation"
)

// view is what a part shows of the leads: the sum over the leads k of weight[k]
// times the lead's wave.
type view struct {
	weight [3]float64
	wave   commutation.Wave
}

// views returns what the part's columns show, at the given unknowns of its fit,
// in volts: differences of leads. What a single lead alone is measured against
// may be another point in each recording, so by itself it tells nothing here.
func (a *analysis) views(unknowns []float64) []view {
	var out []view
	switch {
	case a.fit.Signals.All():
		w := a.leadWaves(unknowns)
		out = append(out, difference(0, 1, w[0], w[1]), difference(1, 2, w[1], w[2]))
	case a.rec.Columns[0].Signal.Difference():
		k := int(a.rec.Columns[0].Signal - capture.P12)
		out = append(out, difference(k, (k+1)%3, a.channelWave(unknowns, 0), nil))
	case len(a.rec.Columns) == 2:
		p, q := int(a.rec.Columns[0].Signal), int(a.rec.Columns[1].Signal)
		out = append(out, difference(p, q, a.channelWave(unknowns, 0), a.channelWave(unknowns, 1)))
	}
	for i := range out {
		out[i].scale(a.rec.VoltsPerUnit)
	}
	return out
}

// scaledViews returns views in which the phases are multiplied by a factor.
func (a *analysis) scaledViews(unknowns []float64, factor float64) []view {
	out := a.views(unknowns)
	for i := range out {
		out[i].scale(factor)
	}
	return out
}

// signal returns the difference that a view of two leads is, whatever its sign.
func (v *view) signal() capture.Signal {
	for k := range v.weight {
		if v.weight[k] != 0 && v.weight[(k+1)%3] != 0 {
			return capture.P12 + capture.Signal(k)
		}
	}
	return capture.P12
}

// channelWave returns the wave of channel c on the rotor's scale.
func (a *analysis) channelWave(unknowns []float64, c int) commutation.Wave {
	var w commutation.Wave
	at := c * a.fit.PerChannel()
	for o, n := range a.fit.Orders {
		w = append(w, a.rotor.rescale(commutation.Harmonic{N: n, Sin: unknowns[at+2*o], Cos: unknowns[at+2*o+1]}))
	}
	return w
}

// difference is the view of lead p less lead q, whose waves are given.
func difference(p, q int, wp, wq commutation.Wave) view {
	v := view{wave: combination(wp, wq)}
	v.weight[p], v.weight[q] = 1, -1
	return v
}

// combination returns a - b of two waves with the same orders; a nil b counts as
// zero.
func combination(a, b commutation.Wave) commutation.Wave {
	out := append(commutation.Wave(nil), a...)
	for o := range b {
		out[o].Sin -= b[o].Sin
		out[o].Cos -= b[o].Cos
	}
	return out
}

// scale multiplies by a factor such as volts per unit; 0 stands for unknown and
// leaves it alone.
func (v *view) scale(by float64) {
	if by == 0 {
		return
	}
	for o := range v.wave {
		v.wave[o].Sin *= by
		v.wave[o].Cos *= by
	}
}

// normalInverse returns the inverse of the views' normal matrix; ok is false
// where they do not determine the differences of all leads. What the reference
// is they need not tell.
func normalInverse(views []view) (inverse *mat.SymDense, ok bool) {
	n := mat.NewSymDense(3, []float64{1e-9, 0, 0, 0, 1e-9, 0, 0, 0, 1e-9})
	for _, v := range views {
		n.SymRankOne(n, 1, mat.NewVecDense(3, v.weight[:]))
	}
	var chol mat.Cholesky
	if !chol.Factorize(n) {
		return nil, false
	}
	inverse = mat.NewSymDense(3, nil)
	if chol.InverseTo(inverse) != nil {
		return nil, false
	}
	for k := range 2 {
		variance := inverse.At(k, k) + inverse.At(k+1, k+1) - 2*inverse.At(k, k+1)
		if variance > 1e3 { // only the 1e-9 holds this difference
			return nil, false
		}
	}
	return inverse, true
}

// solve returns the leads' waves that fit the views best.
func solve(inverse *mat.SymDense, views []view) (w [3]commutation.Wave) {
	for _, n := range []int{1, 3, 5, 7} {
		var sin, cos [3]float64
		for _, v := range views {
			for _, h := range v.wave {
				if h.N == n {
					for k, weight := range v.weight {
						sin[k] += weight * h.Sin
						cos[k] += weight * h.Cos
					}
				}
			}
		}
		for k := range w {
			h := commutation.Harmonic{N: n}
			for l := range w {
				h.Sin += inverse.At(k, l) * sin[l]
				h.Cos += inverse.At(k, l) * cos[l]
			}
			w[k] = append(w[k], h)
		}
	}
	return w
}

// turn rescales a wave in place.
func (r *rotorAngle) turn(w commutation.Wave) {
	for o := range w {
		w[o] = r.rescale(w[o])
	}
}
