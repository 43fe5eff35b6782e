package rotor

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A magnet's strength below which it counts as missing, and below minus which as
// the wrong way up, relative to the others.
const (
	missingBelow = 0.2
	flippedBelow = -0.4
)

// pattern puts what was found together: the unknowns' mean and covariance after
// seeing y, for the causes found.
func (s *search) pattern(sets [][]int) *Pattern {
	mean, cov := s.posterior()
	out := &Pattern{FirstDeg: s.m.firstDeg, AheadDeg: s.m.aheadDeg, Scatter: s.scatter.times, Fit: s.fit(), Sensors: s.m.sensors, poles: s.m.poles, evidence: s.evidence()}
	others := s.m.others(mean)
	for _, set := range sets {
		out.Poles = append(out.Poles, s.magnet(set, mean, cov, others))
	}
	for i, c := range s.causes {
		cause := s.cause(c, mean, cov, others)
		s.rivals(i, &cause)
		out.Causes = append(out.Causes, cause)
	}
	return out
}

// others is what is left of the mean strength for magnets like the others.
func (m *model) others(mean *mat.VecDense) float64 {
	left := 1.0
	for i := range m.poles {
		left -= mean.AtVec(i) / float64(m.poles)
	}
	return left
}

// posterior returns the mean and the covariance of the unknowns.
func (s *search) posterior() (*mat.VecDense, *mat.Dense) {
	mean := mat.NewVecDense(s.m.size, nil)
	mean.MulVec(s.prior, s.rhs)
	var half, cov mat.Dense
	half.Mul(s.prior, s.normal)
	cov.Mul(&half, s.prior)
	cov.Sub(s.prior, &cov)
	return mean, &cov
}

// perhaps are those of which an atom's magnet may be one, in order: with sensors those
// at all places where these may be, and all that the back-EMF shows alike.
func (m *model) perhaps(a atom) []int {
	if m.sensors == 0 {
		return a.magnets
	}
	var out []int
	for _, first := range m.places {
		i := wrap(a.one+first-m.first, m.poles)
		for _, set := range m.samePlace {
			if slices.Contains(set, i) {
				out = append(out, set...)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// astray reports whether the sensors may be at places that the back-EMF tells apart.
func (m *model) astray() bool { return len(m.places) > len(m.samePlace[0]) }

// magnet is the mean of a set that looks the same.
func (s *search) magnet(set []int, mean *mat.VecDense, cov *mat.Dense, others float64) PoleSeen {
	m := PoleSeen{Numbers: set}
	m.Strength, m.StrengthSD = average(set, 0, mean, cov)
	m.ShiftDeg, m.ShiftSD = average(set, s.m.poles, mean, cov)
	if s.m.astray() {
		m.ShiftDeg, m.ShiftSD = math.NaN(), math.NaN()
	}
	m.Strength, m.StrengthSD = 1+m.Strength/others, m.StrengthSD/others
	m.ShiftDeg, m.ShiftSD = 180*m.ShiftDeg, 180*m.ShiftSD
	return m
}

// average is the mean of the unknowns of a set, and its standard deviation.
func average(set []int, first int, mean *mat.VecDense, cov *mat.Dense) (value, sd float64) {
	n := float64(len(set))
	variance := 0.0
	for _, i := range set {
		value += mean.AtVec(first+i) / n
		for _, j := range set {
			variance += cov.At(first+i, first+j) / (n * n)
		}
	}
	return value, math.Sqrt(math.Max(0, variance))
}

// cause gives a cause its size and name.
func (s *search) cause(a atom, mean *mat.VecDense, cov *mat.Dense, others float64) Cause {
	c := Cause{Kind: a.kind, Magnets: a.magnets}
	switch a.kind {
	case Weak:
		c.Size, c.SD = average([]int{a.one}, 0, mean, cov)
		c.Size, c.SD = 1+c.Size/others, c.SD/others
		c.Kind = ofStrength(c.Size)
	case Shifted:
		c.Size, c.SD = average([]int{a.one}, s.m.poles, mean, cov)
		c.Size, c.SD = 180*c.Size, 180*c.SD
		c.Magnets = s.m.perhaps(a)
	case Eccentric:
		c.Size, c.SD = s.swing(a, mean, cov)
	}
	return c
}

func ofStrength(x float64) Kind {
	switch {
	case x > 1:
		return Strong
	case x < flippedBelow:
		return Flipped
	case x < missingBelow:
		return Missing
	}
	return Weak
}

// swing is the amplitude of the strengths' first order around the rotor.
func (s *search) swing(a atom, mean *mat.VecDense, cov *mat.Dense) (size, sd float64) {
	square, variance := 0.0, 0.0
	for _, d := range a.along {
		v := mat.NewVecDense(len(d), slices.Clone(d))
		v.ScaleVec(2/float64(s.m.poles), v) // the projection on the direction
		x := mat.Dot(v, mean)
		square += x * x
		variance += mat.Inner(v, cov, v) / 2
	}
	return math.Sqrt(square), math.Sqrt(math.Max(0, variance))
}
