package csvfile

import (
	"math"
	"slices"
	"strings"

	"handspin/capture"
)

// beside takes the columns beside those with names of the recording format: where
// the names tell no phase or no Hall lead, they may be that. It says which are not
// used, so that nothing is left out in silence. It returns the columns that it
// takes.
func (r *reader) beside(t *table, f facts, named []column) (taken []column) {
	t, f = t.without(named, f)
	if len(t.columns) == 0 {
		return nil
	}
	roles := t.roles(f)
	lines, phases, ok := t.leads(f)
	has := func(is func(field) bool) bool {
		return slices.ContainsFunc(named, func(c column) bool { return is(c.field) })
	}
	if ok && len(lines) == 3 && !has(field.isHall) {
		for i, k := range lines {
			taken = append(taken, t.column(k, fieldH1+field(i)))
			if binaryValues(t.columns[k].over(f[k])) {
				r.guessed = t
			}
		}
	}
	if ok && !has(field.isPhase) && !slices.ContainsFunc(phases, func(k int) bool { return !t.columns[k].isChannel() }) {
		voltages, _ := t.phaseColumns(phases) // what has two readings is named as not used
		taken = append(taken, voltages...)
	}
	if len(taken) > 0 {
		r.noteLeads(t, taken)
	}
	r.noteLeftOut(t, roles, taken)
	return taken
}

// isChannel reports whether a column can be an input of an instrument: it is in
// volts, or has a number or the letters of leads. Beside names of the recording format there may also be
// a temperature or a remark.
func (h heading) isChannel() bool {
	u, _ := findUnit(h.unit)
	name := lower(h.name)
	return fieldP1.fits(u) || h.unit == "" &&
		(lastNumber.MatchString(name) || letterName.MatchString(name) || differenceName.MatchString(name))
}

// without returns the table without columns in use, time aside, and those that
// have no number.
func (t *table) without(used []column, f facts) (*table, facts) {
	rest, restFacts := *t, facts{}
	rest.columns = nil
	for k, h := range t.columns {
		isUsed := slices.ContainsFunc(used, func(c column) bool { return c.index == h.index && c.field != fieldTime })
		if !isUsed && slices.ContainsFunc(f[k], func(v float64) bool { return !math.IsNaN(v) }) {
			rest.columns, restFacts = append(rest.columns, h), append(restFacts, f[k])
		}
	}
	return &rest, restFacts
}

func (r *reader) noteLeftOut(t *table, roles []role, taken []column) {
	var names []string
	for k, h := range t.columns {
		isTaken := slices.ContainsFunc(taken, func(c column) bool { return c.index == h.index })
		if !isTaken && roles[k] != ofTime && roles[k] != ofCount {
			names = append(names, capture.Quote(h.called()))
		}
	}
	if len(names) > listed {
		names = append(names[:listed], "...")
	}
	if len(names) > 0 {
		r.note("columns that are not used: %s; --columns can say what they are", strings.Join(names, " "))
	}
}

// besideNames is beside for a layout that the file's own names gave.
func (r *reader) besideNames() {
	l := r.lay
	t := &table{block: block{sep: l.sep, first: max(l.to, l.unitTo)}, names: cell{l.from, l.to}, meta: meta{}}
	units := split(r.text, l.unitFrom, l.unitTo, l.sep, nil)
	for i, c := range r.nameCells(l.from, l.to, l.sep) {
		if c.from == c.to {
			continue
		}
		t.filled = append(t.filled, i)
		h := heading{index: i}
		if h.name, h.unit = splitUnit(string(r.text[c.from:c.to])); h.unit == "" {
			h.unit = unitOf(r.cellText(units, i))
		}
		t.columns = append(t.columns, h)
	}
	if len(t.columns) <= len(l.used) {
		return
	}
	l.used = append(l.used, r.beside(t, r.readFacts(t), l.used)...)
}
