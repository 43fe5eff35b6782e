package csvfile

import (
	"bytes"
	"math"

	"handspin/capture"
	"handspin/capture/line"
)

// maxTime is the greatest time in any unit: up to it a float64 tells whole
// microseconds apart, and sums of times cannot overflow.
const maxTime = 1 << 53

// row is what one line says.
type row struct {
	time float64
	at   int
	hall capture.Levels
	// said is whether the row gives a Hall level at all.
	said   bool
	lines  [3]float64
	index  float64
	phases [6]float64
	// filled is how many phase cells are not empty.
	filled int
}

// row reads the line text[from:to] and keeps it, or counts it as damaged. The
// error is for a line after which the file means something else.
func (r *reader) row(from, to int) error {
	data, status := line.Strip(r.text[from:to])
	r.cells = split(r.text, from, from+len(data), r.lay.sep, r.cells[:0])
	filled := namedWidth(r.cells)
	if filled == 0 {
		return nil // a filler such as ,,,
	}
	r.ordinal++
	var problem *damage
	switch {
	case status == line.Wrong:
		problem = &damage{from, wrongSum}
	case status == line.Absent && r.sums.rows:
		problem = &damage{from, "the row has no sum, though others have: it is torn"}
	case !r.lay.fits(r.cells, filled):
		problem = r.widthProblem(filled)
	default:
		var w row
		w.at, w.time, w.hall = from, float64(r.ordinal-1), capture.UnknownLevels
		if problem = r.readCells(&w); problem == nil {
			r.sums.rows = r.sums.rows || status == line.Good
			r.keep(&w)
			return nil
		}
	}
	return r.reject(from, to, problem)
}

// reject counts a row as damaged, unless it is the names once more: a board that
// starts again sends them again.
func (r *reader) reject(from, to int, problem *damage) error {
	if r.isHead(from, to) {
		r.ordinal--
		return nil
	}
	if numbers, _ := r.numbers(r.cells); r.lay.table != nil && len(numbers) == 0 {
		r.between++
		r.ordinal--
		return r.otherUnits()
	}
	if r.opt.Columns == "" {
		again := r.recogniseLine(from, to, r.lay.sep)
		if again.complete(r.opt.SampleRate == 0) && r.words(again) == len(r.cells) {
			return r.fail(from, "split the file here", "the columns change within the file")
		}
	}
	r.damaged(problem.at, "%s", problem.msg)
	return nil
}

// isHead reports whether a line is the same as that of the names or of the units.
func (r *reader) isHead(from, to int) bool {
	text := r.text[from:to]
	return bytes.Equal(text, r.text[r.lay.from:r.lay.to]) || bytes.Equal(text, r.text[r.lay.unitFrom:r.lay.unitTo])
}

func (r *reader) readCells(w *row) *damage {
	for i := range r.lay.used {
		c := &r.lay.used[i]
		at := r.cells[c.index]
		text := r.text[at.from:at.to]
		var ok bool
		switch {
		case c.field == fieldTime:
			w.at = at.from
			w.time, ok = r.number(at)
			ok = ok && math.Abs(w.time) <= maxTime
		case c.field == fieldHall:
			w.hall, ok = hallDigits(text)
			switch {
			case ok:
			case withoutZeros(text) && r.zerosLost(c):
				w.hall, ok = digitLevels(text), true
			case hasBase(text):
				w.hall, ok = r.hallCode(at, 0)
			}
			w.said = len(text) > 0
		case c.field == fieldCode:
			w.hall, ok = r.hallCode(at, c.unit.base)
			w.said = len(text) > 0
		case c.field == fieldIndex:
			w.index, ok = r.optional(at)
		case c.bit > 0:
			w.lines[c.field.lead()], ok = wordLevel(text, c)
			w.said = w.said || len(text) > 0
		case c.field.isLine():
			w.lines[c.field.lead()], ok = r.optional(at)
			w.said = w.said || len(text) > 0
		default:
			w.phases[c.field.signal()], ok = r.optional(at)
			if len(text) > 0 {
				w.filled++
			}
		}
		if !ok {
			return r.cellProblem(c, at)
		}
	}
	if !w.said && w.filled == 0 {
		return &damage{w.at, "the row has neither Hall levels nor phase values"}
	}
	return nil
}

// keep appends the row to the recording.
func (r *reader) keep(w *row) {
	rec := r.rec
	rec.Time = append(rec.Time, w.time)
	rec.Hall = append(rec.Hall, w.hall)
	rec.Edge = append(rec.Edge, w.filled == 0 && len(rec.Columns) > 0 && r.opt.SampleRate == 0)
	r.at = append(r.at, uint32(w.at))
	for i := range rec.Columns {
		c := &rec.Columns[i]
		c.Value = append(c.Value, w.phases[c.Signal])
	}
	if r.index != nil {
		r.index = append(r.index, w.index)
	}
	for i := range r.lines {
		if r.lines[i] != nil {
			r.lines[i] = append(r.lines[i], w.lines[i])
		}
	}
}

// number reads a cell that must have a number.
func (r *reader) number(c cell) (float64, bool) {
	v, mark, ok := parseNumber(r.text[c.from:c.to])
	switch {
	case mark == '.' && r.marks[0] < 0:
		r.marks[0] = c.from
	case mark == ',' && r.marks[1] < 0:
		r.marks[1] = c.from
	}
	return v, ok
}

// optional reads a cell that may be empty or say that there is no value.
func (r *reader) optional(c cell) (float64, bool) {
	if c.from == c.to {
		return capture.Missing, true
	}
	v, ok := r.number(c)
	switch {
	case ok && math.Abs(v) < sentinel:
		return v, true
	case ok || overflowed(r.text[c.from:c.to]):
		r.overflow = true
		return beyond(r.text[c.from:c.to]), true
	case missing(r.text[c.from:c.to]):
		return capture.Missing, true
	}
	return 0, false
}

// hallDigits reads the levels of h1 h2 h3 from three digits; an x is a level
// that is not known.
func hallDigits(b []byte) (l capture.Levels, ok bool) {
	l = capture.UnknownLevels
	if len(b) != 3 {
		return l, len(b) == 0
	}
	for i, c := range b {
		switch c {
		case '0', '1':
			l = l.With(i, c == '1')
		case 'x', 'X':
		default:
			return l, false
		}
	}
	return l, true
}

// hallCode reads the levels from a number with h1 as its most significant bit.
func (r *reader) hallCode(c cell, base int) (capture.Levels, bool) {
	if c.from == c.to {
		return capture.UnknownLevels, true
	}
	v, ok := r.number(c)
	if text := r.text[c.from:c.to]; !ok || base != 0 {
		var word uint64
		word, ok = parseWord(text, base)
		v = float64(word)
	}
	if !ok || v < 0 || v > 7 || v != math.Trunc(v) {
		return capture.UnknownLevels, false
	}
	return capture.Levels(v), true
}
