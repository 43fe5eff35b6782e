package triallog

import (
	"bytes"
	"fmt"
	"strings"

	"handspin/capture"
	"handspin/commutation"
)

// motorKey begins the line that says which motor a log is of.
const motorKey = "# drive that suits the motor: "

// Motor says in a line what the meaning of a motor's trials hangs on: its own
// drive table. Another motor, the same with its leads numbered otherwise, and the
// same turned the other way differ in it.
func Motor(m commutation.Motor) string {
	table := commutation.OwnTable(m)
	var words []string
	for s := range commutation.State(8) {
		if d, ok := table.At(s); ok {
			words = append(words, fmt.Sprintf("%v=p%d+p%d-", s, d.High+1, d.Low+1))
		}
	}
	return strings.Join(words, " ")
}

// of refuses the log at path, with the given text, if it says that it is of
// another motor than the one with the line motor. A log need not say.
func of(path string, text []byte, motor string) error {
	line := 0
	for row := range bytes.Lines(text) {
		line++
		said, ok := strings.CutPrefix(strings.TrimSpace(string(row)), strings.TrimSpace(motorKey))
		if ok && strings.Join(strings.Fields(said), " ") != motor {
			return &capture.SyntaxError{
				Pos:  capture.Position{File: path, Line: line, Column: 1},
				Msg:  "the trials are of another motor than this recording, or of the same with its leads numbered otherwise or turned the other way",
				Hint: "give --log a file of its own for each motor; after recording this one anew, begin a new log",
			}
		}
	}
	return nil
}
