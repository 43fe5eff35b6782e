package emf

import (
	"math"

	"handspin/commutation/spin/curve"
)

// row evaluates the model and its derivatives at one sample. It is reused from
// sample to sample.
type row struct {
	orders []int
	first  int
	a, w   float64
	skew   float64 // to which sin and cos belong
	sin1   float64 // of a, without skew
	cos1   float64
	b, d   [4]float64
	sin    []float64 // of order*a
	cos    []float64
	byCoef [4]float64 // derivative by the spline's coefficients
	byWave []float64  // derivative by the channel's unknowns
}

func newRow(orders []int) *row {
	n := len(orders)
	return &row{orders: orders, sin: make([]float64, n), cos: make([]float64, n), byWave: make([]float64, 2*n+1)}
}

// moveTo takes the angle and the rate at p.
func (r *row) moveTo(sp *curve.Curve, p curve.Place) {
	r.first = p.First
	r.b, r.d = curve.Basis(p.U)
	r.a, r.w = 0, 0
	perKnot := 1 / sp.Spacing
	for j, c := range sp.Coef[p.First : p.First+4] {
		r.d[j] *= perKnot
		r.a += c * r.b[j]
		r.w += c * r.d[j]
	}
	r.harmonics(0)
}

// harmonics fills the sines and cosines of the orders as of skew later. The
// angle turned in that time, a few degrees at most, is added by its Taylor
// series, good to 1e-8 at 4 degrees.
func (r *row) harmonics(skew float64) {
	if skew == 0 {
		r.sin1, r.cos1 = math.Sincos(r.a)
	}
	r.skew = skew
	x := r.w * skew
	xs, xc := x*(1-x*x/6*(1-x*x/20)), 1-x*x/2*(1-x*x/12)
	s1, c1 := r.sin1*xc+r.cos1*xs, r.cos1*xc-r.sin1*xs
	s2, c2 := 2*s1*c1, 1-2*s1*s1 // of twice the angle: the orders are odd
	s, c, n := s1, c1, 1
	for k, order := range r.orders {
		for ; n < order; n += 2 {
			s, c = s*c2+c*s2, c*c2-s*s2
		}
		r.sin[k], r.cos[k] = s, c
	}
}

// model returns the channel's value, and leaves the derivatives in byCoef and
// byWave. The channel is sampled skew seconds later; over that time the rate
// does not change: at the hardest push, 1500 rad/s^2, by 0.1 rad/s in 60 us.
func (r *row) model(wave []float64, skew float64) float64 {
	if skew != r.skew {
		r.harmonics(skew)
	}
	value, slope := 0.0, 0.0
	sin, cos := r.sin[:len(r.orders)], r.cos[:len(r.orders)]
	for k, n := range r.orders {
		s, c := wave[2*k], wave[2*k+1]
		value += s*sin[k] + c*cos[k]
		slope += float64(n) * (s*cos[k] - c*sin[k])
		r.byWave[2*k] = r.w * sin[k]
		r.byWave[2*k+1] = r.w * cos[k]
	}
	r.byWave[len(r.byWave)-1] = 1
	for j := range r.byCoef {
		r.byCoef[j] = r.w*slope*(r.b[j]+skew*r.d[j]) + value*r.d[j]
	}
	return r.w*value + wave[len(wave)-1]
}
