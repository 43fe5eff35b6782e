package rotor

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"

	"handspin/commutation/winding"
)

// model is the linear problem y = a x + noise, its rows real and imaginary parts of
// the orders that are not the fundamental, in units of their standard deviation.
type model struct {
	poles int
	y     []float64
	// a has a column for each magnet's strength, one for each magnet's place in
	// pole pitches, two for each order of the bend in electrical radians, and those
	// that sensors need (see [Edges]).
	a     *mat.Dense
	size  int // its columns
	waves int // its rows that are the back-EMF's; others are the sensors'
	// sensors is how many of them have rows, as if the first one's edge 0 were before
	// magnet first; places are those before which it may be.
	sensors, first int
	places         []int
	// sameStrength and samePlace are the magnets in sets of which the back-EMF shows
	// strength, or place, alike.
	sameStrength, samePlace [][]int
	cells                   []float64 // of a, row by row
	doubt                   []float64 // variance of each row by the magnets' shape
	// firstDeg is the shaft's angle at which magnet 0 faces tooth 1.
	firstDeg float64
	// aheadDeg is by how many electrical degrees it is past that at the start.
	aheadDeg     float64
	placeScatter float64 // electrical degrees, not above 0 where not known
	mostPlace    float64 // how far a magnet may be out of its place, in pole pitches
}

// coils returns the phasors of order n of the leads' coils as lags.
func (t Turn) coils(l winding.Layout, n int) [3]complex128 {
	k := l.Shaft(n)
	if t.Backward {
		return k
	}
	for c := range k {
		k[c] = cmplx.Conj(k[c])
	}
	return k
}

// response is what a tooth links of a block's order n, relative to the order of
// the pole pairs.
func response(l winding.Layout, n int) float64 {
	p := float64(l.PolePairs())
	of := func(n float64) float64 {
		return math.Sin(n*arc*math.Pi/(2*p)) / n * math.Sin(n*math.Pi/float64(l.Slots()))
	}
	return of(float64(n)) / of(p)
}

// newModel sets the problem up.
func newModel(t Turn, l winding.Layout) (*model, error) {
	p := l.PolePairs()
	if len(t.EMF) < l.Poles() || p != t.PolePairs {
		return nil, ErrNoFundamental
	}
	sound := t.coils(l, p)
	unit, gain, err := t.calibrate(sound)
	if err != nil {
		return nil, err
	}
	pitch := 180 / float64(p)
	zero := -cmplx.Phase(unit) * 180 / math.Pi / float64(p)
	skipped := math.Round((t.StartDeg - zero) / pitch)
	m := &model{poles: l.Poles(), firstDeg: zero + pitch*skipped, placeScatter: t.PlaceScatter, mostPlace: t.limit}
	m.aheadDeg = (t.StartDeg - m.firstDeg) * float64(p)
	m.size = m.unknowns(len(t.Edges))
	polarity := 1 - 2*math.Abs(math.Mod(skipped, 2))
	for n := 1; n < m.poles; n++ {
		if n == p {
			continue
		}
		k := t.coils(l, n)
		size := complex(polarity*cmplx.Abs(unit)*response(l, n)/float64(m.poles), 0)
		for c := range k {
			k[c] *= gain[c] * size
		}
		if err := m.add(t, n, k); err != nil {
			return nil, err
		}
	}
	if len(m.y) == 0 { // two poles: there is no order but the fundamental
		return nil, ErrBlind
	}
	if slices.ContainsFunc(m.y, notFinite) || slices.ContainsFunc(m.cells, notFinite) {
		return nil, ErrNoFundamental
	}
	m.waves = len(m.y)
	m.a = mat.NewDense(len(m.y), m.size, m.cells)
	m.sameStrength, m.samePlace = m.alike(0), m.alike(m.poles)
	m.look(t.Edges)
	return m, nil
}

func notFinite(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// leastSeen is the share of all leads' coils that one lead must show of the order of the
// pole pairs for that to tell its scale: coils that cancel in it do not in other orders.
const leastSeen = 0.1

// calibrate returns what one coil phasor is worth, as the leads show the order of
// the pole pairs, and by which factor each lead differs from that.
func (t Turn) calibrate(sound [3]complex128) (unit complex128, gain [3]complex128, err error) {
	e := t.EMF[t.PolePairs-1]
	if t.Floating {
		e, sound = winding.Floated(e), winding.Floated(sound)
	}
	sum, norm := complex128(0), 0.0
	for c := range e {
		sum += cmplx.Conj(sound[c]) * e[c]
		norm += real(sound[c])*real(sound[c]) + imag(sound[c])*imag(sound[c])
	}
	if unit = sum / complex(norm, 0); unit == 0 || cmplx.IsNaN(unit) {
		return 0, gain, ErrNoFundamental
	}
	for c := range e {
		gain[c] = 1
		if cmplx.Abs(sound[c]) > leastSeen*math.Sqrt(norm) {
			gain[c] = e[c] / (sound[c] * unit)
		}
	}
	return unit, gain, nil
}

// add appends the rows of order n, whose leads have coils phasors k.
func (m *model) add(t Turn, n int, k [3]complex128) error {
	white, err := t.whiten(n)
	if err != nil {
		return err
	}
	p := m.poles / 2
	pitch := math.Pi / float64(p)
	y, coils, bent := white(t.EMF[n-1]), white(k), white(t.EMF[p-1])
	for r := range y {
		row := make([]complex128, m.size)
		for i := range m.poles {
			angle := m.firstDeg*math.Pi/180 + pitch*float64(i)
			z := coils[r] * cmplx.Rect(float64(1-2*(i%2)), -float64(n)*angle)
			row[i] = z
			row[m.poles+i] = z * complex(0, -float64(n)*pitch)
		}
		order, far := n-p, 2*m.poles
		if order < 0 {
			order = -order
		}
		z := bent[r] * complex(0, float64(n)/float64(2*p))
		row[far+2*order-2], row[far+2*order-1] = z, z*complex(0, 1)
		if n < p { // the bend's conjugate
			row[far+2*order-1] = z * complex(0, -1)
		}
		m.take(row, y[r])
	}
	return nil
}

// take appends a complex equation as two real ones.
func (m *model) take(row []complex128, y complex128) {
	doubt := shapeError * shapeError * (real(y)*real(y) + imag(y)*imag(y)) / 2
	for _, part := range []func(complex128) float64{func(z complex128) float64 { return real(z) }, func(z complex128) float64 { return imag(z) }} {
		for _, z := range row {
			m.cells = append(m.cells, part(z))
		}
		m.y, m.doubt = append(m.y, part(y)), append(m.doubt, doubt)
	}
}

// whiten returns the function that takes the leads' phasors of order n to as many
// as are known, two where the leads float, in units of their standard deviation.
func (t Turn) whiten(n int) (func([3]complex128) []complex128, error) {
	d := mat.NewDense(3, 3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
	if t.Floating {
		d = mat.NewDense(2, 3, []float64{1, -1, 0, 0, 1, -1})
	}
	cov := mat.NewDense(3, 3, nil)
	for i, row := range t.Cov[n-1] {
		cov.SetRow(i, row[:])
	}
	var half, reduced mat.Dense
	half.Mul(d, cov)
	reduced.Mul(&half, d.T())
	size, _ := d.Dims()
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(size, reduced.RawMatrix().Data)) {
		return nil, ErrNoFundamental
	}
	var lower, inverse mat.TriDense
	chol.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return nil, ErrNoFundamental
	}
	var by mat.Dense
	by.Mul(&inverse, d)
	return func(v [3]complex128) []complex128 {
		out := make([]complex128, size)
		for r := range out {
			for c, z := range v {
				out[r] += complex(by.At(r, c), 0) * z
			}
		}
		return out
	}, nil
}
