package csvfile

import (
	"handspin/capture"
	"handspin/capture/line"
)

// plainRow reads the line that begins at at and keeps it, if it is a row that means
// the same whatever the other lines are: whole, with a sum where the others have
// one, and nothing in it that needs another look. It returns where the next line
// begins.
func (r *reader) plainRow(at int) (next int, plain bool) {
	to, next := r.line(at)
	data, status := line.Strip(r.text[at:to])
	if (status == line.Good) != r.sums.rows || status == line.Wrong {
		return next, false
	}
	w := row{time: float64(r.ordinal), at: at, hall: capture.UnknownLevels}
	if !r.slowCells(at, at+len(data), &w) {
		return next, false
	}
	r.ordinal++
	r.keep(&w)
	return next, true
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
