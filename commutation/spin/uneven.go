package spin

import (
	"errors"
	"math"

	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/emf"
)

// An uneven rotor, one with a magnet the wrong way up say, leaves more than a fit
// with equal turns can explain, while every turn of the shaft is like the last.

// Limits of the rough fit that may be such a rotor's, and the turns of the shaft
// that show it: with two or more, what is no rotor's does not come again.
const (
	roughlyExplained = 0.7
	repeatTurns      = 2.0
)

// fitUneven takes a fit that explains the columns badly by equal electrical turns,
// but well by equal turns of the shaft.
func (a *analysis) fitUneven() {
	for _, r := range emf.Readings(a.rec) {
		f := emf.FitReading(r, emf.ByHand)
		if f == nil || f.Explained() < roughlyExplained {
			continue
		}
		a.fit, a.rotor = f, rotorOf(f)
		if a.explainedByShaft() > leastExplained {
			return
		}
		a.fit, a.rotor = nil, nil
	}
}

// explainedByShaft returns the share of the back-EMF that is explained by turns of
// the shaft which are all alike; 0 where their number is not known or too small.
func (a *analysis) explainedByShaft() float64 {
	runs := a.shaftRuns()
	if len(runs) == 0 {
		return 0
	}
	pairs := a.rec.PolePairs
	if pairs == 0 {
		pairs = repetition(a.marks(runs[0]), int(runs[0].extent()/repeatPasses))
	}
	if pairs == 0 || pairs > mostPairs || runs[0].extent() < repeatTurns*float64(pairs) {
		return 0
	}
	x := newShaftFit(a, pairs, runs[0].origin)
	if err := x.run(runs[0]); err != nil && !errors.Is(err, ErrAstray) { // what is explained says that
		return 0
	}
	return x.explained(runs[0].Stretch)
}

// explained returns the share of the channels' power, beyond noise, that the fit
// accounts for.
func (x *shaftFit) explained(st curve.Stretch) float64 {
	left, all := 0.0, 0.0
	lost := make([]bool, len(x.a.fit.Signals.Time))
	for c, ch := range x.a.fit.Signals.Channels {
		noise := ch.Noise * ch.Noise
		offset := x.wave[c][len(x.wave[c])-1]
		x.each(st, c, lost, func(_ int, row []float64, v float64) {
			signal := v - offset
			for k, r := range row {
				v -= r * x.wave[c][k]
			}
			left += v*v/noise - 1
			all += signal * signal / noise
		})
	}
	return 1 - math.Max(0, left)/all
}
