package csvfile

import (
	"bytes"
	"fmt"
	"strconv"

	"handspin/capture"
)

// mappedLayout applies Options.Columns to the file.
func (s *source) mappedLayout(columns string, needTime bool) (*layout, error) {
	guess := s.likelyNames()
	if guess == nil {
		return nil, s.fail(len(s.text), "", "there is no row")
	}
	entries, err := parseMapping(columns)
	if err == nil && needTime && !hasTime(entries) {
		entries = append(entries, s.timeBeside(entries)...)
	}
	if err == nil && needTime && !hasTime(entries) {
		err = fmt.Errorf("no time column is named; name one with t=NAME:unit or give --sample-rate HZ")
	}
	if err != nil {
		return nil, s.mappingError(err, guess)
	}
	l := s.lineOfNames(entries)
	if l == nil {
		return nil, s.mappingError(s.unknownName(entries, guess), guess)
	}
	if err := l.assign(s, entries); err != nil {
		return nil, s.mappingError(err, l)
	}
	return l, nil
}

func (s *source) mappingError(err error, l *layout) error {
	return &OptionError{"--columns", err.Error(), "in " + s.name + " " + s.listColumns(l)}
}

// timeBeside returns an entry for the column that is the time by its name, in the
// line that has the names of the entries; none where there is no such column.
func (s *source) timeBeside(entries []mapped) []mapped {
	l := s.lineOfNames(entries)
	if l == nil || l.from == l.to {
		return nil
	}
	for i, c := range s.nameCells(l.from, l.to, l.sep) {
		name, unitName := splitUnit(string(s.text[c.from:c.to]))
		if u, _ := findUnit(unitName); u.time || unitName == "" && timeName.MatchString(lower(name)) {
			return []mapped{{field: fieldTime, number: i + 1}}
		}
	}
	return nil
}

func hasTime(entries []mapped) bool {
	for _, e := range entries {
		if e.field == fieldTime {
			return true
		}
	}
	return false
}

// lineOfNames returns a layout, without its columns, whose line of names has
// every column of the entries, or nil.
func (s *source) lineOfNames(entries []mapped) (found *layout) {
	if !anyNames(entries) {
		return s.numberedRows(entries)
	}
	s.lines(func(from, to int) bool {
		for _, sep := range separators {
			cells := s.nameCells(from, to, sep)
			if s.hasNames(entries, cells) {
				found = &layout{sep: sep, width: namedWidth(cells), from: from, to: to}
				return false
			}
		}
		return true
	})
	return found
}

// numberedRows is lineOfNames for entries without names: the rows begin with
// the first line that can be one, and the line before it has the names if it has
// as many cells.
func (s *source) numberedRows(entries []mapped) (found *layout) {
	var before cell // the line before
	s.lines(func(from, to int) bool {
		sep := likelySeparator(s.text[from:to])
		cells := split(s.text, from, to, sep, nil)
		if !s.canBeRow(entries, cells) {
			before = cell{from, to}
			return true
		}
		found = &layout{sep: sep, width: namedWidth(cells), from: from, to: from}
		if namedWidth(s.nameCells(before.from, before.to, sep)) == found.width {
			found.from, found.to = before.from, before.to
		}
		return false
	})
	return found
}

// likelySeparator returns the separator of a row of numbers, in which a comma
// beside semicolons or tabs is a decimal mark.
func likelySeparator(row []byte) byte {
	for _, sep := range []byte{';', '\t'} {
		if bytes.IndexByte(row, sep) >= 0 {
			return sep
		}
	}
	return ','
}

func anyNames(entries []mapped) bool {
	for _, e := range entries {
		if e.name != "" {
			return true
		}
	}
	return false
}

// namedWidth returns the number of cells up to the last that is not empty.
func namedWidth(cells []cell) int {
	n := len(cells)
	for n > 0 && cells[n-1].from == cells[n-1].to {
		n--
	}
	return n
}

func (s *source) hasNames(entries []mapped, cells []cell) bool {
	for _, e := range entries {
		if s.find(e, cells) < 0 {
			return false
		}
	}
	return true
}

// canBeRow reports whether the numbered cells are there, one of them is a
// number and the others are numbers or empty.
func (s *source) canBeRow(entries []mapped, cells []cell) bool {
	numbers := 0
	for _, e := range entries {
		if e.number > len(cells) {
			return false
		}
		c := cells[e.number-1]
		_, _, number := parseNumber(s.text[c.from:c.to])
		if number {
			numbers++
		} else if c.from < c.to && !missing(s.text[c.from:c.to]) {
			return false
		}
	}
	return numbers > 0
}

// find returns the index of an entry's column, -1 if there is none.
func (s *source) find(e mapped, cells []cell) int {
	i := s.findWhole(e, cells)
	if i < 0 && e.bit > 0 {
		word := mapped{name: e.word}
		word.number, _ = strconv.Atoi(e.word)
		i = s.findWhole(word, cells)
	}
	return i
}

// findWhole is find for an entry that means no single bit. A name may leave out
// the unit that the file has in it.
func (s *source) findWhole(e mapped, cells []cell) int {
	if e.number > 0 && e.number <= len(cells) {
		return e.number - 1
	}
	for i, c := range cells {
		name := string(s.text[c.from:c.to])
		base, unitName := splitUnit(name)
		if e.name != "" && (lower(name) == lower(e.name) || unitName != "" && lower(base) == lower(e.name)) {
			return i
		}
	}
	return -1
}

// unknownName says which entry has no column in the line that is most likely
// the one of names.
func (s *source) unknownName(entries []mapped, guess *layout) error {
	cells := s.nameCells(guess.from, guess.to, guess.sep)
	for _, e := range entries {
		switch {
		case e.number > 0 && e.number > len(cells):
			return fmt.Errorf("there is no column %d for %s, the rows have %d", e.number, e.field, len(cells))
		case e.name != "" && s.find(e, cells) < 0:
			return fmt.Errorf("there is no column %s for %s", capture.Quote(e.name), e.field)
		}
	}
	if anyNames(entries) {
		return fmt.Errorf("no line names all these columns")
	}
	return fmt.Errorf("no line has numbers in these columns")
}

// assign fills the layout's columns from the entries.
func (l *layout) assign(s *source, entries []mapped) error {
	var cells []cell
	if l.from < l.to {
		cells = s.nameCells(l.from, l.to, l.sep)
	}
	type place struct{ column, bit int }
	taken := map[place]field{}
	for _, e := range entries {
		i, name := e.number-1, strconv.Itoa(e.number)
		if at := s.find(e, cells); at >= 0 {
			i, name = at, string(s.text[cells[at].from:cells[at].to])
		}
		c := column{field: e.field, index: i, name: name, unit: e.unitOr(name)}
		if s.findWhole(e, cells) < 0 {
			c.bit = e.bit
		}
		if before, twice := taken[place{i, c.bit}]; twice {
			return fmt.Errorf("column %s is used twice, for %s and %s", capture.Quote(name), before, e.field)
		}
		taken[place{i, c.bit}] = e.field
		l.used = append(l.used, c)
		l.width = max(l.width, i+1)
	}
	return nil
}
