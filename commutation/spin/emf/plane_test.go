package emf

import (
	"math"
	"testing"
)

// The correlations that tell a reference lead from an open one, of two sines an angle d
// apart: cos d. Their positive halves have the mean 1/pi, the mean square 1/4 and the mean
// product ((pi-d) cos d + sin d)/(4 pi).
func TestCorrelationOfColumns(t *testing.T) {
	for _, deg := range []float64{60, 120, 180} {
		whole, half := &Signals{}, &Signals{}
		for range 2 {
			whole.Channels, half.Channels = append(whole.Channels, Channel{}), append(half.Channels, Channel{})
		}
		for i := range 36000 { // 100 turns
			whole.Time, half.Time = append(whole.Time, float64(i)), append(half.Time, float64(i))
			for c, lag := range []float64{0, deg} {
				x := math.Sin((float64(i) - lag) * math.Pi / 180)
				whole.Channels[c].Value, half.Channels[c].Value = append(whole.Channels[c].Value, x), append(half.Channels[c].Value, max(0, x))
			}
		}
		d := deg * math.Pi / 180
		if got, want := whole.Correlation(0, 1), math.Cos(d); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g degrees apart: %v, want %v", deg, got, want)
		}
		// Summed in steps of a degree, whose error is below 1e-4.
		if got, want := half.Correlation(0, 1), halves(d); math.Abs(got-want) > 1e-4 {
			t.Errorf("halves %g degrees apart: %v, want %v", deg, got, want)
		}
	}
}

func halves(d float64) float64 {
	const mean, square = 1 / math.Pi, 0.25
	product := ((math.Pi-d)*math.Cos(d) + math.Sin(d)) / (4 * math.Pi)
	return (product - mean*mean) / (square - mean*mean)
}
