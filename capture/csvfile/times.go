package csvfile

import (
	"math"
	"slices"
	"strings"

	"handspin/capture"
)

// What a recording of a turned motor can be like, in rows per second and in
// seconds. With it a unit that the file does not say is found where only one
// fits.
const (
	leastRate, mostRate     = 50, 2e6
	leastLength, mostLength = 0.02, 1e5
)

// timeUnit returns the unit of the time column. Where the file does not say, it
// follows from the interval that the file gives beside it, or from what a
// recording can be like.
func (r *reader) timeUnit() (unit, error) {
	c := r.lay.used[0] // columns are sorted by field, time first
	if c.unit != (unit{}) {
		r.doubtUnit(c)
		return c.unit, nil
	}
	if r.wallClock {
		r.note("the times of day are turned into seconds")
		return second, nil
	}
	step, length := middleStep(r.rec.Time)
	var fitting []string
	var found unit
	for _, u := range []unit{second, millisecond, microsecond, nanosecond} {
		if r.lay.fitsTime(step/u.size, length/u.size, len(r.rec.Time)) {
			fitting = append(fitting, u.name)
			found = u
		}
	}
	if len(fitting) != 1 {
		return unit{}, r.fail(r.lay.from, "give it with --columns 't=NAME:unit', the unit one of "+timeUnits,
			"the time column %s has no unit, and %s would fit", capture.Quote(c.name), oneOf(fitting))
	}
	r.note("the time column %s is taken for %s, since no other unit fits", capture.Quote(c.name), found.name)
	return found, nil
}

// doubtUnit says where the rows come at a rate that no recording has by the unit
// that the file gives, but would by another.
func (r *reader) doubtUnit(c column) {
	step, length := middleStep(r.rec.Time)
	fits := func(u unit) bool { return r.lay.fitsTime(step/u.size, length/u.size, len(r.rec.Time)) }
	if len(r.rec.Columns) == 0 || c.unit.name == "rows" || len(r.rec.Time) < fewRows || fits(c.unit) {
		return
	}
	for _, u := range []unit{second, millisecond, microsecond, nanosecond} {
		if fits(u) {
			r.note("by the file the time is in %s, so that the rows are %.4g s apart; if it is in %s, say so with --columns 't=%s:%s'", c.unit.name, step/c.unit.size, u.name, c.name, u.name)
			return
		}
	}
}

func oneOf(fitting []string) string {
	if len(fitting) == 0 {
		return "none"
	}
	return strings.Join(fitting, " and ")
}

// fitsTime reports whether rows can come so many seconds apart, so many over so many
// seconds.
func (l *layout) fitsTime(step, length float64, rows int) bool {
	if l.table != nil && l.table.meta.interval() > 0 {
		interval := l.table.meta.interval()
		mean := length / float64(rows-1) // which rounding of times leaves alone
		return min(math.Abs(step-interval), math.Abs(mean-interval)) <= nearTime*interval
	}
	return 1/mostRate <= step && step <= 1./leastRate && leastLength <= length && length <= mostLength
}

// middleStep returns the median of the steps onward, 0 where there is none, and
// the sum of all.
func middleStep(times []float64) (step, sum float64) {
	var steps []float64
	if len(times) == 0 {
		return 0, 0
	}
	for i, v := range times[1:] {
		if d := v - times[i]; d > 0 {
			steps = append(steps, d)
			sum += d
		}
	}
	if len(steps) == 0 {
		return 0, 0
	}
	slices.Sort(steps)
	return steps[len(steps)/2], sum
}

// shareRepeats is the share of steps of zero from which on a time was rounded:
// a recording's own clock repeats a time seldom.
const shareRepeats = 0.2

// spreadTimes puts the rows of a table an even step apart where their times were
// rounded so far that many repeat. The step is the interval that the file gives,
// or else the mean.
func (r *reader) spreadTimes(u unit) {
	times := r.rec.Time
	n := len(times)
	if n < minRows || repeats(times) < shareRepeats*float64(n-1) || len(r.rec.Columns) == 0 {
		return
	}
	if r.inPairs() {
		r.note("each time stands twice, with a lower and a higher value: the least and the greatest of a stretch")
		return
	}
	step := r.lay.table.meta.interval() * u.size
	if step == 0 {
		step = (times[n-1] - times[0]) / float64(n-1)
	}
	even := make([]float64, n)
	quantum := biggestStep(times)
	for i, v := range times {
		even[i] = times[0] + float64(i)*step
		if math.Abs(even[i]-v) > quantum {
			r.note("many times repeat, but the rows are not evenly apart; they are left as they are")
			return
		}
	}
	r.rec.Time = even
	r.note("many times repeat; the rows are put %.6g s apart", step/u.size)
}

func repeats(times []float64) (n float64) {
	for i, v := range times[1:] {
		if v == times[i] {
			n++
		}
	}
	return n
}

func biggestStep(times []float64) (biggest float64) {
	for i, v := range times[1:] {
		biggest = max(biggest, v-times[i])
	}
	return biggest
}

// inPairs reports whether rows come in pairs of one time, of which in all columns
// the first is never the higher: a rounded time would have falling pairs too.
func (r *reader) inPairs() bool {
	times := r.rec.Time
	for i := 0; i+1 < len(times); i += 2 {
		if times[i] != times[i+1] || i > 0 && times[i] == times[i-1] {
			return false
		}
		for _, c := range r.rec.Columns {
			if c.Value[i] > c.Value[i+1] {
				return false
			}
		}
	}
	return len(times)%2 == 0
}
