package csvfile

import "handspin/capture/line"

// readLines reads header lines and rows.
func (r *reader) readLines() error {
	at := 0
	for alone := max(r.lay.first, r.lay.to, r.lay.unitTo) + r.partSize/aheadShare; at < min(alone, len(r.text)); {
		next, err := r.anyLine(at)
		if err != nil {
			return err
		}
		at = next
	}
	if len(r.text)-at < r.partSize {
		return r.linesFrom(at)
	}
	return r.bulk(at)
}

// linesFrom reads the lines from at on, one by one.
func (r *reader) linesFrom(at int) (err error) {
	for at < len(r.text) && err == nil {
		at, err = r.anyLine(at)
	}
	return err
}

// anyLine reads the line that begins at at, and returns where the next begins.
func (r *reader) anyLine(at int) (next int, err error) {
	to, next := r.line(at)
	from := r.begin(at, to)
	switch {
	case from == to || from == r.lay.from && to == r.lay.to || from == r.lay.unitFrom && to == r.lay.unitTo:
	case r.text[from] == '#':
		err = r.headerLine(from, to)
	case from < r.lay.first:
		r.preamble++
	case from < r.lay.from:
		r.early(from, to)
	default:
		err = r.row(from, to)
	}
	return next, err
}

// early judges a line before the names: the end of a torn row, or text that
// some instruments put there.
func (r *reader) early(from, to int) {
	if _, status := line.Strip(r.text[from:to]); status == line.Absent && r.hasLetter(from, to) {
		r.preamble++
		return
	}
	if r.rowsBefore++; r.rowsBefore == 1 {
		r.firstBefore = from
	}
	r.damaged(from, "a row before the column names")
}

func (s *source) hasLetter(from, to int) bool {
	for _, c := range s.text[from:to] {
		if c|0x20 >= 'a' && c|0x20 <= 'z' {
			return true
		}
	}
	return false
}
