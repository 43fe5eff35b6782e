package csvfile

import (
	"bytes"
	"strconv"

	"handspin/capture"
)

// tableOf looks for an instrument's table and sets the layout that it gives;
// the layout stays nil where there is none.
func (r *reader) tableOf() error {
	if found, err := r.perChannel(); found || err != nil {
		return err
	}
	if err := r.unjoin(); err != nil {
		return err
	}
	t := r.sniff()
	if t == nil {
		return nil
	}
	if err := r.oneReading(t); err != nil {
		return err
	}
	l, err := r.tableLayout(t, r.readFacts(t))
	r.lay = l
	return err
}

// tableLayout returns the layout of a table, nil where the person's columns are
// not in it.
func (r *reader) tableLayout(t *table, f facts) (l *layout, err error) {
	var used []column
	if r.opt.Columns == "" {
		used, err = r.assign(t, f)
	} else {
		used, err = r.chosen(t, f)
	}
	if used == nil || err != nil {
		return nil, err
	}
	l = t.layout()
	l.used = used
	for i, c := range used {
		for _, before := range used[:i] {
			if what := conflict(before, c); what != "" {
				return nil, r.fail(t.names.from, r.columnsHint(l), "%s", what)
			}
		}
	}
	return l, nil
}

// chosen returns the columns that the person named, nil where one is not in the
// table or their text cannot be read. A time that was not named is found.
func (r *reader) chosen(t *table, f facts) (used []column, err error) {
	entries, err := parseMapping(r.opt.Columns)
	if err != nil {
		return nil, nil
	}
	if !hasTime(entries) {
		if used, err = r.timeColumn(t, f); err != nil {
			return nil, err
		}
	}
	taken := map[int]bool{}
	for _, e := range entries {
		k := t.find(e)
		if k < 0 || taken[k] {
			return nil, nil
		}
		taken[k] = true
		switch c := t.column(k, e.field); {
		case e.field == fieldTime && r.opt.SampleRate != 0:
			r.note("the time column %s is not used, the sample rate is given", capture.Quote(c.name))
		case e.field == fieldTime && e.unit == (unit{}):
			used = append(used, r.timeOf(t, f, k))
		case e.unit != (unit{}):
			c.unit = e.unit
			used = append(used, c)
		default:
			used = append(used, c)
		}
	}
	return used, nil
}

// find returns which column an entry means, -1 if none.
func (t *table) find(e mapped) int {
	for k, h := range t.columns {
		full := h.name + " (" + h.unit + ")"
		if e.number == h.index+1 || e.name != "" && (lower(h.name) == lower(e.name) || lower(full) == lower(e.name)) {
			return k
		}
	}
	return -1
}

// oneReading refuses rows without names in which every comma could as well be a
// decimal mark.
func (r *reader) oneReading(t *table) error {
	if t.sep != ',' || t.names.from < t.names.to || t.units.from < t.units.to || t.cells%2 != 0 || r.opt.Columns != "" {
		return nil
	}
	rest := source{text: r.text[t.first:]}
	two, n := true, 0
	rest.lines(func(from, to int) bool {
		cells := split(rest.text, from, to, t.sep, nil)
		for i, c := range cells {
			text := rest.text[c.from:c.to]
			point := bytes.IndexByte(text, '.') >= 0
			two = two && !point && (i%2 == 0 || len(text) > 0 && !notDigit(rune(text[0])))
		}
		n++
		return two && n < lookedAt
	})
	if !two {
		return nil
	}
	return r.fail(t.first, "name the columns by number, as in --columns 't=1:s,p1=2', or save the file with semicolons between the cells",
		"the comma may part the %s cells of a row or be the decimal mark of %s", strconv.Itoa(t.cells), strconv.Itoa(t.cells/2))
}
