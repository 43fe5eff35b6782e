package winding

import "math"

// The model's own limits, as standard deviations.
//
// floorSD is of each phase, in both parts of its phasor, relative to a sound phase. It
// stands for what no recording averages away: two resistors of 1 % in each channel's
// divider (0.6 % each where all values within 1 % are alike, 0.8 % together), turns
// that do not lie alike (about half a percent of a phase), and teeth some hundredths of
// a millimetre off their places (half an electrical degree, which is 0.9 %). It is not
// for phases with a turn too few: those are [PhaseTurns].
//
// eccentricSD is of the share by which the gap's field is larger towards one side of
// the stator, in each of two directions: 5 % is 0.2 mm off centre with magnets of 3 mm
// behind a gap of 0.8 mm, which a motor that still runs free seldom exceeds (common
// practice); one motor in 23 would (exp(-(5/2)^2/2), Rayleigh).
//
// offCentreSD is the same of a rotor that is off centre as a fault. It rubs at 20 %,
// the whole gap: four of these.
const (
	floorSD     = 0.01
	eccentricSD = 0.02
	offCentreSD = 0.05
)

// showsCentre is the gain of a phase from which on eccentricity shows: that of a rotor
// which rubs is then above floorSD.
const showsCentre = 0.05

// ShowsOffCentre reports whether a rotor that runs off centre shows in the phases. If the
// rotor turns with the place of the narrow gap, or the stator has it, a phase sees it by
// the same orders of the field, those one beside the pole pairs' own.
func (l Layout) ShowsOffCentre() bool {
	for _, way := range l.eccentric() {
		for _, z := range way {
			if norm(z) > showsCentre*showsCentre {
				return true
			}
		}
	}
	return false
}

// eccentric returns what the phases gain, relative to sound phase A, from a field that
// is larger as the cosine, and as the sine, of the place around the stator (first
// order).
//
// A field cos(p(phi - theta)) (1 + e cos(phi - phi0)) has, beside its own order p, those
// of p+1 and p-1 in phi, each e/2 as large. A coil from phi_k - d to phi_k + d with
// d = pi/Q links sin(n d)/n of order n, whose phasor at the coil is e^(j n phi_k). The
// sum is small unless a phase sits in one part of the stator.
func (l Layout) eccentric() [2][3]complex128 {
	var out [2][3]complex128
	unit := l.sums(1)[0]
	p := l.PolePairs()
	above, below := l.linked(p+1)/l.linked(p)/2, l.linked(p-1)/l.linked(p)/2
	for k, c := range l.Coils {
		place := 360 * float64(k) / float64(l.slots)
		one := polar(float64(c.Sense), l.ToothDeg(k)) / unit
		up, down := one*polar(above, place), one*polar(below, -place)
		out[0][c.Phase] += up + down
		out[1][c.Phase] += (down - up) * 1i
	}
	return out
}

// linked is what a coil of one tooth links of a field of an order around the shaft.
func (l Layout) linked(order int) float64 {
	half := pi / float64(l.slots)
	if order == 0 {
		return half
	}
	return math.Sin(float64(order)*half) / float64(order)
}

// limits returns the covariance of the parts of phasors that the model leaves open,
// for phasors of a size and a time at which a sound phase A is unit, and a rotor off
// centre by so much.
func (l Layout) limits(unit complex128, eccentricSD float64) (cov [6][6]float64) {
	for i := range cov {
		cov[i][i] = floorSD * floorSD * norm(unit)
	}
	for _, way := range l.eccentric() {
		var v [6]float64
		for k, z := range way {
			v[2*k], v[2*k+1] = eccentricSD*real(unit*z), eccentricSD*imag(unit*z)
		}
		for i := range cov {
			for j := range cov {
				cov[i][j] += v[i] * v[j]
			}
		}
	}
	return cov
}

// unit returns how large and how late a sound phase A would be where the phasors are
// as measured: as large as the leads show, and at the time at which sound phases fit
// best.
func (l Layout) unit(m Measured) complex128 {
	var fit complex128
	for i, e := range Floated(l.EMF(l)) {
		fit += m.EMF[i] * complex(real(e), -imag(e))
	}
	size := math.Sqrt(norm(fit))
	if size == 0 {
		return complex(m.scale(), 0)
	}
	return fit * complex(m.scale()/size, 0)
}
