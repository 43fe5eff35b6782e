package commutation

import (
	"math"
	"strings"
)

// Behaviour is what a motor does with a wiring.
type Behaviour string

// The behaviours, best first. Clean: at least 0.85 of the torque of perfect
// six-step timing, and nowhere less than 0.2 of it. Weak: it turns, with at
// least 0.3 of that torque, but rough and hot. Stall: less. Fault: for over one
// degree of the turn the controller sees a state that its table does not have.
const (
	CleanForward Behaviour = "clean-forward"
	CleanReverse Behaviour = "clean-reverse"
	WeakForward  Behaviour = "weak-forward"
	WeakReverse  Behaviour = "weak-reverse"
	Stall        Behaviour = "stall"
	Fault        Behaviour = "fault"
)

// behaviours are all of them, best first.
var behaviours = [...]Behaviour{CleanForward, CleanReverse, WeakForward, WeakReverse, Stall, Fault}

const (
	minCleanMean = 0.85
	minCleanLow  = 0.2
	minWeakMean  = 0.3
	maxGapDeg    = 1.0
)

// Clean reports whether the motor runs as it should, in either direction.
func (b Behaviour) Clean() bool { return strings.HasPrefix(string(b), "clean-") }

// behaviour returns what the motor does under torque t.
func (t torque) behaviour() Behaviour {
	switch {
	case t.gapDeg > maxGapDeg:
		return Fault
	case t.mean >= minCleanMean && t.low >= minCleanLow:
		return CleanForward
	case t.mean <= -minCleanMean && t.high <= -minCleanLow:
		return CleanReverse
	case t.mean >= minWeakMean:
		return WeakForward
	case t.mean <= -minWeakMean:
		return WeakReverse
	}
	return Stall
}

// least returns the smallest torque in the direction of the mean; a mean of
// zero counts as forward. A stay of at most maxGapDeg without drive does not
// count: the rotor's inertia carries it across.
func (t torque) least() float64 {
	least := t.low
	if quantum(t.mean) < 0 {
		least = -t.high
	}
	if t.gapDeg > maxGapDeg {
		return min(least, 0)
	}
	return least
}

// quantum returns x in millionths, rounded. Values that are equal but for
// rounding errors, as those of ideal motors, become equal by it, and unlike a
// comparison within a tolerance it keeps an order transitive.
func quantum(x float64) float64 { return math.Round(x * 1e6) }
