package spin

import (
	"math"
	"sort"
)

// spline is a function of time made of uniform cubic B-splines, one chain of
// knots for each stretch of the recording that has no gap. Within a stretch
// that starts at t0, the value at t0 + (i+u)*h for 0 <= u < 1 is the sum of
// coef[first+i+j]*B_j(u), j = 0..3.
type spline struct {
	h      float64 // knot spacing, s
	chains []chain
	coef   []float64
}

// chain is the run of coefficients that serves one stretch of time.
type chain struct {
	start, end  float64 // s
	first, size int     // coefficients first .. first+size-1
}

// newSpline lays knots about h apart over the stretches, each a start and an
// end time in seconds, in the order of time.
func newSpline(stretches [][2]float64, h float64) *spline {
	s := &spline{h: h}
	n := 0
	for _, st := range stretches {
		size := int(math.Ceil((st[1]-st[0])/h)) + 3
		size = max(size, 4)
		s.chains = append(s.chains, chain{st[0], st[1], n, size})
		n += size
	}
	s.coef = make([]float64, n)
	return s
}

// place is where a time falls in a spline: the first of the four coefficients
// that act there, and how far between two knots it is.
type place struct {
	first int
	u     float64
}

// locate returns the place of time t; a time outside every stretch is moved to
// the nearest stretch's end.
func (s *spline) locate(t float64) place {
	k := 0
	if len(s.chains) > 1 {
		k = max(0, sort.Search(len(s.chains), func(i int) bool { return s.chains[i].start > t })-1)
	}
	c := s.chains[k]
	if k+1 < len(s.chains) && t > c.end && t-c.end > s.chains[k+1].start-t {
		c = s.chains[k+1]
	}
	x := (min(max(t, c.start), c.end) - c.start) / s.h
	i := min(int(x), c.size-4)
	return place{c.first + i, x - float64(i)}
}

// basis returns the four B-splines at u and their derivatives by u.
func basis(u float64) (b, d [4]float64) {
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

// at returns the spline's value and its derivative by time at p.
func (s *spline) at(p place) (value, slope float64) {
	b, d := basis(p.u)
	for j, c := range s.coef[p.first : p.first+4] {
		value += c * b[j]
		slope += c * d[j]
	}
	return value, slope / s.h
}

// approximate sets the spline to the smooth function nearest to the values at
// the times, both of one length, of which it takes the stretches; sd is the
// precision of a value.
func (sp *spline) approximate(times, values []float64, of []stretch, sd, rough float64) error {
	b := make(band, len(sp.coef))
	rhs := make([]float64, len(sp.coef))
	weight := 1 / (sd * sd)
	for _, st := range of {
		for i := st.lo; i < st.hi; i++ {
			p := sp.locate(times[i])
			v, _ := basis(p.u)
			b.add(p.first, v, weight)
			for j := range v {
				rhs[p.first+j] += weight * v[j] * values[i]
			}
		}
	}
	sp.penalise(b, rough)
	if err := b.factor(); err != nil {
		return err
	}
	b.forward(rhs)
	b.backward(rhs)
	sp.coef = rhs
	return nil
}

// third are the coefficients of a third difference.
var third = [4]float64{-1, 3, -3, 1}

// penalise adds the penalty on third differences to b, and enough on the
// diagonal to keep a stretch without information from being singular.
func (sp *spline) penalise(b band, rough float64) {
	weight := 1 / (rough * rough)
	for _, c := range sp.chains {
		for i := c.first; i+3 < c.first+c.size; i++ {
			b.add(i, third, weight)
		}
	}
	for i := range b {
		b[i][bandwidth] += 1e-9 * (weight + b[i][bandwidth])
	}
}

// roughness returns the penalty's cost and subtracts its gradient from g.
func (sp *spline) roughness(rough float64, g []float64) float64 {
	weight := 1 / (rough * rough)
	cost := 0.0
	for _, c := range sp.chains {
		for i := c.first; i+3 < c.first+c.size; i++ {
			d := sp.coef[i+3] - sp.coef[i] + 3*(sp.coef[i+1]-sp.coef[i+2])
			cost += weight * d * d
			for j, t := range third {
				g[i+j] -= weight * d * t
			}
		}
	}
	return cost
}
