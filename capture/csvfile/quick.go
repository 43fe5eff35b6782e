package csvfile

import (
	"math"

	"handspin/capture"
	"handspin/capture/line"
)

// quick reads the rows that are nothing but plain numbers, three Hall digits and
// empty cells, which is most of what there is to read, and puts them straight into
// a reader's columns. What it does not take says nothing about a row.
type quick struct {
	*reader
	cells []quickCell
	// What a row has besides numbers; as long as the columns of quickCell.
	time []float64
	hall []capture.Levels
	edge []bool
	at   []uint32
	// rows is how many rows the columns have by now.
	rows int
	// edges is whether a row without phase values is a Hall edge.
	edges bool
}

// quickCell is what one cell of a row holds, and the column for its number.
type quickCell struct {
	kind
	column []float64
}

type kind uint8

const (
	unread kind = iota // of no column in use
	timeKind
	hallKind
	phaseKind
	lineKind // h1 h2 h3 in volts
	otherKind
)

// quick returns a quick reader into the columns of r, with room for so many rows.
func (r *reader) quick(rows int) *quick {
	rec := r.rec
	q := &quick{reader: r, edges: len(rec.Columns) > 0 && r.opt.SampleRate == 0}
	q.time, q.hall, q.edge, q.at = room(&rec.Time, rows), room(&rec.Hall, rows), room(&rec.Edge, rows), room(&r.at, rows)
	for _, v := range r.values() {
		room(v, rows)
	}
	for _, c := range r.lay.places {
		q.cells = append(q.cells, q.cell(c))
	}
	return q
}

// room makes a column of so many rows, all to be written yet, and leaves it empty.
func room[T any](column *[]T, rows int) []T {
	if cap(*column) < rows {
		*column = make([]T, 0, rows)
	}
	*column = (*column)[:0]
	return (*column)[:rows]
}

// cell returns how to read column c, nil for one that is not used.
func (q *quick) cell(c *column) quickCell {
	switch {
	case c == nil:
		return quickCell{kind: unread}
	case c.field == fieldTime:
		return quickCell{timeKind, q.time}
	case c.field == fieldHall:
		return quickCell{kind: hallKind}
	case c.field.isPhase():
		return quickCell{phaseKind, q.rec.Columns[q.column[c.field.signal()]].Value[:len(q.time)]}
	case c.field.isLine() && c.bit == 0:
		return quickCell{lineKind, q.lines[c.field.lead()][:len(q.time)]}
	}
	return quickCell{kind: otherKind}
}

// row reads the line that begins at from, and returns where the next one begins.
func (q *quick) row(from int) (next int, ok bool) {
	text, n := q.text, q.rows
	if len(q.cells) == 0 || text[from] == '#' {
		return from, false
	}
	q.time[n], q.at[n], q.hall[n] = float64(q.ordinal), uint32(from), capture.UnknownLevels
	said, filled, at := false, false, from
	for i := range q.cells {
		if i > 0 {
			if at == len(text) || text[at] != q.lay.sep {
				return from, false
			}
			at++
		}
		if at == len(text) {
			return from, false
		}
		c := &q.cells[i]
		switch c.kind {
		case phaseKind:
			if q.ends(text[at]) {
				c.column[n] = capture.Missing
				continue
			}
			c.column[n], at, ok = q.number(at)
			filled = true
		case timeKind:
			q.at[n] = uint32(at)
			c.column[n], at, ok = q.number(at)
			ok = ok && math.Abs(c.column[n]) <= maxTime
		case hallKind:
			q.hall[n], ok = quickHall(text[at:])
			at, said = at+3, true
		case lineKind:
			c.column[n], at, ok = q.number(at)
			said = true
		case unread:
			at, ok = q.pass(at)
		default:
			ok = false
		}
		if !ok {
			return from, false
		}
	}
	q.edge[n] = q.edges && !filled
	if next, ok = q.lineEnd(from, at); !ok || !said && !filled {
		return from, false
	}
	q.rows++
	q.ordinal++
	return next, true
}

// ends reports whether c comes after the end of a cell.
func (q *quick) ends(c byte) bool { return c == q.lay.sep || c == '\n' || c == '\r' || c == '*' }

// pass returns where a cell ends that is not used.
func (q *quick) pass(at int) (end int, ok bool) {
	for at < len(q.text) && !q.ends(q.text[at]) {
		if q.text[at] == '"' {
			return at, false
		}
		at++
	}
	return at, true
}

// lineEnd returns where the line after the one from from is, whose cells end at
// at, if there is no more to it than a sum, where rows have one.
func (q *quick) lineEnd(from, at int) (next int, ok bool) {
	if text := q.text; q.sums.rows {
		const sum = len("*00")
		if at+sum > len(text) || text[at] != '*' {
			return from, false
		}
		at += sum
		if _, status := line.Strip(text[from:at]); status != line.Good {
			return from, false
		}
	}
	if at < len(q.text) && q.text[at] == '\r' {
		at++
	}
	return at + 1, at < len(q.text) && q.text[at] == '\n'
}

// quickHall reads three Hall digits at the beginning of text.
func quickHall(text []byte) (l capture.Levels, ok bool) {
	if len(text) < 3 {
		return capture.UnknownLevels, false
	}
	a, b, c := text[0]-'0', text[1]-'0', text[2]-'0'
	return capture.Levels(a<<2 | b<<1 | c), a|b|c <= 1
}

// number reads the number that begins at at as [parseNumber] does, if it has few
// digits and no comma, and returns where it ends.
func (q *quick) number(at int) (v float64, end int, ok bool) {
	text, begin := q.text, at
	if text[at] == '-' || text[at] == '+' {
		at++
	}
	var mantissa uint64
	first, fraction := at, 0
	for at < len(text) && text[at]-'0' <= 9 {
		mantissa = mantissa*10 + uint64(text[at]-'0')
		at++
	}
	digits := at - first
	if at < len(text) && text[at] == '.' {
		at++
		for first = at; at < len(text) && text[at]-'0' <= 9; at++ {
			mantissa = mantissa*10 + uint64(text[at]-'0')
		}
		fraction = at - first
		if q.marks[0] < 0 {
			q.marks[0] = begin
		}
	}
	power, n := leadingExponent(text[at:])
	at += n
	exponent := power - fraction
	if v, ok = float64(mantissa), digits <= exactDigits; exponent != 0 || fraction > 0 {
		v, ok = scale(mantissa, digits+fraction, exponent)
	}
	if text[begin] == '-' {
		v = -v
	}
	return v, at, ok && digits+fraction > 0
}
