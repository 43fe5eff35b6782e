package rotor

import (
	"math"
	"math/cmplx"

	"handspin/commutation/winding"
)

// HalfWave is one pole's passage as a lead shows it: all that can be said where the
// winding is not known. A lead has coils on several teeth, so that it shows a mean of
// several magnets.
type HalfWave struct {
	// PlaceDeg is the shaft's angle at which it begins, with even magnets.
	PlaceDeg float64
	// LateDeg is by how many electrical degrees it begins late of that, and
	// WidthDeg how wide it is, 180 with even magnets; LateSD is the standard
	// deviation of LateDeg, about 0.7 of that of WidthDeg.
	LateDeg, LateSD, WidthDeg float64
	// Strength is its area relative to the mean one, the flux that it brings.
	Strength, StrengthSD float64
}

// HalfWaves returns each lead's half waves over a turn of the shaft, the first one
// the first that rises after the shaft's zero; nil for a lead without back-EMF. All
// numbers are to first order in what magnets differ by.
func (t Turn) HalfWaves() [3][]HalfWave {
	var out [3][]HalfWave
	for lead := range out {
		if one := t.lead(lead); one.size > 0 {
			out[lead] = one.halfWaves()
		}
	}
	return out
}

// oneLead is a lead by orders: phasors turned so that the fundamental is real, and
// the variance of either part.
type oneLead struct {
	pairs    int
	zeroDeg  float64
	size     float64
	emf      []complex128
	variance []float64
}

func (t Turn) lead(lead int) oneLead {
	p := t.PolePairs
	at := func(n int) complex128 {
		if t.Floating {
			return winding.Floated(t.EMF[n-1])[lead]
		}
		return t.EMF[n-1][lead]
	}
	one := oneLead{pairs: p, size: cmplx.Abs(at(p))}
	pitch := 360 / float64(p)
	one.zeroDeg = math.Mod(math.Mod(-cmplx.Phase(at(p))*180/math.Pi/float64(p), pitch)+pitch, pitch)
	for n := 1; n < 2*p; n++ {
		one.emf = append(one.emf, at(n)*cmplx.Rect(1, float64(n)*one.zeroDeg*math.Pi/180))
		one.variance = append(one.variance, t.variance(n, lead))
	}
	return one
}

// variance is that of a lead's order, less the mean of the leads where they float.
func (t Turn) variance(n, lead int) float64 {
	cov := t.Cov[n-1]
	if !t.Floating {
		return cov[lead][lead]
	}
	share := func(k int) float64 {
		if k == lead {
			return 2.0 / 3
		}
		return -1.0 / 3
	}
	sum := 0.0
	for i := range cov {
		for j := range cov {
			sum += share(i) * share(j) * cov[i][j]
		}
	}
	return math.Max(0, sum)
}

// halfWaves evaluates the orders beside the fundamental at the places where that
// crosses zero, and their areas between.
func (o oneLead) halfWaves() []HalfWave {
	n := 2 * o.pairs
	out := make([]HalfWave, n)
	for j := range out {
		sign := float64(1 - 2*(j%2))
		h := &out[j]
		h.PlaceDeg = o.zeroDeg + 180*float64(j)/float64(o.pairs)
		from, to := math.Pi*float64(j)/float64(o.pairs), math.Pi*float64(j+1)/float64(o.pairs)
		area, areaVar, value, valueVar := 0.0, 0.0, 0.0, 0.0
		for k, e := range o.emf {
			order := k + 1
			if order == o.pairs {
				continue
			}
			turn := cmplx.Rect(1, float64(order)*from)
			span := (cmplx.Rect(1, float64(order)*to) - turn) / complex(0, float64(order))
			area += imag(e * span)
			areaVar += o.variance[k] * (real(span)*real(span) + imag(span)*imag(span))
			value += imag(e * turn)
			valueVar += o.variance[k]
		}
		mean := o.size * 2 / float64(o.pairs)
		h.Strength, h.StrengthSD = 1+sign*area/mean, math.Sqrt(areaVar)/mean
		h.LateDeg, h.LateSD = -sign*value/o.size*180/math.Pi, math.Sqrt(valueVar)/o.size*180/math.Pi
	}
	for j := range out {
		out[j].WidthDeg = 180 + out[(j+1)%n].LateDeg - out[j].LateDeg
	}
	return out
}
