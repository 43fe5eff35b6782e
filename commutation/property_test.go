package commutation

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// plausible draws a motor that has clean wirings: three phases of somewhat
// different size, harmonics, sensors off by up to 20 degrees, turned anywhere.
func plausible(t *rapid.T) Motor {
	number := func(what string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, what) }
	turned := number("turned", 0, 360)
	sense := rapid.SampledFrom([]float64{1, -1}).Draw(t, "sense")
	spacing := rapid.SampledFrom([]float64{120, 60}).Draw(t, "spacing")
	m := Motor{}
	for i := range 3 {
		place := sense * 120 * float64(i)
		m.EMF[i] = Wave{
			tone(1, number("size", 0.9, 1.1), place+number("phase", -4, 4)+turned),
			tone(5, number("fifth", 0, 0.05), 5*(place+turned)),
			tone(7, number("seventh", 0, 0.03), 7*(place+turned)),
		}
		rise := 30 + sense*spacing*float64(i) + turned + number("error", -20, 20)
		m.Sensors[i] = Sensor{RiseDeg: Wrap(rise), FallDeg: Wrap(rise + 180 + number("duty", -5, 5))}
	}
	return m
}

// same fails unless a and b say the same of a wiring.
func same(t *rapid.T, a, b Judged) {
	if a.Behaviour != b.Behaviour || math.Abs(a.Torque-b.Torque) > 2*rounding || math.Abs(a.Confidence-b.Confidence) > 1e-6 {
		t.Fatalf("got %+v, want %+v", b, a)
	}
	// Without a mean the direction in which the least is taken is arbitrary.
	if math.Abs(a.Torque) > 1e-5 && math.Abs(a.TorqueMin-b.TorqueMin) > 2*rounding {
		t.Fatalf("got %+v, want %+v", b, a)
	}
}

// sameOf fails unless a says of each wiring what b says of change(wiring).
func sameOf(t *rapid.T, a, b Ranking, change func(Wiring) Wiring) {
	byWiring := map[Wiring]Judged{}
	for _, j := range b.Wirings {
		byWiring[j.Wiring] = j
	}
	if len(byWiring) != 36 || len(a.Wirings) != 36 {
		t.Fatalf("%d and %d wirings", len(a.Wirings), len(byWiring))
	}
	for _, j := range a.Wirings {
		other, ok := byWiring[change(j.Wiring)]
		if !ok {
			t.Fatalf("no wiring %v", change(j.Wiring))
		}
		same(t, j, other)
	}
}

func TestPermutingLeads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		phase := rapid.Permutation([]int{0, 1, 2}).Draw(t, "phases")
		hall := rapid.Permutation([]int{0, 1, 2}).Draw(t, "halls")
		var relabelled Motor
		for i := range 3 {
			relabelled.EMF[phase[i]] = m.EMF[i]
			relabelled.Sensors[hall[i]] = m.Sensors[i]
		}
		sameOf(t, Rank(m, nil, Typical()), Rank(relabelled, nil, Typical()), func(w Wiring) Wiring {
			var out Wiring
			for i := range 3 {
				out.Phase[i], out.Hall[i] = phase[w.Phase[i]], hall[w.Hall[i]]
				out.Invert[hall[i]] = w.Invert[i]
			}
			return out
		})
	})
}

func TestMirroredMotor(t *testing.T) {
	// Time reversed, angle a becomes -a: a back-EMF per unit of speed, being a
	// slope, becomes -k(-a), and a sensor rises where it fell.
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		var mirror Motor
		for i := range 3 {
			for _, h := range m.EMF[i] {
				mirror.EMF[i] = append(mirror.EMF[i], Harmonic{N: h.N, Sin: h.Sin, Cos: -h.Cos})
			}
			s := m.Sensors[i]
			mirror.Sensors[i] = Sensor{RiseDeg: Wrap(-s.FallDeg), FallDeg: Wrap(-s.RiseDeg)}
		}
		r := Rank(mirror, nil, Typical())
		swap := map[Behaviour]Behaviour{
			CleanForward: CleanReverse, CleanReverse: CleanForward,
			WeakForward: WeakReverse, WeakReverse: WeakForward, Stall: Stall, Fault: Fault,
		}
		for i := range r.Wirings {
			r.Wirings[i].Torque = -r.Wirings[i].Torque
			r.Wirings[i].Behaviour = swap[r.Wirings[i].Behaviour]
		}
		sameOf(t, Rank(m, nil, Typical()), r, func(w Wiring) Wiring { return w })
	})
}

func TestReversedTable(t *testing.T) {
	// High and low exchanged drive the motor the other way: same magnitudes.
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		r := Rank(m, nil, Typical().Reverse())
		forward := Rank(m, nil, Typical())
		if r.Inverted != forward.Inverted {
			t.Fatalf("inverted %v and %v", r.Inverted, forward.Inverted)
		}
		for _, j := range r.Wirings {
			for _, k := range forward.Wirings {
				if j.Wiring == k.Wiring && math.Abs(j.Torque+k.Torque) > rounding {
					t.Fatalf("%+v and %+v", j, k)
				}
			}
		}
	})
}

func TestScaleAndCommonWave(t *testing.T) {
	// Neither the unit of back-EMF nor the reference against which it was
	// measured matters.
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		scale := math.Exp(rapid.Float64Range(-10, 10).Draw(t, "logarithm of scale"))
		common := Wave{
			tone(1, rapid.Float64Range(0, 2).Draw(t, "first"), 77),
			tone(3, rapid.Float64Range(0, 2).Draw(t, "third"), 10),
			tone(9, rapid.Float64Range(0, 2).Draw(t, "ninth"), 250),
		}
		var other Motor
		other.Sensors = m.Sensors
		for i := range 3 {
			for _, h := range append(append(Wave{}, m.EMF[i]...), common...) {
				other.EMF[i] = append(other.EMF[i], Harmonic{N: h.N, Sin: scale * h.Sin, Cos: scale * h.Cos})
			}
		}
		sameOf(t, Rank(m, nil, Typical()), Rank(other, nil, Typical()), func(w Wiring) Wiring { return w })
	})
}

func TestAnyMotorIsJudged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMotor(t)
		draws := []Motor{anyMotor(t), m, {}}
		r := Rank(m, draws, Typical60())
		for i, j := range r.Wirings {
			if !(j.Confidence >= 0 && j.Confidence <= 1) || j.Rank != i+1 || math.IsNaN(j.Torque+j.TorqueMin) || j.TorqueMin > math.Abs(j.Torque)+1e-6 && j.Behaviour != Fault && j.Behaviour != Stall {
				t.Fatalf("%+v", j)
			}
		}
		if !(r.CleanConfidence >= 0 && r.CleanConfidence <= 1) {
			t.Fatalf("confidence %v", r.CleanConfidence)
		}
		if len(r.Clean()) == 0 && len(r.Findings) == 0 {
			t.Fatal("nothing clean and nothing said")
		}
	})
}
