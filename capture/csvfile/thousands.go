package csvfile

import (
	"bytes"
	"regexp"
)

var (
	// groups is a number that may have commas between thousands or one as its
	// decimal mark. Beyond three digits a group has a comma before it.
	groups = regexp.MustCompile(`^[+-]?[1-9]\d{0,2},\d{3}$`)
	// noGroups is a number that a writer who parts thousands would write
	// otherwise, or that has another decimal mark.
	noGroups = regexp.MustCompile(`^[+-]?(\d{4,}|\d*,\d*|.*[.eE].*)$`)
)

// oneComma refuses a file in which every comma within a number may part thousands
// as well as be the decimal mark: 1,234 is a thousand times 1.234.
func (r *reader) oneComma() error {
	l := r.lay
	begin := max(l.first, l.to, l.unitTo)
	if l.sep == ',' && bytes.IndexByte(r.text[begin:], '"') < 0 || bytes.IndexByte(r.text[begin:], ',') < 0 {
		return nil
	}
	at, decided := -1, false
	var cells []cell
	r.source.lines(func(from, to int) bool {
		if from < begin {
			return true
		}
		cells = split(r.text, from, to, l.sep, cells[:0])
		for _, c := range l.used {
			if c.index >= len(cells) || c.bit != 0 || c.unit.base != 0 || c.field == fieldHall || c.field == fieldCode {
				continue
			}
			text := r.text[cells[c.index].from:cells[c.index].to]
			switch {
			case groups.Match(text):
				if at < 0 {
					at = cells[c.index].from
				}
			case noGroups.Match(text):
				decided = true
			}
		}
		return !decided
	})
	if at < 0 || decided {
		return nil
	}
	return r.fail(at, "save the file without separators of thousands, or with decimal points",
		"the comma may part thousands or be the decimal mark, and nothing in the file tells which")
}
