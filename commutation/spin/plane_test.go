package spin

import (
	"math"
	"testing"
)

// The correlations that tell a reference lead from an open one, of two sines an angle d
// apart: cos d. Their positive halves have the mean 1/pi, the mean square 1/4 and the mean
// product ((pi-d) cos d + sin d)/(4 pi).
func TestCorrelationOfColumns(t *testing.T) {
	for _, deg := range []float64{60, 120, 180} {
		whole, half := &signals{}, &signals{}
		for range 2 {
			whole.ch, half.ch = append(whole.ch, channel{}), append(half.ch, channel{})
		}
		for i := range 36000 { // 100 turns
			whole.t, half.t = append(whole.t, float64(i)), append(half.t, float64(i))
			for c, lag := range []float64{0, deg} {
				x := math.Sin((float64(i) - lag) * math.Pi / 180)
				whole.ch[c].v, half.ch[c].v = append(whole.ch[c].v, x), append(half.ch[c].v, max(0, x))
			}
		}
		d := deg * math.Pi / 180
		if got, want := whole.correlation(0, 1), math.Cos(d); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g degrees apart: %v, want %v", deg, got, want)
		}
		// Summed in steps of a degree, whose error is below 1e-4.
		if got, want := half.correlation(0, 1), halves(d); math.Abs(got-want) > 1e-4 {
			t.Errorf("halves %g degrees apart: %v, want %v", deg, got, want)
		}
	}
}

func halves(d float64) float64 {
	const mean, square = 1 / math.Pi, 0.25
	product := ((math.Pi-d)*math.Cos(d) + math.Sin(d)) / (4 * math.Pi)
	return (product - mean*mean) / (square - mean*mean)
}
