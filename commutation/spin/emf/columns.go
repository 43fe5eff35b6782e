package emf

import (
	"math"

	"handspin/capture"
	"handspin/capture/cores"
)

// Columns are the phase columns without the edge rows, as recorded or averaged
// in blocks where they were sampled faster than the back-EMF needs. They may be
// rec's own and are not to be changed.
func Columns(rec *capture.Recording) *Signals {
	s := &Signals{}
	block := blockSize(rec)
	for _, c := range rec.Columns {
		s.Channels = append(s.Channels, Channel{Skew: c.Skew})
	}
	switch {
	case block > 1:
		s.average(rec, block)
	case !hasEdgeRows(rec):
		s.Time = rec.Time
		for c, col := range rec.Columns {
			s.Channels[c].Value = col.Value
			s.Channels[c].Noise = noise(col.Value)
		}
	default:
		s.copySamples(rec)
	}
	s.floorNoise()
	s.Stretches = split(s.Time)
	return s
}

// isSample reports whether row i carries at least one phase value.
func isSample(rec *capture.Recording, i int) bool {
	for c := range rec.Columns {
		if !math.IsNaN(rec.Columns[c].Value[i]) {
			return true
		}
	}
	return false
}

func hasEdgeRows(rec *capture.Recording) bool {
	for i := range rec.Time {
		if !isSample(rec, i) {
			return true
		}
	}
	return false
}

// SampleInterval returns the median interval from one sample of rec to the next,
// 0 where there are none.
func SampleInterval(rec *capture.Recording) float64 {
	var d []float64
	step := max(1, rec.Rows()/maxProbe)
	for i := 0; i < rec.Rows(); i += step {
		from := nextSample(rec, i)
		if to := nextSample(rec, from+1); to < rec.Rows() {
			d = append(d, rec.Time[to]-rec.Time[from])
		}
	}
	return Median(d)
}

// nextSample returns the first row from i on that is a sample, or the number of
// rows.
func nextSample(rec *capture.Recording, i int) int {
	for i < rec.Rows() && !isSample(rec, i) {
		i++
	}
	return i
}

// copySamples takes the samples of rec over.
func (s *Signals) copySamples(rec *capture.Recording) {
	n := 0
	for i := range rec.Time {
		if isSample(rec, i) {
			n++
		}
	}
	s.Time = make([]float64, 0, n)
	for i, t := range rec.Time {
		if isSample(rec, i) {
			s.Time = append(s.Time, t)
		}
	}
	cores.Each(len(rec.Columns), func(c int) {
		v := make([]float64, 0, n)
		for i, x := range rec.Columns[c].Value {
			if isSample(rec, i) {
				v = append(v, x)
			}
		}
		s.Channels[c].Value, s.Channels[c].Noise = v, noise(v)
	})
}

// average takes over the means of every n neighbouring samples of rec; those
// before a gap that make no whole block are left out.
func (s *Signals) average(rec *capture.Recording, n int) {
	limit := GapLimit(rec)
	b := blockMean{last: math.Inf(-1)}
	for i, t := range rec.Time {
		if !isSample(rec, i) {
			continue
		}
		if t-b.last > limit {
			b = blockMean{}
		}
		b.add(rec, i)
		if b.rows == n {
			s.Time = append(s.Time, b.time/float64(n))
			for c := range s.Channels {
				s.Channels[c].Value = append(s.Channels[c].Value, b.sum[c]/float64(b.count[c])) // NaN for none
			}
			b = blockMean{last: t}
		}
	}
	for c, col := range rec.Columns {
		// A mean does not show the steps that its samples have.
		s.Channels[c].Noise = max(noise(s.Channels[c].Value), quantum(col.Value)/math.Sqrt(12*float64(n)))
	}
}

// blockMean adds up neighbouring samples.
type blockMean struct {
	rows       int
	time, last float64
	sum        [3]float64
	count      [3]int
}

func (b *blockMean) add(rec *capture.Recording, i int) {
	b.rows++
	b.last = rec.Time[i]
	b.time += rec.Time[i]
	for c := range rec.Columns {
		if v := rec.Columns[c].Value[i]; !math.IsNaN(v) {
			b.sum[c] += v
			b.count[c]++
		}
	}
}

// noise estimates the standard deviation of white noise on v, at least that of
// its quantisation. It is the scaled median absolute sixth difference, which a
// sine of eight samples a turn passes only to 0.2 of its amplitude while it
// multiplies white noise by sqrt(924) (the sum of the squared binomial
// coefficients of order 6); 1.4826 turns a median absolute deviation into a
// standard deviation of a Gaussian.
func noise(v []float64) float64 {
	step := max(1, len(v)/maxProbe)
	var d6 []float64
	for i := 3; i+3 < len(v); i += step {
		d := v[i-3] + v[i+3] - 6*(v[i-2]+v[i+2]) + 15*(v[i-1]+v[i+1]) - 20*v[i]
		if !math.IsNaN(d) {
			d6 = append(d6, math.Abs(d))
		}
	}
	return max(1.4826*Median(d6)/math.Sqrt(924), quantum(v)/math.Sqrt(12))
}

// quantum returns the smallest step of v; 0 where it has none. Of a long v runs
// of neighbours are looked at, here and there.
func quantum(v []float64) float64 {
	const run = 64
	least := math.Inf(1)
	for lo := 0; lo < len(v); lo += run * max(1, len(v)/(run*maxProbe)) {
		for i := lo + 1; i < min(lo+run+1, len(v)); i++ {
			if q := math.Abs(v[i] - v[i-1]); q > 0 && q < least {
				least = q
			}
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
