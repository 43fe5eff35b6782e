package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// drilled is a spin by a drill whose speed ripples by the given share.
func drilled(seed uint64, ripple, lowPass float64) synth.Config {
	c := synth.Random(synth.Fast, seed)
	c.Spin.Drill.Ripple = ripple
	c.FrontEnd.LowPass = lowPass
	return c
}

// growthBehind is by how much the power with which the back-EMF grows with the speed w
// misses 1 behind a first-order low-pass that holds its input for the time hold: the
// derivative of the logarithm of (1-p)/|1-p exp(-i w hold)|, p = exp(-hold/tau), by
// that of w. It goes to -x^2/(1+x^2), x = w tau, as hold goes to zero.
func growthBehind(w, tau, hold float64) float64 {
	if tau == 0 {
		return 0
	}
	p := math.Exp(-hold / tau)
	sin, cos := math.Sincos(w * hold)
	return -w * hold * p * sin / (1 - 2*p*cos + p*p)
}

// The bound is three of the stated standard deviations, which must be of use, and
// 0.03, which harmonics under the filter and converters' ends differ by.
func TestGrowth(t *testing.T) {
	if got, limit := growthBehind(1000, 0.001, 1e-7), -0.5; math.Abs(got-limit) > 1e-3 {
		t.Fatalf("behind a corner at w: %g, want %g", got, limit)
	}
	for seed := uint64(1); seed <= 5; seed += 2 {
		for _, tau := range []float64{0, 0.0003, 0.001} {
			c := drilled(seed, 0.01, tau)
			rec, truth := c.Record()
			a := newAnalysis(rec)
			a.fitBest()
			if a.fit == nil {
				t.Fatalf("seed %d: no fit", seed)
			}
			want := growthBehind(2*math.Pi*truth.SpeedAt(3), tau, 1/c.FrontEnd.RateHz)
			if off, sd := a.fit.Growth(); math.Abs(off-want) > 0.03+3*sd || sd > 0.05 {
				t.Errorf("seed %d, %g s: power off by %.3f +- %.3f, want %.3f", seed, tau, off, sd, want)
			}
		}
	}
}

// A drill's way up from rest, in a third of a second, leaves the growth at its speed as it
// is. Behind a first-order high-pass that leads by phi it is 1 + sin^2 phi: 60 degrees add
// 3/4, as long as the speed ripples slowly against the corner, 7 against 58 Hz. The bound
// is that of the test above.
func TestGrowthBesideTheWayUp(t *testing.T) {
	const hz = 100.0
	for _, phi := range []float64{0, 60} {
		c := spintest.Drilled(hz, 0.3, 1)
		want := 0.0
		if phi > 0 {
			c.FrontEnd.HighPass = 1 / (2 * math.Pi * hz * math.Tan(phi*math.Pi/180))
			want = math.Pow(math.Sin(phi*math.Pi/180), 2)
		}
		rec, _ := c.Record()
		a := newAnalysis(rec)
		a.fitBest()
		if off, sd := a.fit.Growth(); math.Abs(off-want) > 0.03+3*sd || sd > 0.05 {
			t.Errorf("%g degrees: power off by %.3f +- %.3f, want %.3f", phi, off, sd, want)
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
