package csvfile

import (
	"bytes"
	"math/bits"
	"slices"
	"strings"

	"handspin/capture"
)

// mostJoined bounds the columns of which every subset is tried.
const mostJoined = 10

// joinedRows is how many longer rows, and how many others, decide which columns
// have the decimals.
const joinedRows = 2000

// shareLonger is the share of longer rows from which on they are no damage: where
// decimals are left out as zero, still most rows have some.
const shareLonger = 0.2

// unjoin finds out whether a file has the comma both between cells and as the
// decimal mark, without quotes: then some rows have more cells than the line of
// names. Where one set of columns alone can have the decimals, their commas
// become points; where several can, the file is refused.
func (r *reader) unjoin() error {
	names, first, ok := r.namesAboveNumbers()
	if !ok {
		return nil
	}
	j := joined{source: &r.source, names: names, first: first}
	if ok := j.measure(); j.varies {
		return r.fail(first, "save the file with semicolons or tabs between the cells, or with decimal points",
			"the comma parts cells and is the decimal mark too: the %d columns have up to %d cells, not always as many", j.width, j.width+j.extra)
	} else if !ok {
		return nil
	}
	var found []uint
	for set := uint(1); set < 1<<j.width; set++ {
		if bits.OnesCount(set) == j.extra && j.fits(set) {
			found = append(found, set)
		}
	}
	switch len(found) {
	case 0:
		return nil
	case 1:
		r.text = j.parted(found[0])
		r.note("the comma parts cells and is the decimal mark too; decimals are taken to be in %s", j.list(found[0]))
		return nil
	}
	return r.fail(first, "save the file with semicolons or tabs between the cells, or with decimal points",
		"the comma parts cells and is the decimal mark too, and decimals can be in %s or in %s", j.list(found[0]), j.list(found[1]))
}

// namesAboveNumbers returns the line before the first rows of numbers parted by
// commas, however many cells these have, if it has text alone.
func (s *source) namesAboveNumbers() (names cell, first int, ok bool) {
	var before cell
	run := 0
	s.lines(func(from, to int) bool {
		_, pure := s.numbers(split(s.text, from, to, ',', nil))
		switch {
		case pure && run == 0:
			first, run = from, 1
		case pure:
			run++
		default:
			before, run = cell{from, to}, 0
		}
		return run < minRows
	})
	if run < minRows || before.from == before.to || bytes.IndexByte(s.text[before.from:before.to], ';') >= 0 {
		return before, first, false
	}
	numbers, _ := s.numbers(split(s.text, before.from, before.to, ',', nil))
	return before, first, len(numbers) == 0
}

// joined is a file whose rows may have more cells than names.
type joined struct {
	*source
	names cell
	first int
	// width is the number of names, extra how many cells more the longer rows have.
	width, extra int
	// varies is set where longer rows are not all of one length, as where several
	// columns have decimals in some rows only.
	varies bool
	// sample are the cells of the rows that decide.
	sample [][]cell
}

// measure finds the widths, false where the file is none of these.
func (j *joined) measure() bool {
	j.width = namedWidth(split(j.text, j.names.from, j.names.to, ',', nil))
	if bytes.IndexByte(j.text[j.first:], '.') >= 0 {
		return false
	}
	ok, rows, longer := true, 0, 0
	j.rows(func(cells []cell) bool {
		extra := len(cells) - j.width
		if extra > 0 {
			ok = ok && (j.extra == 0 || extra == j.extra)
			j.extra = max(j.extra, extra)
			longer++
		}
		rows++
		if extra > 0 && longer <= joinedRows || extra <= 0 && rows-longer <= joinedRows {
			j.sample = append(j.sample, slices.Clone(cells))
		}
		return true
	})
	likely := float64(longer) >= shareLonger*float64(rows) && 0 < j.extra && j.extra <= j.width && j.width <= mostJoined
	j.varies = likely && !ok
	return likely && ok
}

// rows calls visit with the cells of each row up to the last that is not empty.
func (j *joined) rows(visit func(cells []cell) bool) {
	var cells []cell
	j.lines(func(from, to int) bool {
		if from < j.first {
			return true
		}
		cells = split(j.text, from, to, ',', cells[:0])
		return visit(cells[:namedWidth(cells)])
	})
}

// fits reports whether the columns of a set can have decimals in all longer rows of
// the sample. A first column that is time must go onward, mostly.
func (j *joined) fits(set uint) bool {
	name, _ := splitUnit(j.cellText(split(j.text, j.names.from, j.names.to, ',', nil), 0))
	isTime := timeName.MatchString(lower(name))
	fits, onward, rows, last := true, 0, 0, 0.0
	for _, cells := range j.sample {
		if len(cells) == 0 {
			continue
		}
		commas := j.commas(set, cells)
		fits = len(commas) == max(len(cells)-j.width, 0)
		first := j.text[cells[0].from:cells[0].to]
		if len(commas) > 0 && commas[0] == cells[0].to {
			first = j.text[cells[0].from:cells[1].to]
		}
		v, _, ok := parseNumber(first)
		if rows > 0 && isTime {
			fits = fits && ok && v >= last
		}
		if rows > 0 && v > last {
			onward++
		}
		if rows, last = rows+1, v; !fits {
			return false
		}
	}
	return fits && (!isTime || 2*onward >= rows)
}

// commas returns the places of a longer row's commas that are decimal marks if
// the columns of the set have decimals. They are as many as the row has cells too
// many if all fit.
func (j *joined) commas(set uint, cells []cell) (places []int) {
	if len(cells) <= j.width {
		return nil
	}
	k := 0
	for i := 0; i < j.width && k < len(cells); i++ {
		if set&(1<<i) != 0 && k+1 < len(cells) {
			if j.whole(cells[k]) && j.fraction(cells[k+1]) && cells[k+1].from == cells[k].to+1 {
				places = append(places, cells[k].to)
			}
			k++
		}
		k++
	}
	return places
}

// whole reports whether a cell is a number that decimals can follow.
func (j *joined) whole(c cell) bool {
	text := bytes.TrimLeft(j.text[c.from:c.to], "+-")
	return len(text) > 0 && !bytes.ContainsFunc(text, notDigit)
}

// fraction reports whether a cell can be decimals: digits, and perhaps an exponent.
func (j *joined) fraction(c cell) bool {
	text := j.text[c.from:c.to]
	_, _, number := parseNumber(text)
	return number && !notDigit(rune(text[0]))
}

func notDigit(c rune) bool { return c < '0' || c > '9' }

// parted returns the text with points for the decimal commas of a set of columns.
func (j *joined) parted(set uint) []byte {
	out := bytes.Clone(j.text)
	j.rows(func(cells []cell) bool {
		places := j.commas(set, cells)
		if len(places) != len(cells)-j.width {
			return true // damaged, or short
		}
		for _, at := range places {
			out[at] = '.'
		}
		return true
	})
	return out
}

// list names the columns of a set.
func (j *joined) list(set uint) string {
	cells := split(j.text, j.names.from, j.names.to, ',', nil)
	var names []string
	for i := range j.width {
		if set&(1<<i) != 0 {
			names = append(names, capture.Quote(j.cellText(cells, i)))
		}
	}
	return strings.Join(names, " and ")
}
