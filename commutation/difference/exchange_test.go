package difference

import (
	"math"
	"testing"

	"handspin/capture/synth"
)

// Leads exchanged: the simplest explanation comes first, and all that fit are named.
// Sensors right on their places are mirrored onto themselves when the rotor turns the other way
// and two Hall leads are exchanged, so that either explains p1 and p2 exchanged.
func TestExchanges(t *testing.T) {
	swap := func(c *synth.Config) {
		c.Motor.PhaseOrder[0], c.Motor.PhaseOrder[1] = c.Motor.PhaseOrder[1], c.Motor.PhaseOrder[0]
	}
	x := compared(t, nil, swap)
	if x.Verdict != Leads || x.Opposite || x.Exchanges[0].Phases != [3]int{1, 0, 2} || x.Exchanges[0].Halls != [3]int{0, 1, 2} {
		t.Errorf("p1 and p2 exchanged: %s, %+v", x.Verdict, x.Exchanges)
	}
	ideal := func(c *synth.Config) {
		for i, s := range synth.NewMotor(7, 1).Sensors {
			c.Motor.Sensors[i] = s
		}
	}
	x = compared(t, ideal, ideal, swap)
	ways := map[bool]int{}
	for _, e := range x.Exchanges {
		ways[e.Opposite]++
	}
	if len(x.Exchanges) != 2 || ways[true] != 1 || ways[false] != 1 {
		t.Errorf("on their places: %+v", x.Exchanges)
	}
	// Magnets that differ tell the two apart: the wrong one has them in reverse.
	uneven := func(c *synth.Config) {
		ideal(c)
		for i, strength := range []float64{0.6, 0.8, 1, 0.7} { // in reverse another row
			c.Motor.Machine.Magnets[i].Strength = strength
		}
	}
	x = compared(t, uneven, uneven, swap)
	if x.Verdict != Leads || len(x.Exchanges) != 2 || x.Exchanges[0].Opposite || x.Exchanges[0].Magnets || !x.Exchanges[1].Magnets {
		t.Errorf("on their places, uneven magnets: %s, %+v", x.Verdict, x.Exchanges)
	}
	// All phase leads one place on, or all Hall leads the other way, or a board that was turned.
	x = compared(t, nil, func(c *synth.Config) {
		o := c.Motor.PhaseOrder
		c.Motor.PhaseOrder = [3]int{o[1], o[2], o[0]}
	})
	if x.Verdict != Leads || len(x.Exchanges) != 2 || math.IsNaN(x.TurnedDeg) {
		t.Errorf("one place on: %s, %+v", x.Verdict, x.Exchanges)
	}
	near(t, "the board's turn", math.Abs(x.TurnedDeg), 120, 0.5)
	x = compared(t, nil, func(c *synth.Config) {
		c.Motor.Sensors[0], c.Motor.Sensors[2] = c.Motor.Sensors[2], c.Motor.Sensors[0]
	})
	if x.Verdict != Leads || len(x.Exchanges) == 0 || x.Exchanges[0].Halls != [3]int{2, 1, 0} || x.Exchanges[0].Phases != [3]int{0, 1, 2} {
		t.Errorf("h1 and h3 exchanged: %s, %+v", x.Verdict, x.Exchanges)
	}
	for k := range 3 {
		near(t, "sensor with the exchange undone", x.SensorDeg[k].Value, 0, 0.5)
	}
}

// What else changed beside the leads hides no exchange, and is told with it undone.
func TestExchangesBeside(t *testing.T) {
	phases := func(c *synth.Config) {
		o := c.Motor.PhaseOrder
		c.Motor.PhaseOrder = [3]int{o[1], o[0], o[2]}
	}
	halls := func(i, j int) func(*synth.Config) {
		return func(c *synth.Config) {
			c.Motor.Sensors[i], c.Motor.Sensors[j] = c.Motor.Sensors[j], c.Motor.Sensors[i]
		}
	}
	board := func(c *synth.Config) {
		for i := range c.Motor.Sensors {
			c.Motor.Sensors[i].RiseDeg += 15
		}
	}
	dead := func(c *synth.Config) { c.Motor.Sensors[1].Stuck = synth.StuckLow }
	for _, c := range []struct {
		name   string
		before func(*synth.Config)
		after  []func(*synth.Config)
		want   Exchange
		also   Verdict // what else changed
	}{
		{"two of each, not those that go together", nil, []func(*synth.Config){phases, halls(1, 2)},
			Exchange{Phases: [3]int{1, 0, 2}, Halls: [3]int{0, 2, 1}}, Nothing},
		{"and the board turned", nil, []func(*synth.Config){halls(0, 1), board}, Exchange{Phases: straight, Halls: [3]int{1, 0, 2}}, Sensors},
		{"and a phase became weak", nil, []func(*synth.Config){phases, func(c *synth.Config) { c.Motor.Gain[0] = 0.8 }},
			Exchange{Phases: [3]int{1, 0, 2}, Halls: straight}, Winding},
		{"a sensor dead in both", dead, []func(*synth.Config){phases, dead}, Exchange{Phases: [3]int{1, 0, 2}, Halls: straight}, Nothing},
		{"and a sensor died", nil, []func(*synth.Config){phases, dead}, Exchange{Phases: [3]int{1, 0, 2}, Halls: straight}, Sensors},
	} {
		x := compared(t, c.before, c.after...)
		if len(x.Exchanges) == 0 || x.Exchanges[0].Phases != c.want.Phases || x.Exchanges[0].Halls != c.want.Halls || x.Opposite {
			t.Errorf("%s: %s, %+v", c.name, x.Verdict, x.Exchanges)
		}
		if x.PhasesChanged() != (c.also == Winding) || x.SensorsChanged() != (c.also == Sensors) || x.Rotor() {
			t.Errorf("%s: %s, phases %v, sensors %v, %v", c.name, x.Verdict, x.PhaseRatio, x.SensorDeg, x.Shared)
		}
	}
}
