package rotor

import "math"

// Constants are a motor's by the conventions in use, for a sinusoidal back-EMF.
// Each is of the motor as a star, or as the star that a delta is equal to at its
// leads. Torque constants follow from the energy balance e i = T w.
type Constants struct {
	// The back-EMF constants are in V s/rad of the shaft: peak of a phase,
	// peak and rms between two leads.
	KePhasePeak, KeLinePeak, KeLineRMS float64
	// KvLinePeak is in rpm per volt of the peak between two leads, KvSixStep
	// in rpm per volt of DC supply, the speed without load that six-step
	// drive reaches: on average it sees 3/pi of the line's peak.
	KvLinePeak, KvSixStep float64
	// The torque constants are in N m: per ampere of DC current with six-step
	// drive, per ampere peak and per ampere rms of a phase with sine drive.
	KtSixStep, KtSinePeak, KtSineRMS float64
}

// rpm is a speed of 1 rad/s in turns per minute.
const rpm = 60 / (2 * math.Pi)

// NewConstants returns the constants of a motor from the peak flux linkage of a
// phase of the star, in V s, and the number of pole pairs. An unknown flux linkage,
// NaN, gives unknown constants.
func NewConstants(linkageVS float64, polePairs int) Constants {
	phase := float64(polePairs) * linkageVS
	line := math.Sqrt(3) * phase
	sixStep := 3 / math.Pi * line
	return Constants{
		KePhasePeak: phase, KeLinePeak: line, KeLineRMS: line / math.Sqrt2,
		KvLinePeak: rpm / line, KvSixStep: rpm / sixStep,
		KtSixStep: sixStep, KtSinePeak: 1.5 * phase, KtSineRMS: 1.5 * math.Sqrt2 * phase,
	}
}

// Relative returns the constants of a motor whose flux linkage is known in unknown
// units only, as multiples of the peak between two leads, whose own is 1.
func Relative() Constants { return NewConstants(1/math.Sqrt(3), 1) }

// StarEquivalent returns the flux linkage of the star that equals a delta whose
// phases have the given one.
func StarEquivalent(deltaVS float64) float64 { return deltaVS / math.Sqrt(3) }
