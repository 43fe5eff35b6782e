package csvfile

import (
	"bytes"
	"slices"
)

// Instruments write their files each in its own way. What they have in common is
// a block of rows of numbers; all around it says what the numbers are. A table is
// found from the block outward, once for the file.
const (
	// minRows rows of numbers with the same number of cells make a block. Two may
	// be chance: a preamble can have them.
	minRows = 3
	// lookedAt is how many rows of a block tell its columns.
	lookedAt = 200
)

// block is where the rows of numbers begin and how they look.
type block struct {
	sep byte
	// first is the offset of the first row.
	first int
	// cells is the number of cells of a row, filled the columns with a number in
	// ascending order.
	cells  int
	filled []int
}

// findBlock returns the block with the most columns that any separator gives,
// false where none gives a block.
func (s *source) findBlock() (best block, ok bool) {
	for _, sep := range s.likelySeparators() {
		if b, found := s.blockOf(sep); found && len(b.filled) > len(best.filled) {
			best, ok = b, true
		}
	}
	if ok {
		s.extend(&best)
	}
	return best, ok
}

// likelySeparators returns the separator that a spreadsheet's first line sep=;
// names, or all.
func (s *source) likelySeparators() []byte {
	from, to := s.after(0)
	rest, named := bytes.CutPrefix(bytes.ToLower(s.text[from:to]), []byte("sep="))
	if named && len(rest) == 1 {
		return rest
	}
	return separators
}

// blockOf returns the first block that the separator gives.
func (s *source) blockOf(sep byte) (b block, ok bool) {
	run := 0
	var cells []cell
	s.lines(func(from, to int) bool {
		cells = split(s.text, from, to, sep, cells[:0])
		numbers, pure := s.numbers(cells)
		switch {
		case namedWidth(cells) == 0:
		case pure && run > 0 && len(cells) == b.cells:
			run++
			b.add(numbers)
		case run >= minRows:
			return false
		case pure:
			b, run = block{sep: sep, first: from, cells: len(cells), filled: numbers}, 1
		default:
			run = 0
		}
		return run < lookedAt
	})
	return b, run >= minRows
}

// numbers returns which cells have a number, and whether there are some and all
// others are empty or say that there is no value.
func (s *source) numbers(cells []cell) (indices []int, pure bool) {
	pure = true
	for i, c := range cells {
		_, _, number := parseNumber(s.text[c.from:c.to])
		if number = number || hasBase(s.text[c.from:c.to]); number {
			indices = append(indices, i)
		}
		pure = pure && (number || c.from == c.to || missing(s.text[c.from:c.to]))
	}
	return indices, pure && len(indices) > 0
}

func (b *block) add(columns []int) {
	if slices.Equal(b.filled, columns) {
		return
	}
	b.filled = append(b.filled, columns...)
	slices.Sort(b.filled)
	b.filled = slices.Compact(b.filled)
}

// extend moves the beginning of a block up over rows that have text beside their
// numbers: some instruments put their settings into the left cells of the first
// rows.
func (s *source) extend(b *block) {
	for _, l := range s.above(b.first) {
		cells := split(s.text, l.from, l.to, b.sep, nil)
		numbers, _ := s.numbers(cells)
		if len(cells) != b.cells || !containsAll(numbers, b.filled) {
			return
		}
		b.first = l.from
	}
}

func containsAll(set, of []int) bool {
	for _, v := range of {
		if !slices.Contains(set, v) {
			return false
		}
	}
	return true
}

// above returns the lines before offset at that are no comments, the nearest
// first.
func (s *source) above(at int) (lines []cell) {
	s.lines(func(from, to int) bool {
		if from < at {
			lines = append(lines, cell{from, to})
		}
		return from < at
	})
	slices.Reverse(lines)
	return lines
}
