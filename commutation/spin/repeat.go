package spin

import (
	"math"
	"slices"

	"handspin/commutation/spin/ridge"
)

// Magnets are never quite alike, and what they differ by comes again with every
// turn of the shaft. Where that stands out of the noise it tells how many pole
// pairs there are.

// mark is one observation of a pole as it passes: a deviation from the mean of all
// poles, in any unit, with a weight.
type mark struct {
	pole          int // counted over the turns
	value, weight float64
}

// marks are what a recording shows of single poles, series by series: the back-EMF's
// sine and cosine part of each half wave of each channel, and each sensor's edges in
// either direction, and where it has none.
func (a *analysis) marks(run shaftRun) [][]mark {
	var out [][]mark
	for c := range a.fit.Signals.Channels {
		sin, cos := a.halfWaves(c, run)
		out = append(out, sin, cos)
	}
	for i := range a.data {
		ahead, back := a.edgeMarks(i, run)
		out = append(out, ahead, back, a.seenMarks(i, run))
	}
	return out
}

// seenMarks are 1 for each border that sensor i changes at, and 0 for each that is passed
// without: where neighbouring magnets show the same pole.
func (a *analysis) seenMarks(i int, run shaftRun) []mark {
	var out []mark
	all := a.passages(i, run)
	for k, e := range all {
		out = append(out, mark{e.border, 1, 1})
		if k == 0 || all[k-1].forward != e.forward {
			continue
		}
		from, to := min(all[k-1].border, e.border), max(all[k-1].border, e.border)
		for missed := from + 1; missed < to; missed++ {
			out = append(out, mark{missed, 0, 1})
		}
	}
	return out
}

// halfWave collects the regression of a half wave's residuals.
type halfWave struct{ ss, sr, cc, cr float64 }

// halfWaves returns by how much each half wave of channel c differs from the mean
// one, in its sine part and its cosine part.
func (a *analysis) halfWaves(c int, run shaftRun) (sin, cos []mark) {
	f := a.fit
	waves := map[int]*halfWave{}
	for i := run.Lo; i < run.Hi; i++ {
		e := f.Residual[c][i]
		deg, rate, ok := a.rotor.angleAt(f.Signals.Time[i])
		if math.IsNaN(e) || !ok {
			continue
		}
		pole := int(math.Floor(deg / 180))
		h := waves[pole]
		if h == nil {
			h = &halfWave{}
			waves[pole] = h
		}
		s, co := math.Sincos(deg * math.Pi / 180)
		w := rate * math.Pi / 180
		h.ss, h.sr = h.ss+w*w*s*s, h.sr+w*s*e
		h.cc, h.cr = h.cc+w*w*co*co, h.cr+w*co*e
	}
	for pole, h := range waves {
		if h.ss > 0 && h.cc > 0.3*h.ss && h.cc < 3*h.ss { // seen as a whole
			sin = append(sin, mark{pole, h.sr / h.ss, h.ss})
			cos = append(cos, mark{pole, h.cr / h.cc, h.cc})
		}
	}
	return sin, cos
}

// edgeMarks returns the edges of sensor i, turning forward and backward.
func (a *analysis) edgeMarks(i int, run shaftRun) (ahead, back []mark) {
	for _, e := range a.passages(i, run) {
		m := mark{e.border, e.late, 1}
		if e.forward {
			ahead = append(ahead, m)
		} else {
			back = append(back, m)
		}
	}
	return ahead, back
}

// The evidence, in units of twice the log likelihood, that the best number of pole
// pairs must have over none and over any other that is not a multiple of it.
const (
	repeatSure   = 30.0
	repeatClear  = 12.0
	repeatPasses = 2.2 // of each pole, at least
)

// FindPolePairs returns the number of electrical turns between two index pulses, or else
// the number of pole pairs after which what poles differ by repeats; 0 where nothing repeats
// clearly, the rotor turned less than about twice, or so steadily that it may be time and
// not the shaft that repeats.
// A winding that is the same after a half or a third turn of the shaft shows the
// poles' sum, and bends the angle at which the sensors seem to change: certain is
// false where the sensors do not tell, or the turns are too few for a multiple of that
// number to show.
func (r *Result) FindPolePairs() (pairs int, certain bool) {
	a := r.only()
	if a == nil || a.fit == nil || a.rotor == nil {
		return 0, false
	}
	runs := a.shaftRuns()
	if len(runs) == 0 {
		return 0, false
	}
	if pairs = betweenPulses(a.indexTurns(runs[0])); pairs > 0 {
		return pairs, true
	}
	marks, most := a.marks(runs[0]), int(runs[0].extent()/repeatPasses)
	if pairs = repetition(marks, most); pairs == 0 || a.steady(runs[0], pairs) {
		return 0, false
	}
	sensors := repetition(marks[2*len(a.fit.Signals.Channels):], most)
	if sensors%pairs == 0 { // they see each magnet, where a winding may see several at once
		pairs = max(pairs, sensors)
	}
	seen := 3*pairs <= most || 2*pairs <= most && 3*pairs > usualPairs || 2*pairs > usualPairs
	return pairs, seen && sensors == pairs
}

// steady reports whether the rotor turned so evenly that what comes again by time, as a
// ripple of a drill's speed does, comes again by the angle too: in nine tenths of the run
// the angle leaves the straight line by less than a quarter of the turn that repeats, at
// which such a ripple would be smeared out.
func (a *analysis) steady(run shaftRun, pairs int) bool {
	const places = 4000 // that are looked at
	var line ridge.Ridge
	var times, turns []float64
	sig := a.fit.Signals
	for i := run.Lo; i < run.Hi; i += max(1, (run.Hi-run.Lo)/places) {
		if deg, _, ok := a.rotor.angleAt(sig.Time[i]); ok {
			times, turns = append(times, sig.Time[i]-sig.Time[run.Lo]), append(turns, deg/360-run.origin)
			line.Add([]float64{1, times[len(times)-1]}, turns[len(turns)-1])
		}
	}
	x := line.Solve()
	if x == nil {
		return true
	}
	for i, t := range times {
		turns[i] = math.Abs(turns[i] - x[0] - x[1]*t)
	}
	slices.Sort(turns)
	return turns[len(turns)*9/10] < float64(pairs)/4
}

// leastPairs is the least number of pole pairs that repeats are looked for.
const leastPairs = 2

// usualPairs is more pole pairs than a motor turned by hand has (common practice). A
// multiple up to that must have had the turns to show.
const usualPairs = 40

// repetition returns the number of pole pairs, up to most, after which the marks
// repeat; 0 for none.
func repetition(series [][]mark, most int) int {
	most = max(min(most, mostPairs), 0)
	score := make([]float64, most+1)
	best := 0
	for p := 1; p <= most; p++ {
		for _, marks := range series {
			score[p] += repeats(marks, 2*p)
		}
		if score[p] > score[best] {
			best = p
		}
	}
	if best < leastPairs || score[best] < repeatSure {
		return 0
	}
	for p := 1; p <= most; p++ {
		if p%best != 0 && score[p] > score[best]-repeatClear {
			return 0
		}
	}
	return best
}

// repeats returns the evidence that marks repeat every so many poles: Schwarz's
// criterion for a mean for each pole against one mean, with Gaussian scatter of
// unknown size.
func repeats(marks []mark, poles int) float64 {
	if len(marks) < poles {
		return 0
	}
	type group struct{ weight, sum, square float64 }
	groups := make([]group, poles)
	var all group
	for _, m := range marks {
		for _, g := range []*group{&all, &groups[((m.pole%poles)+poles)%poles]} {
			g.weight += m.weight
			g.sum += m.weight * m.value
			g.square += m.weight * m.value * m.value
		}
	}
	left := func(g group) float64 {
		if g.weight == 0 {
			return 0
		}
		return max(0, g.square-g.sum*g.sum/g.weight)
	}
	within, used := 0.0, -1
	for _, g := range groups {
		within += left(g)
		if g.weight > 0 {
			used++
		}
	}
	n := float64(len(marks))
	total := left(all)
	if total == 0 {
		return 0
	}
	return n*math.Log(total/max(within, 1e-6*total)) - float64(used)*math.Log(n)
}
