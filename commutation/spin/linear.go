package spin

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
func (f *fit) linearise() {
	n := f.normal
	n.clear()
	f.cost = f.angle.Roughness(f.rough, n.gBand) + f.expectHarmonics()
	for from := range 2 {
		cores.Each((len(f.pieces)-from+1)/2, func(k int) { f.addPiece(&f.pieces[2*k+from]) })
	}
	for i := range f.pieces { // in their order, so that rounding is always the same
		n.join(&f.pieces[i].sum)
		f.cost += f.pieces[i].cost
	}
	f.angle.Penalise(n.band, f.rough)
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
func (f *fit) cut() []piece {
	var out []piece
	knots := float64(max(pieceKnots, len(f.angle.Coef)/mostPieces))
	for k, st := range f.sig.stretches {
		end := f.angle.Chains[k].Start
		for lo := st.Lo; lo < st.Hi; {
			end += knots * f.angle.Spacing
			hi := lo + sort.SearchFloat64s(f.sig.t[lo:st.Hi], end)
			if hi > lo {
				out = append(out, piece{lo: lo, hi: hi, sum: newWaveSums(f.perChannel() * len(f.sig.ch))})
			}
			lo = hi
		}
	}
	return out
}

// addPiece adds a piece's samples.
func (f *fit) addPiece(p *piece) {
	p.sum.clear()
	row, cost := newRow(f.orders), 0.0
	for i := p.lo; i < p.hi; i++ {
		row.moveTo(f.angle, f.angle.Locate(f.sig.t[i]))
		for c := range f.sig.ch {
			cost += f.add(row, &p.sum, i, c)
		}
	}
	p.cost = cost
}

// add adds sample i of channel c to the normal equations, those of the waves to
// sum, and returns its cost.
func (f *fit) add(r *row, sum *waveSums, i, c int) (cost float64) {
	ch := &f.sig.ch[c]
	f.residual[c][i] = math.NaN()
	v := ch.v[i]
	if math.IsNaN(v) {
		return 0
	}
	model := r.model(f.wave[c], ch.skew)
	e := v - model
	sigma := f.sd[c][i]
	if ch.bound != nil {
		switch b := ch.bound[i]; {
		case b == atMost && e >= 0, b == atLeast && e <= 0:
			return 0 // the bound holds: nothing more is known
		}
	}
	f.residual[c][i] = e
	weight := 1 / (sigma * sigma)
	if x := math.Abs(e) / sigma; x > huber {
		cost = huber * (2*x - huber)
		weight *= huber / x
	} else {
		cost = x * x
	}
	f.normal.accumulate(r, c*f.perChannel(), e, weight)
	sum.add(r.byWave, c*f.perChannel(), e, weight)
	return cost
}

// expectHarmonics adds the expected size of the harmonics as one weak
// observation each, which decides only where the samples do not.
func (f *fit) expectHarmonics() float64 {
	per, cost, size := f.perChannel(), 0.0, 0.0
	for _, w := range f.wave {
		size = max(size, harmonicSD*math.Hypot(w[0], w[1]))
	}
	if !(size > 0) {
		size = 1
	}
	for c, w := range f.wave {
		for k := 2; k < per-1; k++ {
			scale := size / float64(f.orders[k/2])
			cost += w[k] * w[k] / (scale * scale)
			at := c*per + k
			f.normal.gWave[at] -= w[k] / (scale * scale)
			f.normal.waves.SetSym(at, at, f.normal.waves.At(at, at)+1/(scale*scale))
		}
	}
	return cost
}
