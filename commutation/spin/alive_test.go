package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
)

// A sensor that bounces three times at each edge changes seven times as often as the others,
// which are as well as ever: the sensors alone give the turning all the same. 200 us are two
// degrees at 30 turns a second, the most that a hand of [synth.Random] makes.
func TestHallsWithOneThatBounces(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		c.Motor.Sensors[1].Bounces, c.Motor.Sensors[1].BounceUS = 3, 200
		rec, _ := c.Record()
		rec.Columns = nil
		bouncing := Analyse(rec, Options{})
		c.Motor.Sensors[1].Bounces = 0
		rec, _ = c.Record()
		rec.Columns = nil
		sound := Analyse(rec, Options{})
		for i, s := range sound.Sensors {
			if off := commutation.Signed(bouncing.Sensors[i].RiseDeg.Value - s.RiseDeg.Value); !(math.Abs(off) < 2) {
				t.Errorf("seed %d, h%d: rises at %v, %v if none bounces", seed, i+1, bouncing.Sensors[i].RiseDeg, s.RiseDeg)
			}
		}
		if !hasFinding(bouncing, "sensor-noisy", "h2") {
			t.Errorf("seed %d: %v", seed, bouncing.Findings)
		}
	}
}

// A bouncing sensor at nine samples a turn does not make the rotor too fast for the sampling.
func TestBouncesAreNoSpeed(t *testing.T) {
	c := synth.Random(synth.Fast, 3)
	c.Spin = synth.Drilled(2, c.FrontEnd.RateHz/9)
	c.Motor.Sensors[1].Bounces, c.Motor.Sensors[1].BounceUS = 3, 150
	rec, _ := c.Record()
	if r := Analyse(rec, Options{}); hasFinding(r, "too-fast", "") {
		t.Error(r.Findings)
	}
}
