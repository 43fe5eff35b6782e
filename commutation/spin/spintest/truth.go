// Package spintest puts the truth about a synthetic motor into the words of an
// answer, for tests and for the proof.
package spintest

import (
	"math"

	"handspin/capture/synth"
	"handspin/commutation"
)

// Motor returns the motor of a truth, for judging wirings without a recording.
func Motor(t synth.Truth) commutation.Motor {
	var m commutation.Motor
	for i, p := range t.Phases {
		for _, h := range p.Wave {
			m.EMF[i] = append(m.EMF[i], commutation.Harmonic{N: h.N, Sin: h.Sin, Cos: h.Cos})
		}
		s := t.Sensors[i]
		m.Sensors[i] = commutation.Sensor{RiseDeg: s.RiseDeg, FallDeg: s.FallDeg, Stuck: s.Stuck, High: s.High}
	}
	return m
}

// Clean returns the clean wirings of a ranking with what they do.
func Clean(r commutation.Ranking) map[string]commutation.Behaviour {
	out := map[string]commutation.Behaviour{}
	for _, j := range r.Clean() {
		out[j.Wiring.String()] = j.Behaviour
	}
	return out
}

// Angles are the angles that a recording shows, in electrical degrees, not
// wrapped.
type Angles struct{ Rise, Fall, Phase [3]float64 }

// Shown returns the angles of a truth as a recording shows them: zero is p1 as
// its column has it, which a floating reference moves, and the edges of the
// sensors that were seen in one direction only are late by their hysteresis.
func Shown(t synth.Truth, oneWay [3]bool) Angles {
	t = t.From(t.Seen[0].AngleDeg)
	var a Angles
	for i, s := range t.Sensors {
		lag := 0.0
		if oneWay[i] {
			lag = s.HysteresisDeg
		}
		a.Rise[i], a.Fall[i] = s.RiseDeg+lag, s.FallDeg+lag
		a.Phase[i] = t.Seen[i].AngleDeg
	}
	return a
}

// Drilled is a recording of a drill that comes to hz, in electrical turns a second,
// within ramp seconds; its speed ripples by one hundredth seven times a second.
func Drilled(hz, ramp float64, seed uint64) synth.Config {
	c := synth.Random(synth.Ordinary, seed)
	c.Spin = synth.Drilled(6, hz)
	c.Spin.Drill.Ramp = ramp
	if ramp > 0 {
		c.Spin.StartHz = 0
	}
	c.Motor.Flux = 300 * c.FrontEnd.VoltsPerCount / (2 * math.Pi * hz)
	return c
}

// FlatTopped is such a recording of a motor with 12 slots and 10 poles, coil by coil and
// magnet by magnet, against its star point.
func FlatTopped(seed uint64) synth.Config {
	c := Drilled(12, 0, seed)
	c.Motor = synth.NewMotor(5, c.Motor.Flux)
	c.Motor.Machine = &synth.Machine{Coils: []synth.Coil{
		{Phase: 0, Sense: 1}, {Phase: 0, Sense: -1}, {Phase: 1, Sense: -1}, {Phase: 1, Sense: 1},
		{Phase: 2, Sense: 1}, {Phase: 2, Sense: -1}, {Phase: 0, Sense: -1}, {Phase: 0, Sense: 1},
		{Phase: 1, Sense: 1}, {Phase: 1, Sense: -1}, {Phase: 2, Sense: -1}, {Phase: 2, Sense: 1},
	}}
	c.FrontEnd.Reference, c.FrontEnd.GainError = synth.Neutral, [3]float64{}
	return c
}
