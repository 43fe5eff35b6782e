package proof

import (
	"math"
	"math/rand/v2"

	"handspin/capture/synth"
)

// Expect is what the answer to a recording has to be.
type Expect uint8

// The expectations. Sound: the list is to be ranked. May: either is right.
// Must: there is no list to rank, or nothing to tell it from.
const (
	Sound Expect = iota
	May
	Must
)

var expectNames = [...]string{"sound", "may", "must"}

// String returns the expectation's name.
func (e Expect) String() string { return expectNames[e] }

// fault is something done to a sound motor, spin or front end. What it expects
// holds whatever the motor; whether the motor has clean wirings left is found
// from the truth.
type fault struct {
	name   string
	expect Expect
	do     func(d draw, c *synth.Config)
}

// draw is a source of random numbers.
type draw struct{ *rand.Rand }

func (d draw) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

// sensor makes a fault of one sensor, any of the three.
func sensor(do func(d draw, s *synth.Sensor)) func(d draw, c *synth.Config) {
	return func(d draw, c *synth.Config) { do(d, &c.Motor.Sensors[d.IntN(3)]) }
}

// faults are what a bench sees, mild and severe. A lead reversed, open or stuck
// has to be repaired whatever the list; columns that say nothing of the rotor
// leave nothing to tell.
var faults = []fault{
	{"stuck", Must, sensor(func(d draw, s *synth.Sensor) { s.Stuck = synth.StuckLow + synth.Stuck(d.IntN(2)) })},
	{"intermittent", May, sensor(func(d draw, s *synth.Sensor) { s.DropRate, s.DropHigh = d.between(0.02, 0.9), d.IntN(2) == 0 })},
	{"bounces", Sound, sensor(func(d draw, s *synth.Sensor) { s.Bounces, s.BounceUS = 1+d.IntN(3), d.between(20, 300) })},
	{"false-pulses", May, sensor(func(d draw, s *synth.Sensor) { s.GlitchRate, s.GlitchUS = d.between(1, 100), d.between(5, 500) })},
	{"misplaced", Sound, sensor(func(d draw, s *synth.Sensor) { s.RiseDeg += d.between(5, 60) * float64(1-2*d.IntN(2)) })},
	{"narrow", Sound, sensor(func(d draw, s *synth.Sensor) { s.WidthDeg += d.between(-50, 50) })},
	{"inverted", Sound, sensor(func(_ draw, s *synth.Sensor) { s.Inverted = true })},
	{"late", Sound, late},
	{"in-phase", Sound, func(d draw, c *synth.Config) {
		i := d.IntN(3)
		c.Motor.Sensors[i] = c.Motor.Sensors[(i+1)%3]
	}},
	{"open", Must, func(d draw, c *synth.Config) { c.Motor.Open[d.IntN(3)] = true }},
	{"reversed", Must, func(d draw, c *synth.Config) {
		i := d.IntN(3)
		c.Motor.Gain[i] = -math.Abs(c.Motor.Gain[i]) // twice is still reversed
	}},
	{"weak", May, func(d draw, c *synth.Config) { c.Motor.Gain[d.IntN(3)] *= d.between(0.2, 0.95) }},
	{"scale", May, func(d draw, c *synth.Config) {
		c.FrontEnd.GainError[d.IntN(3)] = []float64{-0.9, 9}[d.IntN(2)]
	}},
	{"uneven-magnets", May, func(d draw, c *synth.Config) {
		c.Motor.PoleStrength, c.Motor.PoleShift = d.between(0.03, 0.1), d.between(1, 4)
	}},
	{"trapezoid", Sound, func(d draw, c *synth.Config) {
		c.Motor.Harmonics = map[int]float64{3: d.between(0.1, 0.3), 5: d.between(0, 0.1), 7: d.between(-0.05, 0.05)}
	}},
	{"missing", Sound, func(d draw, c *synth.Config) {
		c.FrontEnd.MissingFrom = d.between(0, 0.7) * c.Spin.Seconds
		c.FrontEnd.MissingTo = c.FrontEnd.MissingFrom + d.between(0.02, 0.1)*c.Spin.Seconds
	}},
	{"first-lead", Sound, func(_ draw, c *synth.Config) {
		c.FrontEnd.Reference, c.FrontEnd.OffsetCounts = synth.FirstLead, [3]float64{500, 500, 500}
	}},
	{"hum", May, func(d draw, c *synth.Config) {
		c.FrontEnd.Hum, c.FrontEnd.HumHz = d.between(5, 80), []float64{50, 60}[d.IntN(2)]
	}},
	{"coupled", May, func(d draw, c *synth.Config) { c.FrontEnd.HighPass = d.between(0.005, 0.5) }},
	{"filtered", May, func(d draw, c *synth.Config) { c.FrontEnd.LowPass = d.between(0.0001, 0.01) }},
	{"rocked", May, rocked},
	{"at-rest", Sound, func(_ draw, c *synth.Config) { c.Spin = synth.Spin{Seconds: 2} }},
	{"no-emf", Must, func(_ draw, c *synth.Config) { c.Motor.Flux = 0 }},
	{"slow-sampling", May, func(d draw, c *synth.Config) {
		c.FrontEnd.RateHz, c.FrontEnd.EdgeRows = d.between(100, 1000), d.IntN(2) == 0
	}},
	{"cogging", May, func(d draw, c *synth.Config) { c.Spin.Cogging = d.between(60, 600) }},
}

// late moves all sensors together: what is left of the alignment.
func late(d draw, c *synth.Config) {
	by := d.between(-30, 30)
	for i := range c.Motor.Sensors {
		c.Motor.Sensors[i].RiseDeg += by
	}
}

// rocked turns the rotor to and fro by about a turn or less.
func rocked(d draw, c *synth.Config) {
	c.Spin = synth.BackAndForth(4, 4+d.IntN(6), 2)
	share := d.between(0.1, 1)
	for i := range c.Spin.Pushes {
		c.Spin.Pushes[i].Peak *= share
	}
	c.Motor.Flux *= 5
}

// strain makes a recording hard: less signal, more noise, fewer turns, sensors
// near the border of what still is clean. Either answer may be right, but the
// confidence has to be.
func strain(d draw, c *synth.Config) {
	if d.IntN(2) == 0 {
		c.FrontEnd.NoiseCounts *= d.between(1, 8)
	}
	if d.IntN(2) == 0 {
		c.Motor.Flux *= d.between(0.05, 1)
	}
	if d.IntN(2) == 0 {
		c.Spin = synth.FewTurns(d.between(0.4, 3))
		c.Spin.Cogging = d.between(0, 10)
		c.Spin.StartDeg = d.between(0, 360)
	}
	if d.IntN(2) == 0 {
		s := &c.Motor.Sensors[d.IntN(3)]
		s.RiseDeg += d.between(20, 45) * float64(1-2*d.IntN(2))
	}
	c.Motor.PoleShift = d.between(0, 3)
}
