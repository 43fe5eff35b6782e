package emf

import (
	"math"
	"slices"
)

// Refine fits twice: once with the weights of the noise, then with those of
// the residuals, which include what the model does not know, such as magnets
// of unequal strength. Between the two it leaves sparks out.
func (f *Fit) Refine() error {
	if err := f.run(true); err != nil {
		return err
	}
	f.dropSparks()
	f.share = max(f.share, f.Missed())
	return f.run(false)
}

// sparkShare is the most samples, of those that show more than noise, that may be sparks:
// of a model that is wrong there are more.
const sparkShare = 0.05

// dropSparks leaves out what is further off than the modelled back-EMF ever is, which
// tells nothing of it, and more than noise.
func (f *Fit) dropSparks() {
	own := *f.Signals
	own.Channels = slices.Clone(own.Channels)
	for c := range own.Channels {
		own.Channels[c].Value = f.withoutSparks(c)
	}
	f.Signals = &own
}

// withoutSparks returns the values of channel c, or where it has sparks a copy without
// them and without their residuals.
func (f *Fit) withoutSparks(c int) []float64 {
	ch := f.Signals.Channels[c]
	offset, peak := f.Wave[c][f.PerChannel()-1], 0.0
	for i, e := range f.Residual[c] {
		if !math.IsNaN(e) {
			peak = max(peak, math.Abs(ch.Value[i]-e-offset))
		}
	}
	peak = max(peak, 2*huber*ch.Noise)
	var sparks []int
	shown := 0
	for i, e := range f.Residual[c] {
		if math.Abs(e) > peak {
			sparks = append(sparks, i)
		}
		if !math.IsNaN(e) && math.Abs(ch.Value[i]-offset) > 3*ch.Noise {
			shown++
		}
	}
	if len(sparks) == 0 || float64(len(sparks)) > sparkShare*float64(shown) {
		return ch.Value
	}
	out := slices.Clone(ch.Value)
	for _, i := range sparks {
		out[i], f.Residual[c][i] = math.NaN(), math.NaN()
	}
	f.Sparks += len(sparks)
	return out
}

// Missed returns the residuals beyond the noise as a share of the back-EMF.
func (f *Fit) Missed() float64 {
	left, all := 0.0, 0.0
	for c, ch := range f.Signals.Channels {
		offset := f.Wave[c][f.PerChannel()-1]
		noise := ch.Noise * ch.Noise
		for i, e := range f.Residual[c] {
			if x := ch.Value[i] - offset; !math.IsNaN(e) && x*x > 9*noise {
				left += e*e/noise - 1
				all += x * x / noise
			}
		}
	}
	if !(left > 0) || all == 0 {
		return 0
	}
	return math.Sqrt(left / all)
}

// Explained returns the share of the channels' power, beyond noise, that the
// model accounts for; at most 1. Impulses count as large samples, no more.
func (f *Fit) Explained() float64 {
	var left, signal float64
	for c, ch := range f.Signals.Channels {
		offset := f.Wave[c][f.PerChannel()-1]
		most := impulse * f.level(c, offset)
		noise := ch.Noise * ch.Noise
		for i, e := range f.Residual[c] {
			if math.IsNaN(e) {
				continue
			}
			e, x := min(math.Abs(e), most), min(math.Abs(ch.Value[i]-offset), most)
			left += e*e/noise - noiseDoubt
			signal += x*x/noise - noiseDoubt
		}
	}
	if !(signal > 0) {
		return 0
	}
	return 1 - math.Max(left, 0)/signal
}

const (
	impulse    = 1.5  // times the level that one sample in twenty exceeds
	noiseDoubt = 1.15 // the noise's variance may be more than its estimate by this factor
)

// level returns the deviation from the offset that one sample in twenty exceeds.
func (f *Fit) level(c int, offset float64) float64 {
	dev := inOrder(len(f.Residual[c]), func(i int) float64 {
		if math.IsNaN(f.Residual[c][i]) {
			return math.NaN()
		}
		return math.Abs(f.Signals.Channels[c].Value[i] - offset)
	})
	if len(dev) == 0 {
		return 0
	}
	return dev[len(dev)*19/20]
}

// Block is the run of samples over which the fit is judged.
const Block = 24

// Lost marks the samples in blocks that the model does not explain: it leaves
// more than half of the back-EMF there, and more than the noise.
func (f *Fit) Lost() []bool {
	out := make([]bool, len(f.Signals.Time))
	for _, st := range f.Signals.Stretches {
		for lo := st.Lo; lo < st.Hi; lo += Block {
			hi := min(lo+Block, st.Hi)
			if f.blockLost(lo, hi) {
				for i := lo; i < hi; i++ {
					out[i] = true
				}
			}
		}
	}
	return out
}

func (f *Fit) blockLost(lo, hi int) bool {
	left, signal, n := 0.0, 0.0, 0.0
	for c, ch := range f.Signals.Channels {
		offset := f.Wave[c][f.PerChannel()-1]
		for i := lo; i < hi; i++ {
			e := f.Residual[c][i] / f.Sigma[c]
			if math.IsNaN(e) {
				continue
			}
			x := (ch.Value[i] - offset) / f.Sigma[c]
			left, signal, n = left+e*e, signal+x*x, n+1
		}
	}
	return NotExplained(left, signal, n)
}

// NotExplained reports whether the squares that are left of n samples, in units of
// their noise, are more than half of the signal's size and than the noise.
func NotExplained(left, signal, n float64) bool { return n > 0 && left > 9*n && left > 0.25*signal }

// inflation is the factor by which the waves' variances differ from those that
// the weights imply, since the residuals of neighbouring samples are alike. It
// compares the weighted sums over blocks with what independent residuals of the
// weights' size would give, the middle of a sandwich estimate; blocks count by
// what they tell about the waves.
func (f *Fit) inflation() float64 {
	sum, information := 0.0, 0.0
	for c := range f.Signals.Channels {
		for _, st := range f.Signals.Stretches {
			for lo := st.Lo; lo+Block <= st.Hi; lo += Block {
				excess, told := f.blockExcess(c, lo)
				sum += excess * told
				information += told
			}
		}
	}
	if information == 0 {
		return 1
	}
	return max(sum/information, leastInflation)
}

// leastInflation keeps an estimate from claiming less than this share of the
// variance that its weights imply, however small its residuals are.
const leastInflation = 0.001

// blockExcess returns the squared weighted sum of a block's residuals over its
// expectation for independent ones, and the block's signal-to-noise ratio.
func (f *Fit) blockExcess(c, lo int) (excess, told float64) {
	sum, weights := 0.0, 0.0
	offset := f.Wave[c][f.PerChannel()-1]
	for i := lo; i < lo+Block; i++ {
		e := f.Residual[c][i]
		if math.IsNaN(e) {
			continue
		}
		w := 1 / (f.SD[c][i] * f.SD[c][i])
		sum, weights = sum+e*w, weights+w
		x := f.Signals.Channels[c].Value[i] - e - offset
		told += x * x * w
	}
	if weights == 0 {
		return 0, 0
	}
	return sum * sum / weights, told
}

// SpeedCV returns the relative scatter of the fitted speed.
func (f *Fit) SpeedCV() float64 {
	var n, sum, squares float64
	for _, st := range f.Signals.Stretches {
		for i := st.Lo; i < st.Hi; i++ {
			_, w := f.Angle.AtTime(f.Signals.Time[i])
			n, sum, squares = n+1, sum+math.Abs(w), squares+w*w
		}
	}
	return math.Sqrt(math.Max(squares*n-sum*sum, 0)) / sum
}

// Clearness returns the amplitude of the strongest channel at the rotor's effective speed,
// in standard deviations of that channel's noise.
func (f *Fit) Clearness() float64 {
	angle := make([]float64, len(f.Signals.Time))
	for i, t := range f.Signals.Time {
		angle[i], _ = f.Angle.AtTime(t)
	}
	rate, _ := speed(f.Signals, angle)
	clear := 0.0
	for c, w := range f.Wave {
		clear = max(clear, math.Hypot(w[0], w[1])*rate/f.Sigma[c])
	}
	return clear
}
