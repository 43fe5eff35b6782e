package commutation

import (
	"math"
	"testing"
)

func TestTiming(t *testing.T) {
	// A common shift of d leaves cos d of the torque (closed form, see
	// torque_test.go); late forward is early in reverse.
	const toATenth = 0.1
	for _, d := range []float64{-20, -5, 0, 12} {
		m := ideal(30+d, 150+d, 270+d)
		for _, j := range Rank(m, nil, Typical()).Clean() {
			late := d
			if j.Behaviour == CleanReverse {
				late = -d
			}
			got := TimingOf(m, j.Wiring, Typical())
			near(t, "late", got.LateDeg, late, toATenth)
			near(t, "torque", got.Torque, math.Cos(d*math.Pi/180), rounding)
			near(t, "best", got.Best, 1, 1-math.Cos(toATenth*math.Pi/180)+rounding)
		}
	}
}
