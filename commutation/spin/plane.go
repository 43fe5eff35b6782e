package spin

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
func (s *signals) whiten() (p plane, ok bool) {
	n := len(s.ch)
	for c, ch := range s.ch {
		p.offset[c] = ch.offset()
	}
	cov := s.covariance(p.offset)
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
	if !(first > s.quiet()) {
		return p, false
	}
	p.flat = math.Sqrt(second / first)
	if second > s.quiet() {
		for c, ch := range s.ch {
			p.re[c] = vectors.At(c, n-1) / math.Sqrt(first)
			p.im[c] = vectors.At(c, n-2) / math.Sqrt(second)
			p.sd += (p.re[c]*p.re[c] + p.im[c]*p.im[c]) / 2 * ch.noise * ch.noise
		}
		p.sd = math.Sqrt(p.sd)
	} else {
		p.flat = 0
	}
	return p, true
}

// quiet is the variance below which a principal component is noise: its
// sampling error at the number of samples, with a margin, and a tenth of the
// noise variance for what the noise estimate may be off.
func (s *signals) quiet() float64 {
	worst := 0.0
	for _, ch := range s.ch {
		worst = max(worst, ch.noise*ch.noise)
	}
	return worst * (0.1 + 5/math.Sqrt(float64(len(s.t))))
}

// offset estimates the channel's value at standstill. Over many turns the
// back-EMF averages to nothing, whatever the speed does, since its integral is
// the flux linkage; a column clipped to half of its wave rests at the rail.
func (ch channel) offset() float64 {
	sum, n, low, high := 0.0, 0, 0, 0
	lowSum, highSum := 0.0, 0.0
	for i, v := range ch.v {
		if math.IsNaN(v) {
			continue
		}
		sum, n = sum+v, n+1
		if ch.bound == nil {
			continue
		}
		switch ch.bound[i] {
		case atMost:
			low, lowSum = low+1, lowSum+v
		case atLeast:
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

// correlation returns that of channels c and d, about their offsets; NaN where one is
// constant.
func (s *signals) correlation(c, d int) float64 {
	two := signals{t: s.t, ch: []channel{s.ch[c], s.ch[d]}}
	cov := two.covariance([3]float64{s.ch[c].offset(), s.ch[d].offset()})
	return cov.At(0, 1) / math.Sqrt(cov.At(0, 0)*cov.At(1, 1))
}

// covariance returns the channels' second moments about offset, less the noise.
func (s *signals) covariance(offset [3]float64) *mat.SymDense {
	n := len(s.ch)
	var sum [3][3]float64
	count := 0
	for i := range s.t {
		var x [3]float64
		for c := range s.ch {
			x[c] = s.ch[c].v[i] - offset[c]
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
				v -= s.ch[j].noise * s.ch[j].noise
			}
			cov.SetSym(j, k, v)
		}
	}
	return cov
}

// z returns z of sample i; one that lacks a channel has NaN.
func (s *signals) z(p *plane, i int) complex128 {
	re, im := 0.0, 0.0
	for c := range s.ch {
		x := s.ch[c].v[i] - p.offset[c]
		re += p.re[c] * x
		im += p.im[c] * x
	}
	return complex(re, im)
}

// project returns z of every sample.
func (s *signals) project(p plane) []complex128 {
	z := make([]complex128, len(s.t))
	for i := range z {
		z[i] = s.z(&p, i)
	}
	return z
}
