package spin

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"handspin/capture"
	"handspin/commutation"
)

// columnSD is how far a column's scale is off, as a standard deviation: that of a large
// divider of two resistors whose errors are uniform within 1 %, sqrt(2) 1 %/sqrt(3).
const columnSD = 0.008

// measured is what the columns measure: the leads, or between[k] where column k of p12, p23
// and p31 is there; floating where only the leads' differences mean something.
type measured struct {
	between  [3]bool
	floating bool
}

// measures returns what the recording's columns measure.
func (a *analysis) measures() measured {
	s := measured{floating: a.floating() && a.fit.Signals.All()}
	for _, c := range a.rec.Columns {
		if c.Signal.Difference() && a.fit.Signals.All() {
			s.between[c.Signal-capture.P12] = true
		}
	}
	return s
}

// floating reports whether only the leads' differences mean something.
func (a *analysis) floating() bool { return a.fit.Signals.Floating || a.referenceLead >= 0 }

// unequal draws what the columns' scales may be off. Each lead's size is then less sure;
// and where only differences of the leads are known, a lead's wave takes a share of the
// others in, so that its angle is less sure as well: by half of columnSD, or by all of it
// where two differences are all there is.
func (s measured) unequal(draws [][3]commutation.Wave) {
	rng := rand.New(rand.NewPCG(7, 8))
	for i := range draws {
		var off [3]float64
		for k := range off {
			off[k] = columnSD * rng.NormFloat64()
		}
		w := &draws[i]
		for o := range max(len(w[0]), len(w[1]), len(w[2])) {
			s.stretch(w, o, off)
		}
		if s.floating {
			centre(w)
		}
	}
}

// stretch moves the terms in place o of the leads as columns do whose scales are off. What
// the third of three differences does not agree in with the two others is shared out. A lead
// that the recording does not have has no terms.
func (s measured) stretch(w *[3]commutation.Wave, o int, off [3]float64) {
	var lead, by [3]complex128
	for k := range lead {
		if o >= len(w[k]) {
			continue
		}
		lead[k] = complex(w[k][o].Sin, w[k][o].Cos)
	}
	if s.between == [3]bool{} {
		for k := range by {
			by[k] = complex(off[k], 0) * lead[k]
		}
	} else {
		moved := s.stretched(lead, off)
		for k := range by {
			by[k] = (moved[k] - moved[(k+2)%3]) / 3
		}
	}
	for k := range by {
		if o >= len(w[k]) {
			continue
		}
		w[k][o].Sin, w[k][o].Cos = w[k][o].Sin+real(by[k]), w[k][o].Cos+imag(by[k])
	}
}

// stretched returns by how much the three differences of leads change, the sum of which is
// nothing.
func (s measured) stretched(lead [3]complex128, off [3]float64) (by [3]complex128) {
	sum, open := complex128(0), 0
	for k := range by {
		if !s.between[k] {
			open++
			continue
		}
		by[k] = complex(off[k], 0) * (lead[k] - lead[(k+1)%3])
		sum += by[k]
	}
	for k := range by {
		switch {
		case open == 0:
			by[k] -= sum / 3
		case !s.between[k]:
			by[k] = -sum / complex(float64(open), 0)
		}
	}
	return by
}

// onePole is the standard deviation of the zero of half waves over the scatter of the edges.
// Half waves show every other pole, whose mean place differs from that of all, which the
// sensors pass, by half the difference of the means of the two kinds: of four each, as a
// small motor has, sqrt(2/4)/2 of a magnet's scatter, and a border, midway between two
// magnets, has 1/sqrt(2) of that.
const onePole = 0.5

// hiddenPoles returns by how much that may move the zero, in degrees; 0 where the columns
// show whole waves.
func (a *analysis) hiddenPoles() float64 {
	if !a.fit.Signals.OneSided() {
		return 0
	}
	largest := 0.0
	for _, s := range a.result.Sensors {
		if s.Placed && s.Scatter > largest { // so that NaN is none
			largest = s.Scatter
		}
	}
	return onePole * largest
}

// halfWaveSize is the standard deviation of the size of half waves as a share of it, beside
// the fit's: where a wave begins is within the noise at its foot, and an offset is nearly
// the harmonics of a smaller wave. Simulated ones come out 0 to 8 % too small.
const halfWaveSize = 0.04

// halfWaveDoubt returns that of the recording, 0 where the columns show whole waves.
func (a *analysis) halfWaveDoubt() float64 {
	if a.fit == nil || !a.fit.Signals.OneSided() {
		return 0
	}
	return halfWaveSize
}

// zeroDoubt returns how far p1, which gives the zero, is off in draws of the waves, in
// degrees. Where p1 does not give the zero there is none.
func zeroDoubt(w [3]commutation.Wave, draws [][3]commutation.Wave) float64 {
	if !zeroAtPhase(w) {
		return 0
	}
	var off []float64
	for _, d := range draws {
		off = append(off, cmplx.Phase(phasor(d[0])/phasor(w[0]))*180/math.Pi)
	}
	return rms(off)
}

// doubtZero puts into the result what is known of the zero: what the phases' draws say, the
// poles that are hidden and the delay that was left alone.
func (a *analysis) doubtZero(phases float64) {
	a.result.ZeroSD = math.Hypot(math.Hypot(phases, a.hidden), a.drag.left)
}
