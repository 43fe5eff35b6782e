package csvfile

import (
	"math"

	"handspin/capture"
)

// A value beyond the range is clipped there where one beside it is near an end of
// the column's range, by nearEnd of that, and where so many are that they cannot be
// chance: then they say where the wave was cut off. Otherwise it is missing.
const (
	nearEnd      = 0.1
	leastClipped = 0.01 // of a column's values
)

// beyond is a value that an instrument could not measure, with the sign that the
// file gives it.
func beyond(text []byte) float64 {
	if len(text) > 0 && text[0] == '-' {
		return math.Inf(-1)
	}
	return math.Inf(1)
}

// setOverflow puts in place of the values beyond the range the end of that, or says
// that they are missing.
func (r *reader) setOverflow() {
	if !r.overflow {
		return
	}
	clipped, lost := 0, 0
	count := func(c, l int) { clipped, lost = clipped+c, lost+l }
	for _, c := range r.rec.Columns {
		count(fillOverflow(c.Value))
	}
	for _, values := range r.lines {
		count(fillOverflow(values))
	}
	if clipped > 0 {
		r.note("values beyond the range beside values at its end: %d; they are taken for clipped there", clipped)
	}
	if lost > 0 {
		r.note("marks of a value beyond the range where nothing tells which end: %d; they are taken for missing", lost)
	}
}

// fillOverflow does so for one column, and returns how many were clipped and how
// many lost.
func fillOverflow(values []float64) (clipped, lost int) {
	s := finiteBounds(values)
	ends := map[int]float64{}
	marks := 0
	for i := 0; i < len(values); i++ {
		from := i
		for i < len(values) && !isFinite(values[i]) {
			i++
		}
		for k := from; k < i; k++ {
			if !math.IsInf(values[k], 0) {
				continue
			}
			marks++
			if end, ok := s.endBeside(values, from, i, values[k] < 0); ok {
				ends[k] = end
			}
			values[k] = capture.Missing
		}
	}
	if float64(len(ends)) < leastClipped*float64(len(values)) {
		return 0, marks
	}
	for k, end := range ends {
		values[k] = end
	}
	return len(ends), marks - len(ends)
}

func isFinite(v float64) bool { return !math.IsInf(v, 0) && !math.IsNaN(v) }

func finiteBounds(values []float64) swing {
	s := swing{low: math.Inf(1), high: math.Inf(-1)}
	for _, v := range values {
		if isFinite(v) {
			s.low, s.high = min(s.low, v), max(s.high, v)
		}
	}
	return s
}

// endBeside returns the end of the range at which the values around rows from up to
// to are, false where they are at none or at both, or at the upper one and the mark
// has a minus.
func (s swing) endBeside(values []float64, from, to int, minus bool) (end float64, ok bool) {
	top, bottom := false, false
	for _, k := range []int{from - 1, to} {
		if k >= 0 && k < len(values) {
			top = top || values[k] >= s.high-nearEnd*s.width()
			bottom = bottom || values[k] <= s.low+nearEnd*s.width()
		}
	}
	switch {
	case top == bottom || top && minus:
		return 0, false
	case top:
		return s.high, true
	}
	return s.low, true
}
