package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
)

// twice returns two spins of a motor, the second changed.
func twice(seed uint64, change func(m *synth.Motor)) (a, b *Result) {
	c := synth.Random(synth.Ordinary, seed)
	c.FrontEnd.GainError = [3]float64{}
	c.FrontEnd.Reference = synth.Neutral
	rec, _ := c.Record()
	a = Analyse(rec, Options{})
	c.Seed += 1000 // other noise, the same magnets
	for i := range c.Spin.Pushes {
		c.Spin.Pushes[i].At += 0.05
	}
	change(&c.Motor)
	rec, _ = c.Record()
	return a, Analyse(rec, Options{})
}

func TestCompare(t *testing.T) {
	for seed := uint64(1); seed <= 8; seed++ {
		for want, change := range map[Change]func(m *synth.Motor){
			NothingChanged: func(m *synth.Motor) {},
			RotorChanged:   func(m *synth.Motor) { m.Flux *= 0.62 },
			WindingChanged: func(m *synth.Motor) { m.Gain[1] *= 0.85 },
			SensorsChanged: func(m *synth.Motor) { m.Sensors[2].RiseDeg += 9 },
			SeveralChanged: func(m *synth.Motor) { m.Flux *= 0.8; m.Sensors[0].RiseDeg -= 9 },
		} {
			a, b := twice(seed, change)
			c := Compare(a, b, false)
			if c.Verdict != want {
				t.Errorf("seed %d: %s, want %s: %+v", seed, c.Verdict, want, c)
			}
			// The flux ratio is that of the change: 2 % covers magnets that
			// differ by up to 3 % over few shaft turns.
			if want == RotorChanged && !(math.Abs(c.FluxRatio.Value/0.62-1) < 0.02) {
				t.Errorf("seed %d: flux ratio %v, want 0.62", seed, c.FluxRatio)
			}
		}
	}
}

func TestCompareNeedsMotors(t *testing.T) {
	a, _ := twice(1, func(m *synth.Motor) {})
	if c := Compare(a, &Result{}, false); c.Verdict != CannotCompare || !math.IsNaN(c.FluxRatio.Value) {
		t.Errorf("%+v", c)
	}
}

// TestCompareStopped: a stuck sensor has no place to compare, the others have; seen in
// opposite directions and alone, a sensor cannot be told from its hysteresis.
func TestCompareStopped(t *testing.T) {
	a, b := twice(1, func(m *synth.Motor) { m.Sensors[1].Stuck = synth.StuckHigh })
	c := Compare(a, b, false)
	if c.Verdict != SensorsChanged || c.Stopped != [3]bool{false, true, false} || c.Started != [3]bool{} {
		t.Errorf("%+v", c)
	}
	if !math.IsNaN(c.SensorDeg[1].Value) || !(math.Abs(c.SensorDeg[0].Value) < sensorWorth) || !(math.Abs(c.SensorDeg[2].Value) < sensorWorth) {
		t.Errorf("the sensors moved by %v", c.SensorDeg)
	}
	for k := range 3 {
		a.Sensors[k].Placed = k == 0
	}
	if c := Compare(a, b, true); !math.IsNaN(c.SensorDeg[0].Value) {
		t.Errorf("one sensor, the other way round: %v", c.SensorDeg)
	}
}

// Exchanged Hall leads and an inverted sensor are seen for what they are. A sensor that
// moved by half a turn may have either sign.
func TestCompareLeads(t *testing.T) {
	a, b := twice(1, func(m *synth.Motor) { m.Sensors[0], m.Sensors[2] = m.Sensors[2], m.Sensors[0] })
	c := Compare(a, b, false)
	if i, j, ok := c.Exchanged(); c.Verdict != SensorsChanged || i != 0 || j != 2 || !ok {
		t.Errorf("h1 and h3 exchanged: %v, %d %d %v", c.SensorDeg, i, j, ok)
	}
	for seed := uint64(1); seed <= 8; seed++ {
		a, b = twice(seed, func(m *synth.Motor) { m.Sensors[1].RiseDeg += 180 })
		c = Compare(a, b, false)
		if off := math.Abs(c.SensorDeg[1].Value); c.Verdict != SensorsChanged || !(off > 180-sensorWorth) {
			t.Errorf("seed %d, h2 inverted: %v, %v", seed, c.Verdict, c.SensorDeg)
		}
		if _, _, ok := c.Exchanged(); ok {
			t.Errorf("seed %d, h2 inverted: passes for an exchange", seed)
		}
	}
}
