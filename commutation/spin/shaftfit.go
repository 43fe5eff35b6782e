package spin

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/emf"
	"handspin/commutation/spin/ridge"
)

// shaftFit fits each channel by
//
//	v = w * sum over n of (s_n sin(n b) + c_n cos(n b)) + offset,
//
// where b is the shaft's angle and w the electrical rate, by linear least squares
// at the angle that is known. With whole turns the orders n are independent; with
// some turns and a part of one they are nearly so, and the normal matrix knows.
//
// The angle was found on the assumption that all turns are alike. Where magnets
// are not, it is bent by what they do to all three phases alike; how much of a
// pattern that can hide is for those to say who know the winding.
type shaftFit struct {
	a      *analysis
	rotor  rotorAngle // wherever it was fitted
	pairs  float64
	origin float64 // electrical turns
	orders []int
	// wave and sd are by channel: the unknowns in the order of the regressors,
	// the offset last, and their standard deviations.
	wave, sd [][]float64
}

func newShaftFit(a *analysis, pairs int, origin float64) *shaftFit {
	x := &shaftFit{a: a, rotor: *a.rotor, pairs: float64(pairs), origin: origin}
	x.rotor.bad = nil
	const about = 4 // the third harmonic's own sidebands, else they pose as noise
	for n := 1; n < about*pairs; n++ {
		x.orders = append(x.orders, n)
	}
	for _, n := range a.fit.Orders {
		if n > about {
			x.orders = append(x.orders, n*pairs)
		}
	}
	return x
}

// strayed is the residual of the fit, in standard deviations, from which a sample
// is left out: a glitch. What magnets do is within the weights.
const strayed = 8.0

// each calls take with the regressors and the value of each sample of channel c
// that can be used.
func (x *shaftFit) each(st curve.Stretch, c int, lost []bool, take func(i int, row []float64, v float64)) {
	f, ch := x.a.fit, x.a.fit.Signals.Channels[c]
	row := make([]float64, 2*len(x.orders)+1)
	row[len(row)-1] = 1
	for i := st.Lo; i < st.Hi; i++ {
		if lost[i] || math.IsNaN(ch.Value[i]) || ch.Bound != nil && ch.Bound[i] != emf.Exact ||
			math.Abs(f.Residual[c][i]) > strayed*f.SD[c][i] {
			continue
		}
		deg, rate, ok := x.rotor.angleAt(f.Signals.Time[i])
		if !ok {
			continue
		}
		w := rate * math.Pi / 180
		shaft := ((deg/360-x.origin)*2*math.Pi + w*ch.Skew) / x.pairs
		for k, n := range x.orders {
			s, co := math.Sincos(float64(n) * shaft)
			row[2*k], row[2*k+1] = w*s, w*co
		}
		take(i, row, ch.Value[i])
	}
}

// run fits the samples of a run. Where the fit with equal turns explains next to nothing,
// the angle may have gone astray by whole turns, or it is the magnets: these come again
// with every turn, so that with two this fit explains them. The error is ErrFewTurns,
// ErrHardlySeen or, with the waves as good as they get, ErrAstray.
func (x *shaftFit) run(run shaftRun) error {
	none := make([]bool, len(x.a.fit.Signals.Time))
	if err := x.channels(run.Stretch, none); err != nil {
		return err
	}
	lost, own := x.a.fit.Lost(), x.lost(run.Stretch)
	for i := run.Lo; i < run.Hi; i++ {
		if lost[i] && (own[i] || run.extent() < repeatTurns*x.pairs) {
			return ErrAstray
		}
	}
	return nil
}

// channels fits the samples of a stretch that are not lost.
func (x *shaftFit) channels(st curve.Stretch, lost []bool) error {
	x.wave, x.sd = nil, nil
	for c := range x.a.fit.Signals.Channels {
		if err := x.channel(st, c, lost); err != nil {
			return err
		}
	}
	return nil
}

// lost marks the samples in blocks that this fit does not explain, as [emf.Fit.Lost] does.
func (x *shaftFit) lost(st curve.Stretch) []bool {
	n := len(x.a.fit.Signals.Time)/emf.Block + 1
	left, signal, count := make([]float64, n), make([]float64, n), make([]float64, n)
	out := make([]bool, len(x.a.fit.Signals.Time))
	for c := range x.a.fit.Signals.Channels {
		sigma := x.a.fit.Sigma[c]
		x.each(st, c, out, func(i int, row []float64, v float64) {
			rest := v
			for k, r := range row {
				rest -= r * x.wave[c][k]
			}
			v -= x.wave[c][len(row)-1]
			b := (i - st.Lo) / emf.Block
			left[b], signal[b], count[b] = left[b]+rest*rest/(sigma*sigma), signal[b]+v*v/(sigma*sigma), count[b]+1
		})
	}
	for i := st.Lo; i < st.Hi; i++ {
		b := (i - st.Lo) / emf.Block
		out[i] = emf.NotExplained(left[b], signal[b], count[b])
	}
	return out
}

// channel fits one channel. The variances are the inverse normal matrix's times
// what the sums of residuals over half an electrical turn show to be more than
// independent samples would: what the model misses is alike over that long.
func (x *shaftFit) channel(st curve.Stretch, c int, lost []bool) error {
	var n ridge.Ridge
	x.each(st, c, lost, func(_ int, row []float64, v float64) { n.Add(row, v) })
	if n.Count < 2*len(n.Products) {
		return ErrFewTurns
	}
	wave := n.Solve()
	var chol mat.Cholesky
	var inverse mat.SymDense
	if wave == nil || !chol.Factorize(n.Normal) || chol.InverseTo(&inverse) != nil {
		return ErrFewTurns
	}
	if x.inflation(n.Normal, &inverse) > mostInflated {
		return ErrHardlySeen
	}
	variance := x.variance(st, c, lost, wave)
	sd := make([]float64, len(wave))
	for k := range sd {
		sd[k] = math.Sqrt(inverse.At(k, k) * variance)
	}
	x.wave, x.sd = append(x.wave, wave), append(x.sd, sd)
	return nil
}

// mostInflated is the most that the variance of an order may be of what it would be if
// it stood alone. Where a part of the turn is hardly seen, all orders' errors are one
// error there, which would pass for a magnet.
const mostInflated = 4.0

// inflation returns the largest of that ratio, over the orders that are given on: the
// diagonals of the normal matrix times that of its inverse (the variance inflation
// factor of linear regression).
func (x *shaftFit) inflation(normal, inverse *mat.SymDense) float64 {
	most := 0.0
	for k := range 4 * int(x.pairs) {
		most = max(most, normal.At(k, k)*inverse.At(k, k))
	}
	return most
}

// variance returns what the residuals' variance amounts to when neighbours are
// alike: the square of the regressors' products with them, summed over half an
// electrical turn, over what it is for independent residuals of variance 1.
func (x *shaftFit) variance(st curve.Stretch, c int, lost []bool, wave []float64) float64 {
	sum := make([]float64, len(wave))
	square, unit, noise, half := 0.0, 0.0, x.a.fit.Signals.Channels[c].Noise, math.NaN()
	close := func() {
		for k, s := range sum[:len(sum)-1] {
			square += s * s
			sum[k] = 0
		}
	}
	x.each(st, c, lost, func(i int, row []float64, v float64) {
		for k, r := range row {
			v -= r * wave[k]
		}
		deg, _, _ := x.rotor.angleAt(x.a.fit.Signals.Time[i])
		if now := math.Floor(deg / 180); now != half {
			close()
			half = now
		}
		for k, r := range row[:len(row)-1] {
			sum[k] += r * v
			unit += r * r
		}
	})
	close()
	return max(square/unit, noise*noise)
}

// into puts the leads' phasors and covariances into the result.
func (x *shaftFit) into(out *Shaft) {
	sig := x.a.fit.Signals
	for n := range 2 * int(x.pairs) {
		var emf [3]complex128
		var cov [3][3]float64
		for k := range emf {
			for c := range sig.Channels {
				share := sig.Lead[k][c] * x.a.mends[k]
				emf[k] += complex(share*x.wave[c][2*n], share*x.wave[c][2*n+1])
				variance := (x.sd[c][2*n]*x.sd[c][2*n] + x.sd[c][2*n+1]*x.sd[c][2*n+1]) / 2
				for l := range emf {
					cov[k][l] += share * sig.Lead[l][c] * x.a.mends[l] * variance
				}
			}
		}
		out.EMF, out.Cov = append(out.EMF, emf), append(out.Cov, cov)
	}
}
