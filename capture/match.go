package capture

import (
	"fmt"
	"math"
	"slices"
)

// matching says which row of a recording is at the time of each row of another.
type matching struct {
	row []int // -1 for none
	// later is how much later the recording's rows are on the mean, in seconds;
	// never more than some half of the interval.
	later float64
	// without counts the rows of either that have no partner.
	without int
}

// Recordings are of one moment where their intervals differ by no more than the
// rounding of times does, and where but a few rows have no partner: one cut off,
// one torn.
const (
	sameInterval = 0.002
	shareMatched = 0.98
	fewRows      = 2
)

// match finds the rows of rec at the times of base, or says why they are not
// samples of the same moments.
func match(base, rec *Recording) (m matching, err error) {
	a, b := base.interval(), rec.interval()
	for _, r := range []*Recording{base, rec} {
		if slices.Contains(r.Edge, true) {
			return m, fmt.Errorf("the rows of %s are changes of levels and not samples", r.Name)
		}
	}
	if !(math.Abs(a-b) <= sameInterval*a) {
		return m, fmt.Errorf("their rows are not equally far apart: %.4g us in %s, %.4g us in %s", 1e6*a, base.Name, 1e6*b, rec.Name)
	}
	m = pair(base, rec, a)
	matched := 0
	for _, k := range m.row {
		if k >= 0 {
			matched++
		}
	}
	m.without = base.Rows() + rec.Rows() - 2*matched
	if most := max(base.Rows(), rec.Rows()); matched < most-fewRows && float64(matched) < shareMatched*float64(most) {
		return m, fmt.Errorf("they are not of the same time: %s from %.4g to %.4g s, %s from %.4g to %.4g s",
			base.Name, base.Start, base.Start+base.Seconds(), rec.Name, rec.Start, rec.Start+rec.Seconds())
	}
	return m, nil
}

// pair pairs each row of base with the row of rec nearest to it, after the first
// pair's difference is taken off: rounded times jump to and fro.
func pair(base, rec *Recording, interval float64) (m matching) {
	m.row = make([]int, base.Rows())
	first, begun, n, sum := 0.0, false, 0, 0.0
	k := 0
	off := func(i, k int) float64 { return rec.Start + rec.Time[k] - base.Start - base.Time[i] - first }
	for i := range m.row {
		m.row[i] = -1
		for k+1 < rec.Rows() && math.Abs(off(i, k+1)) < math.Abs(off(i, k)) {
			k++
		}
		if d := off(i, k); math.Abs(d) <= 0.5*interval*(1+sameInterval) && (i == 0 || m.row[i-1] != k) {
			if m.row[i] = k; !begun {
				first, begun, d = d, true, 0
			}
			n, sum = n+1, sum+d
		}
	}
	if n > 0 {
		m.later = first + sum/float64(n)
	}
	if math.Abs(m.later) < sameInterval*interval {
		m.later = 0
	}
	return m
}

// interval returns the median time from row to row; NaN for fewer than two rows.
func (r *Recording) interval() float64 {
	n := len(r.Time)
	if n < 2 {
		return math.NaN()
	}
	steps := make([]float64, 0, n-1)
	for i := range r.Time[1:] {
		steps = append(steps, r.Time[i+1]-r.Time[i])
	}
	slices.Sort(steps)
	middle := steps[len(steps)/2]
	// Rounded times have few different steps; their mean is nearer to the truth.
	sum, count := 0.0, 0
	for _, d := range steps {
		if math.Abs(d-middle) < middle/2 {
			sum, count = sum+d, count+1
		}
	}
	return sum / float64(count)
}

// values returns a column's values at the rows of the other recording; v itself
// where these are its own.
func (m matching) values(v []float64) []float64 {
	if m.without == 0 {
		return v
	}
	out := make([]float64, len(m.row))
	for i, k := range m.row {
		out[i] = Missing
		if k >= 0 {
			out[i] = v[k]
		}
	}
	return out
}
