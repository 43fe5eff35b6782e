package trial

import (
	"cmp"
	"math"
	"slices"

	"handspin/commutation"
)

// Advice is what to try next and what is known of the controller.
type Advice struct {
	// Try is the wiring to power next, or the one to keep where Solved. It
	// means nothing where Left is 0.
	Try commutation.Wiring
	// Chance is the probability that Try runs cleanly forward.
	Chance float64
	// Check is, where Proven, the wiring whose trial tells most about whether
	// the answer that ended the search was right; CheckDoes is what the motor
	// should do with it then.
	Check     commutation.Wiring
	CheckDoes commutation.Behaviour
	// Left counts the tables that can run the motor and are still of some
	// probability; 0 where it is as good as certain (by [Sure]) that the
	// controller has none of them.
	Left int
	// Expected is the mean and Worst the greatest number of trials from here
	// to a clean forward run, both if all answers from here on are right and
	// the controller has a table that can run the motor.
	Expected float64
	Worst    int
	// Solved is true where the search is over: a trial was answered with clean
	// forward (Proven), which is probably right, or the readings fit one table
	// only. Chance says how sure that is.
	Solved, Proven bool
	// Tables are the controller's possible ones, the most probable first, but
	// for those below [minShown].
	Tables []Candidate
	// Telling is the state at which those tables differ most; false where they
	// do not.
	Telling commutation.State
	Differ  bool
	// Unserved is the probability that the controller has no table from which
	// a wiring runs the motor cleanly; NoTable the part of it for a controller
	// that has none of the tables, as a faulty one.
	Unserved, NoTable float64
	// Misfits are the trials whose outcome is not what the most probable table
	// that can run the motor would have given, and Misread the readings that it
	// would not have. Of two answers about one wiring both are listed where they
	// differ.
	Misfits []Misfit
	Misread []Reading
}

// Candidate is a table that the controller may have, with its probability.
type Candidate struct {
	Table       commutation.DriveTable
	Class       commutation.Class
	Probability float64
	// Serves is true where a wiring runs the motor cleanly from it.
	Serves bool
}

// Misfit is a trial and what it should have shown.
type Misfit struct {
	Trial Trial
	Does  commutation.Behaviour
}

// Sure is how probable something has to be to be taken for certain.
const Sure = 0.95

const (
	// minSure is how probable it has to be that a trial answered with
	// clean-forward was one for the search to be over. The first answer, without
	// any other evidence and with equal weights, is worth 0.56: of three tables
	// that explain it, two need a weak wiring that passed for a clean one.
	minSure = 0.5
	// minRead is the same for a wiring that only the readings call for.
	minRead = 0.8
	// minShown is the least probability of a table that is listed.
	minShown = 0.01
	// A table is kept in the plan if it explains the answers, relative to the
	// one that does so best, with minFit at least, which allows for the common
	// mistake of taking weak for clean and for no other; or if, rarely or not,
	// it has at least minShare of the likeliest table's probability.
	minFit   = 0.08
	minShare = 0.2
	// patience is how many like answers about one wiring it takes to try another.
	patience = 2
)

// Next returns what to do after the given readings of the controller and trials,
// in the order in which they were made.
func (p *Planner) Next(readings []Reading, trials []Trial) Advice {
	like := p.likelihoods(readings, trials)
	all := p.posterior(like)
	served := make([]float64, len(p.tables))
	a := Advice{Unserved: 1, NoTable: all[len(p.tables)]}
	for i, t := range p.tables {
		if t.serves {
			served[i] = all[i]
			a.Unserved -= all[i]
		}
	}
	a.Unserved = min(max(a.Unserved, 0), 1)
	a.candidates(p, all)
	served = normal(served)
	best := largest(served)
	if a.Unserved < Sure {
		p.plan(&a, served, p.kept(served, like), readings, trials)
		a.Chance *= 1 - a.Unserved
	}
	a.Misfits, a.Misread = p.misfits(p.tables[best], trials), p.tables[best].misread(readings)
	return a
}

// plan fills in the wiring to try, given the probabilities of the tables that
// can run the motor and which of these to plan for. The chance is for when the
// controller has one of them.
func (p *Planner) plan(a *Advice, served []float64, kept []int, readings []Reading, trials []Trial) {
	s := newSearch(p, served, kept)
	a.Left = len(s.tables)
	if w, ok := p.proven(served, trials); ok {
		a.Solved, a.Proven, a.Try, a.Chance = true, true, p.wirings[w], p.chance(served, w, trials)
		c := p.telling(readings, trials)
		a.Check, a.CheckDoes = p.wirings[c], p.tables[largest(served)].does[c]
		return
	}
	exhausted := p.exhausted(trials)
	w, c := s.best(p.lastTried(trials), exhausted)
	if slices.Contains(exhausted, w) || p.clear(w, trials) && p.chance(served, w, trials) < minSure {
		w = p.telling(readings, trials)
	}
	a.Try, a.Chance = p.wirings[w], p.chance(served, w, trials)
	a.Expected, a.Worst = c.sum/s.total(s.all()), c.worst
	a.Solved = len(readings) > 0 && p.fitting(readings) == 1 && a.Chance >= minRead
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

// proven returns the wiring of which the last answer was clean-forward, if that can be
// relied on. Whoever calls nothing clean is led by the directions: then it is one that was
// called weak again and again, if all answers together leave no other.
func (p *Planner) proven(served []float64, trials []Trial) (wiring int, ok bool) {
	most, latest := minSure, map[int]commutation.Behaviour{}
	for _, t := range trials {
		latest[p.index(t.Wiring)] = t.Outcome
	}
	exhausted := p.exhausted(trials)
	for _, w := range p.tried(trials) {
		c := p.chance(served, w, trials)
		rough := latest[w] == commutation.WeakForward && c >= Sure && slices.Contains(exhausted, w)
		if c >= most && (latest[w] == commutation.CleanForward || rough) {
			wiring, most, ok = w, c, true
		}
	}
	return wiring, ok
}

// chance returns how probable it is that wiring w runs cleanly forward, given
// the probabilities of the tables and what was answered about w.
func (p *Planner) chance(served []float64, w int, trials []Trial) float64 {
	sum := 0.0
	for i, share := range served {
		if share > 0 {
			sum += share * p.cleanOf(p.tables[i], w, trials)
		}
	}
	return math.Min(sum, 1)
}

// exhausted returns the wirings that were given the same answer often enough: one more trial
// of theirs tells nothing.
func (p *Planner) exhausted(trials []Trial) []int {
	counts := map[Trial]int{}
	var out []int
	for _, t := range trials {
		same := Trial{Wiring: t.Wiring, Outcome: t.Outcome}
		if counts[same]++; counts[same] == patience {
			out = append(out, p.index(t.Wiring))
		}
	}
	return out
}

// clear reports whether the person could tell what wiring w does.
func (p *Planner) clear(w int, trials []Trial) bool {
	return slices.ContainsFunc(trials, func(t Trial) bool { return p.index(t.Wiring) == w && t.Outcome != Unsure })
}

// fitting counts the tables that all the readings leave.
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

func (t table) misread(readings []Reading) []Reading {
	var out []Reading
	for _, r := range readings {
		if !r.fits(t.drive) {
			out = append(out, r)
		}
	}
	return out
}

// candidates lists the possible tables, given the probabilities of all, and the
// state that tells most about them: the one at which two controllers drawn from
// the list least often drive the same.
func (a *Advice) candidates(p *Planner, all []float64) {
	for i, t := range p.tables {
		if all[i] >= minShown {
			a.Tables = append(a.Tables, Candidate{t.drive, t.class, all[i], t.serves})
		}
	}
	slices.SortStableFunc(a.Tables, func(x, y Candidate) int { return cmp.Compare(y.Probability, x.Probability) })
	const rounding = 1e-9
	least := alikeAt(a.Tables, 0)
	for s := range commutation.State(8) {
		if n := alikeAt(a.Tables, s); n < least-rounding {
			least, a.Telling = n, s
		}
	}
	total := 0.0
	for _, c := range a.Tables {
		total += c.Probability
	}
	a.Differ = least < total*total-rounding
}

// alikeAt returns how probable it is that two controllers drawn from the list do
// the same at a state.
func alikeAt(list []Candidate, s commutation.State) float64 {
	shares := map[commutation.Drive]float64{}
	off := 0.0
	for _, c := range list {
		if d, ok := c.Table.At(s); ok {
			shares[d] += c.Probability
		} else {
			off += c.Probability
		}
	}
	sum := off * off
	for _, share := range shares {
		sum += share * share
	}
	return sum
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
