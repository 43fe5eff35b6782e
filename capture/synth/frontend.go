package synth

import "math"

// FrontEnd is how the motor's leads are sampled and the sensors' edges stamped.
// A zero value of Bits leaves the columns unquantised.
type FrontEnd struct {
	RateHz float64
	Bits   int
	// VoltsPerCount is the back-EMF at the lead for one count.
	VoltsPerCount float64
	OffsetCounts  [3]float64
	// GainError is relative, per column.
	GainError   [3]float64
	NoiseCounts float64
	// SkewUS is how much later than the row's time each column is sampled, in
	// microseconds.
	SkewUS    [3]float64
	Reference Reference
	// ClampLoad is by how much more a lead is loaded while its half-wave
	// column is clamped, relative: the lower resistor of a divider is then
	// shorted by the clamp. For the half-wave reference only.
	ClampLoad float64
	// ClipLow and ClipHigh are the counts beyond which a column stays; both 0
	// for the range of Bits.
	ClipLow, ClipHigh float64
	// EdgeRows stamps each change of a Hall line in a row of its own, in steps
	// of 4 us; without it the levels are known as of the samples only.
	EdgeRows bool
	// HallLagUS is how much later than the change it is stamped.
	HallLagUS float64
	// StartUS is the board's counter at the beginning. The recording's times
	// do not depend on it, apart from the grid of the stamps.
	StartUS uint32
	// MissingFrom and MissingTo bound a stretch of time without rows, in
	// seconds from the beginning.
	MissingFrom, MissingTo float64
	// HighPass and LowPass are the time constants in seconds of what a column
	// goes through before it is sampled: an input coupled through a capacitor,
	// and a capacitor across it; 0 for none.
	HighPass, LowPass float64
	// Index records a pulse at each passage of the machine angle IndexDeg, taken
	// over a turn of the shaft.
	Index    bool
	IndexDeg float64
	// Hum is the amplitude of what the leads pick up from the mains together,
	// in counts; HumHz its frequency.
	Hum, HumHz float64
	// Spikes is how often per second a single sample of a column is off, by up to
	// SpikeCounts either way: the sparks of a drill's brushes.
	Spikes, SpikeCounts float64
}

// Reference is what the phase columns are measured against.
type Reference uint8

// The references. Neutral: the star point of the winding. VirtualStar: equal
// dividers with bias and a floating motor, so that the mean of the connected
// leads is the reference. LowestLead: an unpowered controller's diodes hold the
// lowest lead. HalfWave: equal dividers to ground without bias, a column stays
// at zero while its lead is negative. FirstLead: p1 is the ground. Differences:
// the columns are p12, p23, p31.
const (
	Neutral Reference = iota
	VirtualStar
	LowestLead
	HalfWave
	FirstLead
	Differences
)

var referenceNames = [...]string{"neutral", "virtual-star", "lowest-lead", "half-wave", "first-lead", "differences"}

// String returns the reference's name in lower case with hyphens.
func (r Reference) String() string { return referenceNames[r] }

// stampUS is the step of the board's counter, in microseconds.
const stampUS = 4

// Board returns the front end of a ten-bit capture board at 3.2 kHz that stamps
// edges, with biased dividers and a floating motor.
func Board() FrontEnd {
	return FrontEnd{
		RateHz:        3200,
		Bits:          10,
		VoltsPerCount: 0.0538,
		OffsetCounts:  [3]float64{512, 512, 512},
		NoiseCounts:   1,
		SkewUS:        [3]float64{0, 26, 52},
		Reference:     VirtualStar,
		EdgeRows:      true,
		StartUS:       20000,
	}
}

// columns returns the columns in volts for the leads' voltages against the star
// point. An open lead rests at the reference and loads nothing.
func (f FrontEnd) columns(emf [3]float64, open [3]bool) [3]float64 {
	reference := f.reference(emf, open)
	var out [3]float64
	for i := range out {
		if !open[i] {
			out[i] = emf[i] - reference
		}
		if f.Reference == HalfWave {
			out[i] = max(out[i], 0)
		}
	}
	if f.Reference == Differences {
		out = [3]float64{out[0] - out[1], out[1] - out[2], out[2] - out[0]}
	}
	return out
}

// reference returns the voltage of the reference against the star point.
func (f FrontEnd) reference(emf [3]float64, open [3]bool) float64 {
	switch {
	case f.Reference == Neutral:
		return 0
	case f.Reference == FirstLead && !open[0]:
		return emf[0]
	case f.Reference == LowestLead:
		low := math.Inf(1)
		for i, e := range emf {
			if !open[i] {
				low = min(low, e)
			}
		}
		return low
	}
	ground := mean(emf, open, [3]float64{1, 1, 1})
	if f.Reference != HalfWave || f.ClampLoad == 0 {
		return ground
	}
	return f.clampedGround(ground, emf, open)
}

// clampedGround returns the ground that balances the currents of the dividers
// when the leads below it load it by ClampLoad more. Each pass settles which
// leads are below; three leads need no more than three.
func (f FrontEnd) clampedGround(ground float64, emf [3]float64, open [3]bool) float64 {
	for range emf {
		weight := [3]float64{1, 1, 1}
		for i, e := range emf {
			if e < ground {
				weight[i] += f.ClampLoad
			}
		}
		ground = mean(emf, open, weight)
	}
	return ground
}

// mean returns the weighted mean of the connected leads' voltages; 0 where none
// is connected.
func mean(emf [3]float64, open [3]bool, weight [3]float64) float64 {
	sum, total := 0.0, 0.0
	for i, e := range emf {
		if !open[i] {
			sum += weight[i] * e
			total += weight[i]
		}
	}
	if total == 0 {
		return 0
	}
	return sum / total
}

// clip returns the counts within the converter's range.
func (f FrontEnd) clip(counts float64) float64 {
	low, high := f.ClipLow, f.ClipHigh
	if low == 0 && high == 0 {
		if f.Bits == 0 {
			return counts
		}
		high = math.Ldexp(1, f.Bits) - 1
	}
	return min(max(counts, low), high)
}
