package csvfile

import (
	"bytes"
	"regexp"
)

// cellUnit is a number with its unit behind it, both in one cell.
var cellUnit = regexp.MustCompile(`^([-+]?[.,]?\d[\d.,]*(?:[eE][-+]?\d+)?)[ ]*([^\d\s.,"+-][^\d"]*)$`)

// withUnitsNamed returns a text whose cells have their units behind the numbers as
// one with the units in a line of names, which is put before it instead of its own:
// lead is its length. A column has one unit; a cell with another stays as it is, and
// the file is refused for it.
func withUnitsNamed(text []byte) (out []byte, lead int) {
	s := source{text: text[:min(len(text), sampled)]}
	names, row, rows := cell{}, cell{}, 0
	s.lines(func(from, to int) bool {
		switch l := (cell{from, to}); {
		case s.unitsOf(l) == nil:
			names, rows = l, 0
		case rows == 0:
			row, rows = l, 1
		default:
			rows++
		}
		return rows < minRows
	})
	if rows < minRows || names == (cell{}) {
		return text, 0
	}
	sep := likelySeparator(text[row.from:row.to])
	units, cells := s.unitsOf(row), split(text, names.from, names.to, sep, nil)
	if len(cells) != len(units) {
		return text, 0
	}
	var head [][]byte
	for i, c := range cells {
		name := text[c.from:c.to]
		if units[i] != "" {
			name = append(bytes.Clone(name), " ("+units[i]+")"...)
		}
		head = append(head, name)
	}
	line := append(bytes.Join(head, []byte{sep}), '\n')
	out = append(line, text...)
	copy(out[len(line)+names.from:], bytes.Repeat([]byte{' '}, names.to-names.from))
	(&source{text: out}).blankUnits(len(line)+names.to, sep, units)
	return out, len(line)
}

// unitsOf returns the units in the cells of a row, empty where there is none, nil
// where the row has a cell that is neither a number nor one with a unit, or has no
// unit at all.
func (s *source) unitsOf(row cell) (units []string) {
	any := false
	for _, c := range split(s.text, row.from, row.to, likelySeparator(s.text[row.from:row.to]), nil) {
		m := cellUnit.FindSubmatch(s.text[c.from:c.to])
		_, _, number := parseNumber(s.text[c.from:c.to])
		unitName := ""
		switch {
		case number || c.from == c.to || hasBase(s.text[c.from:c.to]):
		case m == nil:
			return nil
		default:
			unitName = string(m[2])
			if _, known := findUnit(unitName); !known {
				return nil
			}
			any = true
		}
		units = append(units, unitName)
	}
	if !any {
		return nil
	}
	return units
}

// blankUnits takes the columns' units out of their cells from offset at on.
func (s *source) blankUnits(at int, sep byte, units []string) {
	for at < len(s.text) {
		to, next := s.line(at)
		for i, c := range split(s.text, at, to, sep, nil) {
			if i >= len(units) || units[i] == "" {
				continue
			}
			if rest, ok := bytes.CutSuffix(s.text[c.from:c.to], []byte(units[i])); ok {
				copy(s.text[c.from+len(rest):], bytes.Repeat([]byte{' '}, len(units[i])))
			}
		}
		at = next
	}
}
