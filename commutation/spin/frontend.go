package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation/spin/ridge"
)

// A recording's columns can be read in two ways. As voltages of the leads,
// each with its own offset, gain and clipping; or as differences only, where
// the reference moves: an unpowered controller's diodes hold the lowest lead
// down, or the whole motor picks up hum. Which one holds is seen from the
// columns, and where it is not, both are fitted and the better one is kept.

// readings returns the ways in which the columns of rec may be read, the likely
// one first, none where there is no phase column with samples.
func readings(rec *capture.Recording) []reading {
	s := columns(rec)
	if len(s.ch) == 0 || len(s.stretches) == 0 {
		return nil
	}
	if rec.Columns[0].Signal.Difference() {
		d := s.fromDifferences(rec)
		return []reading{{d, d}}
	}
	for c, col := range rec.Columns {
		s.lead[col.Signal][c] = 1
		s.known[col.Signal] = true
	}
	rails := s.findRails()
	if len(s.ch) < 3 {
		c := s.censored(rails)
		return []reading{{c, c}}
	}
	if !rails.any() {
		if s.referenceMoves() {
			s = s.differences(rails, leaveClipped)
		}
		return []reading{{s, s}}
	}
	if rails = s.confirmed(rails); !rails.any() {
		return []reading{{s, s}}
	}
	c := s.censored(rails)
	guide := s.clippedGuide(rails, c)
	lowest := s.differences(rails, keepBottom)
	out := []reading{{c, guide}, {lowest, lowest}, {s.differences(rails, leaveClipped), guide}}
	if c.oneAtBottom() {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// clippedGuide returns what the rotor of clipped columns is followed by, of which
// bounds has the bounds.
func (s *signals) clippedGuide(r rails, bounds *signals) *signals {
	guide := s.differences(r, keepClipped)
	guide.saturated = bounds.saturation()
	return guide
}

// oneAtBottom reports whether on average one column lies at its bottom, as where
// a diode holds the lowest lead; of half waves there are one and a half.
func (s *signals) oneAtBottom() bool {
	moving, low := 0, 0
	for i := range s.t {
		n := 0
		for _, ch := range s.ch {
			if ch.bound != nil && ch.bound[i] == atMost {
				n++
			}
		}
		if n < len(s.ch) { // all of them are when the rotor rests
			moving, low = moving+1, low+n
		}
	}
	mean := float64(low) / math.Max(1, float64(moving))
	return mean > 0.75 && mean < 1.25
}

// halfShare is the share of bounds from which a column is clipped to half of
// its wave, which scales with the speed as the whole does.
const halfShare = 0.4

// saturation marks the samples at which a column is at a limit, so that the
// columns' size no longer grows with the speed.
func (s *signals) saturation() []bool {
	out := make([]bool, len(s.t))
	for _, ch := range s.ch {
		n := 0
		for _, b := range ch.bound {
			if b != exact {
				n++
			}
		}
		if float64(n) > halfShare*float64(len(s.t)) {
			continue
		}
		for i, b := range ch.bound {
			out[i] = out[i] || b != exact
		}
	}
	return out
}

// censored returns s with the samples on the rails turned into bounds.
func (s *signals) censored(r rails) *signals {
	out := *s
	out.ch = append([]channel(nil), s.ch...)
	for c := range out.ch {
		ch := &out.ch[c]
		if math.IsNaN(r[c].bottom) && math.IsNaN(r[c].top) {
			continue
		}
		ch.bound = make([]bound, len(ch.v))
		for i, v := range ch.v {
			switch {
			case v <= r[c].bottom:
				ch.bound[i] = atMost
			case v >= r[c].top:
				ch.bound[i] = atLeast
			}
		}
	}
	return &out
}

// moveShare is the largest part of the back-EMF, as a ratio of effective
// values, by which the mean of three leads may differ from a fixed combination
// of the differences before the reference counts as moving. Third harmonics of
// a motor with a true star point stay below it.
const moveShare = 0.12

// referenceMoves reports whether the mean of the three columns does something
// that neither a fixed reference nor gains explain: it regresses the mean on
// the two independent differences and looks at what is left.
func (s *signals) referenceMoves() bool {
	var n ridge.Ridge
	power, sigma := 0.0, 0.0
	for i := range s.t {
		a, b, m := s.clarke(i)
		if math.IsNaN(m) || s.bounded(i) {
			continue
		}
		n.Add([]float64{1, a, b}, m)
		power += a*a + b*b
	}
	for _, ch := range s.ch {
		sigma += ch.noise * ch.noise / 9
	}
	if n.Count < 10 {
		return false
	}
	left := n.Residual(n.Solve())
	power -= (n.Mean(1)*n.Mean(1) + n.Mean(2)*n.Mean(2)) * float64(n.Count)
	return left > 16*sigma && left > moveShare*moveShare*power/float64(n.Count)
}

// bounded reports whether a channel is clipped at sample i.
func (s *signals) bounded(i int) bool {
	for _, ch := range s.ch {
		if ch.bound != nil && ch.bound[i] != exact {
			return true
		}
	}
	return false
}

// clarke returns row i's two orthonormal differences and the mean of its three
// columns (Clarke's transformation with equal power).
func (s *signals) clarke(i int) (alpha, beta, mean float64) {
	a, b, c := s.ch[0].v[i], s.ch[1].v[i], s.ch[2].v[i]
	return (2*a - b - c) / math.Sqrt(6), (b - c) / math.Sqrt2, (a + b + c) / 3
}

// fromClarke gives the leads' voltages, less their mean, from alpha and beta:
// sqrt(2/3), -1/sqrt(6) and +-1/sqrt(2).
var fromClarke = [3][3]float64{
	{0.816496580927726, 0},
	{-0.408248290463863, 1 / math.Sqrt2},
	{-0.408248290463863, -1 / math.Sqrt2},
}

// clipping says what becomes of clipped samples when differences are taken.
type clipping uint8

const (
	leaveClipped clipping = iota // they are left out: their difference is not known
	keepBottom                   // those at the bottom are a lead held there by a diode
	keepClipped                  // all are kept, for a rough angle
)

// differences returns the two channels in which a moving reference cancels.
// Columns sampled one after another are first brought to one instant.
func (s *signals) differences(r rails, mode clipping) *signals {
	out := &signals{t: s.t, stretches: s.stretches, lead: fromClarke,
		known: [3]bool{true, true, true}, floating: true}
	aligned := &signals{t: s.t}
	for c, ch := range s.ch {
		v := ch.aligned(s.t)
		for i, x := range ch.v {
			if mode != keepClipped && x >= r[c].top || mode == leaveClipped && x <= r[c].bottom {
				v[i] = math.NaN()
			}
		}
		aligned.ch = append(aligned.ch, channel{v: v})
	}
	alpha, beta := make([]float64, len(s.t)), make([]float64, len(s.t))
	for i := range s.t {
		alpha[i], beta[i], _ = aligned.clarke(i)
	}
	out.ch = []channel{{v: alpha, noise: noise(alpha)}, {v: beta, noise: noise(beta)}}
	return out
}

// aligned returns the samples as they would have been at t: the parabola
// through three neighbours taken back by the skew.
func (ch channel) aligned(t []float64) []float64 {
	out := append([]float64(nil), ch.v...)
	if ch.skew == 0 {
		return out
	}
	for i := 1; i+1 < len(t); i++ {
		h := (t[i+1] - t[i-1]) / 2
		x := -ch.skew / h
		if !(math.Abs(x) < 1) {
			continue
		}
		before, now, after := ch.v[i-1], ch.v[i], ch.v[i+1]
		v := now + x*(after-before)/2 + x*x*(after-2*now+before)/2
		if !math.IsNaN(v) {
			out[i] = v
		}
	}
	return out
}

// fromDifferences reads columns p12, p23, p31. Two of them determine all three
// leads but for the reference; a third adds to the precision.
func (s *signals) fromDifferences(rec *capture.Recording) *signals {
	out := &signals{t: s.t, stretches: s.stretches, floating: true}
	if len(rec.Columns) == 1 {
		out.ch = s.ch
		sig := rec.Columns[0].Signal - capture.P12
		out.lead[sig][0], out.lead[(sig+1)%3][0] = 0.5, -0.5
		return out
	}
	var d [3][]float64
	for c, col := range rec.Columns {
		d[col.Signal-capture.P12] = s.ch[c].aligned(s.t)
	}
	alpha, beta := make([]float64, len(s.t)), make([]float64, len(s.t))
	for i := range s.t {
		p12, p23, p31 := lineVoltages(d, i)
		alpha[i], beta[i] = (p12-p31)/math.Sqrt(6), p23/math.Sqrt2
	}
	out.ch = []channel{{v: alpha, noise: noise(alpha)}, {v: beta, noise: noise(beta)}}
	out.lead, out.known = fromClarke, [3]bool{true, true, true}
	return out
}

// lineVoltages returns the three differences of row i, the missing one from
// the others, since they add up to zero; three measured ones are made to.
func lineVoltages(d [3][]float64, i int) (p12, p23, p31 float64) {
	var v [3]float64
	absent, sum := -1, 0.0
	for k := range d {
		if d[k] == nil {
			absent = k
			continue
		}
		v[k] = d[k][i]
		sum += v[k]
	}
	if absent >= 0 {
		v[absent] = -sum
		return v[0], v[1], v[2]
	}
	return v[0] - sum/3, v[1] - sum/3, v[2] - sum/3
}
