package spin

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"handspin/commutation/spin/curve"
)

// Shaft is the back-EMF over a turn of the shaft, which repeats turn by turn
// whatever the magnets are like. Shaft angles grow forward; the shaft is at zero
// where p1's fundamental crosses zero rising for the first time in the part of the
// recording that was used.
type Shaft struct {
	PolePairs int
	// Turns is how far the shaft turned, both ways together.
	Turns float64
	// EMF[n-1] has the leads' phasors of order n of the shaft turn, in the unit
	// and sense of [Result.EMF]: lead k has the imaginary part of
	// EMF[n-1][k] exp(i n angle), per rad/s of the electrical angle. The last
	// order is twice the pole pairs.
	EMF [][3]complex128
	// Cov[n-1] is the covariance of order n's phasors between the leads, the same
	// for real and imaginary parts, which are independent. Orders are almost so.
	Cov [][3][3]float64
	// Floating is true where only differences of the leads were used.
	Floating bool
	// StartDeg is the shaft's angle as that part begins, and
	// IndexDeg at the index pulses, the mean; NaN where there are none.
	StartDeg, IndexDeg float64
	// Borders are the edges of h1 to h3 over the turn.
	Borders [3]Borders
}

// Indexed reports whether index pulses say where the turn begins.
func (s *Shaft) Indexed() bool { return !math.IsNaN(s.IndexDeg) }

// Unevenness is the effective value of the orders beside the fundamental, below twice
// the pole pairs, relative to it: what magnets that differ add to the back-EMF of the
// leads less their mean, so that the reference does not matter. The power that noise
// adds is taken out.
func (s *Shaft) Unevenness() Value {
	var off, one, variance float64
	for n := range 2*s.PolePairs - 1 {
		e, cov := s.EMF[n], s.Cov[n]
		mean := (e[0] + e[1] + e[2]) / 3
		for k := range e {
			x := e[k] - mean
			power := real(x)*real(x) + imag(x)*imag(x)
			if n+1 == s.PolePairs {
				one += power
				continue
			}
			noise := 2.0 / 3 * cov[k][k] // of either part, for leads of equal noise
			off += power - 2*noise
			variance += 4*power*noise + 4*noise*noise
		}
	}
	square, sd := off/one, math.Sqrt(variance)/one
	value := math.Sqrt(math.Max(0, square))
	return Value{value, math.Min(sd/math.Max(2*value, 1e-9), math.Sqrt(sd))}
}

// The reasons why a recording has no [Shaft].
var (
	ErrNoAngle    = errors.New("the back-EMF does not give the rotor's angle")
	ErrSeveral    = errors.New("it takes all three leads in one recording")
	ErrManyPoles  = errors.New("so many poles are not told apart")
	ErrFewTurns   = errors.New("the rotor did not go once round without a pause")
	ErrAstray     = errors.New("the rotor's angle is not sure on all of its way")
	ErrHardlySeen = errors.New("a part of the shaft's turn is hardly seen")
)

// leastShaft is the least part of the shaft's turn that a swing or a spin must go
// through, whatever it turned in all, and mostPairs the most pole pairs, with which
// orders of the turn are told apart.
const (
	leastShaft = 1.05
	mostPairs  = 60
)

// Shaft returns the back-EMF over a turn of the shaft of a rotor with so many pole
// pairs. The error is ErrNoAngle, ErrSeveral, ErrManyPoles, ErrFewTurns,
// ErrAstray or ErrHardlySeen.
func (r *Result) Shaft(pairs int) (*Shaft, error) {
	a := r.only()
	switch {
	case a == nil && len(r.parts) > 1:
		return nil, ErrSeveral
	case a == nil || a.fit == nil || r.EMF == [3]complex128{} || pairs < 1:
		return nil, ErrNoAngle
	case pairs > mostPairs:
		return nil, ErrManyPoles
	}
	runs := a.shaftRuns()
	out := &Shaft{PolePairs: pairs, Floating: a.floating(), IndexDeg: math.NaN()}
	if len(runs) == 0 || runs[0].extent() < leastShaft*float64(pairs) {
		return nil, ErrFewTurns
	}
	x := newShaftFit(a, pairs, runs[0].origin)
	out.Turns = runs[0].turns / float64(pairs)
	if err := x.run(runs[0]); err != nil {
		return nil, err
	}
	x.into(out)
	out.StartDeg = 360 * (runs[0].start - runs[0].origin) / float64(pairs)
	for i := range out.Borders {
		out.Borders[i] = a.borders(i, pairs, runs[0])
	}
	if turns := a.indexTurns(runs[0]); len(turns) > 0 {
		out.IndexDeg = 360 * meanTurn(turns, runs[0].origin, float64(pairs))
	}
	return out, nil
}

// shaftRun is a stretch over which whole turns are counted without doubt.
type shaftRun struct {
	curve.Stretch
	turns    float64 // electrical, both ways together
	from, to float64 // least and greatest angle, in electrical turns
	start    float64 // the stretch's first angle
	origin   float64 // electrical turns at the shaft's zero, a whole number
}

// extent is how far the run goes from its least angle to its greatest, in electrical
// turns: to and fro over the same part of the shaft's turn shows no more of it.
func (r shaftRun) extent() float64 { return r.to - r.from }

// longest bounds the samples of a run: the work grows with them and with the square of
// the orders, and what is uneven comes again with every turn.
const longest = 40_000

// Only the run that went farthest is used. The angle is lost between stretches, so that another
// could be joined by its pattern alone. Where that is not clear, joining would put one magnet's
// pattern on another's, which no average makes good; where it is, one run tells the magnet.

// shaftRuns returns the fitted stretches, long ones in pieces, the one that went
// farthest first, and of these the one that turned most.
func (a *analysis) shaftRuns() []shaftRun {
	var out []shaftRun
	for _, st := range a.fit.Signals.Stretches {
		start := math.NaN()
		for lo := st.Lo; lo < st.Hi; lo += longest {
			run := a.shaftRun(curve.Stretch{Lo: lo, Hi: min(lo+longest, st.Hi)})
			if math.IsNaN(start) {
				start = run.start
			}
			if run.start = start; run.turns > 0 {
				out = append(out, run)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y shaftRun) int {
		return cmp.Or(cmp.Compare(y.extent(), x.extent()), cmp.Compare(y.turns, x.turns))
	})
	return out
}

// shaftRun follows the angle over a stretch.
func (a *analysis) shaftRun(st curve.Stretch) shaftRun {
	run := shaftRun{Stretch: st, from: math.Inf(1), to: math.Inf(-1), start: math.NaN()}
	last := math.NaN()
	for _, t := range a.fit.Signals.Time[st.Lo:st.Hi] {
		deg, _, ok := a.rotor.angleAt(t)
		if !ok {
			continue
		}
		turn := deg / 360
		if math.IsNaN(last) {
			run.start, last = turn, turn
		}
		run.turns += math.Abs(turn - last)
		last, run.from, run.to = turn, min(run.from, turn), max(run.to, turn)
	}
	run.origin = math.Ceil(run.from)
	return run
}
