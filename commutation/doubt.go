package commutation

import "math"

// What an estimated motor cannot know, however good its recording was: that the
// real back-EMF has harmonics and the real edges a width that it lacks. These
// are taken as standard deviations beside the scatter of the draws.
const (
	modelTorque = 0.005 // relative to the torque of perfect timing
	modelGapDeg = 0.1
)

// doubt is a wiring's torque with the standard deviation of each of its numbers.
type doubt struct{ at, sd torque }

// newDoubt returns the doubt about the torque at by the torques of the same
// wiring on motors drawn from the estimate's distribution.
func newDoubt(at torque, draws []torque) doubt {
	return doubt{at: at, sd: torque{
		mean:   scatter(draws, modelTorque, func(t torque) float64 { return t.mean - at.mean }),
		low:    scatter(draws, modelTorque, func(t torque) float64 { return t.low - at.low }),
		high:   scatter(draws, modelTorque, func(t torque) float64 { return t.high - at.high }),
		gapDeg: scatter(draws, modelGapDeg, func(t torque) float64 { return t.gapDeg - at.gapDeg }),
	}}
}

// scatter returns the root of the mean square of the draws' distances from the
// estimate and the square of what the model adds.
func scatter(draws []torque, model float64, distance func(torque) float64) float64 {
	sum := 0.0
	for _, t := range draws {
		sum += distance(t) * distance(t)
	}
	return math.Sqrt(sum/float64(max(len(draws), 1)) + model*model)
}

// probability returns how probable behaviour b is if each number has a Gaussian
// error and the errors are independent. Those of all behaviours sum to 1.
func (d doubt) probability(b Behaviour) float64 {
	at, sd := d.at, d.sd
	ok := above(maxGapDeg-at.gapDeg, sd.gapDeg)
	cleanForward := above(at.mean-minCleanMean, sd.mean) * above(at.low-minCleanLow, sd.low)
	cleanReverse := above(-at.mean-minCleanMean, sd.mean) * above(-at.high-minCleanLow, sd.high)
	turnsForward := above(at.mean-minWeakMean, sd.mean)
	turnsReverse := above(-at.mean-minWeakMean, sd.mean)
	switch b {
	case CleanForward:
		return ok * cleanForward
	case CleanReverse:
		return ok * cleanReverse
	case WeakForward:
		return ok * (turnsForward - cleanForward)
	case WeakReverse:
		return ok * (turnsReverse - cleanReverse)
	case Stall:
		return ok * max(0, 1-turnsForward-turnsReverse)
	}
	return 1 - ok
}

// settled returns how probable it is that the wiring is clean if and only if
// the estimate says so, in the direction that it says.
func (d doubt) settled() float64 {
	if b := d.at.behaviour(); b.Clean() {
		return d.probability(b)
	}
	return max(0, 1-d.probability(CleanForward)-d.probability(CleanReverse))
}

// above returns the probability that a Gaussian number of the given mean and
// standard deviation is positive.
func above(mean, sd float64) float64 { return math.Erfc(-mean/(sd*math.Sqrt2)) / 2 }
