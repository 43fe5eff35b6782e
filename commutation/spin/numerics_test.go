package spin

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"

	"handspin/capture/synth"
)

// The banded factorisation solves what gonum's dense one solves. Rounding of a
// well-conditioned system of 40 unknowns stays far below 1e-10.
func TestBandAgainstDense(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const n = 40
	b := make(band, n)
	dense := mat.NewSymDense(n, nil)
	for i := range n {
		for k := max(0, bandwidth-i); k <= bandwidth; k++ {
			b[i][k] = rng.NormFloat64()
			if k == bandwidth {
				b[i][k] = 10
			}
			dense.SetSym(i, i-bandwidth+k, b[i][k])
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
	if err := b.factor(); err != nil {
		t.Fatal(err)
	}
	b.forward(x)
	b.backward(x)
	for i := range x {
		if math.Abs(x[i]-want.AtVec(i)) > 1e-10 {
			t.Fatalf("unknown %d is %v, want %v", i, x[i], want.AtVec(i))
		}
	}
}

func TestBandRefusesIndefinite(t *testing.T) {
	b := make(band, 5)
	if err := b.factor(); err == nil {
		t.Error("a zero matrix was factored")
	}
}

// B-splines are a partition of unity, and their derivatives are the slopes; the
// central difference of a cubic over 2e-5 is off by less than 1e-9.
func TestBasis(t *testing.T) {
	for _, u := range []float64{0, 0.1, 0.5, 0.77, 1} {
		b, d := basis(u)
		if s := b[0] + b[1] + b[2] + b[3]; math.Abs(s-1) > 1e-15 {
			t.Errorf("at %v the basis adds up to %v, want 1", u, s)
		}
		const h = 1e-5
		up, _ := basis(u + h)
		down, _ := basis(u - h)
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
	sp := newSpline([][2]float64{{0, 1}, {2, 3}}, 0.02)
	var times, values []float64
	for i := range 400 {
		x := float64(i%200) / 199
		if i >= 200 {
			x += 2
		}
		times, values = append(times, x), append(values, math.Sin(3*x))
	}
	if err := sp.approximate(times, values, []stretch{{0, len(times)}}, 1e-3, 1); err != nil {
		t.Fatal(err)
	}
	for i, x := range times {
		v, slope := sp.at(sp.locate(x))
		if math.Abs(v-values[i]) > 1e-6 || math.Abs(slope-3*math.Cos(3*x)) > 1e-2 {
			t.Fatalf("at %v: %v with slope %v, want %v and %v", x, v, slope, values[i], 3*math.Cos(3*x))
		}
	}
	if sp.covers(1.5) || !sp.covers(2.5) {
		t.Error("the gap is not known as one")
	}
}

// The noise of a sine of 50 samples a turn is that which was added; the median of
// 4,000 deviations scatters by 1 to 2 %, so 5 % is a wide bound.
func TestNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	v := make([]float64, 8000)
	for i := range v {
		v[i] = 300*math.Sin(2*math.Pi*float64(i)/50) + 1.5*rng.NormFloat64()
	}
	if got := noise(v); math.Abs(got/1.5-1) > 0.05 {
		t.Errorf("noise %v, want 1.5", got)
	}
	for i := range v {
		v[i] = float64(i / 100 % 2) // steps of 1 without noise
	}
	if got, want := noise(v), 1/math.Sqrt(12); got != want {
		t.Errorf("noise of a quiet quantised column is %v, want that of its steps, %v", got, want)
	}
}

func TestRail(t *testing.T) {
	sine := func(amplitude, low float64) []float64 {
		v := make([]float64, 4000)
		for i := range v {
			v[i] = math.Round(math.Max(500+amplitude*math.Sin(2*math.Pi*float64(i)/80.3), low))
		}
		return v
	}
	sigma := 1 / math.Sqrt(12)
	if r := rail(sine(400, 0), +1, sigma); !math.IsNaN(r) {
		t.Errorf("an unclipped sine has a rail at %v", r)
	}
	if r := rail(sine(3, 0), +1, sigma); !math.IsNaN(r) {
		t.Errorf("a sine of three counts has a rail at %v", r)
	}
	if r := rail(sine(400, 300), +1, sigma); !(r >= 300 && r < 303) {
		t.Errorf("a sine clipped at 300 has its rail at %v", r)
	}
}

// Harmonics agree with gonum's FFT of a recording at constant speed: 40 Hz
// electrical at 3200 samples a second, 80 a turn, over 200 whole turns. The
// converter's noise of one count in 300 averages to 3e-5 over the 16,000
// samples in both; thinning to 40 samples a turn lowers the seventh harmonic by
// 5 %, of 3 % of the fundamental.
func TestHarmonicsAgainstFFT(t *testing.T) {
	c := synth.Config{Motor: synth.NewMotor(7, 0.065), Spin: synth.Drilled(6, 40), FrontEnd: synth.Board(), Seed: 1}
	c.Motor.Harmonics = map[int]float64{3: 0.08, 5: 0.05, 7: -0.03}
	c.Spin.Drill.Ripple = 0
	c.FrontEnd.SkewUS = [3]float64{}
	c.FrontEnd.EdgeRows = false
	c.FrontEnd.Reference = synth.Neutral
	rec, _ := c.Record()
	r := Analyse(rec, Options{})
	const samples, turns = 16000, 200
	fft := fourier.NewFFT(samples)
	for i, p := range r.Phases {
		spectrum := fft.Coefficients(nil, rec.Columns[i].Value[:samples])
		for _, n := range []int{3, 5, 7} {
			want := cmplx.Abs(spectrum[n*turns]) / cmplx.Abs(spectrum[turns])
			if got := p.Harmonics[n]; math.Abs(got-want) > 0.002 {
				t.Errorf("p%d: harmonic %d is %.4f of the fundamental, want %.4f", i+1, n, got, want)
			}
		}
	}
}
