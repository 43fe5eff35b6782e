package trial

import (
	"slices"

	"handspin/commutation"
)

// Planner knows what a motor does with each wiring under each possible table.
type Planner struct {
	wirings []commutation.Wiring
	tables  []table
}

// table is one hypothesis.
type table struct {
	class commutation.Class
	drive commutation.DriveTable
	prior float64
	// does is by wiring, odds the probability that it does each; serves is true
	// where one of them is clean forward.
	does   []commutation.Behaviour
	odds   []map[commutation.Behaviour]float64
	serves bool
}

// New returns a planner for motor m; draws are motors drawn from the
// distribution of that estimate, if there are any.
func New(m commutation.Motor, draws []commutation.Motor, prior Prior) *Planner {
	p := &Planner{wirings: commutation.Wirings()}
	var drives []commutation.DriveTable
	for _, c := range commutation.Classes() {
		drives = append(drives, c.Table())
		p.tables = append(p.tables, table{class: c, drive: c.Table(), prior: prior(c)})
	}
	for i, forecasts := range commutation.Forecasts(m, draws, drives) {
		t := &p.tables[i]
		for _, f := range forecasts {
			t.does, t.odds = append(t.does, f.Behaviour), append(t.odds, f.Odds)
		}
		t.serves = slices.Contains(t.does, commutation.CleanForward)
	}
	return p
}

// Serves reports whether any of the possible tables runs the motor.
func (p *Planner) Serves() bool {
	return slices.ContainsFunc(p.tables, func(t table) bool { return t.serves })
}

// alike reports whether the motor does the same with two wirings under every
// table that can run it, as where all leads are moved round together.
func (p *Planner) alike(v, w int) bool {
	return !slices.ContainsFunc(p.tables, func(t table) bool { return t.serves && t.does[v] != t.does[w] })
}

func (p *Planner) index(w commutation.Wiring) int { return slices.Index(p.wirings, w) }

// likelihoods returns, by table, how probable the readings and answers are with
// it, and, last, how probable they are with none.
func (p *Planner) likelihoods(readings []Reading, trials []Trial) []float64 {
	like := make([]float64, len(p.tables)+1)
	measured := 0.0
	for i, t := range p.tables {
		m := p.measured(t, trials)
		like[i] = t.read(readings) * p.answered(t, trials) * m
		measured += m / float64(len(p.tables))
	}
	like[len(p.tables)] = unknown(readings, trials) * measured
	return like
}

// posterior returns each table's probability by Bayes' rule, and last that of
// none.
func (p *Planner) posterior(like []float64) []float64 {
	weights, all := make([]float64, len(like)), 0.0
	for i, t := range p.tables {
		weights[i] = t.prior * like[i]
		all += t.prior
	}
	none := len(p.tables)
	weights[none] = noTable * all * like[none]
	return normal(weights)
}

// normal returns weights divided by their sum, unless that is 0.
func normal(weights []float64) []float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	out := make([]float64, len(weights))
	for i, w := range weights {
		if sum > 0 {
			out[i] = w / sum
		}
	}
	return out
}

func (t table) fits(readings []Reading) bool {
	return !slices.ContainsFunc(readings, func(r Reading) bool { return !r.fits(t.drive) })
}

// read returns how probable the readings are if the controller has table t.
func (t table) read(readings []Reading) float64 {
	l := 1.0
	for _, r := range readings {
		l *= r.likelihood(t.drive)
	}
	return l
}

// answered returns how probable the answers are if the controller has table t.
// Each answer counts by itself, also that of a wiring tried again: a person who
// runs it longer and looks again may well see what was missed before. How a
// person judges, and what the motor does with one wiring, is the same each time.
func (p *Planner) answered(t table, trials []Trial) float64 {
	sum := 0.0
	for _, who := range judges {
		sum += who.share * p.answeredBy(who, t, trials)
	}
	return sum
}

// answeredBy returns how probable the answers are from one judge.
func (p *Planner) answeredBy(who judge, t table, trials []Trial) float64 {
	l := 1.0
	for _, w := range p.tried(trials) {
		sum, _ := p.about(who, t, w, trials)
		l *= sum
	}
	return l
}

// cleanOf returns how probable it is that wiring w is clean forward if the
// controller has table t, given the answers.
func (p *Planner) cleanOf(t table, w int, trials []Trial) float64 {
	sum := 0.0
	for _, who := range judges {
		all, clean := p.about(who, t, w, trials)
		sum += who.share * p.answeredBy(who, t, trials) * clean / all
	}
	return sum / p.answered(t, trials)
}

// about returns how probable a person's answers about wiring w are if the
// controller has table t, and the part of that in which it is clean forward.
func (p *Planner) about(who judge, t table, w int, trials []Trial) (sum, clean float64) {
	for b, odds := range t.odds[w] {
		for _, trial := range trials {
			if trial.Wiring == p.wirings[w] {
				odds *= who.answers.likelihood(trial.Outcome, b)
			}
		}
		sum += odds
		if b == commutation.CleanForward {
			clean = odds
		}
	}
	return sum, clean
}

// tried returns the indices of the wirings that were tried, each once.
func (p *Planner) tried(trials []Trial) []int {
	var out []int
	for _, t := range trials {
		if w := p.index(t.Wiring); !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// measured returns how probable the currents and speeds are if the controller
// has table t.
func (p *Planner) measured(t table, trials []Trial) float64 {
	var is []commutation.Behaviour
	var amps, rpm []float64
	for _, trial := range trials {
		is, amps, rpm = append(is, t.does[p.index(trial.Wiring)]), append(amps, trial.Amps), append(rpm, trial.RPM)
	}
	return current.likelihood(amps, is) * speed.likelihood(rpm, is)
}
