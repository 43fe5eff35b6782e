package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
)

// drilled is a spin by a drill whose speed ripples by the given share.
func drilled(seed uint64, ripple, lowPass float64) synth.Config {
	c := synth.Random(synth.Fast, seed)
	c.Spin.Drill.Ripple = ripple
	c.FrontEnd.LowPass = lowPass
	return c
}

// At a nearly constant speed the power with which the back-EMF grows with it is
// 1/(1+x^2) behind a first-order low-pass, x = w tau (the derivative of the
// logarithm of w/sqrt(1+x^2)). 0.15 is what unequal magnets leave open, and what
// the synthetic filter, which holds its input for a sample, differs by.
func TestGrowth(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed += 2 {
		for _, tau := range []float64{0, 0.0003, 0.001} {
			rec, truth := drilled(seed, 0.01, tau).Record()
			a := newAnalysis(rec)
			a.fitBest()
			if a.fit == nil {
				t.Fatalf("seed %d: no fit", seed)
			}
			x := 2 * math.Pi * truth.SpeedAt(3) * tau
			want := 1/(1+x*x) - 1
			if off, sd := a.fit.growth(); math.Abs(off-want) > 0.15 || sd > growthSD {
				t.Errorf("seed %d, %g s: power off by %.3f +- %.3f, want %.3f", seed, tau, off, sd, want)
			}
		}
	}
}

// A drill's recording through large capacitors is never ranked, whatever the
// shift they cause looks like: 60 degrees are another place of the grid. Neither
// is one at so constant a speed that nothing would show them.
func TestSteadyAndFiltered(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		for _, c := range []synth.Config{
			drilled(seed, 0.01, 0.001), drilled(seed, 0.01, 0.003), drilled(seed, 0.01, 0.007), drilled(seed, 0.0001, 0),
		} {
			verdict, _, r, _ := answer(c, commutation.Typical())
			if verdict == commutation.Ranked {
				t.Errorf("seed %d, ripple %g, %g s: ranked with %v", seed, c.Spin.Drill.Ripple, c.FrontEnd.LowPass, r.Findings)
			}
		}
	}
}
