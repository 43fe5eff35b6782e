package curve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The banded factorisation solves what gonum's dense one solves. Rounding of a
// well-conditioned system of 40 unknowns stays far below 1e-10.
func TestBandAgainstDense(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const n = 40
	b := make(Band, n)
	dense := mat.NewSymDense(n, nil)
	for i := range n {
		for k := max(0, Bandwidth-i); k <= Bandwidth; k++ {
			b[i][k] = rng.NormFloat64()
			if k == Bandwidth {
				b[i][k] = 10
			}
			dense.SetSym(i, i-Bandwidth+k, b[i][k])
		}
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	var chol mat.Cholesky
	if !chol.Factorize(dense) {
		t.Fatal("gonum finds the matrix indefinite")
	}
	var want mat.VecDense
	if err := chol.SolveVecTo(&want, mat.NewVecDense(n, slices.Clone(x))); err != nil {
		t.Fatal(err)
	}
	if err := b.Factor(); err != nil {
		t.Fatal(err)
	}
	b.Forward(x)
	b.Backward(x)
	for i := range x {
		if math.Abs(x[i]-want.AtVec(i)) > 1e-10 {
			t.Fatalf("unknown %d is %v, want %v", i, x[i], want.AtVec(i))
		}
	}
}

func TestBandRefusesIndefinite(t *testing.T) {
	b := make(Band, 5)
	if err := b.Factor(); err == nil {
		t.Error("a zero matrix was factored")
	}
}

// B-splines are a partition of unity, and their derivatives are the slopes; the
// central difference of a cubic over 2e-5 is off by less than 1e-9.
func TestBasis(t *testing.T) {
	for _, u := range []float64{0, 0.1, 0.5, 0.77, 1} {
		b, d := Basis(u)
		if s := b[0] + b[1] + b[2] + b[3]; math.Abs(s-1) > 1e-15 {
			t.Errorf("at %v the basis adds up to %v, want 1", u, s)
		}
		const h = 1e-5
		up, _ := Basis(u + h)
		down, _ := Basis(u - h)
		for j := range d {
			if want := (up[j] - down[j]) / (2 * h); math.Abs(d[j]-want) > 1e-9 {
				t.Errorf("at %v slope %d is %v, want %v", u, j, d[j], want)
			}
		}
	}
}

// A smooth function is met to the fourth power of the knots' distance: for
// sin(3 t) at 0.02 s, (3*0.02)^4/384 = 3e-8, to which the penalty adds.
func TestSplineApproximates(t *testing.T) {
	sp := New([][2]float64{{0, 1}, {2, 3}}, 0.02)
	var times, values []float64
	for i := range 400 {
		x := float64(i%200) / 199
		if i >= 200 {
			x += 2
		}
		times, values = append(times, x), append(values, math.Sin(3*x))
	}
	if err := sp.Approximate(times, values, []Stretch{{0, len(times)}}, 1e-3, 1); err != nil {
		t.Fatal(err)
	}
	for i, x := range times {
		v, slope := sp.AtTime(x)
		if math.Abs(v-values[i]) > 1e-6 || math.Abs(slope-3*math.Cos(3*x)) > 1e-2 {
			t.Fatalf("at %v: %v with slope %v, want %v and %v", x, v, slope, values[i], 3*math.Cos(3*x))
		}
	}
	if sp.Covers(1.5) || !sp.Covers(2.5) {
		t.Error("the gap is not known as one")
	}
}
