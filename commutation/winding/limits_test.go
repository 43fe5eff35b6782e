package winding

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"
)

// TestEccentric: with 5 % of eccentricity in the field the phases of 9/8 are 1.031,
// 0.962 and 1.007 for some direction of it, worked out apart by superposition of
// magnets and coils in time; 12/10, 12/14, 12/8, 9/6 and 18/16, whose coils repeat
// around the stator or stand opposite one another, do not change.
func TestEccentric(t *testing.T) {
	sizes := func(l Layout, deg float64) []float64 {
		var out []float64
		ways := l.eccentric()
		for k, e := range l.EMF(l) {
			out = append(out, cmplx.Abs(e+0.05*(ways[0][k]*complex(math.Cos(deg*pi/180), 0)+ways[1][k]*complex(math.Sin(deg*pi/180), 0))))
		}
		slices.Sort(out)
		return out
	}
	nearest := math.Inf(1)
	for deg := range 360 {
		s := sizes(machine(t, 9, 8).Layout(), float64(deg))
		nearest = min(nearest, max(math.Abs(s[0]-0.962), math.Abs(s[1]-1.007), math.Abs(s[2]-1.031)))
		for _, pair := range [][2]int{{12, 10}, {12, 14}, {12, 8}, {9, 6}, {18, 16}} {
			s := sizes(machine(t, pair[0], pair[1]).Layout(), float64(deg))
			near(t, fmt.Sprint(pair), max(1-s[0], s[2]-1), 0, exact)
		}
	}
	near(t, "9/8", nearest, 0, 0.001) // three decimals, and whole degrees
}

// TestEccentricByQuadrature: the same from the flux of each coil, summed over its tooth
// at steps of the rotor's angle, of a field cos(p (phi - theta)) (1 + e cos(phi - phi0));
// a phase's phasor is its fundamental in p theta. The midpoint rule with 64 steps of a
// tooth is exact to one in 10^4.
func TestEccentricByQuadrature(t *testing.T) {
	const e, steps = 0.05, 64
	for _, pair := range [][2]int{{9, 8}, {9, 10}, {15, 14}, {3, 2}, {51, 46}} {
		l := machine(t, pair[0], pair[1]).Layout()
		p, tooth := float64(l.PolePairs()), 2*pi/float64(l.Slots())
		for way, toward := range []float64{0, pi / 2} {
			var sum, sound [3]complex128
			for k, c := range l.Coils {
				for i := range steps {
					phi := (float64(k) + (float64(i)+0.5)/steps - 0.5) * tooth
					// Over a turn of p theta, cos(p phi - p theta) e^(j p theta) has the mean e^(j p phi)/2.
					z := cmplx.Rect(float64(c.Sense), p*phi)
					sound[c.Phase] += z
					sum[c.Phase] += z * complex(1+e*math.Cos(phi-toward), 0)
				}
			}
			for k := range sum {
				want := (sum[k] - sound[k]) / sound[0] / e
				near(t, fmt.Sprintf("%v, way %d, phase %d", pair, way, k), cmplx.Abs(l.eccentric()[way][k]-want), 0, 1e-3)
			}
		}
	}
}

// TestOffCentre: what an eccentricity of 9 % does to 9/8 is neither called a fault nor
// left unexplained: a rotor off centre is among what is likely, and how to tell. On
// 12/10, which does not show it, it is not looked for.
func TestOffCentre(t *testing.T) {
	l := machine(t, 9, 8).Layout()
	for _, floating := range []bool{false, true} {
		for way := range 2 {
			e := l.EMF(l)
			for k := range e {
				e[k] += 0.09 * l.eccentric()[way][k]
			}
			d := diagnose(t, Measured{EMF: e, Floating: floating}, l)
			if d.Faulty() || !d.Explained() || d.P(OffCentre) < 0.1 || !d.Sound() && !slices.Contains(l.Tests(d.Likely(), floating), Gap) {
				t.Errorf("floating %v, way %d: off centre %g, %v", floating, way, d.P(OffCentre), d.Likely())
			}
		}
	}
	l = machine(t, 12, 10).Layout()
	if d := diagnose(t, Measured{EMF: l.EMF(l)}, l); d.P(OffCentre) != 0 {
		t.Error("12/10 does not show it")
	}
}
