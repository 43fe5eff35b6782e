package spin

import (
	"math"
	"math/cmplx"
)

// indexTurns returns the angles of the index pulses within a run, in electrical turns.
// A pulse begins at its other end when the rotor turns backward, so that only those
// passed forward count.
func (a *analysis) indexTurns(run shaftRun) []float64 {
	var out []float64
	for _, t := range a.rec.Index {
		deg, rate, ok := a.rotor.angleAt(t)
		if turn := deg / 360; ok && rate > 0 && turn >= run.from && turn <= run.to {
			out = append(out, turn)
		}
	}
	return out
}

// offWhole is how far from a whole number of electrical turns two index pulses may be
// apart: a pulse is seen as late as the next sample.
const offWhole = 0.15

// betweenPulses returns the whole number of electrical turns between index pulses; 0
// where they do not agree on one, or there are fewer than two.
func betweenPulses(turns []float64) int {
	found := 0
	for i := 1; i < len(turns); i++ {
		apart := math.Abs(turns[i] - turns[i-1])
		n := int(math.Round(apart))
		switch {
		case n == 0: // the same pulse once more
			continue
		case math.Abs(apart-float64(n)) > offWhole || found > 0 && n != found:
			return 0
		}
		found = n
	}
	return found
}

// meanTurn returns the mean place of angles in electrical turns within a turn of the
// shaft, which has so many of them, as a share of it in [0, 1).
func meanTurn(turns []float64, origin, pairs float64) float64 {
	var sum complex128
	for _, x := range turns {
		sum += cmplx.Rect(1, 2*math.Pi*(x-origin)/pairs)
	}
	share := cmplx.Phase(sum) / (2 * math.Pi)
	return share - math.Floor(share)
}
