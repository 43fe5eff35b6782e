package winding

import "math"

// What shares of the turns are faults. Nearer to the sound winding than leastFar
// standard deviations of the model's limits a share is what sound motors show, too. A
// coil without more than mostOfCoil is called missing. A phase has mostMore of its turns
// too many by a miscount (common practice: a few turns in twenty), and up to mostFewer
// too few, since several coils of it may have lost some.
const (
	leastFar   = 5
	mostOfCoil = 0.9
	mostMore   = 0.25
	mostFewer  = 0.5
)

// shareStep is the step, in standard deviations, by which shares are summed over. The
// likelihood is a bell at least one wide, of which a sum at halves is the integral to
// far less than one in 10^8 (trapezoidal rule).
const shareStep = 0.5

// part is a fault of a part of the turns, with the shares that are tried.
type part struct {
	Fault
	shares []float64
}

// partial reports whether a share of turns belongs to the fault.
func (f Fault) partial() bool { return f.Kind == PhaseTurns || f.Kind == CoilPart }

// whole returns the fault that a share of one would be.
func (f Fault) whole() Fault {
	f.Kind = map[Kind]Kind{PhaseTurns: PhaseOpen, CoilPart: CoilMissing}[f.Kind]
	return f
}

// emf returns the phasors with a fault, relative to phase A of l.
//
// A phase's back-EMF is the sum over its turns, which are in series. Without the share
// x of a coil's turns the sum lacks x of that coil's phasor, and so for a phase: it is
// on the straight line from the sound phasors, at 0, to those without the coil or the
// phase, at 1. Turns that are shorted link the same flux, but what they induce drives
// a current in the short and does not reach the leads; at the speed of a hand that
// current is taken to change nothing else.
func (l Layout) emf(f Fault) [3]complex128 {
	if !f.partial() {
		return l.With(f).EMF(l)
	}
	sound, lost := l.EMF(l), l.With(f.whole()).EMF(l)
	for i := range sound {
		sound[i] += complex(f.Share, 0) * (lost[i] - sound[i])
	}
	return sound
}

// parts returns the faults of a part of the turns; without those of coils that are
// too small a part of their phase to show.
func (l Layout) parts(floating bool) []part {
	near, err := newWhitener(Measured{EMF: l.Predict(Fault{}, floating), Floating: floating}, l, eccentricSD)
	if err != nil {
		return nil
	}
	var all []part
	add := func(f Fault) {
		if shares := l.shares(f, floating, near); len(shares) > 0 {
			all = append(all, part{f, shares})
		}
	}
	for phase := range 3 {
		add(newFault(PhaseTurns, phase))
	}
	for k, c := range l.Coils {
		if c.Sense != 0 {
			add(newFault(CoilPart, c.Phase, k))
		}
	}
	return all
}

// shares returns the shares of a fault's turns that are tried, evenly apart; near
// whitens what a sound winding shows.
func (l Layout) shares(f Fault, floating bool, near *whitener) []float64 {
	if f.Kind == PhaseTurns {
		return append(l.upTo(mostFewer, f, floating, near), l.upTo(-mostMore, f, floating, near)...)
	}
	return l.upTo(mostOfCoil, f, floating, near)
}

// upTo returns the shares from the least to the most that is given, of its sign.
func (l Layout) upTo(most float64, f Fault, floating bool, near *whitener) []float64 {
	least := most
	for range 4 { // distances grow nearly as the share
		f.Share = least
		least *= leastFar / math.Sqrt(near.residual(l.Predict(f, floating)))
	}
	var all []float64
	for x := least; math.Abs(x) <= math.Abs(most); x += least / leastFar * shareStep {
		all = append(all, x)
	}
	return all
}

// group returns the group of a fault of a part of the turns, with the mean of its
// share and that's standard deviation: the least distance, and as its evidence the mean
// of the likelihood over all shares relative to the best one's, since before measuring
// they are alike.
func (p part) group(l Layout, floating bool, distance func([3]complex128) float64) Group {
	far := make([]float64, len(p.shares))
	f, g := p.Fault, Group{Chi2: math.Inf(1)}
	for i, x := range p.shares {
		f.Share = x
		far[i] = distance(l.Predict(f, floating))
		g.Chi2 = min(g.Chi2, far[i])
	}
	sum, first, second := 0.0, 0.0, 0.0
	for i, x := range p.shares {
		w := math.Exp((g.Chi2 - far[i]) / 2)
		sum, first, second = sum+w, first+w*x, second+w*x*x
	}
	f.Share = first / sum
	f.ShareSD = math.Sqrt(max(second/sum-f.Share*f.Share, 0))
	g.evidence = sum / float64(len(p.shares))
	g.Faults = []Fault{f}
	return g
}
