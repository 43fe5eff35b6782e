package emf

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// rails are the values at which each column is clipped; NaN where it is not.
type rails [3]struct{ bottom, top float64 }

func (r rails) any() bool {
	for _, c := range r {
		if !math.IsNaN(c.bottom) || !math.IsNaN(c.top) {
			return true
		}
	}
	return false
}

// Limited reports whether a column is cut off at both its limits.
func (s *Signals) Limited() bool {
	for _, c := range s.findRails() {
		if !math.IsNaN(c.bottom) && !math.IsNaN(c.top) {
			return true
		}
	}
	return false
}

// findRails looks for clipping in every column.
func (s *Signals) findRails() rails {
	var r rails
	for c := range r {
		r[c].bottom, r[c].top = math.NaN(), math.NaN()
	}
	for c, ch := range s.Channels {
		r[c].bottom, r[c].top = rail(ch.Value, +1, ch.Noise), -rail(ch.Value, -1, ch.Noise)
	}
	return r
}

// railShare is the least share of the samples that lies on a rail, and
// railPeak how many times denser they lie there than just above it. A sine of
// constant amplitude, the sharpest unclipped case, has 5.2 (the square root of
// 2 against the mean of the steps from there to the square root of 5).
// railRange is the least range of a column that can be clipped, in the same
// width, three standard deviations of the noise: a dead column has less. Of the range
// the farthest railRare of the samples do not count, which a dead column may have of sparks.
const (
	railRare  = 0.005
	railShare = 0.01
	railPeak  = 12.0
	railRange = 6.0
)

// rail returns the highest value that counts as clipped at the bottom of v times
// sign, or NaN where that is not clipped there. A rail is a pile of samples in the
// lowest two widths: one suffices for a converter's end, a diode's knee has noise.
// Of few samples a turn the harmonics pass for noise, so that smaller widths are
// tried first, by which a converter's end is seen for what it is. Where such an end cuts
// the noise of a lead at rest in half, the other half lies above it: a rail is as wide as
// the widest pile that has as much above the end as noise has, with the tail of its noise.
func rail(v []float64, sign, sigma float64) float64 {
	low, high := math.Inf(1), usualHigh(v, sign)
	for _, x := range v {
		if !math.IsNaN(x) {
			low = min(low, sign*x)
		}
	}
	widest := max(3*sigma, 1e-9*math.Abs(low))
	if !(widest > 0) || math.IsInf(widest, 1) { // no values, or none that differ
		return math.NaN()
	}
	width, step := widest, quantum(v)
	for range narrower {
		if width/2 >= step && width/2 > 0 {
			width /= 2
		}
	}
	end := math.NaN()
	for ; width <= widest; width *= 2 {
		if high-low < railRange*width || !piles(v, sign, low, width) {
			continue
		}
		if top := low + 2*width; math.IsNaN(end) || within(v, sign, top) > (1+noiseHalf)*within(v, sign, end) {
			end = top
		}
	}
	return math.Min(overTail(v, sign, low, end), low+(high-low)/2)
}

// overTail returns the end of a rail with the tail of its noise in it: more of its widths, as
// long as each has tailPeak times as many samples as the mean of those beyond. A sample of
// the tail taken for one of the wave is off by as much as the wave is high.
func overTail(v []float64, sign, low, end float64) float64 {
	const most, beyond, tailPeak, few = 3, 4, 6.0, 4
	width := (end - low) / 2
	for range most {
		next := within(v, sign, end+width)
		plain := (within(v, sign, end+(1+beyond)*width) - next) / beyond
		if !(next-within(v, sign, end) > max(few, tailPeak*plain)) {
			break
		}
		end += width
	}
	return end
}

// usualHigh returns the value that railRare of the samples of v times sign exceed.
func usualHigh(v []float64, sign float64) float64 {
	some := inOrder(len(v), func(i int) float64 { return sign * v[i] })
	if len(some) == 0 {
		return math.Inf(-1)
	}
	return some[len(some)-1-int(railRare*float64(len(some)))]
}

// noiseHalf is what noise that is cut in half leaves above the end, as a share of what
// lies on it: as much, less what is on the end by rounding.
const noiseHalf = 0.5

// within counts the samples of v times sign that are no higher than top.
func within(v []float64, sign, top float64) float64 {
	n := 0
	for _, x := range v {
		if sign*x <= top {
			n++
		}
	}
	return float64(n)
}

// narrower is how often the width is halved.
const narrower = 6

// piles reports whether the samples of v times sign are piled up in the lowest two
// widths from low on.
func piles(v []float64, sign, low, width float64) bool {
	var count [5]int
	n := 0
	for _, x := range v {
		if math.IsNaN(x) {
			continue
		}
		n++
		if d := (sign*x - low) / width; d < float64(len(count)) {
			count[int(d)]++
		}
	}
	pile := float64(count[0] + count[1])
	above := float64(count[2]+count[3]+count[4]) / 3
	return pile >= max(railShare*float64(n), railPeak*above)
}

// flatShare is the share of a pile's variance that waves without clipping must leave
// to be better than a limit, which leaves all of it.
const flatShare = 0.5

// confirmed returns the rails without those that are flat tops of the waves: at a
// steady speed they, too, are piles. But they grow with the speed, however little it
// varies, and a limit does not. Where that does not tell, waves that are not clipped must
// explain how the values vary within the pile, where at a limit there is nothing but noise.
func (s *Signals) confirmed(r rails) rails {
	if !s.varies(r) {
		return r
	}
	f := FitReading(Reading{s, s.clippedGuide(r, s.censored(r))}, ByHand)
	if f == nil {
		return r
	}
	for c := range f.Signals.Channels {
		if f.isWave(c, func(x float64) bool { return x <= r[c].bottom }) {
			r[c].bottom = math.NaN()
		}
		if f.isWave(c, func(x float64) bool { return x >= r[c].top }) {
			r[c].top = math.NaN()
		}
	}
	return r
}

// isWave reports whether a pile of channel c belongs to the waves.
func (f *Fit) isWave(c int, inPile func(x float64) bool) bool {
	power, sd := f.pileGrowth(c, inPile)
	if power-3*sd > 0.5 { // 1 for a wave, less if its flanks are in the pile; 0 for a limit
		return true
	}
	return refuted(f.Signals.Channels[c].Value, f.Residual[c], inPile)
}

// pileGrowth returns the power of the speed with which a pile's distance from the offset
// grows, and its standard deviation, by regression; sd is infinite for no pile.
func (f *Fit) pileGrowth(c int, inPile func(x float64) bool) (power, sd float64) {
	offset := f.Wave[c][f.PerChannel()-1]
	var rate, size []float64
	for _, st := range f.Signals.Stretches {
		for i := st.Lo; i < st.Hi; i++ {
			if x := f.Signals.Channels[c].Value[i]; inPile(x) {
				_, w := f.Angle.AtTime(f.Signals.Time[i])
				rate, size = append(rate, math.Abs(w)), append(size, math.Abs(x-offset))
			}
		}
	}
	n := float64(len(rate))
	if n < 3 {
		return 0, math.Inf(1)
	}
	w, y := stat.Mean(rate, nil), stat.Mean(size, nil)
	var ww, wy, yy float64
	for i := range rate {
		dw, dy := rate[i]/w-1, size[i]/y-1
		ww, wy, yy = ww+dw*dw, wy+dw*dy, yy+dy*dy
	}
	return wy / ww, math.Sqrt(math.Max(0, yy-wy*wy/ww) / (n - 2) / ww)
}

// A column of which cutShare of the samples are at its two limits, of them a tenth or
// more at each, shows so little of its waves that their size is what the harmonics are
// taken for: on simulated motors it is within 1 % up to a half, and off by up to 20 %
// beyond. Half waves are at one limit.
const (
	cutShare = 0.5
	cutEach  = 0.1
)

// cut reports whether so much of a column is at its two limits that the waves' size is not
// known.
func (s *Signals) cut(r rails) bool {
	for c, ch := range s.Channels {
		n, low, high := within(ch.Value, 1, math.Inf(1)), within(ch.Value, 1, r[c].bottom), within(ch.Value, -1, -r[c].top)
		if min(low, high) > cutEach*n && low+high > cutShare*n {
			return true
		}
	}
	return false
}

// varies reports whether the values in a pile differ by more than a converter's step.
func (s *Signals) varies(r rails) bool {
	for c, ch := range s.Channels {
		var low, high []float64
		for _, x := range ch.Value {
			if x <= r[c].bottom {
				low = append(low, x)
			}
			if x >= r[c].top {
				high = append(high, x)
			}
		}
		if step := quantum(ch.Value); variance(low) > step*step || variance(high) > step*step {
			return true
		}
	}
	return false
}

// refuted reports whether waves without clipping, which leave the given residuals,
// explain the values in a pile better than a limit does.
func refuted(v, residual []float64, inPile func(float64) bool) bool {
	var pile []float64
	left := 0.0
	for i, x := range v {
		if inPile(x) && !math.IsNaN(residual[i]) {
			pile = append(pile, x)
			left += residual[i] * residual[i]
		}
	}
	return left < flatShare*variance(pile)*float64(len(pile))
}
