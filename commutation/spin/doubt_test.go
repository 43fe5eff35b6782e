package spin

import (
	"math"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation/spin/spintest"
)

// Scales of the columns that are off by as much as is stated of them, uniformly, are in the
// stated errors: of leads against one of them, of two differences and of three. Sizes are
// relative to the strongest phase, as a sound motor's are known to be alike.
func TestUnequalColumns(t *testing.T) {
	for what, c := range map[string]struct {
		reference synth.Reference
		columns   int
	}{
		"neutral": {synth.Neutral, 3}, "first lead": {synth.FirstLead, 3}, "lowest": {synth.LowestLead, 3},
		"differences": {synth.Differences, 3}, "two differences": {synth.Differences, 2},
	} {
		var edges, phases, sizes, flux []float64
		for seed := uint64(1); seed <= 16; seed++ {
			config := synth.Random(synth.Ordinary, seed)
			config.FrontEnd.Reference, config.Motor.Gain = c.reference, [3]float64{1, 1, 1}
			for i := range 3 { // within sqrt(3) of the standard deviation
				config.FrontEnd.GainError[i] *= math.Sqrt(3) * columnSD / 0.01
			}
			rec, truth := config.Record()
			rec.Columns = rec.Columns[:c.columns]
			r := Analyse(rec, Options{})
			e, p := inDeviations(r, truth)
			edges, phases = append(edges, e...), append(phases, p...)
			for _, p := range r.Phases {
				if p.Amplitude.SD > 0 { // the strongest is 1
					sizes = append(sizes, (p.Amplitude.Value-1)/p.Amplitude.SD)
				}
			}
			flux = append(flux, (r.FluxLinkage.Value-truth.FluxVS)/r.FluxLinkage.SD)
		}
		// Of 16 motors the effective value is known to 1/sqrt(2*16), a fifth and less. The
		// strongest phase is that with the largest error: sizes and flux have a mean.
		for name, z := range map[string][]float64{"edges": edges, "phases": phases, "sizes": sizes, "flux": flux} {
			if x := rms(z); !(x < 1.4) || name != "edges" && c.reference != synth.Neutral && x < 0.5 {
				t.Errorf("%s: errors of %s are %.2f times the stated deviations, want about 1", what, name, x)
			}
		}
	}
}

// Half waves are told, cut at the top or not; whole waves that are cut on both sides are
// none.
func TestOneSided(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		for what, c := range map[string]struct {
			kind  synth.Kind
			flux  float64
			sided bool
		}{
			"half waves": {synth.HalfWaves, 1, true}, "half waves, cut": {synth.HalfWaves, 2, true},
			"whole, cut": {synth.Clipped, 1, false}, "whole": {synth.Ordinary, 1, false},
		} {
			config := synth.Random(c.kind, seed)
			config.Motor.Flux *= c.flux
			rec, _ := config.Record()
			if a := Analyse(rec, Options{}).only(); a.fit == nil || a.fit.Signals.OneSided() != c.sided {
				t.Errorf("seed %d, %s: want %t", seed, what, c.sided)
			}
		}
	}
}

// The size of half waves of a drill is stated to what it is known.
func TestHalfWaveSize(t *testing.T) {
	for seed := uint64(201); seed <= 203; seed++ {
		for _, larger := range []float64{0.2, 1, 4} {
			c := synth.Random(synth.Fast, seed)
			c.FrontEnd.Reference, c.FrontEnd.OffsetCounts = synth.HalfWave, [3]float64{}
			c.Motor.Flux *= larger
			rec, truth := c.Record()
			f := Analyse(rec, Options{}).FluxLinkage
			if off := math.Abs(f.Value - truth.FluxVS); !(off < 3*f.SD && f.SD < 0.1*f.Value) {
				t.Errorf("seed %d, %g times as large: %.4f +-%.4f, want %.4f", seed, larger, f.Value, f.SD, truth.FluxVS)
			}
		}
	}
}

// A second recording of the same kind does not make what it hides, too, any surer.
func TestJoinedZero(t *testing.T) {
	first, _ := synth.Random(synth.HalfWaves, 2).Record()
	again := synth.Random(synth.HalfWaves, 2)
	again.Seed++
	second, _ := again.Record()
	one := Analyse(first, Options{})
	joined, err := AnalyseAll([]*capture.Recording{first, second}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !(one.ZeroSD > 0.05) || !(joined.ZeroSD > 0.7*one.ZeroSD) {
		t.Errorf("the zero is known to %.2f degrees of one recording, of two to %.2f", one.ZeroSD, joined.ZeroSD)
	}
}

// A drill that turns slowly leaves it open by how much all sensors are late, and each edge
// is as sure against the others as ever.
func TestSharedErrorsApart(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		rec, _ := spintest.Drilled(20, 0, seed).Record()
		for i, s := range Analyse(rec, Options{}).Sensors {
			if !(s.RiseDeg.SD < 0.5) {
				t.Errorf("seed %d: h%d rises at %.1f +-%.2f degrees", seed, i+1, s.RiseDeg.Value, s.RiseDeg.SD)
			}
		}
	}
}
