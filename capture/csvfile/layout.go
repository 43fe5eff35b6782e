package csvfile

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"handspin/capture"
	"handspin/capture/line"
)

// column is a column of the file that is used.
type column struct {
	field field
	// index is its place in a row, from 0; name its name for messages.
	index int
	name  string
	unit  unit
	// bit is which bit of a word the column is, the lowest 1; 0 for the whole cell.
	bit int
	// reversed is whether a difference of leads has the other sign.
	reversed bool
}

// layout is how a file's rows are to be read.
type layout struct {
	sep byte
	// width is the number of cells of a row; cells beyond it must be empty, but for
	// those of columns up to named, such as remarks.
	width, named int
	used         []column
	// from and to delimit the line with the column names, and unitFrom and
	// unitTo the line with units; both are empty where there is no such line.
	from, to         int
	unitFrom, unitTo int
	// table is what the layout was made of, nil where the file's own names gave
	// it; first is the offset of a table's first row.
	table *table
	first int
	// places has the column at each place of a row, nil where none is used. It is
	// empty where two columns, as bits of a word, have one place.
	places []*column
}

// arrange puts the columns that are used into the order of their fields, time
// first.
func (l *layout) arrange() {
	slices.SortFunc(l.used, func(a, b column) int { return int(a.field) - int(b.field) })
	l.places = make([]*column, l.width)
	for i := range l.used {
		c := &l.used[i]
		if l.places[c.index] != nil {
			l.places = nil
			return
		}
		l.places[c.index] = c
	}
}

// fits reports whether a row has the right number of cells; filled is how many
// there are up to the last that is not empty.
func (l *layout) fits(cells []cell, filled int) bool {
	return len(cells) >= l.width && filled <= max(l.width, l.named)
}

var separators = []byte{',', ';', '\t'}

// lines calls visit for every line that is neither blank nor begins with #,
// until it returns false.
func (s *source) lines(visit func(from, to int) bool) {
	for at := 0; at < len(s.text); {
		to, next := s.line(at)
		from := s.begin(at, to)
		if from < to && s.text[from] != '#' && !visit(from, to) {
			return
		}
		at = next
	}
}

// namedLayout finds the line with the column names of the recording format; nil
// where there is none.
func (s *source) namedLayout(needTime bool) (*layout, error) {
	var found *layout
	var err error
	s.lines(func(from, to int) bool {
		// Every name but that of time has one of these. A long file of
		// something else is done with quickly this way.
		if !bytes.ContainsAny(s.text[from:to], "hHpP") {
			return true
		}
		for _, sep := range separators {
			l := s.recogniseLine(from, to, sep)
			if l.complete(needTime) {
				found = l
				err = s.checkNames(l)
				return false
			}
		}
		return true
	})
	return found, err
}

// recogniseLine returns the layout that a line of column names gives.
func (s *source) recogniseLine(from, to int, sep byte) *layout {
	l := &layout{sep: sep, from: from, to: to}
	for i, c := range s.nameCells(from, to, sep) {
		name := string(s.text[c.from:c.to])
		f, unitName := recognise(name)
		if name != "" {
			l.width = i + 1
		}
		if f != unused {
			u, _ := findUnit(unitName)
			l.used = append(l.used, column{field: f, index: i, name: name, unit: u})
		}
	}
	return l
}

// nameCells splits a line of names. The board may have added a sum to it; a name
// is right or not whatever the sum says.
func (s *source) nameCells(from, to int, sep byte) []cell {
	names, _ := line.Strip(s.text[from:to])
	return split(s.text, from, from+len(names), sep, nil)
}

// complete reports whether there is enough to call the line one of names.
func (l *layout) complete(needTime bool) bool {
	time, rest := !needTime, false
	for _, c := range l.used {
		time = time || c.field == fieldTime
		rest = rest || c.field.isHall() || c.field.isPhase()
	}
	return time && rest
}

// checkNames refuses columns that contradict each other.
func (s *source) checkNames(l *layout) error {
	cells := s.nameCells(l.from, l.to, l.sep)
	for i, c := range l.used {
		at := cells[c.index].from
		if _, unitName := splitUnit(c.name); unitName != "" && !c.field.fits(c.unit) {
			return s.fail(at, "say which with --columns", "column %s has the unit %s, not one of %s",
				capture.Quote(c.name), capture.Quote(unitName), c.field.unitList())
		}
		for _, before := range l.used[:i] {
			if what := conflict(before, c); what != "" {
				return s.fail(at, s.columnsHint(l), "%s", what)
			}
		}
	}
	return nil
}

// conflict says why a file cannot have both columns, or nothing.
func conflict(a, b column) string {
	switch {
	case a.field == b.field:
		return fmt.Sprintf("columns %s and %s are both %s", capture.Quote(a.name), capture.Quote(b.name), a.field)
	case a.field.isPhase() && b.field.isPhase() && a.field.isDifference() != b.field.isDifference():
		return fmt.Sprintf("columns %s and %s mix leads with differences of leads", capture.Quote(a.name), capture.Quote(b.name))
	case a.field.isHall() && b.field.isHall() && !(a.field.isLine() && b.field.isLine()):
		return fmt.Sprintf("columns %s and %s both give the Hall levels", capture.Quote(a.name), capture.Quote(b.name))
	}
	return ""
}

// String returns the field's key.
func (f field) String() string {
	for key, g := range fieldKeys {
		if f == g {
			return key
		}
	}
	return ""
}

// unitList returns the units that fit the field.
func (f field) unitList() string {
	switch f {
	case fieldTime:
		return timeUnits
	case fieldCode:
		return baseNames
	}
	return voltUnits
}

// fits reports whether a column of the field can have the unit.
func (f field) fits(u unit) bool {
	switch {
	case f == fieldTime:
		return u.time
	case u.base != 0:
		return f == fieldCode || f.isLine()
	}
	return (f.isPhase() || f.isLine() || f == fieldIndex) && u.size != 0 && !u.time
}

// unitRow looks for a line of units behind the line of names, and gives its
// units to the columns that have none yet.
func (s *source) unitRow(l *layout) error {
	from, to := s.after(l.to)
	cells := split(s.text, from, to, l.sep, nil)
	if from == to || len(cells) < l.width || !s.isUnitRow(l, cells) {
		return nil
	}
	l.unitFrom, l.unitTo = from, to
	for i := range l.used {
		c := &l.used[i]
		at := cells[c.index]
		name := bare(string(s.text[at.from:at.to]))
		u, ok := findUnit(name)
		switch {
		case c.unit != (unit{}) || name == "" || !c.field.fits(volt) && !c.field.fits(second):
		case !ok || !c.field.fits(u):
			return s.fail(at.from, "give the unit with --columns", "column %s has the unit %s, not one of %s",
				capture.Quote(c.name), capture.Quote(name), c.field.unitList())
		default:
			c.unit = u
		}
	}
	return nil
}

// after returns the first line from offset at on that has content and is no
// comment; it is empty at the end of the text.
func (s *source) after(at int) (from, to int) {
	rest := source{text: s.text[at:]}
	rest.lines(func(f, t int) bool {
		from, to = at+f, at+t
		return false
	})
	return from, to
}

// isUnitRow reports whether a line has a unit for a column in use and no number.
func (s *source) isUnitRow(l *layout, cells []cell) bool {
	for _, c := range cells {
		if _, _, number := parseNumber(s.text[c.from:c.to]); number {
			return false
		}
	}
	for _, c := range l.used {
		at := cells[c.index]
		if _, ok := findUnit(bare(string(s.text[at.from:at.to]))); ok {
			return true
		}
	}
	return false
}

// bare takes the brackets off a unit.
func bare(name string) string {
	return strings.TrimSpace(strings.Trim(name, "()[]"))
}
