package csvfile

import (
	"regexp"
	"slices"
	"strings"
)

// table is a block with what the file says about it.
type table struct {
	block
	// names and units are the lines with those; empty where there is none.
	names, units cell
	// named is how many cells the line of names has.
	named   int
	columns []heading
	meta    meta
}

// heading is what the file says about a column of a table.
type heading struct {
	index int
	// name is the column's name without its unit, empty where it has none.
	name, unit string
	// throughout are its values in rows all over the file, nil where its facts are
	// of all rows.
	throughout []float64
}

// over returns the column's values over the whole file; first are those of its
// first rows.
func (h heading) over(first []float64) []float64 {
	if h.throughout != nil {
		return h.throughout
	}
	return first
}

// called returns what a message calls the column.
func (h heading) called() string {
	if h.name != "" {
		return h.name
	}
	return "column " + plain(float64(h.index+1))
}

// sniff returns the table of an instrument's file, nil where there is no block.
func (s *source) sniff() *table {
	b, ok := s.findBlock()
	if !ok {
		return nil
	}
	t := &table{block: b}
	lines := s.above(b.first)
	if n := s.damagedRows(lines, b); n > 0 {
		t.first, lines = lines[n-1].from, lines[n:]
	}
	if len(lines) > 0 && s.areUnits(lines[0], b) {
		t.units, lines = lines[0], lines[1:]
	}
	if len(lines) > 0 && s.areNames(lines[0], b) {
		t.names = lines[0]
	}
	t.meta = s.readMeta(t)
	names, units := s.cellsOf(t.names, b), s.cellsOf(t.units, b)
	t.named = namedWidth(names)
	for _, i := range b.filled {
		h := heading{index: i, unit: unitOf(s.cellText(units, i))}
		if name, unitName := splitUnit(s.cellText(names, i)); unitName == "" || h.unit == "" {
			h.name, h.unit = name, unitName+h.unit
		} else {
			h.name = name
		}
		if u, _ := findUnit(h.name); h.unit == "" && u.time && len(h.name) > 1 {
			h.unit = h.name // as in millis or us; S may be a phase of R S T
		}
		t.columns = append(t.columns, h)
	}
	t.fromMeta()
	return t
}

// mostDamaged is how many rows between the names and the block are looked over.
const mostDamaged = 20

// damagedRows returns how many lines between a block and the line above that
// names its columns are rows that are not whole.
func (s *source) damagedRows(lines []cell, b block) int {
	for i, l := range lines[:min(len(lines), mostDamaged)] {
		if s.areNames(l, b) || s.areUnits(l, b) {
			return i
		}
		first := s.cellText(s.cellsOf(l, b), b.filled[0])
		if _, _, number := parseNumber([]byte(first)); !number {
			return 0
		}
	}
	return 0
}

func (s *source) cellsOf(l cell, b block) []cell {
	if l.from == l.to {
		return nil
	}
	return split(s.text, l.from, l.to, b.sep, nil)
}

// cellText returns the text of cell i, empty where there is none.
func (s *source) cellText(cells []cell, i int) string {
	if i >= len(cells) {
		return ""
	}
	return string(s.text[cells[i].from:cells[i].to])
}

// kinds are words in a row of units that say what a column is, and neutral words
// those that say nothing.
var (
	kinds   = map[string]bool{"sequence": true, "logic": true}
	neutral = map[string]bool{"value": true, "values": true, "amplitude": true}
)

// unitOf returns what a cell in a row of units says.
func unitOf(text string) string {
	if neutral[lower(text)] {
		return ""
	}
	return bare(text)
}

// areUnits reports whether a line gives the units of a block: at least half of
// its columns have a unit or a word that stands for one, and none has a number.
func (s *source) areUnits(l cell, b block) bool {
	cells, n, said := s.cellsOf(l, b), 0, 0
	for _, i := range b.filled {
		text := s.cellText(cells, i)
		if _, _, number := parseNumber([]byte(text)); number {
			return false
		}
		if _, ok := findUnit(bare(text)); ok || kinds[lower(text)] {
			n, said = n+1, said+1
		} else if neutral[lower(text)] {
			n++
		}
	}
	return said > 0 && 2*n >= len(b.filled)
}

// areNames reports whether a line gives the names of a block: at least half of
// its columns have text, none has a number, and it is no setting.
func (s *source) areNames(l cell, b block) bool {
	cells, n := s.cellsOf(l, b), 0
	for _, i := range b.filled {
		text := s.cellText(cells, i)
		if _, _, number := parseNumber([]byte(text)); number {
			return false
		}
		if text != "" {
			n++
		}
	}
	comment := s.text[l.from] == ';' && b.sep != ';'
	first := s.cellText(cells, 0)
	aDate := dateName.MatchString(lower(first)) && len(cells) >= len(b.filled)
	return n > 0 && 2*n >= len(b.filled) && !comment && (aDate || !isSetting(first))
}

// dateName is what a column of dates is called, beside one of times.
var dateName = regexp.MustCompile(`^(date|datum|fecha|data)$`)

// settings are parts of the words with which a preamble's lines begin.
var settings = []string{"length", "interval", "scale", "offset", "unit", "model", "serial", "firmware",
	"version", "probe", "date", "trigger", "points", "record", "rate", "sep="}

func isSetting(word string) bool {
	word = lower(word)
	return slices.ContainsFunc(settings, func(part string) bool { return strings.Contains(word, part) })
}
