package line

import (
	"bytes"
	"errors"
	"strconv"

	"handspin/capture"
)

// Names is the line of column names that the board sends before its rows.
const Names = "t_us,hall,p1,p2,p3"

// Row is a data row of the board: a set of the three phase leads, or a Hall edge.
type Row struct {
	// TimeUS is the board's counter of microseconds, which wraps.
	TimeUS uint32
	// Hall are the levels from TimeUS on, all three known.
	Hall capture.Levels
	// Edge is whether the row is a Hall edge; Phase is then zero.
	Edge bool
	// Phase are p1 to p3 in counts.
	Phase [3]uint16
}

// The ways in which a row can be damaged.
var (
	ErrNoSum    = errors.New("the row has no sum")
	ErrWrongSum = errors.New("the row's sum is wrong")
	ErrNoRow    = errors.New("the line is not a row of the board")
)

// ParseRow reads a row with its sum; the line comes without its line end. It does
// not allocate.
func ParseRow(text []byte) (Row, error) {
	data, status := Strip(text)
	switch status {
	case Absent:
		return Row{}, ErrNoSum
	case Wrong:
		return Row{}, ErrWrongSum
	}
	return ParseData(data)
}

// ParseData reads a row that has no sum.
func ParseData(data []byte) (Row, error) {
	p := parser{rest: data, ok: true}
	r := Row{TimeUS: p.number(1<<32 - 1), Hall: p.levels()}
	if string(p.rest) == ",," {
		r.Edge = true
		return r, p.result()
	}
	for i := range r.Phase {
		r.Phase[i] = uint16(p.number(1<<16 - 1))
	}
	p.ok = p.ok && !p.more
	return r, p.result()
}

// AppendRow appends a row with its sum to dst, without a line end.
func AppendRow(dst []byte, r Row) []byte {
	from := len(dst)
	dst = strconv.AppendUint(dst, uint64(r.TimeUS), 10)
	dst = append(dst, ',')
	dst = append(dst, r.Hall.String()...)
	if r.Edge {
		dst = append(dst, ",,,"...)
	} else {
		for _, v := range r.Phase {
			dst = strconv.AppendUint(append(dst, ','), uint64(v), 10)
		}
	}
	data := dst[from:]
	return Append(dst[:from], data)
}

// parser takes the cells of a row one by one.
type parser struct {
	rest []byte
	// more is whether a comma stood behind the last cell.
	more bool
	ok   bool
}

var comma = []byte{','}

func (p *parser) result() error {
	if !p.ok {
		return ErrNoRow
	}
	return nil
}

// cell takes the next cell and the comma behind it.
func (p *parser) cell() []byte {
	var c []byte
	c, p.rest, p.more = bytes.Cut(p.rest, comma)
	return c
}

func (p *parser) number(largest uint64) uint32 {
	c := p.cell()
	p.ok = p.ok && 0 < len(c) && len(c) <= 10
	var n uint64
	for _, d := range c {
		p.ok = p.ok && '0' <= d && d <= '9'
		n = n*10 + uint64(d-'0')
	}
	p.ok = p.ok && n <= largest
	return uint32(n)
}

func (p *parser) levels() capture.Levels {
	c := p.cell()
	if len(c) != 3 {
		p.ok = false
		return capture.UnknownLevels
	}
	var l capture.Levels
	for _, d := range c {
		p.ok = p.ok && (d == '0' || d == '1')
		l = l<<1 | capture.Levels(d&1)
	}
	return l
}

// ParseHeader reads a header line, "# key: value". A line that begins with # but
// has no colon is a comment, whose key is empty.
func ParseHeader(text []byte) (key, value string, ok bool) {
	if len(text) == 0 || text[0] != '#' {
		return "", "", false
	}
	k, v, found := bytes.Cut(text[1:], []byte{':'})
	if !found {
		return "", string(bytes.TrimSpace(text[1:])), true
	}
	return string(bytes.TrimSpace(k)), string(bytes.TrimSpace(v)), true
}
