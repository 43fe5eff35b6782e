package csvfile

import (
	"bytes"
	"regexp"
	"slices"
)

// typeset is a number as a book prints it and some programs do: with the minus sign proper
// (U+2212), or with a no-break or thin blank between groups of three digits, as ISO 80000-1,
// 7.3.1, recommends.
var typeset = regexp.MustCompile(`[-+\x{2212}]?(?:(?:\d{1,3}(?:[\x{a0}\x{2009}\x{202f}]\d{3})+|\d+)(?:[.,]\d+)?|[.,]\d+)(?:[eE][-+\x{2212}]?\d+)?`)

// typesetMarks are the characters by which such numbers are told.
var typesetMarks = []string{"\u2212", "\u00a0", "\u2009", "\u202f"}

const minusSign = "\u2212"

// typed returns text with its numbers as they are typed on a keyboard. They end where they
// ended, and have blanks before them.
func typed(text []byte) []byte {
	if !marked(text) {
		return text
	}
	s := source{text: bytes.Clone(text)}
	s.lines(func(from, to int) bool {
		row := s.text[from:to]
		if !marked(row) {
			return true
		}
		for _, at := range typeset.FindAllIndex(row, -1) {
			// Four digits behind a blank are no group.
			if number := row[at[0]:at[1]]; at[1] == len(row) || notDigit(rune(row[at[1]])) {
				copy(number, asTyped(number))
			}
		}
		return true
	})
	return s.text
}

func marked(text []byte) bool {
	return slices.ContainsFunc(typesetMarks, func(mark string) bool { return bytes.Contains(text, []byte(mark)) })
}

// asTyped returns a number of the same length, with blanks before it.
func asTyped(number []byte) []byte {
	plain := bytes.ReplaceAll(number, []byte(minusSign), []byte("-"))
	for _, mark := range typesetMarks {
		plain = bytes.ReplaceAll(plain, []byte(mark), nil)
	}
	return append(bytes.Repeat([]byte{' '}, len(number)-len(plain)), plain...)
}
