package spin

import (
	"math"
	"slices"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
)

// placed is a smooth spin both ways of a motor whose sensors have no error but those
// given, and the given hysteresis.
func placed(errors [3]float64, hysteresis float64) (*Result, synth.Truth) {
	m := synth.NewMotor(4, 0.05)
	m.Sensors = synth.Placed(120, 30, [3]int{0, 1, 2}, errors)
	for i := range m.Sensors {
		m.Sensors[i].HysteresisDeg = hysteresis
	}
	c := synth.Config{Motor: m, Spin: synth.BackAndForth(6, 5, 12), FrontEnd: synth.Board(), Seed: 7}
	rec, truth := c.Record()
	return Analyse(rec, Options{}), truth
}

// One sensor out of place by itself leaves the others' places alone, and is off by what
// it was moved: also by 60 degrees, where another line of the grid is nearer than its
// own. Errors that are alike are shared: their mean is no sensor's error. An edge of so
// smooth a spin is known to a tenth of a degree; half a degree is asked for.
func TestOffPlace(t *testing.T) {
	for _, c := range []struct{ errors, want [3]float64 }{
		{[3]float64{0, -15, 0}, [3]float64{0, -15, 0}},
		{[3]float64{0, 0, 24}, [3]float64{0, 0, 24}},
		{[3]float64{36, 0, 0}, [3]float64{36, 0, 0}},
		{[3]float64{0, 0, 60}, [3]float64{0, 0, 60}},
		{[3]float64{0, -60, 0}, [3]float64{0, -60, 0}},
		{[3]float64{4, -2, 1}, [3]float64{3, -3, 0}},
	} {
		r, truth := placed(c.errors, 2)
		sense := 1.0
		if truth.Mirrored { // late in the machine's sense is early
			sense = -1
		}
		for i, s := range r.Sensors {
			if math.Abs(sense*s.ErrorDeg-c.want[i]) > 0.5 {
				t.Errorf("%v: h%d is off by %.1f, want %g", c.errors, i+1, s.ErrorDeg, c.want[i])
			}
			named := slices.ContainsFunc(r.Findings, func(f commutation.Finding) bool { return f.Code == "sensor-misplaced" && f.Lead == leadName("h", i) })
			if named != (math.Abs(c.want[i]) > misplacedDeg) {
				t.Errorf("%v: h%d named %v", c.errors, i+1, named)
			}
		}
	}
}

// Hysteresis is no fault of the levels, whichever way the rotor turned more.
func TestHysteresisIsNoWrongLevel(t *testing.T) {
	for _, h := range []float64{2, 8, 12, 16} {
		r, _ := placed([3]float64{}, h)
		for i, s := range r.Sensors {
			if math.Abs(s.HysteresisDeg.Value-h) > 0.5 || s.Agreement < 0.999 {
				t.Errorf("h%d: hysteresis %.1f, want %g; agreement %.4f, want 1", i+1, s.HysteresisDeg.Value, h, s.Agreement)
			}
		}
	}
}
