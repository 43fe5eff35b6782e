package spin

import (
	"math"

	"handspin/commutation"
)

// Result is what a hand spin tells about a motor.
type Result struct {
	// Motor is the estimate, and Draws are motors drawn from its posterior
	// distribution: their scatter is the estimate's uncertainty, with what columns'
	// scales may be off, sensors' hysteresis that was not seen and delays. Usable is
	// false where the recording does not determine a motor; Motor and Draws
	// are then meaningless.
	Motor  commutation.Motor
	Draws  []commutation.Motor
	Usable bool
	// Assumed is the Hall lead, h1 to h3, that is dead and whose sensor Motor
	// has where it should be: 120 degrees from both others. It is empty where
	// nothing was assumed.
	Assumed string
	// Reliability is the probability that the estimate's structure (order,
	// sense, no slipped turns) is right, apart from the scatter of Draws.
	Reliability float64

	// PhaseOrder lists the phase leads (0 to 2) in the order in which their
	// back-EMFs follow one another forward, p1 first; nil where not known.
	PhaseOrder []int
	Phases     [3]Phase
	Sensors    [3]Sensor
	// EMF are the leads' fundamentals as phasors, in volts per electrical rad/s
	// or in units of the columns, a lag being a negative angle; all zero where
	// the recording does not tell all three. EMFCov is their covariance: real
	// part and imaginary part of p1, of p2, of p3.
	EMF [3]complex128
	// EMFCov is of the fit: what the columns' scales may be off is not in it.
	EMFCov [6][6]float64
	// ZeroSD is the standard deviation of the angle's zero against all sensors, in electrical
	// degrees: an error that all edges share, beside their own. It is of what unequal
	// columns do to p1, of poles that half waves hide and of a small delay.
	ZeroSD float64
	// FluxLinkage is the peak fundamental flux linkage of the strongest
	// phase, in V s.
	FluxLinkage Value
	// SpacingDeg is 120 or 60, or the smallest distance between the places
	// of two sensors where it is neither; NaN where not known.
	SpacingDeg float64
	// ShiftDeg is by how many electrical degrees all sensors together are late
	// of the nearest places that suit six-step drive, in [-30, 30): those whose
	// edges are at the line voltages' zero crossings. A spin in one direction
	// shows the sensors' hysteresis in it too. NaN where not known.
	ShiftDeg float64
	// TurnsForward and TurnsBackward count electrical turns, both positive.
	TurnsForward, TurnsBackward float64
	// Speed is how fast the rotor turned.
	Speed Speed
	// Findings are the faults seen and the limits of the recording.
	Findings []commutation.Finding

	// parts are the analyses behind this, and originDeg is where angle zero lies
	// on their scale: for Traces and Shaft.
	parts     []*analysis
	originDeg float64
}

// Edge returns an edge's place with the error of the zero in its standard deviation.
func (r *Result) Edge(v Value) Value { return Value{v.Value, math.Hypot(v.SD, r.ZeroSD)} }

// only returns the analysis of the one recording behind the result; nil where
// there are more or none.
func (r *Result) only() *analysis {
	if len(r.parts) != 1 {
		return nil
	}
	return r.parts[0]
}

// Speed is in electrical turns per second while the rotor turned; NaN where the
// recording does not tell.
type Speed struct {
	MeanHz, SlowestHz, FastestHz float64
}

// PeakVolts returns the peak of a lead's fundamental at the mean speed, in volts
// against the star point; NaN where volts or speed are not known.
func (r *Result) PeakVolts(lead int) float64 {
	return r.FluxLinkage.Value * r.Phases[lead].Amplitude.Value * 2 * math.Pi * r.Speed.MeanHz
}

// Value is a measured number with its standard deviation, in the same unit.
// Both are NaN where the recording does not tell.
type Value struct {
	Value, SD float64
}

// Phase is the back-EMF of one phase lead.
type Phase struct {
	// Known is false where the recording has no such lead.
	Known bool
	// AngleDeg is by how many electrical degrees the lead's fundamental lags
	// that of p1, in [0, 360).
	AngleDeg Value
	// Amplitude is relative to the strongest phase.
	Amplitude Value
	// Harmonics are amplitudes relative to the lead's own fundamental, by
	// order; only those that are significant.
	Harmonics map[int]float64
}

// Sensor is one Hall sensor. Angles are electrical degrees in [0, 360), the
// mean of both directions where the spin had both.
type Sensor struct {
	// Known is false where the recording has no such lead; Placed is true
	// where its edges were found.
	Known, Placed bool
	// RiseDeg and FallDeg are where the level goes high and low when the
	// rotor turns forward; their standard deviations are their own, against the
	// other sensors' edges.
	RiseDeg, FallDeg Value
	// ErrorDeg is the distance of the sensor's place from the regular
	// 60-degree grid that fits all sensors best, positive forward.
	ErrorDeg float64
	// HysteresisDeg is half the difference between the edges' angles in the
	// two directions, NaN where the spin had only one.
	HysteresisDeg Value
	// Edges counts the edges that were used, Glitches the pulses too short to
	// be a pole passing, Agreement the share of the turned angle at which the
	// level was what RiseDeg and FallDeg say.
	Edges, Glitches int
	Agreement       float64
	// Scatter is the standard deviation of a single edge about its place, in
	// electrical degrees: magnets differ by a few. NaN where not known.
	Scatter float64
	// Duty is the share of the electrical turn at high level.
	Duty float64
	// Missed are the times, in seconds from the first row, at which the rotor passed
	// a place where the level should have changed and did not; Extra those of changes
	// elsewhere and of short pulses.
	Missed, Extra []float64
}
