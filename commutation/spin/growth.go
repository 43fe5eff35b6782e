package spin

import "math"

// growth is by how much the exponent with which the back-EMF grows with the
// speed differs from 1, which Faraday's law demands, and its standard deviation.
// A capacitor across the inputs holds it to 1/(1+x^2), one in series to
// 1+1/(1+x^2), where x is the speed times its time constant. Even the slight
// ripple of a drill tells that.
//
// It regresses the residuals on the model times the logarithm of the speed; what
// the residuals of a block have in common counts once.
func (f *fit) growth() (off, sd float64) {
	var xx, xe, scatter float64
	blocks := f.growthBlocks()
	for _, b := range blocks {
		xx, xe = xx+b.xx, xe+b.xe
	}
	if xx == 0 {
		return 0, math.Inf(1)
	}
	off = xe / xx
	for _, b := range blocks {
		left := b.xe - off*b.xx
		scatter += left * left
	}
	return off, math.Sqrt(scatter) / xx
}

// growthBlock is a block's sums for the regression.
type growthBlock struct{ xx, xe float64 }

func (f *fit) growthBlocks() []growthBlock {
	var out []growthBlock
	for c := range f.sig.ch {
		mean := f.meanLogSpeed(c)
		for _, st := range f.sig.stretches {
			for lo := st.lo; lo+block <= st.hi; lo += block {
				var b growthBlock
				for i := lo; i < lo+block; i++ {
					if s, ok := f.seen(c, i); ok {
						x := s.model * (s.logSpeed - mean)
						b.xx += s.weight * x * x
						b.xe += s.weight * x * f.residual[c][i]
					}
				}
				out = append(out, b)
			}
		}
	}
	return out
}

// meanLogSpeed is the mean of the logarithm of the speed by what the samples of
// channel c tell of the waves' size, so that an error of the size has no part in
// the regression.
func (f *fit) meanLogSpeed(c int) float64 {
	sum, told := 0.0, 0.0
	for _, st := range f.sig.stretches {
		for i := st.lo; i < st.hi; i++ {
			if s, ok := f.seen(c, i); ok {
				w := s.weight * s.model * s.model
				sum, told = sum+w*s.logSpeed, told+w
			}
		}
	}
	return sum / told
}

// seenSample is a sample as the model sees it.
type seenSample struct{ model, weight, logSpeed float64 }

// seen returns sample i of channel c; ok is false where it was not used or the
// rotor rests.
func (f *fit) seen(c, i int) (s seenSample, ok bool) {
	e := f.residual[c][i]
	_, w := f.angle.at(f.angle.locate(f.sig.t[i]))
	if math.IsNaN(e) || w == 0 {
		return s, false
	}
	s.model = f.sig.ch[c].v[i] - e - f.wave[c][f.perChannel()-1]
	s.weight = 1 / (f.sd[c][i] * f.sd[c][i])
	s.logSpeed = math.Log(math.Abs(w))
	return s, true
}
