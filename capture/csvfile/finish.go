package csvfile

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"handspin/capture"
)

// finish makes a recording of the rows, or says why they are none.
func (r *reader) finish() (*capture.Recording, error) {
	if r.ordinal == 0 && r.rec.BadRows == 0 {
		return nil, r.fail(r.lay.from, aRecording, "there is no row after the column names")
	}
	if err := r.checkMarks(); err != nil {
		return nil, err
	}
	if len(r.rec.Time) > 0 {
		if err := r.setTime(); err != nil {
			return nil, err
		}
	}
	if err := r.checkRows(); err != nil {
		return nil, err
	}
	if r.guessed != nil && !r.digital() {
		return nil, r.cannotTell(r.guessed, nil)
	}
	r.setOverflow()
	r.setSigns()
	r.setLevels()
	r.setIndex()
	if len(r.rec.Columns) == 0 {
		r.setEvents()
	} else {
		r.setScale()
	}
	r.noteUnused()
	for _, d := range r.damage {
		r.rec.Damage = append(r.rec.Damage, &capture.SyntaxError{Pos: r.position(d.at), Msg: d.msg})
	}
	return r.rec, nil
}

// noteUnused says how many lines were passed over.
func (r *reader) noteUnused() {
	switch {
	case r.preamble == 0:
	case r.lay.table == nil:
		r.note("lines before the column names that are not used: %d", r.preamble)
	default:
		r.note("lines before the rows that are not used: %d", r.preamble)
	}
	if r.between > 0 {
		r.note("lines among the rows or after them that have no number: %d", r.between)
	}
}

// checkMarks refuses a file with both decimal marks: one of them parts
// thousands, and which is a guess.
func (r *reader) checkMarks() error {
	if r.marks[0] < 0 || r.marks[1] < 0 {
		return nil
	}
	return r.fail(max(r.marks[0], r.marks[1]), "save the file without separators of thousands",
		"the file has both the point and the comma as a decimal mark")
}

// setTime turns the time column into seconds, takes out rows whose time does not
// fit and puts the others in the order of time.
func (r *reader) setTime() error {
	c := clock{perSecond: r.opt.SampleRate}
	if c.perSecond == 0 {
		r.unwrapShort()
		if err := r.sortRows(); err != nil {
			return err
		}
		if err := r.checkScale(); err != nil {
			return err
		}
		u, err := r.timeUnit()
		if err != nil {
			return err
		}
		if r.lay.table != nil {
			r.spreadTimes(u)
		}
		c.perSecond, c.counter = u.size, u == microsecond
	}
	c.run(r.rec.Time, r.rec.Edge)
	r.rec.Start = c.start + r.origin
	r.describeStrays(c.strays)
	if c.restarts > 0 {
		r.note("time starts again %s in the file; what follows is put %d s after what was before", times(c.restarts), restartGap)
	}
	if rows := c.order(); rows != nil {
		r.arrange(rows)
	}
	return nil
}

// describeStrays counts rows whose time does not fit, and keeps the descriptions
// of damage in the order of the file.
func (r *reader) describeStrays(strays []stray) {
	before := r.damage
	r.damage = nil
	for _, s := range strays {
		how := "time is out of line: %s next to %s"
		if s.backward {
			how = "time runs backward: %s after %s"
		}
		r.damaged(int(r.at[s.row]), how, plain(s.time), plain(s.other))
	}
	r.damage = append(r.damage, before...)
	slices.SortStableFunc(r.damage, func(a, b damage) int { return cmp.Compare(a.at, b.at) })
	r.damage = r.damage[:min(len(r.damage), capture.MaxDamage)]
}

// plain prints a number as a file has it.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// arrange leaves the given rows, in their order.
func (r *reader) arrange(rows []int) {
	rec := r.rec
	rec.Time = pick(rec.Time, rows)
	rec.Hall = pick(rec.Hall, rows)
	rec.Edge = pick(rec.Edge, rows)
	r.at = pick(r.at, rows)
	for _, v := range r.values() {
		*v = pick(*v, rows)
	}
}

// pick returns the given entries of s.
func pick[T any](s []T, rows []int) []T {
	out := make([]T, len(rows))
	for i, row := range rows {
		out[i] = s[row]
	}
	return out
}

// checkRows refuses a file in which too little can be read to trust it.
func (r *reader) checkRows() error {
	rec := r.rec
	rows := rec.Rows()
	switch {
	case 2*r.rowsBefore > rows && r.rowsBefore > fewRows:
		return r.fail(r.firstBefore, "split the file before the second line of column names, line "+strconv.Itoa(r.position(r.lay.from).Line)+", and give both",
			"the file has two tables: %d rows stand before the column names that are used", r.rowsBefore)
	case r.lead > 0 && slices.ContainsFunc(r.damage, r.isGlued):
		// Rows left out for their unit would be those of one part of the spin.
		first := r.damage[slices.IndexFunc(r.damage, r.isGlued)]
		return r.fail(first.at, unitApart, "%s, where the first rows have another unit (%d of %d rows cannot be read)", first.msg, rec.BadRows, rec.BadRows+rows)
	case rec.BadRows > rows:
		first, hint := r.damage[0], r.columnsHint(r.lay)
		if r.isGlued(first) {
			hint = unitApart
		}
		return r.fail(first.at, hint, "%s (%d of %d rows cannot be read)", first.msg, rec.BadRows, rec.BadRows+rows)
	case rows == 1:
		return r.fail(int(r.at[0]), aRecording, "there is only one row")
	case rec.Time[rows-1] == 0:
		return r.fail(int(r.at[1]), "name another time column with --columns 't=NAME:unit', or give --sample-rate HZ",
			"time stands still in all %d rows", rows)
	}
	return nil
}

// countsRange is the range of whole numbers from which on they are taken for
// counts of a converter and not for volts: a motor turned by hand gives less
// than some 60 V.
const countsRange = 60

// setScale sets what one unit of the phase columns is in volts, and the skew.
func (r *reader) setScale() {
	for i := range r.rec.Columns {
		c := &r.rec.Columns[i]
		c.Skew = r.header.skew[c.Signal%3]
	}
	switch size, known := r.columnUnit(); {
	case r.header.scaleGiven:
		r.rec.VoltsPerUnit = r.header.scale
	case known:
		r.rec.VoltsPerUnit = size
	case r.looksLikeCounts():
		r.note("the phase columns are taken for counts whose size in volts is not known; give it as # volts_per_count: VOLTS")
	default:
		r.rec.VoltsPerUnit = 1
		r.note("the phase columns are taken for volts, since the file does not say")
	}
}

// isGlued reports whether a row is damaged since a cell has a unit in it.
func (r *reader) isGlued(d damage) bool {
	to, _ := r.line(d.at)
	return gluedUnit.Match(r.text[d.at:to])
}

// setSigns turns differences that go from the second lead to the first.
func (r *reader) setSigns() {
	for _, c := range r.lay.used {
		if !c.reversed {
			continue
		}
		values := r.rec.Columns[r.column[c.field.signal()]].Value
		for k := range values {
			values[k] = -values[k]
		}
	}
}

// columnUnit returns the unit of the phase columns in volts. Columns of
// different units are brought to volts.
func (r *reader) columnUnit() (size float64, known bool) {
	var sizes []float64
	for _, c := range r.lay.used {
		if c.field.isPhase() {
			sizes = append(sizes, c.unit.size)
		}
	}
	if slices.Contains(sizes, 0) {
		return 0, false
	}
	if slices.Min(sizes) == slices.Max(sizes) {
		return sizes[0], true
	}
	for i, c := range r.rec.Columns {
		for k := range c.Value {
			c.Value[k] *= sizes[i]
		}
	}
	return 1, true
}

// looksLikeCounts reports whether all phase values are whole numbers and spread
// wider than volts would.
func (r *reader) looksLikeCounts() bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range r.rec.Columns {
		for _, v := range c.Value {
			if v != math.Trunc(v) && !math.IsNaN(v) {
				return false
			}
			low, high = min(low, orElse(v, low)), max(high, orElse(v, high))
		}
	}
	return high-low > countsRange
}

// orElse returns v, or other where v is missing.
func orElse(v, other float64) float64 {
	if math.IsNaN(v) {
		return other
	}
	return v
}
