package difference

import (
	"math"
	"math/cmplx"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation/spin"
)

// A magnet replaced or moved changes the pattern over the turn, whichever way the rotor
// was turned; spins of the same rotor, also an uneven one, do not.
func TestPattern(t *testing.T) {
	uneven := func(c *synth.Config) { c.Motor.PoleStrength, c.Motor.PoleShift = 0.02, 1 }
	moved := func(c *synth.Config) { c.Motor.Machine.Magnets[3].ShiftDeg = 18 }
	for _, c := range []struct {
		name   string
		before func(*synth.Config)
		after  func(*synth.Config)
		want   bool
	}{
		{"even", nil, nothing, false},
		{"uneven", uneven, uneven, false},
		{"a magnet of 60 %", nil, func(c *synth.Config) { c.Motor.Machine.Magnets[3].Strength = 0.6 }, true},
		{"a magnet of 60 % replaced", func(c *synth.Config) { c.Motor.Machine.Magnets[3].Strength = 0.6 }, nothing, true},
		{"a magnet 18 degrees late", nil, moved, true},
		{"another one late", func(c *synth.Config) { c.Motor.Machine.Magnets[6].Strength = 0.6 }, moved, true},
		// The same rotor on its shaft by another turn: only where the turn begins differs.
		{"the same one", moved, func(c *synth.Config) { moved(c); c.Spin.StartDeg = 4 * 360 }, false},
	} {
		for _, way := range []func(*synth.Config){nothing, other} {
			x := compared(t, c.before, way, c.after)
			if x.Pattern.Err != nil || x.Pattern.Changed != c.want || (x.Verdict == Rotor) != c.want {
				t.Errorf("%s: %s, %+v", c.name, x.Verdict, x.Pattern)
			}
		}
	}
}

// With one phase changed the voltage of the two others still shows the magnets.
func TestPatternBesideAPhase(t *testing.T) {
	weak := func(c *synth.Config) { c.Motor.Gain[0] = 0.8 }
	if x := compared(t, weak); x.Pattern.Err != nil || x.Pattern.Changed {
		t.Errorf("p1 alone: %+v", x.Pattern)
	}
	x := compared(t, func(c *synth.Config) { weak(c); c.Motor.Machine.Magnets[3].Strength = 0.3 })
	if x.Verdict != Several || !x.Pattern.Changed {
		t.Errorf("p1 and a magnet: %s, %+v", x.Verdict, x.Pattern)
	}
}

// Pole pairs that one recording shows, or its header says, are those of both; others
// cannot be compared.
func TestPairs(t *testing.T) {
	a, b := analysed(t, bench(t)), analysed(t, again(bench(t), other))
	for _, c := range []struct {
		pairs [2]int
		err   error
	}{{[2]int{7, 0}, nil}, {[2]int{0, 7}, nil}, {[2]int{7, 5}, ErrPairs}} {
		x := Of(a, b, c.pairs)
		if x.Pattern.Err != c.err || x.Pattern.OtherPairs() != (c.err != nil) || (x.Verdict == Rotor) != (c.err != nil) {
			t.Errorf("%v: %s, %v", c.pairs, x.Verdict, x.Pattern)
		}
	}
	// Torque is the back-EMF per speed of the shaft, that per electrical speed times the pairs.
	x := Of(a, analysed(t, again(bench(t), nothing)), [2]int{7, 5})
	near(t, "torque ratio", x.TorqueRatio.Value, 5.0/7, 5*x.TorqueRatio.SD)
}

// modulated is a turn of a rotor with p pole pairs whose angle is off by bend times cos(q
// shaft) and whose field is larger by swell times that, of leads with the fundamental
// sin(p shaft + lead - 120 degrees k). A bend adds its product with the flux's
// derivative, a swell that with the flux.
func modulated(p, q int, lead, bend, swell float64) *spin.Shaft {
	s := &spin.Shaft{PolePairs: p, EMF: make([][3]complex128, 2*p), Cov: make([][3][3]float64, 2*p)}
	for k := range 3 {
		e := cmplx.Rect(1, lead-2*math.Pi/3*float64(k)) // flux -cos/p: phasor -i e/p
		flux := complex(0, -1/float64(p)) * e
		add := complex(bend/2, 0)*e + complex(swell/2, 0)*flux
		for n, f := range map[int]complex128{p: flux, p + q: add, p - q: add} {
			s.EMF[n-1][k] = f * complex(0, float64(n))
		}
	}
	return s
}

// A bend of the angle shows in no pattern, and a swell does: its two orders have half of it
// times p+q and p-q over p. So it is of a line voltage and of the rotating component, and
// wherever the fundamental has its zero.
func TestRipple(t *testing.T) {
	const p, q = 5, 2
	for _, lead := range []int{-1, 0, 2} {
		for _, deg := range []float64{0, 40, -100} {
			v := view{order: []int{0, 1, 2}}
			size := func(bend, swell float64) float64 {
				r := ripple(modulated(p, q, deg*math.Pi/180, bend, swell), v, lead)
				return r.differs(ripple(modulated(p, q, deg*math.Pi/180, 0, 0), v, lead)).Value
			}
			near(t, "of a bend", size(0.1, 0), 0, 1e-6) // a square root of rounding errors
			near(t, "of a swell", size(0, 0.1), 0.05*math.Sqrt(49+9)/5, 1e-9)
		}
	}
}

// Of leads with a variance of v in either part the mean of three, turned, has 2 v/3 in all, and the
// difference of two has 4 v; the flux of order n has that over n squared.
func TestNoise(t *testing.T) {
	const v, n = 0.09, 3
	s := &spin.Shaft{Cov: make([][3][3]float64, n)}
	for k := range 3 {
		s.Cov[n-1][k][k] = v
	}
	near(t, "of a sequence", noise(s, n, -1), 2*v/3/n/n, 1e-12)
	near(t, "of a line voltage", noise(s, n, 1), 4*v/n/n, 1e-12)
}
