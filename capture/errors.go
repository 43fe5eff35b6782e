package capture

import (
	"fmt"
	"unicode/utf8"
)

// Position is a place in a file. Line and Column count from 1; 0 stands for a
// place that is not known. Column counts bytes within the line.
type Position struct {
	File         string
	Line, Column int
}

// String returns file:line:column without the parts that are not known.
func (p Position) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// SyntaxError is something in a file that could not be understood.
type SyntaxError struct {
	Pos Position
	// Msg says what was wrong, without the position.
	Msg string
	// Hint, where there is one, names the flag or the step that helps.
	Hint string
}

// Error returns the position and what was wrong there; the hint is apart.
func (e *SyntaxError) Error() string { return e.Pos.String() + ": " + e.Msg }

// quoted is how many bytes of a text from a file a message repeats.
const quoted = 40

// Quote makes text from a file fit for a message: no control characters, and not
// longer than a line.
func Quote(s string) string {
	if len(s) <= quoted {
		return fmt.Sprintf("%q", s)
	}
	n := quoted
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return fmt.Sprintf("%q...", s[:n])
}
