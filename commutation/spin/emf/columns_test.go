package emf

import (
	"math"
	"math/rand/v2"
	"testing"
)

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
