package board

import (
	"slices"
	"strconv"
	"strings"
)

// Tally counts what has come from a board, and what has not.
type Tally struct {
	// Sets and Edges are the rows that came whole.
	Sets, Edges int
	// Damaged are lines that could not be read.
	Damaged int
	// DroppedSets and DroppedEdges are what the board says it could not send.
	DroppedSets, DroppedEdges int
	// LostSets and LostEdges are what it says it sent and what did not come.
	LostSets, LostEdges int
	// Restarts is how often the board began anew.
	Restarts int
	// Gaps are the pauses in the stamps that are longer than twice the usual
	// step; GapUS is their length in all, in microseconds. What the board
	// dropped and what was lost on the way both leave gaps.
	Gaps  int
	GapUS int64

	sets, edges sent
	cadence     cadence
	// asked is whether the host has asked for the next header, announced whether
	// a header has said that the counts begin anew.
	asked, announced bool
}

// Lost is the number of rows that did not come, for whatever reason.
func (t *Tally) Lost() int { return t.DroppedSets + t.DroppedEdges + t.LostSets + t.LostEdges }

// Take counts a line.
func (t *Tally) Take(l *Line) {
	switch l.Kind {
	case Damaged:
		t.Damaged++
	case Row:
		t.row(l)
	case Header:
		t.header(l.Key, l.Value)
	}
}

func (t *Tally) row(l *Line) {
	if l.Row.Edge {
		t.Edges++
		return
	}
	t.Sets++
	if gap := t.cadence.next(l.Row.TimeUS); gap > 0 {
		t.Gaps++
		t.GapUS += int64(gap)
	}
}

func (t *Tally) header(key, value string) {
	switch key {
	case "handspin-capture":
		// A pause for the header is no gap.
		t.cadence = cadence{}
		if !t.asked && t.Sets+t.Edges > 0 {
			t.Restarts++
			t.announced = true
		}
		t.asked = false
	case "ok":
		t.asked = true // a header follows
	case "sets":
		t.count(&t.sets, value, t.Sets, &t.LostSets)
	case "edges":
		t.count(&t.edges, value, t.Edges, &t.LostEdges)
	case "dropped":
		a, b, _ := strings.Cut(value, ",")
		sets, err1 := strconv.ParseUint(a, 10, 16)
		edges, err2 := strconv.ParseUint(b, 10, 16)
		if err1 != nil || err2 != nil {
			t.Damaged++
			return
		}
		t.DroppedSets += int(sets)
		t.DroppedEdges += int(edges)
	}
}

// sent is the board's last count of what it has sent.
type sent struct {
	known    bool
	said     uint32
	received int
}

// count compares the board's count with what has come since it last said one.
func (t *Tally) count(s *sent, value string, received int, lost *int) {
	said, err := strconv.ParseUint(value, 10, 32)
	if err != nil {
		t.Damaged++
		return
	}
	now := sent{true, uint32(said), received}
	before := *s
	*s = now
	switch {
	case !before.known:
	case now.said < before.said && before.said-now.said < 1<<31:
		if s == &t.sets { // both counts begin anew together
			if !t.announced {
				t.Restarts++
			}
			t.announced = false
		}
	default:
		*lost += max(0, int(now.said-before.said)-(now.received-before.received))
	}
}

// cadence follows the stamps of the sets.
type cadence struct {
	last  uint32
	known bool
	steps [64]uint32 // the first ones, which give the usual step
	n     int
	usual uint32
}

// gapSteps is how many usual steps make a gap. Interrupts delay a set by a few
// microseconds only.
const gapSteps = 2

// jumpUS is a step that is no pause but a clock that begins anew or a damaged
// stamp, in microseconds.
const jumpUS = 60e6

// next takes a stamp and returns what is missing before it, in microseconds.
func (c *cadence) next(us uint32) uint32 {
	step := us - c.last
	first := !c.known
	c.last, c.known = us, true
	switch {
	case first || step > jumpUS:
		return 0
	case c.n < len(c.steps):
		c.steps[c.n] = step
		if c.n++; c.n == len(c.steps) {
			c.usual = median(c.steps)
		}
		return 0
	case step > gapSteps*c.usual:
		return step - c.usual
	}
	return 0
}

// median returns the middle of the steps; it gets a copy.
func median(steps [64]uint32) uint32 {
	slices.Sort(steps[:])
	return steps[len(steps)/2]
}
