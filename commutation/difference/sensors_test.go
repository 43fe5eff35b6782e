package difference

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
	"handspin/commutation/spin/spintest"
)

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

// The shift of three sensors near one another is their mean.
func TestSharedShift(t *testing.T) {
	m := moves{sensors: 3, deg: [3]spin.Value{{Value: 178}, {Value: 179}, {Value: -179}}}
	near(t, "shift", math.Abs(commutation.Signed(m.most()-538.0/3)), 0, 1e-9) // 178, 179 and 181
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

// Sensors with a delay of 400 us are 360 x 40 Hz x 400 us = 5.8 degrees later at a drill's 40 Hz, and
// have not moved; the delay that is usual leaves 7.2 degrees open. With the board turned by 15
// they have. Where the speed varies the delay shows and is taken out.
func TestDelay(t *testing.T) {
	late := func(c *synth.Config) {
		for i := range c.Motor.Sensors {
			c.Motor.Sensors[i].LateUS = 400
		}
	}
	drilled := func(c *synth.Config) { late(c); c.Spin = synth.Drilled(6, 40) }
	x := compared(t, late, drilled)
	if x.Verdict != Nothing || !x.Late || x.OtherWay || x.SharedKnown() {
		t.Errorf("%s, %v, sensors %v", x.Verdict, x.Shared, x.SensorDeg)
	}
	near(t, "most", x.Shared[1], 5.8, 1) // a third of what is taken out at the pushes' mean, as spin says of it
	near(t, "range", x.Shared[1]-x.Shared[0], 7.2, 0.05)
	if x = compared(t, late, drilled, func(c *synth.Config) {
		for i := range c.Motor.Sensors {
			c.Motor.Sensors[i].RiseDeg += 15
		}
	}); x.Verdict != Sensors || !x.BoardMoved() {
		t.Errorf("turned: %s, %v", x.Verdict, x.Shared)
	}
	if x = compared(t, drilled, drilled, func(c *synth.Config) { c.Spin.Drill.Hz = 41 }); x.Late || !x.SharedKnown() {
		t.Errorf("one speed: %v", x.Shared)
	}
}

// A sensor that moved by 10 degrees is found between two recordings of a drill, which leave
// the place of all sensors open but not of one against the others.
func TestMovedBetweenDrills(t *testing.T) {
	for _, hz := range []float64{20, 60} {
		for seed := uint64(1); seed <= 3; seed++ {
			first, second := spintest.Drilled(hz, 0, seed), spintest.Drilled(hz, 0, seed)
			second.Motor.Sensors[0].RiseDeg += 10
			second.Seed++
			a, truth := first.Record()
			b, _ := second.Record()
			x := Of(spin.Analyse(a, spin.Options{}), spin.Analyse(b, spin.Options{}), [2]int{first.Motor.PolePairs, second.Motor.PolePairs})
			if moved := x.Moved(); x.Verdict != Sensors || len(moved) != 1 || moved[0] != 0 {
				t.Errorf("%g Hz, seed %d: %s, moved %v", hz, seed, x.Verdict, moved)
			}
			want := 10.0
			if truth.Mirrored {
				want = -want
			}
			near(t, "h1", x.AgainstOthers(0), want, 0.3) // the noise of the two places, a few hundredths
		}
	}
}
