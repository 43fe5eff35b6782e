// Package curve has a smooth function of time and the banded matrix that fitting it
// takes.
package curve

import (
	"math"
	"sort"
)

// Curve is a function of time made of uniform cubic B-splines, one chain of
// knots for each stretch of the recording that has no gap. Within a stretch
// that starts at t0, the value at t0 + (i+u)*Spacing for 0 <= u < 1 is the sum of
// Coef[first+i+j]*B_j(u), j = 0..3.
type Curve struct {
	Spacing float64 // knot spacing, s
	Chains  []Chain
	Coef    []float64
}

// Chain is the run of coefficients that serves one stretch of time.
type Chain struct {
	Start, End  float64 // s
	first, size int     // coefficients first .. first+size-1
}

// New lays knots about h apart over the stretches, each a start and an
// end time in seconds, in the order of time.
func New(stretches [][2]float64, h float64) *Curve {
	s := &Curve{Spacing: h}
	n := 0
	for _, st := range stretches {
		size := int(math.Ceil((st[1]-st[0])/h)) + 3
		size = max(size, 4)
		s.Chains = append(s.Chains, Chain{st[0], st[1], n, size})
		n += size
	}
	s.Coef = make([]float64, n)
	return s
}

// Place is where a time falls in a curve: the first of the four coefficients
// that act there, and how far between two knots it is.
type Place struct {
	First int
	U     float64
}

// Locate returns the place of time t; a time outside every stretch is moved to
// the nearest stretch's end.
func (s *Curve) Locate(t float64) Place {
	k := 0
	if len(s.Chains) > 1 {
		k = max(0, sort.Search(len(s.Chains), func(i int) bool { return s.Chains[i].Start > t })-1)
	}
	c := s.Chains[k]
	if k+1 < len(s.Chains) && t > c.End && t-c.End > s.Chains[k+1].Start-t {
		c = s.Chains[k+1]
	}
	x := (min(max(t, c.Start), c.End) - c.Start) / s.Spacing
	i := min(int(x), c.size-4)
	return Place{c.first + i, x - float64(i)}
}

// Basis returns the four B-splines at u and their derivatives by u.
func Basis(u float64) (b, d [4]float64) {
	v := 1 - u
	b[0] = v * v * v / 6
	b[3] = u * u * u / 6
	b[1] = (4 + u*u*(3*u-6)) / 6
	b[2] = (4 + v*v*(3*v-6)) / 6
	d[0] = -v * v / 2
	d[3] = u * u / 2
	d[1] = u * (3*u - 4) / 2
	d[2] = v * (4 - 3*v) / 2
	return b, d
}

// At returns the curve's value and its derivative by time at p.
func (s *Curve) At(p Place) (value, slope float64) {
	b, d := Basis(p.U)
	for j, c := range s.Coef[p.First : p.First+4] {
		value += c * b[j]
		slope += c * d[j]
	}
	return value, slope / s.Spacing
}

// AtTime returns the curve's value and its derivative at time t, as [Curve.Locate] takes it.
func (s *Curve) AtTime(t float64) (value, slope float64) { return s.At(s.Locate(t)) }

// Approximate sets the curve to the smooth function nearest to the values at
// the times, both of one length, of which it takes the stretches; sd is the
// precision of a value.
func (s *Curve) Approximate(times, values []float64, of []Stretch, sd, rough float64) error {
	b := make(Band, len(s.Coef))
	rhs := make([]float64, len(s.Coef))
	weight := 1 / (sd * sd)
	for _, st := range of {
		for i := st.Lo; i < st.Hi; i++ {
			p := s.Locate(times[i])
			v, _ := Basis(p.U)
			b.Add(p.First, v, weight)
			for j := range v {
				rhs[p.First+j] += weight * v[j] * values[i]
			}
		}
	}
	s.Penalise(b, rough)
	if err := b.Factor(); err != nil {
		return err
	}
	b.Forward(rhs)
	b.Backward(rhs)
	s.Coef = rhs
	return nil
}

// third are the coefficients of a third difference.
var third = [4]float64{-1, 3, -3, 1}

// Penalise adds the penalty on third differences to b, and enough on the
// diagonal to keep a stretch without information from being singular.
func (s *Curve) Penalise(b Band, rough float64) {
	weight := 1 / (rough * rough)
	for _, c := range s.Chains {
		for i := c.first; i+3 < c.first+c.size; i++ {
			b.Add(i, third, weight)
		}
	}
	for i := range b {
		b[i][Bandwidth] += 1e-9 * (weight + b[i][Bandwidth])
	}
}

// Roughness returns the penalty's cost and subtracts its gradient from g.
func (s *Curve) Roughness(rough float64, g []float64) float64 {
	weight := 1 / (rough * rough)
	cost := 0.0
	for _, c := range s.Chains {
		for i := c.first; i+3 < c.first+c.size; i++ {
			d := s.Coef[i+3] - s.Coef[i] + 3*(s.Coef[i+1]-s.Coef[i+2])
			cost += weight * d * d
			for j, t := range third {
				g[i+j] -= weight * d * t
			}
		}
	}
	return cost
}

// Covers reports whether t lies in a stretch, or within a knot of one.
func (s *Curve) Covers(t float64) bool {
	k := sort.Search(len(s.Chains), func(i int) bool { return s.Chains[i].End+s.Spacing/4 >= t })
	return k < len(s.Chains) && s.Chains[k].Start-s.Spacing/4 <= t
}

// Stretch is a run of samples [lo, hi) without a gap.
type Stretch struct{ Lo, Hi int }
