package emf

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// settled is the step of a wave's unknown, in its standard deviations, which is
// not worth taking any more. The spline's own unknowns are no measure: while the
// rotor rests nothing holds the angle, and it wanders at no cost. For them it is
// what a step promises to gain, as a share of the cost.
const (
	maxSteps  = 30
	settled   = 0.03
	fineGain  = 1e-4
	roughGain = 1e-3
)

// run steps until a further step is not worth taking, in a rough fit by its gain
// alone. It reports an error where the problem has no solution.
func (f *Fit) run(rough bool) error {
	damping, samples := 1e-6, float64(len(f.Signals.Time)*len(f.Signals.Channels)) // the cost that is expected
	least := fineGain
	if rough {
		least = roughGain
	}
	f.weigh()
	f.linearise()
	for range maxSteps {
		m, err := f.step(damping)
		if err != nil {
			return err
		}
		if m.gain < least*max(f.cost, samples) && (rough || m.moved < settled) {
			return nil
		}
		before, coef, wave := f.cost, f.Angle.Coef, f.Wave
		f.take(m)
		f.linearise()
		if f.cost <= before*(1+1e-9) {
			damping = max(damping/10, 1e-9)
			continue
		}
		f.Angle.Coef, f.Wave = coef, wave
		f.linearise()
		if damping *= 30; damping > 1e6 {
			return nil
		}
	}
	return nil
}

// move is a step of the unknowns.
type move struct {
	coef, wave []float64
	// gain is by how much it lowers the cost, if the problem is as linear as it
	// seems, and moved the largest move of a wave's unknown in its standard
	// deviations.
	gain, moved float64
}

// step solves the normal equations.
func (f *Fit) step(damping float64) (m move, err error) {
	r, err := f.reduce(damping)
	if err != nil {
		return m, err
	}
	chol, covariance, err := r.covariance()
	if err != nil {
		return m, err
	}
	dw := mat.NewVecDense(len(r.gWave), nil)
	if err := chol.SolveVecTo(dw, mat.NewVecDense(len(r.gWave), r.gWave)); err != nil {
		return m, err
	}
	m.coef, m.wave = r.gBand, dw.RawVector().Data
	for k, d := range m.wave {
		m.moved = max(m.moved, math.Abs(d)/math.Sqrt(covariance.At(k, k)))
		m.gain += d * f.normal.gWave[k]
	}
	for i, y := range r.border {
		for k, d := range y {
			m.coef[i] -= d * m.wave[k]
		}
	}
	r.band.Backward(m.coef)
	for i, d := range m.coef {
		m.gain += d * f.normal.gBand[i]
	}
	return m, nil
}

// take moves the unknowns.
func (f *Fit) take(m move) {
	f.Angle.Coef = slices.Clone(f.Angle.Coef)
	for i, d := range m.coef {
		f.Angle.Coef[i] += d
	}
	per := f.PerChannel()
	wave := make([][]float64, len(f.Wave))
	for c := range wave {
		wave[c] = slices.Clone(f.Wave[c])
		for k := range wave[c] {
			wave[c][k] += m.wave[c*per+k]
		}
	}
	f.Wave = wave
}
