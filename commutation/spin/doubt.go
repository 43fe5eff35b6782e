package spin

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"handspin/commutation"
)

// columnSD is how far two columns' scales differ, as a standard deviation of each: that of
// a divider of two resistors whose errors are uniform within 1 %, sqrt(2) 1 %/sqrt(3).
const columnSD = 0.008

// unequal draws what the columns' scales may be off. Each lead's size is then less sure;
// and where only differences of the leads are known, a lead's wave takes a share of the
// others in, so that its angle is less sure as well, by about half of columnSD.
func unequal(draws [][3]commutation.Wave, floating bool) {
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range draws {
		for _, w := range draws[i] {
			scale := 1 + columnSD*rng.NormFloat64()
			for o := range w {
				w[o].Sin, w[o].Cos = scale*w[o].Sin, scale*w[o].Cos
			}
		}
		if floating {
			centre(&draws[i])
		}
	}
}

// floating reports whether only the leads' differences mean something.
func (a *analysis) floating() bool { return a.fit.Signals.Floating || a.referenceLead >= 0 }

// onePole is the zero's standard deviation of half waves over the scatter of the edges:
// magnets' places that differ by that from each other, in the mean over the four poles of
// either kind that a small motor has.
const onePole = 0.5

// doubtPoles adds to the edges' errors what half waves hide: they show every other pole
// only, whose places differ in the mean from those of all, which the sensors pass.
func (a *analysis) doubtPoles() {
	if !a.fit.Signals.OneSided() {
		return
	}
	for i, s := range a.result.Sensors {
		if s.Scatter > 0 { // so that NaN is none
			a.result.Sensors[i] = s.uncertain(onePole * s.Scatter)
		}
	}
}

// doubtZero adds to the edges' errors how far the angle's zero, at p1, is in doubt, and to
// those seen in one direction what the speed may have moved them by. In the draws it is the
// phases that move, and seat moves the sensors.
func (a *analysis) doubtZero(w [3]commutation.Wave, draws [][3]commutation.Wave) {
	var off []float64
	if zeroAtPhase(w) {
		for _, d := range draws {
			off = append(off, cmplx.Phase(phasor(d[0])/phasor(w[0]))*180/math.Pi)
		}
	}
	for i, s := range a.result.Sensors {
		sd := rms(off)
		if math.IsNaN(s.HysteresisDeg.Value) {
			sd = math.Hypot(sd, a.drag.doubtful)
		}
		a.result.Sensors[i] = s.uncertain(sd)
	}
}
