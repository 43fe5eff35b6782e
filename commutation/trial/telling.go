package trial

import (
	"math"
	"slices"

	"handspin/commutation"
)

// telling returns the wiring whose trial tells most about which of the tables
// that can run the motor the controller has: after its answer the mean entropy of
// their probabilities is least (Lindley 1956). Of those that tell as much it is
// the one reached from the wiring that is connected with the fewest exchanges of
// leads. It is none that was given the same answer often enough, nor alike to one,
// unless there is no other.
func (p *Planner) telling(readings []Reading, trials []Trial) int {
	const rounding = 1e-9
	from, skipped := p.lastTried(trials), p.exhausted(trials)
	known := p.known(readings, trials)
	best, least, bestMoves := p.index(from), math.Inf(1), 0
	for w, wiring := range p.wirings {
		if slices.ContainsFunc(skipped, func(v int) bool { return p.alike(v, w) }) {
			continue
		}
		left, moves := p.doubt(known, trials, w), len(commutation.Swaps(from, wiring))
		if left < least*(1-rounding) || left < least*(1+rounding) && moves < bestMoves {
			best, least, bestMoves = w, left, moves
		}
	}
	return best
}

// known returns how probable what is known is together with each table that can
// run the motor, by judge; 0 for the other tables.
func (p *Planner) known(readings []Reading, trials []Trial) [][]float64 {
	out := make([][]float64, len(p.tables))
	for i, t := range p.tables {
		out[i] = make([]float64, len(judges))
		if t.serves {
			all := t.prior * t.read(readings) * p.measured(t, trials)
			for k, who := range judges {
				out[i][k] = all * who.share * p.answeredBy(who, t, trials)
			}
		}
	}
	return out
}

// doubt returns the mean entropy, in nats, of the tables after one more trial,
// that of wiring w, times the probability of what is known.
func (p *Planner) doubt(known [][]float64, trials []Trial, w int) float64 {
	sum := 0.0
	for _, answer := range Outcomes {
		if answer == Unsure {
			continue
		}
		more := append(slices.Clip(trials), Trial{Wiring: p.wirings[w], Outcome: answer})
		total := 0.0
		for i, t := range p.tables {
			joint := 0.0
			for k, who := range judges {
				if known[i][k] > 0 {
					before, _ := p.about(who, t, w, trials)
					after, _ := p.about(who, t, w, more)
					joint += known[i][k] * after / before
				}
			}
			sum -= xlogx(joint)
			total += joint
		}
		sum += xlogx(total)
	}
	return sum
}

// xlogx returns x log x, which is 0 at 0.
func xlogx(x float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(x)
}
