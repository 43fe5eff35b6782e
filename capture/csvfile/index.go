package csvfile

import "math"

// setIndex finds the pulses of the index column: it has two levels, and the one that it
// has for less of the time is the pulse. A column of another sort is not used.
func (r *reader) setIndex() {
	if r.index == nil {
		return
	}
	s := twoLevels(r.index)
	pulse := s.high
	if above(r.index, s.middle()) > len(r.index)/2 {
		pulse = s.low
	}
	if !(s.width() > apart*s.spread) || counts(r.index) {
		r.note("the column index does not swing between two levels; it is not used")
		return
	}
	band, inside := hysteresis*s.width(), true // a pulse at the first row began before
	for i, v := range r.index {
		off := (v - s.middle()) * math.Copysign(1, pulse-s.middle())
		switch {
		case off > band && !inside:
			r.rec.Index = append(r.rec.Index, r.rec.Time[i])
			inside = true
		case off < -band:
			inside = false
		}
	}
}

// above counts the values above a level.
func above(values []float64, level float64) int {
	n := 0
	for _, v := range values {
		if v > level {
			n++
		}
	}
	return n
}
