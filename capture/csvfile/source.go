package csvfile

import (
	"bytes"
	"fmt"
	"math"
	"unicode/utf8"

	"handspin/capture"
)

// maxLine is the longest line that is read, in bytes; anything longer is not a
// recording.
const maxLine = 1 << 20

// mostCells is how many cells a line has at most; instruments have some tens.
const mostCells = 10_000

// mostCells reports whether a line has more cells than that.
func (s *source) mostCells(from, to int) bool {
	for _, sep := range separators {
		if bytes.Count(s.text[from:to], []byte{sep}) >= mostCells {
			return true
		}
	}
	return false
}

// source is a text under its name. Places in it are byte offsets; only messages
// need lines and columns, and they work them out.
type source struct {
	name string
	text []byte
	// lead is how many bytes were put before the file's own.
	lead int
}

// withLineEnds returns text as it is, or a copy with line feeds where its lines
// end in carriage returns alone.
func withLineEnds(text []byte) []byte {
	if bytes.IndexByte(text, '\n') >= 0 {
		return text
	}
	return bytes.ReplaceAll(text, []byte{'\r'}, []byte{'\n'})
}

// position returns line and column of the byte at offset at.
func (s *source) position(at int) capture.Position {
	before := s.text[s.lead:max(s.lead, min(at, len(s.text)))]
	return capture.Position{
		File:   s.name,
		Line:   1 + bytes.Count(before, []byte{'\n'}),
		Column: len(before) - bytes.LastIndexByte(before, '\n'),
	}
}

// fail returns an error at offset at.
func (s *source) fail(at int, hint, format string, args ...any) error {
	return &capture.SyntaxError{Pos: s.position(at), Msg: fmt.Sprintf(format, args...), Hint: hint}
}

// line returns the end of the line that begins at from, without its line end
// and blanks before that, and the beginning of the next line.
func (s *source) line(from int) (to, next int) {
	if n := bytes.IndexByte(s.text[from:], '\n'); n >= 0 {
		to, next = from+n, from+n+1
	} else {
		to, next = len(s.text), len(s.text)
	}
	// A tab may be a separator with an empty cell behind it.
	for to > from && (s.text[to-1] == '\r' || s.text[to-1] == ' ') {
		to--
	}
	return to, next
}

// begin returns from moved past carriage returns and spaces.
func (s *source) begin(from, to int) int {
	for from < to && (s.text[from] == ' ' || s.text[from] == '\r') {
		from++
	}
	return from
}

// aRecording says what one is.
const aRecording = "a recording has a row for each sample of the seconds in which the rotor turns: record again"

// check refuses what is not text.
func (s *source) check() error {
	if len(s.text) == 0 {
		return s.fail(0, aRecording, "the file is empty")
	}
	if len(s.text) > math.MaxUint32 {
		return s.fail(0, "cut it to the seconds in which the rotor turns", "the text is longer than 4 GiB")
	}
	if err := s.otherKind(); err != nil {
		return err
	}
	if at, rubbish := s.rubbish(); rubbish {
		return s.fail(at, "a recording is a CSV file or the text that the board sends", "this is not text")
	}
	return nil
}

// sampled is how many bytes are looked at to tell text from other files.
const sampled = 4096

// rubbish reports whether the beginning is not text, and the first byte that is
// not. Line noise at the start of a serial log is let through: a text is given
// up where over 3 bytes in 10 are neither printable ASCII nor part of a valid
// UTF-8 letter. In random bytes it is about half.
func (s *source) rubbish() (at int, is bool) {
	head := s.text[:min(len(s.text), sampled)]
	count, first := 0, -1
	for i := 0; i < len(head); {
		r, size := utf8.DecodeRune(head[i:])
		if r == utf8.RuneError || r < ' ' && !bytes.ContainsRune([]byte("\t\r\n\f\x1b"), r) {
			if count++; first < 0 {
				first = i
			}
		}
		i += size
	}
	return first, count*10 > len(head)*3
}
