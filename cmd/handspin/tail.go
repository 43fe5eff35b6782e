package main

import (
	"bytes"

	"handspin/capture/board"
	"handspin/capture/line"
)

// judging says when to judge a recording that is under way: ever more rarely,
// since it takes longer, and only if the rotor has turned meanwhile.
type judging struct{ next, seconds, turns float64 }

// judgedShare is the part of the time that judging may take.
const judgedShare = 0.02

// took notes how many seconds a judgement has cost, after so many of the recording.
func (j *judging) took(cost, seconds float64) {
	j.next = max(j.next, seconds+cost/judgedShare)
}

func (j *judging) due(seconds, turns float64) bool {
	const first, growth, leastTurns = 2, 1.4, 1
	if seconds < max(j.next, first) || turns < j.turns+leastTurns {
		return false
	}
	j.next, j.turns = max(seconds, first)*growth, turns
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
