package spin

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// What the Hall leads tell of the turning by themselves. One of them may bounce, tremble on
// an edge or be stuck, so no lead is believed alone.

// change is a change of a Hall lead's level.
type change struct {
	time float64
	lead int
}

// changes returns the changes of all Hall leads in the order of time.
func (a *analysis) changes() []change {
	var out []change
	for lead := range a.data {
		for _, runs := range runsOf(a.rec, lead, emf.GapLimit(a.rec)) {
			for _, r := range runs[1:] {
				out = append(out, change{r.start, lead})
			}
		}
	}
	slices.SortStableFunc(out, func(x, y change) int { return cmp.Compare(x.time, y.time) })
	return out
}

// aliveLeads returns the Hall leads that change regularly, as bits, and their number. A lead
// that changes far less often than the busiest one is not alive. What a lead does between
// two changes of others is one change or none, whatever it does there: a sensor that bounces
// is not busier than the others. One that changes alone has nothing to be compared with.
func (a *analysis) aliveLeads() (mask capture.Levels, n int) {
	all := a.changes()
	var counts [3]int
	for lo, hi := 0, 0; lo < len(all); lo = hi {
		for hi < len(all) && all[hi].lead == all[lo].lead {
			hi++
		}
		if alone := hi-lo == len(all); alone {
			counts[all[lo].lead] = len(all)
		} else {
			counts[all[lo].lead] += (hi - lo) % 2
		}
	}
	for i, c := range counts {
		if c >= 4 && 3*c >= slices.Max(counts[:]) {
			mask |= 4 >> i
			n++
		}
	}
	return mask, n
}

// leastSamples is how many samples a turn needs at least; at fewer than two a
// fast rotor looks like a slow one.
const leastSamples = 4

// undersampled reports whether the sensors show electrical turns of fewer than leastSamples
// samples, for a fifth of the time or more. Of three sensors the middle one is believed: one
// that bounces seems faster than the rotor is, one that misses pulses slower. Of two the
// faster one is, since turns that are not seen are the greater harm.
func (a *analysis) undersampled() bool {
	if len(a.rec.Columns) == 0 {
		return false
	}
	var visited [3][]visit
	most := 0
	for lead := range visited {
		visited[lead] = visits(a.rec, 4>>lead)
		most = max(most, len(visited[lead]))
	}
	var turns []float64
	for _, v := range visited {
		if stray := 10*len(v) < most; !stray && len(v) > 4 {
			turns = append(turns, fastTurn(v))
		}
	}
	slices.Sort(turns)
	return len(turns) > 0 && turns[(len(turns)-1)/2] < leastSamples*emf.SampleInterval(a.rec)
}

// reportTooFast is for an undersampled recording.
func (a *analysis) reportTooFast() {
	a.find("too-fast", commutation.Data, "", fmt.Sprintf("the rotor turned too fast for the sampling: fewer than %d samples in an electrical turn", leastSamples),
		"turn more slowly, or sample faster")
}

// fastTurn returns the length in s that a fifth of the turning, by time, at most takes for an
// electrical turn, from one lead's stays at its levels. By time, since bounces are many but
// short.
func fastTurn(v []visit) float64 {
	var turns []float64
	total := 0.0
	for i := 1; i < len(v); i++ {
		if v[i-1].group == v[i].group {
			turn := length(v[i-1]) + length(v[i])
			turns, total = append(turns, turn), total+turn
		}
	}
	slices.Sort(turns)
	passed := 0.0
	for _, turn := range turns {
		if passed += turn; passed >= total/5 {
			return turn
		}
	}
	return math.Inf(1)
}
