package vcd

import (
	"bytes"
	"fmt"

	"handspin/capture"
)

// tokens gives the tokens of a text one by one.
type tokens struct {
	name string
	text []byte
	at   int
}

// token is a piece of text without blanks, and its offset.
type token struct {
	at   int
	text string
}

// longest is the longest token that is read, in bytes: vectors and names are
// shorter by far.
const longest = 1 << 16

// next returns the next token, false at the end of the text.
func (s *tokens) next() (token, bool, error) {
	for s.at < len(s.text) && blank(s.text[s.at]) {
		s.at++
	}
	from := s.at
	for s.at < len(s.text) && !blank(s.text[s.at]) {
		s.at++
	}
	if s.at-from > longest {
		return token{}, false, s.fail(from, "look whether the file is a value change dump", "a word is longer than 64 KiB")
	}
	return token{from, string(s.text[from:s.at])}, s.at > from, nil
}

func blank(c byte) bool { return c <= ' ' }

// fail returns an error at offset at.
func (s *tokens) fail(at int, hint, format string, args ...any) error {
	before := s.text[:at]
	return &capture.SyntaxError{
		Pos: capture.Position{File: s.name, Line: 1 + bytes.Count(before, []byte{'\n'}),
			Column: at - bytes.LastIndexByte(before, '\n')},
		Msg: fmt.Sprintf(format, args...), Hint: hint,
	}
}
