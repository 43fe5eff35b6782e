package csvfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"handspin/capture"
)

// assign chooses the columns that are used and says which they are taken for.
func (r *reader) assign(t *table, f facts) ([]column, error) {
	used, err := r.timeColumn(t, f)
	if err != nil {
		return nil, err
	}
	if named := t.byNames(f); len(named) > 0 {
		used = append(used, named...)
		return append(used, r.beside(t, f, used)...), nil
	}
	if k := r.threeBits(t, f); k >= 0 {
		used = append(used, t.column(k, fieldHall))
		r.noteLeads(t, used)
		return used, nil
	}
	lines, phases, ok := t.leads(f)
	if !ok || len(lines)+len(phases) == 0 {
		return nil, r.cannotTell(t, f)
	}
	if len(lines) == 0 && t.aWord(f, phases) {
		return nil, r.fail(t.names.from, "name it, as in --columns 'hall_code=NAME' or 'p1=NAME'; "+r.listColumns(t.layout()),
			"column %s may be a word of Hall levels or a voltage", capture.Quote(t.columns[phases[0]].called()))
	}
	for i, k := range lines {
		used = append(used, t.column(k, fieldH1+field(i)))
		if binaryValues(t.columns[k].over(f[k])) {
			r.guessed = t
		}
	}
	voltages, ok := t.phaseColumns(phases)
	if !ok {
		return nil, r.fail(t.names.from, "say which with --columns, as in 'p1=NAME' or 'p12=NAME'; "+r.listColumns(t.layout()),
			"%s may be the voltage of a lead or that between two", capture.Quote(t.columns[phases[0]].called()))
	}
	used = append(used, voltages...)
	r.noteLeads(t, used)
	r.noteLeftOut(t, t.roles(f), used)
	return used, nil
}

// threeBits returns the only column beside the time if its cells are the digits of
// three bits, in the first rows, or words that say their base; -1 if not.
func (r *reader) threeBits(t *table, f facts) int {
	only, n := -1, 0
	for k, role := range t.roles(f) {
		if role != ofTime && role != ofCount {
			only, n = k, n+1
		}
	}
	if n != 1 || t.columns[only].unit != "" {
		return -1
	}
	rest, rows, words := source{text: r.text[t.first:]}, 0, 0
	rest.lines(func(from, to int) bool {
		cells := split(rest.text, from, to, t.sep, nil)
		if text := []byte(rest.cellText(cells, t.columns[only].index)); hasBase(text) {
			words++
		} else if _, digits := hallDigits(text); digits && len(text) > 0 {
			words++
		}
		rows++
		return rows < lookedAt
	})
	if words < rows {
		return -1
	}
	return only
}

// aWord reports whether the only column beside the time has nothing but the numbers
// that three bits make, several of them: a word of levels as likely as a voltage.
func (t *table) aWord(f facts, phases []int) bool {
	if len(phases) != 1 || t.columns[phases[0]].unit != "" {
		return false
	}
	seen := map[float64]bool{}
	for _, v := range f[phases[0]] {
		if v < 0 || v > 7 || v != math.Trunc(v) {
			return false
		}
		seen[v] = true
	}
	return len(seen) > 3
}

// column returns column k of the table as one of a field.
func (t *table) column(k int, f field) column {
	h := t.columns[k]
	u, _ := findUnit(h.unit)
	if !f.fits(u) {
		u = unit{}
	}
	return column{field: f, index: h.index, name: h.called(), unit: u}
}

// byNames returns the columns with names of the recording format but for time. One
// called index that counts is the number of the row.
func (t *table) byNames(facts facts) (used []column) {
	for k, h := range t.columns {
		if f, _ := recognise(h.name); f != unused && f != fieldTime && h.role(facts[k]) != ofCount {
			used = append(used, t.column(k, f))
		}
	}
	return used
}

// timeColumn returns the column of time, none where the rows come at a rate that
// the file or the person gives.
func (r *reader) timeColumn(t *table, f facts) ([]column, error) {
	if r.opt.SampleRate != 0 {
		return r.countColumn(t, f), nil
	}
	roles, interval := t.roles(f), t.meta.interval()
	k := slices.Index(roles, ofTime)
	switch {
	case k >= 0:
		if err := r.sameTimes(t, f, roles, k); err != nil {
			return nil, err
		}
		return []column{r.timeOf(t, f, k)}, nil
	case interval > 0:
		r.opt.SampleRate, r.origin = 1/interval, t.meta.start()
		r.note("there is no time column; the rows are %.6g s apart, as the file says", interval)
		return nil, nil
	}
	return nil, r.fail(t.names.from, "give --sample-rate HZ, or name it: "+r.columnsHint(t.layout()), "there is no time column")
}

// countColumn returns the column that counts samples where rows are left out of the
// count, as where a row stands for a change: the given rate is then that of the
// count. It returns none where the rows are all there.
func (r *reader) countColumn(t *table, f facts) []column {
	for k, h := range t.columns {
		if h.role(f[k]) != ofCount || !skips(f[k]) {
			continue
		}
		c := t.column(k, fieldTime)
		c.unit = unit{name: "rows", time: true, size: r.opt.SampleRate}
		r.opt.SampleRate = 0
		r.note("%s counts samples at the given rate", capture.Quote(c.name))
		return []column{c}
	}
	return nil
}

// skips reports whether most steps of a count are more than one.
func skips(values []float64) bool {
	n := 0
	for i := range values[1:] {
		if values[i+1]-values[i] > 1 {
			n++
		}
	}
	return 2*n > len(values)-1
}

// timeOf returns column k as the time, which may count rows.
func (r *reader) timeOf(t *table, f facts, k int) column {
	interval := t.meta.interval()
	c := t.column(k, fieldTime)
	if t.columns[k].role(f[k]) == ofCount && interval > 0 {
		c.unit, r.origin = unit{name: "rows", time: true, size: 1 / interval}, t.meta.start()
		r.note("%s counts the rows, which are %.6g s apart, as the file says", capture.Quote(c.name), interval)
	} else if c.unit == (unit{}) && t.columns[k].name == "" {
		r.note("%s is taken for the time, since it goes up by steady steps", c.name)
	}
	return c
}

// sameTimes refuses a file with times that differ within a row.
func (r *reader) sameTimes(t *table, f facts, roles []role, first int) error {
	n := 0
	for k := first + 1; k < len(roles); k++ {
		if roles[k] != ofTime {
			continue
		}
		n++
		for i, v := range f[k] {
			if d := math.Abs(v - f[first][i]); d > nearTime*stepAt(f[first], i) {
				return r.fail(t.names.from, "save channels of one rate only, or "+r.columnsHint(t.layout()),
					"the time columns differ: %s and %s in row %d", plain(f[first][i]), plain(v), i+1)
			}
		}
	}
	if n > 0 {
		r.note("the time is there %s, the same each time", times(n+1))
	}
	return nil
}

// nearTime is by how much of a step times of one row may differ.
const nearTime = 0.01

func stepAt(times []float64, i int) float64 {
	if i == 0 {
		i = 1
	}
	return math.Abs(times[i] - times[i-1])
}

// noteLeads says which columns were taken for which leads.
func (r *reader) noteLeads(t *table, used []column) {
	var parts []string
	for _, c := range used {
		if c.field != fieldTime {
			sign := ""
			if c.reversed {
				sign = "-"
			}
			parts = append(parts, fmt.Sprintf("%s for %s%s", t.shown(c), sign, c.field))
		}
	}
	r.note(capture.ByOrder+": %s; --columns says otherwise", strings.Join(parts, ", "))
}

// shown returns what a message calls a column in use.
func (t *table) shown(c column) string {
	for _, h := range t.columns {
		if h.index == c.index && h.name == "" {
			return c.name
		}
	}
	return shown(c.name)
}

// cannotTell is the error for columns that do not tell what they are; without facts
// they turned out to be something else than they seemed.
func (r *reader) cannotTell(t *table, f facts) error {
	msg := "which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases"
	if f != nil {
		lines, phases, _ := t.leads(f)
		msg += fmt.Sprintf(", and here are %d and %d", len(lines), len(phases))
	}
	for _, h := range t.columns {
		if _, known := findUnit(h.unit); h.unit != "" && !known && !kinds[lower(h.unit)] {
			msg += fmt.Sprintf("; %s is in %s, which is no unit of these", capture.Quote(h.called()), capture.Quote(h.unit))
		}
	}
	return r.fail(t.names.from, r.columnsHint(t.layout()), "%s", msg)
}

// layout returns how the table's rows are to be read, without its columns.
func (t *table) layout() *layout {
	last := t.filled[len(t.filled)-1]
	return &layout{sep: t.sep, width: last + 1, named: t.named, table: t, first: t.first, from: t.names.from, to: t.names.to,
		unitFrom: t.units.from, unitTo: t.units.to}
}
