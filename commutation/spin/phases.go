package spin

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
)

// leadWaves combines the channels' waves into those of the leads, on the
// rotor's final scale, from the unknowns of all channels in a row.
func (a *analysis) leadWaves(unknowns []float64) [3]commutation.Wave {
	f := a.fit
	per := f.PerChannel()
	var out [3]commutation.Wave
	for k := range out {
		if !f.Signals.Known[k] {
			continue
		}
		for o, n := range f.Orders {
			var s, c float64
			for ch, share := range f.Signals.Lead[k][:len(f.Signals.Channels)] {
				s += share * unknowns[ch*per+2*o]
				c += share * unknowns[ch*per+2*o+1]
			}
			s, c = s*a.mends[k], c*a.mends[k]
			out[k] = append(out[k], a.rotor.rescale(commutation.Harmonic{N: n, Sin: s, Cos: c}))
		}
	}
	return out
}

// rescale expresses a term of the spline's angle in the final one. Turned the
// other way, both the angle and the rate change sign, so that sines keep theirs.
func (r *rotorAngle) rescale(h commutation.Harmonic) commutation.Harmonic {
	s, c := math.Sincos(float64(h.N) * r.zero)
	// sin(n(b+zero)) and cos(n(b+zero)) with b = a - zero
	sin, cos := h.Sin*c-h.Cos*s, h.Sin*s+h.Cos*c
	return commutation.Harmonic{N: h.N, Sin: sin, Cos: r.sense * cos}
}

// phasor returns the fundamental of w as a complex number whose phase is the
// lead, so that a lag is negative.
func phasor(w commutation.Wave) complex128 { return harmonic(w, 1) }

// harmonic returns the harmonic of order n in the same way.
func harmonic(w commutation.Wave, n int) complex128 {
	for _, h := range w {
		if h.N == n {
			return complex(h.Sin, h.Cos)
		}
	}
	return 0
}

// centre takes the mean of the three leads from each.
func centre(w *[3]commutation.Wave) {
	for o := range w[0] {
		var s, c float64
		for k := range w {
			s, c = s+w[k][o].Sin/3, c+w[k][o].Cos/3
		}
		for k := range w {
			w[k][o].Sin -= s
			w[k][o].Cos -= c
		}
	}
}

// unbalance returns the ratio of the weaker rotating component of the three
// fundamentals to the stronger: 0 for a sound motor, (1-x)/(2+x) where one phase has
// x times the others' back-EMF, 1/2 where one is reversed or dead. It depends
// on differences of the leads only (symmetrical components).
func unbalance(w [3]commutation.Wave) float64 {
	p := [3]complex128{phasor(w[0]), phasor(w[1]), phasor(w[2])}
	turn := cmplx.Exp(complex(0, 2*math.Pi/3))
	one := cmplx.Abs(p[0] + turn*p[1] + turn*turn*p[2])
	two := cmplx.Abs(p[0] + turn*turn*p[1] + turn*p[2])
	if one == 0 && two == 0 {
		return math.NaN()
	}
	return min(one, two) / max(one, two)
}
