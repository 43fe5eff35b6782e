package synth

import "math"

// Spin is how the rotor is turned. Speeds are electrical turns per second (Hz)
// in the machine's own sense, negative the other way; torques are given by the
// acceleration that they cause, in Hz per second.
type Spin struct {
	Seconds float64
	// StartDeg and StartHz are the machine angle in electrical degrees and the
	// speed at the beginning.
	StartDeg, StartHz float64
	Pushes            []Push
	Drill             Drill
	// Friction is the dry friction, which also holds a rotor at rest.
	Friction float64
	// Viscous is the time in seconds in which speed falls to 1/e by friction
	// that grows with speed; 0 for none.
	Viscous float64
	// Cogging is the peak of a torque that pulls the rotor to CoggingOrder
	// places per shaft turn.
	Cogging      float64
	CoggingOrder int
}

// Push is one push by hand: the torque rises smoothly to Peak and falls again
// within Duration seconds from At on. It changes the speed by Peak*Duration/2.
type Push struct {
	At, Duration, Peak float64
}

// Drill holds the rotor at Hz through a coupling that takes up differences of
// speed within milliseconds; its own speed swings by the share Ripple of it,
// RippleHz times a second. It comes to its speed smoothly within Ramp seconds, 0 for at
// once. Hz is 0 where there is no drill.
type Drill struct {
	Hz, Ripple, RippleHz float64
	Ramp                 float64
}

// at returns the drill's own speed at time t, in electrical Hz.
func (d Drill) at(t float64) float64 {
	hz := d.Hz * (1 + d.Ripple*math.Sin(2*math.Pi*d.RippleHz*t))
	if t < d.Ramp {
		sin := math.Sin(math.Pi / 2 * t / d.Ramp)
		hz *= sin * sin
	}
	return hz
}

// coupling is the time constant of the drill's grip on the rotor, in seconds.
const coupling = 0.005

// Coast is a rotor left to itself at a speed.
func Coast(seconds, startHz, friction float64) Spin {
	return Spin{Seconds: seconds, StartHz: startHz, Friction: friction}
}

// Pushes is a jerky hand spin: n pushes the same way, spread over the first two
// thirds of the time, each adding about hz; negative hz turns the other way.
func Pushes(seconds float64, n int, hz float64) Spin {
	s := Spin{Seconds: seconds, Friction: math.Abs(hz) * float64(n) / seconds}
	for i := range n {
		at := 0.05*seconds + float64(i)*seconds*2/3/float64(n)
		s.Pushes = append(s.Pushes, push(at, 0.25, hz))
	}
	return s
}

// BackAndForth is n pushes in turn one way and the other, each of which ends at
// about hz.
func BackAndForth(seconds float64, n int, hz float64) Spin {
	s := Spin{Seconds: seconds, Friction: math.Abs(hz) / 2}
	every := 0.9 * seconds / float64(n)
	for i := range n {
		change := hz * 2
		if i == 0 {
			change = hz
		}
		if i%2 == 1 {
			change = -change
		}
		s.Pushes = append(s.Pushes, push(0.03*seconds+float64(i)*every, min(0.3, every/2), change))
	}
	return s
}

// FewTurns is one push after which the rotor comes to rest after about n
// electrical turns; negative n turns the other way. It takes about two seconds.
func FewTurns(n float64) Spin {
	// The push ends after 0.3 s at speed v; the mean speed of the push is v/2,
	// and coasting down from v within 1 s covers another v/2 turns.
	v := n / (0.3/2 + 1.0/2)
	s := Spin{Seconds: 2, Friction: math.Abs(v)}
	s.Pushes = []Push{push(0.3, 0.3, v+math.Copysign(0.3*s.Friction, v))}
	return s
}

// Swing is FewTurns and the same way back.
func Swing(n float64) Spin {
	s := FewTurns(n)
	back := s.Pushes[0]
	back.At, back.Peak = s.Seconds+back.At, -back.Peak
	s.Pushes = append(s.Pushes, back)
	s.Seconds *= 2
	return s
}

// Drilled is a rotor that a drill turns at a constant electrical frequency.
func Drilled(seconds, hz float64) Spin {
	return Spin{Seconds: seconds, StartHz: hz, Drill: Drill{Hz: hz, Ripple: 0.01, RippleHz: 7}}
}

// push returns a push that changes the speed of a free rotor by hz.
func push(at, duration, hz float64) Push {
	return Push{At: at, Duration: duration, Peak: 2 * hz / duration}
}

// torque returns the push's acceleration at time t, in Hz per second.
func (p Push) torque(t float64) float64 {
	if t <= p.At || t >= p.At+p.Duration {
		return 0
	}
	sin := math.Sin(math.Pi * (t - p.At) / p.Duration)
	return p.Peak * sin * sin
}
