package emf

import (
	"math"
	"math/cmplx"
)

// state is the tracking filter's estimate of angle and rate with their
// covariance.
type state struct {
	a, w          float64 // rad, rad/s
	paa, paw, pww float64
}

func newState(a, w, sdW float64) *state {
	return &state{a: a, w: w, paa: 0.1, pww: sdW * sdW}
}

// predict moves the state by dt seconds, which may be negative; the rate
// wanders with spectral density q.
func (x *state) predict(dt, q float64) {
	x.a += x.w * dt
	x.paa += dt * (2*x.paw + dt*x.pww)
	x.paw += dt * x.pww
	d := math.Abs(dt)
	x.paa += q * d * d * d / 3
	x.paw += q * dt * d / 2
	x.pww += q * d
}

// modelShare is how far z is from a circle, as a share of its length, by
// harmonics, unequal phases or clipping to half waves; it stays the same over
// about a radian.
const modelShare = 0.2

// update takes one measurement z = kappa w exp(i a). In the frame turned by a
// its parts are kappa w along and kappa w times the angle's error across, so
// that the two are measured independently. Samples far out count less. A
// saturated sample is shorter than it should be: it can only raise the rate.
func (x *state) update(z complex128, dt, kappa, sd float64, saturated bool) {
	if cmplx.IsNaN(z) {
		return
	}
	s, c := math.Sincos(x.a)
	along := real(z)*c + imag(z)*s
	across := imag(z)*c - real(z)*s
	alike := max(1, 1/(math.Abs(x.w*dt)+1e-3)) // samples in a radian
	r := sd*sd + modelShare*modelShare*kappa*kappa*x.w*x.w*alike
	if !saturated || math.Abs(along) > math.Abs(kappa*x.w) {
		x.correct(0, kappa, along-kappa*x.w, r)
	}
	x.correct(kappa*x.w, 0, across, r)
}

// correct takes one scalar measurement with the Jacobian (ha, hw), the
// innovation v and the variance r. The caller's second innovation may lag the
// first correction by a second-order term, which the fit removes later.
func (x *state) correct(ha, hw, v, r float64) {
	pa, pw := x.paa*ha+x.paw*hw, x.paw*ha+x.pww*hw
	s := ha*pa + hw*pw + r
	if d := v * v / s; d > 9 {
		s *= d / 9
	}
	if !(s > 0) {
		return
	}
	ka, kw := pa/s, pw/s
	x.a += ka * v
	x.w += kw * v
	x.paa -= ka * pa
	x.paw -= ka * pw
	x.pww -= kw * pw
}
