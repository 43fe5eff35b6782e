package csvfile

import (
	"math"

	"handspin/capture"
	"handspin/capture/line"
)

// plainRow reads the line text[from:to] and keeps it if it is a row that means
// the same whatever the other lines are: whole, with a sum where the others have
// one, and nothing in it that needs another look.
func (r *reader) plainRow(from, to int) bool {
	w := row{time: float64(r.ordinal), at: from, hall: capture.UnknownLevels}
	data, status := line.Strip(r.text[from:to])
	if (status == line.Good) != r.sums.rows || status == line.Wrong {
		return false
	}
	if end := from + len(data); !r.quickCells(from, end, &w) && !r.slowCells(from, end, &w) {
		return false
	}
	r.ordinal++
	r.keep(&w)
	return true
}

// slowCells is [reader.readCells] for a line that may be no row at all.
func (r *reader) slowCells(from, to int, w *row) bool {
	from = r.begin(from, to)
	if from == to || r.text[from] == '#' || r.isHead(from, to) {
		return false
	}
	*w = row{time: w.time, at: from, hall: capture.UnknownLevels}
	r.cells = split(r.text, from, to, r.lay.sep, r.cells[:0])
	filled := namedWidth(r.cells)
	return filled > 0 && r.lay.fits(r.cells, filled) && r.readCells(w) == nil
}

// quickCells reads the cells of text[from:to] where they are nothing but plain
// numbers, three Hall digits and empty cells, which is most of what there is to
// read. What it does not take says nothing about the row.
func (r *reader) quickCells(from, to int, w *row) bool {
	text, at := r.text[:to], from
	for i, c := range r.lay.places {
		if i > 0 {
			if at == to || text[at] != r.lay.sep {
				return false
			}
			at++
		}
		var ok bool
		if at, ok = r.quickCell(text, at, c, w); !ok {
			return false
		}
	}
	return at == to && (w.said || w.filled > 0) // which no row without places is
}

// quickCell reads one cell, of column c or, where c is nil, of none that is used,
// and returns where it ends.
func (r *reader) quickCell(text []byte, at int, c *column, w *row) (end int, ok bool) {
	if c == nil {
		return skipCell(text, at, r.lay.sep)
	}
	empty := at == len(text) || text[at] == r.lay.sep
	switch {
	case c.field == fieldTime:
		w.at = at
		w.time, at, ok = r.quickNumber(text, at)
		return at, ok && math.Abs(w.time) <= maxTime
	case c.field == fieldHall:
		if at+3 > len(text) {
			return at, false
		}
		w.hall, ok = hallDigits(text[at : at+3])
		w.said = true
		return at + 3, ok
	case c.field.isPhase():
		v := &w.phases[c.field.signal()]
		if empty {
			*v = capture.Missing
			return at, true
		}
		w.filled++
		*v, at, ok = r.quickNumber(text, at)
		return at, ok
	case c.field.isLine() && c.bit == 0 && !empty:
		w.said = true
		w.lines[c.field.lead()], at, ok = r.quickNumber(text, at)
		return at, ok
	}
	return at, false
}

func skipCell(text []byte, at int, sep byte) (end int, ok bool) {
	for at < len(text) && text[at] != sep {
		if text[at] == '"' {
			return at, false
		}
		at++
	}
	return at, true
}

// quickNumber reads a number of few digits, perhaps with a point, as
// [parseNumber] does.
func (r *reader) quickNumber(text []byte, at int) (v float64, end int, ok bool) {
	begin := at
	negative := at < len(text) && text[at] == '-'
	if negative {
		at++
	}
	var mantissa uint64
	digits, point := 0, -1
	for ; at < len(text); at++ {
		if c := text[at] - '0'; c <= 9 {
			mantissa = mantissa*10 + uint64(c)
			digits++
		} else if text[at] == '.' && point < 0 {
			point = digits
		} else {
			break
		}
	}
	if digits == 0 || digits > exactDigits {
		return 0, at, false
	}
	v = float64(mantissa)
	if point >= 0 {
		v /= pow10[digits-point]
		if r.marks[0] < 0 {
			r.marks[0] = begin
		}
	}
	if negative {
		v = -v
	}
	return v, at, true
}
