package emf

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"handspin/capture"
	"handspin/commutation/spin/curve"
)

// Signals are the phase columns made ready for a fit: one or more channels
// sampled together, each a fixed linear combination of the leads' voltages.
type Signals struct {
	Time      []float64 // s
	Channels  []Channel
	Stretches []curve.Stretch
	// Lead[k] gives the wave of lead k as a combination of the channels'
	// waves; a lead that the recording does not have is all zero.
	Lead [3][3]float64
	// Known tells which leads the recording has, Floating that only their
	// differences mean something.
	Known    [3]bool
	Floating bool
	// Clipped says that samples at a limit are bounds or were left out, and Cut that
	// there are so many of them that the waves' size is not known.
	Clipped, Cut bool
	// saturated marks samples that do not show the whole back-EMF; nil where
	// all do.
	saturated []bool
}

// All reports whether the recording has all three leads.
func (s *Signals) All() bool { return s.Known == [3]bool{true, true, true} }

// OneSided reports whether the columns show half waves, which may be cut at their tops as
// well: near half of all samples say only that the voltage is lower, and clearly fewer
// that it is higher.
func (s *Signals) OneSided() bool {
	const half, cut = 0.4, 0.75
	low, high, all := 0, 0, 0
	for _, ch := range s.Channels {
		for _, b := range ch.Bound {
			switch b {
			case AtMost:
				low++
			case AtLeast:
				high++
			}
		}
		all += len(ch.Value)
	}
	return float64(low) > half*float64(all) && float64(high) < cut*float64(low)
}

// Channel is one series of samples in the unit of the recording's columns.
type Channel struct {
	Value []float64 // NaN where there is none
	Bound []Bound   // nil where every sample is a value
	Skew  float64   // sampled this much later than Signals.Time, s
	Noise float64   // standard deviation of a sample
}

// Bound says how a sample relates to the true voltage.
type Bound int8

// The bounds.
const (
	Exact   Bound = 0
	AtMost  Bound = -1 // clipped at the bottom: the voltage is there or lower
	AtLeast Bound = +1 // clipped at the top
)

// gapFactor and gapTime define a gap: it is longer than gapFactor usual
// intervals and longer than gapTime. A few lost lines of a serial log are not a
// gap, since the rotor's inertia bridges them.
const (
	gapFactor = 10.0
	gapTime   = 0.008 // s
)

// LeastRun is the least number of samples that can support a fit.
const LeastRun = 12

// leastNoise is the least noise that a column is given credit for, relative to
// the noisiest: one that reads exactly nothing, as a lead that is the ground
// does, must not outweigh the others.
const leastNoise = 0.1

func (s *Signals) floorNoise() {
	largest := 0.0
	for _, ch := range s.Channels {
		largest = max(largest, ch.Noise)
	}
	if largest == 0 {
		largest = 1 // constant columns, which carry nothing
	}
	for c := range s.Channels {
		s.Channels[c].Noise = max(s.Channels[c].Noise, leastNoise*largest)
	}
}

// split finds the stretches of t that have no gap.
func split(t []float64) []curve.Stretch {
	limit := max(gapFactor*usualInterval(t), gapTime)
	var out []curve.Stretch
	lo := 0
	for i := 1; i <= len(t); i++ {
		if i < len(t) && t[i]-t[i-1] <= limit {
			continue
		}
		if i-lo >= LeastRun && t[i-1] > t[lo] {
			out = append(out, curve.Stretch{Lo: lo, Hi: i})
		}
		lo = i
	}
	return out
}

// usualInterval returns the median interval of t; 0 for fewer than two times.
func usualInterval(t []float64) float64 {
	if len(t) < 2 {
		return 0
	}
	step := max(1, (len(t)-1)/maxProbe)
	d := make([]float64, 0, min(len(t), 2*maxProbe))
	for i := 1; i < len(t); i += step {
		d = append(d, t[i]-t[i-1])
	}
	return Median(d)
}

// maxProbe is how many places of a long series are looked at where a robust
// statistic of all of them is wanted.
const maxProbe = 4000

// inOrder returns the values of up to about maxProbe of n places, without NaN and
// smallest first.
func inOrder(n int, value func(i int) float64) []float64 {
	out := make([]float64, 0, min(n, 2*maxProbe))
	for i := 0; i < n; i += max(1, n/maxProbe) {
		if v := value(i); !math.IsNaN(v) {
			out = append(out, v)
		}
	}
	slices.Sort(out)
	return out
}

// Median returns the middle value of x, which it reorders; 0 for none.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}

// shown counts the values of all channels within the stretches.
func (s *Signals) shown(in []curve.Stretch) float64 {
	n := 0
	for _, ch := range s.Channels {
		for _, st := range in {
			for _, v := range ch.Value[st.Lo:st.Hi] {
				if !math.IsNaN(v) {
					n++
				}
			}
		}
	}
	return float64(n)
}

// Thin averages runs of n samples into one. Runs end at the stretches' ends.
func (s *Signals) Thin(n int) *Signals {
	if n <= 1 {
		return s
	}
	room := len(s.Time) / n
	out := &Signals{Time: make([]float64, 0, room), Lead: s.Lead, Known: s.Known, Floating: s.Floating, Clipped: s.Clipped, Cut: s.Cut}
	for _, c := range s.Channels {
		thinned := Channel{Value: make([]float64, 0, room), Skew: c.Skew, Noise: c.Noise / math.Sqrt(float64(n))}
		out.Channels = append(out.Channels, thinned)
	}
	for _, st := range s.Stretches {
		first := len(out.Time)
		for lo := st.Lo; lo+n <= st.Hi; lo += n {
			out.Time = append(out.Time, mean(s.Time[lo:lo+n]))
			for c := range s.Channels {
				out.Channels[c].add(s.Channels[c], lo, lo+n)
			}
			if s.saturated != nil {
				out.saturated = append(out.saturated, slices.Contains(s.saturated[lo:lo+n], true))
			}
		}
		if len(out.Time) > first {
			out.Stretches = append(out.Stretches, curve.Stretch{Lo: first, Hi: len(out.Time)})
		}
	}
	return out
}

// add appends the mean of from's samples [lo, hi), which is a bound where all
// of them are, and missing where bounds and values are mixed: their mean would
// be neither.
func (c *Channel) add(from Channel, lo, hi int) {
	c.Value = append(c.Value, mean(from.Value[lo:hi]))
	if from.Bound == nil {
		return
	}
	b := from.Bound[lo]
	for _, other := range from.Bound[lo+1 : hi] {
		if other != b {
			c.Value[len(c.Value)-1] = math.NaN()
		}
	}
	c.Bound = append(c.Bound, b)
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// power is the square of z's magnitude.
func power(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// variance is that of the whole of x, 0 of nothing.
func variance(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	_, v := stat.PopMeanVariance(x, nil)
	return v
}

// orders are the harmonics that the back-EMF may have. Those divisible by three are
// equal in all leads of a sound motor and cancel where only differences are seen, but
// not those of a phase that is reversed. One difference by itself does not tell a third
// harmonic from ripple of the speed.
func (s *Signals) orders() []int {
	if s.Floating && len(s.Channels) == 1 {
		return []int{1, 5, 7}
	}
	return []int{1, 3, 5, 7}
}

// GapLimit is the longest pause between rows over which a level is held. Event
// rows come only when something changes, and a rotor may rest for long.
func GapLimit(rec *capture.Recording) float64 {
	if len(rec.Columns) == 0 {
		return math.Inf(1)
	}
	return max(gapFactor*usualInterval(rec.Time), gapTime)
}
