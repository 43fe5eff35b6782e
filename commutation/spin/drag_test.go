package spin

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// Sensors that are late, or phases that are delayed or coupled, by 35 to 75 degrees at the
// drill's speed would make a wrong list: it is not ranked, neither with a ramp that the
// edges' mean places hide, nor where only the drill's ripple tells, which moves edges that
// are 60 degrees late by 0.6 degrees. The angle that is named is that at the mean speed.
// The same spins of the same motors without that are ranked.
func TestLateAtADrillsSpeed(t *testing.T) {
	const hz = 25.0
	late := func(deg float64) func(c *synth.Config) {
		return func(c *synth.Config) {
			for i := range c.Motor.Sensors {
				c.Motor.Sensors[i].LateUS = deg / 360 / hz * 1e6
			}
		}
	}
	tau := func(deg float64) float64 { return math.Tan(deg*math.Pi/180) / (2 * math.Pi * hz) }
	for _, ramp := range []float64{0, 0.5, 2} {
		for name, spoil := range map[string]func(c *synth.Config){
			"sound":             func(*synth.Config) {},
			"sensors late 35":   late(35),
			"sensors late 60":   late(60),
			"sensors late 75":   late(75),
			"phases delayed 60": func(c *synth.Config) { c.FrontEnd.LowPass = tau(60) },
			"phases coupled 60": func(c *synth.Config) { c.FrontEnd.HighPass = 1 / (2 * math.Pi * hz) / math.Tan(60*math.Pi/180) },
		} {
			for seed := uint64(1); seed <= 3; seed++ {
				c := spintest.Drilled(hz, ramp, seed)
				spoil(&c)
				verdict, _, r, _ := answer(c, commutation.Typical())
				got := fmt.Sprintf("ramp %g s, %s, seed %d: %s %v", ramp, name, seed, verdict, r.Findings)
				if name == "sound" {
					if verdict == commutation.MoreData || hasFinding(r, "phase-filtered", "") {
						t.Error(got)
					}
				} else if verdict != commutation.MoreData || !hasFinding(r, "phase-filtered", "") {
					t.Error(got)
				}
			}
		}
	}
}

// The regression against its closed form: offsets k*x with independent errors of sd s have
// a slope of standard deviation s/sqrt(sum x^2). Over 400 draws of 600 points the scatter
// of z = error/sd is 1 within a tenth (three standard deviations of it), as long as errors
// are independent; where 25 neighbours share theirs, the sums over blocks of time show it:
// without them z would scatter by 5.
func TestRegression(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, together := range []int{1, 25} {
		squares := 0.0
		const draws = 400
		for range draws {
			var all []point
			shared := 0.0
			for i := range 600 {
				if i%together == 0 {
					shared = rng.NormFloat64()
				}
				x := math.Sin(float64(i) / 40)
				all = append(all, point{off: 2*x + shared, x: x, t: float64(i)})
			}
			s := regress(all, 1, 10, []float64{9, 11})
			z := (s.bias - 20) / s.sd
			squares += z * z / draws
		}
		if z := math.Sqrt(squares); z < 0.9 && together == 1 || z > 1.35 {
			t.Errorf("%d together: z scatters by %.2f", together, z)
		}
	}
}

// A slow drill far below the corner of AC coupling, the phases 60 to 85 degrees ahead: there
// the arc tangent is nearly flat, so that the edges show a few degrees as 5 degrees ahead
// would. The back-EMF grows with the square of the speed, and as it is faint at first a good
// part of the way up is lost. It is not ranked.
func TestCoupledAtASlowDrill(t *testing.T) {
	const hz = 5.6
	for _, deg := range []float64{60, 73, 80, 85} {
		for _, ramp := range []float64{0.5, 2, 3.8} {
			for seed := uint64(1); seed <= 3; seed++ {
				c := spintest.Drilled(hz, ramp, seed)
				c.FrontEnd.HighPass = 1 / (2 * math.Pi * hz) / math.Tan(deg*math.Pi/180)
				verdict, _, r, _ := answer(c, commutation.Typical())
				if verdict == commutation.Ranked {
					t.Errorf("%g degrees, ramp %g s, seed %d: ranked %v", deg, ramp, seed, r.Findings)
				}
			}
		}
	}
}
