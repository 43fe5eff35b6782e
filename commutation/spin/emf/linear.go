package emf

import (
	"math"
	"sort"

	"handspin/capture/cores"
)

// huber is the residual, in standard deviations, from which a sample counts
// linearly rather than by its square: a glitch must not pull the angle.
const huber = 4.0

// linearise computes cost, residuals, gradient and normal matrix, pieces of the
// recording side by side. A piece shares coefficients with those before and after
// it, so that every other one is done first, and then the rest.
func (f *Fit) linearise() {
	n := f.normal
	n.clear()
	f.cost = f.Angle.Roughness(f.rough, n.gBand) + f.expectHarmonics()
	for from := range 2 {
		cores.Each((len(f.pieces)-from+1)/2, func(k int) { f.addPiece(&f.pieces[2*k+from]) })
	}
	for i := range f.pieces { // in their order, so that rounding is always the same
		n.join(&f.pieces[i].sum)
		f.cost += f.pieces[i].cost
	}
	f.Angle.Penalise(n.band, f.rough)
}

// piece is a run of samples [lo, hi) and what they add to cost and waves.
type piece struct {
	lo, hi int
	sum    waveSums
	cost   float64
}

// A piece has pieceKnots knots or more, and a recording not many more than
// mostPieces of them, whatever the number of cores.
const (
	pieceKnots = 64
	mostPieces = 64
)

// cut cuts the stretches into pieces.
func (f *Fit) cut() []piece {
	var out []piece
	knots := float64(max(pieceKnots, len(f.Angle.Coef)/mostPieces))
	for k, st := range f.Signals.Stretches {
		end := f.Angle.Chains[k].Start
		for lo := st.Lo; lo < st.Hi; {
			end += knots * f.Angle.Spacing
			hi := lo + sort.SearchFloat64s(f.Signals.Time[lo:st.Hi], end)
			if hi > lo {
				out = append(out, piece{lo: lo, hi: hi, sum: newWaveSums(f.PerChannel() * len(f.Signals.Channels))})
			}
			lo = hi
		}
	}
	return out
}

// addPiece adds a piece's samples.
func (f *Fit) addPiece(p *piece) {
	p.sum.clear()
	row, cost := newRow(f.Orders), 0.0
	for i := p.lo; i < p.hi; i++ {
		row.moveTo(f.Angle, f.Angle.Locate(f.Signals.Time[i]))
		for c := range f.Signals.Channels {
			cost += f.add(row, &p.sum, i, c)
		}
	}
	p.cost = cost
}

// add adds sample i of channel c to the normal equations, those of the waves to
// sum, and returns its cost.
func (f *Fit) add(r *row, sum *waveSums, i, c int) (cost float64) {
	ch := &f.Signals.Channels[c]
	f.Residual[c][i] = math.NaN()
	v := ch.Value[i]
	if math.IsNaN(v) {
		return 0
	}
	model := r.model(f.Wave[c], ch.Skew)
	e := v - model
	sigma := f.SD[c][i]
	if ch.Bound != nil {
		switch b := ch.Bound[i]; {
		case b == AtMost && e >= 0, b == AtLeast && e <= 0:
			return 0 // the bound holds: nothing more is known
		}
	}
	f.Residual[c][i] = e
	weight := 1 / (sigma * sigma)
	if x := math.Abs(e) / sigma; x > huber {
		cost = huber * (2*x - huber)
		weight *= huber / x
	} else {
		cost = x * x
	}
	f.normal.accumulate(r, c*f.PerChannel(), e, weight)
	sum.add(r.byWave, c*f.PerChannel(), e, weight)
	return cost
}

// expectHarmonics adds the expected size of the harmonics as one weak
// observation each, which decides only where the samples do not.
func (f *Fit) expectHarmonics() float64 {
	per, cost, size := f.PerChannel(), 0.0, 0.0
	for _, w := range f.Wave {
		size = max(size, harmonicSD*math.Hypot(w[0], w[1]))
	}
	if !(size > 0) {
		size = 1
	}
	for c, w := range f.Wave {
		for k := 2; k < per-1; k++ {
			scale := size / float64(f.Orders[k/2])
			cost += w[k] * w[k] / (scale * scale)
			at := c*per + k
			f.normal.gWave[at] -= w[k] / (scale * scale)
			f.normal.waves.SetSym(at, at, f.normal.waves.At(at, at)+1/(scale*scale))
		}
	}
	return cost
}
