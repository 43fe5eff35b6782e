package emf

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

// Readings returns the ways in which the columns of rec may be read, the likely
// one first, none where there is no phase column with samples.
func Readings(rec *capture.Recording) []Reading {
	s := Columns(rec)
	if len(s.Channels) == 0 || len(s.Stretches) == 0 {
		return nil
	}
	if rec.Columns[0].Signal.Difference() {
		return []Reading{s.betweenLeads(rec)}
	}
	for c, col := range rec.Columns {
		s.Lead[col.Signal][c] = 1
		s.Known[col.Signal] = true
	}
	rails := s.findRails()
	s.Cut = s.cut(rails)
	if len(s.Channels) < 3 {
		c := s.censored(rails)
		return []Reading{{c, c}}
	}
	if !rails.any() {
		if s.referenceMoves() {
			return s.moving(s.differences(rails, leaveClipped))
		}
		return []Reading{{s, s}}
	}
	if rails = s.confirmed(rails); !rails.any() {
		return []Reading{{s, s}}
	}
	c := s.censored(rails)
	guide := s.clippedGuide(rails, c)
	lowest := s.differences(rails, keepBottom)
	out := []Reading{{c, guide}, {lowest, lowest}, {s.differences(rails, leaveClipped), guide}}
	if c.oneAtBottom() && !s.Cut {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// thinShare is how thin the plane of the differences is at most where a phase is reversed and
// weak: a line at half its strength, a third as thick as wide at all of it.
const thinShare = 0.3

// moving returns the readings of columns whose mean moves as no fixed combination of their
// differences d does. Where these are nearly in a line there is none, whatever the mean is.
func (s *Signals) moving(d *Signals) []Reading {
	if p, ok := d.whiten(); ok && p.flat < thinShare {
		return []Reading{{s, s}, {d, d}}
	}
	return []Reading{{d, d}}
}

// clippedGuide returns what the rotor of clipped columns is followed by, of which
// bounds has the bounds.
func (s *Signals) clippedGuide(r rails, bounds *Signals) *Signals {
	guide := s.differences(r, keepClipped)
	guide.saturated = bounds.saturation()
	return guide
}

// oneAtBottom reports whether on average one column lies at its bottom and hardly ever
// none, as where a diode holds the lowest lead; of half waves there are one and a half.
func (s *Signals) oneAtBottom() bool {
	moving, low, some := 0, 0, 0
	for i := range s.Time {
		n := 0
		for _, ch := range s.Channels {
			if ch.Bound != nil && ch.Bound[i] == AtMost {
				n++
			}
		}
		if n < len(s.Channels) { // all of them are when the rotor rests
			moving, low, some = moving+1, low+n, some+min(n, 1)
		}
	}
	all := math.Max(1, float64(moving))
	mean := float64(low) / all
	return mean > 0.75 && mean < 1.25 && float64(some) > 0.85*all
}

// halfShare is the share of bounds from which a column is clipped to half of
// its wave, which scales with the speed as the whole does.
const halfShare = 0.4

// saturation marks the samples at which a column is at a limit, so that the
// columns' size no longer grows with the speed.
func (s *Signals) saturation() []bool {
	out := make([]bool, len(s.Time))
	for _, ch := range s.Channels {
		n := 0
		for _, b := range ch.Bound {
			if b != Exact {
				n++
			}
		}
		if float64(n) > halfShare*float64(len(s.Time)) {
			continue
		}
		for i, b := range ch.Bound {
			out[i] = out[i] || b != Exact
		}
	}
	return out
}

// censored returns s with the samples on the rails turned into bounds.
func (s *Signals) censored(r rails) *Signals {
	out := *s
	out.Channels = append([]Channel(nil), s.Channels...)
	out.Clipped = r.any()
	for c := range out.Channels {
		ch := &out.Channels[c]
		if math.IsNaN(r[c].bottom) && math.IsNaN(r[c].top) {
			continue
		}
		ch.Bound = make([]Bound, len(ch.Value))
		for i, v := range ch.Value {
			switch {
			case v <= r[c].bottom:
				ch.Bound[i] = AtMost
			case v >= r[c].top:
				ch.Bound[i] = AtLeast
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
func (s *Signals) referenceMoves() bool {
	var n ridge.Ridge
	power, sigma := 0.0, 0.0
	for i := range s.Time {
		a, b, m := s.clarke(i)
		if math.IsNaN(m) || s.bounded(i) {
			continue
		}
		n.Add([]float64{1, a, b}, m)
		power += a*a + b*b
	}
	for _, ch := range s.Channels {
		sigma += ch.Noise * ch.Noise / 9
	}
	if n.Count < 10 {
		return false
	}
	left := n.Residual(n.Solve())
	power -= (n.Mean(1)*n.Mean(1) + n.Mean(2)*n.Mean(2)) * float64(n.Count)
	return left > 16*sigma && left > moveShare*moveShare*power/float64(n.Count)
}

// bounded reports whether a channel is clipped at sample i.
func (s *Signals) bounded(i int) bool {
	for _, ch := range s.Channels {
		if ch.Bound != nil && ch.Bound[i] != Exact {
			return true
		}
	}
	return false
}

// clarke returns row i's two orthonormal differences and the mean of its three
// columns (Clarke's transformation with equal power).
func (s *Signals) clarke(i int) (alpha, beta, mean float64) {
	a, b, c := s.Channels[0].Value[i], s.Channels[1].Value[i], s.Channels[2].Value[i]
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
func (s *Signals) differences(r rails, mode clipping) *Signals {
	out := &Signals{Time: s.Time, Stretches: s.Stretches, Lead: fromClarke,
		Known: [3]bool{true, true, true}, Floating: true, Clipped: mode == leaveClipped && r.any(), Cut: s.Cut}
	aligned := &Signals{Time: s.Time}
	for c, ch := range s.Channels {
		v := ch.aligned(s.Time)
		for i, x := range ch.Value {
			if mode != keepClipped && x >= r[c].top || mode == leaveClipped && x <= r[c].bottom {
				v[i] = math.NaN()
			}
		}
		aligned.Channels = append(aligned.Channels, Channel{Value: v})
	}
	alpha, beta := make([]float64, len(s.Time)), make([]float64, len(s.Time))
	for i := range s.Time {
		alpha[i], beta[i], _ = aligned.clarke(i)
	}
	out.Channels = []Channel{{Value: alpha, Noise: noise(alpha)}, {Value: beta, Noise: noise(beta)}}
	return out
}

// aligned returns the samples as they would have been at t: the parabola
// through three neighbours taken back by the skew.
func (ch Channel) aligned(t []float64) []float64 {
	out := append([]float64(nil), ch.Value...)
	if ch.Skew == 0 {
		return out
	}
	for i := 1; i+1 < len(t); i++ {
		h := (t[i+1] - t[i-1]) / 2
		x := -ch.Skew / h
		if !(math.Abs(x) < 1) {
			continue
		}
		before, now, after := ch.Value[i-1], ch.Value[i], ch.Value[i+1]
		v := now + x*(after-before)/2 + x*x*(after-2*now+before)/2
		if !math.IsNaN(v) {
			out[i] = v
		}
	}
	return out
}

// betweenLeads reads columns of differences. Two whole ones tell as much as three; clipped
// ones are kept apart, since each has its own bounds.
func (s *Signals) betweenLeads(rec *capture.Recording) Reading {
	whole := s.fromDifferences(rec)
	rails := s.findRails()
	if !rails.any() {
		return Reading{whole, whole}
	}
	s.Lead, s.Known, s.Floating = differencesOf(rec), whole.Known, true
	s.Cut = s.cut(rails)
	if len(s.Channels) < 3 {
		c := s.censored(rails)
		return Reading{c, c}
	}
	if rails = s.confirmed(rails); !rails.any() {
		return Reading{whole, whole}
	}
	c := s.censored(rails)
	return Reading{c, s.clippedGuide(rails, c)}
}

// differencesOf gives the leads as combinations of columns of differences: each is a third
// of its difference to the next one less that of the one before to it. Differences that are
// missing share what the others leave of nothing, so that of a single one each lead has half.
func differencesOf(rec *capture.Recording) (lead [3][3]float64) {
	var seen [3]bool
	for _, col := range rec.Columns {
		seen[col.Signal-capture.P12] = true
	}
	var column [3][3]float64 // of p12, p23 and p31, by columns
	for c, col := range rec.Columns {
		for k := range column {
			if !seen[k] {
				column[k][c] = -1 / float64(3-len(rec.Columns))
			}
		}
		column[col.Signal-capture.P12][c] = 1
	}
	for k := range lead {
		for c := range rec.Columns {
			lead[k][c] = (column[k][c] - column[(k+2)%3][c]) / 3
		}
	}
	return lead
}

// fromDifferences reads columns p12, p23, p31. Two of them determine all three
// leads but for the reference; a third adds to the precision.
func (s *Signals) fromDifferences(rec *capture.Recording) *Signals {
	out := &Signals{Time: s.Time, Stretches: s.Stretches, Floating: true}
	if len(rec.Columns) == 1 {
		out.Channels = s.Channels
		sig := rec.Columns[0].Signal - capture.P12
		out.Lead[sig][0], out.Lead[(sig+1)%3][0] = 0.5, -0.5
		return out
	}
	var d [3][]float64
	for c, col := range rec.Columns {
		d[col.Signal-capture.P12] = s.Channels[c].aligned(s.Time)
	}
	alpha, beta := make([]float64, len(s.Time)), make([]float64, len(s.Time))
	for i := range s.Time {
		p12, p23, p31 := lineVoltages(d, i)
		alpha[i], beta[i] = (p12-p31)/math.Sqrt(6), p23/math.Sqrt2
	}
	out.Channels = []Channel{{Value: alpha, Noise: noise(alpha)}, {Value: beta, Noise: noise(beta)}}
	out.Lead, out.Known = fromClarke, [3]bool{true, true, true}
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
