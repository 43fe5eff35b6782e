package trial

import (
	"math"

	"handspin/commutation"
)

// scale says how a measured quantity depends on what the motor does: the
// logarithm of its ratio to that of a clean wiring, with a standard deviation
// common to all. These are rough, from common experience: a weak wiring has half
// the torque per ampere and a lower back-EMF, so that without load it draws much
// more current and may run faster, and a stalled motor draws what the supply
// gives. A behaviour that is not listed counts as a clean one, so that the outcome
// alone speaks about it.
type scale struct {
	of map[commutation.Behaviour]float64
	sd float64
	// typical and spread are the logarithm of the clean wiring's value and its
	// standard deviation before anything was measured: next to nothing is known.
	typical, spread float64
}

var current = scale{
	of: map[commutation.Behaviour]float64{
		commutation.CleanForward: 0, commutation.CleanReverse: 0,
		commutation.WeakForward: math.Log(3), commutation.WeakReverse: math.Log(3),
		commutation.Stall: math.Log(5),
	},
	sd: 0.4, typical: math.Log(1), spread: 2,
}

var speed = scale{
	of: map[commutation.Behaviour]float64{
		commutation.CleanForward: 0, commutation.CleanReverse: 0,
		commutation.WeakForward: math.Log(1.4), commutation.WeakReverse: math.Log(1.4),
	},
	sd: 0.25, typical: math.Log(500), spread: 2,
}

// likelihood returns the probability density of measured values x, 0 where
// there is none, if the motor did is. The clean wiring's own value, being common
// to all, makes the logarithms of independent errors correlated: their
// covariance is sd^2 I + spread^2 1 1', whose inverse and determinant are closed
// forms (Sherman and Morrison).
func (s scale) likelihood(x []float64, is []commutation.Behaviour) float64 {
	n, sum, squares := 0.0, 0.0, 0.0
	for i, value := range x {
		if value <= 0 {
			continue
		}
		d := math.Log(value) - s.typical - s.of[is[i]]
		n++
		sum += d
		squares += d * d
	}
	a, b := s.sd*s.sd, s.spread*s.spread
	exponent := (squares - b*sum*sum/(a+n*b)) / a
	return math.Exp(-exponent/2) / math.Sqrt(math.Pow(2*math.Pi*a, n)*(1+n*b/a))
}
