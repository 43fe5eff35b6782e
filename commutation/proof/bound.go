package proof

import (
	stderrors "errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"handspin/capture"
	"handspin/capture/synth"
)

// Bound is the Cramer-Rao bound of a recording: the least standard deviation, in
// electrical degrees, that any unbiased estimate can have.
type Bound struct {
	// Edge is that of the sensors' edges, the effective value over the six;
	// Phase that of the angles of p2 and p3 against p1.
	Edge, Phase float64
}

// The model of the bound. The rotor's angle is any function of time without
// frequencies above bandHz: the synthetic hand's push of a quarter second, a
// squared sine, has none above 8 Hz, and the bound grows with what is allowed.
// The waves have the given orders, each column an offset, and the noise is white
// with the variance of rounding added. An edge is stamped to stampStep.
const (
	bandHz    = 15.0
	stampStep = 4e-6 // s
)

var boundOrders = []int{1, 3, 5, 7}

// CramerRao returns the bound of the estimate from a recording whose truth is
// known: the inverse of the Fisher information of all unknowns together, the
// angle's cosines among them. Rao 1945, Cramer 1946; for Gaussian noise the
// information is the sum over the samples of the products of the derivatives,
// over the variance. It needs columns against the star point, unclipped, and
// sensors without hysteresis.
func CramerRao(rec *capture.Recording, truth synth.Truth, f synth.FrontEnd) (Bound, error) {
	b := newInformation(rec, truth, f)
	info := b.collect()
	scale := make([]float64, b.unknowns())
	for k := range scale {
		scale[k] = 1 / math.Sqrt(info.At(k, k))
	}
	for i := range scale {
		for j := i; j < len(scale); j++ {
			info.SetSym(i, j, info.At(i, j)*scale[i]*scale[j])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return Bound{}, stderrors.New("the information matrix is not definite")
	}
	var cov mat.SymDense
	if err := chol.InverseTo(&cov); err != nil {
		return Bound{}, err
	}
	for i := range scale {
		for j := i; j < len(scale); j++ {
			cov.SetSym(i, j, cov.At(i, j)*scale[i]*scale[j])
		}
	}
	return b.bound(&cov), nil
}

// collect sums the information of all rows, some thousand at a time.
func (b *information) collect() *mat.SymDense {
	const most = 3000
	info := mat.NewSymDense(b.unknowns(), nil)
	rows, at := mat.NewDense(most, b.unknowns(), nil), 0
	flush := func() {
		info.SymRankK(info, 1, rows.T())
		rows.Zero()
		at = 0
	}
	for i, edge := range b.rec.Edge {
		if at+3 > most {
			flush()
		}
		if edge {
			at += b.edgeRow(rows, at, i)
			continue
		}
		for c := range b.rec.Columns {
			b.sampleRow(rows.RawRowView(at), c, b.rec.Time[i]+b.rec.Columns[c].Skew)
			at++
		}
	}
	flush()
	for k := range b.cosines {
		// While the rotor rests nothing tells its angle: it is known to some
		// turns, so that the matrix has an inverse.
		info.SetSym(k, k, info.At(k, k)+0.01)
	}
	pinned := b.cosines + 1
	info.SetSym(pinned, pinned, 1)
	return info
}

// information lays out the unknowns: the angle's cosines, each column's waves
// and offset, and the six edges. Waves are in counts per rad/s.
type information struct {
	rec     *capture.Recording
	truth   synth.Truth
	sigma   float64 // counts
	waves   [3][]synth.Term
	cosines int
}

func newInformation(rec *capture.Recording, truth synth.Truth, f synth.FrontEnd) *information {
	b := &information{
		rec: rec, truth: truth.From(truth.Seen[0].AngleDeg),
		sigma:   math.Hypot(f.NoiseCounts, 1/math.Sqrt(12)),
		cosines: int(2*bandHz*rec.Seconds()) + 1,
	}
	for c, p := range b.truth.Seen {
		for _, n := range boundOrders {
			term := synth.Term{N: n}
			for _, w := range p.Wave {
				if w.N == n {
					term.Sin, term.Cos = w.Sin/f.VoltsPerCount, w.Cos/f.VoltsPerCount
				}
			}
			b.waves[c] = append(b.waves[c], term)
		}
	}
	return b
}

func (b *information) perColumn() int { return 2*len(boundOrders) + 1 }
func (b *information) firstEdge() int { return b.cosines + 3*b.perColumn() }
func (b *information) unknowns() int  { return b.firstEdge() + 6 }

// cosine returns the k-th function of the angle's expansion and its derivative.
func (b *information) cosine(k int, t float64) (value, slope float64) {
	w := math.Pi * float64(k) / b.rec.Seconds()
	sin, cos := math.Sincos(w * t)
	return cos, -w * sin
}

// sampleRow sets the derivatives of a column's sample at time t by all unknowns,
// over the noise.
func (b *information) sampleRow(row []float64, column int, t float64) {
	a := b.truth.AngleAt(t) * math.Pi / 180
	w := b.truth.SpeedAt(t) * 2 * math.Pi
	wave, slope, first := 0.0, 0.0, b.cosines+column*b.perColumn()
	for k, term := range b.waves[column] {
		n := float64(term.N)
		sin, cos := math.Sincos(n * a)
		wave += term.Sin*sin + term.Cos*cos
		slope += n * (term.Sin*cos - term.Cos*sin)
		row[first+2*k], row[first+2*k+1] = w*sin/b.sigma, w*cos/b.sigma
	}
	row[first+b.perColumn()-1] = 1 / b.sigma
	if column == 0 {
		row[first+1] = 0 // p1's fundamental has no cosine: that is where zero is
	}
	for k := range b.cosines {
		value, rate := b.cosine(k, t)
		row[k] = (slope*w*value + wave*rate) / b.sigma
	}
}

// edgeRow sets the derivatives of what an edge row says, that the rotor was at
// the edge's angle at that time, over what the stamp's step leaves open; it
// returns how many rows it used.
func (b *information) edgeRow(rows *mat.Dense, at, i int) int {
	if i == 0 {
		return 0
	}
	for lead := range 3 {
		was, _ := b.rec.Hall[i-1].Level(lead)
		is, _ := b.rec.Hall[i].Level(lead)
		if was == is {
			continue
		}
		row, t := rows.RawRowView(at), b.rec.Time[i]-b.rec.HallLag
		w := b.truth.SpeedAt(t) * 2 * math.Pi
		sd := math.Abs(w)*stampStep/math.Sqrt(12) + 1e-9
		for k := range b.cosines {
			value, _ := b.cosine(k, t)
			row[k] = value / sd
		}
		place := b.firstEdge() + 2*lead
		if is != (w > 0) {
			place++
		}
		row[place] = -1 / sd
		return 1
	}
	return 0
}

// bound reads the standard deviations off the covariance. A phase's angle is
// that of its fundamental's sine and cosine parts.
func (b *information) bound(cov *mat.SymDense) Bound {
	const toDeg = 180 / math.Pi
	edge, phase := 0.0, 0.0
	for k := range 6 {
		edge += cov.At(b.firstEdge()+k, b.firstEdge()+k) / 6
	}
	for c := 1; c < 3; c++ {
		one, at := b.waves[c][0], b.cosines+c*b.perColumn()
		square := one.Sin*one.Sin + one.Cos*one.Cos
		bySin, byCos := one.Cos/square, -one.Sin/square
		phase += (bySin*bySin*cov.At(at, at) + 2*bySin*byCos*cov.At(at, at+1) + byCos*byCos*cov.At(at+1, at+1)) / 2
	}
	return Bound{Edge: math.Sqrt(edge) * toDeg, Phase: math.Sqrt(phase) * toDeg}
}
