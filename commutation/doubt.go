package commutation

import "math"

// What an estimated motor cannot know, however good its recording was: that the
// real back-EMF has harmonics and the real edges a width that it lacks. These
// are taken as standard deviations beside the scatter of the draws.
const (
	modelTorque = 0.005 // relative to the torque of perfect timing
	modelGapDeg = 0.1
)

// doubt is a wiring's torque and how it is distributed about that: a mixture of as many
// Gaussians, equally weighty, as motors were drawn, and one where none was.
type doubt struct {
	at      torque
	mixture []gaussian
}

// gaussian is a torque whose numbers have independent Gaussian errors of standard
// deviations sd.
type gaussian struct{ at, sd torque }

// newDoubt returns the doubt about the torque at by the torques of the same wiring on
// motors drawn from the estimate's distribution.
//
// A few dozen draws show how the numbers hang together and on which side of the estimate
// they lie, but no tail. So each is spread by h of their standard deviation and drawn
// towards their mean by sqrt(1-h^2), which leaves mean and variance as they are; h is
// n^(-1/5) (M. West, Approximating posterior distributions by mixture, J. R. Stat. Soc. B
// 55, 1993, from memory).
func newDoubt(at torque, draws []torque) doubt {
	d := doubt{at: at}
	model := torque{mean: modelTorque, low: modelTorque, high: modelTorque, gapDeg: modelGapDeg}
	if len(draws) == 0 {
		d.mixture = []gaussian{{at, model}}
		return d
	}
	mean, sd := moments(draws)
	h := math.Pow(float64(len(draws)), -0.2)
	spread := combine(sd, model, func(sd, model float64) float64 { return math.Hypot(h*sd, model) })
	for _, t := range draws {
		drawn := combine(mean, t, func(mean, x float64) float64 { return mean + math.Sqrt(1-h*h)*(x-mean) })
		d.mixture = append(d.mixture, gaussian{drawn, spread})
	}
	return d
}

// combine returns what f makes of each number of two torques.
func combine(a, b torque, f func(a, b float64) float64) torque {
	return torque{mean: f(a.mean, b.mean), low: f(a.low, b.low), high: f(a.high, b.high), gapDeg: f(a.gapDeg, b.gapDeg)}
}

// moments returns the mean and the standard deviation of each number of one or more draws.
func moments(draws []torque) (mean, sd torque) {
	n := float64(len(draws))
	for _, t := range draws {
		mean = combine(mean, t, func(sum, x float64) float64 { return sum + x/n })
	}
	for _, t := range draws {
		off := combine(t, mean, func(x, mean float64) float64 { return x - mean })
		sd = combine(sd, off, func(sd, off float64) float64 { return math.Hypot(sd, off/math.Sqrt(n)) })
	}
	return mean, sd
}

// probability returns how probable behaviour b is.
func (d doubt) probability(b Behaviour) float64 {
	sum := 0.0
	for _, g := range d.mixture {
		sum += g.probability(b)
	}
	return sum / float64(len(d.mixture))
}

// settled returns, by each Gaussian, how probable it is that the wiring is clean if and
// only if the estimate says so, in the direction that it says.
func (d doubt) settled() []float64 {
	b := d.at.behaviour()
	out := make([]float64, len(d.mixture))
	for k, g := range d.mixture {
		out[k] = g.settled(b)
	}
	return out
}

// together returns how probable it is that all wirings of whose doubts the settled are
// given are so: what the Gaussians say of the same drawn motor goes together.
func together(settled ...[]float64) float64 {
	sum := 0.0
	for k := range settled[0] {
		p := 1.0
		for _, one := range settled {
			p *= one[k]
		}
		sum += p
	}
	return sum / float64(len(settled[0]))
}

// probability returns how probable behaviour b is. Those of all behaviours sum to 1.
func (g gaussian) probability(b Behaviour) float64 {
	at, sd := g.at, g.sd
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

// settled returns how probable it is that the wiring is clean if and only if b is, in b's
// direction.
func (g gaussian) settled(b Behaviour) float64 {
	if b.Clean() {
		return g.probability(b)
	}
	return max(0, 1-g.probability(CleanForward)-g.probability(CleanReverse))
}

// above returns the probability that a Gaussian number of the given mean and
// standard deviation is positive.
func above(mean, sd float64) float64 { return math.Erfc(-mean/(sd*math.Sqrt2)) / 2 }
