package spin

import (
	"math"
	"slices"
)

// refine fits twice: once with the weights of the noise, then with those of
// the residuals, which include what the model does not know, such as magnets
// of unequal strength.
func (f *fit) refine() error {
	if err := f.run(true); err != nil {
		return err
	}
	f.share = max(f.share, f.missed())
	return f.run(false)
}

// missed returns the residuals beyond the noise as a share of the back-EMF.
func (f *fit) missed() float64 {
	left, all := 0.0, 0.0
	for c, ch := range f.sig.ch {
		offset := f.wave[c][f.perChannel()-1]
		noise := ch.noise * ch.noise
		for i, e := range f.residual[c] {
			if x := ch.v[i] - offset; !math.IsNaN(e) && x*x > 9*noise {
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

// explained returns the share of the channels' power, beyond noise, that the
// model accounts for; at most 1. Impulses count as large samples, no more.
func (f *fit) explained() float64 {
	var left, signal float64
	for c, ch := range f.sig.ch {
		offset := f.wave[c][f.perChannel()-1]
		most := impulse * f.level(c, offset)
		noise := ch.noise * ch.noise
		for i, e := range f.residual[c] {
			if math.IsNaN(e) {
				continue
			}
			e, x := min(math.Abs(e), most), min(math.Abs(ch.v[i]-offset), most)
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
func (f *fit) level(c int, offset float64) float64 {
	var dev []float64
	step := max(1, len(f.residual[c])/maxProbe)
	for i := 0; i < len(f.residual[c]); i += step {
		if !math.IsNaN(f.residual[c][i]) {
			dev = append(dev, math.Abs(f.sig.ch[c].v[i]-offset))
		}
	}
	if len(dev) == 0 {
		return 0
	}
	slices.Sort(dev)
	return dev[len(dev)*19/20]
}

// block is the run of samples over which the fit is judged.
const block = 24

// lost marks the samples in blocks that the model does not explain: it leaves
// more than half of the back-EMF there, and more than the noise.
func (f *fit) lost() []bool {
	out := make([]bool, len(f.sig.t))
	for _, st := range f.sig.stretches {
		for lo := st.Lo; lo < st.Hi; lo += block {
			hi := min(lo+block, st.Hi)
			if f.blockLost(lo, hi) {
				for i := lo; i < hi; i++ {
					out[i] = true
				}
			}
		}
	}
	return out
}

func (f *fit) blockLost(lo, hi int) bool {
	left, signal, n := 0.0, 0.0, 0.0
	for c, ch := range f.sig.ch {
		offset := f.wave[c][f.perChannel()-1]
		for i := lo; i < hi; i++ {
			e := f.residual[c][i] / f.sigma[c]
			if math.IsNaN(e) {
				continue
			}
			x := (ch.v[i] - offset) / f.sigma[c]
			left, signal, n = left+e*e, signal+x*x, n+1
		}
	}
	return notExplained(left, signal, n)
}

// notExplained reports whether the squares that are left of n samples, in units of
// their noise, are more than half of the signal's size and than the noise.
func notExplained(left, signal, n float64) bool { return n > 0 && left > 9*n && left > 0.25*signal }

// inflation is the factor by which the waves' variances differ from those that
// the weights imply, since the residuals of neighbouring samples are alike. It
// compares the weighted sums over blocks with what independent residuals of the
// weights' size would give, the middle of a sandwich estimate; blocks count by
// what they tell about the waves.
func (f *fit) inflation() float64 {
	sum, information := 0.0, 0.0
	for c := range f.sig.ch {
		for _, st := range f.sig.stretches {
			for lo := st.Lo; lo+block <= st.Hi; lo += block {
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
func (f *fit) blockExcess(c, lo int) (excess, told float64) {
	sum, weights := 0.0, 0.0
	offset := f.wave[c][f.perChannel()-1]
	for i := lo; i < lo+block; i++ {
		e := f.residual[c][i]
		if math.IsNaN(e) {
			continue
		}
		w := 1 / (f.sd[c][i] * f.sd[c][i])
		sum, weights = sum+e*w, weights+w
		x := f.sig.ch[c].v[i] - e - offset
		told += x * x * w
	}
	if weights == 0 {
		return 0, 0
	}
	return sum * sum / weights, told
}

// speedCV returns the relative scatter of the fitted speed.
func (f *fit) speedCV() float64 {
	var n, sum, squares float64
	for _, st := range f.sig.stretches {
		for i := st.Lo; i < st.Hi; i++ {
			_, w := f.angle.At(f.angle.Locate(f.sig.t[i]))
			n, sum, squares = n+1, sum+math.Abs(w), squares+w*w
		}
	}
	return math.Sqrt(math.Max(squares*n-sum*sum, 0)) / sum
}

// clearness returns the amplitude of the strongest channel at the rotor's effective speed,
// in standard deviations of that channel's noise.
func (f *fit) clearness() float64 {
	angle := make([]float64, len(f.sig.t))
	for i, t := range f.sig.t {
		angle[i], _ = f.angle.At(f.angle.Locate(t))
	}
	rate, _ := speed(f.sig, angle)
	clear := 0.0
	for c, w := range f.wave {
		clear = max(clear, math.Hypot(w[0], w[1])*rate/f.sigma[c])
	}
	return clear
}
