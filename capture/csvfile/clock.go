package csvfile

import (
	"math"
	"sync/atomic"

	"handspin/capture/cores"
)

// The board's clock is a 32-bit counter of microseconds.
const (
	counterRange = 1 << 32
	// A counter that falls from near its end to near zero, with at most so many
	// microseconds between, has wrapped; otherwise the board has restarted.
	wrapWindow = 60e6
	// Seconds put between the last row before a restart and the first after.
	// How long it really took is not known.
	restartGap = 1
)

// clock turns a time column into seconds.
//
// The rows are two streams, samples and Hall edges, each in the order of time.
// A board sends edges first, so that on a full line they stand before samples
// that are older. Time is judged within a stream; wraps and restarts are common
// to both, whichever of them shows it first.
type clock struct {
	perSecond float64
	// counter is whether the column is a 32-bit counter of microseconds.
	counter bool
	// strays are the rows whose time does not fit, in ascending order; wraps
	// and restarts is how often those happened.
	strays          []stray
	wraps, restarts int
	// start is the earliest time in seconds, by the file's own clock.
	start float64
	// overtaken is whether a row that is kept stands behind one it belongs before.
	overtaken bool

	time []float64
	edge []bool
	// next has for each stream a row up to which its next one has been looked for.
	next [2]int
	stretch
	// end is where the stretch before this one ends, in the column's unit from
	// the first row.
	end float64
}

// stretch is what is known of the rows since the board last started. Its times
// are in the column's unit, with a counter's wraps taken out.
type stretch struct {
	from int
	// first and last are the times of the earliest and the latest row; base is
	// what the wraps add to the counter.
	first, last, base float64
	stream            [2]stream
}

// The streams of a stretch.
const (
	samples = iota
	edges
)

// stream is one of a stretch's two streams: the times of its first row, or the
// first after a wrap, and of its last row, -Inf before there is one. The last
// one's is also kept as it is in the file.
type stream struct{ first, last, written float64 }

// stray is a row whose time does not fit its neighbours; values as in the file.
type stray struct {
	row         int
	time, other float64
	// backward is whether time is before that of the row before in its stream.
	backward bool
}

// run changes time, in the column's unit, to seconds from the earliest row that
// is kept, NaN for strays; edge says which rows are Hall edges.
func (c *clock) run(time []float64, edge []bool) {
	c.time, c.edge = time, edge
	if c.steady() {
		first := time[0]
		c.start = first / c.perSecond
		cores.Parts(len(time), func(from, to int) {
			for i, a := range time[from:to] {
				time[from+i] = (a - first) / c.perSecond
			}
		})
		return
	}
	c.begin(0)
	for i, v := range time {
		if c.first > c.last {
			c.last = v // all there is to compare a first row with
		}
		a := c.unwrap(i)
		switch c.judge(i, a) {
		case outOfLine:
			c.strays = append(c.strays, c.stray(i, a))
			time[i] = math.NaN()
			continue
		case restarted:
			c.close(i)
			c.begin(i)
			c.restarts++
			a = v
		}
		c.take(i, a)
	}
	c.close(len(time))
}

// steady reports whether all rows are in order as they stand, far from a counter's
// wrap: most files are so, and there is nothing to judge.
func (c *clock) steady() bool {
	first, last := c.time[0], c.time[len(c.time)-1]
	if c.counter && last-first >= counterRange-wrapWindow {
		return false
	}
	var back atomic.Bool
	cores.Parts(len(c.time)-1, func(from, to int) {
		for i := from; i < to; i++ {
			if a, b := c.time[i], c.time[i+1]; b < a || b == a && c.edge[i+1] {
				back.Store(true)
				return
			}
		}
	})
	return !back.Load()
}

func (c *clock) begin(i int) {
	none := stream{first: math.Inf(-1), last: math.Inf(-1)}
	c.stretch = stretch{from: i, first: math.Inf(1), last: c.time[i], stream: [2]stream{none, none}}
}

// unwrap returns the time of row i. Near a wrap the two streams may be on
// different sides of it.
func (c *clock) unwrap(i int) float64 {
	v, now := c.time[i], c.last-c.base
	a := v + c.base
	switch {
	case c.isWrap(now, v):
		return a + counterRange
	case c.isWrap(v, now) && c.stream[c.kind(i)].last <= a-counterRange:
		return a - counterRange
	}
	return a
}

func (c *clock) isWrap(from, to float64) bool {
	return to < from && c.counter && to >= 0 && from < counterRange && to+counterRange-from <= wrapWindow
}

// kind returns which stream row i belongs to.
func (c *clock) kind(i int) int {
	if c.edge[i] {
		return edges
	}
	return samples
}

// take adds row i at time a to the stretch.
func (c *clock) take(i int, a float64) {
	v := c.time[i]
	s := &c.stream[c.kind(i)]
	if a > v+c.base {
		c.base += counterRange
		c.wraps++
		s.first = a
	}
	if math.IsInf(s.first, -1) {
		s.first = a
	}
	s.last, s.written = a, v
	c.overtaken = c.overtaken || a < c.last || c.edge[i] && a == c.stream[samples].last
	c.first, c.last = min(c.first, a), max(c.last, a)
	c.time[i] = a
}

// close changes the times of the stretch, whose rows end before row to, to
// seconds.
func (c *clock) close(to int) {
	shift, after := -c.first, 0.0
	if c.restarts == 0 {
		c.start = c.first / c.perSecond
	}
	if c.restarts > 0 {
		after = c.end + restartGap*c.perSecond
		shift += after
	}
	for i, a := range c.time[c.from:to] {
		// Rounding must not put it before the stretch that went before.
		c.time[c.from+i] = max(a+shift, after) / c.perSecond
	}
	c.end = max(c.last+shift, after)
}

// order returns the rows that are not stray in the order of time, of rows at
// the same time edges first; nil where these are all rows as they stand.
func (c *clock) order() []int {
	if len(c.strays) == 0 && !c.overtaken {
		return nil
	}
	n := len(c.time)
	rows := make([]int, 0, n-len(c.strays))
	s, e := c.kept(samples, 0), c.kept(edges, 0)
	for s < n || e < n {
		if e < n && (s == n || c.time[e] <= c.time[s]) {
			rows = append(rows, e)
			e = c.kept(edges, e+1)
		} else {
			rows = append(rows, s)
			s = c.kept(samples, s+1)
		}
	}
	return rows
}

// kept returns the first row of a stream from row i on that is not stray, or the
// number of rows.
func (c *clock) kept(kind, i int) int {
	for i < len(c.time) && (c.kind(i) != kind || math.IsNaN(c.time[i])) {
		i++
	}
	return i
}
