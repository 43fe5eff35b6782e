package csvfile

import (
	"math"
	"slices"
	"strconv"

	"handspin/capture"
)

// A line of the analogue Hall columns swings where its two levels are apart by
// so many standard deviations within a level, by this share of the widest swing
// and by this share of the highest level. Parted at its mean, normal noise has
// its halves 2.6 deviations apart (2m/sqrt(1-m^2), m = sqrt(2/pi)), evenly spread
// values 3.5 (sqrt 12), and a sine, which is what a linear Hall sensor gives, 4.1
// (the same with m = 2 sqrt(2)/pi); clean levels have far more.
const (
	apart      = 4
	shareSwing = 0.2
	shareLevel = 0.1
)

// hysteresis is how far the level must pass the middle between low and high to
// count as changed, as a share of the swing.
const hysteresis = 0.15

// swing is a line's two levels, in the line's own unit.
type swing struct {
	low, high float64
	// spread is the standard deviation of the values from their level.
	spread float64
	// mean is that of all values, NaN where there are none.
	mean float64
}

func (s swing) width() float64  { return s.high - s.low }
func (s swing) middle() float64 { return (s.low + s.high) / 2 }

// setLevels finds the Hall levels of h1 h2 h3 columns.
func (r *reader) setLevels() {
	r.inVolts()
	if r.digital() {
		for i, values := range r.lines {
			setLevel(r.rec.Hall, i, values, 0.5, 0)
		}
		return
	}
	swings := r.swings()
	reference, any := referenceLevel(swings)
	for i, values := range r.lines {
		s := swings[i]
		if values != nil && !math.IsNaN(s.mean) {
			r.rec.Swings[i] = capture.Swing{Known: true, Low: s.low, High: s.high, Volts: r.isVolts(i)}
		}
		switch {
		case values == nil:
		case s.width() > 0:
			band := hysteresis * s.width()
			setLevel(r.rec.Hall, i, values, s.middle(), band)
			r.note("h%d is taken for analogue: it swings from %s to %s; high above %.3g, low below %.3g", i+1, shortLevel(s.low, s.width()), shortLevel(s.high, s.width()), s.middle()+band, s.middle()-band)
		case any && !math.IsNaN(s.mean):
			setLevel(r.rec.Hall, i, values, reference, math.Inf(1))
			r.note("h%d does not swing; it is taken for %s, since the others change at %.3g", i+1, levelName(s.mean > reference), reference)
		default:
			r.note("h%d does not swing and nothing tells its level", i+1)
		}
	}
}

// inVolts brings the h1 h2 h3 columns whose unit is known to volts, since their
// levels are compared.
func (r *reader) inVolts() {
	for _, c := range r.lay.used {
		if !c.field.isLine() || c.unit.size == 0 || c.unit == volt {
			continue
		}
		for k := range r.lines[c.field.lead()] {
			r.lines[c.field.lead()][k] *= c.unit.size
		}
	}
}

// isVolts reports whether the unit of h1, h2 or h3 is known; it is volts then.
func (r *reader) isVolts(lead int) bool {
	return slices.ContainsFunc(r.lay.used, func(c column) bool { return c.field == fieldH1+field(lead) && c.unit.size != 0 })
}

func levelName(high bool) string {
	if high {
		return "high"
	}
	return "low"
}

// digital reports whether all lines have zeros and ones only.
func (r *reader) digital() bool {
	for _, values := range r.lines {
		for _, v := range values {
			if v != 0 && v != 1 && !math.IsNaN(v) {
				return false
			}
		}
	}
	return true
}

// setLevel sets the level of lead i in every row: high from middle+band up, low
// from middle-band down, between them as before. With an infinite band it stays
// as it began. The first value is judged by the middle.
func setLevel(hall []capture.Levels, i int, values []float64, middle, band float64) {
	high, begun := false, false
	for k, v := range values {
		if math.IsNaN(v) {
			continue
		}
		switch {
		case !begun:
			high, begun = v > middle, true
		case high && v < middle-band:
			high = false
		case !high && v > middle+band:
			high = true
		}
		hall[k] = hall[k].With(i, high)
	}
}

// swings returns the levels of every line; the width is 0 where it has none or
// does not swing.
func (r *reader) swings() (out [3]swing) {
	widest, highest := 0.0, 0.0
	for i, values := range r.lines {
		s := twoLevels(values)
		if s.width() > apart*s.spread {
			widest = max(widest, s.width())
			highest = max(highest, math.Abs(s.low), math.Abs(s.high))
		}
		out[i] = s
	}
	for i, s := range out {
		w := s.width()
		if !(w > apart*s.spread && w >= shareSwing*widest && w >= shareLevel*highest) {
			out[i].low, out[i].high = s.mean, s.mean
		}
	}
	return out
}

// referenceLevel returns the mean of the middles of the lines that swing.
func referenceLevel(swings [3]swing) (reference float64, any bool) {
	n := 0
	for _, s := range swings {
		if s.width() > 0 {
			reference += s.middle()
			n++
		}
	}
	return reference / float64(n), n > 0
}

// rounds bounds the iteration of twoLevels; two or three are enough for a line
// that swings.
const rounds = 20

// twoLevels parts the values into two groups, each nearer to its own mean than
// to the other's (Lloyd's iteration with two means, from lowest and highest).
func twoLevels(values []float64) swing {
	s := bounds(values)
	for range rounds {
		next := parted(values, s.middle())
		if next == s {
			break
		}
		s = next
	}
	return s
}

func bounds(values []float64) swing {
	s := swing{low: math.Inf(1), high: math.Inf(-1)}
	for _, v := range values {
		s.low, s.high = min(s.low, orElse(v, s.low)), max(s.high, orElse(v, s.high))
	}
	return s
}

// parted returns the means of the values up to middle and above it, and their
// spread about them.
func parted(values []float64, middle float64) swing {
	var n, sum, squares [2]float64
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		g := 0
		if v > middle {
			g = 1
		}
		d := v - middle // near the values, so that the squares lose no digits
		n[g]++
		sum[g] += d
		squares[g] += d * d
	}
	all := n[0] + n[1]
	s := swing{mean: middle + (sum[0]+sum[1])/all}
	if n[0] == 0 || n[1] == 0 {
		s.low, s.high = s.mean, s.mean
		return s
	}
	low, high := sum[0]/n[0], sum[1]/n[1]
	within := squares[0] - low*sum[0] + squares[1] - high*sum[1]
	s.low, s.high = middle+low, middle+high
	s.spread = math.Sqrt(max(within, 0) / all)
	return s
}

// shortLevel prints a level to three digits, one that is nothing against the swing as 0.
func shortLevel(level, width float64) string {
	if math.Abs(level) < 1e-3*width {
		level = 0
	}
	return strconv.FormatFloat(level, 'g', 3, 64)
}
