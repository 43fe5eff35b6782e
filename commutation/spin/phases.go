package spin

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
	"handspin/commutation/spin/emf"
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

// opposedShare is the least share of its fundamental that a third harmonic has to be of note.
const opposedShare = 0.05

// opposed reports whether two leads' third harmonics are opposite to each other. Those of
// sound phases are alike, so that voltages between leads have none; of two phases of which
// one is reversed they are opposite. Of clipped columns nothing is known of that: the
// crests would tell it.
func opposed(v, w commutation.Wave) bool {
	p, q := harmonic(v, 3)/phasor(v), harmonic(w, 3)/phasor(w)
	if !(min(cmplx.Abs(p), cmplx.Abs(q)) > opposedShare) {
		return false
	}
	apart := math.Abs(cmplx.Phase(harmonic(v, 3) / harmonic(w, 3)))
	return math.Abs(apart-math.Pi) < math.Pi/6
}

// reversed returns the lead whose third harmonic is opposite to those of both others, -1 for
// none. Against the mean of the leads, where their third harmonics add up to nothing, a
// weak phase does that as well.
func reversed(w [3]commutation.Wave) int {
	sum := harmonic(w[0], 3) + harmonic(w[1], 3) + harmonic(w[2], 3)
	for k := range w {
		other := harmonic(w[(k+1)%3], 3)
		if opposed(w[k], w[(k+1)%3]) && opposed(w[k], w[(k+2)%3]) && cmplx.Abs(sum) > cmplx.Abs(other)/2 {
			return k
		}
	}
	return -1
}

// turnedOver returns the lead whose fundamental lies between two others that are 90 to 150
// degrees apart, 30 to 90 degrees from each, -1 for none: a sound one is opposite to that
// place. It is for leads against a point near the star point, and asks nothing of how strong
// the phases are.
func turnedOver(w [3]commutation.Wave) int {
	near := func(v, w complex128, deg float64) bool {
		return math.Abs(math.Abs(cmplx.Phase(v/w))*180/math.Pi-deg) < 30
	}
	for k := range w {
		p, q, r := phasor(w[k]), phasor(w[(k+1)%3]), phasor(w[(k+2)%3])
		if min(cmplx.Abs(p), cmplx.Abs(q), cmplx.Abs(r)) > emf.DeadShare*strongest(w) && near(q, r, 120) && near(p, q, 60) && near(p, r, 60) {
			return k
		}
	}
	return -1
}
