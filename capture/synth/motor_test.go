package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/integrate"
)

// rich is a motor with everything that makes a back-EMF uneven.
func rich() Motor {
	m := NewMotor(7, 0.02)
	m.Harmonics = map[int]float64{3: 0.1, 5: -0.06, 7: 0.03}
	m.PoleStrength = 0.05
	m.Gain = [3]float64{1, -0.9, 0.5}
	m.PhaseOrder = [3]int{0, 2, 1}
	return m
}

func richWinding() *winding {
	m := rich()
	return newWinding(m, newMagnets(m, rand.New(rand.NewPCG(5, 6))))
}

// Faraday's law: the integral of the back-EMF over time is the difference of the
// flux linkages at the ends, however the rotor got there. The integral is
// gonum's Simpson rule on a fine grid.
func TestEMFIntegratesToFluxLinkage(t *testing.T) {
	w := richWinding()
	for _, s := range []Spin{Pushes(2, 3, 20), BackAndForth(2, 4, -30), Coast(2, 3, 1)} {
		s.Cogging, s.CoggingOrder = 30, 84
		m := s.run(w.motor.PolePairs)
		const n, from, to = 160001, 0.1, 1.7
		times, emf := make([]float64, n), [3][]float64{}
		for k := range times {
			times[k] = from + (to-from)*float64(k)/(n-1)
			a, speed := m.electrical(times[k])
			for lead, e := range w.emf(a, speed) {
				emf[lead] = append(emf[lead], e)
			}
		}
		begin, _ := m.electrical(from)
		end, _ := m.electrical(to)
		for lead := range emf {
			first, _ := w.linkage(lead, begin, newPhasor(begin))
			last, _ := w.linkage(lead, end, newPhasor(end))
			// Between two magnets the slope of the back-EMF jumps by up to
			// flux*0.1*speed^2, 300 V/s at 60 Hz; Simpson's rule errs by a
			// twelfth of that times the step squared, 2.5e-9, either way.
			near(t, "integral of back-EMF", integrate.Simpsons(times, emf[lead]), last-first, 1e-8)
		}
	}
}

// Fourier analysis by gonum's FFT over one shaft turn: harmonic n of the
// back-EMF is at bin n*PolePairs, with the amplitude and the lag configured. The
// magnets' differences lie between these bins.
func TestHarmonicsOfOneShaftTurn(t *testing.T) {
	w := richWinding()
	m := w.motor
	const n = 7 * 512
	fft := fourier.NewFFT(n)
	for lead := range 3 {
		wave := make([]float64, n)
		for k := range wave {
			a := 2 * math.Pi * float64(m.PolePairs*k) / n
			_, wave[k] = w.linkage(lead, a, newPhasor(a))
		}
		bins := fft.Coefficients(nil, wave)
		lag := 2 * math.Pi / 3 * float64(m.PhaseOrder[lead])
		check := func(order int, amplitude, tol float64) {
			sin, cos := math.Sincos(float64(order) * lag)
			bin := bins[order*m.PolePairs]
			near(t, "sine term", -imag(bin)*2/n, m.Gain[lead]*amplitude*cos, tol)
			near(t, "cosine term", real(bin)*2/n, -m.Gain[lead]*amplitude*sin, tol)
		}
		// The strengths' mean is 1 and the passages between them cancel over a
		// shaft turn for the fundamental; the harmonics mix through the
		// passages in second order only, by less than deviation*harmonic/poles.
		check(1, m.Flux, 1e-6)
		for order, h := range m.Harmonics {
			check(order, m.Flux*h, 1e-6)
		}
	}
}

func TestMagnetsAverageOut(t *testing.T) {
	m := NewMotor(9, 1)
	m.PoleStrength, m.PoleShift = 0.1, 2
	g := newMagnets(m, rand.New(rand.NewPCG(1, 1)))
	strength, rising, falling := 0.0, 0.0, 0.0
	for i := range g.strength {
		strength += g.strength[i] / 18
		if i%2 == 0 {
			rising += g.shift[i]
		} else {
			falling += g.shift[i]
		}
	}
	near(t, "mean strength", strength, 1, 1e-14)
	near(t, "sum of the rising borders' shifts", rising, 0, 1e-12)
	near(t, "sum of the falling borders' shifts", falling, 0, 1e-12)
	if g.shift[0] == 0 || g.strength[0] == 1 {
		t.Error("the magnets are all alike")
	}
}

func TestOpenLeadHasNoEMF(t *testing.T) {
	w := richWinding()
	w.motor.Open[1] = true
	e := w.emf(1, 100)
	if e[1] != 0 || e[0] == 0 || e[2] == 0 {
		t.Errorf("back-EMF with p2 open is %v", e)
	}
}
