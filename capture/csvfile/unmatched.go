package csvfile

import (
	"regexp"
	"strings"

	"handspin/capture"
)

// thousands finds a number with a separator of thousands and decimals.
var thousands = regexp.MustCompile(`\d(\.\d{3})+,\d|\d(,\d{3})+\.\d`)

// noNames is the error for a text without a line of names that serves.
func (s *source) noNames(needTime bool) error {
	l := s.likelyNames()
	if l == nil {
		return s.fail(len(s.text), aRecording, "there is no line of column names and no row")
	}
	hint := s.columnsHint(l)
	if at := thousands.FindIndex(s.text[:min(len(s.text), sampled)]); at != nil && l.sep != ',' {
		return s.fail(at[0], "save the file without separators of thousands", "a number has both the point and the comma")
	}
	if at := s.glued(l); at >= 0 {
		return s.fail(at, unitApart, "the numbers have their units glued on")
	}
	switch {
	case len(l.used) == 0:
		return s.fail(l.from, hint, "no column has a name of the recording format (t_us hall p1 p2 p3 ...)")
	case needTime && !l.complete(true) && l.complete(false):
		return s.fail(l.from, "give --sample-rate HZ, or name it: "+hint, "there is no time column")
	}
	return s.fail(l.from, hint, "there is a time column, but no Hall and no phase column")
}

// glued returns the first of the lines behind the names, of which not one is a row
// of numbers, whose numbers have units with them; -1 for none.
func (s *source) glued(l *layout) (at int) {
	at = -1
	lines := 0
	s.lines(func(from, to int) bool {
		if from <= l.from {
			return true
		}
		lines++
		if _, pure := s.numbers(split(s.text, from, to, l.sep, nil)); pure {
			at = -1
			return false
		}
		if at < 0 && gluedUnit.Match(s.text[from:to]) {
			at = from
		}
		return lines < lookedAt
	})
	return at
}

const unitApart = "save the numbers alone, with one unit for a column, in its name"

// gluedUnit is a row that begins with a number and a unit.
var gluedUnit = regexp.MustCompile(`(?i)^[ "]*[-+]?[\d.]+(e[-+]?\d+)? ?[munpk\xb5µμ]?(s|sec|v)[ "]*(?:[,;\t]|$)`)

func (s *source) columnsHint(l *layout) string {
	return "say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; " + s.listColumns(l)
}

// listed is how many column names a hint lists.
const listed = 20

func (s *source) listColumns(l *layout) string {
	if l == nil || l.from == l.to {
		return "the columns have no names, only numbers from 1"
	}
	var names []string
	for _, c := range s.nameCells(l.from, l.to, l.sep) {
		if c.from < c.to {
			names = append(names, capture.Quote(string(s.text[c.from:c.to])))
		}
	}
	if len(names) > listed {
		names = append(names[:listed], "...")
	}
	return "the columns are " + strings.Join(names, " ")
}

// searched is how many lines are looked at for the names that a hint lists.
const searched = 100

// likelyNames guesses which line has the names: the one with the most of the
// format's own names, then with the most cells that are no numbers, then the
// first. It returns nil where there is no line at all.
func (s *source) likelyNames() (best *layout) {
	most, n := -1, 0
	s.lines(func(from, to int) bool {
		for _, sep := range separators {
			l := s.recogniseLine(from, to, sep)
			if score := len(l.used)*maxLine + s.words(l); score > most {
				most, best = score, l
			}
		}
		n++
		return n < searched
	})
	return best
}

// words counts the cells of a line that are neither empty nor numbers.
func (s *source) words(l *layout) (n int) {
	for _, c := range split(s.text, l.from, l.to, l.sep, nil) {
		if _, _, number := parseNumber(s.text[c.from:c.to]); c.from < c.to && !number {
			n++
		}
	}
	return n
}
