package difference

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation/spin"
)

// What changes one column's size is a phase or its input; a phase shows in the other
// columns as well, unless they are against the star point.
func TestInput(t *testing.T) {
	weak := func(c *synth.Config) { c.Motor.Gain[2] = 0.9 }
	input := func(c *synth.Config) { c.FrontEnd.GainError[2] = -0.1 }
	star := func(c *synth.Config) { c.FrontEnd.Reference = synth.Neutral }
	for _, c := range []struct {
		name   string
		before func(*synth.Config)
		after  func(*synth.Config)
		by     bool
	}{
		{"divider, virtual star", nil, input, true},
		{"phase, virtual star", nil, weak, false},
		{"divider, star point", star, func(c *synth.Config) { star(c); input(c) }, true},
		{"phase, star point", star, func(c *synth.Config) { star(c); weak(c) }, true},
	} {
		x := compared(t, c.before, c.after)
		if x.Verdict != Winding || x.Frame.Lead != 2 || x.ByInput != c.by {
			t.Errorf("%s: %s, lead %d, by input %v", c.name, x.Verdict, x.Frame.Lead, x.ByInput)
		}
		near(t, c.name, x.PhaseRatio[2].Value, 0.9, 0.01) // magnets, as above
	}
}

// An unbalanced motor is the same one against its star point and against the mean of its
// leads, in which the weak phase is in all columns.
func TestOtherReference(t *testing.T) {
	weak := func(c *synth.Config) { c.Motor.Gain[2] = 0.8 }
	x := compared(t, weak, weak, func(c *synth.Config) { c.FrontEnd.Reference = synth.Neutral })
	if x.Verdict != Nothing || x.PhasesChanged() {
		t.Errorf("%s, %v", x.Verdict, x.PhaseRatio)
	}
}

// Where neither file says volts, counts of one front end are compared; where one does, there
// is nothing to compare them with.
func TestCounts(t *testing.T) {
	counts := func(change func(*synth.Config)) *spin.Result {
		c := again(bench(t), change)
		rec, _ := c.Record()
		rec.VoltsPerUnit = 0
		return spin.Analyse(rec, spin.Options{})
	}
	weak := counts(func(c *synth.Config) { c.Motor.Flux *= 0.8 })
	x := Of(counts(nothing), weak, [2]int{7, 7})
	if x.Verdict != Rotor || !x.ByCounts {
		t.Errorf("%s, %+v", x.Verdict, x.FluxRatio)
	}
	near(t, "flux by counts", x.FluxRatio.Value, 0.8, 5*x.FluxRatio.SD)
	if x = Of(analysed(t, bench(t)), weak, [2]int{7, 7}); x.FluxTells() || !math.IsNaN(x.TorqueRatio.Value) || x.ByCounts {
		t.Errorf("volts in one only: %+v", x.FluxRatio)
	}
}

// A change of flux beyond its error is told though it is too small for a verdict.
func TestFluxSlightly(t *testing.T) {
	x := compared(t, nil, func(c *synth.Config) { c.Motor.Flux *= 0.98 })
	if x.Verdict != Nothing || !x.FluxSlightly() {
		t.Errorf("%s, flux %v", x.Verdict, x.FluxRatio)
	}
	if x = compared(t, nil); x.FluxSlightly() {
		t.Errorf("of no change: flux %v", x.FluxRatio)
	}
}

// A recording through capacitors of 5 ms, which leave 1/sqrt(1+0.4^2) = 0.93 of the back-EMF at 12 Hz,
// is doubted: what differs is no verdict on the motor. A rotor swung as far either way is what
// was asked for.
func TestDoubted(t *testing.T) {
	x := compared(t, nil, func(c *synth.Config) { c.FrontEnd.LowPass = 0.005 })
	if x.Verdict != Unknown || x.Doubted != [2]bool{false, true} || !x.Compared() || !x.FluxChanged() || x.Steps() != nil || x.Kept != "" {
		t.Errorf("%s, doubted %v, flux %v, steps %v, %s", x.Verdict, x.Doubted, x.FluxRatio, x.Steps(), x.Kept)
	}
	if x = compared(t, swung, swung); x.Verdict != Nothing || x.Doubted != [2]bool{} {
		t.Errorf("swung: %s, %v", x.Verdict, x.Doubted)
	}
}

// Half waves of a divider by 11 read more than the motor gives, by least squares over such a half wave,
// computed apart, 3.9 %; that is no change of it. Less flux by 0.85 is
// told, and proves nothing where columns are cut off.
func TestHalfWaves(t *testing.T) {
	half := func(c *synth.Config) {
		c.FrontEnd.Reference, c.FrontEnd.ClampLoad, c.FrontEnd.OffsetCounts = synth.HalfWave, 0.1, [3]float64{}
	}
	x := compared(t, nil, half)
	if x.Verdict != Nothing {
		t.Errorf("%s, flux %v", x.Verdict, x.FluxRatio)
	}
	near(t, "flux of half waves", x.FluxRatio.Value, 1.039, 0.01) // what the fit takes of the edges of the half waves
	if x = compared(t, nil, half, func(c *synth.Config) { c.Motor.Flux *= 0.85 }); x.Verdict != Unknown || !x.FluxChanged() || !x.Clipped {
		t.Errorf("less flux: %s, %v", x.Verdict, x.FluxRatio)
	}
}
