package commutation

import "math"

// TorqueCurve returns the torque per ampere of motor m, wired by w to a controller
// that drives by table t, at n equal steps of the electrical turn from angle 0 on.
// It is positive forward, relative to the mean of perfect six-step timing as in
// [Judged], and 0 where nothing is driven. It is nil where m has no back-EMF.
func TorqueCurve(m Motor, w Wiring, t DriveTable, n int) []float64 {
	l := newLines(m.EMF)
	zeros, _ := l.landmarks()
	full := l.meanLargest(zeros)
	if !(full > 0) || math.IsInf(full, 0) {
		return nil
	}
	s := w.steps(t)
	out := make([]float64, n)
	for i := range out {
		deg := 360 * float64(i) / float64(n)
		line, _ := l.at(deg)
		switch step := s[m.state(deg)]; {
		case step > 0:
			out[i] = line[step-1] / full
		case step < 0:
			out[i] = -line[-step-1] / full
		}
	}
	return out
}
