package synth

import (
	"fmt"
	"math"
)

// The limits of what is simulated: more would need other step sizes or more
// memory than a recording is worth.
const (
	maxSeconds = 1000
	maxRows    = 20e6
	maxHz      = 5000 // electrical, half a turn between two points of a motion
)

// bound is a number and the range in which it makes sense.
type bound struct {
	name             string
	value, low, high float64
}

// check rejects numbers outside the range, NaN among them.
func (b bound) check() error {
	if b.value >= b.low && b.value <= b.high {
		return nil
	}
	return fmt.Errorf("%s is %g, it must be from %g to %g", b.name, b.value, b.low, b.high)
}

// Check returns what keeps the configuration from being simulated, if anything.
func (c Config) Check() error {
	var bounds []bound
	for i, s := range c.Motor.Sensors {
		bounds = append(bounds, s.bounds(fmt.Sprintf("h%d", i+1))...)
	}
	bounds = append(bounds, c.Motor.bounds()...)
	bounds = append(bounds, c.Spin.bounds()...)
	for _, b := range append(bounds, c.FrontEnd.bounds()...) {
		if err := b.check(); err != nil {
			return err
		}
	}
	return bound{"number of samples", c.Spin.Seconds * c.FrontEnd.RateHz, 0, maxRows}.check()
}

func (m Motor) bounds() []bound {
	out := []bound{
		{"number of pole pairs", float64(m.PolePairs), 1, 200},
		{"flux linkage in V s", m.Flux, -1e3, 1e3},
		{"deviation of the magnets' strength", m.PoleStrength, 0, 1},
	}
	for i := range 3 {
		// Two borders may differ by twice the largest shift, and as much
		// again by the mean that is taken out of either.
		room := m.Sensors[i].narrow() / (4 * maxDeviation)
		out = append(out,
			bound{"deviation of the magnets' places in degrees", m.PoleShift, 0, room},
			bound{fmt.Sprintf("magnetic phase of p%d", i+1), float64(m.PhaseOrder[i]), 0, 2},
			bound{fmt.Sprintf("gain of p%d", i+1), m.Gain[i], -10, 10})
	}
	if m.Machine != nil {
		out = append(out, m.Machine.bounds(m.PolePairs)...)
	}
	for n, h := range m.Harmonics {
		out = append(out,
			bound{"order of a harmonic", float64(n), 2, 100},
			bound{fmt.Sprintf("harmonic %d", n), h, -10, 10})
	}
	return out
}

// narrow is the width of the narrower of the two poles in degrees.
func (s Sensor) narrow() float64 { return min(s.WidthDeg, 360-s.WidthDeg) }

func (s Sensor) bounds(lead string) []bound {
	return []bound{
		{lead + ": angle in degrees", s.RiseDeg, -1e4, 1e4},
		{lead + ": width in degrees", s.WidthDeg, 1, 359},
		{lead + ": hysteresis in degrees", s.HysteresisDeg, 0, s.narrow() / 2},
		{lead + ": lateness in us", s.LateUS, 0, 1e6},
		{lead + ": probability of losing a pole", s.DropRate, 0, 1},
		{lead + ": number of bounces", float64(s.Bounces), 0, 100},
		{lead + ": length of a bounce in us", s.BounceUS, 0, 1e5},
		{lead + ": false pulses per second", s.GlitchRate, 0, 1e4},
		{lead + ": length of a false pulse in us", s.GlitchUS, 0, 1e6},
	}
}

func (s Spin) bounds() []bound {
	hz := math.Abs(s.StartHz) + math.Abs(s.Drill.Hz)*(1+math.Abs(s.Drill.Ripple))
	var out []bound
	for i, p := range s.Pushes {
		name := fmt.Sprintf("push %d: ", i+1)
		out = append(out,
			bound{name + "time in s", p.At, -maxSeconds, maxSeconds},
			bound{name + "duration in s", p.Duration, 1e-3, maxSeconds})
		hz += math.Abs(p.Peak) * p.Duration / 2
	}
	return append(out,
		bound{"duration of the spin in s", s.Seconds, 1e-3, maxSeconds},
		bound{"angle at the start in degrees", s.StartDeg, -1e6, 1e6},
		bound{"electrical Hz that the pushes, the start and the drill add up to", hz, 0, maxHz},
		bound{"time that the drill takes to its speed in s", s.Drill.Ramp, 0, maxSeconds},
		bound{"ripple of the drill in Hz", s.Drill.RippleHz, 0, 1e3},
		bound{"friction in Hz/s", s.Friction, 0, 1e6},
		bound{"time constant of friction in s", s.Viscous, 0, 1e6},
		bound{"cogging in Hz/s", s.Cogging, 0, 1e5},
		bound{"order of cogging", float64(s.CoggingOrder), 0, 1e4},
	)
}

func (f FrontEnd) bounds() []bound {
	out := []bound{
		{"sample rate in Hz", f.RateHz, 1, 1e6},
		{"number of bits", float64(f.Bits), 0, 32},
		{"volts per count", f.VoltsPerCount, 1e-9, 1e9},
		{"noise in counts", f.NoiseCounts, 0, 1e9},
		{"reference", float64(f.Reference), 0, float64(Differences)},
		{"load of a clamped column", f.ClampLoad, 0, 10},
		{"lowest count", f.ClipLow, -1e12, f.ClipHigh},
		{"highest count", f.ClipHigh, f.ClipLow, 1e12},
		{"lag of the edges in us", f.HallLagUS, 0, 1e6},
		{"beginning of the missing stretch in s", f.MissingFrom, 0, maxSeconds},
		{"end of the missing stretch in s", f.MissingTo, 0, maxSeconds},
		{"angle of the index in degrees", f.IndexDeg, -1e6, 1e6},
		{"hum in counts", f.Hum, 0, 1e9},
		{"frequency of the hum in Hz", f.HumHz, 0, 1e6},
		{"spikes per second", f.Spikes, 0, 1e6},
		{"size of the spikes in counts", f.SpikeCounts, 0, 1e9},
		{"time constant of the coupling in s", f.HighPass, 0, 1e6},
		{"time constant of the low-pass in s", f.LowPass, 0, 1e6},
	}
	for i := range 3 {
		column := fmt.Sprintf("column %d: ", i+1)
		out = append(out,
			bound{column + "offset in counts", f.OffsetCounts[i], -1e12, 1e12},
			bound{column + "gain error", f.GainError[i], -1, 10},
			bound{column + "skew in us", f.SkewUS[i], -1e6, 1e6})
	}
	return out
}
