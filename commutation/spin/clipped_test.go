package spin

import (
	"math"
	"strings"
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

// Differences of leads that are cut off are as good as leads: the largest by a little, all
// of them, and so much of them that their size is not known. The targets are those of
// clipped columns, and twice those where while both of two columns are cut off nothing
// tells the angle; the columns' scales are exact, so that 2 % of the size is of the fit.
func TestClippedDifferences(t *testing.T) {
	for _, seed := range []uint64{5, 6, 8, 9} {
		for _, larger := range []float64{1, 2, 4} {
			for _, columns := range []int{2, 3} {
				c := synth.Random(synth.Ordinary, seed)
				c.FrontEnd.Reference, c.FrontEnd.GainError = synth.Differences, [3]float64{}
				c.Motor.Flux *= larger
				rec, truth := c.Record()
				rec.Columns = rec.Columns[:columns]
				r := Analyse(rec, Options{})
				edge, phase := worstErrors(r, truth)
				if limit := targets[synth.Clipped] * float64(4-columns); !(edge <= limit && phase <= limit) || math.Abs(r.FluxLinkage.Value/truth.FluxVS-1) > 0.02 {
					t.Errorf("seed %d, %g times as large, %d columns: edges off by %.2f, phases by %.2f degrees, flux linkage %.4f, want %.4f\n%v",
						seed, larger, columns, edge, phase, r.FluxLinkage.Value, truth.FluxVS, r.Findings)
				}
				if e, _ := inDeviations(r, truth); !(rms(e) < 2) { // all six edges share most of their error
					t.Errorf("seed %d, %g times as large, %d columns: edges off by %.1f stated deviations", seed, larger, columns, rms(e))
				}
			}
		}
	}
}

// Where too much is cut off for anything to be read, that is said.
func TestCutOffBeyondUse(t *testing.T) {
	c := synth.Random(synth.HalfWaves, 2)
	c.Motor.Flux *= 10
	rec, _ := c.Record()
	r := Analyse(rec, Options{})
	if r.Usable || len(r.Findings) == 0 || !strings.Contains(r.Findings[0].Text, "cut off at a limit") {
		t.Errorf("%t, %v", r.Usable, r.Findings)
	}
}

// One or two columns of half waves, which are at their bottom half of the time as they have
// to be, are not said to be cut off; nor are flat tops of voltages between leads.
func TestNotCutOff(t *testing.T) {
	for columns := 1; columns <= 2; columns++ {
		rec, _ := synth.Random(synth.HalfWaves, 1).Record()
		rec.Columns = rec.Columns[:columns]
		if r := Analyse(rec, Options{}); r.Usable || !hasFinding(r, "phase-not-recorded", "") {
			t.Errorf("%d columns: %v", columns, r.Findings)
		}
	}
	for columns := 2; columns <= 3; columns++ {
		for seed := uint64(1); seed <= 3; seed++ {
			c := spintest.FlatTopped(seed)
			c.FrontEnd.Reference = synth.Differences
			c.Motor.Flux /= 2 // within the columns' range
			rec, _ := c.Record()
			rec.Columns = rec.Columns[:columns]
			if r := Analyse(rec, Options{}); !r.Usable || hasFinding(r, "phase-clipped", "") {
				t.Errorf("seed %d, %d columns: %v", seed, columns, r.Findings)
			}
		}
	}
}

// Half waves of a drill, of which noise lifts a few samples from the bottom: taken for
// samples of the wave these made it a quarter smaller.
func TestTailOfTheBottom(t *testing.T) {
	for seed := uint64(101); seed <= 103; seed++ {
		c := synth.Random(synth.Fast, seed)
		c.FrontEnd.Reference, c.FrontEnd.OffsetCounts, c.FrontEnd.GainError = synth.HalfWave, [3]float64{}, [3]float64{}
		rec, truth := c.Record()
		if f := Analyse(rec, Options{}).FluxLinkage; !(math.Abs(f.Value/truth.FluxVS-1) < 0.02) { // of the fit, as above
			t.Errorf("seed %d: flux linkage %.4f, want %.4f", seed, f.Value, truth.FluxVS)
		}
	}
}
