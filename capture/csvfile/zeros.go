package csvfile

import (
	"handspin/capture"
	"handspin/capture/line"
)

// zerosLost reports whether the column of Hall digits c went through a program
// that takes it for numbers and leaves out their leading zeros, so that 001
// became 1. Such a program leaves them out in every row; where one still has
// them, a short cell is the rest of a torn one.
func (r *reader) zerosLost(c *column) bool {
	if !r.zeros.asked {
		r.zeros.asked = true
		if r.zeros.lost = r.allWithoutZeros(c.index); r.zeros.lost {
			r.note("%s has cells without leading zeros, which are put back: 1 is taken for 001", shown(c.name))
		}
	}
	return r.zeros.lost
}

// allWithoutZeros reports whether the column has nothing but numbers of up to
// three digits 0 or 1 without leading zeros, and empty cells, in all rows that
// are whole.
func (r *reader) allWithoutZeros(index int) bool {
	var cells []cell
	all := true
	r.source.lines(func(from, to int) bool {
		data, status := line.Strip(r.text[from:to])
		cells = split(r.text, from, from+len(data), r.lay.sep, cells[:0])
		filled := namedWidth(cells)
		whole := status != line.Wrong && filled > 0 && r.lay.fits(cells, filled)
		if from >= r.lay.to && whole && !r.isHead(from, to) {
			at := cells[index]
			all = withoutZeros(r.text[at.from:at.to])
		}
		return all
	})
	return all
}

// withoutZeros reports whether a cell is empty or up to three digits 0 or 1, none
// of them a leading zero.
func withoutZeros(b []byte) bool {
	if len(b) > 3 || len(b) > 1 && b[0] == '0' {
		return false
	}
	for _, c := range b {
		if c != '0' && c != '1' {
			return false
		}
	}
	return true
}

// digitLevels returns the levels that the digits 0 and 1 of a number are.
func digitLevels(b []byte) (l capture.Levels) {
	for _, c := range b {
		l = l<<1 | capture.Levels(c-'0')
	}
	return l
}
