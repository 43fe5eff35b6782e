package main

import (
	"bytes"

	"handspin/capture/board"
	"handspin/capture/line"
)

// judging says when to judge a recording that is under way: more rarely the longer
// that takes, and only if the rotor has turned meanwhile.
type judging struct{ next, turns float64 }

const (
	// judgedShare is the part of the time that judging may take, where that does
	// not keep the person longer than judgedWithin seconds.
	judgedShare, judgedWithin = 0.02, 5
	// judgedFirst is when the first is due and judgedTurns are the turns before
	// each: fewer hold too few edges of each sensor to be sure of.
	judgedFirst, judgedTurns = 2, 6
)

// took notes how many seconds a judgement has cost, after so many of the recording.
func (j *judging) took(cost, seconds float64) {
	j.next = seconds + min(cost/judgedShare, judgedWithin)
}

func (j *judging) due(seconds, turns float64) bool {
	if seconds < max(j.next, judgedFirst) || turns < j.turns+judgedTurns {
		return false
	}
	j.turns = turns
	return true
}

// tail keeps the header and the last rows of a recording.
type tail struct{ header, rows []byte }

// maxTail bounds the rows that are kept, in bytes: three to six seconds at the full
// rate. What they tell is enough, and judging more takes longer.
const maxTail = 512 << 10

func (t *tail) add(l *board.Line) {
	switch {
	case l.Kind == board.Names || l.Kind == board.Header && (l.Key == "sets" || l.Key == "edges" || l.Key == "dropped"):
		return
	case l.Kind == board.Header && l.Key == "handspin-capture":
		// What follows may be on another scale.
		t.header, t.rows = t.header[:0], t.rows[:0]
		fallthrough
	case l.Kind == board.Header:
		t.header = append(append(t.header, l.Text...), '\n')
		return
	}
	if len(t.rows)+len(l.Text) >= maxTail {
		half := t.rows[len(t.rows)/2:]
		t.rows = append(t.rows[:0], half[bytes.IndexByte(half, '\n')+1:]...)
	}
	t.rows = append(append(t.rows, l.Text...), '\n')
}

func (t *tail) text() []byte {
	text := append(append([]byte{}, t.header...), line.Names+"\n"...)
	return append(text, t.rows...)
}
