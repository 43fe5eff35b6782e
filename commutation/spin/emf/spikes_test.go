package emf

import (
	"math"
	"math/rand/v2"
	"testing"
)

// wave returns n samples, perTurn to a turn, of shape with noise of so many counts,
// rounded to counts.
func wave(n int, perTurn, noise float64, shape func(rad float64) float64) []float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	v := make([]float64, n)
	for i := range v {
		v[i] = math.Round(shape(2*math.Pi*float64(i)/perTurn) + noise*rng.NormFloat64())
	}
	return v
}

func sine(rad float64) float64 { return 200 * math.Sin(rad) }

// Spikes of 250 counts or more are found wherever they stand, two close to each other
// included, and nothing else is touched: the steepest wave has 2*200*sin(9 deg) = 63
// counts from one neighbour to the other, of which a spike is three, and the half of
// it less beyond the nearer one.
// The mean of the neighbours differs from the sample by the wave's bend, 200(1-cos 9
// deg) = 2.5 counts, and by its own noise and that of the sample, sqrt(1.5 (1+1/12)) =
// 1.3 counts, of which five.
func TestSpikesAreReplaced(t *testing.T) {
	plain := wave(20000, 40, 1, func(rad float64) float64 {
		if rad < 2*math.Pi*100 { // 4000 samples
			return 0
		}
		return sine(rad)
	})
	plain[50] = math.NaN() // a row of an edge
	v := append([]float64(nil), plain...)
	planted := map[int]bool{}
	rng := rand.New(rand.NewPCG(3, 4))
	for i := 20; i < len(v)-20; i += 100 + rng.IntN(50) {
		for _, at := range []int{i, i + 3} {
			v[at] += (250 + 1000*rng.Float64()) * float64(1-2*rng.IntN(2))
			planted[at] = true
		}
	}
	out, n := calm(v)
	if n != len(planted) {
		t.Errorf("%d spikes, want %d", n, len(planted))
	}
	for i := range out {
		if d := math.Abs(out[i] - plain[i]); planted[i] && d > 2.5+5*1.3 || !planted[i] && d > 0 {
			t.Errorf("sample %d is %g, want %g, planted %v", i, out[i], plain[i], planted[i])
		}
	}
}

// What back-EMF does is no spike: crests of few samples, half waves, flat tops, a
// humped wave of an unpowered controller, a start from rest, noise alone.
func TestBackEMFHasNoSpikes(t *testing.T) {
	half := func(rad float64) float64 { return max(0, sine(rad)) }
	waves := map[string][]float64{
		"five samples a turn":       wave(5000, 5.03, 1, sine),
		"half waves, eight a turn":  wave(5000, 8.03, 1, half),
		"half waves, forty a turn":  wave(5000, 40.3, 1, half),
		"half waves, cut noise":     wave(5000, 400.3, 2, func(rad float64) float64 { return max(0, half(rad)-150) }),
		"trapezoid":                 wave(5000, 40.3, 1, func(rad float64) float64 { return max(-120, min(120, 1.3*sine(rad))) }),
		"lowest lead, ten a turn":   wave(5000, 10.03, 1, func(rad float64) float64 { return sine(rad) - min(sine(rad), sine(rad-2.0944), sine(rad+2.0944)) }),
		"lowest lead, forty a turn": wave(5000, 40.3, 1, func(rad float64) float64 { return sine(rad) - min(sine(rad), sine(rad-2.0944), sine(rad+2.0944)) }),
		"noise":                     wave(100000, 40, 3, func(float64) float64 { return 0 }),
		"fine noise":                wave(100000, 40, 0.3, func(float64) float64 { return 0 }),
		"starting":                  wave(5000, 40.3, 1, func(rad float64) float64 { return sine(rad) * max(0, rad-300) / 500 }),
		"nothing":                   make([]float64, 100),
		"one sample":                {3},
	}
	for name, v := range waves {
		if _, n := calm(v); n != 0 {
			t.Errorf("%s: %d spikes, want none", name, n)
		}
	}
}
