package difference

import (
	"math"
	"slices"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Soundness is how far a motor is from a sound one; NaN where that is not known.
type Soundness struct {
	// Unbalance is the part of the back-EMF that rotates against the leads, relative to
	// that with them: a third of what one phase lacks.
	Unbalance spin.Value
	// WorstDeg is the largest distance of a sensor from its place among the others, and
	// ShiftDeg that of all from the nearest place that suits; electrical degrees.
	WorstDeg spin.Value
	ShiftDeg float64
	// Torque is the mean torque and LeastTorque the least over the turn under the
	// six-step table that suits the motor best, relative to the mean of perfect timing.
	Torque, LeastTorque float64

	perfect float64 // the mean torque of perfect timing, in the unit of the back-EMF
}

func soundness(r *spin.Result) Soundness {
	s := Soundness{Unbalance: unknown, WorstDeg: unknown, ShiftDeg: r.ShiftDeg, Torque: math.NaN(), LeastTorque: math.NaN(), perfect: math.NaN()}
	if len(r.PhaseOrder) == 3 && strongest(r.EMF) > 0 {
		s.Unbalance = viewOf(r).unbalance()
	}
	for _, h := range r.Sensors {
		if h.Placed && !(math.Abs(h.ErrorDeg) <= s.WorstDeg.Value) {
			s.WorstDeg = spin.Value{Value: math.Abs(h.ErrorDeg), SD: math.Hypot(h.RiseDeg.SD, h.FallDeg.SD) / 2}
		}
	}
	if runs(r) {
		s.Torque, s.LeastTorque = torque(r.Motor)
		s.perfect = meanLargest(r.Motor.EMF)
	}
	return s
}

// runs reports whether a motor has three sensors and three phases to run with.
func runs(r *spin.Result) bool { return r.Usable && r.Assumed == "" }

// own is the wiring of a motor's own table.
var own = commutation.Wiring{Phase: straight, Hall: straight}

// kept is what the second motor does under the table that suits the first, whose forward is
// the second's backward where they are opposite.
func kept(first, second commutation.Motor, opposite bool) commutation.Behaviour {
	table := commutation.OwnTable(first)
	if opposite {
		table = table.Reverse()
	}
	wired := slices.Index(commutation.Wirings(), own)
	return commutation.Forecasts(second, nil, []commutation.DriveTable{table})[0][wired].Behaviour
}

// torque is the mean and the least torque of a motor under its own table.
func torque(m commutation.Motor) (mean, least float64) {
	curve := commutation.TorqueCurve(m, own, commutation.OwnTable(m), 720)
	if len(curve) == 0 {
		return math.NaN(), math.NaN()
	}
	for _, v := range curve {
		mean += v / float64(len(curve))
	}
	return mean, slices.Min(curve)
}

// meanLargest is the mean over the turn of the largest difference between leads: torque
// per ampere of perfect timing, in the waves' unit.
func meanLargest(emf [3]commutation.Wave) float64 {
	const n = 720
	sum := 0.0
	for i := range n {
		deg := 360 * float64(i) / n
		p, q, r := emf[0].At(deg), emf[1].At(deg), emf[2].At(deg)
		sum += (max(p, q, r) - min(p, q, r)) / n
	}
	return sum
}
