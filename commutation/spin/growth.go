package spin

import "math"

// growth is by how much the exponent with which the back-EMF grows with the
// speed differs from 1, which Faraday's law demands, and its standard deviation.
// A capacitor across the inputs holds it to 1/(1+x^2), one in series to
// 1+1/(1+x^2), where x is the speed times its time constant. Even the slight
// ripple of a drill tells that.
//
// It regresses the residuals on the model times the logarithm of the speed, whose
// mean over a block is taken: quicker ripple goes with the harmonics. What the
// residuals of a block have in common counts once.
func (f *fit) growth() (off, sd float64) {
	var xx, xe, scatter float64
	blocks := f.growthBlocks()
	for _, b := range blocks {
		xx, xe = xx+b.told*b.logSpeed*b.logSpeed, xe+b.left*b.logSpeed
	}
	if xx == 0 {
		return 0, math.Inf(1)
	}
	off = xe / xx
	for _, b := range blocks {
		left := b.logSpeed * (b.left - off*b.told*b.logSpeed)
		scatter += left * left
	}
	return off, math.Sqrt(scatter) / xx
}

// growthBlock is what a block of a channel's samples says of the waves' size.
type growthBlock struct {
	logSpeed float64 // mean over the block, less that over the channel
	told     float64 // sum of the model's squares, weighted
	left     float64 // sum of the residuals times the model, weighted
}

// growthBlocks returns the blocks of all channels. The speed's mean is by what
// blocks tell of the waves' size, so that an error of the size has no part in
// the regression.
func (f *fit) growthBlocks() []growthBlock {
	var out []growthBlock
	for c := range f.sig.ch {
		first, mean, told := len(out), 0.0, 0.0
		for _, st := range f.sig.stretches {
			for lo := st.lo; lo+block <= st.hi; lo += block {
				if b := f.growthBlock(c, lo); b.told > 0 {
					out = append(out, b)
					mean, told = mean+b.told*b.logSpeed, told+b.told
				}
			}
		}
		for i := first; i < len(out); i++ {
			out[i].logSpeed -= mean / told
		}
	}
	return out
}

// growthBlock sums the block of channel c that begins at sample lo.
func (f *fit) growthBlock(c, lo int) (b growthBlock) {
	offset, n := f.wave[c][f.perChannel()-1], 0.0
	for i := lo; i < lo+block; i++ {
		e := f.residual[c][i]
		_, w := f.angle.at(f.angle.locate(f.sig.t[i]))
		if math.IsNaN(e) || w == 0 {
			continue
		}
		model, weight := f.sig.ch[c].v[i]-e-offset, 1/(f.sd[c][i]*f.sd[c][i])
		b.logSpeed, n = b.logSpeed+math.Log(math.Abs(w)), n+1
		b.told += weight * model * model
		b.left += weight * model * e
	}
	b.logSpeed /= math.Max(n, 1)
	return b
}
