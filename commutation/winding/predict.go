package winding

import (
	"math"
	"math/cmplx"
)

// Lines returns the differences A-B, B-C, C-A over the square root of three, so
// that those of sound phases of length 1 have length 1: the voltages between the
// leads of a star.
func Lines(emf [3]complex128) [3]complex128 {
	scale := complex(1/math.Sqrt(3), 0)
	return [3]complex128{(emf[0] - emf[1]) * scale, (emf[1] - emf[2]) * scale, (emf[2] - emf[0]) * scale}
}

// Floated returns phasors without what they have in common: as they are against
// three equal resistors from the leads to one point, in star or delta.
func Floated(emf [3]complex128) [3]complex128 {
	zero := Zero(emf)
	return [3]complex128{emf[0] - zero, emf[1] - zero, emf[2] - zero}
}

// Zero returns the mean of three phasors. Only a lead from the star point, or a
// delta opened at one corner, shows it.
func Zero(emf [3]complex128) complex128 { return (emf[0] + emf[1] + emf[2]) / 3 }

// Predict returns the phasors at leads A, B, C with a fault, relative to phase A
// of the sound layout; against the star point, or without what they have in
// common where floating. What floats and is open shows nothing, and of the two
// others each half of their difference.
func (l Layout) Predict(f Fault, floating bool) [3]complex128 {
	e := l.emf(f)
	if !floating {
		return e
	}
	if f.Kind != PhaseOpen {
		return Floated(e)
	}
	open := f.Phases[0]
	a, b := (open+1)%3, (open+2)%3
	half := (e[a] - e[b]) / 2
	e[open], e[a], e[b] = 0, half, -half
	return e
}

// signature is the same for two sets of phasors if and only if no measurement of
// them can tell them apart: whatever the magnets' strength, the zero of time and
// the way round. It is rounded so that rounding errors do not count.
type signature [5]int64

// grain is the relative difference from which on signatures differ: far above
// rounding errors and far below what can be measured. The odd offset keeps exact
// values such as 0 and 1/2 off the borders of rounding.
const (
	grain  = 1e-6
	offset = 0.2360679
)

func sign(e [3]complex128) signature {
	zero, positive, negative := sequences(e)
	if cmplx.Abs(negative) > cmplx.Abs(positive)*(1+exact) { // seen the other way round
		zero, positive, negative = cmplx.Conj(zero), cmplx.Conj(negative), cmplx.Conj(positive)
	}
	size := math.Sqrt(norm(zero) + norm(positive) + norm(negative))
	scale := complex(1/size, 0)
	zero, positive, negative = zero*scale, positive*scale, negative*scale
	pn, zp := positive*cmplx.Conj(negative), zero*cmplx.Conj(positive)
	var s signature
	for i, x := range [5]float64{norm(negative), real(pn), imag(pn), real(zp), imag(zp)} {
		s[i] = int64(math.Round(x/grain + offset))
	}
	return s
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
