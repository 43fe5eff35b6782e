package winding

import (
	"math"
	"math/cmplx"
)

// Measured is the fundamental back-EMF of three leads, averaged over whole turns
// of the shaft.
type Measured struct {
	// EMF is by lead, in any unit; a lead that lags by an angle has its phasor
	// at minus or plus that angle, for all three alike. The leads are taken as
	// phases A, B, C: where nobody has traced them, teeth in the result count
	// from any +A tooth in the direction that suits the leads.
	EMF [3]complex128
	// Cov is the covariance of real part, imaginary part of the first lead, of
	// the second, of the third, in units of EMF squared.
	Cov [6][6]float64
	// Floating is true where the reference was not the star point, so that
	// what the leads have in common is not known.
	Floating bool
}

// AcrossDelta returns what phases in delta, of which A lies from the first lead to
// the second, show: the differences of the leads, whose common part circulates in
// the delta and is not seen.
func (m Measured) AcrossDelta() Measured {
	out := Measured{Floating: true}
	part := func(i int) (lead, next, of int) { return i / 2, (i/2 + 1) % 3, i % 2 }
	for k := range m.EMF {
		out.EMF[k] = m.EMF[k] - m.EMF[(k+1)%3]
	}
	for i := range m.Cov {
		a, b, u := part(i)
		for j := range m.Cov {
			c, d, v := part(j)
			out.Cov[i][j] = m.Cov[2*a+u][2*c+v] - m.Cov[2*a+u][2*d+v] - m.Cov[2*b+u][2*c+v] + m.Cov[2*b+u][2*d+v]
		}
	}
	return out
}

// back returns the phasors as they would be the other way round.
func (m Measured) back() Measured {
	for k, z := range m.EMF {
		m.EMF[k] = cmplx.Conj(z)
	}
	for i := range m.Cov {
		for j := range m.Cov {
			if i%2 != j%2 {
				m.Cov[i][j] *= -1
			}
		}
	}
	return m
}

// scale returns the size of a sound phase as far as the leads show it: the
// largest difference between two, over the square root of three.
func (m Measured) scale() float64 {
	size := 0.0
	for _, line := range Lines(m.EMF) {
		size = max(size, cmplx.Abs(line))
	}
	return size
}

// off is [Diagnosis.Off] and [Diagnosis.OffSD].
func (l Layout) off(m Measured) (most, sd float64) {
	most = math.Inf(1)
	for _, seen := range []Measured{m, m.back()} {
		emf, sound := seen.EMF, l.EMF(l)
		if m.Floating {
			emf = Floated(emf)
		}
		var c complex128
		for i, e := range sound {
			c += emf[i] * cmplx.Conj(e) / 3
		}
		off, variance := 0.0, 0.0
		for i, e := range sound {
			off = max(off, cmplx.Abs(emf[i]/c-e))
			variance = max(variance, m.Cov[2*i][2*i]+m.Cov[2*i+1][2*i+1])
		}
		if off < most {
			most, sd = off, math.Sqrt(variance/norm(c))
		}
	}
	return most, sd
}
