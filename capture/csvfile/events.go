package csvfile

import (
	"math"
	"slices"
)

// Shares of the rows of a file without phase columns. Nearly all rows change the
// Hall levels where a row stands for a change; the rest are changes of something
// that is not recorded. A clock is steady where nearly all steps are near the
// middle one.
const (
	shareChanges = 0.95
	shareSteady  = 0.9
	nearStep     = 0.25
)

// setEvents decides for a file without phase columns whether its rows are
// samples or changes, each stamped when it happened.
func (r *reader) setEvents() {
	switch {
	case r.opt.SampleRate != 0:
	case r.changes() < shareChanges && r.steady():
		r.note("the rows are taken for samples, since they come at a steady rate")
	default:
		for i := range r.rec.Edge {
			r.rec.Edge[i] = true
		}
		r.note("each row is taken for a change of the Hall levels, stamped when it happened")
	}
}

// changes returns the share of the rows, after the first, whose levels are not
// those of the row before.
func (r *reader) changes() float64 {
	n := 0
	for i, l := range r.rec.Hall[1:] {
		if l != r.rec.Hall[i] {
			n++
		}
	}
	return float64(n) / float64(len(r.rec.Hall)-1)
}

// steady reports whether the rows come at a steady rate.
func (r *reader) steady() bool {
	steps := make([]float64, len(r.rec.Time)-1)
	for i := range steps {
		steps[i] = r.rec.Time[i+1] - r.rec.Time[i]
	}
	slices.Sort(steps)
	middle := steps[len(steps)/2]
	n := 0
	for _, s := range steps {
		if math.Abs(s-middle) <= nearStep*middle {
			n++
		}
	}
	return float64(n) >= shareSteady*float64(len(steps))
}
