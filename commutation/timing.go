package commutation

import "math"

// Timing is what turning all sensors together would change for a wiring.
type Timing struct {
	// LateDeg is by how many electrical degrees the sensors switch too late
	// when the motor runs in the direction of the wiring's torque; negative
	// where too early.
	LateDeg float64
	// Torque is the magnitude of the mean torque as it is, Best with the
	// sensors turned back by LateDeg.
	Torque, Best float64
}

// maxTurnDeg is how far the sensors are turned at most to find the best place:
// any further and another wiring would be the better one.
const maxTurnDeg = 30.0

// TimingOf returns the timing of a wiring that runs motor m from table t.
func TimingOf(m Motor, w Wiring, t DriveTable) Timing {
	s := w.steps(t)
	mean := func(deg float64) float64 { return newTurn(m.turned(deg)).drive(s).mean }
	now := mean(0)
	torque := func(deg float64) float64 { return mean(deg) * math.Copysign(1, now) }
	best := peak(torque, -maxTurnDeg, maxTurnDeg)
	return Timing{LateDeg: -best * math.Copysign(1, now), Torque: math.Abs(now), Best: torque(best)}
}

// turned returns the motor with all its sensors turned forward by deg.
func (m Motor) turned(deg float64) Motor {
	for i := range m.Sensors {
		m.Sensors[i].RiseDeg = Wrap(m.Sensors[i].RiseDeg + deg)
		m.Sensors[i].FallDeg = Wrap(m.Sensors[i].FallDeg + deg)
	}
	return m
}

// peak returns where f, which has one maximum between low and high, is largest,
// to a tenth: it drops the lower third again and again.
func peak(f func(float64) float64, low, high float64) float64 {
	for high-low > 0.1 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if f(a) < f(b) {
			low = a
		} else {
			high = b
		}
	}
	return (low + high) / 2
}
