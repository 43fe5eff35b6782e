package board

import "fmt"

// Problem is what is wrong with a board or its port.
type Problem uint8

// The problems.
const (
	NoSuchPort Problem = iota + 1
	NoPermission
	Busy
	NotAPort
	Unplugged
	Silent
	WrongBaud
	NotOurBoard
	WrongVersion
	NoAnswer
	Failed
)

// Error is a problem with the board at a port.
type Error struct {
	Port    string
	Problem Problem
	// Msg says what is wrong, Hint what to do.
	Msg, Hint string
}

// Error returns the port and what is wrong there; the hint is apart.
func (e *Error) Error() string { return e.Port + ": " + e.Msg }

func (b *Board) fail(p Problem, hint, format string, args ...any) error {
	return &Error{Port: b.name, Problem: p, Msg: fmt.Sprintf(format, args...), Hint: hint}
}
