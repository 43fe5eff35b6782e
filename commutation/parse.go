package commutation

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// TableError is something in a drive table's text that could not be understood.
type TableError struct {
	// Name is the table's, as given to [ParseTable].
	Name string
	// Line and Column count from 1; Column counts bytes.
	Line, Column int
	// Msg says what was wrong, without the position; Hint what to do about it.
	Msg, Hint string
}

// Error returns the position and what was wrong there; the hint is apart.
func (e *TableError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.Name, e.Line, e.Column, e.Msg)
}

const (
	headerHint   = "begin with the line state,high,low and go on with one row per state, as in 101,U,V"
	stateHint    = "write a state as the levels at HU, HV, HW, as in 010; spreadsheets drop leading zeros"
	terminalHint = "name the controller's phase terminals U, V, W in the order in which they go with HU, HV, HW"
	rowHint      = "write each row as in 101,U,V and leave out a state that drives nothing"
)

// ParseTable reads a drive table from comma-separated text (RFC 4180): the line
// state,high,low, then one row per state that drives something. A byte-order
// mark, lines that begin with #, blank lines and spaces around fields are
// allowed. An error is a [*TableError] that gives name and the place.
func ParseTable(name string, text []byte) (DriveTable, error) {
	p := newTableParser(name, text)
	if err := p.header(); err != nil {
		return DriveTable{}, err
	}
	for {
		switch err := p.row(); {
		case err == io.EOF:
			return p.finish()
		case err != nil:
			return DriveTable{}, err
		}
	}
}

type tableParser struct {
	rows  *csv.Reader
	table DriveTable
	// given has the line of each state's row, 0 where there is none yet.
	given [8]int
	// last is the line of the last row that was read.
	last int
}

func newTableParser(name string, text []byte) *tableParser {
	rows := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	rows.Comment = '#'
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	return &tableParser{rows: rows, table: DriveTable{Name: name}, last: 1}
}

// next returns the trimmed fields of the next row that is not blank, without
// the empty ones at its end.
func (p *tableParser) next() ([]string, error) {
	for {
		fields, err := p.rows.Read()
		if err != nil {
			return nil, p.csvError(err)
		}
		p.last, _ = p.rows.FieldPos(0)
		filled := 0
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
			if fields[i] != "" {
				filled = i + 1
			}
		}
		if filled > 0 {
			return fields[:filled], nil
		}
	}
}

// csvError gives a csv reader's error its place in the table.
func (p *tableParser) csvError(err error) error {
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		return &TableError{p.table.Name, bad.Line, bad.Column, bad.Err.Error(), rowHint}
	}
	return err
}

// fail returns an error at field i of the row that was read last.
func (p *tableParser) fail(i int, hint, format string, args ...any) error {
	line, column := p.rows.FieldPos(i)
	return &TableError{p.table.Name, line, column, fmt.Sprintf(format, args...), hint}
}

func (p *tableParser) header() error {
	fields, err := p.next()
	if err == io.EOF {
		return &TableError{p.table.Name, 1, 1, "no line state,high,low", headerHint}
	}
	if err != nil {
		return err
	}
	for i, want := range []string{"state", "high", "low"} {
		if i >= len(fields) {
			return p.fail(0, headerHint, "no column %s", want)
		}
		if !strings.EqualFold(fields[i], want) {
			return p.fail(i, headerHint, "column %s where %s was expected", quote(fields[i]), want)
		}
	}
	if len(fields) > 3 {
		return p.fail(3, headerHint, "column %s after state,high,low", quote(fields[3]))
	}
	return nil
}

// row reads one row into the table; it returns io.EOF after the last.
func (p *tableParser) row() error {
	fields, err := p.next()
	if err != nil {
		return err
	}
	if len(fields) != 3 {
		return p.fail(min(len(fields)-1, 3), rowHint, "%d of the 3 fields state,high,low", len(fields))
	}
	state, err := ParseState(fields[0])
	if err != nil {
		return p.fail(0, stateHint, "%v", err)
	}
	if p.given[state] > 0 {
		return p.fail(0, "keep one of the two rows", "state %v again, after line %d", state, p.given[state])
	}
	drive, err := p.drive(fields)
	if err != nil {
		return err
	}
	p.given[state] = p.last
	p.table.drives[state] = drive
	return nil
}

func (p *tableParser) drive(fields []string) (Drive, error) {
	var ends [2]Terminal
	for i := range ends {
		var err error
		if ends[i], err = ParseTerminal(fields[i+1]); err != nil {
			return Drive{}, p.fail(i+1, terminalHint, "%v", err)
		}
	}
	if ends[0] == ends[1] {
		return Drive{}, p.fail(2, rowHint, "terminal %v is both high and low", ends[0])
	}
	return Drive{High: ends[0], Low: ends[1]}, nil
}

// finish checks the table as a whole.
func (p *tableParser) finish() (DriveTable, error) {
	count := 0
	for _, line := range p.given {
		if line > 0 {
			count++
		}
	}
	if count < 6 {
		return DriveTable{}, &TableError{p.table.Name, p.last, 1,
			fmt.Sprintf("the table ends after %d states, but six-step drive has six", count),
			"add the rows that are missing"}
	}
	return p.table, nil
}
