package spin

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"handspin/capture/synth"
)

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
