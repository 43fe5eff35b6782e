package commutation

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestTorqueCurve: mean and extreme of the curve are what the wiring is judged by,
// which is computed sector by sector from integrals. With steps of 0.1 degree the
// mean misses at most one step at each of six edges, of a jump of 2 or less:
// 6 * 0.1/360 * 2 = 0.0033; and an extreme at an edge is missed by at most one step
// of a slope of 2 sqrt(3) per radian with harmonics: 0.01.
func TestTorqueCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		table := Typical()
		for _, j := range Rank(m, nil, table).Wirings {
			if j.Behaviour == Fault {
				continue
			}
			curve := TorqueCurve(m, j.Wiring, table, 3600)
			sum, low := 0.0, math.Inf(1)
			for _, x := range curve {
				sum += x
				low = min(low, x*math.Copysign(1, j.Torque))
			}
			if math.Abs(sum/3600-j.Torque) > 0.0033 || math.Abs(j.Torque) > 0.01 && math.Abs(low-j.TorqueMin) > 0.01 {
				t.Fatalf("%v: mean %.4f and least %.4f, judged %.4f and %.4f", j.Wiring, sum/3600, low, j.Torque, j.TorqueMin)
			}
		}
	})
}

// A motor without back-EMF has no curve.
func TestTorqueCurveOfNothing(t *testing.T) {
	if c := TorqueCurve(Motor{}, Wirings()[0], Typical(), 10); c != nil {
		t.Errorf("%v", c)
	}
}
