package csvfile

import "math"

const (
	// Seconds that time must fall back for a restart, unless it falls back to
	// before the stretch began; less is a damaged row.
	restartBack = 0.1
	// Seconds by which one stream may be away from the other. A board holds back
	// samples for some tens of milliseconds, and longer only while a flood of
	// edges fills the line.
	farApart = 10
)

type step uint8

const (
	onward step = iota
	restarted
	outOfLine
)

// judge says how time goes to row i at time a. The rows after it tell a row out
// of line from one after which time goes on differently.
func (c *clock) judge(i int, a float64) step {
	k := c.kind(i)
	s := &c.stream[k]
	switch {
	case a < s.last:
		if c.fellBack(s, a) && c.staysBack(i, a) {
			return restarted
		}
		return outOfLine
	case a < c.last && c.othersFallBack(i, a):
		return restarted
	case c.sticksOut(i, a) || c.standsAlone(i, a):
		return outOfLine
	}
	return onward
}

// fellBack reports whether a is so far before the last row of a stream that the
// board may have restarted.
func (c *clock) fellBack(s *stream, a float64) bool {
	return a < s.last && (s.last-a >= restartBack*c.perSecond || a <= s.first)
}

// staysBack reports whether the row after row i is back with it.
func (c *clock) staysBack(i int, a float64) bool {
	if i+1 == len(c.time) {
		return false
	}
	b := c.unwrap(i + 1)
	if c.edge[i+1] == c.edge[i] {
		return a <= b && b < c.stream[c.kind(i)].last
	}
	return math.Abs(b-a) < c.last-b && !c.runsBackward(i, a)
}

// runsBackward reports whether the stream of row i goes, in the steps of samples,
// back to it or on back from it.
func (c *clock) runsBackward(i int, a float64) bool {
	k := c.kind(i)
	down := c.stream[k].last - a
	if next := c.after(i, k); next < len(c.time) {
		down = a - c.unwrap(next)
	}
	return 0 < down && down < restartBack*c.perSecond
}

// othersFallBack reports whether row i, which its own stream has nothing
// against, is the first after a restart that the other stream shows.
func (c *clock) othersFallBack(i int, a float64) bool {
	other := 1 - c.kind(i)
	k := c.after(i, other)
	if k == len(c.time) {
		return false
	}
	b := c.unwrap(k)
	return c.fellBack(&c.stream[other], b) && math.Abs(b-a) < c.last-a
}

// sticksOut reports whether the next two rows of its stream are before row i, in
// line with those that went before it.
func (c *clock) sticksOut(i int, a float64) bool {
	k := c.kind(i)
	next := c.after(i, k)
	if next == len(c.time) {
		return false
	}
	b := c.unwrap(next)
	if b >= a || b < c.stream[k].last || c.vouched(i, a, b) {
		return false
	}
	for next++; next < len(c.time); next++ {
		if c.kind(next) == k {
			d := c.unwrap(next)
			return b <= d && d < a
		}
	}
	return false
}

// vouched reports whether row i, the first of its stream, is nearer to the other
// stream than the next of its own is, at time b: a restart is then between them.
func (c *clock) vouched(i int, a, b float64) bool {
	switch {
	case !math.IsInf(c.stream[c.kind(i)].last, -1):
		return false
	case c.first <= c.last:
		return math.Abs(a-c.last) <= math.Abs(b-c.last)
	case c.edge[i+1] != c.edge[i]:
		other := c.unwrap(i + 1)
		return math.Abs(a-other) <= math.Abs(b-other)
	}
	return false
}

// standsAlone reports whether row i is far from what was before it and from the
// next row, which is of the other stream.
func (c *clock) standsAlone(i int, a float64) bool {
	far := farApart * c.perSecond
	if math.Abs(a-c.last) <= far || i+1 == len(c.time) || c.edge[i+1] == c.edge[i] {
		return false
	}
	b := c.unwrap(i + 1)
	if a < c.last {
		return b > a+far
	}
	last := c.stream[c.kind(i+1)].last
	return b < a-far && b >= last && !math.IsInf(last, -1)
}

// after returns the next row of a stream after row i, or the number of rows. For
// each stream the rows i must come in ascending order: no row is then looked at
// twice.
func (c *clock) after(i, kind int) int {
	k := max(c.next[kind], i+1)
	for k < len(c.time) && c.kind(k) != kind {
		k++
	}
	c.next[kind] = k
	return k
}

// stray describes row i at time a, which is out of line.
func (c *clock) stray(i int, a float64) stray {
	s := c.stream[c.kind(i)]
	if a < c.last && a >= s.last || math.IsInf(s.last, -1) {
		return stray{i, c.time[i], c.time[i+1], false}
	}
	return stray{i, c.time[i], s.written, a < s.last}
}
