package commutation

import (
	"math"
	"slices"
)

// lines are a motor's three lead-to-lead back-EMFs as one sum of harmonics:
// number p is that of lead p minus that of lead p+1 (mod 3).
type lines []lineTerm

// lineTerm is the harmonic of order n in all three lead-to-lead waves.
type lineTerm struct {
	n        float64
	sin, cos [3]float64
}

func newLines(emf [3]Wave) lines {
	var l lines
	for lead, wave := range emf {
		for _, h := range wave {
			n := float64(h.N)
			i := slices.IndexFunc(l, func(t lineTerm) bool { return t.n == n })
			if i < 0 {
				i = len(l)
				l = append(l, lineTerm{n: n})
			}
			before := (lead + 2) % 3
			l[i].sin[lead] += h.Sin
			l[i].cos[lead] += h.Cos
			l[i].sin[before] -= h.Sin
			l[i].cos[before] -= h.Cos
		}
	}
	return l
}

// at returns the three waves and their slopes per radian at angle deg.
func (l lines) at(deg float64) (value, slope [3]float64) {
	for i := range l {
		t := &l[i]
		s, c := math.Sincos(t.n * deg * math.Pi / 180)
		for p := range 3 {
			value[p] += t.sin[p]*s + t.cos[p]*c
			slope[p] += t.n * (t.sin[p]*c - t.cos[p]*s)
		}
	}
	return value, slope
}

// area returns an antiderivative of the three waves, over radians, at angle
// deg: of sin(n a) it is -cos(n a)/n, of cos(n a) it is sin(n a)/n.
func (l lines) area(deg float64) (area [3]float64) {
	for i := range l {
		t := &l[i]
		s, c := math.Sincos(t.n * deg * math.Pi / 180)
		for p := range 3 {
			if t.n == 0 {
				area[p] += t.cos[p] * deg * math.Pi / 180
			} else {
				area[p] += (t.cos[p]*s - t.sin[p]*c) / t.n
			}
		}
	}
	return area
}

// point is a wave's value at an angle.
type point struct{ deg, value float64 }

// landmarks returns the angles in [0, 360] at which any of the three waves
// crosses zero, in ascending order, and each wave's stationary points.
//
// They are found on a grid of at most 10 degrees of the highest harmonic and
// placed by linear interpolation. An angle that is off by d changes an extreme
// value and the integral of a magnitude by the order of d squared only.
func (l lines) landmarks() (zeros []float64, still [3][]point) {
	grid := 360
	for _, t := range l {
		grid = max(grid, int(36*math.Abs(t.n)))
	}
	step := 360 / float64(grid)
	value, slope := l.at(0)
	for g := range grid {
		from := float64(g) * step
		nextValue, nextSlope := l.at(from + step)
		for p := range 3 {
			if part, ok := crossing(value[p], nextValue[p]); ok {
				zeros = append(zeros, from+part*step)
			}
			if part, ok := crossing(slope[p], nextSlope[p]); ok {
				deg := from + part*step
				top, _ := l.at(deg)
				still[p] = append(still[p], point{deg, top[p]})
			}
		}
		value, slope = nextValue, nextSlope
	}
	slices.Sort(zeros)
	return zeros, still
}

// crossing returns at which part of the way from a to b a straight line passes
// zero; it is false where the sign does not change.
func crossing(a, b float64) (float64, bool) {
	if (a < 0) == (b < 0) {
		return 0, false
	}
	return a / (a - b), true
}

// meanLargest returns the mean over the turn of the largest magnitude among the
// three waves, given the zeros of all three. That magnitude is the distance of
// the highest from the lowest of the leads, so it is one wave's from zero to
// zero: leads change their order only where two of them are equal. That wave keeps its
// sign between them, so that its integral is the largest of the three.
func (l lines) meanLargest(zeros []float64) float64 {
	sum, from := 0.0, 0.0
	before := l.area(from)
	for _, to := range append(zeros, 360) {
		after := l.area(to)
		most := 0.0
		for p := range after {
			most = max(most, math.Abs(after[p]-before[p]))
		}
		sum += most
		from, before = to, after
	}
	return sum / (2 * math.Pi)
}

// largest returns the index of the largest magnitude.
func largest(v [3]float64) int {
	best := 0
	for p := range v {
		if math.Abs(v[p]) > math.Abs(v[best]) {
			best = p
		}
	}
	return best
}
