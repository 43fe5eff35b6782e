package csvfile

import (
	"bytes"
	"regexp"
)

var (
	// barRow is a row of a table that is ruled with bars, and rule a line between
	// two of its rows.
	barRow = regexp.MustCompile(`(?m)^[ \t]*\|?[ \t]*[-+]?[.\d][-+.\deE]*[ \t]*\|[^,;\r\n]*$`)
	rule   = regexp.MustCompile(`(?m)^[ \t]*[|+]?-[-+=|: \t]{2,}\r?$`)
)

// withoutRules returns a table that is ruled with bars as one with semicolons.
func withoutRules(text []byte) []byte {
	if len(barRow.FindAllIndex(text[:min(len(text), sampled)], minRows)) < minRows {
		return text
	}
	return bytes.ReplaceAll(blanked(text, rule), []byte{'|'}, []byte{';'})
}

// commentMark is what comments begin with in files of numbers.
const commentMark = "#%"

// withNamesBared returns a text whose line of names is a comment with the mark
// taken off: it is just before the first row of numbers, has as many cells, and no
// number or setting. A mark that is a name itself, that of a count, becomes n.
func withNamesBared(text []byte) []byte {
	s := source{text: text[:min(len(text), sampled)]}
	comment := cell{}
	for at := 0; at < len(s.text); {
		to, next := s.line(at)
		from := s.begin(at, to)
		switch {
		case from == to:
		case bytes.IndexByte([]byte(commentMark), s.text[from]) >= 0:
			comment = cell{from, to}
		case comment == (cell{}) || !s.namesRow(comment, cell{from, to}):
			return text
		default:
			out := bytes.Clone(text)
			out[comment.from] = ' '
			if rest := bytes.TrimLeft(out[comment.from:comment.to], " "); bytes.IndexByte(separators, rest[0]) >= 0 {
				out[comment.from] = 'n'
			}
			return out
		}
		at = next
	}
	return text
}

// namesRow reports whether a comment names the cells of a row of numbers.
func (s *source) namesRow(comment, row cell) bool {
	text := s.text[comment.from+1 : comment.to]
	if bytes.ContainsAny(text, ":=") {
		return false
	}
	for _, sep := range append([]byte{' '}, separators...) {
		names, values := s.parts(cell{comment.from + 1, comment.to}, sep), s.parts(row, sep)
		numbers, pure := s.numbers(values)
		named, _ := s.numbers(names)
		if pure && len(numbers) > 1 && len(named) == 0 && len(names) == len(values) {
			return true
		}
	}
	return false
}

// parts returns the cells of a line, which any number of blanks may part.
func (s *source) parts(l cell, sep byte) (cells []cell) {
	cells = split(s.text, l.from, l.to, sep, nil)
	if sep != ' ' {
		return cells
	}
	words := cells[:0]
	for _, c := range cells {
		if c.from < c.to {
			words = append(words, c)
		}
	}
	return words
}
