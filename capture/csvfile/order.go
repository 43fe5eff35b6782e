package csvfile

import (
	"cmp"
	"math"
	"slices"
)

// Rows that were sorted by something else than time, or not at all, are in the
// order of time again where that is plain: shareBack of them at least go back,
// which a few segments or damaged rows do not, and sorted they come at one steady
// rate, but for gaps of whole rows. Where most go to and fro and that is not so, the
// file is refused: it would fall apart into hundreds of pieces.
const (
	shareBack  = 0.02
	shareToFro = 0.2
)

// sortRows puts the rows in the order of their times where that is plain. Files
// with Hall edges beside samples are two streams, which the clock puts in order.
func (r *reader) sortRows() error {
	times := r.rec.Time
	if len(times) < 2*minRows || slices.Contains(r.rec.Edge, true) {
		return nil
	}
	back, first := 0, 0
	for i, v := range times[1:] {
		if v < times[i] {
			if back++; back == 1 {
				first = i + 1
			}
		}
	}
	if back < minRows || float64(back) < shareBack*float64(len(times)) {
		return nil
	}
	rows := make([]int, len(times))
	for i := range rows {
		rows[i] = i
	}
	slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(times[a], times[b]) })
	if evenly(times, rows) {
		r.arrange(rows)
		r.note("the rows are not in the order of time, %d of them go back; they are put in order", back)
		return nil
	}
	if float64(back) >= shareToFro*float64(len(times)) {
		return r.fail(int(r.at[first]), "sort the rows by time, or name another time column with --columns 't=NAME:unit'",
			"the rows are not in the order of time, and sorted they are not evenly apart: %s after %s, %d times in %d rows go back",
			plain(times[first]), plain(times[first-1]), back, len(times))
	}
	return nil
}

// evenly reports whether the times of rows go up by steps of one size, or of a
// whole number of it where rows are missing, which few are.
func evenly(times []float64, rows []int) bool {
	steps := make([]float64, len(rows)-1)
	for i := range steps {
		steps[i] = times[rows[i+1]] - times[rows[i]]
	}
	middle := slices.Sorted(slices.Values(steps))[len(steps)/2]
	single := 0
	for _, s := range steps {
		n := math.Round(s / middle)
		if !(n >= 1) || math.Abs(s-n*middle) > nearStep*middle {
			return false
		}
		if n == 1 {
			single++
		}
	}
	return float64(single) >= shareSteady*float64(len(steps))
}

// checkScale refuses a time whose unit changes within the column: the next time is
// then a thousand times what it should be, or a thousandth, and goes on with steps
// that have changed as much. Rows of changes alone have no steps to tell.
func (r *reader) checkScale() error {
	times := r.rec.Time
	for i := 2; i+1 < len(times) && len(r.rec.Columns) > 0; i++ {
		step, next := times[i-1]-times[i-2], times[i+1]-times[i]
		if next < 100*step && step < 100*next {
			continue // as nearly all are
		}
		for _, factor := range []float64{1e3, 1e-3} {
			due := factor * (times[i-1] + step)
			if step > 0 && math.Abs(next-factor*step) < 0.02*factor*step && math.Abs(times[i]-due) < 0.6*factor*step {
				return r.fail(int(r.at[i]), "split the file here, or save it anew with one unit",
					"the unit of time seems to change here: %s after %s, and steps of %.4g after %.4g", plain(times[i]), plain(times[i-1]), next, step)
			}
		}
	}
	return nil
}

// otherUnits refuses a line among the rows that repeats the names or the units, but
// with another unit for a column in use.
func (r *reader) otherUnits() error {
	for _, c := range r.lay.used {
		if c.index >= len(r.cells) || c.unit.size == 0 {
			continue
		}
		at := r.cells[c.index]
		text := string(r.text[at.from:at.to])
		_, unitName := splitUnit(text)
		if unitName == "" {
			unitName = bare(text)
		}
		if u, ok := findUnit(unitName); ok && u.time == c.unit.time && u != c.unit {
			return r.fail(at.from, "split the file here", "the unit of %s changes within the file from %s to %s", shown(c.name), c.unit.name, u.name)
		}
	}
	return nil
}
