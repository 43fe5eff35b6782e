package rotor

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// search is one explanation: the prior covariance of the unknowns is that of usual
// magnets times a scatter, widened along each cause.
type search struct {
	m       *model
	scatter scatter
	atoms   []atom
	causes  []atom
	prior   *mat.SymDense // covariance of the unknowns
	chol    mat.Cholesky  // of the covariance of y
	dist    float64
}

func newSearch(m *model, scatter scatter) *search {
	s := &search{m: m, scatter: scatter, atoms: m.atoms()}
	s.update()
	return s
}

// place is the usual deviation of the magnets' places in pole pitches. What sensors
// show is no less: it has the errors of their edges in it.
func (s *search) place() float64 {
	usual := s.scatter.times * usualPlace
	if s.m.placeScatter > 0 && s.m.sensors == 0 {
		return min(usual, s.m.placeScatter/180)
	}
	return usual
}

// evidence is the logarithm of how likely y is, up to a constant: Gaussian, and each
// cause is one of many that it could have been.
func (s *search) evidence() float64 {
	return math.Log(s.scatter.odds) - (s.dist+s.chol.LogDet())/2 - float64(len(s.causes))*s.choice()
}

// choice is what one more cause costs.
func (s *search) choice() float64 {
	return math.Log(float64(len(widths)*len(s.atoms)) / faultOdds)
}

// faultOdds is how likely a rotor is to have one more cause, before it is measured.
const faultOdds = 0.2

// atoms are a strength and a shift of each magnet, or of one of each set that looks
// the same, and the eccentric rotor.
func (m *model) atoms() []atom {
	var out []atom
	n := m.size
	add := func(kind Kind, first int, sets [][]int) {
		for _, set := range sets {
			for _, i := range m.told(set) {
				v := make([]float64, n)
				v[first+i] = 1
				out = append(out, atom{kind: kind, magnets: set, one: i, along: [][]float64{v}})
			}
		}
	}
	add(Weak, 0, m.sameStrength)
	add(Shifted, m.poles, m.samePlace)
	cos, sin := make([]float64, n), make([]float64, n)
	for i := range m.poles {
		sin[i], cos[i] = math.Sincos(2 * math.Pi * float64(i) / float64(m.poles))
	}
	return append(out, atom{kind: Eccentric, along: [][]float64{cos, sin}})
}

// told are those of a set that are to be tried: sensors tell them apart, up to the place
// at which the first of them sits.
func (m *model) told(set []int) []int {
	if m.sensors == 0 {
		return set[:1]
	}
	return set
}

// alike groups magnets that the back-EMF shows alike: those whose columns, from the
// first on, are the same.
func (m *model) alike(first int) [][]int {
	var out [][]int
	column := func(i int) []float64 { return mat.Col(nil, first+i, m.a)[:m.waves] }
	for i := range m.poles {
		at := slices.IndexFunc(out, func(set []int) bool { return same(column(set[0]), column(i)) })
		if at < 0 {
			out = append(out, []int{i})
		} else {
			out[at] = append(out[at], i)
		}
	}
	return out
}

func same(a, b []float64) bool {
	diff, size := 0.0, 0.0
	for i := range a {
		diff += (a[i] - b[i]) * (a[i] - b[i])
		size += a[i]*a[i] + b[i]*b[i]
	}
	return diff <= 1e-9*size
}

// widths are how large a cause may be: a magnet that is a little off, and one that is
// missing or the wrong way up, which is 1 and 2.
var widths = []float64{0.15, 1}

// setPrior sets the covariance of the unknowns before anything is seen.
func (s *search) setPrior() {
	n := s.m.size
	s.prior = mat.NewSymDense(n, nil)
	for i := range n {
		sd := bendSD
		switch {
		case i < s.m.poles:
			sd = s.scatter.times * usualStrength
		case i < 2*s.m.poles:
			sd = s.place()
		case i >= s.m.ownPlace(0):
			sd = anyPlace
		case i >= s.m.narrow(0):
			sd = usualNarrow
		}
		s.prior.SetSym(i, i, sd*sd)
	}
	for _, c := range s.causes {
		if c.kind == Weak {
			at, sd := s.m.narrow(c.one), narrowing*c.wide
			s.prior.SetSym(at, at, s.prior.At(at, at)+sd*sd)
		}
		for _, d := range c.along {
			s.prior.SymRankOne(s.prior, c.wide*c.wide, mat.NewVecDense(n, d))
		}
	}
}

// update computes the covariance of the rows and the distance of what is seen.
func (s *search) update() {
	s.setPrior()
	_, sym := covarianceOf(s.m.a, s.prior)
	for i, d := range s.m.doubt {
		sym.SetSym(i, i, sym.At(i, i)+d)
	}
	s.chol.Factorize(sym) // positive definite: 1 was added to its diagonal
	y := mat.NewVecDense(len(s.m.y), s.m.y)
	s.dist = mat.Dot(y, s.solved(y))
}

// covarianceOf is that of rows a of unknowns with the covariance cov, each with noise
// of 1; half is a times cov.
func covarianceOf(a, cov mat.Matrix) (half *mat.Dense, sym *mat.SymDense) {
	rows, _ := a.Dims()
	half, sym = new(mat.Dense), mat.NewSymDense(rows, nil)
	var full mat.Dense
	half.Mul(a, cov)
	full.Mul(half, a.T())
	for i := range rows {
		for j := i; j < rows; j++ {
			sym.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
		sym.SetSym(i, i, full.At(i, i)+1)
	}
	return half, sym
}

func (s *search) solved(v *mat.VecDense) *mat.VecDense {
	var out mat.VecDense
	if s.chol.SolveVecTo(&out, v) != nil {
		out.CloneFromVec(v)
	}
	return &out
}

// fit is the probability of the distance: causes use up their degrees of freedom.
func (s *search) fit() float64 {
	used := 0
	for _, c := range s.causes {
		used += len(c.along)
	}
	return distuv.ChiSquared{K: math.Max(1, float64(len(s.m.y)-used))}.Survival(s.dist)
}

// withBest returns the search with the cause that explains most added; nil where
// none has a size that makes sense.
func (s *search) withBest() *search {
	// What the rows tell of the unknowns: the normal equations of all of them.
	var half, normal mat.Dense
	var rhs mat.VecDense
	if s.chol.SolveTo(&half, s.m.a) != nil {
		return nil
	}
	normal.Mul(s.m.a.T(), &half)
	rhs.MulVec(half.T(), mat.NewVecDense(len(s.m.y), s.m.y))
	best, most := -1, 0.0
	for i, a := range s.atoms {
		if gain, size := a.gain(&normal, &rhs); gain > most && a.worth(size) {
			best, most = i, gain
		}
	}
	if best < 0 {
		return nil
	}
	var out *search
	for _, wide := range widths {
		cause := s.atoms[best]
		cause.wide = wide
		with := &search{m: s.m, scatter: s.scatter, atoms: s.atoms, causes: append(slices.Clone(s.causes), cause)}
		with.update()
		if out == nil || with.evidence() > out.evidence() {
			out = with
		}
	}
	return out
}

// gain returns by how much the squared distance falls with the atom, and the size
// that makes it so: least squares along its one or two directions, given the normal
// equations of all unknowns.
func (a atom) gain(normal *mat.Dense, rhs *mat.VecDense) (gain, size float64) {
	along := mat.NewDense(len(a.along), rhs.Len(), slices.Concat(a.along...))
	var half, own mat.Dense
	half.Mul(along, normal)
	own.Mul(&half, along.T())
	sym, told := mat.NewSymDense(len(a.along), nil), mat.NewVecDense(len(a.along), nil)
	for i := range a.along {
		for j := range i + 1 {
			sym.SetSym(i, j, own.At(i, j))
		}
	}
	told.MulVec(along, rhs)
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(sym) || chol.SolveVecTo(&x, told) != nil {
		return 0, 0 // the winding does not see it
	}
	size = x.AtVec(0)
	if len(a.along) > 1 {
		size = mat.Norm(&x, 2)
	}
	return mat.Dot(&x, told), size
}

// worth reports whether a size is one that a magnet can have and worth a word.
func (a atom) worth(size float64) bool {
	switch a.kind {
	case Shifted:
		return math.Abs(size) > worthPlace && math.Abs(size) < mostPlace
	case Eccentric:
		return size > worthCentre
	}
	return size < -worthWeak || size > worthWeak && size < mostStrong
}
