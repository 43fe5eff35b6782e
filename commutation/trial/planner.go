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
	// does is by wiring; serves is true where one of them is clean forward.
	does   []commutation.Behaviour
	serves bool
}

// New returns a planner for motor m.
func New(m commutation.Motor, prior Prior) *Planner {
	p := &Planner{wirings: commutation.Wirings()}
	var drives []commutation.DriveTable
	for _, c := range commutation.Classes() {
		drives = append(drives, c.Table())
		p.tables = append(p.tables, table{class: c, drive: c.Table(), prior: prior(c)})
	}
	for i, does := range commutation.Behaviours(m, drives) {
		p.tables[i].does = does
		p.tables[i].serves = slices.Contains(does, commutation.CleanForward)
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

// likelihoods returns, by table, how probable the answers are with it: 0 where
// the readings contradict the table.
func (p *Planner) likelihoods(readings []Reading, trials []Trial) []float64 {
	like := make([]float64, len(p.tables))
	for i, t := range p.tables {
		if t.fits(readings) {
			like[i] = p.likelihood(t, trials)
		}
	}
	return like
}

// posterior returns each table's probability by Bayes' rule. All are 0 where the
// readings fit no table.
func (p *Planner) posterior(like []float64) []float64 {
	weights := make([]float64, len(p.tables))
	for i, t := range p.tables {
		weights[i] = t.prior * like[i]
	}
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

// likelihood returns how probable the answers are if the controller has table t.
// Each answer counts by itself, also that of a wiring tried again: a person who
// runs it longer and looks again may well see what was missed before.
func (p *Planner) likelihood(t table, trials []Trial) float64 {
	l := 1.0
	var is []commutation.Behaviour
	var amps, rpm []float64
	for _, trial := range trials {
		does := t.does[p.index(trial.Wiring)]
		l *= likelihood(trial.Outcome, does)
		is, amps, rpm = append(is, does), append(amps, trial.Amps), append(rpm, trial.RPM)
	}
	return l * current.likelihood(amps, is) * speed.likelihood(rpm, is)
}
