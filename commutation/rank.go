package commutation

import (
	"cmp"
	"math"
	"slices"
)

// Judged is a wiring and what the motor does with it.
type Judged struct {
	// Rank counts from 1, the best.
	Rank      int
	Wiring    Wiring
	Behaviour Behaviour
	// Torque is the mean over the turn, positive forward, and TorqueMin the
	// smallest in the direction of the mean, negative where it works against
	// it. Both are relative to the mean of perfect six-step timing.
	Torque, TorqueMin float64
	// Confidence is the probability that Behaviour is right.
	Confidence float64
}

// Ranking is the 36 wirings of a motor in order.
type Ranking struct {
	Table DriveTable
	// Wirings has all 36, best first.
	Wirings []Judged
	// Inverted says which Hall leads have to be inverted for the list to hold:
	// none, unless no wiring is clean without.
	Inverted [3]bool
	// CleanConfidence is the probability that exactly the wirings named clean
	// are so.
	CleanConfidence float64
	// Findings say why the list does not hold as it stands, if so.
	Findings []Finding
}

// Clean returns the clean wirings, best first.
func (r Ranking) Clean() []Judged {
	n := slices.IndexFunc(r.Wirings, func(j Judged) bool { return !j.Behaviour.Clean() })
	if n < 0 {
		return r.Wirings
	}
	return r.Wirings[:n]
}

// Rank judges all 36 wirings of motor m to a controller that drives by table t.
// draws are motors drawn from the distribution of the estimate m and give the
// confidences; without any these rest on the model's own error. Where no wiring
// is clean the list is that with the fewest Hall leads inverted that has one.
// The slice is only read.
//
// A wiring is judged by its torque per ampere over one electrical turn: the
// Hall leads' state at each angle gives, through wiring and table, the leads
// driven high and low, and the torque is the difference of their back-EMFs per
// unit of speed. It is relative to the turn's mean of the largest difference,
// which is what perfect six-step timing gives that motor. A phase that is open,
// weak or reversed lowers that measure too, so whether the back-EMFs are those
// of a sound motor has to be judged apart.
func Rank(m Motor, draws []Motor, t DriveTable) Ranking {
	j := judge{table: t, turn: newTurn(m), draws: make([]turn, len(draws))}
	for i, draw := range draws {
		j.draws[i] = newTurn(draw)
	}
	if len(j.turn.sectors) == 0 {
		return j.blank()
	}
	r, worst := j.rank([3]bool{})
	if len(r.Clean()) == 0 && !r.doubtful() {
		r, worst = j.invert(r)
	}
	if r.doubtful() {
		r.Findings = append(r.Findings, borderline(r, worst))
	}
	return r
}

// maxDoubt is how improbable the set of clean wirings may be: more than that
// and the list is not to be relied on.
const maxDoubt = 0.02

func (r Ranking) doubtful() bool { return r.CleanConfidence < 1-maxDoubt }

// judge holds what all wirings of one motor are judged by.
type judge struct {
	table DriveTable
	turn  turn
	draws []turn
}

// rank judges the wirings with the given Hall leads inverted. worst is the
// wiring for which it is least sure whether it is clean.
//
// Wirings that drive the same leads in the same states, up to the direction,
// stand or fall together, so each such group counts once in CleanConfidence.
func (j judge) rank(inverted [3]bool) (r Ranking, worst Wiring) {
	r = Ranking{Table: j.table, Inverted: inverted}
	var groups [][]float64
	counted := map[steps]bool{}
	least := math.Inf(1)
	draws := make([]torque, len(j.draws))
	for _, w := range Wirings() {
		w.Invert = inverted
		s := w.steps(j.table)
		for i, t := range j.draws {
			draws[i] = t.drive(s)
		}
		d := newDoubt(j.turn.drive(s), draws)
		r.Wirings = append(r.Wirings, d.judged(w))
		settled := d.settled()
		if p := together(settled); p < least {
			least, worst = p, w
		}
		if !counted[s.undirected()] {
			counted[s.undirected()] = true
			groups = append(groups, settled)
		}
	}
	r.CleanConfidence = together(groups...)
	r.sort()
	return r, worst
}

// judged returns what d says of wiring w.
func (d doubt) judged(w Wiring) Judged {
	b := d.at.behaviour()
	return Judged{
		Wiring: w, Behaviour: b,
		Torque: tidy(d.at.mean), TorqueMin: tidy(d.at.least()),
		Confidence: d.probability(b),
	}
}

// tidy rounds off what is rounding error, so that an ideal zero is 0, not -1e-17.
func tidy(x float64) float64 { return math.Round(x*1e9)/1e9 + 0 } // -0 + 0 is 0

// sort puts the wirings in order and numbers them. Those that nothing tells
// apart keep the order of their leads.
func (r *Ranking) sort() {
	slices.SortStableFunc(r.Wirings, func(a, b Judged) int {
		return cmp.Or(
			cmp.Compare(slices.Index(behaviours[:], a.Behaviour), slices.Index(behaviours[:], b.Behaviour)),
			cmp.Compare(quantum(math.Abs(b.Torque)), quantum(math.Abs(a.Torque))),
			cmp.Compare(quantum(b.TorqueMin), quantum(a.TorqueMin)),
			cmp.Compare(a.Wiring.moved(), b.Wiring.moved()))
	})
	for i := range r.Wirings {
		r.Wirings[i].Rank = i + 1
	}
}

// inversions are the choices of Hall leads to invert, fewest first.
var inversions = [][][3]bool{
	{{true, false, false}, {false, true, false}, {false, false, true}},
	{{true, true, false}, {true, false, true}, {false, true, true}},
	{{true, true, true}},
}

// invert returns the list with the fewest Hall leads inverted that has a clean
// wiring, the one with the most torque among those; plain, the list without
// inverted leads, where there is none.
func (j judge) invert(plain Ranking) (best Ranking, worst Wiring) {
	for _, choices := range inversions {
		most := 0.0
		for _, inverted := range choices {
			r, w := j.rank(inverted)
			if q := quantum(mostTorque(r.Clean())); q > most {
				most, best, worst = q, r, w
			}
		}
		if most > 0 {
			best.Findings = []Finding{j.mismatch(best)}
			return best, worst
		}
	}
	plain.Findings = []Finding{j.noClean(plain)}
	return plain, worst
}

// mostTorque returns the largest magnitude of torque in list, 0 if it is empty.
func mostTorque(list []Judged) float64 {
	most := 0.0
	for _, w := range list {
		most = max(most, math.Abs(w.Torque))
	}
	return most
}
