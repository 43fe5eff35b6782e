package emf

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// plane is the linear map from the channels to z.
type plane struct {
	offset [3]float64
	re, im [3]float64
	sd     float64 // noise of each part of z
	flat   float64 // ratio of the two principal amplitudes, 1 for a circle
}

// whiten finds the plane in which the channels move; ok is false where there is
// no signal above the noise. With flat near 0 the channels move along a line
// and the plane means nothing.
func (s *Signals) whiten() (p plane, ok bool) {
	n := len(s.Channels)
	for c, ch := range s.Channels {
		p.offset[c] = ch.Offset()
	}
	cov := s.Covariance(p.offset)
	var eig mat.EigenSym
	if !eig.Factorize(cov, true) {
		return p, false
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	first := values[n-1]
	second := 0.0
	if n > 1 {
		second = max(values[n-2], 0)
	}
	if !(first > s.Quiet()) {
		return p, false
	}
	p.flat = math.Sqrt(second / first)
	if second > s.Quiet() {
		for c, ch := range s.Channels {
			p.re[c] = vectors.At(c, n-1) / math.Sqrt(first)
			p.im[c] = vectors.At(c, n-2) / math.Sqrt(second)
			p.sd += (p.re[c]*p.re[c] + p.im[c]*p.im[c]) / 2 * ch.Noise * ch.Noise
		}
		p.sd = math.Sqrt(p.sd)
	} else {
		p.flat = 0
	}
	return p, true
}

// Quiet is the variance below which a principal component is noise: its
// sampling error at the number of samples, with a margin, and a tenth of the
// noise variance for what the noise estimate may be off.
func (s *Signals) Quiet() float64 {
	worst := 0.0
	for _, ch := range s.Channels {
		worst = max(worst, ch.Noise*ch.Noise)
	}
	return worst * (0.1 + 5/math.Sqrt(float64(len(s.Time))))
}

// Offset estimates the channel's value at standstill. Over many turns the
// back-EMF averages to nothing, whatever the speed does, since its integral is
// the flux linkage; a column clipped to half of its wave rests at the rail.
func (ch Channel) Offset() float64 {
	sum, n, low, high := 0.0, 0, 0, 0
	lowSum, highSum := 0.0, 0.0
	for i, v := range ch.Value {
		if math.IsNaN(v) {
			continue
		}
		sum, n = sum+v, n+1
		if ch.Bound == nil {
			continue
		}
		switch ch.Bound[i] {
		case AtMost:
			low, lowSum = low+1, lowSum+v
		case AtLeast:
			high, highSum = high+1, highSum+v
		}
	}
	switch {
	case n == 0:
		return 0
	case float64(low) > 0.4*float64(n):
		return lowSum / float64(low)
	case float64(high) > 0.4*float64(n):
		return highSum / float64(high)
	}
	return sum / float64(n)
}

// Correlation returns that of channels c and d, about their offsets; NaN where one is
// constant.
func (s *Signals) Correlation(c, d int) float64 {
	two := Signals{Time: s.Time, Channels: []Channel{s.Channels[c], s.Channels[d]}}
	cov := two.Covariance([3]float64{s.Channels[c].Offset(), s.Channels[d].Offset()})
	return cov.At(0, 1) / math.Sqrt(cov.At(0, 0)*cov.At(1, 1))
}

// Covariance returns the channels' second moments about offset, less the noise.
func (s *Signals) Covariance(offset [3]float64) *mat.SymDense {
	n := len(s.Channels)
	var sum [3][3]float64
	count := 0
	for i := range s.Time {
		var x [3]float64
		for c := range s.Channels {
			x[c] = s.Channels[c].Value[i] - offset[c]
		}
		if d := x[0] + x[1] + x[2]; math.IsNaN(d) {
			continue
		}
		count++
		for j := range n {
			for k := j; k < n; k++ {
				sum[j][k] += x[j] * x[k]
			}
		}
	}
	cov := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			v := sum[j][k] / math.Max(1, float64(count))
			if j == k {
				v -= s.Channels[j].Noise * s.Channels[j].Noise
			}
			cov.SetSym(j, k, v)
		}
	}
	return cov
}

// z returns z of sample i; one that lacks a channel has NaN.
func (s *Signals) z(p *plane, i int) complex128 {
	re, im := 0.0, 0.0
	for c := range s.Channels {
		x := s.Channels[c].Value[i] - p.offset[c]
		re += p.re[c] * x
		im += p.im[c] * x
	}
	return complex(re, im)
}

// project returns z of every sample.
func (s *Signals) project(p plane) []complex128 {
	z := make([]complex128, len(s.Time))
	for i := range z {
		z[i] = s.z(&p, i)
	}
	return z
}
