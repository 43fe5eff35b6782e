package ridge

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// A line through points is that of gonum's regression, and what it leaves is the mean
// squared distance from it. Rounding and the raise of 1e-12 stay far below 1e-9.
func TestAgainstLinearRegression(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	var r Ridge
	var x, y []float64
	for i := range 50 {
		x, y = append(x, float64(i)/10), append(y, 3-0.7*float64(i)/10+rng.NormFloat64())
		r.Add([]float64{1, x[i]}, y[i])
	}
	alpha, beta := stat.LinearRegression(x, y, nil, false)
	got := r.Solve()
	if math.Abs(got[0]-alpha) > 1e-9 || math.Abs(got[1]-beta) > 1e-9 {
		t.Errorf("%v, want %v and %v", got, alpha, beta)
	}
	left := 0.0
	for i := range x {
		left += math.Pow(y[i]-alpha-beta*x[i], 2) / 50
	}
	if d := r.Residual(got) - left; math.Abs(d) > 1e-9 {
		t.Errorf("the residual is off by %g", d)
	}
	if m := r.Mean(1); math.Abs(m-2.45) > 1e-12 { // of 0 to 4.9
		t.Errorf("mean %v, want 2.45", m)
	}
}

// An unknown that no equation holds stays 0, and no solution leaves everything.
func TestUndetermined(t *testing.T) {
	var r Ridge
	for i := range 5 {
		r.Add([]float64{float64(i), 0}, 2*float64(i))
	}
	if x := r.Solve(); math.Abs(x[0]-2) > 1e-9 || x[1] != 0 {
		t.Errorf("%v, want 2 and 0", x)
	}
	if left := r.Residual(nil); !math.IsInf(left, 1) {
		t.Errorf("no solution leaves %v, want infinity", left)
	}
}
