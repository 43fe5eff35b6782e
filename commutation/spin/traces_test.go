package spin

import (
	"math"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
)

// trueWave is the back-EMF of a signal by the truth, against the star point.
func trueWave(truth synth.Truth, s capture.Signal) commutation.Wave {
	of := func(k int) (w commutation.Wave) {
		for _, h := range truth.Phases[k].Wave {
			w = append(w, commutation.Harmonic{N: h.N, Sin: h.Sin, Cos: h.Cos})
		}
		return w
	}
	if !s.Difference() {
		return of(int(s))
	}
	k := int(s - capture.P12)
	return combination(of(k), of((k+1)%3))
}

// checkWaves compares points and fit with the truth: gains are off by up to 1 %,
// and within its bin of 3 degrees a point may sit 1.5 degrees off the middle, 2.6 %
// of the peak where a sine is steepest; magnets that differ add the rest of 5 %.
func checkWaves(t *testing.T, got *Traces, truth synth.Truth) {
	t.Helper()
	for _, trace := range got.Waves {
		want := trueWave(truth, trace.Signal)
		limit := 0.05 * math.Hypot(want[0].Sin, want[0].Cos)
		if len(trace.Points) < bins*9/10 {
			t.Errorf("%s has %d points", trace.Signal, len(trace.Points))
		}
		for _, p := range trace.Points {
			exact := want.At(p.Deg)
			if math.Abs(p.Value-exact) > limit || math.Abs(trace.Fit.At(p.Deg)-exact) > limit {
				t.Fatalf("%s at %.1f degrees: measured %.4g, fit %.4g, true %.4g V s", trace.Signal, p.Deg, p.Value, trace.Fit.At(p.Deg), exact)
			}
			if !(p.Scatter >= 0) {
				t.Fatalf("%s at %.1f degrees scatters by %g", trace.Signal, p.Deg, p.Scatter)
			}
		}
	}
}

// checkLevels: a sensor is high between its edges and low elsewhere, but for the
// 9 degrees around an edge: up to 6 of hysteresis, and the magnets, whose borders lie off by
// 1 degree (standard deviation), at most 3 of these.
func checkLevels(t *testing.T, got *Traces, truth synth.Truth) {
	t.Helper()
	for i, s := range truth.Sensors {
		width := commutation.Wrap(s.FallDeg - s.RiseDeg)
		for d, share := range got.Levels[i] {
			at := commutation.Wrap(float64(d) + 0.5 - s.RiseDeg)
			near := min(at, 360-at, math.Abs(at-width))
			want := 0.0
			if at < width {
				want = 1
			}
			if near > 9 && math.Abs(share-want) > 0.02 {
				t.Fatalf("h%d at %d degrees is high for %.2f of the turning, want %g", i+1, d, share, want)
			}
		}
	}
}

func TestTraces(t *testing.T) {
	for _, kind := range []synth.Kind{synth.Ordinary, synth.Reversing} {
		for seed := uint64(1); seed <= 3; seed++ {
			c := synth.Random(kind, seed)
			c.FrontEnd.Reference = synth.Neutral
			for i := range c.Motor.Sensors {
				c.Motor.Sensors[i].Bounces = 0 // which are levels, too, but not the sensor's
			}
			rec, truth := c.Record()
			got := Analyse(rec, Options{}).Traces()
			if len(got.Waves) != 3 || len(got.Runs) != 1 || !got.Volts {
				t.Fatalf("%v %d: %d waves, %d runs, volts %v", kind, seed, len(got.Waves), len(got.Runs), got.Volts)
			}
			checkWaves(t, got, truth.From(truth.Phases[0].AngleDeg))
			checkLevels(t, got, truth)
			checkSpeed(t, got.Runs[0], truth)
		}
	}
}

// checkSpeed: the speed is known to some per cent of the fastest, and better where
// the rotor turns quickly.
func checkSpeed(t *testing.T, run Run, truth synth.Truth) {
	t.Helper()
	fastest := 0.0
	for _, p := range run.Speed {
		fastest = max(fastest, math.Abs(truth.SpeedAt(p.Second)))
	}
	for _, p := range run.Speed {
		if want := truth.SpeedAt(p.Second); math.Abs(p.Rate-want) > 0.04*fastest {
			t.Fatalf("at %.2f s the rate is %.2f turns per second, want %.2f", p.Second, p.Rate, want)
		}
	}
}

// Joined recordings show what each of them measured, at one angle.
func TestTracesOfJoinedRecordings(t *testing.T) {
	recs, truth := fourSpins(2)
	r, err := AnalyseAll(recs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := r.Traces()
	if len(got.Waves) != 2 || got.Waves[0].Signal != capture.P12 || got.Waves[1].Signal != capture.P23 {
		t.Fatalf("%d waves", len(got.Waves))
	}
	if len(got.Runs) != len(recs) {
		t.Errorf("%d runs of %d recordings", len(got.Runs), len(recs))
	}
	truth = truth.From(truth.Phases[0].AngleDeg)
	checkWaves(t, got, truth)
	checkLevels(t, got, truth)
}

// In a chain of recordings each has a zero of its own.
func TestTracesOfAChain(t *testing.T) {
	recs, truth := fourSpins(2)
	recs[1], _ = synth.Random(synth.Ordinary, 2).Record()
	recs[1] = only(recs[1], []int{1, 2}, 0, false) // h1 is not in it
	r, err := AnalyseAll(recs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkLevels(t, r.Traces(), truth.From(truth.Phases[0].AngleDeg))
}

// A result that no recording stands behind has no traces, and one without
// back-EMF has levels and speed only.
func TestTracesOfLittle(t *testing.T) {
	if got := new(Result).Traces(); len(got.Waves) != 0 || len(got.Runs) != 0 || got.Volts {
		t.Errorf("%+v", got)
	}
	rec, _ := synth.Random(synth.Ordinary, 4).Record()
	rec.Columns = nil
	got := Analyse(rec, Options{}).Traces()
	// Angle zero is h1's rising edge here.
	if len(got.Waves) != 0 || len(got.Runs) != 1 || got.Levels[0][90] < 0.98 || got.Levels[0][270] > 0.02 {
		t.Errorf("%d waves, %d runs", len(got.Waves), len(got.Runs))
	}
}
