package synth

import (
	"math"
	"testing"
)

// near fails unless got is within tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// rounding bounds what a few hundred thousand additions of numbers up to a
// thousand may lose.
const rounding = 1e-8

// Closed form: under constant friction a rotor slows down evenly, turns
// w t - a t^2/2 and stops at w/a.
func TestCoastUnderDryFriction(t *testing.T) {
	const w, a, polePairs = 30.0, 10.0, 7
	m := Coast(4, w, a).run(polePairs)
	for _, at := range []float64{0.1, 0.73333, 1.9, 2.99} {
		angle, speed := m.electrical(at)
		near(t, "turns", angle/(2*math.Pi), w*at-a*at*at/2, rounding)
		near(t, "speed", speed/(2*math.Pi), w-a*at, rounding)
	}
	// The step in which it stops takes it a hair too far or too short: half a
	// step at half a step's loss of speed.
	const stop = a * timeStep * timeStep
	for _, at := range []float64{3.001, 3.5, 4} {
		angle, speed := m.electrical(at)
		near(t, "turns at rest", angle/(2*math.Pi), w*w/(2*a), rounding+stop)
		near(t, "speed at rest", speed, 0, 0)
	}
}

// Closed form: friction in proportion to speed makes speed fall exponentially
// and the way left finite, w tau.
func TestCoastUnderViscousFriction(t *testing.T) {
	const w, tau = 50.0, 0.8
	s := Coast(6, w, 0)
	s.Viscous = tau
	m := s.run(3)
	for _, at := range []float64{0.1, 1, 5.5} {
		angle, speed := m.electrical(at)
		near(t, "speed", speed/(2*math.Pi), w*math.Exp(-at/tau), rounding)
		near(t, "turns", angle/(2*math.Pi), w*tau*(1-math.Exp(-at/tau)), rounding)
	}
}

// The mean of sin^2 is a half, so a push changes the speed by Peak*Duration/2.
func TestPushChangesSpeedByItsImpulse(t *testing.T) {
	s := Spin{Seconds: 2, StartHz: 5, Pushes: []Push{{0.2, 0.3, 100}, {0.9, 0.4, -150}}}
	m := s.run(11)
	for _, c := range []struct{ at, hz float64 }{{0.1, 5}, {0.6, 20}, {1.4, -10}} {
		_, speed := m.electrical(c.at)
		near(t, "speed", speed/(2*math.Pi), c.hz, rounding)
	}
}

// Without friction the sum of kinetic energy and the potential of the cogging,
// -(C/k) cos(k angle), stays. A leapfrog method keeps it up to a swing of the
// order (step*frequency)^2/8 of the potential, which does not grow.
func TestCoggingKeepsEnergy(t *testing.T) {
	const cogging, order, polePairs = 200.0, 42, 7
	unit := 2 * math.Pi / polePairs
	s := Spin{Seconds: 20, StartHz: 8, Cogging: cogging, CoggingOrder: order}
	m := s.run(polePairs)
	potential := cogging * unit / order
	energy := func(i int) float64 {
		return m.speed[i]*m.speed[i]/2 - potential*math.Cos(order*m.angle[i])
	}
	passing := 10 * unit * order // rad/s at which cogging periods pass
	swing := passing * timeStep * passing * timeStep / 8
	for i := range m.angle {
		if d := math.Abs(energy(i) - energy(0)); d > 2*potential*swing {
			t.Fatalf("energy is off by %g of the potential at %g s", d/potential, float64(i)*pointStep)
		}
	}
}

// Closed form: near a rest position cogging is a spring, and the rotor swings
// with the angular frequency sqrt(C k).
func TestCoggingSwings(t *testing.T) {
	const cogging, order, polePairs = 100.0, 60, 5
	s := Spin{Seconds: 10, StartHz: 0.001, Cogging: cogging, CoggingOrder: order}
	m := s.run(polePairs)
	passes, last := 0, 0.0
	for i := 1; i < len(m.angle); i++ {
		if m.angle[i-1] < 0 && m.angle[i] >= 0 {
			passes++
			last = m.crossing(i-1, 0)
		}
	}
	unit := 2 * math.Pi / polePairs
	want := 2 * math.Pi / math.Sqrt(cogging*unit*order)
	// The leapfrog's period is short by (step*frequency)^2/24, 1e-7 here; the
	// swing's size adds its square over 16, less.
	near(t, "period", last/float64(passes), want, 1e-6*want)
}

func TestDryFrictionHoldsAgainstCogging(t *testing.T) {
	s := Spin{Seconds: 1, StartDeg: 20, Friction: 5, Cogging: 4.9, CoggingOrder: 6}
	m := s.run(1)
	near(t, "angle", m.angle[len(m.angle)-1], m.angle[0], 0)
	s.Friction = 1
	m = s.run(1)
	if m.angle[len(m.angle)-1] == m.angle[0] {
		t.Error("cogging stronger than friction did not move the rotor")
	}
}

// A drill's speed is held but for its ripple, which the coupling passes on
// smaller by 1/sqrt(1+(2 pi f tau)^2): a first-order lag.
func TestDrillHoldsItsSpeed(t *testing.T) {
	m := Drilled(6, 100).run(4)
	low, high := math.Inf(1), 0.0
	for _, w := range m.speed[len(m.speed)/2:] {
		hz := w * 4 / (2 * math.Pi)
		low, high = min(low, hz), max(high, hz)
	}
	passed := 1 / math.Hypot(1, 2*math.Pi*7*coupling)
	near(t, "mean speed", (high+low)/2, 100, 1e-3)
	near(t, "ripple", (high-low)/2, passed, 1e-3)
	angle, _ := m.electrical(6)
	near(t, "turns", angle/(2*math.Pi), 600, 0.1) // the ripple holds 1 Hz/(2 pi 7 Hz) turns
}

// A ramp of 2 s to 50 Hz by sin^2 is half of that after 1 s, less what the coupling lags:
// its time constant times the slope, pi/2 * 50/2 Hz/s. It takes half of 2 s * 50 Hz turns.
func TestDrillComesToItsSpeed(t *testing.T) {
	s := Drilled(4, 50)
	s.Drill.Ripple, s.Drill.Ramp, s.StartHz = 0, 2, 0
	m := s.run(3)
	_, half := m.electrical(1)
	near(t, "speed half-way", half/(2*math.Pi), 25-coupling*math.Pi/2*25, 0.01)
	_, full := m.electrical(3)
	near(t, "speed", full/(2*math.Pi), 50, 1e-3)
	angle, _ := m.electrical(2)
	near(t, "turns of the ramp", angle/(2*math.Pi), 50-coupling*50, 0.01)
}

func TestBuildersTurnAsTheySay(t *testing.T) {
	turns := func(s Spin) (with, against float64) { return s.run(6).turned(0, s.Seconds) }
	for _, n := range []float64{2, 3.5, -2.5, 10} {
		with, against := turns(FewTurns(n))
		near(t, "few turns", with-against, n, 0.25*math.Abs(n)) // "about"
		with, against = turns(Swing(n))
		near(t, "out and back", with-against, 0, 0.02*math.Abs(n)) // both ends at rest
		near(t, "one way", with, math.Abs(n), 0.25*math.Abs(n))
	}
	with, against := turns(Pushes(6, 4, -20))
	if with != 0 || against < 20 {
		t.Errorf("pushes backward turned %g with and %g against the machine's sense", with, against)
	}
	with, against = turns(BackAndForth(6, 6, 20))
	if with < 5 || against < 5 {
		t.Errorf("back and forth turned %g with and %g against the machine's sense", with, against)
	}
}

// Closed form: w^2/(2a) from w to rest; then a push the other way, whose turns
// are the difference of the angles.
func TestTurnedCountsBothWays(t *testing.T) {
	s := Coast(3, 20, 10)
	s.Pushes = []Push{push(2.1, 0.2, -8)}
	m := s.run(2)
	with, against := m.turned(0, 2.05)
	near(t, "turns with", with, 20, 1e-6)
	near(t, "turns against", against, 0, 0)
	with, against = m.turned(2.05, 3)
	near(t, "turns with, pushed back", with, 0, 0)
	end, _ := m.electrical(3)
	begin, _ := m.electrical(2.05)
	near(t, "turns against, pushed back", against, (begin-end)/(2*math.Pi), rounding)
}

// The speed between two points is the derivative of the angle, by a symmetric
// difference, and crossing is the inverse of at.
func TestInterpolation(t *testing.T) {
	m := Random(Reversing, 3).Spin.run(5)
	const step = 1e-6
	for k := range 500 {
		at := 0.01 + float64(k)*0.0117
		before, _ := m.at(at - step)
		after, _ := m.at(at + step)
		angle, speed := m.at(at)
		// A double holds angles near 100 rad to 1e-14, over 2e-6 s 1e-8 rad/s;
		// the speed's own curvature within a microsecond is less.
		near(t, "speed", (after-before)/(2*step), speed, 1e-7+1e-6*math.Abs(speed))
		if i := int(at / pointStep); math.Abs(speed) > 1 && m.angle[i] != m.angle[i+1] {
			near(t, "time of crossing", m.crossing(i, angle), at, 1e-9)
		}
	}
}

// Columns with a skew ask for times a little before the beginning and after the
// end: the rotor is taken to keep its speed.
func TestMotionBeyondItsEnds(t *testing.T) {
	m := Coast(1, 10, 0).run(2)
	for _, at := range []float64{-0.01, 1.01} {
		angle, speed := m.electrical(at)
		near(t, "turns", angle/(2*math.Pi), 10*at, rounding)
		near(t, "speed", speed/(2*math.Pi), 10, rounding)
	}
}
