package trial

import (
	"errors"
	"math"

	"handspin/commutation"
)

// Advice is what to try next and what is known of the controller.
type Advice struct {
	// Try is the wiring to power next, or the one to keep where Solved. It
	// means nothing where no table that can run the motor is left, that is
	// where Left is 0.
	Try commutation.Wiring
	// Chance is the probability that Try runs cleanly forward.
	Chance float64
	// Left counts the tables that can run the motor and are still of some
	// probability.
	Left int
	// Expected is the mean and Worst the greatest number of trials from here
	// to a clean forward run, both if all answers from here on are right.
	Expected float64
	Worst    int
	// Solved is true where a trial ran cleanly forward, in all probability,
	// or where the readings fit one table only.
	Solved bool
	// Table is the most probable table, of class Class, and Confidence its
	// probability.
	Table      commutation.DriveTable
	Class      commutation.Class
	Confidence float64
	// Unserved is the probability that the controller has a table from which
	// no wiring runs the motor cleanly; the probabilities above are for when
	// it has not.
	Unserved float64
	// Misfits are the trials whose outcome is not what Table would have given.
	Misfits []Misfit
}

// Misfit is a trial and what it should have shown.
type Misfit struct {
	Trial Trial
	Does  commutation.Behaviour
}

// ErrReadings is returned where no table drives all that was read.
var ErrReadings = errors.New("no six-step table drives all that was read")

const (
	// minSure is how probable it has to be that a trial answered with
	// clean-forward was one. The first answer, without any other evidence and
	// with equal weights, is worth 0.82: of three tables that explain it, two
	// need a weak wiring that passed for a clean one.
	minSure = 0.8
	// A table is kept in the plan if it explains the answers, relative to the
	// one that does so best, with minFit at least, which allows for the common
	// mistake of taking weak for clean and for no other; or if, rarely or not,
	// it has at least minShare of the likeliest table's probability.
	minFit   = 0.08
	minShare = 0.2
)

// Next returns what to do after the given readings of the controller and trials,
// in the order in which they were made.
func (p *Planner) Next(readings []Reading, trials []Trial) (Advice, error) {
	like := p.likelihoods(readings, trials)
	all := p.posterior(like)
	best := largest(all)
	if all[best] == 0 {
		return Advice{}, ErrReadings
	}
	served := make([]float64, len(all))
	a := Advice{Unserved: 1}
	for i, t := range p.tables {
		if t.serves {
			served[i] = all[i]
			a.Unserved -= all[i]
		}
	}
	a.Unserved = min(max(a.Unserved, 0), 1)
	served = normal(served)
	if i := largest(served); served[i] > 0 {
		best = i
		p.plan(&a, served, p.kept(served, like), readings, trials)
	}
	a.Table, a.Class, a.Confidence = p.tables[best].drive, p.tables[best].class, served[best]
	if a.Left == 0 {
		a.Confidence = all[best]
	}
	a.Misfits = p.misfits(p.tables[best], trials)
	return a, nil
}

// plan fills in the wiring to try, given the probabilities of the tables that
// can run the motor and which of these to plan for.
func (p *Planner) plan(a *Advice, served []float64, kept []int, readings []Reading, trials []Trial) {
	s := newSearch(p, served, kept)
	a.Left = len(s.tables)
	if w, ok := p.proven(served, trials); ok {
		a.Solved, a.Try, a.Chance = true, p.wirings[w], p.chance(served, w)
		return
	}
	w, c := s.best(p.lastTried(trials))
	a.Try, a.Chance = p.wirings[w], p.chance(served, w)
	a.Expected, a.Worst = c.sum/s.total(s.all()), c.worst
	a.Solved = len(readings) > 0 && p.fitting(readings) == 1
}

// kept returns the tables to plan for.
func (p *Planner) kept(served, like []float64) []int {
	fit := 0.0
	for i, t := range p.tables {
		if t.serves {
			fit = max(fit, like[i])
		}
	}
	var out []int
	for i, share := range served {
		if share > 0 && (like[i] >= minFit*fit || share >= minShare*served[largest(served)]) {
			out = append(out, i)
		}
	}
	return out
}

// proven returns the wiring that was answered with clean-forward, if that can be
// relied on.
func (p *Planner) proven(served []float64, trials []Trial) (wiring int, ok bool) {
	most := minSure
	for _, t := range trials {
		w := p.index(t.Wiring)
		if c := p.chance(served, w); t.Outcome == commutation.CleanForward && c >= most {
			wiring, most, ok = w, c, true
		}
	}
	return wiring, ok
}

// chance returns how probable it is that wiring w runs cleanly forward.
func (p *Planner) chance(served []float64, w int) float64 {
	sum := 0.0
	for i, t := range p.tables {
		if t.does[w] == commutation.CleanForward {
			sum += served[i]
		}
	}
	return math.Min(sum, 1)
}

// fitting counts the tables that the readings leave.
func (p *Planner) fitting(readings []Reading) int {
	n := 0
	for _, t := range p.tables {
		if t.fits(readings) {
			n++
		}
	}
	return n
}

// lastTried returns the wiring that is connected now, as far as is known.
func (p *Planner) lastTried(trials []Trial) commutation.Wiring {
	if len(trials) == 0 {
		return p.wirings[0]
	}
	return trials[len(trials)-1].Wiring
}

func (p *Planner) misfits(t table, trials []Trial) []Misfit {
	var out []Misfit
	for _, trial := range trials {
		if does := t.does[p.index(trial.Wiring)]; trial.Outcome != Unsure && trial.Outcome != does {
			out = append(out, Misfit{trial, does})
		}
	}
	return out
}

// largest returns the index of the largest number, the first of those.
func largest(x []float64) int {
	best := 0
	for i := range x {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}
