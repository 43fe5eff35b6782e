package rotor

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Edges are where one sensor's level changes over the turn: once between each two
// neighbouring magnets, of which a sensor sees one at a time. Which two is not known:
// a sensor may sit before any tooth.
type Edges struct {
	// FirstDeg is where edge 0 belongs with even magnets, in electrical degrees of
	// the shaft's angle; the others follow every 180.
	FirstDeg float64
	// LateDeg is by how many electrical degrees each is late of that, and SDDeg its
	// standard deviation; NaN where none is seen.
	LateDeg, SDDeg []float64
}

// The border between two magnets is midway between them, so that it takes half of
// either one's shift; a magnet that is narrower than others by u on both sides makes
// the first of its borders late by u, and the second early. The fitted angle's bend is
// taken off. Rises and falls have each a place of their own, which is found from them.
//
// Usual magnets are narrower or wider by usualNarrow. A weak one is pushed back by its
// neighbours: by up to narrowing, for one without any strength (common practice; no
// published source). Beyond that each edge has edgeSD of its own: field is not as plain
// as the model of it. All are in pole pitches.
const (
	usualNarrow = 1.0 / 180
	narrowing   = 10.0 / 180
	edgeSD      = 1.0 / 180
	anyPlace    = 30.0 / 180
)

// The unknowns stand in the order strengths, places, bend, narrowness, and two for each
// sensor.
func (m *model) narrow(i int) int         { return 2*m.poles + 2*(m.poles/2-1) + wrap(i, m.poles) }
func (m *model) ownPlace(sensor int) int  { return m.narrow(0) + m.poles + 2*sensor }
func (m *model) unknowns(sensors int) int { return m.ownPlace(sensors) }

func wrap(i, n int) int { return ((i % n) + n) % n }

// edgeRows returns what a sensor shows, in units of its standard deviation, if its edge 0
// is between magnets first and first+1. An edge beside one that is absent says nothing of
// places: there two poles are one, or a weak one is all but gone.
func (m *model) edgeRows(e Edges, sensor, first int) (y []float64, rows [][]float64) {
	for k, late := range e.LateDeg {
		if math.IsNaN(late + e.LateDeg[wrap(k-1, m.poles)] + e.LateDeg[wrap(k+1, m.poles)]) {
			continue
		}
		sd := math.Hypot(e.SDDeg[k]/180, edgeSD)
		before, after := wrap(first+k, m.poles), wrap(first+k+1, m.poles)
		row := make([]float64, m.size)
		row[m.poles+before], row[m.poles+after] = 0.5/sd, 0.5/sd
		row[m.narrow(before)], row[m.narrow(after)] = -1/sd, 1/sd
		row[m.ownPlace(sensor)+k%2] = 1 / sd
		at := (e.FirstDeg + 180*float64(k)) * math.Pi / 180
		for order := 1; order < m.poles/2; order++ {
			sin, cos := math.Sincos(float64(2*order) / float64(m.poles) * at)
			row[2*m.poles+2*order-2], row[2*m.poles+2*order-1] = -cos/math.Pi/sd, sin/math.Pi/sd
		}
		y, rows = append(y, late/180/sd), append(rows, row)
	}
	return y, rows
}

// sure is by how much more likely, as a logarithm, one reading must be than another.
const sure = 7.0

// look adds the sensors that see the same magnets, at the place among them at which the
// back-EMF makes that most likely; those at which it nearly does are remembered.
func (m *model) look(all []Edges) {
	group := join(all)
	if len(group) < 2 { // one alone might have a reason of its own
		return
	}
	if y, _ := m.groupRows(group, 0); len(y) == 0 { // few magnets, and each edge beside an absent one
		return
	}
	likely := slices.Repeat([]float64{math.Inf(-1)}, m.poles)
	for _, s := range m.explanations() {
		mean, cov := s.posterior()
		for first := range likely {
			likely[first] = max(likely[first], s.evidence()+s.sees(group, first, mean, cov))
		}
	}
	best := slices.Max(likely)
	for first, x := range likely {
		if x > best-sure {
			m.places = append(m.places, first)
		}
	}
	m.first = slices.Index(likely, best)
	y, rows := m.groupRows(group, m.first)
	for r := range y {
		m.y, m.doubt, m.cells = append(m.y, y[r]), append(m.doubt, 0), append(m.cells, rows[r]...)
	}
	m.a = mat.NewDense(len(m.y), m.size, m.cells)
	m.sensors = len(group)
}

func (m *model) groupRows(group []joined, first int) (y []float64, rows [][]float64) {
	for i, g := range group {
		one, more := m.edgeRows(g.Edges, i, first+g.ahead)
		y, rows = append(y, one...), append(rows, more...)
	}
	return y, rows
}

// joined is a sensor of which edge 0 is so many edges after the first sensor's edge 0.
type joined struct {
	Edges
	ahead int
}

// join returns the most sensors that see the same magnets without doubt: on even ones
// there is always doubt.
func join(all []Edges) []joined {
	var out []joined
	for i, e := range all {
		group := []joined{{Edges: e}}
		for j, other := range all {
			if ahead, by := other.after(e); j != i && by > sure {
				group = append(group, joined{other, ahead})
			}
		}
		if len(group) > len(out) {
			out = group
		}
	}
	return out
}

// after returns by how many edges a sensor's edge 0 is after that of another, and by how
// much more likely that is than the next best.
func (e Edges) after(other Edges) (ahead int, by float64) {
	n := len(e.LateDeg)
	a, b := other.centred(), e.centred()
	apart := make([]float64, n)
	for j := range apart {
		for k := range n {
			i := (k + j) % n
			square := other.SDDeg[i]*other.SDDeg[i] + e.SDDeg[k]*e.SDDeg[k] + 2*edgeSD*edgeSD*180*180
			apart[j] += unlike(a[i], b[k], square)
		}
		if apart[j] < apart[ahead] {
			ahead = j
		}
	}
	by = math.Inf(1)
	for j, x := range apart {
		if j != ahead {
			by = min(by, x-apart[ahead])
		}
	}
	return ahead, by
}

// oneUnseen is how unlikely it is, as a logarithm, that one sensor sees an edge and
// another does not.
const oneUnseen = 5.0

func unlike(a, b, square float64) float64 {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a) || math.IsNaN(b):
		return oneUnseen
	}
	return (a - b) * (a - b) / (2 * square)
}

// centred is by how much each edge is late of the mean of its sort, rises or falls.
func (e Edges) centred() []float64 {
	out := slices.Clone(e.LateDeg)
	for sort := range 2 {
		sum, count := 0.0, 0.0
		for k := sort; k < len(out); k += 2 {
			if !math.IsNaN(out[k]) {
				sum, count = sum+out[k], count+1
			}
		}
		for k := sort; k < len(out); k += 2 {
			out[k] -= sum / max(count, 1)
		}
	}
	return out
}

// sees is the logarithm of how likely what sensors show is after the back-EMF, up to a
// constant, if the first one's edge 0 is before magnet first; and if need be with a magnet
// out of place.
func (s *search) sees(group []joined, first int, mean *mat.VecDense, cov *mat.Dense) float64 {
	y, rows := s.m.groupRows(group, first)
	h := mat.NewDense(len(y), s.m.size, slices.Concat(rows...))
	half, sym := covarianceOf(h, cov)
	var chol mat.Cholesky
	var off, solved mat.VecDense
	off.MulVec(h, mean)
	off.SubVec(mat.NewVecDense(len(y), y), &off)
	if !chol.Factorize(sym) || chol.SolveVecTo(&solved, &off) != nil {
		return math.Inf(-1)
	}
	var own mat.Dense
	places := half.Slice(0, len(y), s.m.poles, 2*s.m.poles)
	if chol.SolveTo(&own, places) != nil {
		return math.Inf(-1)
	}
	most := 0.0
	for i := range s.m.poles {
		place, column := s.m.poles+i, half.ColView(s.m.poles+i)
		most = max(most, s.outOfPlace(place, mean.AtVec(place)+mat.Dot(column, &solved), cov.At(place, place)-mat.Dot(column, own.ColView(i))))
	}
	return most - (mat.Dot(&off, &solved)+chol.LogDet())/2
}

// outOfPlace is by how much likelier all is, as a logarithm, with a magnet's place free,
// from its mean and variance without that: the ratio of what the rest says of it under
// either prior.
func (s *search) outOfPlace(place int, mean, variance float64) float64 {
	usual := s.prior.At(place, place)
	if variance <= 0 || variance >= usual {
		return 0
	}
	seen := 1 / (1/variance - 1/usual) // variance of what the rest says
	square := mean * seen / variance * mean * seen / variance
	density := func(variance float64) float64 { return -(square/variance + math.Log(variance)) / 2 }
	most := 0.0
	for _, wide := range widths {
		most = max(most, density(seen+usual+wide*wide)-density(seen+usual)-s.choice())
	}
	return most
}
