package board

import (
	"bytes"
	"errors"

	"handspin/capture/line"
)

// Kind says what a line is.
type Kind uint8

// The kinds of lines. Damaged is all that is none of the others.
const (
	Damaged Kind = iota
	Row
	Header
	Names
)

// Line is a line of the board.
type Line struct {
	Kind Kind
	// Text is the line without its end. It is valid until the next line comes.
	Text []byte
	// Row is set for the kind Row, Key and Value for the kind Header.
	Row        line.Row
	Key, Value string
	// Err says what is wrong with a damaged line.
	Err error
}

// MaxLine is the longest line in bytes. The board's are shorter; what goes on
// without an end is cut into pieces of this length.
const MaxLine = 160

var errTooLong = errors.New("the line does not end")

// Decoder takes a stream of bytes apart into lines. Its zero value is ready.
type Decoder struct {
	part []byte // the beginning of a line
	long bool   // whether that belongs to a line that is too long
	// Whether a row, and a header line, with a sum have come.
	sums, headerSums bool
}

// Feed takes the next bytes and calls take for each line that they complete.
func (d *Decoder) Feed(chunk []byte, take func(Line)) {
	for len(chunk) > 0 {
		n := bytes.IndexByte(chunk, '\n')
		if n < 0 {
			d.keep(chunk, take)
			return
		}
		if len(d.part) > 0 || d.long {
			d.keep(chunk[:n], take)
			d.end(d.part, take)
			d.part, d.long = d.part[:0], false
		} else {
			d.end(chunk[:n], take)
		}
		chunk = chunk[n+1:]
	}
}

// Rest calls take for a line that has not ended, where there is one.
func (d *Decoder) Rest(take func(Line)) {
	if len(d.part) > 0 {
		d.end(d.part, take)
	}
	d.part, d.long = d.part[:0], false
}

// keep adds to the beginning of a line.
func (d *Decoder) keep(chunk []byte, take func(Line)) {
	for len(d.part)+len(chunk) > MaxLine {
		n := MaxLine - len(d.part)
		d.part = append(d.part, chunk[:n]...)
		take(Line{Kind: Damaged, Text: d.part, Err: errTooLong})
		d.part, d.long = d.part[:0], true
		chunk = chunk[n:]
	}
	d.part = append(d.part, chunk...)
}

// end decodes a whole line.
func (d *Decoder) end(text []byte, take func(Line)) {
	text = bytes.TrimSuffix(text, []byte{'\r'})
	switch {
	case d.long || len(text) > MaxLine:
		take(Line{Kind: Damaged, Text: text, Err: errTooLong})
	case bytes.IndexByte(text, '#') > 0 && text[0] != '#':
		// A row has no such sign. A board that is reset within one goes on with
		// its header at once.
		i := bytes.IndexByte(text, '#')
		take(d.decode(text[:i:i]))
		take(d.decode(text[i:]))
	case len(text) > 0:
		take(d.decode(text))
	}
}

// decode tells what a line is. Rows without sums are good only where none has
// one: a person's own board need not send them.
func (d *Decoder) decode(text []byte) Line {
	l := Line{Text: text}
	if string(text) == line.Names {
		l.Kind = Names
		return l
	}
	if len(text) > 0 && text[0] == '#' && printable(text) {
		return d.header(l)
	}
	l.Row, l.Err = line.ParseRow(text)
	d.sums = d.sums || l.Err == nil
	if l.Err == line.ErrNoSum && !d.sums {
		l.Row, l.Err = line.ParseData(text)
	}
	if l.Err == nil {
		l.Kind = Row
	}
	return l
}

// header decodes a header line. Another board's need no sum.
func (d *Decoder) header(l Line) Line {
	data, status := line.Strip(l.Text)
	l.Key, l.Value, _ = line.ParseHeader(data)
	d.headerSums = d.headerSums || status == line.Good
	switch {
	case status == line.Wrong && d.headerSums:
		l.Err = line.ErrWrongSum
	case status == line.Absent && d.headerSums && Counter(l.Key):
		l.Err = line.ErrNoSum
	default:
		l.Kind = Header
	}
	return l
}

// Counter reports whether a header line of this key comes each second, among the
// rows, and not with the header.
func Counter(key string) bool { return key == "sets" || key == "edges" || key == "dropped" }

// printable reports whether a text is printable ASCII.
func printable(text []byte) bool {
	for _, c := range text {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}
