package proof

import (
	"maps"
	"math"
	"slices"

	"handspin/commutation"
)

// The targets that figures are held against.
const (
	MostWrong    = 1e-4 // of the ranked lists, in the first three places
	MostNeedless = 0.02 // of the sound recordings of three turns or more
)

// Figures are what many outcomes say.
type Figures struct {
	// Ranked is of all; Right of those ranked whose first three places hold,
	// and Exact of those ranked that name exactly the true clean wirings.
	Ranked, Right, Exact Share
	// Abstained is of the recordings that must not be ranked, Needless of the
	// sound ones of three turns or more, Named of the abstentions that name a
	// reason.
	Abstained, Needless, Named Share
	// Wrong are the outcomes with a wrong list called ranked, Unheld those that
	// were ranked and must not be.
	Wrong, Unheld []Outcome
	// Reasons counts the needless abstentions by finding.
	Reasons map[string]int
	// Kinds, Signal and Length group the sound recordings by kind, by SNR and
	// by turns; the classes of the latter two end at SNRs and Turns.
	Kinds          map[string]*Group
	Signal, Length []Group
	Bins           []Bin
}

// SNRs and TurnCounts are where the classes of the groups end.
var (
	SNRs       = []float64{2, 5, 10, 20, 50, 100, 200, math.Inf(1)}
	TurnCounts = []float64{1, 2, 3, 5, 10, 30, 60, 120, math.Inf(1)}
)

// Group is the recordings of one class, without those that have to be repaired.
type Group struct {
	Ranked       Share
	Edge, Phase  Spread // electrical degrees
	edges, angle []float64
}

// Spread is the distribution of a recording's largest error.
type Spread struct{ Median, P95, Worst float64 }

// spread returns the quantiles of x by the nearest rank, NaN of none.
func spread(x []float64) Spread {
	if len(x) == 0 {
		return Spread{math.NaN(), math.NaN(), math.NaN()}
	}
	slices.Sort(x)
	at := func(q float64) float64 { return x[max(int(math.Ceil(q*float64(len(x))))-1, 0)] }
	return Spread{at(0.5), at(0.95), x[len(x)-1]}
}

// Sum returns the figures of outcomes.
func Sum(all []Outcome) Figures {
	f := Figures{
		Reasons: map[string]int{}, Kinds: map[string]*Group{},
		Signal: make([]Group, len(SNRs)), Length: make([]Group, len(TurnCounts)),
		Bins: bins(),
	}
	for _, o := range all {
		f.count(o)
		f.group(o)
		f.bin(o)
	}
	for _, g := range slices.Collect(maps.Values(f.Kinds)) {
		g.finish()
	}
	for i := range f.Signal {
		f.Signal[i].finish()
	}
	for i := range f.Length {
		f.Length[i].finish()
	}
	return f
}

func (f *Figures) count(o Outcome) {
	ranked := o.Verdict == commutation.Ranked
	f.Ranked.Count(ranked)
	if ranked {
		f.Right.Count(o.Wrong == 0)
		f.Exact.Count(o.Exact)
		if o.Wrong > 0 {
			f.Wrong = append(f.Wrong, o)
		}
	} else {
		f.Named.Count(len(o.Reasons) > 0)
	}
	switch {
	case o.Expect == Must:
		f.Abstained.Count(!ranked)
		if ranked {
			f.Unheld = append(f.Unheld, o)
		}
	case o.Expect == Sound:
		f.Needless.Count(!ranked)
		for _, code := range o.Reasons {
			if !ranked {
				f.Reasons[code]++
			}
		}
	}
}

// group adds an outcome to its groups. Those that must not be ranked are left
// out: a stuck sensor has no angle to be wrong about.
func (f *Figures) group(o Outcome) {
	if o.Expect == Must {
		return
	}
	if o.Faults == "" {
		if f.Kinds[o.Kind] == nil {
			f.Kinds[o.Kind] = &Group{}
		}
		f.Kinds[o.Kind].add(o)
	}
	class := func(x float64, ends []float64) int {
		return slices.IndexFunc(ends, func(end float64) bool { return x <= end })
	}
	f.Signal[class(o.SNR, SNRs)].add(o)
	f.Length[class(o.Turns, TurnCounts)].add(o)
}

// add counts an outcome; the errors are of ranked ones only, whose angles are
// claimed.
func (g *Group) add(o Outcome) {
	ranked := o.Verdict == commutation.Ranked
	g.Ranked.Count(ranked)
	if ranked && !math.IsNaN(o.EdgeDeg) && !math.IsNaN(o.PhaseDeg) {
		g.edges, g.angle = append(g.edges, o.EdgeDeg), append(g.angle, o.PhaseDeg)
	}
}

func (g *Group) finish() { g.Edge, g.Phase = spread(g.edges), spread(g.angle) }

// Shortfalls name the figures that miss their targets.
func (f Figures) Shortfalls() []string {
	var out []string
	if f.Right.All > 0 && 1-f.Right.Value() > MostWrong {
		out = append(out, "too many ranked lists are wrong in their first three places")
	}
	if f.Needless.Value() > MostNeedless {
		out = append(out, "too many sound recordings were not ranked")
	}
	if f.Named.Of < f.Named.All {
		out = append(out, "an abstention names no reason")
	}
	for _, b := range f.Bins {
		if b.off() {
			out = append(out, "confidences from "+b.Name()+" are not borne out")
		}
	}
	return out
}
