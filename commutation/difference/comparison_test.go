package difference

import (
	"math"
	"testing"

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

// Sensors against hysteresis. Turned the other way a board's move is known up to twice
// the largest usual hysteresis; the true 3 degrees here lie within. A single sensor's move
// is that sensor's, not a third of it everybody's.
func TestOtherWay(t *testing.T) {
	const tolerance = 0.5 // deg: magnets' borders that differ by 0.3
	board := func(deg float64) func(*synth.Config) {
		return func(c *synth.Config) {
			for i := range c.Motor.Sensors {
				c.Motor.Sensors[i].RiseDeg += deg
			}
		}
	}
	for _, deg := range []float64{0, 15, -15} {
		x := compared(t, nil, board(deg), other)
		if !(x.Shared[0] < deg+tolerance && deg-tolerance < x.Shared[1]) || x.BoardMoved() != (deg != 0) {
			t.Errorf("moved by %g: %v, %v", deg, x.Shared, x.BoardMoved())
		}
		near(t, "range", x.Shared[1]-x.Shared[0], 12, 1e-9)
		x = compared(t, nil, board(deg))
		near(t, "all of them, same way", x.Shared[0], deg, tolerance)
		x = compared(t, swung, board(deg), swung)
		near(t, "all of them, both ways", math.Abs(x.Shared[0]), math.Abs(deg), tolerance) // which way is forward may differ
		// The first's hysteresis is known, and taken off the second.
		x = compared(t, swung, board(deg))
		near(t, "all of them, both ways and one", math.Abs(x.Shared[0]), math.Abs(deg), tolerance)
		if !x.SharedKnown() {
			t.Errorf("both ways and one: %v", x.Shared)
		}
	}
	for _, way := range []func(*synth.Config){nothing, other} {
		x := compared(t, nil, func(c *synth.Config) { c.Motor.Sensors[1].RiseDeg += 12 }, way)
		if moved := x.Moved(); len(moved) != 1 || moved[0] != 1 || x.BoardMoved() {
			t.Errorf("h2 alone moved: %v, %v", x.SensorDeg, x.Shared)
		}
		near(t, "h1", x.SensorDeg[0].Value, 0, tolerance)
		near(t, "h2", x.AgainstOthers(1), 12, tolerance)
	}
}

// Hysteresis that differs by a fifth either way from sensor to sensor puts 4 degrees
// between sensors that did not move, twice the difference of 6 and 4.
func TestOtherWayUnlike(t *testing.T) {
	unlike := func(c *synth.Config) {
		for i, h := range []float64{6, 4, 5} {
			c.Motor.Sensors[i].HysteresisDeg = h
		}
	}
	if x := compared(t, unlike, unlike, other); x.Verdict != Nothing || len(x.Moved()) > 0 {
		t.Errorf("%s, %v", x.Verdict, x.SensorDeg)
	}
}

// swung turns the rotor back and forth, by whole turns of the shaft.
func swung(c *synth.Config) { c.Spin = synth.BackAndForth(6, 4, 25) }

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

// The shift of three sensors near one another is their mean.
func TestSharedShift(t *testing.T) {
	m := moves{sensors: 3, deg: [3]spin.Value{{Value: 178}, {Value: 179}, {Value: -179}}}
	near(t, "shift", math.Abs(commutation.Signed(m.most()-538.0/3)), 0, 1e-9) // 178, 179 and 181
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

// An inverted sensor is no exchange.
func TestInverted(t *testing.T) {
	x := compared(t, nil, func(c *synth.Config) { c.Motor.Sensors[1].RiseDeg += 180 })
	if x.Verdict != Sensors || len(x.Exchanges) > 0 || !(math.Abs(x.AgainstOthers(1)) > 180-sensorWorth) {
		t.Errorf("%s, %v, %+v", x.Verdict, x.SensorDeg, x.Exchanges)
	}
}

// A stuck sensor has no place to compare, the others have.
func TestStopped(t *testing.T) {
	x := compared(t, nil, func(c *synth.Config) { c.Motor.Sensors[1].Stuck = synth.StuckHigh })
	if x.Verdict != Sensors || x.Stopped != [3]bool{false, true, false} || x.Started != [3]bool{} {
		t.Errorf("%+v", x)
	}
	if !math.IsNaN(x.SensorDeg[1].Value) || len(x.Moved()) > 0 {
		t.Errorf("the sensors moved by %v", x.SensorDeg)
	}
}

// One sensor alone, seen in opposite directions, cannot be told from its hysteresis.
func TestOneSensor(t *testing.T) {
	first, second := analysed(t, bench(t)), analysed(t, again(bench(t), other))
	for k := range 3 {
		first.Sensors[k].Placed = k == 0
	}
	if x := Of(first, second, [2]int{}); !math.IsNaN(x.SensorDeg[0].Value) {
		t.Errorf("moved by %v", x.SensorDeg)
	}
}

func TestNeedsMotors(t *testing.T) {
	if x := Of(analysed(t, bench(t)), &spin.Result{}, [2]int{}); x.Verdict != Unknown || !math.IsNaN(x.FluxRatio.Value) {
		t.Errorf("%+v", x)
	}
}
