package spin

import (
	"math"
	"slices"

	"handspin/capture"
	"handspin/commutation/spin/curve"

	"gonum.org/v1/gonum/stat"
)

// signals are the phase columns made ready for a fit: one or more channels
// sampled together, each a fixed linear combination of the leads' voltages.
type signals struct {
	t         []float64 // s
	ch        []channel
	stretches []curve.Stretch
	// lead[k] gives the wave of lead k as a combination of the channels'
	// waves; a lead that the recording does not have is all zero.
	lead [3][3]float64
	// known tells which leads the recording has, floating that only their
	// differences mean something.
	known    [3]bool
	floating bool
	// saturated marks samples that do not show the whole back-EMF; nil where
	// all do.
	saturated []bool
}

// channel is one series of samples in the unit of the recording's columns.
type channel struct {
	v     []float64 // NaN where there is none
	bound []bound   // nil where every sample is a value
	skew  float64   // sampled this much later than signals.t, s
	noise float64   // standard deviation of a sample
}

// bound says how a sample relates to the true voltage.
type bound int8

const (
	exact   bound = 0
	atMost  bound = -1 // clipped at the bottom: the voltage is there or lower
	atLeast bound = +1 // clipped at the top
)

// gapFactor and gapTime define a gap: it is longer than gapFactor usual
// intervals and longer than gapTime. A few lost lines of a serial log are not a
// gap, since the rotor's inertia bridges them.
const (
	gapFactor = 10.0
	gapTime   = 0.008 // s
	minRun    = 12    // samples; a shorter run cannot support a fit
)

// leastNoise is the least noise that a column is given credit for, relative to
// the noisiest: one that reads exactly nothing, as a lead that is the ground
// does, must not outweigh the others.
const leastNoise = 0.1

func (s *signals) floorNoise() {
	largest := 0.0
	for _, ch := range s.ch {
		largest = max(largest, ch.noise)
	}
	if largest == 0 {
		largest = 1 // constant columns, which carry nothing
	}
	for c := range s.ch {
		s.ch[c].noise = max(s.ch[c].noise, leastNoise*largest)
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
		if i-lo >= minRun && t[i-1] > t[lo] {
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
	var d []float64
	for i := 1; i < len(t); i += step {
		d = append(d, t[i]-t[i-1])
	}
	return median(d)
}

// maxProbe is how many places of a long series are looked at where a robust
// statistic of all of them is wanted.
const maxProbe = 4000

// median returns the middle value of x, which it reorders; 0 for none.
func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}

// shown counts the values of all channels within the stretches.
func (s *signals) shown(in []curve.Stretch) float64 {
	n := 0
	for _, ch := range s.ch {
		for _, st := range in {
			for _, v := range ch.v[st.Lo:st.Hi] {
				if !math.IsNaN(v) {
					n++
				}
			}
		}
	}
	return float64(n)
}

// thin averages runs of n samples into one. Runs end at the stretches' ends.
func (s *signals) thin(n int) *signals {
	if n <= 1 {
		return s
	}
	room := len(s.t) / n
	out := &signals{t: make([]float64, 0, room), lead: s.lead, known: s.known, floating: s.floating}
	for _, c := range s.ch {
		thinned := channel{v: make([]float64, 0, room), skew: c.skew, noise: c.noise / math.Sqrt(float64(n))}
		out.ch = append(out.ch, thinned)
	}
	for _, st := range s.stretches {
		first := len(out.t)
		for lo := st.Lo; lo+n <= st.Hi; lo += n {
			out.t = append(out.t, mean(s.t[lo:lo+n]))
			for c := range s.ch {
				out.ch[c].add(s.ch[c], lo, lo+n)
			}
			if s.saturated != nil {
				out.saturated = append(out.saturated, slices.Contains(s.saturated[lo:lo+n], true))
			}
		}
		if len(out.t) > first {
			out.stretches = append(out.stretches, curve.Stretch{Lo: first, Hi: len(out.t)})
		}
	}
	return out
}

// add appends the mean of from's samples [lo, hi), which is a bound where all
// of them are, and missing where bounds and values are mixed: their mean would
// be neither.
func (c *channel) add(from channel, lo, hi int) {
	c.v = append(c.v, mean(from.v[lo:hi]))
	if from.bound == nil {
		return
	}
	b := from.bound[lo]
	for _, other := range from.bound[lo+1 : hi] {
		if other != b {
			c.v[len(c.v)-1] = math.NaN()
		}
	}
	c.bound = append(c.bound, b)
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
func (s *signals) orders() []int {
	if s.floating && len(s.ch) == 1 {
		return []int{1, 5, 7}
	}
	return []int{1, 3, 5, 7}
}

// gapLimit is the longest pause between rows over which a level is held. Event
// rows come only when something changes, and a rotor may rest for long.
func gapLimit(rec *capture.Recording) float64 {
	if len(rec.Columns) == 0 {
		return math.Inf(1)
	}
	return max(gapFactor*usualInterval(rec.Time), gapTime)
}
