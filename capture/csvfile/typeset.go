package csvfile

import (
	"bytes"
	"regexp"
	"slices"
)

// Some programs print numbers as a book does: with the minus sign proper (U+2212), or with
// no-break or thin blanks between groups of three digits, as ISO 80000-1, 7.3.1, recommends.
var (
	minusSign  = []byte("\u2212")
	groupMarks = [][]byte{[]byte("\u00a0"), []byte("\u2009"), []byte("\u202f")}
	// minusPower is an exponent with such a sign.
	minusPower = regexp.MustCompile(`([\d.,][eE])\x{2212}(\d+)`)
	// grouped is a whole number in groups of digits, with its sign and what may be before
	// it in a row. One more digit at an end of it says that it is none.
	grouped = regexp.MustCompile(`(^|[,;\t" ])([-+]?\d{1,4}(?:[\x{a0}\x{2009}\x{202f}]\d{3})+\d?)`)
)

// typed returns text with its numbers as they are typed on a keyboard. What is shorter then
// has blanks beside it, so that everything stays in its place.
func typed(text []byte) []byte {
	if !mayBeTypeset(text) {
		return text
	}
	out := text
	s := source{text: text}
	s.lines(func(from, to int) bool {
		row := text[from:to]
		if !typeset(row) { // of micro and degree signs there are many
			return true
		}
		if as := typedRow(row); !bytes.Equal(as, row) {
			if &out[0] == &text[0] {
				out = bytes.Clone(text)
			}
			copy(out[from:to], as)
		}
		return true
	})
	return out
}

// mayBeTypeset reports whether there is a byte with which the marks begin.
func mayBeTypeset(text []byte) bool {
	return bytes.IndexByte(text, minusSign[0]) >= 0 || bytes.IndexByte(text, groupMarks[0][0]) >= 0
}

// typeset reports whether there is one of the marks.
func typeset(text []byte) bool {
	return bytes.Contains(text, minusSign) ||
		slices.ContainsFunc(groupMarks, func(mark []byte) bool { return bytes.Contains(text, mark) })
}

func typedRow(row []byte) []byte {
	row = minusPower.ReplaceAll(row, []byte("${1}-${2}  "))
	row = bytes.ReplaceAll(row, minusSign, []byte("  -"))
	out := bytes.Clone(row)
	for _, at := range grouped.FindAllSubmatchIndex(row, -1) {
		copy(out[at[4]:at[5]], ungrouped(row[at[4]:at[5]]))
	}
	return out
}

// ungrouped returns a number without the marks between its groups and with blanks before it.
func ungrouped(number []byte) []byte {
	plain := number
	for _, mark := range groupMarks {
		plain = bytes.ReplaceAll(plain, mark, nil)
	}
	first, last := leadingDigits(number), len(number)-len(bytes.TrimRight(number, "0123456789"))
	if first > 3 || last > 3 {
		return number
	}
	return append(bytes.Repeat([]byte{' '}, len(number)-len(plain)), plain...)
}

// leadingDigits counts the digits with which a number begins, its sign aside.
func leadingDigits(number []byte) int {
	digits := bytes.TrimLeft(number, "-+")
	return len(digits) - len(bytes.TrimLeft(digits, "0123456789"))
}
