package csvfile

import (
	"fmt"
	"strconv"

	"handspin/capture"
)

// widthProblem describes a row with too few or too many cells.
func (r *reader) widthProblem(filled int) *damage {
	at := r.cells[len(r.cells)-1].from
	n := len(r.cells)
	if most := max(r.lay.width, r.lay.named); filled > most {
		at, n = r.cells[most].from, filled
	}
	return &damage{at, fmt.Sprintf("the row has %s, not %d", plural(n, "cell"), r.lay.width)}
}

// cellProblem describes a cell that cannot be read.
func (r *reader) cellProblem(c *column, at cell) *damage {
	name, text := shown(c.name), capture.Quote(string(r.text[at.from:at.to]))
	var what string
	switch {
	case c.field == fieldHall:
		what = "three digits 0 or 1"
	case c.field == fieldCode:
		what = "a whole number from 0 to 7"
	case at.from == at.to:
		return &damage{at.from, name + " is empty"}
	case c.bit > 0:
		what = "a word of bits"
	case c.field == fieldTime:
		what = "a time"
	default:
		what = "a number"
	}
	return &damage{at.from, fmt.Sprintf("%s is not %s: %s", name, what, text)}
}

// shown returns a column's name for a message: as it is where it is one plain
// word, in quotes otherwise.
func shown(name string) string {
	for _, c := range []byte(name) {
		if c <= ' ' || c == '"' || c > '~' {
			return capture.Quote(name)
		}
	}
	return name
}

// plural says how many of a thing there are.
func plural(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return strconv.Itoa(n) + " " + thing
}

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return strconv.Itoa(n) + " times"
}
