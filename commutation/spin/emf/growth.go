package emf

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
	"gonum.org/v1/gonum/stat"

	"handspin/commutation/spin/curve"
)

// Growth is by how much the exponent with which the back-EMF grows with the
// speed differs from 1, which Faraday's law demands, and its standard deviation.
// A capacitor across the inputs holds it to 1/(1+x^2), one in series to
// 1+1/(1+x^2), where x is the speed times its time constant. Even the slight
// ripple of a drill tells that.
//
// It regresses what the fit leaves of the waves' size on the logarithm of the
// speed, frequency by frequency, and takes the median of the slopes, each with the
// weight of what it tells. A drill's ripple is at some few frequencies; magnets that
// differ change the size at those of the shaft, and there a little of it is taken for
// speed.
func (f *Fit) Growth() (off, sd float64) {
	var all []slopeAt
	for _, st := range f.Signals.Stretches {
		all = append(all, slopes(nearUsual(f.growthBlocks(st, false)))...)
	}
	off, weight := middleSlope(all)
	if !(weight > 0) {
		return 0, math.Inf(1)
	}
	var variance, apart, telling float64
	for _, s := range all {
		variance += s.weight * s.scatter
		if s.weight > tellingShare*weight {
			apart, telling = apart+s.weight*(s.slope-off)*(s.slope-off), telling+s.weight
		}
	}
	return off, math.Sqrt(variance/(weight*weight) + apart/math.Max(telling, tellingShare*weight))
}

// GrowthAcross is the same from a speed that varies much, as on a drill's way up: one
// regression of what the fit leaves of the waves' size on the logarithm of the speed, from
// half the usual speed on, below which a faint back-EMF may be lost. A speed that scatters by
// less than a tenth does not tell: magnets that differ would. Neighbouring blocks share
// what the fit got wrong, so that the standard deviation is that of sums over some of them
// (a sandwich estimate).
func (f *Fit) GrowthAcross() (off, sd float64) {
	blocks := f.fastBlocks()
	var told, speed, size float64
	for _, b := range blocks {
		told, speed, size = told+b.told, speed+b.told*b.logSpeed, size+b.left
	}
	var xx, xy float64
	for k := range blocks {
		b := &blocks[k]
		b.logSpeed, b.left = b.logSpeed-speed/told, b.left-b.told*size/told
		xx, xy = xx+b.told*b.logSpeed*b.logSpeed, xy+b.logSpeed*b.left
	}
	const together, least, narrow = 3, 9, 0.1
	if !(math.Sqrt(xx/told) > narrow) || len(blocks) < least {
		return 0, math.Inf(1)
	}
	off = xy / xx
	var clustered, sum float64
	for i, b := range blocks {
		sum += b.logSpeed * (b.left - b.told*off*b.logSpeed)
		if (i+1)%together == 0 || i == len(blocks)-1 {
			clustered, sum = clustered+sum*sum, 0
		}
	}
	return off, math.Sqrt(clustered) / xx
}

// fastBlocks returns the blocks from half the usual speed on.
func (f *Fit) fastBlocks() []growthBlock {
	var all []growthBlock
	var speeds []float64
	for _, st := range f.Signals.Stretches {
		for _, b := range f.growthBlocks(st, true) {
			all, speeds = append(all, b), append(speeds, b.logSpeed)
		}
	}
	slow := Median(speeds) - math.Ln2
	return slices.DeleteFunc(all, func(b growthBlock) bool { return b.logSpeed < slow })
}

// tellingShare is the share of the weight from which a frequency's slope by itself
// ought to be as the others are. Where they are not, the shaft turns as fast as the
// drill's ripple.
const tellingShare = 0.03

// middleSlope returns the weighted median of the slopes, and the sum of the weights.
func middleSlope(all []slopeAt) (middle, weight float64) {
	slices.SortFunc(all, func(a, b slopeAt) int { return cmp.Compare(a.slope, b.slope) })
	for _, s := range all {
		weight += s.weight
	}
	passed := 0.0
	for _, s := range all {
		if passed += s.weight; passed >= weight/2 {
			return s.slope, weight
		}
	}
	return 0, weight
}

// nearUsual returns the longest run of blocks at about the usual speed: beside a drill's
// way up from rest its ripple would be nothing.
func nearUsual(blocks []growthBlock) []growthBlock {
	const far = 0.35 // of the logarithm: a factor of 1.4
	var all []float64
	for _, b := range blocks {
		all = append(all, b.logSpeed)
	}
	usual := Median(all)
	best, first := blocks[:0], 0
	for i, b := range blocks {
		if math.Abs(b.logSpeed-usual) > far {
			first = i + 1
		} else if i+1-first > len(best) {
			best = blocks[first : i+1]
		}
	}
	return best
}

// slopeAt is the slope at one frequency.
type slopeAt struct {
	slope   float64
	weight  float64 // the power of the speed's logarithm
	scatter float64 // variance of the waves' size at the frequencies beside it
}

const (
	leastBlocks = 64 // of a stretch, to tell frequencies apart
	beside      = 8  // frequencies on each side show the scatter, without the next two,
	near        = 2  // to which the window spreads
)

// slopes returns the slopes at all frequencies of a stretch's blocks.
func slopes(blocks []growthBlock) []slopeAt {
	n := len(blocks)
	if n < leastBlocks {
		return nil
	}
	speed, size := make([]float64, n), make([]float64, n)
	for i, b := range blocks {
		speed[i], size[i] = b.logSpeed, b.left/b.told
	}
	transform := fourier.NewFFT(n)
	x, y := transform.Coefficients(nil, windowed(speed)), transform.Coefficients(nil, windowed(size))
	var out []slopeAt
	for k := 1; k < len(x); k++ {
		told := power(x[k])
		if told == 0 {
			continue
		}
		sum, count := 0.0, 0.0
		for j := max(1, k-beside); j < min(len(y), k+beside+1); j++ {
			if j < k-near || j > k+near {
				sum, count = sum+power(y[j])/2, count+1
			}
		}
		out = append(out, slopeAt{(real(x[k])*real(y[k]) + imag(x[k])*imag(y[k])) / told, told, sum / count})
	}
	return out
}

// windowed returns v less its mean under Hann's window.
func windowed(v []float64) []float64 {
	m, out := stat.Mean(v, nil), make([]float64, len(v))
	for i := range v {
		out[i] = v[i] - m
	}
	return window.Hann(out)
}

// growthBlock is what a block of samples says of the waves' size.
type growthBlock struct {
	logSpeed float64 // mean over the block
	told     float64 // sum of the model's squares, weighted
	left     float64 // sum of the residuals times the model, weighted
}

// growthBlocks returns the blocks of a stretch, of all channels together. Where even is set,
// all samples weigh the same.
func (f *Fit) growthBlocks(st curve.Stretch, even bool) []growthBlock {
	var out []growthBlock
	for lo := st.Lo; lo+Block <= st.Hi; lo += Block {
		var sum growthBlock
		for c := range f.Signals.Channels {
			b := f.growthBlock(c, lo, even)
			sum.told, sum.left = sum.told+b.told, sum.left+b.left
			sum.logSpeed += b.logSpeed * b.told
		}
		if sum.told > 0 {
			sum.logSpeed /= sum.told
			out = append(out, sum)
		}
	}
	return out
}

// growthBlock sums the block of channel c that begins at sample lo.
func (f *Fit) growthBlock(c, lo int, even bool) (b growthBlock) {
	offset, n := f.Wave[c][f.PerChannel()-1], 0.0
	for i := lo; i < lo+Block; i++ {
		e := f.Residual[c][i]
		_, w := f.Angle.AtTime(f.Signals.Time[i])
		if bound := f.Signals.Channels[c].Bound; math.IsNaN(e) || w == 0 || bound != nil && bound[i] != Exact {
			continue
		}
		model, weight := f.Signals.Channels[c].Value[i]-e-offset, 1.0
		if !even {
			weight /= f.SD[c][i] * f.SD[c][i]
		}
		b.logSpeed, n = b.logSpeed+math.Log(math.Abs(w)), n+1
		b.told += weight * model * model
		b.left += weight * model * e
	}
	b.logSpeed /= math.Max(n, 1)
	return b
}
