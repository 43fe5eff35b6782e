package rotor

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// search is one explanation: the prior covariance of the unknowns is that of usual
// magnets times a scatter, widened along each cause. With K the covariance of the rows
// y, which have the matrix a, all that they tell is in normal = a' K^-1 a and rhs =
// a' K^-1 y: to widen the prior changes these by rank one (Sherman and Morrison), and
// K is needed no more.
type search struct {
	m       *model
	scatter scatter
	atoms   []atom
	causes  []atom
	prior   *mat.SymDense // covariance of the unknowns
	normal  *mat.SymDense
	rhs     *mat.VecDense
	dist    float64 // y' K^-1 y
	logDet  float64 // of K
}

func newSearch(m *model, scatter scatter) *search {
	s := &search{m: m, scatter: scatter, atoms: m.atoms()}
	s.prior = s.usual()
	_, sym := covarianceOf(m.a, s.prior)
	for i, d := range m.doubt {
		sym.SetSym(i, i, sym.At(i, i)+d)
	}
	var chol mat.Cholesky
	chol.Factorize(sym) // positive definite: 1 was added to its diagonal
	y := mat.NewVecDense(len(m.y), m.y)
	var half, normal mat.Dense
	var solved mat.VecDense
	if chol.SolveTo(&half, m.a) != nil || chol.SolveVecTo(&solved, y) != nil {
		half.CloneFrom(m.a) // not reached, see above
		solved.CloneFromVec(y)
	}
	normal.Mul(m.a.T(), &half)
	s.normal, s.rhs = symmetric(&normal), mat.NewVecDense(m.size, nil)
	s.rhs.MulVec(half.T(), y)
	s.dist, s.logDet = mat.Dot(y, &solved), chol.LogDet()
	return s
}

// symmetric is a square matrix that should be, with the mean of its two halves.
func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return out
}

// with is the search with one more cause.
func (s *search) with(c atom) *search {
	n := s.m.size
	out := &search{m: s.m, scatter: s.scatter, atoms: s.atoms, causes: append(slices.Clone(s.causes), c),
		prior: mat.NewSymDense(n, nil), normal: mat.NewSymDense(n, nil), rhs: mat.VecDenseCopyOf(s.rhs), dist: s.dist, logDet: s.logDet}
	out.prior.CopySym(s.prior)
	out.normal.CopySym(s.normal)
	if c.kind == Weak { // its border may be elsewhere too
		out.widen(one(n, s.m.narrow(c.one)), narrowing*c.wide)
		for _, beside := range []int{-1, 1} { // whose poles reach into the place of one that is missing
			if c.wide >= 1 {
				out.widen(one(n, s.m.poles+wrap(c.one+beside, s.m.poles)), narrowing)
			}
		}
	}
	for _, d := range c.along {
		out.widen(mat.NewVecDense(n, d), c.wide)
	}
	return out
}

// one is the direction of unknown i of n.
func one(n, i int) *mat.VecDense {
	d := mat.NewVecDense(n, nil)
	d.SetVec(i, 1)
	return d
}

// widen adds a standard deviation to the prior along a direction.
func (s *search) widen(d *mat.VecDense, sd float64) {
	var seen mat.VecDense
	seen.MulVec(s.normal, d)
	more, told := 1+sd*sd*mat.Dot(d, &seen), mat.Dot(d, s.rhs)
	part := sd * sd / more
	s.normal.SymRankOne(s.normal, -part, &seen)
	s.rhs.AddScaledVec(s.rhs, -part*told, &seen)
	s.dist -= part * told * told
	s.logDet += math.Log(more)
	s.prior.SymRankOne(s.prior, sd*sd, d)
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
	return math.Log(s.scatter.odds) - (s.dist+s.logDet)/2 - float64(len(s.causes))*s.choice()
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
				out = append(out, atom{kind: kind, magnets: set, one: i, along: [][]float64{one(n, first+i).RawVector().Data}})
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

// usual is the covariance of the unknowns before anything is seen, without causes.
func (s *search) usual() *mat.SymDense {
	n := s.m.size
	prior := mat.NewSymDense(n, nil)
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
		prior.SetSym(i, i, sd*sd)
	}
	return prior
}

// covarianceOf is that of rows a of unknowns with the covariance cov, each with noise
// of 1; half is a times cov.
func covarianceOf(a, cov mat.Matrix) (half *mat.Dense, sym *mat.SymDense) {
	rows, _ := a.Dims()
	half = new(mat.Dense)
	var full mat.Dense
	half.Mul(a, cov)
	full.Mul(half, a.T())
	sym = symmetric(&full)
	for i := range rows {
		sym.SetSym(i, i, sym.At(i, i)+1)
	}
	return half, sym
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
	best, most := -1, 0.0
	for i, a := range s.atoms {
		if s.has(a) {
			continue
		}
		if gain, size := a.gain(s.normal, s.rhs); gain > most && s.m.worth(a, size) {
			best, most = i, gain
		}
	}
	if best < 0 {
		return nil
	}
	return s.withAtom(s.atoms[best])
}

// withAtom returns the search with an atom added, as wide as makes it likelier.
func (s *search) withAtom(a atom) *search {
	var out *search
	for _, wide := range widths {
		a.wide = wide
		with := s.with(a)
		if out == nil || with.evidence() > out.evidence() {
			out = with
		}
	}
	return out
}

// has reports whether the atom is one of the causes already.
func (s *search) has(a atom) bool {
	return slices.ContainsFunc(s.causes, func(c atom) bool { return c.kind == a.kind && c.one == a.one })
}

// gain returns by how much the squared distance falls with the atom, and the size
// that makes it so: least squares along its one or two directions, given the normal
// equations of all unknowns.
func (a atom) gain(normal mat.Symmetric, rhs *mat.VecDense) (gain, size float64) {
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
