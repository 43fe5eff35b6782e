package proof

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"handspin/capture/synth"
)

// Where the rotor's angle is known but for a constant, the phase of a sine of
// amplitude A in N samples of noise sigma has the variance 2 sigma^2/(A^2 N) (D.
// C. Rife and R. R. Boorstyn, Single-tone parameter estimation, IEEE Trans.
// Inf. Theory 20, 1974, frequency known), and the difference of two twice that.
// Over 20 whole turns harmonics and offsets are orthogonal to it but for the
// ends, a few parts in a thousand.
func TestBoundOfAKnownAngle(t *testing.T) {
	c := Exact(1)
	c.Motor.Gain = [3]float64{1, 1, 1}
	c.Motor.Harmonics = nil
	c.Spin = synth.Coast(1, 20, 0)
	rec, truth := c.Record()
	b := newInformation(rec, truth, c.FrontEnd)
	b.cosines = 1
	var chol mat.Cholesky
	if !chol.Factorize(b.collect()) {
		t.Fatal("not definite")
	}
	var cov mat.SymDense
	if err := chol.InverseTo(&cov); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			t.Fatal(err)
		}
	}
	n := 3200.0
	peak := c.Motor.Flux * 2 * math.Pi * 20 / c.FrontEnd.VoltsPerCount
	sigma := math.Hypot(c.FrontEnd.NoiseCounts, math.Sqrt(1.0/12))
	want := 180 / math.Pi * sigma / peak * math.Sqrt(2*2/n)
	if got := b.bound(&cov).Phase; math.Abs(got/want-1) > 0.01 {
		t.Errorf("bound of the phases %.5f degrees, want %.5f", got, want)
	}
}

// The bound falls as the inverse of the signal: it is a property of the
// information, exact but for the edges, whose stamps keep their step.
func TestBoundFallsWithTheSignal(t *testing.T) {
	bound := func(factor float64) Bound {
		c := Exact(2)
		c.Motor.Flux *= factor
		rec, truth := c.Record()
		b, err := CramerRao(rec, truth, c.FrontEnd)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	one, three := bound(1), bound(1.0/3)
	if r := three.Phase / one.Phase; math.Abs(r-3) > 0.02 {
		t.Errorf("a third of the signal: the phases' bound is %.3f times as large, want 3", r)
	}
	if r := three.Edge / one.Edge; math.Abs(r-3) > 0.1 {
		t.Errorf("a third of the signal: the edges' bound is %.3f times as large, want 3", r)
	}
}

// On recordings of which the model is true the estimate's scatter is within 1.5
// times its bound, the target, and not below it by more than such a
// scatter's own error: some 60 independent errors, a tenth. Harmonics taken for
// ripple of the speed, or the reverse, leave a bias that is small beside the
// half degree that an ordinary edge is held to.
func TestCloseToTheBound(t *testing.T) {
	e, err := Compare(1, 4, 8)
	if err != nil {
		t.Fatal(err)
	}
	edge, phase := e.Ratios()
	for name, ratio := range map[string]float64{"edges": edge, "phases": phase} {
		if !(ratio > 0.7 && ratio < MostOverBound) {
			t.Errorf("%s: the error is %.2f times the bound, want about 1\n%+v", name, ratio, e)
		}
	}
	if !(e.Achieved.EdgeBias < 0.1 && e.Achieved.PhaseBias < 0.05) {
		t.Errorf("biases %.3f and %.3f degrees", e.Achieved.EdgeBias, e.Achieved.PhaseBias)
	}
}
