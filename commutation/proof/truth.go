package proof

import (
	"math"
	"math/rand/v2"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
	"handspin/commutation/spin/spintest"
)

// How far a sensor, and all of them together, may be from where the list of clean
// wirings changes, as standard deviations in electrical degrees, for the list
// still to be that of a border: what magnets leave open in any recording, and
// the hysteresis in one that goes one way.
const (
	borderDeg = 2.0
	lagDeg    = 3.0
)

// expected returns what the true motor lets one expect under a table: its list
// has no clean wiring, or may have another one if its sensors sat a little
// otherwise, or neither.
func expected(m commutation.Motor, table commutation.DriveTable, seed uint64) Expect {
	d := draw{rand.New(rand.NewPCG(seed, stream+1))}
	near := make([]commutation.Motor, 64)
	for i := range near {
		near[i] = m
		lag := lagDeg * d.NormFloat64()
		for k := range m.Sensors {
			near[i].Sensors[k].RiseDeg += lag + borderDeg*d.NormFloat64()
			near[i].Sensors[k].FallDeg += lag + borderDeg*d.NormFloat64()
		}
	}
	r := commutation.Rank(m, near, table)
	switch {
	case r.Inverted != [3]bool{} || len(r.Clean()) == 0:
		if r.CleanConfidence < surely {
			return May
		}
		return Must
	case r.CleanConfidence < surely:
		return May
	}
	return Sound
}

// surely is the probability from which a list is no border's.
const surely = 0.99

// errors are an estimate's deviations from the truth in electrical degrees, and
// the same in stated standard deviations.
type errors struct{ deg, z []float64 }

func (e *errors) add(got spin.Value, want float64) {
	d := commutation.Signed(got.Value - want)
	if math.IsNaN(d) {
		return
	}
	e.deg = append(e.deg, d)
	if got.SD > 0 {
		e.z = append(e.z, d/got.SD)
	}
}

// worst returns the largest magnitude, NaN where there is none.
func (e errors) worst() float64 {
	worst := math.NaN()
	for _, d := range e.deg {
		worst = math.Max(math.Abs(d), ifNaN(worst, 0))
	}
	return worst
}

// rms returns the effective value of the deviations in stated ones.
func (e errors) rms() float64 {
	sum := 0.0
	for _, z := range e.z {
		sum += z * z
	}
	return math.Sqrt(sum / float64(len(e.z)))
}

func ifNaN(x, other float64) float64 {
	if math.IsNaN(x) {
		return other
	}
	return x
}

// deviations compares the sensors' edges and the phases' angles with the truth.
func deviations(r *spin.Result, truth synth.Truth) (edges, phases errors) {
	var oneWay [3]bool
	for i, s := range r.Sensors {
		oneWay[i] = math.IsNaN(s.HysteresisDeg.Value)
	}
	want := spintest.Shown(truth, oneWay)
	for i, s := range r.Sensors {
		if !truth.Sensors[i].Stuck {
			edges.add(r.Edge(s.RiseDeg), want.Rise[i])
			edges.add(r.Edge(s.FallDeg), want.Fall[i])
		}
		if i > 0 && !truth.Seen[i].Open {
			phases.add(r.Phases[i].AngleDeg, want.Phase[i])
		}
	}
	return edges, phases
}
