package trial

import (
	"math"
	"slices"

	"handspin/commutation"
)

// search finds the wiring that leads to a clean forward run with the fewest
// trials in the mean, if all answers are right. It is exact: it goes through
// every wiring after every possible answer.
//
// Right answers cut the tables that are left into those that would have given
// the one answer and those that would have given another. So what matters of the
// past is only which tables are left, and the best cost of each such set is
// computed once.
type search struct {
	p *Planner
	// tables are the places in p.tables of those that count, weight their
	// probabilities.
	tables []int
	weight []float64
	// choices are wirings of which no two are alike.
	choices []int
	known   map[set]cost
}

// set has the bit i set where s.tables[i] is left.
type set uint32

// cost is what it takes until a wiring runs cleanly forward: the sum over the
// tables of weight times trials, and the most trials.
type cost struct {
	sum   float64
	worst int
}

var never = cost{math.Inf(1), math.MaxInt}

func newSearch(p *Planner, served []float64, kept []int) *search {
	s := &search{p: p, tables: kept, known: map[set]cost{}}
	for _, i := range kept {
		s.weight = append(s.weight, served[i])
	}
	for w := range p.wirings {
		if !slices.ContainsFunc(s.choices, func(v int) bool { return p.alike(v, w) }) {
			s.choices = append(s.choices, w)
		}
	}
	return s
}

func (s *search) all() set { return 1<<len(s.tables) - 1 }

// total returns the weight of a set.
func (s *search) total(left set) float64 {
	sum := 0.0
	for i, weight := range s.weight {
		if left>>i&1 == 1 {
			sum += weight
		}
	}
	return sum
}

// best returns the wiring to try: of those with the least cost that with the
// greatest chance, and of those the one that is reached with the fewest
// exchanges of leads from the wiring that is connected. It is none of skipped,
// nor alike to one, unless there is no other; -1 where no trial tells anything.
func (s *search) best(connected commutation.Wiring, skipped []int) (int, cost) {
	const rounding = 1e-9
	best, bestCost, bestChance, bestMoves := -1, never, 0.0, 0
	for w, wiring := range s.p.wirings {
		if slices.ContainsFunc(skipped, func(v int) bool { return s.p.alike(v, w) }) {
			continue
		}
		c := s.after(s.all(), w)
		chance := s.total(s.split(s.all(), w)[commutation.CleanForward])
		moves := len(commutation.Swaps(connected, wiring))
		better := c.sum < bestCost.sum-rounding
		if !better && c.sum <= bestCost.sum+rounding {
			better = chance > bestChance+rounding || chance > bestChance-rounding && moves < bestMoves
		}
		if better {
			best, bestCost, bestChance, bestMoves = w, c, chance, moves
		}
	}
	if best < 0 && len(skipped) > 0 {
		return s.best(connected, nil)
	}
	return best, bestCost
}

// of returns the least cost from a set of tables on.
func (s *search) of(left set) cost {
	if c, ok := s.known[left]; ok {
		return c
	}
	best := never
	for _, w := range s.choices {
		if c := s.after(left, w); c.sum < best.sum {
			best = c
		}
	}
	s.known[left] = best
	return best
}

// after returns the least cost that begins with a trial of wiring w; never where
// that trial would tell nothing.
func (s *search) after(left set, w int) cost {
	c := cost{s.total(left), 1}
	for b, rest := range s.split(left, w) {
		if b == commutation.CleanForward {
			continue
		}
		if rest == left {
			return never
		}
		more := s.of(rest)
		c.sum += more.sum
		c.worst = max(c.worst, 1+more.worst)
	}
	return c
}

// split cuts a set by what the motor would do with wiring w.
func (s *search) split(left set, w int) map[commutation.Behaviour]set {
	parts := map[commutation.Behaviour]set{}
	for i, table := range s.tables {
		if left>>i&1 == 1 {
			parts[s.p.tables[table].does[w]] |= 1 << i
		}
	}
	return parts
}
