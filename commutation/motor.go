package commutation

import "math"

// Motor is what judging a wiring needs to know of a motor.
type Motor struct {
	// EMF are the back-EMF waves of p1, p2, p3 against one common reference,
	// whichever it is: only differences between leads matter.
	EMF [3]Wave
	// Sensors are those of h1, h2, h3.
	Sensors [3]Sensor
}

// Wave is a lead's back-EMF per unit of electrical speed as a function of the
// electrical angle a: the sum over its harmonics of Sin*sin(N a) + Cos*cos(N a).
// Unit: volt per (electrical radian per second), which is the flux linkage in
// V s; any other unit serves as well, since judging uses ratios only.
type Wave []Harmonic

// Harmonic is one term of a [Wave]; N is 1 for the fundamental.
type Harmonic struct {
	N        int
	Sin, Cos float64
}

// At returns the wave's value at angle deg, in electrical degrees.
func (w Wave) At(deg float64) float64 {
	v := 0.0
	for _, h := range w {
		s, c := math.Sincos(float64(h.N) * deg * math.Pi / 180)
		v += h.Sin*s + h.Cos*c
	}
	return v
}

// Sensor is one Hall sensor: its level is high from the angle RiseDeg forward
// to FallDeg, in electrical degrees in [0, 360). A sensor that never changes
// has Stuck set, and High gives its level.
type Sensor struct {
	RiseDeg, FallDeg float64
	Stuck, High      bool
}

// Level returns the sensor's level at angle deg, in electrical degrees.
func (s Sensor) Level(deg float64) bool {
	if s.Stuck {
		return s.High
	}
	return Wrap(deg-s.RiseDeg) < Wrap(s.FallDeg-s.RiseDeg)
}

// Wrap returns deg brought into [0, 360).
func Wrap(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative angle rounds up to a whole turn
		return 0
	}
	return deg
}

// Signed returns deg brought into [-180, 180).
func Signed(deg float64) float64 { return Wrap(deg+180) - 180 }
