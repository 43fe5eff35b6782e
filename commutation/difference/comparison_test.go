package difference

import (
	"math"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
	"handspin/commutation/winding"
)

// bench is a motor of 12 teeth and 14 magnets, coil by coil, with its front end and the
// way it is turned. The magnets are drawn by the seed, which stays; what differs between
// two recordings is the spin, and with it which noise meets which sample.
func bench(t *testing.T) synth.Config {
	t.Helper()
	const flux, hz = 0.02, 40.0
	machine, err := winding.New(12, 14)
	if err != nil {
		t.Fatal(err)
	}
	c := synth.Config{Motor: synth.NewMotor(7, flux), FrontEnd: synth.Board(), Spin: synth.Pushes(6, 3, 12), Seed: 5}
	c.Motor.Machine = &synth.Machine{Magnets: make([]synth.Magnet, 14), ToothDeg: -machine.Layout().AxisDeg()}
	for i := range c.Motor.Machine.Magnets {
		c.Motor.Machine.Magnets[i].Strength = 1
	}
	for _, coil := range machine.Layout().Coils {
		c.Motor.Machine.Coils = append(c.Motor.Machine.Coils, synth.Coil{Phase: coil.Phase, Sense: coil.Sense})
	}
	c.Motor.PoleStrength, c.Motor.PoleShift = 0.005, 0.3
	for i, off := range []float64{1, -2, 1.5} { // as far off as factory motors' are, all different
		c.Motor.Sensors[i].RiseDeg += 8 + off
		c.Motor.Sensors[i].HysteresisDeg = 3
	}
	c.FrontEnd.VoltsPerCount = flux * 2 * math.Pi * hz / 400
	return c
}

// again returns a configuration that shares nothing with c that a change may touch.
func again(c synth.Config, change func(*synth.Config)) synth.Config {
	machine := *c.Motor.Machine
	machine.Coils = append([]synth.Coil(nil), machine.Coils...)
	machine.Magnets = append([]synth.Magnet(nil), machine.Magnets...)
	c.Motor.Machine = &machine
	change(&c)
	return c
}

func nothing(*synth.Config) {}

// other turns the rotor the other way, and a little otherwise.
func other(c *synth.Config) { c.Spin = synth.Pushes(6, 3, -13) }

func analysed(t *testing.T, c synth.Config) *spin.Result {
	t.Helper()
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	rec, _ := c.Record()
	return spin.Analyse(rec, spin.Options{})
}

// sound is what the bench's motor shows, analysed once.
var sound *spin.Result

// compared compares a motor with what changes make of it; before is applied to the
// first, nil for none, after to the second.
func compared(t *testing.T, before func(*synth.Config), after ...func(*synth.Config)) Comparison {
	t.Helper()
	second := again(bench(t), func(c *synth.Config) {
		c.Spin = synth.Pushes(6, 4, 11)
		for _, change := range after {
			change(c)
		}
	})
	if before != nil {
		return Of(analysed(t, again(bench(t), before)), analysed(t, second), [2]int{7, 7})
	}
	if sound == nil {
		sound = analysed(t, bench(t))
	}
	return Of(sound, analysed(t, second), [2]int{7, 7})
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.4f, want %.4f within %g", what, got, want, tolerance)
	}
}

// The verdict of single changes and of two at once. Which way the rotor was turned makes
// no difference to it where sensors' places among themselves tell.
func TestVerdict(t *testing.T) {
	for _, c := range []struct {
		want   Verdict
		change func(*synth.Config)
	}{
		{Nothing, nothing},
		{Rotor, func(c *synth.Config) { c.Motor.Flux *= 0.62 }},
		{Winding, func(c *synth.Config) { c.Motor.Gain[1] = 0.85 }},
		{Sensors, func(c *synth.Config) { c.Motor.Sensors[2].RiseDeg += 9 }},
		{Several, func(c *synth.Config) { c.Motor.Flux *= 0.8; c.Motor.Sensors[0].RiseDeg -= 9 }},
	} {
		for _, way := range []func(*synth.Config){nothing, other} {
			x := compared(t, nil, c.change, way)
			if x.Verdict != c.want {
				t.Errorf("%s, want %s: %+v", x.Verdict, c.want, x)
			}
			if c.want == Rotor {
				// Five standard deviations, which say how far the magnets differ.
				near(t, "flux ratio", x.FluxRatio.Value, 0.62, 5*x.FluxRatio.SD)
				if !x.OneWay() {
					near(t, "torque ratio", x.TorqueRatio.Value, 0.62, 5*x.TorqueRatio.SD) // in proportion to the flux
				}
			}
		}
	}
}

// A reversed coil of p1 put right. Of the four coils of a phase of 12/14 two are at 15
// degrees and two at -15 (star of slots, 7*30 degrees from tooth to tooth): together
// 4 cos 15; with one reversed 2 exp(-+15 i). So p1 grows by 2 cos 15 = 1.932 and moves
// by 15 degrees, and nothing else moves, though the columns are against their mean.
func TestRepairedPhase(t *testing.T) {
	for lead := range 3 {
		reversed := func(c *synth.Config) {
			for k, coil := range c.Motor.Machine.Coils {
				if coil.Phase == c.Motor.PhaseOrder[lead] {
					c.Motor.Machine.Coils[k].Sense *= -1
					return
				}
			}
		}
		x := compared(t, reversed)
		if x.Verdict != Winding || x.Frame.By != TwoLeads || x.Frame.Lead != lead || x.ByInput {
			t.Errorf("p%d: %s by %+v", lead+1, x.Verdict, x.Frame)
		}
		for k := range 3 {
			ratio, deg := 1.0, 0.0
			if k == lead {
				ratio, deg = 2*math.Cos(math.Pi/12), 15
			}
			// Magnets that differ by half a per cent, of which the run's seven pairs
			// leave a third; a tenth of that in sensors' degrees and more, as the faulty
			// motor's angle hangs on two phases.
			near(t, "ratio", x.PhaseRatio[k].Value, ratio, 0.01)
			near(t, "size of the angle", math.Abs(x.PhaseDeg[k].Value), deg, 0.5)
			near(t, "sensor", x.SensorDeg[k].Value, 0, 0.8)
		}
		if len(x.Steps()) != 1 || x.Steps()[0] != (Step{Balance, true}) {
			t.Errorf("p%d: steps %v", lead+1, x.Steps())
		}
	}
}

// Two phases changed, one for the better and one for the worse: no voltage stood, and
// the sensors are taken to stand, which is said to be an assumption.
func TestTwoPhases(t *testing.T) {
	coil := func(phase, sense int) func(*synth.Config) {
		return func(c *synth.Config) {
			for k, coil := range c.Motor.Machine.Coils {
				if coil.Phase == phase {
					c.Motor.Machine.Coils[k].Sense *= sense
					return
				}
			}
		}
	}
	x := compared(t, coil(0, -1), coil(1, 0))
	if x.Verdict != Winding || x.Frame.By != AllSensors || x.SharedKnown() || x.FluxTells() || x.Pattern.Err != ErrWinding {
		t.Errorf("%s by %+v, pattern %v", x.Verdict, x.Frame, x.Pattern)
	}
}

// swung turns the rotor back and forth, by whole turns of the shaft.
func swung(c *synth.Config) { c.Spin = synth.BackAndForth(6, 4, 25) }

// A phase whose ends are exchanged, or were, is named though no motor could be wired so and
// the phases' order is then another one: the sensors' order tells which way it turned.
func TestReversedPhase(t *testing.T) {
	star := func(c *synth.Config) { c.FrontEnd.Reference = synth.Neutral }
	for lead := range 3 {
		reversed := func(c *synth.Config) { c.Motor.Gain[lead] = -1 }
		for _, x := range []Comparison{
			compared(t, nil, reversed), compared(t, nil, reversed, other), compared(t, reversed), compared(t, star, star, reversed), compared(t, reversed, other),
		} {
			if x.Verdict != Winding || x.Frame.Lead != lead || !x.Reversed() || x.ByInput || len(x.Exchanges) > 0 || x.BoardMoved() {
				t.Errorf("p%d: %s by %+v, sensors %v", lead+1, x.Verdict, x.Frame, x.Shared)
			}
			near(t, "ratio", x.PhaseRatio[lead].Value, 1, 0.01) // magnets, as above
			if x.Kept != "" || !math.IsNaN(x.TorqueRatio.Value) {
				t.Errorf("p%d: torque %v, %s, of a motor that runs with no wiring", lead+1, x.TorqueRatio, x.Kept)
			}
		}
	}
}

// Under the table of the first a board turned by x gives cos x of the torque of sensors in
// place: half at 60 degrees, less than nothing beyond 90, all of it backward at 180.
func TestKept(t *testing.T) {
	for _, c := range []struct {
		deg  float64
		want commutation.Behaviour
	}{
		{0, commutation.CleanForward}, {10, commutation.CleanForward}, {60, commutation.WeakForward},
		{90, commutation.Stall}, {120, commutation.WeakReverse}, {180, commutation.CleanReverse},
	} {
		for _, way := range []func(*synth.Config){nothing, other} {
			x := compared(t, nil, func(c0 *synth.Config) {
				for i := range c0.Motor.Sensors {
					c0.Motor.Sensors[i].RiseDeg += c.deg
				}
			}, way)
			if x.Kept != c.want {
				t.Errorf("turned by %g: %s, want %s", c.deg, x.Kept, c.want)
			}
		}
	}
}

// Without sensors the phases are compared, and nothing is said of what they stand to.
func TestNoSensors(t *testing.T) {
	bare := func(c synth.Config) *spin.Result {
		rec, _ := c.Record()
		for i := range rec.Hall {
			rec.Hall[i] = capture.UnknownLevels
		}
		return spin.Analyse(rec, spin.Options{})
	}
	for want, change := range map[Verdict]func(*synth.Config){Nothing: nothing, Winding: func(c *synth.Config) { c.Motor.Gain[1] = 0.85 }} {
		x := Of(bare(bench(t)), bare(again(bench(t), func(c *synth.Config) { other(c); change(c) })), [2]int{7, 7})
		if x.Verdict != want || !math.IsNaN(x.SensorDeg[0].Value) || !math.IsNaN(x.Shared[0]) || x.Kept != "" {
			t.Errorf("%s, want %s: sensors %v, %s", x.Verdict, want, x.SensorDeg, x.Kept)
		}
	}
}

func TestNeedsMotors(t *testing.T) {
	if x := Of(analysed(t, bench(t)), &spin.Result{}, [2]int{}); x.Verdict != Unknown || !math.IsNaN(x.FluxRatio.Value) {
		t.Errorf("%+v", x)
	}
}
