package commutation

import (
	"math"
	"testing"
)

// ideal returns the motor that the tables of the reference class C0 are for:
// sine back-EMFs 120 degrees apart, p1 first, and sensors of half a turn each
// that rise at the three given angles.
func ideal(rise ...float64) Motor {
	var m Motor
	for i := range 3 {
		m.EMF[i] = Wave{tone(1, 1, 120*float64(i))}
		m.Sensors[i] = half(rise[i])
	}
	return m
}

// tone returns amplitude*sin(n*a - lag), lag in degrees.
func tone(n int, amplitude, lagDeg float64) Harmonic {
	s, c := math.Sincos(lagDeg * math.Pi / 180)
	return Harmonic{N: n, Sin: amplitude * c, Cos: -amplitude * s}
}

// half returns a sensor that is high for half a turn from deg on.
func half(deg float64) Sensor { return Sensor{RiseDeg: Wrap(deg), FallDeg: Wrap(deg + 180)} }

// motor120 and motor60 have each Hall edge on a zero of a lead-to-lead
// back-EMF, which is where six-step drive wants them (common practice): sensors
// 120 and 60 electrical degrees apart.
func motor120() Motor { return ideal(30, 150, 270) }
func motor60() Motor  { return ideal(90, 150, 210) }

// straight is the wiring that moves no lead.
func straight() Wiring { return Wirings()[0] }

// find returns what r says of wiring w.
func find(t testing.TB, r Ranking, w Wiring) Judged {
	t.Helper()
	for _, j := range r.Wirings {
		if j.Wiring == w {
			return j
		}
	}
	t.Fatalf("no wiring %v in the ranking", w)
	return Judged{}
}

// tally counts the wirings of each behaviour.
func tally(r Ranking) map[Behaviour]int {
	n := map[Behaviour]int{}
	for _, j := range r.Wirings {
		n[j.Behaviour]++
	}
	return n
}

// near fails unless got is within tolerance of want.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// rounding is what sums of a few dozen sines may be off by, with room to spare.
const rounding = 1e-9
