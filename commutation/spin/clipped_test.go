package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// Half waves whose noise a converter's end cuts in half are read as half waves.
func TestHalfWavesWithNoise(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		c := synth.Random(synth.HalfWaves, seed)
		c.FrontEnd.NoiseCounts = 8
		verdict, _, r, truth := answer(c, commutation.Typical())
		if verdict != commutation.Ranked || hasFinding(r, "phase-weak", "") {
			t.Errorf("seed %d: %s %v", seed, verdict, r.Findings)
		}
		for i, p := range r.Phases {
			want := truth.From(truth.Seen[0].AngleDeg).Seen[i].AngleDeg
			if off := commutation.Signed(p.AngleDeg.Value - want); !(math.Abs(off) < 2) { // as 2 degrees are asked of a circuit's recording
				t.Errorf("seed %d: p%d is off by %.1f degrees", seed, i+1, off)
			}
		}
	}
}

// Flat tops do not pass for clipped. The phases of this motor are equal: each is within
// 1 %, ten times what is stated.
func TestFlatTops(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		rec, _ := spintest.FlatTopped(seed).Record()
		for i, p := range Analyse(rec, Options{}).Phases {
			if math.Abs(p.Amplitude.Value-1) > 0.01 {
				t.Errorf("seed %d: p%d has %v of the strongest", seed, i+1, p.Amplitude)
			}
		}
	}
}
